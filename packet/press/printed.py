"""What was printed when, what it replaced and where its boxes are: `jobs/printed/{job}.{revision}.json`.

Files here are only ever added, under the folder's lock. The newest print of a job is the one that nothing replaced: each
has its number in the order of that job's prints, whatever a clock says.
"""

import os
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any, Literal, TypeVar

from packet.document import Data, Shape, ShapeError, sealed, unsealed
from packet.press import printed_before
from packet.press.marks import Paper
from packet.shop.whole import OwnFileError, locked, read_whole, sweep, write_new
from packet.words import t

BoxKind = Literal["check", "initial", "blank"]
FOLDER = "printed"
FORMAT = 1
LOCK = ".lock"
PATIENCE_SECONDS = 30.0
MOST_BYTES = 4_000_000
# A job printed back to an earlier revision has a number behind it; an id may hold dots itself.
NAME = re.compile(r"(?P<job>.+)\.(?P<revision>[A-Z2-7]{8})(\.(?P<count>\d{1,7}))?\.(json|yaml)")


@dataclass(frozen=True, slots=True)
class PrintedBox:
    """A place to tick, initial or write in. mm from the page's top left; page counts from 1.

    form: of a comb of cells, what stands in them, sign by sign: 'd' a digit, '-' a sign that may be there, '.' and ':'
    what is printed between two cells; empty for a plain line.
    """

    key: str
    page: int
    kind: BoxKind
    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    label: str
    form: str = ""


@dataclass(frozen=True, slots=True)
class PrintRecord:
    """One file of jobs/printed. pages: the sheet's name on each page; facts: what 'what changed' compares.

    number: counts the job's prints from 1; 0 before it is written, and in a record of the time before numbers.
    sheets: a digest of each sheet's words, by its name: which sheets read differently in a later print.
    language: the packet's ('' in a record of the time before there was more than one); in_english: its facts in English.
    plan: the plan's document (`packet.plan.document`), hookup findings included: what filing checks against.
    reads: a digest of what each page says, without its head and foot; () in a record of the time before there were any.
    """

    job: str
    revision: str
    date: date
    printed_at: datetime
    replaces: str
    changed: tuple[str, ...]
    paper: Paper
    pages: tuple[str, ...]
    boxes: tuple[PrintedBox, ...]
    facts: tuple[tuple[str, str], ...]
    plan: Mapping[str, Any] = field(default_factory=dict)
    sheets: Mapping[str, str] = field(default_factory=dict)
    number: int = 0
    language: str = ""
    in_english: tuple[tuple[str, str], ...] = ()
    reads: tuple[str, ...] = ()

    @property
    def may_go_out(self) -> bool:
        """Whether it was printed for the field, not as a DO NOT DISPATCH sheet."""
        return self.plan.get("may_go_out") is not False


@dataclass(frozen=True, slots=True)
class PrintHead:
    """Of a print record what tells which print of a job is current, and its pages: a tenth of the whole to read."""

    job: str
    revision: str
    printed_at: datetime
    replaces: str
    pages: tuple[str, ...]
    number: int = 0


Print = TypeVar("Print", PrintRecord, PrintHead)


class PrintRecordError(Exception):
    """A file in jobs/printed that cannot be read as one; the message names the file and says what to do."""

    def __init__(self, path: Path, why: str) -> None:
        self.path = path
        self.why = why
        super().__init__(path, why)

    def __str__(self) -> str:
        return t(
            "'{file}' is no print record: {why}. Bring it back from a copy, or move it away and print the job again.",
            file=self.path,
            why=self.why,
        )


@dataclass(frozen=True, slots=True)
class PrintFile:
    """A print record by its name alone. count: the how-manieth file of this very revision."""

    path: Path
    job: str
    revision: str
    count: int


def printed_folder(shop_folder: Path) -> Path:
    """Where a shop keeps its print records."""
    return shop_folder / FOLDER


def print_files(folder: Path) -> dict[str, tuple[PrintFile, ...]]:
    """Every print record of a folder by its job, from the names alone; an absent folder is no prints. Raises OSError."""
    found: dict[str, list[PrintFile]] = {}
    for name in sorted(_unsorted(folder)):
        file = _file(folder, name)
        if file is not None:
            found.setdefault(file.job, []).append(file)
    return {job: tuple(files) for job, files in found.items()}


def files_of(folder: Path, job: str) -> tuple[PrintFile, ...]:
    """The print records of one job, from the names alone."""
    start = f"{job}."
    mine = (_file(folder, name) for name in sorted(name for name in _unsorted(folder) if name.startswith(start)))
    return tuple(file for file in mine if file is not None and file.job == job)


def _unsorted(folder: Path) -> list[str]:
    try:
        return os.listdir(folder)  # noqa: PTH208 - names, not twenty thousand paths
    except FileNotFoundError:
        return []


def _file(folder: Path, name: str) -> PrintFile | None:
    match = None if name.startswith(".") else NAME.fullmatch(name)
    if match is None:
        return None
    return PrintFile(folder / name, match["job"], match["revision"], int(match["count"] or 1))


def file_of(folder: Path, job: str, revision: str) -> PrintFile | None:
    """The first file of a revision: printed more than once, it is the same paper."""
    same = (file for file in files_of(folder, job) if file.revision == revision)
    return min(same, key=lambda file: file.count, default=None)


def read_record(path: Path) -> PrintRecord:
    """One print record, of this format or of the one before. Raises PrintRecordError."""
    return _read(path, _SHAPE)


def _read(path: Path, shape: Shape[Print]) -> Print:
    try:
        content = read_whole(path, MOST_BYTES)
        if path.suffix == ".json":
            return shape.back(_data(content))
        return shape.back(printed_before.data(content))
    except ShapeError as error:
        raise PrintRecordError(path, str(error)) from error
    except OwnFileError as error:
        raise PrintRecordError(path, error.why) from error
    except FileNotFoundError as error:
        raise PrintRecordError(path, t("it is not there")) from error


def _data(content: bytes) -> Data:
    found = unsealed(content)
    if not found.sound:
        raise ShapeError("", t("it was changed after the print"))
    number = found.data.get("format")
    if type(number) is not int or number != FORMAT:
        raise ShapeError(
            "format", t("format {found} is not known; this version knows {known}", found=number, known=FORMAT)
        )
    return found.data


def records_of(shop_folder: Path, job: str) -> tuple[PrintRecord, ...]:
    """Every print of a job, oldest first. Raises PrintRecordError."""
    return in_order(files_of(printed_folder(shop_folder), job))


def in_order(files: Iterable[PrintFile], *, readable: bool = False) -> tuple[PrintRecord, ...]:
    """The records of one job's files, oldest first: by their numbers; those without follow what they replaced.

    readable: those that cannot be read are left out. Raises PrintRecordError else.
    """
    return _in_order(files, _SHAPE, readable=readable)


def _in_order(files: Iterable[PrintFile], shape: Shape[Print], *, readable: bool = False) -> tuple[Print, ...]:
    read: list[tuple[PrintFile, Print]] = []
    for file in files:
        try:
            read.append((file, _its_own(file, shape)))
        except PrintRecordError:
            if not readable:
                raise
    chain = _by_what_they_replaced([(file, record) for file, record in read if not record.number])
    order: list[Print] = [replace(record, number=number) for number, record in enumerate(chain, 1)]
    order += sorted((record for _, record in read if record.number), key=lambda record: record.number)
    return tuple(order)


def _its_own(file: PrintFile, shape: Shape[Print]) -> Print:
    """The record in a file, which must be about the print that the file is named after."""
    record = _read(file.path, shape)
    if (record.job, record.revision) != (file.job, file.revision):
        raise PrintRecordError(file.path, t("it is about {job} {revision}", job=record.job, revision=record.revision))
    return record


def _by_what_they_replaced(found: list[tuple[PrintFile, Print]]) -> list[Print]:
    """Records of the time before numbers: the first replaced nothing, each other one the one before it.

    A revision that came back has more than one file; they were written in the order of their counts. Where a link is
    missing (a record was lost), what is left follows in the order of the clock, as nothing else is known.
    """
    left = sorted(found, key=lambda item: (item[0].count, item[1].printed_at))
    chain: list[Print] = []
    while left:
        last = chain[-1].revision if chain else ""
        follows = next((item for item in left if item[1].replaces == last), None)
        chosen = follows or min(left, key=lambda item: item[1].printed_at)
        left.remove(chosen)
        chain.append(chosen[1])
    return chain


def newest_record(shop_folder: Path, job: str) -> PrintRecord | None:
    """The print of a job that is current; None when it was never printed. Raises PrintRecordError."""
    return next(reversed(records_of(shop_folder, job)), None)


def newest_head(shop_folder: Path, job: str) -> PrintHead | None:
    """As `newest_record`, of the record only its head. Raises PrintRecordError."""
    return next(reversed(_in_order(files_of(printed_folder(shop_folder), job), _HEAD)), None)


def write_record(shop_folder: Path, record: PrintRecord) -> Path:
    """Add a print record, whole or not at all, as the job's newest; never over an existing one. The path it went to.

    Raises PrintRecordError where an earlier one of the job cannot be read, TakenError, OSError.
    """
    folder = printed_folder(shop_folder)
    with locked(folder / LOCK, PATIENCE_SECONDS):
        sweep(folder)
        files = files_of(folder, record.job)
        newest = next(reversed(in_order(files)), None)
        numbered = replace(record, number=newest.number + 1 if newest else 1)
        count = 1 + max((file.count for file in files if file.revision == record.revision), default=0)
        name = f"{record.job}.{record.revision}" + (f".{count}.json" if count > 1 else ".json")
        write_new(folder / name, record_bytes(numbered))
    return folder / name


def record_bytes(record: PrintRecord) -> bytes:
    """The file's bytes."""
    return sealed({"format": FORMAT, **_SHAPE.out(record)}, broken=2)


_SHAPE = Shape(PrintRecord)
_HEAD = Shape(PrintHead)
