"""The walk is tested by breaking what it walks: every single slip is caught, or listed with a reason.

Common practice, no published source.
"""

import sys
from collections.abc import Iterator

import pytest

from packet.hookup.acts import Act
from packet.hookup.walk import take
from tests.hookup.harmless import TABLE, reason_for
from tests.hookup.mutants import Good, Mutant, Step, caught, good_courses, mutants
from tests.hookup.oracle import hazards
from tests.hookup.variants import VARIANTS

# how far after a slip a hazard is looked for: long enough for the next two steps that use what was slipped on
STEPS_AFTER = 4
# one of each kind of rig: with pump and without, through the manifold and push-pull, one cylinder and several
MEASURED = ("vapor", "liquid-one-port-two", "push-pull", "vapor-two-vacuum", "push-pull-header", "chiller-low")


@pytest.mark.parametrize("name", VARIANTS)
def test_every_slip_is_caught_or_listed(name: str) -> None:
    for good in good_courses(VARIANTS[name]):
        for mutant in mutants(good):
            if not caught(good, mutant):
                assert reason_for(good, mutant), (mutant.kind, good.steps[mutant.at].number, mutant.what)


def test_every_rule_of_the_table_is_needed() -> None:
    needed: set[str] = set()
    for name in ("vapor", "push-pull", "vapor-two-cylinders", "flammable-liquid-two", "small-appliance", "pump-down"):
        for good in good_courses(VARIANTS[name]):
            needed |= {reason_for(good, mutant) for mutant in mutants(good) if not caught(good, mutant)}
    assert needed == {rule.name for rule in TABLE}


def _states_after(good: Good, mutant: Mutant) -> Iterator[tuple[frozenset[str], frozenset[str]]]:
    """Hazards of the mutant's states beside those of the good course around the same step, until they meet again."""
    state = good.states[mutant.begins].copy()
    acts = [*mutant.steps, *good.steps[mutant.rejoin : mutant.rejoin + STEPS_AFTER]]
    bench = good.rig.bench
    for offset, step in enumerate(acts):
        take(bench, state, step.act, good.rules)
        place = min(mutant.rejoin + max(0, offset + 1 - len(mutant.steps)), len(good.states) - 1)
        if state.same_as(good.states[place]):
            return
        around = good.states[max(place - 2, 0) : place + 2]
        yield hazards(bench, state), frozenset().union(*(hazards(bench, other) for other in around))


def test_hazard_changing_slips_are_caught(capsys: pytest.CaptureFixture[str]) -> None:
    """At least 95 % of the slips after which an independent look finds a hazard that the good course has not."""
    changing = found = 0
    missed = []
    for name in MEASURED:
        good = good_courses(VARIANTS[name])[0]
        for mutant in mutants(good):
            if mutant.kind in {"open", "closed"} and mutant.at % 11:
                continue  # every eleventh place is enough for a share; the test above looks at all of them
            if any(here - usual for here, usual in _states_after(good, mutant)):
                changing += 1
                if caught(good, mutant):
                    found += 1
                else:
                    missed.append((name, mutant.kind, good.steps[mutant.at].number, mutant.what))
    with capsys.disabled():
        sys.stdout.write(f"\nhazard-changing mutants caught: {found} of {changing} ({100 * found / changing:.2f} %)\n")
    assert changing > 200
    assert found / changing >= 0.95, missed


def _swapped(good: Good, first: str, second: str) -> Mutant:
    """The step with the words `second` done right before the one with the words `first`."""
    one = next(index for index, step in enumerate(good.steps) if first in step.act.text)
    other = next(index for index, step in enumerate(good.steps) if second in step.act.text and index > one)
    steps: tuple[Step, ...] = (good.steps[other], *good.steps[one:other])
    return Mutant("swap", one, second, steps, other + 1, begins=one)


def test_machine_off_before_the_liquid_side_is_closed() -> None:
    good = good_courses(VARIANTS["push-pull"])[0]
    why = caught(good, _swapped(good, "Close the liquid service valve FIRST", "Machine “off”."))
    assert why == "the machine is stopped and liquid still flows: stopping it does not stop the liquid"


def test_clearing_left_out_at_a_swap() -> None:
    good = good_courses(VARIANTS["vapor-two-cylinders"])[0]
    at = next(index for index, step in enumerate(good.steps) if "into the full cylinder" in step.act.text)
    mutant = Mutant("drop", at, "clear, wait", (), at + 2, begins=at)
    assert "before the machine was cleared" in caught(good, mutant)


def test_discharge_opened_after_the_machine_is_on() -> None:
    good = good_courses(VARIANTS["vapor"])[0]
    why = caught(good, _swapped(good, "Open the machine discharge fully", "start it"))
    assert why == "the machine is started against its closed discharge"


def test_the_good_courses_have_no_hazard_but_named_ones() -> None:
    """What the independent look finds in a good course is what an act names: equalizing, draining, clearing."""
    named = {"way back to the appliance", "dead-headed"}
    for name in MEASURED:
        for good in good_courses(VARIANTS[name]):
            for step, state in zip(good.steps, good.states[1:], strict=True):
                found = hazards(good.rig.bench, state)
                if not _excused(step.act, state.mode):
                    assert not found, (name, step.number, found)
                else:
                    assert found <= named | {"air into a cylinder"}, (name, step.number, found)


def _excused(act: Act, mode: str) -> bool:
    return bool(act.names) or mode == "clear"
