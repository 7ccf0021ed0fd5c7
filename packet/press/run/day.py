"""Reading what a print run is about: shops, ledgers and whole days, with every problem told."""

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, time
from functools import partial
from hashlib import sha256
from pathlib import Path

from packet.ledger.records import Records, read_records, standing
from packet.ledger.state import UnreadableRecordsError, ledger_from
from packet.plan.day import States, plan_day
from packet.plan.day_model import Day
from packet.press.card import CARD
from packet.press.digest import digest
from packet.shop.load import REGISTER_FILES, days_of_jobs, find_shop, load_jobs, load_registers, targets, texts_read
from packet.shop.places import job_files, strays
from packet.shop.problems import Problem
from packet.shop.records import Job, Registers
from packet.shop.unread import UnreadJob, unread_job
from packet.shop.whole import OwnFileError, read_whole
from packet.words import languages, t

MIDNIGHT = time(0, 0)


@dataclass(frozen=True, slots=True)
class DayFolder:
    """A day's folder and the job files in it that were asked for."""

    shop_folder: Path
    folder: Path
    asked: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class DayInput:
    """Everything a day is planned from. registers: as they stand that morning; asked: job ids to print; records: of the shop.

    jobs: those that stand; called_off: ids of those that do not; unread: job files that cannot be used. made_of: a digest
    of the very texts that its plans are made from, '' where these are not at hand.
    """

    shop_folder: Path
    folder_name: str
    date: date
    registers: Registers
    states: States
    tonight: States
    filed: frozenset[str]
    jobs: tuple[Job, ...]
    asked: frozenset[str]
    unread: tuple[UnreadJob, ...] = ()
    called_off: tuple[str, ...] = ()
    records: Records = field(default_factory=partial(Records, (), ()))
    made_of: str = ""

    def planned(self, stopped: frozenset[str] = frozenset()) -> Day:
        """The day's plan; `stopped` as for `plan_day`."""
        if not self.jobs:
            return Day(self.date, (), (), (), self.filed)
        return plan_day(self.jobs, self.registers, self.states, tonight=self.tonight, filed=self.filed, stopped=stopped)


def folders(paths: Iterable[Path]) -> tuple[DayFolder, ...]:
    """The days meant by `paths`, in order. Raises WrongPathError."""
    by_folder: dict[Path, list[Path]] = {}
    for path in targets(paths):
        by_folder.setdefault(path.parent, []).append(path)
    return tuple(DayFolder(find_shop(folder), folder, tuple(asked)) for folder, asked in by_folder.items())


def fingerprints(days: Iterable[DayFolder]) -> dict[Path, str]:
    """The digest of every file that these days are planned from, as it is now."""
    paths = {day.shop_folder / name for day in days for name in REGISTER_FILES}
    paths |= {path for day in days for path in job_files(day.folder)}
    found = {}
    for path in sorted(paths):
        with suppress(OSError, OwnFileError):
            found[path] = sha256(read_whole(path)).hexdigest()
    return found


def changed_since(before: Mapping[Path, str], now: Mapping[Path, str]) -> tuple[Problem, ...]:
    """A problem for every file that was saved, added or taken away while the packets were being printed."""
    return tuple(
        Problem(
            str(path),
            0,
            "",
            t("The file was changed while the packets were being printed."),
            t("Print again: the paper may still say what stood there before."),
        )
        for path in sorted(before.keys() | now.keys())
        if before.get(path) != now.get(path)
    )


@dataclass(frozen=True, slots=True)
class _Shop:
    """What all days of a shop are read with. days: the day folders of its jobs; filed, not_done: the jobs that are;
    dates: days of which something is filed; trouble: why nothing may rest on the records.
    """

    registers: Registers | None
    records: Records
    days: Mapping[str, tuple[Path, ...]]
    filed: frozenset[str]
    not_done: frozenset[str]
    dates: frozenset[str]
    trouble: str


def read_days(
    days: Iterable[DayFolder], *, only_open: bool = False
) -> tuple[tuple[DayInput, ...], tuple[Problem, ...]]:
    """Each day's input, and all problems. A day whose shop cannot be read is left out.

    only_open: a day of which every job is filed or called off is left out, too; what is wrong with its files is told.
    """
    found: list[DayInput] = []
    problems: list[Problem] = []
    shops: dict[Path, _Shop] = {}
    for day in days:
        if day.shop_folder not in shops:
            loaded = load_registers(day.shop_folder)
            problems += loaded.problems
            shops[day.shop_folder] = _shop(day.shop_folder, loaded.value)
        shop = shops[day.shop_folder]
        if shop.registers is not None:
            item, more = _read_day(day, shop, shop.registers, only_open=only_open)
            found += [item] if item else []
            problems += more
    return tuple(found), tuple(dict.fromkeys(problems))


def _shop(folder: Path, registers: Registers | None) -> _Shop:
    records = read_records(folder)
    counted = standing(records.filed)
    return _Shop(
        registers,
        records,
        days_of_jobs(folder),
        filed=frozenset(item.first.subject for item in counted if item.kind == "job"),
        not_done=frozenset(str(item.record.body.get("job", "")) for item in counted if item.kind == "not-done"),
        dates=frozenset(item.record.date for item in counted),
        trouble=records.trouble,
    )


def _read_day(
    day: DayFolder, shop: _Shop, registers: Registers, *, only_open: bool
) -> tuple[DayInput | None, list[Problem]]:
    problems = list(strays(day.folder))
    jobs: list[Job] = []
    unread: list[UnreadJob] = []
    for path, loaded in load_jobs(day.folder, registers, shop.days):
        found = list(loaded.problems)
        if loaded.value is not None and loaded.value.job in _names(loaded.value):
            found.append(_taken_name(path, loaded.value.job))
        problems += found
        if loaded.value is None or found:
            unread.append(unread_job(path, tuple(found)))
        else:
            jobs.append(loaded.value)
    try:
        on = date.fromisoformat(day.folder.name)
    except ValueError:
        return None, problems  # its jobs have said that the folder is not named after their day
    called_off = tuple(job.job for job in jobs if job.called_off or job.job in shop.not_done)
    # a slip in the file of a job that is called off keeps no truck waiting
    called_off += tuple(one.job for one in unread if one.called_off or one.job in shop.not_done)
    jobs = [job for job in jobs if job.job not in called_off]
    unread = [one for one in unread if one.job not in called_off]
    over = not unread and shop.filed.issuperset(job.job for job in jobs)
    if only_open and over and not shop.trouble:
        return None, problems
    try:
        morning = ledger_from(registers, shop.records, on, before=MIDNIGHT)
        # what is not filed of the day itself changes nothing by the evening
        tonight = ledger_from(registers, shop.records, on) if day.folder.name in shop.dates else morning
    except UnreadableRecordsError as error:
        return None, [*problems, Problem(str(day.shop_folder), 0, "", str(error))]
    return DayInput(
        shop_folder=day.shop_folder,
        folder_name=day.folder.name,
        date=on,
        registers=morning.registers,
        states=morning.states,
        tonight=tonight.states,
        filed=shop.filed,
        jobs=tuple(jobs),
        asked=frozenset(path.stem for path in day.asked),
        unread=tuple(unread),
        called_off=called_off,
        records=shop.records,
        made_of=_made_of(day, jobs, shop.records),
    ), problems


def _made_of(day: DayFolder, jobs: Iterable[Job], records: Records) -> str:
    """A digest of everything that a day's plans are made from: registers and jobs as they were typed, what was filed."""
    texts = texts_read(day.shop_folder, (day.folder / f"{job.job}.yaml" for job in jobs))
    if texts is None:
        return ""
    filed = (f"{item.name} {item.found_digest}" for item in records.filed)
    return digest((day.folder.name, *texts, *filed, *(item.name for item in records.unreadable)))


def _names(job: Job) -> frozenset[str]:
    """Names that papers other than packets have in the output folder."""
    return frozenset(
        {
            CARD,
            *(f"{CARD}.{language}" for language in languages()),
            f"{job.date.isoformat()}-runsheet",
            f"{job.date.isoformat()}-{job.truck}",
        }
    )


def _taken_name(path: Path, job: str) -> Problem:
    """A job whose packet would lie over the run sheet, its truck's stack or the field card."""
    said = t("'{job}' is the name of another paper in the output folder.", job=job)
    return Problem(str(path), 0, "job", said, t("Give the job another id."))
