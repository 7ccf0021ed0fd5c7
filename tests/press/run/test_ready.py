"""A day's kit, picked from what is left while others have theirs: paper and numbers follow that pick."""

from pathlib import Path

import pytest

from packet.ledger.state import opening
from packet.press.run.day import DayInput
from packet.press.run.known import Memory
from packet.press.run.pool import Workers
from packet.press.run.ready import PlannedDay, plan_with_hookups
from packet.press.run.stale import truth_of
from packet.sheets.runsheet_kit import CORE_TOOL, TEE
from packet.shop.records import Fitting, Job, Manifold, Ports
from packet.statements import statement, thing
from tests.press.run.test_sheet import first, second, with_kit

SCHRADER = Ports.model_validate({"liquid": "schrader", "vapor": "schrader"})


def ready(*jobs: Job, memory: Memory | None = None, **parts: object) -> PlannedDay:
    of = with_kit(**parts)
    states = opening(of)
    day = jobs[0].date
    item = DayInput(Path("jobs"), day.isoformat(), day, of, states, states, frozenset(), jobs, frozenset({"A", "B"}))
    return plan_with_hookups(item, Workers(1, "en"), memory)


def taken(of: PlannedDay, job: str) -> dict[str, int]:
    return {name.sentence("US"): count for name, count in of.hookups[job].kit_list}


def stops(of: PlannedDay, job: str) -> list[str]:
    every = (*of.day.plan_of(job).findings, *of.hookups[job].findings)
    return [item.message for item in every if item.severity == "stop"]


MANIFOLDS = (
    Manifold(id="M4", count=1, valves=4, rating_psig=800),
    Manifold(id="M2", count=1, valves=2, rating_psig=800),
)


def test_a_job_gets_the_manifold_that_is_left_and_the_tee_that_goes_with_it() -> None:
    """The one with the vacuum port is out with job A; the pump goes on the other by a tee."""
    of = ready(first(), second(), manifolds=MANIFOLDS)
    assert not stops(of, "A")
    assert not stops(of, "B")
    assert statement("kit-manifold", id="M4", valves=4) in dict(of.hookups["A"].kit_list)
    mine = dict(of.hookups["B"].kit_list)
    assert statement("kit-manifold", id="M2", valves=2) in mine
    assert mine[TEE] == 1
    assert TEE not in dict(of.hookups["A"].kit_list)
    # on the same truck, after the other, it has the one of choice
    later = ready(first(), second(15).model_copy(update={"truck": "T1"}), manifolds=MANIFOLDS)
    assert statement("kit-manifold", id="M4", valves=4) in dict(later.hookups["B"].kit_list)


def test_nothing_is_handed_over_where_something_else_does_as_well() -> None:
    """The other truck has the manifold of choice; it is free in the afternoon, but across the town."""
    of = ready(first(), second(15), manifolds=MANIFOLDS)
    assert statement("kit-manifold", id="M2", valves=2) in dict(of.hookups["B"].kit_list)
    assert not [item.message for item in of.day.plan_of("B").findings if "manifold" in item.message]
    # the only one is handed over, and both trucks are told
    only = ready(first(), second(15), manifolds=MANIFOLDS[:1])
    assert not stops(only, "B")
    told = [item.message for name in "AB" for item in only.day.plan_of(name).findings if "manifold" in item.message]
    assert len(told) == 2


def test_what_is_remembered_of_a_hookup_from_what_was_left_holds_only_while_that_is_left() -> None:
    now = ready(first(), second(), memory=Memory(""), manifolds=MANIFOLDS)
    revisions = truth_of(now).revisions
    memory = Memory("", now.known(revisions))
    again = ready(first(), second(), memory=memory, manifolds=MANIFOLDS)
    assert truth_of(again).revisions == revisions
    assert taken(again, "B") == taken(now, "B")
    # job A is called off: B's manifold of choice is there again, and its packet is another
    alone = ready(second(), memory=memory, manifolds=MANIFOLDS)
    assert statement("kit-manifold", id="M4", valves=4) in dict(alone.hookups["B"].kit_list)
    assert truth_of(alone).revisions["B"] == truth_of(ready(second(), manifolds=MANIFOLDS)).revisions["B"]
    assert truth_of(alone).revisions["B"] != revisions["B"]
    # and back
    back = ready(first(), second(), memory=Memory("", alone.known(truth_of(alone).revisions)), manifolds=MANIFOLDS)
    assert truth_of(back).revisions == revisions


def test_where_nothing_left_does_the_last_job_alone_is_stopped() -> None:
    of = ready(first(), second(), manifolds=MANIFOLDS[:1])
    assert not stops(of, "A")
    assert [line for line in stops(of, "B") if line.startswith("The shop has 1 × manifold gauge set M4, 4 valves;")]
    assert len(stops(of, "B")) == 1


def test_a_manifold_with_a_micron_gauge_does_where_the_gauge_is_out() -> None:
    gauge = thing("micron gauge")
    with_gauge = (Manifold(id="MG", count=2, valves=4, rating_psig=800, micron_gauge=True),)
    of = ready(first(), second(), manifolds=with_gauge, micron_gauges=1)
    assert not stops(of, "B")
    assert gauge in dict(of.hookups["A"].kit_list)
    assert gauge not in dict(of.hookups["B"].kit_list)


@pytest.mark.parametrize(("tools", "left"), [(4, 2), (3, 1), (2, 0)])
def test_a_job_makes_do_with_the_core_tools_that_are_left(tools: int, left: int) -> None:
    """Its other ports are closed by the shut-off at the hose's end, and it is planned and drawn so."""
    jobs = [
        job.model_copy(update={"appliance": job.appliance.model_copy(update={"ports": SCHRADER})})
        for job in (first(), second())
    ]
    of = ready(*jobs, core_tools=(Fitting(id="CT", count=tools, rating_psig=800),))
    assert not stops(of, "A")
    assert not stops(of, "B")
    assert dict(of.hookups["A"].kit_list)[CORE_TOOL] == 2
    assert dict(of.hookups["B"].kit_list).get(CORE_TOOL, 0) == left
