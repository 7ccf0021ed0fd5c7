"""What a change to the shop's files does to paper: which prints to pull back, which jobs are stopped by it, and what lies
in the output folder and is no longer true, which is taken away."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from packet.findings import Finding
from packet.press.run import state as run_state
from packet.press.run.day import DayFolder, read_days
from packet.press.run.known import recall
from packet.press.run.pool import Workers
from packet.press.run.print_days import open_days, take_joined
from packet.press.run.ready import PlannedDay, plan_with_hookups
from packet.press.run.stale import Pulled, Truth, printed_now, take_away, truth_of
from packet.shop.places import day_folders, job_files
from packet.shop.problems import Problem


@dataclass(frozen=True, slots=True)
class DaysNow:
    """How a shop's open days stand. stops: of each job that may not go out; unread: job files that cannot be used.

    outdated: prints that are no longer true. unknown: days of which nothing can be said, as the shop or the ledger cannot
    be read, and why.
    """

    truths: tuple[Truth, ...]
    stops: Mapping[str, tuple[Finding, ...]]
    unread: frozenset[str]
    outdated: tuple[Pulled, ...] = ()
    unknown: frozenset[str] = frozenset()
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Aftermath:
    """What a change did. pulled: prints that it made untrue; stopped: jobs with stops that they had not before.

    still: prints that were untrue before it, and may be out or not; good_again: prints that it made true; taken: what was taken out of the output folder as it is untrue; unknown: what was, as
    nothing is remembered of it; busy: that somebody prints into it now, so that nothing was taken; refused: why the machine
    would not take it away.
    """

    pulled: tuple[Pulled, ...]
    stopped: Mapping[str, tuple[Finding, ...]]
    taken: tuple[Path, ...]
    unknown: tuple[Path, ...] = ()
    still: tuple[Pulled, ...] = ()
    good_again: tuple[Pulled, ...] = ()
    busy: bool = False
    refused: str = ""
    problems: tuple[Problem, ...] = ()


def days_now(shop_folder: Path, out: Path, days: Iterable[str]) -> DaysNow:
    """How `days` (folder names) and all other days with paper stand, in the current language."""
    wanted = set(days)
    folders = [
        DayFolder(shop_folder, folder, job_files(folder))
        for folder in day_folders(shop_folder)
        if folder.name in wanted and job_files(folder)
    ]
    read, problems = read_days(folders)
    unknown = {folder.folder.name for folder in folders} - {item.folder_name for item in read}
    inputs = (*read, *open_days(shop_folder, out, wanted))
    planned: list[PlannedDay] = []
    for item in inputs:
        with Workers(1, item.registers.shop.language) as workers:
            planned.append(plan_with_hookups(item, workers, recall(out, item.folder_name)))
    stops = {
        plan.job.job: found
        for day in planned
        for plan in day.day.plans
        if plan.job.job not in day.item.filed
        and (found := tuple(one for one in _findings(day, plan.job.job) if one.severity == "stop"))
    }
    unread = frozenset(one.job for day in planned for one in day.item.unread)
    truths = tuple(truth_of(day) for day in planned)
    outdated = tuple(item for truth in truths for item in printed_now(shop_folder, truth))
    return DaysNow(truths, stops, unread, outdated, frozenset(unknown), problems if unknown else ())


def _findings(day: PlannedDay, job: str) -> tuple[Finding, ...]:
    return day.day.plan_of(job).findings + day.hookups[job].findings


def aftermath(shop_folder: Path, out: Path, before: DaysNow, days: Iterable[str]) -> Aftermath:
    """What became of the paper since `before`. days: those that the change touched. Raises OSError where the shop's own files cannot be read."""
    after = days_now(shop_folder, out, days)
    was, now = dict.fromkeys(before.outdated), dict.fromkeys(after.outdated)
    made = Aftermath(
        pulled=tuple(item for item in now if item not in was),
        stopped=_stopped_by(before, after),
        taken=(),
        still=tuple(item for item in now if item in was),
        good_again=tuple(item for item in was if item not in now),
        problems=after.problems,
    )
    if not out.is_dir():
        return made
    try:
        with run_state.alone(out):
            gone = take_away(shop_folder, out, after.truths)
            taken = (*gone.untrue, *take_joined(out, after.unknown))
            return replace(made, taken=taken, unknown=gone.unknown)
    except run_state.BusyError:
        return replace(made, busy=True)
    except OSError as error:
        # what is to be pulled back is told all the same
        return replace(made, refused=str(error))


def _stopped_by(before: DaysNow, after: DaysNow) -> dict[str, tuple[Finding, ...]]:
    stopped = {}
    for job, found in after.stops.items():
        had = {item.message for item in before.stops.get(job, ())}
        if new := tuple(item for item in found if item.message not in had):
            stopped[job] = new
    return stopped
