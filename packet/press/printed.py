"""What was printed when, what it replaced and where its boxes are: `jobs/printed/{job}.{revision}.yaml`.

Files here are only ever added. The newest print of a job is the one with the latest `printed_at`.
"""

import os
import re
import tempfile
from dataclasses import asdict, dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any, Literal

import yaml

from packet.press.marks import Paper

BoxKind = Literal["check", "initial", "blank"]
FOLDER = "printed"
# the boxes of a record as it is written: list items, and their continuation lines
BOXES = re.compile(r"^boxes:\n(?:[- ].*\n)*", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Box:
    """A place to tick, initial or write in. mm from the page's top left; page counts from 1."""

    key: str
    page: int
    kind: BoxKind
    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    label: str


@dataclass(frozen=True, slots=True)
class PrintRecord:
    """One file of jobs/printed. pages: the sheet's name on each page; facts: what 'what changed' compares."""

    job: str
    revision: str
    date: date
    printed_at: datetime
    replaces: str
    changed: tuple[str, ...]
    paper: Paper
    pages: tuple[str, ...]
    boxes: tuple[Box, ...]
    facts: tuple[tuple[str, str], ...]
    # what filing checks the readings against: packet.plan.for_filing.for_filing(plan); plain YAML values
    plan: dict[str, Any] = field(default_factory=dict)
    # a digest of each sheet's words, by the sheet's name: which sheets read differently in a later print
    sheets: dict[str, str] = field(default_factory=dict)


class PrintRecordError(Exception):
    """A file in jobs/printed that cannot be read as one; the message names the file."""


def printed_folder(shop_folder: Path) -> Path:
    """Where a shop keeps its print records."""
    return shop_folder / FOLDER


def read_record(path: Path) -> PrintRecord:
    """One print record. Raises PrintRecordError."""
    return _read(path, path.read_text("utf-8"))


def records_of(shop_folder: Path, job: str) -> tuple[PrintRecord, ...]:
    """Every print of a job, oldest first, without its boxes: they are most of a file, and only a scan asks for them.

    Raises PrintRecordError.
    """
    found = (_read_head(path) for path in sorted(printed_folder(shop_folder).glob("*.yaml")) if _may_be(path, job))
    return tuple(sorted((item for item in found if item.job == job), key=lambda item: item.printed_at))


def newest_record(shop_folder: Path, job: str) -> PrintRecord | None:
    """The print of a job that is current, without its boxes; None when it was never printed."""
    return next(reversed(records_of(shop_folder, job)), None)


def write_record(shop_folder: Path, record: PrintRecord) -> Path:
    """Add a print record, whole or not at all; never over an existing one. The path it went to."""
    folder = printed_folder(shop_folder)
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(
        "w", encoding="utf-8", dir=folder, prefix=".", suffix=".part", delete=False
    ) as file:
        file.write(record_text(record))
        file.flush()
        os.fsync(file.fileno())
    try:
        return _link_under_free_name(Path(file.name), folder, f"{record.job}.{record.revision}")
    finally:
        Path(file.name).unlink()


def record_text(record: PrintRecord) -> str:
    """The file's text."""
    raw = asdict(record)
    raw["date"] = record.date.isoformat()
    raw["printed_at"] = record.printed_at.isoformat()
    raw["changed"] = list(record.changed)
    raw["pages"] = [{"page": number, "sheet": sheet} for number, sheet in enumerate(record.pages, 1)]
    raw["facts"] = dict(record.facts)
    # last, so that whoever does not need them can leave them unread
    raw["boxes"] = list(raw.pop("boxes"))
    dumper = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
    text: str = yaml.dump(raw, Dumper=dumper, sort_keys=False, allow_unicode=True, default_flow_style=None, width=200)
    return text


def _read(path: Path, text: str) -> PrintRecord:
    try:
        raw: dict[str, Any] = yaml.load(text, getattr(yaml, "CSafeLoader", yaml.SafeLoader))
        return PrintRecord(
            job=str(raw["job"]),
            revision=str(raw["revision"]),
            date=date.fromisoformat(str(raw["date"])),
            printed_at=datetime.fromisoformat(str(raw["printed_at"])),
            replaces=str(raw["replaces"] or ""),
            changed=tuple(str(item) for item in raw["changed"]),
            paper=raw["paper"],
            pages=tuple(str(item["sheet"]) for item in raw["pages"]),
            boxes=tuple(Box(**item) for item in raw["boxes"]),
            facts=tuple((str(key), str(value)) for key, value in raw["facts"].items()),
            plan=dict(raw.get("plan") or {}),
            sheets={str(key): str(value) for key, value in (raw.get("sheets") or {}).items()},
        )
    except (yaml.YAMLError, KeyError, TypeError, ValueError, AttributeError) as error:
        raise PrintRecordError(f"{path}: {error}") from error


def _read_head(path: Path) -> PrintRecord:
    return _read(path, BOXES.sub("boxes: []\n", path.read_text("utf-8")))


def _may_be(path: Path, job: str) -> bool:
    return path.name.startswith(f"{job}.") and not path.name.startswith(".")


def _link_under_free_name(source: Path, folder: Path, stem: str) -> Path:
    # a hard link fails when the name is taken, so two prints at once cannot overwrite each other; the second and later
    # time that a job goes back to an earlier revision gets a number, as records are only ever added
    count = 1
    while True:
        target = folder / (f"{stem}.yaml" if count == 1 else f"{stem}.{count}.yaml")
        try:
            os.link(source, target)
            return target
        except FileExistsError:
            count += 1
