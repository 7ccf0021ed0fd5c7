"""The whole morning: every packet of the days asked for, a stack a truck, and the run sheet; in several processes.

What has not changed is left alone. What befalls one job never stops the others. Every file is written whole or not at
all, so that an interrupted run leaves nothing half done and the next one goes on from there.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from packet.findings import Finding
from packet.hookup.model import Hookup
from packet.plan.day_model import Day
from packet.plan.model import Plan
from packet.press.assets import MissingLibrary
from packet.press.digest import tools
from packet.press.printed import print_files, printed_folder
from packet.press.run import state as run_state
from packet.press.run.day import DayFolder, DayInput, folders, key, read_days
from packet.press.run.model import Event, EventKind, JobResult, OnEvent, Request, Summary
from packet.press.run.pool import Workers, cores
from packet.press.run.work import JobTask, SheetTask, StackTask, hook, set_paper
from packet.press.stack import Part
from packet.sheets.runsheet import run_sheet
from packet.sheets.runsheet_kit import kit_findings
from packet.shop.problems import WrongPathError
from packet.words import t, use

NO_HOOKUP = Hookup(stages=(), kit_list=(), findings=())


def _quiet(_event: Event) -> None:
    """Nobody listens."""


def print_jobs(request: Request, on_event: OnEvent = _quiet) -> Summary:
    """Print the jobs meant by the request's paths into its folder: `{job}.pdf` and `{job}.readings.yaml` a job,
    `{date}-{truck}.pdf` a truck, `{date}-runsheet.pdf` a day.

    The language is the first shop's. on_event is called in this process, in the order things happen; what it raises
    (KeyboardInterrupt too) ends the run, and passes on once the workers are gone.

    Raises WrongPathError (a path, truck or job that is not there), BusyError, OSError where the output folder or the
    shop cannot be read or written, MissingLibrary where the machine lacks what sets type. What befalls a single job is
    in its result.
    """
    found = folders(request.paths)
    with run_state.alone(request.out):
        known, todo = _split(found, request)
        inputs, problems = read_days(todo)
        _check_filters(inputs, known, request)
        made = _Made(request, on_event)
        made.total = len(known)
        for result in known:
            _told(made, result)
        for shop in dict.fromkeys(item.shop_folder for item in inputs):
            _print_shop([item for item in inputs if item.shop_folder == shop], todo, made, whole=not problems)
        return Summary(
            results=tuple(made.results),
            problems=problems,
            stacks=tuple(made.stacks),
            runsheets=tuple(made.runsheets),
            days=tuple(made.days),
            hookups=tuple(made.hookups.items()),
        )


@dataclass(slots=True)
class _Made:
    """What the run has made so far."""

    request: Request
    on_event: OnEvent
    results: list[JobResult] = field(default_factory=list)
    stacks: list[Path] = field(default_factory=list)
    runsheets: list[Path] = field(default_factory=list)
    days: list[Day] = field(default_factory=list)
    hookups: dict[str, Hookup] = field(default_factory=dict)
    total: int = 0

    def tell(self, kind: EventKind, name: str = "", path: Path | None = None, result: JobResult | None = None) -> None:
        """Tell the listener."""
        self.on_event(Event(kind, len(self.results), self.total, name, path, result))


def _split(found: tuple[DayFolder, ...], request: Request) -> tuple[list[JobResult], list[DayFolder]]:
    """Days for which nothing can have changed, as results; and the others."""
    known: list[JobResult] = []
    todo: list[DayFolder] = []
    for day in found:
        jobs = None if request.options.fresh else run_state.read_day(request.out, day.folder.name, key(day))
        asked = {path.stem for path in day.asked}
        if jobs is None or not asked <= jobs.keys() or not _recorded(day, jobs):
            todo.append(day)
            continue
        results = [run_state.as_unchanged(request.out, name, raw) for name, raw in jobs.items()]
        known += [item for item in results if item.job in asked and _wanted(item.job, item.truck, request)]
    return known, todo


def _recorded(day: DayFolder, jobs: Mapping[str, Any]) -> bool:
    """Whether the shop still has the record of every print."""
    files = print_files(printed_folder(day.shop_folder))
    return all(
        any(file.revision == raw["revision"] for file in files.get(name, ()))
        for name, raw in jobs.items()
        if raw["outcome"] != "filed"
    )


def _wanted(job: str, truck: str, request: Request) -> bool:
    options = request.options
    return (not options.job or job == options.job) and (not options.truck or truck == options.truck)


def _check_filters(inputs: tuple[DayInput, ...], known: list[JobResult], request: Request) -> None:
    options = request.options
    there = [(job.job, job.truck) for item in inputs for job in item.jobs if job.job in item.asked]
    there += [(item.job, item.truck) for item in known]
    if options.truck and options.truck not in {truck for _, truck in there}:
        raise WrongPathError(t("There is no job for truck '{truck}' in what was asked for.", truck=options.truck))
    if options.job and options.job not in {job for job, _ in there}:
        raise WrongPathError(t("There is no job '{job}' in what was asked for.", job=options.job))


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A day ready to print. broken: jobs whose hookup could not be made, as the program failed; never printed."""

    item: DayInput
    day: Day
    hookups: Mapping[str, Hookup]
    broken: Mapping[str, Exception]


def _print_shop(inputs: list[DayInput], todo: list[DayFolder], made: _Made, *, whole: bool) -> None:
    language = inputs[0].registers.shop.language
    use(language)
    jobs = [job for item in inputs for job in item.jobs]
    asked = [job for item in inputs for job in item.jobs if job.job in item.asked]
    to_print = sum(_wanted(job.job, job.truck, made.request) for job in asked)
    made.total += sum(_wanted(job.job, job.truck, made.request) for job in jobs)
    made.tell("planning")
    with Workers(min(made.request.options.workers or cores(), to_print), language) as workers:
        for item in inputs:
            planned = plan_with_hookups(item, workers)
            made.days.append(planned.day)
            made.hookups |= planned.hookups
            made.tell("planned", name=item.date.isoformat())
            results, sheet = _print_day(planned, workers, made)
            files = (
                *(one.path for one in results.values() if one.path),
                *sheet,
                *_finish(planned, results, workers, made),
            )
            if whole and all(one.outcome not in {"failed", "stale"} for one in results.values()):
                folder = next(one for one in todo if one.folder.name == item.folder_name)
                run_state.write_day(made.request.out, item.folder_name, key(folder), results, files)


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


def _print_day(planned: PlannedDay, workers: Workers, made: _Made) -> tuple[dict[str, JobResult], tuple[Path, ...]]:
    """Print what was asked for and the run sheet, and see whether the other packets of the same trucks are still
    current. How each job ended, and the run sheet's path.
    """
    item, request = planned.item, made.request
    jobs = {plan.job.job: plan for plan in planned.day.plans}
    asked = {name for name, plan in jobs.items() if name in item.asked and _wanted(name, plan.job.truck, request)}
    trucks = {jobs[name].job.truck for name in asked}
    results: dict[str, JobResult] = {}
    # the run sheet goes first: it takes longest, and needs no packet
    tasks: list[JobTask | SheetTask] = [
        SheetTask(run_sheet(planned.day, planned.hookups), request.out, planned.day.date.isoformat(), tools())
    ]
    written: list[Path] = []
    for name, plan in jobs.items():
        if name in item.filed:
            if name in asked:
                results[name] = JobResult(name, plan.job.truck, "filed", words=(t("Its readings are filed."),))
        elif name in planned.broken:
            if name in asked:
                results[name] = _broken(name, plan.job.truck, planned.broken[name])
        elif plan.job.truck in trucks:
            tasks.append(_task(planned, plan, request, asked=name in asked))
    for result in results.values():
        _told(made, result)
    for task, done in workers.each(set_paper, tasks, tidy=True):
        if isinstance(task, SheetTask):
            written += _laid(task, done, made)
            continue
        assert not isinstance(done, Path)
        if isinstance(done, MissingLibrary):
            raise done
        job = task.plan.job
        result = done if isinstance(done, JobResult) else _broken(job.job, job.truck, done)
        results[job.job] = result
        if task.asked or (result.outcome == "stale" and result.words):
            _told(made, result)
    return results, tuple(written)


def _task(planned: PlannedDay, plan: Plan, request: Request, *, asked: bool) -> JobTask:
    return JobTask(
        plan=plan,
        hookup=planned.hookups[plan.job.job],
        shop_folder=planned.item.shop_folder,
        out=request.out,
        printed_at=request.printed_at,
        form=request.form,
        fresh=request.options.fresh and asked,
        asked=asked,
        html=request.options.html and asked,
        tools=tools(),
    )


def _told(made: _Made, result: JobResult) -> None:
    made.results.append(result)
    made.tell("done", result.job, result.path, result)


def _broken(job: str, truck: str, error: Exception) -> JobResult:
    return JobResult(job, truck, "failed", words=(f"{type(error).__name__}: {error}",))


def _finish(planned: PlannedDay, results: Mapping[str, JobResult], workers: Workers, made: _Made) -> tuple[Path, ...]:
    """The stacks of the trucks that were printed for; their paths."""
    out, day = made.request.out, planned.day
    tasks = []
    for truck, parts in _stacks(day, results):
        path = out / f"{day.date.isoformat()}-{truck}.pdf"
        if parts is None:
            # a packet of this truck is missing or no longer current: no stack is better than a wrong one
            path.unlink(missing_ok=True)
            continue
        title = t("Truck {truck}, {date}", truck=truck, date=day.date.isoformat())
        tasks.append(StackTask(parts, path, title, planned.item.registers.shop.language))
    return tuple(path for task, done in workers.each(set_paper, tasks) for path in _laid(task, done, made))


def _laid(task: StackTask | SheetTask, done: JobResult | Path | Exception, made: _Made) -> tuple[Path, ...]:
    """Take down what came of a stack or a run sheet; its path, when there is one."""
    if isinstance(done, MissingLibrary):
        raise done
    if isinstance(done, Path):
        is_stack = isinstance(task, StackTask)
        (made.stacks if is_stack else made.runsheets).append(done)
        made.tell("stack" if is_stack else "runsheet", done.name, done)
        return (done,)
    name = task.path.name if isinstance(task, StackTask) else t("run sheet {date}", date=task.name)
    _told(made, done if isinstance(done, JobResult) else _broken(name, "", done))
    return ()


def _stacks(day: Day, results: Mapping[str, JobResult]) -> Iterator[tuple[str, tuple[Part, ...] | None]]:
    """Each truck that has results, with its packets in running order; None where one of them is not current."""
    for load in day.loads:
        jobs = [name for name in load.jobs if name not in day.filed]
        if not any(name in results for name in jobs):
            continue
        parts = [(name, results[name].path if name in results else None) for name in jobs]
        known = tuple(Part(name, path) for name, path in parts if path is not None)
        yield load.truck_id, known if len(known) == len(jobs) else None
