"""A day made ready to print: planned, its hookups built, its kit counted, until nothing changes any more."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from packet.findings import Finding
from packet.hookup.model import Hookup
from packet.plan.day_model import Day
from packet.plan.model import Plan
from packet.press.digest import digest
from packet.press.run.day import DayInput
from packet.press.run.known import Known, Memory, paper_digest, plan_digest
from packet.press.run.pool import Workers
from packet.press.run.work import hook
from packet.sheets.runsheet_kit import kit_findings
from packet.shop.records import Kit

NO_HOOKUP = Hookup(stages=(), kit_list=(), findings=())


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A day ready to print. broken: jobs whose hookup could not be made, as the program failed; never printed.

    light: jobs of whose hookup only the kit and the findings are there, as remembered; digests: what is remembered them
    by; revisions: of packets, as far as they are remembered; made_of: see `Known`, by job.
    """

    item: DayInput
    day: Day
    hookups: Mapping[str, Hookup]
    broken: Mapping[str, Exception]
    light: frozenset[str] = frozenset()
    digests: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    revisions: Mapping[str, str] = field(default_factory=dict)
    made_of: Mapping[str, str] = field(default_factory=dict)

    def known(self, revisions: Mapping[str, str]) -> dict[str, Known]:
        """What there is to remember of this day. revisions: what its packets were found to be."""
        return {
            job: Known(
                *made,
                revisions[job],
                self.hookups[job].kit_list,
                self.hookups[job].findings,
                self.made_of.get(job, ""),
            )
            for job, made in self.digests.items()
            if revisions.get(job) and job not in self.broken
        }


def plan_with_hookups(
    item: DayInput,
    workers: Workers,
    memory: Memory | None = None,
    whole: frozenset[str] = frozenset(),
    *,
    planned: Day | None = None,
    make: Callable[[Plan], Hookup] | None = None,
) -> PlannedDay:
    """The day and its hookups: planned again while a hookup stops a job that a later one builds on.

    memory: what is remembered of the day's hookups; those of the jobs in `whole` are built all the same. planned: the
    day's plan (`item.planned()`), where it has been worked out. make: what makes a hookup, by default `hook`; `proved_hookup` draws none.
    """
    stopped: frozenset[str] = frozenset()
    built: dict[str, tuple[Plan, Hookup]] = {}
    while True:
        day = item.planned(stopped) if stopped or planned is None else planned
        made_of = digest((item.made_of, *sorted(stopped))) if item.made_of else ""
        made = _hooked(item, day, workers, memory, whole, built, make or hook, made_of)
        newly = {plan.job.job for plan in made.day.plans if not _goes(plan, made.hookups)} | made.broken.keys()
        newly -= stopped
        if not any(
            part.start.came_from in newly for plan in day.plans for part in plan.cylinders if part.start.planned
        ):
            return made
        stopped |= newly


def _hooked(  # noqa: PLR0917 - all that a hookup may be known from
    item: DayInput,
    day: Day,
    workers: Workers,
    memory: Memory | None,
    whole: frozenset[str],
    built: dict[str, tuple[Plan, Hookup]],
    make: Callable[[Plan], Hookup],
    made_of: str,
) -> PlannedDay:
    """The day with its hookups and what its kit has to say. built: the hookups of this run, each with its plan.

    made_of: of what the plans were made: one made of the very same is the same plan, and its digest is remembered.
    """
    plans = {plan.job.job: plan for plan in day.plans if plan.job.job not in item.filed}
    known = {} if memory is None else memory.jobs
    plan_digests = (
        {} if memory is None else {job: _digest(plan, known.get(job), made_of) for job, plan in plans.items()}
    )
    light = {job: known[job] for job, made in plan_digests.items() if job in known and known[job].plan == made}
    light = {job: one for job, one in light.items() if job not in whole}
    hookups = {plan.job.job: NO_HOOKUP for plan in day.plans} | {job: one.hookup for job, one in light.items()}
    broken = _build([plan for job, plan in plans.items() if job not in light], hookups, workers, built, make)
    remade: dict[str, Plan] = {}

    def again(plan: Plan, left: Kit) -> bool:
        """From what is left while others have theirs; only where the job goes with that."""
        equipment = plan.registers.equipment.model_copy(update={"kit": left})
        with_left = replace(plan, registers=plan.registers.model_copy(update={"equipment": equipment}))
        ((_, made),) = workers.each(make, [with_left])
        if isinstance(made, Exception) or any(item.severity == "stop" for item in made.findings):
            return False
        remade[plan.job.job], hookups[plan.job.job] = with_left, made
        return True

    told: Mapping[str, tuple[Finding, ...]] = kit_findings(day, hookups, item.registers, again)
    day = replace(day, plans=tuple(remade.get(plan.job.job, plan) for plan in day.plans))
    plans |= remade
    light = {job: one for job, one in light.items() if job not in remade}
    if memory is not None:
        plan_digests |= {job: plan_digest(plan) for job, plan in remade.items()}
    digests = {job: (made, paper_digest(made, told.get(job, ()))) for job, made in plan_digests.items()}
    # where the kit has something else to say than last time, the packet is another
    other = [job for job, one in light.items() if one.paper != digests[job][1]]
    broken |= _build([plans[job] for job in other], hookups, workers, built, make)
    stay = frozenset(light).difference(other)
    told_to = tuple(replace(plan, findings=plan.findings + told.get(plan.job.job, ())) for plan in day.plans)
    revisions = {job: light[job].revision for job in stay}
    same = {job: made_of for job in plans if job not in remade}
    return PlannedDay(item, replace(day, plans=told_to), hookups, broken, stay, digests, revisions, same)


def _digest(plan: Plan, known: Known | None, made_of: str) -> str:
    """The plan's digest, worked out only where it is not remembered of one that was made of the very same."""
    return known.plan if known is not None and made_of and known.made_of == made_of else plan_digest(plan)


def _build(
    plans: list[Plan],
    hookups: dict[str, Hookup],
    workers: Workers,
    built: dict[str, tuple[Plan, Hookup]],
    make: Callable[[Plan], Hookup],
) -> dict[str, Exception]:
    """Put the plans' hookups among `hookups`; the jobs for which the program failed.

    A day is planned again where a job that is stopped leaves less to later ones: most plans are then what they were.
    """
    broken, left = {}, []
    for plan in plans:
        before = built.get(plan.job.job)
        if before is not None and before[0] == plan:
            hookups[plan.job.job] = before[1]
        else:
            left.append(plan)
    for plan, made in workers.each(make, left, here_too=True):
        if isinstance(made, Exception):
            broken[plan.job.job] = made
        else:
            hookups[plan.job.job] = made
            built[plan.job.job] = (plan, made)
    return broken


def _goes(plan: Plan, hookups: Mapping[str, Hookup]) -> bool:
    return plan.may_go_out and all(item.severity != "stop" for item in hookups[plan.job.job].findings)
