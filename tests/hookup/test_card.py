"""The interruption card is executed from every state in which the machine runs; a wrong card is caught.

The first valve of push-pull is 7-sequences.md's: stopping the machine does not stop the liquid.
"""

import pytest

from packet.hookup import card
from packet.hookup.acts import Effect
from tests.hookup.mutants import Good, good_courses
from tests.hookup.oracle import hazards
from tests.hookup.variants import VARIANTS


def shut(*valves: str) -> tuple[Effect, ...]:
    """These valves shut, whatever they were."""
    return tuple(Effect("ensure", valve, "shut") for valve in valves)


def found(good: Good) -> set[str]:
    """What the cards of a course leave wrong."""
    return {
        why
        for step, state in zip(good.steps, good.states[1:], strict=True)
        if state.running
        for why in card.prove_card(good.rig, step.block, state, good.rules)
    }


@pytest.mark.parametrize("name", VARIANTS)
def test_every_card_leaves_a_safe_state(name: str) -> None:
    for good in good_courses(VARIANTS[name]):
        assert any(state.running for state in good.states)
        assert found(good) == set()


def test_a_card_that_shuts_liquid_in_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        card, "card_effects", lambda *_: shut("machine.suction", "machine.discharge", "cylinder:C-118.liquid")
    )
    assert "after the interruption card: liquid is shut in at both ends of hose D" in found(
        good_courses(VARIANTS["liquid"])[0]
    )


def test_a_card_that_forgets_the_liquid_valve_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(card, "card_effects", lambda *_: shut("machine.suction", "machine.discharge"))
    assert "after the interruption card: the machine is off and C-118 has an open path to the appliance" in found(
        good_courses(VARIANTS["push-pull"])[0]
    )


@pytest.mark.parametrize("name", ["vapor", "liquid-one-port-two", "push-pull-three", "vapor-two-vacuum", "chiller"])
def test_an_independent_look_finds_no_hazard_either(name: str) -> None:
    """By the graph library: after the card's valves, with the machine dead."""
    good = good_courses(VARIANTS[name])[0]
    looked = 0
    for step, state in zip(good.steps, good.states[1:], strict=True):
        if not state.running:
            continue
        after = state.copy()
        after.mode = "off"
        for effect in card.card_effects(good.rig, step.block, state):
            if (after.valves[effect.what] == "shut") != (effect.to == "shut"):
                after.valves[effect.what] = "open" if effect.to == "open" else "shut"
        assert hazards(good.rig.bench, after) == frozenset(), step.number
        looked += 1
    assert looked > 5
