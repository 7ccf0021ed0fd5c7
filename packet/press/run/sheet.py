"""The parts of a run sheet as PDFs: the day board, a truck's page, the sheet of a job file that cannot be read.

Each part is left alone while it would read the same. What was printed when stands in `printed/runsheets/{day}`, so that
a page says which print of the day it is, and a later one which print it replaces.
"""

import json
import re
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from markupsafe import Markup

from packet.document import Shape, ShapeError, data_of
from packet.press.assets import FAMILY, environment, face_rules
from packet.press.digest import digest
from packet.press.html import page_numbering
from packet.press.pdf import plain_pdf
from packet.press.printed import LOCK, PATIENCE_SECONDS, printed_folder
from packet.press.run import state as run_state
from packet.press.run.state import Remembered
from packet.sheets.runsheet import DayBoard, TruckPage, UnreadSheet
from packet.sheets.show import us_date
from packet.shop.whole import OwnFileError, locked, read_whole, sweep, write_whole
from packet.words import t

SheetPart = DayBoard | TruckPage | UnreadSheet
BOARD = "runsheet"
PARTS = "parts"  # beside the remembered state: the run sheet and the stacks are joined from them


@dataclass(frozen=True, slots=True)
class PartPrint:
    """One print of a part. number: which print of the day, from 1. reads: a digest of what it says."""

    number: int
    printed_at: datetime
    reads: str

    def sentence(self) -> str:
        """'Print 2, Nov 26, 2026 06:12.'"""
        at = self.printed_at
        return t("Print {number}, {date} {time}.", number=self.number, date=us_date(at.date()), time=f"{at:%H:%M}")


@dataclass(frozen=True, slots=True)
class SetPart:
    """A part as it lies ready. name: 'runsheet' or the truck; replaces: the print that is no longer true, or None."""

    name: str
    path: Path
    replaces: PartPrint | None


def part_html(sheet: SheetPart, stamp: str = "") -> str:
    """A part as one HTML text. stamp: which print it is; what the part says is judged without."""
    return (
        environment()
        .get_template("runsheet.html")
        .render(
            sheet=sheet,
            stamp=stamp,
            faces=Markup(face_rules()),
            family=Markup(FAMILY),
            page_size={"letter": "letter", "A4": "A4"}[sheet.paper],
            numbering=Markup(" ").join(page_numbering()),
        )
    )


def reads_of(sheet: SheetPart) -> str:
    """A digest of what a part says."""
    return digest((part_html(sheet),))


def newest_part(shop_folder: Path, day: str, name: str) -> PartPrint | None:
    """The newest print of a part of a day; None when there is none that can be read."""
    found = (_read(path, number) for number, path in sorted(_prints(shop_folder, day, name).items(), reverse=True))
    return next((item for item in found if item is not None), None)


def _prints(shop_folder: Path, day: str, name: str) -> dict[int, Path]:
    """The files of a part's prints by their numbers, from the names alone."""
    folder = printed_folder(shop_folder) / "runsheets" / day
    named = re.compile(rf"{re.escape(name)}\.([1-9][0-9]{{0,6}})\.json", re.ASCII)
    files = folder.iterdir() if folder.is_dir() else ()
    return {int(match[1]): path for path in files if (match := named.fullmatch(path.name))}


def print_part(
    sheet: DayBoard | TruckPage, *, shop_folder: Path, out: Path, day: str, printed_at: datetime, tools: str
) -> SetPart:
    """Set the day board or a truck's page, when it would read otherwise than it does. Raises MissingLibrary, TakenError, OSError."""
    name = sheet.truck if isinstance(sheet, TruckPage) else BOARD
    path = part_path(out, day, name)
    before, reads = newest_part(shop_folder, day, name), reads_of(sheet)
    # one that cannot be read was printed all the same: its number is on paper and never given again
    last, now = max(_prints(shop_folder, day, name), default=0), before
    if before is None or before.reads != reads or before.number < last:
        now = PartPrint(last + 1, printed_at, reads)
    assert now is not None
    known, wanted = run_state.read_job(out, f"{day}-{name}"), f"{reads}.{now.number}"
    if known is None or known != Remembered(tools, wanted, run_state.of_file(path), ""):
        write_whole(path, plain_pdf(part_html(sheet, now.sentence())), passing=True)
        run_state.write_job(out, f"{day}-{name}", Remembered(tools, wanted, run_state.of_file(path), ""))
    if now is not before:
        _record(shop_folder, day, name, now)
    return SetPart(name, path, before if now is not before else None)


def print_unread(sheet: UnreadSheet, *, out: Path, tools: str) -> Path:
    """Lay the sheet of a job file that cannot be read where its packet would lie. Raises MissingLibrary, OSError."""
    path, reads = out / f"{sheet.job}.pdf", reads_of(sheet)
    known = run_state.read_job(out, sheet.job)
    run_state.drop_form(out, sheet.job)
    if known is None or known != Remembered(tools, reads, run_state.of_file(path), ""):
        write_whole(path, plain_pdf(part_html(sheet)))
        run_state.write_job(out, sheet.job, Remembered(tools, reads, run_state.of_file(path), ""))
    return path


def part_path(out: Path, day: str, name: str) -> Path:
    """Where a part lies until it is joined."""
    return out / run_state.FOLDER / PARTS / f"{day}-{name}.pdf"


def _record(shop_folder: Path, day: str, name: str, made: PartPrint) -> None:
    raw = {"format": 1, "day": day, "part": name, **_SHAPE.out(made)}
    folder = printed_folder(shop_folder)
    path = folder / "runsheets" / day / f"{name}.{made.number}.json"
    with locked(folder / LOCK, PATIENCE_SECONDS):
        sweep(path.parent)
        write_whole(path, (json.dumps(raw, ensure_ascii=False, indent=1) + "\n").encode())


def _read(path: Path, number: int) -> PartPrint | None:
    try:
        found = _SHAPE.back(data_of(read_whole(path, 10_000)))
    except (OSError, OwnFileError, ShapeError):
        return None
    return found if found.number == number else None


_SHAPE = Shape(PartPrint, names={(PartPrint, "number"): "print"})
