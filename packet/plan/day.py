"""The whole day: each job planned from what the jobs before it leave, then checked against all the others."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

from packet.findings import Finding
from packet.ledger.mass import kg_from_float_lb
from packet.ledger.state import CylinderState, after_putting
from packet.plan.day_checks import by_start, day_findings, gas_of, span_of
from packet.plan.day_loads import loads, with_running_totals
from packet.plan.day_model import Day, Span
from packet.plan.job import plan_job
from packet.plan.kit_left import tools_left, tools_of
from packet.plan.model import Plan
from packet.shop.records import Job, Registers

States = Mapping[str, CylinderState]
Planner = Callable[[Job, Registers, States, frozenset[str]], Plan]


def plan_day(
    jobs: Iterable[Job],
    registers: Registers,
    states: States,
    *,
    tonight: States | None = None,
    filed: frozenset[str] = frozenset(),
    stopped: frozenset[str] = frozenset(),
    planner: Planner = plan_job,
) -> Day:
    """Plan all jobs of one date.

    states: every cylinder in the morning. A job that may go out leaves its cylinders as it is planned to; the next job
    with one of them starts from that. A job that is stopped leaves everything as it was. filed: jobs whose readings
    are in: they are planned as in the morning, and what they left is taken from `tonight`, the ledger with them in it.
    stopped: jobs known not to go out for reasons that are found later (the hookup).

    Raises ValueError when there is no job, or jobs of several dates.
    """
    todo = tuple(jobs)
    dates = {job.date for job in todo}
    if len(dates) != 1:
        raise ValueError(f"a day has jobs of one date, not of {len(dates)}")
    standing_still = stopped
    # a conflict found across jobs stops them, which changes what they leave for later ones: until nothing changes,
    # and each round stops at least one job more, so that it ends
    while True:
        planned = _in_turn(
            todo, registers, states, tonight=tonight or {}, filed=filed, stopped=standing_still, planner=planner
        )
        told = day_findings(planned)
        plans = tuple(replace(plan, findings=_joined(plan, told)) for plan in planned)
        newly = {plan.job.job for plan in plans if not plan.may_go_out} - standing_still
        if not _feeds_others(newly, plans):
            break
        standing_still |= newly
    ordered = tuple(
        sorted(
            _with_machines_as_they_come(plans, standing_still),
            key=lambda plan: (plan.job.truck, plan.job.start, plan.job.job),
        )
    )
    with_totals = with_running_totals(ordered)
    return Day(
        date=dates.pop(),
        plans=with_totals,
        spans=tuple(span_of(plan) for plan in with_totals),
        loads=loads(with_totals),
        filed=filed,
    )


def _in_turn(
    jobs: tuple[Job, ...],
    registers: Registers,
    morning: States,
    *,
    tonight: States,
    filed: frozenset[str],
    stopped: frozenset[str],
    planner: Planner,
) -> tuple[Plan, ...]:
    now = dict(morning)
    plans = []
    going: list[_Out] = []
    named = Counter(name for job in jobs for name in job.cylinders)
    everybody_s = frozenset(named)
    for job in sorted(jobs, key=lambda item: (item.start, item.truck, item.job)):
        others = everybody_s.difference(name for name in job.cylinders if named[name] == 1)
        plan = planner(job, registers, now, others)
        if job.job not in filed:
            plan = _with_kit_left(plan, going, lambda job, kit: planner(job, kit, now, others))  # noqa: B023 - at once
            if plan.may_go_out and job.job not in stopped:
                going.append(_Out(span_of(plan), _hose_ids(plan), tools_of(plan), _least_psig(plan)))
        plans.append(plan)
        if job.job in filed:
            now.update({name: tonight[name] for name in job.cylinders if name in tonight})
        elif plan.may_go_out and job.job not in stopped:
            now.update(left_behind(plan))
    return by_start(plans)


class _Out(NamedTuple):
    """A job that goes: when it is on, the make-ups of its hoses, and how many core tools it takes that stand how much, psig."""

    span: Span
    hoses: tuple[str, ...]
    tools: int
    least_psig: float


def _least_psig(plan: Plan) -> float:
    return plan.hoses.least_psig if plan.hoses else 0.0


def _with_kit_left(plan: Plan, going: Iterable[_Out], again: Callable[[Job, Registers], Plan]) -> Plan:
    """A job some of whose hoses or core tools are out with jobs that are on when it starts, planned once more with those
    that are left: everything then follows from that pick. Where they do not do, the plan stays, and is told what is short.

    going: the jobs before it that go.
    """
    span = span_of(plan)
    on = [other for other in going if other.span.overlaps(span)]
    kit = plan.registers.equipment.kit
    out = Counter(item for other in on for item in other.hoses)
    have = Counter({hose.id: hose.count for hose in kit.hoses})
    tools = tools_left(kit.core_tools, [(other.tools, other.least_psig) for other in on])
    fit = sum(item.count for item in tools if plan.hoses and item.rating_psig >= plan.hoses.least_psig)
    if not plan.may_go_out or (Counter(_hose_ids(plan)) <= have - out and tools_of(plan) <= fit):
        return plan
    hoses = tuple(hose.model_copy(update={"count": (have - out)[hose.id]}) for hose in kit.hoses)
    left = kit.model_copy(update={"hoses": hoses, "core_tools": tools})
    equipment = plan.registers.equipment.model_copy(update={"kit": left})
    other = again(plan.job, plan.registers.model_copy(update={"equipment": equipment}))
    return plan if other.hoses is None or not other.may_go_out else other


def _hose_ids(plan: Plan) -> tuple[str, ...]:
    """The make-ups of the hoses that a job takes along, one for each hose."""
    return tuple(item.hose.id for item in plan.hoses.picked if not item.missing) if plan.hoses else ()


def _with_machines_as_they_come(plans: tuple[Plan, ...], stopped: frozenset[str]) -> Iterator[Plan]:
    """The plans, each machine with the gas that the job before it put through: its steps then say to clear it.

    A job that is stopped puts nothing through.
    """
    held: dict[str, str] = {}
    for plan in plans:
        machine = plan.machine
        if machine is None:
            yield plan
            continue
        had = held.get(machine.id, machine.last_refrigerant)
        yield replace(plan, machine=machine.model_copy(update={"last_refrigerant": had}))
        if plan.may_go_out and plan.job.job not in stopped:
            held[machine.id] = gas_of(plan)


def left_behind(plan: Plan) -> dict[str, CylinderState]:
    """What a job is planned to leave in the cylinders that it puts something into."""
    left = {}
    for item in plan.cylinders:
        if item.planned_lb.value > 0:
            name, mixed_of = after_putting(item.start, gas_of(plan), kg_from_float_lb(item.planned_lb.value))
            left[item.cylinder.id] = CylinderState(
                item.cylinder.id,
                name,
                item.contents_lb + item.planned_lb.value,
                plan.job.job,
                planned=True,
                mixed_of=mixed_of,
            )
    return left


def _joined(plan: Plan, told: Mapping[str, tuple[Finding, ...]]) -> tuple[Finding, ...]:
    return tuple(dict.fromkeys(plan.findings + told.get(plan.job.job, ())))


def _feeds_others(jobs: set[str], plans: tuple[Plan, ...]) -> bool:
    return any(item.start.planned and item.start.came_from in jobs for plan in plans for item in plan.cylinders)
