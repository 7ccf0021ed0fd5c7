"""Strip 2 is carried out from every state in which hoses are on, with the machine running and dead, line by line.

A strip that closes the discharge of a running machine is caught though its last state would be safe. Common practice,
no source.
"""

from collections.abc import Callable

import pytest

from packet.hookup import strips
from packet.hookup.acts import Act, Effect, ensures
from packet.hookup.build import hookup_of
from packet.hookup.rig import Rig
from packet.hookup.state import State
from tests.hookup.mutants import Good, good_courses
from tests.hookup.oracle import hazards
from tests.hookup.variants import FLAMMABLE, PUSH_PULL, VARIANTS, replace

OFF = Act("off", (Effect("mode", to="off"),))
INLET, DISCHARGE = (Act(name, ensures(f"machine.{name}")) for name in ("suction", "discharge"))


def found(good: Good) -> set[str]:
    """What strip 2 leaves wrong, begun after any line of a course."""
    return {
        why.partition(": ")[2]
        for step, state in zip(good.steps, good.states[1:], strict=True)
        if "C1" in state.mates and not state.pump_on
        for why in strips.prove_strip(
            good.rig, state, good.rules, push_pull=good.rig.request.push_pull and step.block.layout == 1
        )
    }


def instead(monkeypatch: pytest.MonkeyPatch, *acts: Act) -> None:
    """Another strip 2."""
    made: Callable[..., tuple[Act, ...]] = lambda *_, **__: acts  # noqa: E731 - stands in for a function
    monkeypatch.setattr(strips, "strip_acts", made)


def test_the_strip_of_the_first_prints_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """Inlet, discharge, then off: the discharge of a running machine is closed."""
    instead(monkeypatch, INLET, DISCHARGE, OFF)
    assert "the machine runs and its discharge has no open path to a cylinder" in found(
        good_courses(VARIANTS["liquid"])[0]
    )


def test_it_would_pass_if_the_machine_were_switched_off_beforehand(monkeypatch: pytest.MonkeyPatch) -> None:
    """Why the proof takes the state as it is: begun dead, the wrong order shows nothing."""
    instead(monkeypatch, INLET, DISCHARGE, OFF)
    good = good_courses(VARIANTS["liquid"])[0]
    dead: list[str] = []
    for state in good.states:
        if state.running and "C1" in state.mates:
            twin = state.copy()
            twin.mode, twin.joined = "off", None
            dead += strips.prove_strip(good.rig, twin, good.rules, push_pull=False)
    assert dead == []


def test_a_strip_that_closes_liquid_in_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    instead(monkeypatch, OFF, INLET, DISCHARGE, Act("cylinder", ensures("cylinder:C-118.liquid")))
    assert "liquid is closed in at both ends of hose D" in found(good_courses(VARIANTS["liquid"])[0])


def test_a_strip_that_forgets_the_liquid_side_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    instead(monkeypatch, OFF, INLET, DISCHARGE)
    assert any("has an open path to the appliance" in why for why in found(good_courses(VARIANTS["push-pull"])[0]))


@pytest.mark.parametrize("name", ["vapor", "liquid-one-port-two", "push-pull-three", "vapor-two-vacuum", "chiller"])
def test_an_independent_look_finds_no_hazard_either(name: str) -> None:
    """By the graph library: after all of strip 2, begun with the machine running and dead."""
    good = good_courses(VARIANTS[name])[0]
    looked = 0
    for step, state in zip(good.steps, good.states[1:], strict=True):
        if not state.running:
            continue
        push_pull = good.rig.request.push_pull and step.block.layout == 1
        after = _carried_out(good.rig, state, push_pull=push_pull)
        assert hazards(good.rig.bench, after) == frozenset(), step.number
        looked += 1
    assert looked > 5


def _carried_out(rig: Rig, state: State, *, push_pull: bool) -> State:
    after = state.copy()
    after.joined = None
    for act in strips.strip_acts(rig, push_pull=push_pull):
        for effect in act.effects:
            if effect.op == "mode":
                after.mode = "off"
            elif effect.to == "closed":
                after.valves[effect.what] = "closed"
    return after


@pytest.mark.parametrize("name", VARIANTS)
def test_every_hookup_has_two_strips_never_mixed(name: str) -> None:
    request = replace(VARIANTS[name], emergency_phone="555-0141")
    hookup = hookup_of(request)
    for layout in hookup.layouts:
        out, stops = layout.strips
        assert out.title.startswith("1.")
        assert "OUT" in out.title
        assert "555-0141" in " ".join(out.lines)
        assert stops.title.startswith("2.")
        assert len(f"{out.title} {' '.join(out.lines)}") <= 230
        assert len(f"{stops.title} {' '.join(stops.lines)}") <= 300


def test_which_valve_comes_first() -> None:
    first, second = hookup_of(PUSH_PULL).layouts
    assert first.strips[1].lines[0].startswith("Close liquid service valve FIRST")
    assert second.strips[1].lines[0].startswith("Machine “off” FIRST. Inlet closed, then discharge.")
    assert "the cylinder on the scale" in first.strips[1].lines[0]
    assert "Touch no switch" in hookup_of(FLAMMABLE).layouts[0].strips[0].lines[0]
    assert "Keep the water moving" in hookup_of(VARIANTS["chiller"]).layouts[0].strips[1].lines[1]
