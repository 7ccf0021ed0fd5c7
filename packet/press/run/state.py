"""What a print run remembers beside its output, in `.state`: enough to leave alone what has not changed.

It can be thrown away at any time; the next run then looks at every job again. Nothing else reads it.
"""

import shutil
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

from packet.document import Shape, ShapeError, data_of, text_of
from packet.shop.whole import MOST_PAPER_BYTES, OwnFileError, TakenError, locked, read_whole, sweep, write_if_new
from packet.words import t

FOLDER = ".state"
MOST_BYTES = 10_000


class BusyError(Exception):
    """Another run is printing into the same folder; str() is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """A job's last print: with which tools, which revision, and the digests of the files that were written.

    beside: of what stands on the paper but voids no print: what the truck carries with its other jobs, the codes' address.
    filled: the form was filled in beforehand, from a scan.
    """

    tools: str
    revision: str
    pdf: str
    form: str
    beside: str = ""
    filled: bool = False


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
    """The digest of a file; '' when there is none, or something that is no file of ours."""
    try:
        return sha256(read_whole(path, MOST_PAPER_BYTES)).hexdigest()
    except (FileNotFoundError, OwnFileError):
        return ""


def read_job(out: Path, job: str) -> Remembered | None:
    """What is remembered of a job; None when nothing, or when it cannot be read: it is then made anew."""
    try:
        return _SHAPE.back(data_of(read_whole(_job_file(out, job), MOST_BYTES)))
    except (FileNotFoundError, OwnFileError, ShapeError):
        return None


def drop_form(out: Path, job: str) -> None:
    """Take away a job's readings form, unless somebody has typed into it."""
    form, known = out / f"{job}.readings.yaml", read_job(out, job)
    if known is not None and known.form and known.form == of_file(form):
        form.unlink(missing_ok=True)


def blank_form(out: Path, job: str, form: Path) -> str | None:
    """A job's form as it was laid, before anything was filled in beforehand; None when somebody has typed into it."""
    known, found, kept = read_job(out, job), of_file(form), _blank_file(out, job)
    was_blank = found == of_file(kept)
    if not was_blank and (known is None or known.form != found):
        return None
    blank = read_whole(kept if kept.is_file() and known is not None and known.filled else form, MOST_BYTES)
    return blank.decode()


def remember_form(out: Path, job: str, blank: str, filled: str) -> None:
    """Remember a form that is about to be filled in beforehand, and what it was: killed on the way, it is still blank."""
    write_if_new(_blank_file(out, job), blank.encode())
    known = read_job(out, job)
    if known is not None:
        write_job(out, job, replace(known, form=sha256(filled.encode()).hexdigest(), filled=True))


def write_job(out: Path, job: str, remembered: Remembered) -> None:
    """Remember a job."""
    path = _job_file(out, job)
    if path.is_dir():  # nothing of ours, in a folder that may be thrown away
        shutil.rmtree(path)
    write_if_new(path, text_of(_SHAPE.out(remembered)).encode(), passing=True)


def _blank_file(out: Path, job: str) -> Path:
    return out / FOLDER / f"blank-{job}.yaml"


def _job_file(out: Path, job: str) -> Path:
    return out / FOLDER / f"job-{job}.json"


_SHAPE = Shape(Remembered)
