"""Rules of the walk, each with a slip that it alone catches. Common practice, no source, unless one stands beside it."""

import dataclasses
import re

import pytest

from packet.hookup.acts import Act, Effect, act, connects, did, disconnects, opens, reads
from packet.hookup.build import hookup_of
from packet.hookup.effects import gauges
from packet.hookup.program import program_of
from packet.hookup.rig import build_rig
from packet.hookup.state import State
from packet.hookup.walk import at_the_end, never_connected, take
from tests.hookup.mutants import Good, good_courses
from tests.hookup.variants import NO_CORE_TOOL, PUSH_PULL, SCHRADER, SMALL, VARIANTS, replace


def before(good: Good, words: str) -> State:
    """The state right before the first act with these words."""
    at = next(index for index, step in enumerate(good.steps) if words in step.act.text)
    return good.states[at].copy()


def after(good: Good, words: str) -> State:
    """The state right after the last act with these words."""
    at = [index for index, step in enumerate(good.steps) if words in step.act.text][-1]
    return good.states[at + 1].copy()


def breaches(good: Good, state: State, *acts: Act) -> list[str]:
    """What these acts breach, begun in this state."""
    return [why for item in acts for why in take(good.rig.bench, state, item, good.rules)]


def first(name: str) -> Good:
    """The first course of a variant."""
    return good_courses(VARIANTS[name])[0]


@pytest.mark.parametrize(
    ("name", "gauge", "space"),
    [
        ("liquid-four-valves-vacuum", gauges.MICRON, "pump"),
        ("chiller-low", gauges.ABSOLUTE, "appliance"),
        ("vapor", gauges.LOW, "appliance"),
        ("vapor", gauges.GLASS, "appliance"),
    ],
)
def test_a_gauge_is_read_only_where_one_is_in_the_hookup(name: str, gauge: str, space: str) -> None:
    good = first(name)
    found = breaches(good, before(good, "Confirm closed"), act("", reads(gauge, space)))
    assert found == [f"a gauge is read that is not in the hookup: {gauge}"]


def test_standing_pressure_is_read_only_through_an_open_port() -> None:
    good = first("vapor-vacuum")
    found = breaches(
        good, before(good, "Turn the suction service valve"), act("", reads(gauges.LOW, "appliance"), did("standing"))
    )
    assert found == ["manifold.low is read and is not open to what it is read for"]


def test_every_tee_gauge_and_hose_on_the_floor_is_connected() -> None:
    rig = build_rig(VARIANTS["push-pull-header"])
    course = program_of(rig).courses[0]
    assert list(never_connected(rig.bench, course)) == []
    without = tuple(
        dataclasses.replace(leg, lines=tuple(line for line in leg.lines if "Hose P" not in line.text)) for leg in course
    )
    assert set(never_connected(rig.bench, without)) == {
        f"{part} is on the list and never connected"
        for part in ("hose P", "micron gauge", "vacuum pump", "two-way header")
    }


def test_a_live_core_takes_only_a_hose_that_is_closed_there() -> None:
    good = good_courses(replace(VARIANTS["liquid"], ports=SCHRADER, kit=NO_CORE_TOOL))[0]
    state = before(good, "Hose A:")
    found = breaches(good, state, act("", opens("A1")), act("", connects(("A1", "appliance.liquid"))))
    assert any("opens when it is pressed" in why for why in found)


def test_a_core_tool_is_not_opened_on_a_core() -> None:
    good = first("schrader-core-tools")
    state = before(good, "Crack the core tool")
    state.done = frozenset(duty for duty in state.done if not duty.startswith("core-out"))
    assert any(
        "the core behind it is still in" in why for why in breaches(good, state, act("", opens("appliance.vapor")))
    )


def test_nobody_purges_from_a_liquid_port() -> None:
    good = first("vapor")
    state = before(good, "Crack the suction service valve")
    found = breaches(
        good, state, act("", Effect("move", "appliance.liquid", "cracked")), act("", Effect("purge", "B1"))
    )
    assert "the hoses would be purged from a liquid port" in found


def test_nobody_loosens_a_fitting_on_a_live_core() -> None:
    good = good_courses(replace(VARIANTS["vapor"], ports=SCHRADER, kit=NO_CORE_TOOL))[0]
    found = breaches(good, after(good, "Hose A:"), act("", Effect("purge", "A1")))
    assert any("loosened on a live core" in why for why in found)


def test_no_hose_travels_liquid_full_or_closed_at_both_ends() -> None:
    good = first("vapor")
    state = good.states[-1].copy()
    assert list(at_the_end(good.rig.bench, state, good.rules)) == []
    state.holds["hose:D"] = "liquid"
    state.valves["D2"] = "closed"
    assert set(at_the_end(good.rig.bench, state, good.rules)) == {
        "hose D travels closed at both ends",
        "hose D is full of liquid at the end",
    }


def test_a_person_named_in_a_step_exists() -> None:
    good = good_courses(PUSH_PULL)[0]
    found = breaches(good, good.states[0].copy(), act("", Effect("person", "second")))
    assert found == ["a step asks for a person whom the job does not name: second"]


def test_nitrogen_goes_in_while_hoses_are_on() -> None:
    good = first("flammable")
    state = after(good, "Hoses off the appliance")
    found = breaches(good, state, act("", Effect("nitrogen")), act("", Effect("sweep", "B2")))
    assert "the vacuum is to be broken and the nitrogen does not reach the appliance" in found
    assert "nitrogen is swept and does not go through the appliance" in found


def test_a_percent_is_judged_after_clearing() -> None:
    good = good_courses(SMALL)[0]
    found = breaches(good, before(good, "Machine to “clear (purge)”"), act("", Effect("hold", "recovered")))
    assert "the percent is judged before the machine was cleared" in found


def test_an_empty_cylinder_is_not_filled_before_its_vacuum_was_seen() -> None:
    good = first("empty-cylinders")
    state = before(good, "stops at")
    state.done = frozenset(duty for duty in state.done if not duty.startswith("vacuum-seen"))
    found = breaches(good, state, act("", Effect("hold", "start:C-118")))
    assert found == ["C-118 is empty and its vacuum was not looked at"]


def test_refrigerant_is_not_let_out_of_a_hose() -> None:
    good = first("vapor-into-vapor")
    state = after(good, "Hose D off C-118")
    assert breaches(good, state, act("", opens("D2"))) == ["refrigerant is let out of hose D"]


def test_a_hose_comes_off_a_live_core_closed() -> None:
    good = good_courses(replace(VARIANTS["vapor"], ports=SCHRADER, kit=NO_CORE_TOOL))[0]
    state = before(good, "Close shut-off B")
    found = breaches(good, state, act("", disconnects("B1")))
    assert any("disconnected with the hose's shut-off open" in why for why in found)


BANNED = re.compile(
    r"\b(shut(?!-)|joined?|disjoin|bare|passes|hosing|re-hose|interruption|plate|in doubt, it|change over|identify)\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize("name", VARIANTS)
def test_the_words_are_the_trade_s(name: str) -> None:
    """Said by one technician to another: closed, connect, EXCEEDS, nameplate, swap."""
    hookup = hookup_of(VARIANTS[name])
    said = [words for stage in hookup.stages for step in stage.steps for words in (step.text, *step.cautions)]
    said += [words for layout in hookup.layouts for strip in layout.strips for words in (strip.title, *strip.lines)]
    said += [f"{item.sign} {item.action}" for item in hookup.wrong]
    if hookup.swap:
        said += [words for step in hookup.swap.stage.steps for words in (step.text, *step.cautions)]
    assert [words for words in said if BANNED.search(words)] == []
