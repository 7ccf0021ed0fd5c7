"""What a print run remembers beside its output, in `.state`: enough to leave alone what has not changed.

It can be thrown away at any time; the next run then looks at every job again. Nothing else reads it.
"""

import json
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from packet.press.run.model import JobResult, Outcome
from packet.shop.whole import TakenError, locked, sweep, write_if_new
from packet.words import t

FOLDER = ".state"


class BusyError(Exception):
    """Another run is printing into the same folder; str() is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """A job's last print: with which tools, which revision, and the digests of the files that were written."""

    tools: str
    revision: str
    pdf: str
    form: str


@contextmanager
def alone(out: Path) -> Iterator[None]:
    """Hold the output folder for this run, and sweep what an interrupted one left. Raises BusyError, OSError."""
    folder = out / FOLDER
    with ExitStack() as held:
        try:
            held.enter_context(locked(folder / "lock"))
        except TakenError as error:
            raise BusyError(t("Another run is printing into '{out}'; wait for it to end.", out=out)) from error
        for place in (out, folder):
            sweep(place)
        yield


def of_file(path: Path) -> str:
    """The digest of a file; '' when there is none."""
    try:
        return sha256(path.read_bytes()).hexdigest()
    except FileNotFoundError:
        return ""


def read_job(out: Path, job: str) -> Remembered | None:
    """What is remembered of a job; None when nothing, or when it cannot be read."""
    try:
        return Remembered(**_read(_job_file(out, job)))
    except TypeError:
        return None


def write_job(out: Path, job: str, remembered: Remembered) -> None:
    """Remember a job."""
    _write(
        _job_file(out, job),
        {"tools": remembered.tools, "revision": remembered.revision, "pdf": remembered.pdf, "form": remembered.form},
    )


def read_day(out: Path, name: str, key: str) -> Mapping[str, Any] | None:
    """What is remembered of a day's jobs when it had this key and every file written then is still as it was."""
    raw = _read(_day_file(out, name))
    files, jobs = raw.get("files"), raw.get("jobs")
    if raw.get("key") != key or not isinstance(files, dict) or not isinstance(jobs, dict):
        return None
    if any(of_file(out / file) != known for file, known in files.items()):
        return None
    return jobs


def write_day(out: Path, name: str, key: str, results: Mapping[str, JobResult], files: tuple[Path, ...]) -> None:
    """Remember a day: how each job ended, and the digests of all files."""
    jobs = {
        job: {
            "truck": item.truck,
            "outcome": item.outcome,
            "path": _relative(item.path, out),
            "form": _relative(item.form, out),
            "revision": item.revision,
            "cautions": item.cautions,
            "may_go_out": item.may_go_out,
            "words": list(item.words),
            "pages": item.pages,
        }
        for job, item in results.items()
    }
    known = {str(path.relative_to(out)): of_file(path) for path in files}
    _write(_day_file(out, name), {"key": key, "jobs": jobs, "files": known})


def as_unchanged(out: Path, job: str, raw: Mapping[str, Any]) -> JobResult:
    """A remembered job as the result of a run that had nothing to do for it."""
    outcomes: dict[str, Outcome] = {"stopped": "stopped", "filed": "filed"}
    return JobResult(
        job=job,
        truck=raw["truck"],
        outcome=outcomes.get(raw["outcome"], "unchanged"),
        path=out / raw["path"] if raw["path"] else None,
        form=out / raw["form"] if raw["form"] else None,
        revision=raw["revision"],
        cautions=raw["cautions"],
        may_go_out=raw["may_go_out"],
        words=tuple(raw["words"]),
        pages=raw["pages"],
    )


def _relative(path: Path | None, out: Path) -> str:
    return str(path.relative_to(out)) if path else ""


def _job_file(out: Path, job: str) -> Path:
    return out / FOLDER / f"job-{job}.json"


def _day_file(out: Path, name: str) -> Path:
    return out / FOLDER / f"day-{name}.json"


def _read(path: Path) -> dict[str, Any]:
    try:
        raw = json.loads(path.read_text("utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return raw if isinstance(raw, dict) else {}


def _write(path: Path, raw: Mapping[str, Any]) -> None:
    write_if_new(path, (json.dumps(raw, ensure_ascii=False, indent=1) + "\n").encode())
