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
        for place in (out, folder, folder / "parts"):
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


def drop_form(out: Path, job: str) -> None:
    """Take away a job's readings form, unless somebody has typed into it."""
    form, known = out / f"{job}.readings.yaml", read_job(out, job)
    if known is not None and known.form and known.form == of_file(form):
        form.unlink(missing_ok=True)


def write_job(out: Path, job: str, remembered: Remembered) -> None:
    """Remember a job."""
    _write(
        _job_file(out, job),
        {"tools": remembered.tools, "revision": remembered.revision, "pdf": remembered.pdf, "form": remembered.form},
    )


def _job_file(out: Path, job: str) -> Path:
    return out / FOLDER / f"job-{job}.json"


def _read(path: Path) -> dict[str, Any]:
    try:
        raw = json.loads(path.read_text("utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return raw if isinstance(raw, dict) else {}


def _write(path: Path, raw: Mapping[str, Any]) -> None:
    write_if_new(path, (json.dumps(raw, ensure_ascii=False, indent=1) + "\n").encode())
