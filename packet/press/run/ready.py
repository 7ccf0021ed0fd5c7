"""A day made ready to print: planned, its hookups built, its kit counted, until nothing changes any more."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from packet.findings import Finding
from packet.hookup.model import Hookup
from packet.plan.day_model import Day
from packet.plan.model import Plan
from packet.press.run.day import DayInput
from packet.press.run.pool import Workers
from packet.press.run.work import hook
from packet.sheets.runsheet_kit import kit_findings

NO_HOOKUP = Hookup(stages=(), kit_list=(), findings=())


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A day ready to print. broken: jobs whose hookup could not be made, as the program failed; never printed."""

    item: DayInput
    day: Day
    hookups: Mapping[str, Hookup]
    broken: Mapping[str, Exception]


def plan_with_hookups(item: DayInput, workers: Workers) -> PlannedDay:
    """The day and its hookups: planned again while a hookup stops a job that a later one builds on."""
    stopped: frozenset[str] = frozenset()
    while True:
        day = item.planned(stopped)
        hookups = {plan.job.job: NO_HOOKUP for plan in day.plans}
        broken: dict[str, Exception] = {}
        for plan, made in workers.each(hook, [plan for plan in day.plans if plan.job.job not in item.filed]):
            if isinstance(made, Exception):
                broken[plan.job.job] = made
            else:
                hookups[plan.job.job] = made
        day = _with_kit(day, hookups)
        newly = {plan.job.job for plan in day.plans if not _goes(plan, hookups)} | broken.keys()
        newly -= stopped
        if not any(
            part.start.came_from in newly for plan in day.plans for part in plan.cylinders if part.start.planned
        ):
            return PlannedDay(item, day, hookups, broken)
        stopped |= newly


def _with_kit(day: Day, hookups: Mapping[str, Hookup]) -> Day:
    told: Mapping[str, tuple[Finding, ...]] = kit_findings(day, hookups)
    plans = tuple(replace(plan, findings=plan.findings + told.get(plan.job.job, ())) for plan in day.plans)
    return replace(day, plans=plans)


def _goes(plan: Plan, hookups: Mapping[str, Hookup]) -> bool:
    return plan.may_go_out and all(item.severity != "stop" for item in hookups[plan.job.job].findings)
