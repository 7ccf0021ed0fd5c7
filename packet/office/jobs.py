"""The state of every job: planned, printed, out, filed, corrected."""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal

from packet.ledger.records import Records, Standing, standing
from packet.press.printed import PrintRecord, PrintRecordError, printed_folder, read_record
from packet.shop.load import day_folders, job_files
from packet.words import N_, t

JobState = Literal["planned", "printed", "out", "filed", "corrected"]
JOB_STATES: dict[JobState, str] = {
    "planned": N_("planned"),
    "printed": N_("printed"),
    "out": N_("out"),
    "filed": N_("filed"),
    "corrected": N_("corrected"),
}


@dataclass(frozen=True, slots=True)
class JobAt:
    """A job and how far it has come. day: ISO; of the work where it is filed, else of its folder or print."""

    job: str
    day: str
    state: JobState

    @property
    def words(self) -> str:
        """The state in the current language."""
        return t(JOB_STATES[self.state])


def job_state(*, printed: bool, filed: Standing | None, day: str, today: date) -> JobState:
    """How far a job has come. A printed packet is 'out' from its day on."""
    if filed is not None:
        return "corrected" if filed.corrected else "filed"
    if not printed:
        return "planned"
    return "out" if day <= today.isoformat() else "printed"


def filed_jobs(found: Records) -> dict[str, Standing]:
    """The record that counts of every filed job."""
    return {item.record.subject: item for item in standing(found.filed) if item.kind == "job"}


def jobs_in(shop_folder: Path, found: Records, prefix: str, today: date) -> Iterator[JobAt]:
    """Jobs of the days that start with `prefix` ('2026-11') which are not filed, by day and job.

    Only names are looked at where that is enough: a shop has many prints and few that are not filed.
    """
    filed = filed_jobs(found)
    printed = printed_jobs(shop_folder)
    open_jobs: dict[str, str] = {}
    for folder in day_folders(shop_folder):
        if folder.name.startswith(prefix):
            open_jobs |= {path.stem: folder.name for path in job_files(folder) if path.stem not in filed}
    for job in sorted(printed.keys() - filed.keys() - open_jobs.keys()):
        newest = newest_print(printed[job])
        if newest is not None and newest.date.isoformat().startswith(prefix):
            open_jobs[job] = newest.date.isoformat()
    for job, day in sorted(open_jobs.items(), key=lambda item: (item[1], item[0])):
        yield JobAt(job, day, job_state(printed=job in printed, filed=None, day=day, today=today))


def printed_jobs(shop_folder: Path) -> dict[str, list[Path]]:
    """The print records of every job, by the names of the files alone ('{job}.{revision}.yaml')."""
    folder = printed_folder(shop_folder)
    found: dict[str, list[Path]] = {}
    names = sorted(os.listdir(folder)) if folder.is_dir() else []  # noqa: PTH208 - names, not twenty thousand paths
    for name in names:
        if name.endswith(".yaml") and not name.startswith("."):
            parts = name.removesuffix(".yaml").split(".")
            # a job printed back to an earlier revision has a number behind it; an id may hold dots itself
            tail = 2 if len(parts) > 2 and parts[-1].isdigit() and len(parts[-1]) < 8 else 1
            found.setdefault(".".join(parts[:-tail]), []).append(folder / name)
    return found


def newest_print(paths: list[Path]) -> PrintRecord | None:
    """The newest of a job's prints that can be read."""
    prints = []
    for path in paths:
        try:
            prints.append(read_record(path))
        except PrintRecordError:
            continue
    return max(prints, key=lambda item: item.printed_at, default=None)
