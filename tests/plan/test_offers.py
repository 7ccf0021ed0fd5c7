"""Cylinders offered in the place of others are weighed for the method that the job would then have."""

import itertools
import re
from typing import Any

import pytest

from packet.plan import fit
from packet.plan.case import Case
from packet.plan.cylinder import weights
from packet.plan.method import Cylinders
from packet.plan.model import Plan
from packet.plan.setting import Ways
from packet.shop.records import Cylinder, Month
from packet.statements import sentences
from tests.plan.builders import cylinder, job, message, only, plan, registers

OLD = {"tested": Month(year=2020, month=1)}  # out of test: refused
BIG = {"water_capacity_lb": 60.0}


def column(**changes: Any) -> Any:
    """A job of 30 lb that is done by push-pull where the cylinders allow it."""
    return job(
        "R-22",
        30.0,
        appliance={"liquid_column": True, "ports": {"liquid": "king-valve", "vapor": "service-valve"}},
        **changes,
    )


def chosen(planned: Plan) -> str:
    assert planned.method is not None
    return planned.method.chosen


def room_offered(planned: Plan) -> dict[str, float]:
    """Room of the one cylinder that a shortage offers, lb."""
    (need,) = sentences(planned.needs, "US")
    found = re.fullmatch(r"Take this one as well: (\S+) \(room for (\S+) lb\)\.", need)
    assert found is not None, need
    return {found[1]: float(found[2])}


@pytest.mark.parametrize(
    ("held", "offered", "then"),
    [
        # refused as out of test; with the other the job is done by push-pull
        ({}, {}, "push-pull"),
        # refused, and holds more than push-pull's heel: liquid today, push-pull with the other
        ({"refrigerant": "R-22", "contents_lb": 9.0}, {}, "push-pull"),
        # the other has no liquid valve: no push-pull with it
        ({}, {"valves": ("vapor",)}, "liquid"),
    ],
)
def test_what_is_offered_has_the_room_that_it_would_then_have(
    held: dict[str, Any], offered: dict[str, Any], then: str
) -> None:
    shop = registers(cylinder("C-1", **OLD, **held), cylinder("C-2", **BIG, **offered))
    planned = plan(column(), shop)
    assert message(planned, "cylinder-out-of-test")[1] == "Use one of these from the register: C-2."
    again = plan(column(cylinders=("C-2",)), shop)
    assert chosen(again) == then
    assert room_offered(planned) == {"C-2": pytest.approx(only(again).free_lb.value)}


def test_push_pull_keeps_more_free_than_liquid_does() -> None:
    """The same cylinder, by either method: what the test above compares does differ."""
    shop = registers(cylinder("C-2", **BIG))
    fast = only(plan(column(cylinders=("C-2",)), shop)).free_lb.value
    slow = only(plan(column(cylinders=("C-2",), work={"method": "liquid"}), shop)).free_lb.value
    assert fast < slow - 2.0


def test_a_kept_cylinder_that_bars_push_pull_bars_it_for_what_is_offered() -> None:
    """C-1 stays and holds 9 lb: whatever comes beside it, the job is not done by push-pull."""
    small = {"water_capacity_lb": 30.0}
    shop = registers(cylinder("C-1", **small, refrigerant="R-22", contents_lb=9.0), cylinder("C-2", **BIG))
    planned = plan(column(), shop)
    assert chosen(planned) == "liquid"
    again = plan(column(cylinders=("C-1", "C-2")), shop)
    assert chosen(again) == "liquid"
    assert room_offered(planned) == {"C-2": pytest.approx(again.cylinders[1].free_lb.value)}


def test_what_stays_is_weighed_for_the_method_without_the_refused_one() -> None:
    """C-1 stays, C-2 bars push-pull and is refused: without it C-1 takes less, and what is to fetch is more."""
    shop = registers(
        cylinder("C-1", water_capacity_lb=34.0),
        cylinder("C-2", **OLD, refrigerant="R-22", contents_lb=9.0),
        cylinder("C-3", water_capacity_lb=9.0, tare_lb=10.0),
        cylinder("C-4", water_capacity_lb=12.0),
    )
    planned = plan(column(cylinders=("C-1", "C-2")), shop)
    assert chosen(planned) == "liquid"
    ((name, _),) = room_offered(planned).items()
    then = plan(column(cylinders=("C-1", name)), shop)
    assert chosen(then) == "push-pull"
    assert [item.code for item in then.findings if item.severity == "stop"] == []


def kinds_looked_at(sizes: int, monkeypatch: pytest.MonkeyPatch) -> int:
    """How often a job short of room asks whether a kind is fit, where the shop has so many sizes of one kind, too old."""
    looks = []
    whole = fit.Looked.kind_fits

    def watching(looked: fit.Looked, *what: Any, **how: Any) -> bool:
        looks.append(what)
        return whole(looked, *what, **how)

    monkeypatch.setattr(fit.Looked, "kind_fits", watching)
    old = (cylinder(f"C-{n + 2}", tare_lb=27.0 + n / 10, **OLD) for n in range(sizes))
    planned = plan(job("R-22", 90.0), registers(cylinder("C-1"), *old))
    monkeypatch.undo()
    assert "empty" in sentences(planned.needs, "US")[0]
    return len(looks)


def test_a_kind_is_looked_at_once_however_many_sizes_there_are_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a register of 20,000 cylinders a job short of room made a state for each of thousands of sizes, twice."""
    assert kinds_looked_at(40, monkeypatch) == kinds_looked_at(4, monkeypatch) > 0


def test_the_register_s_largest_is_looked_for_only_where_those_free_do_not_do(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[object] = []
    whole = fit.largest_empty_lb
    monkeypatch.setattr(fit, "largest_empty_lb", lambda *of: (asked.append(of), whole(*of))[1])  # type: ignore[func-returns-value]
    short = job("R-22", 60.0)
    assert "Take" in sentences(plan(short, registers(cylinder("C-1"), cylinder("C-2", **BIG))).needs, "US")[0]
    assert not asked
    assert "empty" in sentences(plan(short, registers(cylinder("C-1"))).needs, "US")[0]
    assert len(asked) == 1


def everything_that_would_do(case: Case, ways: Ways, kept: Cylinders) -> dict[str, float]:
    """Each cylinder of the register looked at by itself, as if there were no others: the room in those that are fit, lb."""
    found = {}
    for item in case.registers.cylinders:
        state = case.states[item.id]
        if item.id in case.taken or item.id in case.job.cylinders:
            continue
        setting = ways.setting((*kept, (item, state)))
        free_lb = weights(item, state, setting).free_lb.value
        if free_lb > 0.0 and not fit.stops(fit.refusals(item, state, setting)):
            found[item.id] = free_lb
    return found


def many() -> tuple[Cylinder, ...]:
    """Cylinders of several sizes, kinds, valves and contents, some of them alike in all but one of these."""
    held: tuple[dict[str, Any], ...] = (
        {},
        {"refrigerant": "R-22", "contents_lb": 2.0},
        {"refrigerant": "R-22", "contents_lb": 9.0},
        {"refrigerant": "R-22", "contents_lb": 46.0},
        {"refrigerant": "R-410A", "contents_lb": 2.0},
        {"refrigerant": "mixed", "contents_lb": 3.0},
    )
    others: tuple[dict[str, Any], ...] = (
        {},
        OLD,
        BIG,
        {"valves": ("vapor",)},
        {"flammable_rated": True},
        {"spec": "DOT-4BA240"},
        {"tare_lb": 31.5},
        {"max_gross_lb": 40.0},
    )
    pairs = itertools.product(others, held, range(2))
    return tuple(cylinder(f"C-{n + 10}", **(other | holds)) for n, (other, holds, _) in enumerate(pairs))


@pytest.mark.parametrize("gas", ["R-22", "R-410A", "R-32", "unknown", "R-22 62 % + R-407C 38 %"])
@pytest.mark.parametrize("column_of_liquid", [True, False])
def test_exactly_what_would_do_is_offered(gas: str, column_of_liquid: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[Any, ...]] = []
    whole = fit.would_do
    monkeypatch.setattr(fit, "would_do", lambda *of: (asked.append(of), whole(*of))[1])  # type: ignore[func-returns-value]
    shop = registers(cylinder("C-1", water_capacity_lb=9.0), *many())
    appliance = {"liquid_column": column_of_liquid, "ports": {"liquid": "king-valve", "vapor": "service-valve"}}
    analyzed = {"analysis": "Elm Laboratory, 2026-11-20"} if "%" in gas else {}
    plan(job(gas, 30.0, appliance=appliance | analyzed), shop)
    ((case, ways, kept, needed_lb),) = asked
    offered = {spare.cylinder.id: spare.free_lb for spare in whole(case, ways, kept, needed_lb)}
    assert offered == pytest.approx(everything_that_would_do(case, ways, kept))
    assert offered
