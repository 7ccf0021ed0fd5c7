"""The whole morning: every packet of the days asked for, a stack a truck, and the run sheet; in several processes.

What has not changed is left alone. What befalls one job never stops the others. Every file is written whole or not at
all, so that an interrupted run leaves nothing half done and the next one goes on from there. However little was asked
for, run sheet, stacks and packets agree at the end: what is no longer true is taken away.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from io import BytesIO
from pathlib import Path

from packet.hookup.model import Hookup
from packet.ledger.records import read_records, standing
from packet.plan.day_model import Day
from packet.plan.model import Plan
from packet.press.assets import MissingLibrary
from packet.press.digest import digest, tools
from packet.press.leaves import changed_leaves
from packet.press.run import state as run_state
from packet.press.run.day import DayFolder, DayInput, changed_since, fingerprints, folders, read_days
from packet.press.run.known import recall, remember
from packet.press.run.model import Event, EventKind, JobResult, OnEvent, Options, PrintOrder, Summary, stop_lines
from packet.press.run.pool import Workers, cores, warm_up
from packet.press.run.ready import PlannedDay, plan_with_hookups
from packet.press.run.sheet import BOARD, SetPart
from packet.press.run.stale import LEAVES, Taken, Truth, cut_from, has_paper, held, joined_name, take_away, truth_of
from packet.press.run.state import Remembered
from packet.press.run.work import JobTask, Said, SheetTask, StackTask, join, set_paper, what_it_says
from packet.press.stack import StackedPaper
from packet.sheets.runsheet import UnreadSheet, run_sheet
from packet.sheets.show import us_date
from packet.shop.places import day_folders, job_files
from packet.shop.problems import WrongPathError
from packet.shop.whole import OwnFileError, write_whole
from packet.words import t, use


def _quiet(_event: Event) -> None:
    """Nobody listens."""


def print_jobs(request: PrintOrder, on_event: OnEvent = _quiet) -> Summary:
    """Print the jobs meant by the request's paths into its folder: `{job}.pdf` and `{job}.readings.yaml` a job,
    `{date}-{truck}.pdf` a truck, `{date}-runsheet.pdf` a day.

    The language is the first shop's. on_event is called in this process, in the order things happen; what it raises
    (KeyboardInterrupt too) ends the run, and passes on once the workers are gone.

    Raises WrongPathError (a path, truck or job that is not there), BusyError, OSError where the output folder or the
    shop cannot be read or written, MissingLibrary where the machine lacks what sets type. What befalls a single job is
    in its result.
    """
    found = folders(request.paths)
    warm_up(_workers(request.options, len(request.options.jobs) or sum(len(day.asked) for day in found)))
    with run_state.alone(request.out):
        before = fingerprints(found)
        inputs, problems = read_days(found)
        unplanned = _unplanned(found, inputs)
        _check_filters(inputs, unplanned, request)
        made = _Made(request, on_event)
        for shop in dict.fromkeys(item.shop_folder for item in inputs):
            _print_shop([item for item in inputs if item.shop_folder == shop], made)
        # no stack or run sheet of theirs may look current
        made.take(take_joined(request.out, {day.folder.name for day in unplanned}))
        overtaken = changed_since(before, fingerprints(found))
        return Summary(
            results=tuple(made.results),
            problems=problems + overtaken,
            overtaken=overtaken,
            stacks=tuple(made.stacks),
            runsheets=tuple(made.runsheets),
            taken=tuple(made.taken),
            unknown=tuple(made.unknown),
            leaves=tuple(made.leaves),
            days=tuple(made.days),
            hookups=tuple(made.hookups.items()),
            records={item.shop_folder: item.records for item in inputs},
        )


@dataclass(slots=True)
class _Made:
    """What the run has made so far."""

    request: PrintOrder
    on_event: OnEvent
    results: list[JobResult] = field(default_factory=list)
    stacks: list[Path] = field(default_factory=list)
    runsheets: list[Path] = field(default_factory=list)
    taken: list[Path] = field(default_factory=list)
    unknown: list[Path] = field(default_factory=list)
    leaves: list[Path] = field(default_factory=list)
    days: list[Day] = field(default_factory=list)
    hookups: dict[str, Hookup] = field(default_factory=dict)
    total: int = 0

    def tell(self, kind: EventKind, name: str = "", path: Path | None = None, result: JobResult | None = None) -> None:
        """Tell the listener."""
        self.on_event(Event(kind, len(self.results), self.total, name, path, result))

    def told(self, result: JobResult) -> None:
        """A job is done."""
        self.results.append(result)
        self.tell("done", result.job, result.path, result)

    def take(self, paths: tuple[Path, ...]) -> None:
        """Papers were taken away."""
        for path in paths:
            if path not in self.taken:
                self.taken.append(path)
                self.tell("taken", path.name, path)

    def take_all(self, gone: Taken) -> None:
        """Papers were taken away, but for those that were made anew since."""
        self.take(tuple(path for path in gone.untrue if not path.is_file()))
        self.unknown += [path for path in gone.unknown if not path.is_file() and path not in self.unknown]


def _workers(options: Options, jobs: int) -> int:
    """How many processes print so many jobs."""
    return min(options.workers or cores(), jobs)


def _unplanned(found: tuple[DayFolder, ...], inputs: tuple[DayInput, ...]) -> tuple[DayFolder, ...]:
    """Days of which nothing is known, as the shop or the ledger cannot be read."""
    read = {(item.shop_folder, item.folder_name) for item in inputs}
    return tuple(day for day in found if (day.shop_folder, day.folder.name) not in read)


def _check_filters(inputs: tuple[DayInput, ...], unplanned: tuple[DayFolder, ...], request: PrintOrder) -> None:
    """What was asked for is there, as far as that can be known: of an `unplanned` day only its files' names are."""
    options = request.options
    there = [(job.job, job.truck) for item in inputs for job in item.jobs if job.job in item.asked]
    there += [(one.job, one.truck) for item in inputs for one in item.unread if one.job in item.asked]
    for truck in options.trucks:
        if not unplanned and truck not in {name for _, name in there}:
            raise WrongPathError(t("There is no job for truck '{truck}' in what was asked for.", truck=truck))
    for job in options.jobs:
        if job not in {*(name for name, _ in there), *(path.stem for day in unplanned for path in day.asked)}:
            raise WrongPathError(t("There is no job '{job}' in what was asked for.", job=job))


def _print_shop(inputs: list[DayInput], made: _Made) -> None:
    shop_folder, out = inputs[0].shop_folder, made.request.out
    language = inputs[0].registers.shop.language
    use(language)
    options = made.request.options
    to_print = sum(job.job in item.asked and options.wants(job.job, job.truck) for item in inputs for job in item.jobs)
    made.total += to_print
    made.tell("planning")
    with Workers(_workers(options, to_print), language) as workers:
        truths = []
        for item in inputs:
            whole = frozenset(
                job.job for job in item.jobs if job.job in item.asked and options.wants(job.job, job.truck)
            )
            planned = plan_with_hookups(item, workers, recall(out, item.folder_name), whole)
            made.days.append(planned.day)
            made.hookups |= planned.hookups
            order, stops = _running_order(planned), _stops(planned, options)
            made.on_event(
                Event("planned", len(made.results), made.total, item.date.isoformat(), order=order, stops=stops)
            )
            truths.append(_print_day(planned, workers, made))
            remember(out, item.folder_name, planned.known(truths[-1].revisions))
        # what this run changed, or the registers since, may have made other days' papers untrue
        truths += [
            truth_of(plan_with_hookups(item, workers, recall(out, item.folder_name))) for item in _others(inputs, out)
        ]
        made.take_all(take_away(shop_folder, out, truths))


def _running_order(planned: PlannedDay) -> tuple[str, ...]:
    """The day's jobs by truck and start, those that cannot be read where they say."""
    jobs = [(plan.job.truck, f"{plan.job.start:%H:%M}", plan.job.job) for plan in planned.day.plans]
    jobs += [(one.truck, one.start, one.job) for one in planned.item.unread]
    return tuple(name for _, _, name in sorted(jobs, key=lambda item: (item[0] == "", item)))


def _stops(planned: PlannedDay, options: Options) -> frozenset[str]:
    """What keeps the jobs that are asked for at home, and whatever cannot be read."""
    item = planned.item
    found = {str(problem) for one in item.unread for problem in one.problems}
    found |= {one.job for one in item.unread if one.job in item.asked and options.wants(one.job, one.truck)}
    for plan in planned.day.plans:
        job = plan.job.job
        if job in item.asked and job not in item.filed and options.wants(job, plan.job.truck):
            every = (*plan.findings, *planned.hookups[job].findings)
            words = [finding.message for finding in every if finding.severity == "stop"]
            found |= stop_lines(job, words) if words else frozenset()
    return frozenset(found)


def _others(inputs: list[DayInput], out: Path) -> tuple[DayInput, ...]:
    """The shop's other days that have jobs to come and papers that may be untrue."""
    return open_days(inputs[0].shop_folder, out, {item.folder_name for item in inputs}, inputs[0].filed)


def open_days(
    shop_folder: Path,
    out: Path,
    known: set[str] | frozenset[str] = frozenset(),
    filed: frozenset[str] | None = None,
) -> tuple[DayInput, ...]:
    """Every day of a shop with jobs that are not filed and papers that may be untrue, but for those `known`.

    filed: the jobs that are, where they have been read.
    """
    if filed is None:
        counted = standing(read_records(shop_folder).filed)
        filed = frozenset(item.first.subject for item in counted if item.kind == "job")
    days = [
        DayFolder(shop_folder, folder, job_files(folder))
        for folder in day_folders(shop_folder)
        if folder.name not in known and has_paper(shop_folder, out, folder, filed)
    ]
    return read_days(days)[0]


def take_joined(out: Path, days: Iterable[str]) -> tuple[Path, ...]:
    """Take away the stacks and the run sheets of days of which nothing is known; what went. Raises OSError."""
    gone = tuple(path for day in sorted(days) for path in sorted(out.glob(f"{day}-*.pdf")) if path.is_file())
    for path in gone:
        path.unlink()
    return gone


def _print_day(planned: PlannedDay, workers: Workers, made: _Made) -> Truth:
    """Print what was asked for and the run sheet, and see whether all other packets of the day are still current.

    What is no longer true is taken away before anything is printed: whenever the run ends, even killed, what lies there
    agrees. What each paper of the day is, or would be.
    """
    item, request = planned.item, made.request
    asked = {
        plan.job.job
        for plan in planned.day.plans
        if plan.job.job in item.asked and request.options.wants(plan.job.job, plan.job.truck)
    }
    # where no packet lies, none can say something else than it would: that is made out when it is printed
    said = _said(planned, workers, {name for name in asked if not (request.out / f"{name}.pdf").exists()})
    sheet = run_sheet(planned.day, planned.hookups, item.registers.shop, item.unread)
    truth = truth_of(planned, {name: one.revision if one else "" for name, one in said.items()}, sheet)
    gone = take_away(item.shop_folder, request.out, [truth])
    results: dict[str, JobResult] = {}
    # a job with the name of another paper has no sheet of its own; the board says why
    reserved = {f"{item.folder_name}-{name}" for name in (BOARD, *(page.truck for page in sheet.trucks))}
    for one in item.unread:
        if one.job in reserved:
            results[one.job] = JobResult(one.job, "", "not-read", may_go_out=False)
            made.told(results[one.job])
    # the run sheet's parts go first: they need no packet
    tasks: list[JobTask | SheetTask] = [
        SheetTask(part, item.shop_folder, request.out, item.folder_name, request.printed_at, tools())
        for part in sheet.parts
        if not (isinstance(part, UnreadSheet) and part.job in reserved)
    ]
    for plan in planned.day.plans:
        name = plan.job.job
        if name in item.filed:
            if name in asked:
                made.told(JobResult(name, plan.job.truck, "filed", words=(t("Its readings are filed."),)))
        elif name in planned.broken:
            results[name] = _broken(name, plan.job.truck, planned.broken[name])
            if name in asked:
                made.told(results[name])
        else:
            tasks.append(_task(planned, plan, request, said[name], asked=name in asked))
    parts: dict[str, Path] = {}
    for task, done in workers.each(set_paper, tasks):
        if isinstance(done, MissingLibrary):
            raise done
        if isinstance(task, SheetTask):
            _sheet_done(task, done, parts, results, made, item)
        else:
            assert isinstance(done, JobResult | Exception)
            job = task.plan.job
            results[job.job] = done if isinstance(done, JobResult) else _broken(job.job, job.truck, done)
            if task.asked:
                made.told(results[job.job])
    _finish(planned, results, parts, sheet.unread, made, workers)
    made.take_all(gone)
    printed = {name: results[name].revision for name, one in said.items() if one is None and name in results}
    return replace(truth, revisions={**truth.revisions, **printed})


def _said(planned: PlannedDay, workers: Workers, new: set[str]) -> dict[str, Said | None]:
    """What each packet of a day would say, where it is not remembered; None for one that is `new`, or that the program cannot
    make."""
    jobs = [
        (plan, planned.hookups[plan.job.job])
        for plan in planned.day.plans
        if plan.job.job not in planned.item.filed
        and plan.job.job not in planned.broken
        and plan.job.job not in planned.revisions
        and plan.job.job not in new
    ]
    found: dict[str, Said | None] = {job: Said(revision, "") for job, revision in planned.revisions.items()}
    found |= dict.fromkeys(new)
    for (plan, _), done in workers.each(what_it_says, jobs):
        found[plan.job.job] = done if isinstance(done, Said) else None
    return found


def _sheet_done(  # noqa: PLR0917 - all that a part may end up in
    task: SheetTask,
    done: JobResult | SetPart | Path | Exception,
    parts: dict[str, Path],
    results: dict[str, JobResult],
    made: _Made,
    item: DayInput,
) -> None:
    """Take down what came of a part of the run sheet, or of an unread job's sheet."""
    if isinstance(done, SetPart):
        parts[done.name] = done.path
    elif isinstance(task.sheet, UnreadSheet):
        job = task.sheet
        if isinstance(done, Path):
            results[job.job] = JobResult(
                job.job,
                job.truck,
                "not-read",
                path=done,
                may_go_out=False,
                words=job.reasons,
                pages=(t("Do not dispatch"),),
            )
        else:
            assert isinstance(done, Exception)
            results[job.job] = _broken(job.job, job.truck, done)
        if job.job in item.asked and made.request.options.wants(job.job, job.truck):
            made.told(results[job.job])
    else:
        assert isinstance(done, Exception)
        made.told(_broken(t("run sheet {date}", date=task.day), "", done))


def _task(planned: PlannedDay, plan: Plan, request: PrintOrder, said: Said | None, *, asked: bool) -> JobTask:
    return JobTask(
        plan=plan,
        hookup=planned.hookups[plan.job.job],
        shop_folder=planned.item.shop_folder,
        out=request.out,
        printed_at=request.printed_at,
        form=request.form,
        fresh=request.options.fresh and asked,
        asked=asked,
        said=said,
        html=request.options.html and asked,
        tools=tools(),
    )


def _broken(job: str, truck: str, error: Exception) -> JobResult:
    return JobResult(job, truck, "failed", words=(f"{type(error).__name__}: {error}",))


def _finish(  # noqa: PLR0917 - all that a day's end hangs on
    planned: PlannedDay,
    results: Mapping[str, JobResult],
    parts: Mapping[str, Path],
    unread: tuple[UnreadSheet, ...],
    made: _Made,
    workers: Workers,
) -> None:
    """Join the run sheet and every truck's stack whose packets are all current; what cannot be joined goes."""
    joined: list[_Joined] = []
    out, day, item = made.request.out, planned.day, planned.item
    language, date = item.registers.shop.language, item.folder_name
    trucks = {load.truck_id: tuple(name for name in load.jobs if name not in day.filed) for load in day.loads}
    for one in unread:
        if one.truck and (one.job not in results or results[one.job].path is not None):
            trucks[one.truck] = (*trucks.get(one.truck, ()), one.job)
    for truck, jobs in sorted(trucks.items()):
        path = out / f"{date}-{truck}.pdf"
        # a truck of nothing but unread jobs has no page of its own
        top = [StackedPaper(t("Truck {truck}", truck=truck), parts[truck])] if truck in parts else []
        packets = _packets(jobs, results)
        page_missing = truck not in parts and any(load.truck_id == truck for load in day.loads)
        if not jobs or packets is None or page_missing:
            _take(path, made)
            continue
        title = t("Truck {truck}, {date}", truck=truck, date=us_date(day.date))
        joined.append(_Joined(StackTask((*top, *packets), path, title, language), date, truck, held(jobs)))
        if made.request.options.changed:
            leaves = changed_leaves(
                [part.path for part in packets], item.shop_folder, jobs, _loaded(day.date, made.request)
            )
            where = out / f"{date}-{truck}.changed.pdf"
            if leaves is None:
                _take(where, made)
            else:
                whole = BytesIO()
                leaves.save(whole, deterministic_id=True)
                write_whole(where, whole.getvalue())
                remembered = Remembered("", cut_from(out, jobs), run_state.of_file(where), "")
                run_state.write_job(out, joined_name(date, f"{truck}{LEAVES}"), remembered)
                made.leaves.append(where)
    path = out / f"{date}-{BOARD}.pdf"
    if len(parts) <= len(day.loads):  # a part failed
        _take(path, made)
        _join(joined, made, workers)
        return
    pages = [StackedPaper(t("Day board"), parts[BOARD])]
    pages += [StackedPaper(t("Truck {truck}", truck=load.truck_id), parts[load.truck_id]) for load in day.loads]
    homeless = [one.job for one in unread if not one.truck and one.job in results]
    pages += [StackedPaper(name, lies) for name in homeless if (lies := results[name].path) is not None]
    title = t("Run sheet, {date}", date=us_date(day.date))
    joined.append(_Joined(StackTask(tuple(pages), path, title, language, duplex=False), date, BOARD, ""))
    _join(joined, made, workers)


def _loaded(on: date, request: PrintOrder) -> datetime | None:
    """When the trucks of a day were loaded, where that was said."""
    at = request.options.loaded
    return None if at is None else datetime.combine(on, at, request.printed_at.tzinfo)


def _packets(jobs: tuple[str, ...], results: Mapping[str, JobResult]) -> tuple[StackedPaper, ...] | None:
    """A truck's packets in running order; None where one is missing or not current."""
    found = []
    for name in jobs:
        result = results.get(name)
        if result is None or result.path is None:
            return None
        found.append(StackedPaper(name, result.path, result.pages))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Joined:
    """A stack or a run sheet as it is to lie there. jobs: those held in it."""

    task: StackTask
    day: str
    name: str
    jobs: str

    def made_of(self) -> str:
        """A digest of all that is joined."""
        task = self.task
        parts = [f"{part.title}\n{part.sheets}\n{run_state.of_file(part.path)}" for part in task.parts]
        return digest([tools(), task.title, task.language, str(task.duplex), *parts])


def _join(papers: Sequence[_Joined], made: _Made, workers: Workers) -> None:
    """Join each, unless it lies there and was joined from the very same."""
    from pikepdf import PdfError

    out, made_of, failed = made.request.out, dict[Path, str](), dict[Path, Exception]()
    for paper in papers:
        digests = paper.made_of()
        remembered = Remembered(digests, paper.jobs, run_state.of_file(paper.task.path), "")
        if run_state.read_job(out, joined_name(paper.day, paper.name)) != remembered:
            made_of[paper.task.path] = digests
    for task, done in workers.each(join, [paper.task for paper in papers if paper.task.path in made_of]):
        if isinstance(done, Exception):
            if not isinstance(done, OSError | ValueError | OwnFileError | PdfError):
                raise done
            failed[task.path] = done
    for paper in papers:
        path = paper.task.path
        if path in failed:
            _take(path, made)
            made.told(_broken(path.name, "", failed[path]))
            continue
        if path in made_of:
            now = Remembered(made_of[path], paper.jobs, run_state.of_file(path), "")
            run_state.write_job(out, joined_name(paper.day, paper.name), now)
        (made.runsheets if paper.name == BOARD else made.stacks).append(path)
        made.tell("runsheet" if paper.name == BOARD else "stack", path.name, path)


def _take(path: Path, made: _Made) -> None:
    if path.is_file():
        path.unlink()
        made.take((path,))
