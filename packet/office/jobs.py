"""The state of every job: planned, printed (or not to go out), out, filed, corrected."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal

from packet.ledger.records import Records, Standing, standing
from packet.press.printed import PrintFile, PrintRecord, in_order, print_files, printed_folder
from packet.shop.load import day_folders, job_files
from packet.shop.whole import OwnFileError, read_start
from packet.words import NN_, P_, t

# a plain look at the text: the file may have mistakes elsewhere
_CALLED_OFF = re.compile(rb"^called_off[ \t]*:[ \t]*[^\s#]", re.MULTILINE)
MOST_BYTES = 200_000
JobState = Literal["planned", "stopped", "printed", "out", "filed", "corrected", "not done"]
JOB_STATES: dict[JobState, str] = {
    "planned": P_("state of a job", "planned"),
    "stopped": P_("state of a job", "not to go out"),
    "printed": P_("state of a job", "printed"),
    "out": P_("state of a job", "out"),
    "filed": P_("state of a job", "filed"),
    "corrected": P_("state of a job", "corrected"),
    "not done": P_("state of a job", "not done"),
}
# so many jobs in a state; a language may have the state agree with the number
COUNTED: dict[JobState, tuple[str, str]] = {
    "planned": NN_("{count} planned", "{count} planned"),
    "stopped": NN_("{count} not to go out", "{count} not to go out"),
    "printed": NN_("{count} printed", "{count} printed"),
    "out": NN_("{count} out", "{count} out"),
    "filed": NN_("{count} filed", "{count} filed"),
    "corrected": NN_("{count} corrected", "{count} corrected"),
    "not done": NN_("{count} not done", "{count} not done"),
}


@dataclass(frozen=True, slots=True)
class JobAt:
    """A job and how far it has come. day: ISO; of the work where it is filed, else of its folder or print. newest: its
    newest print that can be read."""

    job: str
    day: str
    state: JobState
    newest: PrintRecord | None = None

    @property
    def words(self) -> str:
        """The state in the current language."""
        return t(JOB_STATES[self.state])


def filed_state(filed: Standing) -> JobState:
    """How far a filed job has come."""
    return "corrected" if filed.corrected else "filed"


def printed_state(newest: PrintRecord, today: date) -> JobState:
    """How far a printed job has come that is not filed: a packet is 'out' from its day on, unless it says stop."""
    if not newest.may_go_out:
        return "stopped"
    return "out" if newest.date <= today else "printed"


def filed_jobs(found: Records) -> dict[str, Standing]:
    """The record that counts of every filed job."""
    return {item.record.subject: item for item in standing(found.filed) if item.kind == "job"}


def not_done(found: Records) -> frozenset[str]:
    """Jobs of which the office says that they were not done after all."""
    return frozenset(str(item.record.body.get("job", "")) for item in standing(found.filed) if item.kind == "not-done")


def called_off(folder: Path) -> frozenset[str]:
    """Jobs of a day's folder whose file says that they are called off. Raises OSError."""
    return frozenset(path.stem for path in job_files(folder) if is_called_off(path))


def is_called_off(file: Path) -> bool:
    """Whether a job's file says that it is called off; not where there is none. Raises OSError."""
    try:
        return _CALLED_OFF.search(read_start(file, MOST_BYTES)) is not None
    except (FileNotFoundError, OwnFileError):
        return False


def jobs_in(shop_folder: Path, found: Records, prefix: str, today: date) -> Iterator[JobAt]:
    """Jobs of the days that start with `prefix` ('2026-11') which are neither filed nor called off, by day and job.

    Only names are looked at where that is enough: a shop has many prints and few that are not filed.
    """
    filed = filed_jobs(found).keys() | not_done(found)
    printed = print_files(printed_folder(shop_folder))
    found_open: dict[str, JobAt] = {}
    for folder in day_folders(shop_folder):
        if folder.name.startswith(prefix):
            filed |= called_off(folder)
            for path in job_files(folder):
                if path.stem not in filed:
                    found_open[path.stem] = JobAt(path.stem, folder.name, "planned")
    for job in sorted(printed.keys() - filed):
        newest = newest_print(printed[job])
        if newest is not None and newest.date.isoformat().startswith(prefix):
            found_open[job] = JobAt(job, newest.date.isoformat(), printed_state(newest, today), newest)
    yield from sorted(found_open.values(), key=lambda item: (item.day, item.job))


def planned_jobs(shop_folder: Path) -> frozenset[str]:
    """The jobs that have a file in a day's folder."""
    return frozenset(path.stem for folder in day_folders(shop_folder) for path in job_files(folder))


def newest_print(files: tuple[PrintFile, ...]) -> PrintRecord | None:
    """The newest of a job's prints that can be read."""
    return next(reversed(in_order(files, readable=True)), None)
