"""Reading what a print run is about: shops, ledgers and whole days, with every problem told."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time
from pathlib import Path

from packet.ledger.records import Records, filed_folder, read_records, standing
from packet.ledger.state import UnreadableRecordsError, ledger_from
from packet.plan.day import States, plan_day
from packet.plan.day_model import Day
from packet.press.digest import digest, of_files, tools
from packet.shop.load import REGISTER_FILES, find_shop, job_files, load_day, load_registers, targets
from packet.shop.problems import Problem
from packet.shop.records import Job, Registers
from packet.words import t

MIDNIGHT = time(0, 0)


@dataclass(frozen=True, slots=True)
class DayFolder:
    """A day's folder and the job files in it that were asked for."""

    shop_folder: Path
    folder: Path
    asked: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class DayInput:
    """Everything a day is planned from. registers: as they stand that morning; asked: job ids to print."""

    shop_folder: Path
    folder_name: str
    registers: Registers
    states: States
    tonight: States
    filed: frozenset[str]
    jobs: tuple[Job, ...]
    asked: frozenset[str]

    @property
    def date(self) -> date:
        """The day."""
        return self.jobs[0].date

    def planned(self, stopped: frozenset[str] = frozenset()) -> Day:
        """The day's plan; `stopped` as for `plan_day`."""
        return plan_day(self.jobs, self.registers, self.states, tonight=self.tonight, filed=self.filed, stopped=stopped)


def folders(paths: Iterable[Path]) -> tuple[DayFolder, ...]:
    """The days meant by `paths`, in order. Raises WrongPathError."""
    by_folder: dict[Path, list[Path]] = {}
    for path in targets(paths):
        by_folder.setdefault(path.parent, []).append(path)
    return tuple(DayFolder(find_shop(folder), folder, tuple(asked)) for folder, asked in by_folder.items())


def key(day: DayFolder) -> str:
    """A digest of everything a day's paper depends on: while it stays, nothing needs even to be planned again.

    Filed records never change once written, so their names and sizes stand for them.
    """
    filed = filed_folder(day.shop_folder)
    records = sorted((item.name, item.stat().st_size) for item in filed.iterdir()) if filed.is_dir() else []
    return digest(
        (
            tools(),
            of_files(day.shop_folder / name for name in REGISTER_FILES),
            of_files(job_files(day.folder)),
            repr(records),
        )
    )


def read_days(days: Iterable[DayFolder]) -> tuple[tuple[DayInput, ...], tuple[Problem, ...]]:
    """Each day's input, and all problems. A day whose shop cannot be read is left out; so are jobs with problems."""
    found: list[DayInput] = []
    problems: list[Problem] = []
    shops: dict[Path, tuple[Registers | None, Records]] = {}
    for day in days:
        if day.shop_folder not in shops:
            loaded = load_registers(day.shop_folder)
            problems += loaded.problems
            shops[day.shop_folder] = (loaded.value, read_records(day.shop_folder))
        registers, records = shops[day.shop_folder]
        if registers is not None:
            inputs, more = _read_day(day, registers, records)
            found += inputs
            problems += more
    return tuple(found), tuple(dict.fromkeys(problems))


def _read_day(day: DayFolder, registers: Registers, records: Records) -> tuple[list[DayInput], list[Problem]]:
    loaded = load_day(day.folder, registers)
    problems = [*loaded.problems, *_taken_names(day, loaded.value or ())]
    jobs = tuple(job for job in loaded.value or () if job.job not in _names(job))
    asked = frozenset(path.stem for path in day.asked)
    found = []
    # a folder of jobs that is not named after a day may hold several
    for on in sorted({job.date for job in jobs}):
        try:
            morning = ledger_from(registers, records, on, before=MIDNIGHT)
            tonight = ledger_from(registers, records, on)
        except UnreadableRecordsError as error:
            problems.append(
                Problem(
                    str(day.shop_folder),
                    0,
                    "",
                    t("A filed record cannot be read, so nobody knows what is in the cylinders: {error}", error=error),
                    t("Run 'packet records check'."),
                )
            )
            break
        found.append(
            DayInput(
                shop_folder=day.shop_folder,
                folder_name=day.folder.name,
                registers=morning.registers,
                states=morning.states,
                tonight=tonight.states,
                filed=frozenset(item.first.subject for item in standing(records.filed) if item.kind == "job"),
                jobs=tuple(job for job in jobs if job.date == on),
                asked=asked,
            )
        )
    return found, problems


def _names(job: Job) -> frozenset[str]:
    """Names that the day's own papers have in the output folder."""
    return frozenset({f"{job.date.isoformat()}-runsheet", f"{job.date.isoformat()}-{job.truck}"})


def _taken_names(day: DayFolder, jobs: tuple[Job, ...]) -> list[Problem]:
    """A job whose packet would lie over the run sheet or over its truck's stack."""
    return [
        Problem(
            str(day.folder / f"{job.job}.yaml"),
            0,
            "job",
            t("'{job}' is the name of another paper of this day.", job=job.job),
            t("Give the job another id."),
        )
        for job in jobs
        if job.job in _names(job)
    ]
