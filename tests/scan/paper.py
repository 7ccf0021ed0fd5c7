"""Printed pages to scan, drawn without the press: text, rules, boxes, the code and the squares where they belong."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from packet.press import code, marks
from packet.press.printed import PrintedBox, PrintRecord, write_record

Picture = npt.NDArray[np.uint8]

DPI = 300.0
PX_PER_MM = DPI / 25.4
RECORDS_URL = "https://records.example.com/jobs"
REVISIONS = ("ABCDEFG2", "QRSTUVW3", "MNOPQRS4")
SHEETS = ("Front", "Hookup vapor", "Fill", "Steps", "Steps", "Pressure", "Log", "Record", "Tags")
# sheets with boxes: (rows of check boxes, rows of boxes to initial)
BOXED = {"Front": (8, 4), "Hookup vapor": (5, 0), "Steps": (14, 4), "Record": (3, 2), "Tags": (2, 1)}
CHECK_MM = 4.5
INITIAL_MM = (16.0, 8.0)


def boxes_of(sheet: str, page: int) -> tuple[PrintedBox, ...]:
    """The boxes of a page: check boxes down the left side, boxes to initial down the right one."""
    checks, initials = BOXED.get(sheet, (0, 0))
    found = [
        PrintedBox(f"p{page}.check.{row}", page, "check", 16.0, 42.0 + 13.5 * row, CHECK_MM, CHECK_MM, f"Check {row}")
        for row in range(checks)
    ]
    found += [
        PrintedBox(f"p{page}.hold.{row}", page, "initial", 170.0, 45.0 + 45 * row, *INITIAL_MM, f"Hold point {row}")
        for row in range(initials)
    ]
    return tuple(found)


def print_job(
    shop: Path,
    job: str,
    revision: str,
    *,
    replaces: str = "",
    hour: int = 6,
    changed: tuple[str, ...] = (),
    combs: Sequence[PrintedBox] = (),
) -> PrintRecord:
    """Write what the press writes when it prints a job, and give it back. changed: sheets that read differently."""
    record = PrintRecord(
        job=job,
        revision=revision,
        date=date(2026, 11, 26),
        printed_at=datetime(2026, 11, 26, hour, tzinfo=UTC),
        replaces=replaces,
        changed=(),
        paper="letter",
        pages=SHEETS,
        boxes=tuple(box for page, sheet in enumerate(SHEETS, 1) for box in boxes_of(sheet, page)) + tuple(combs),
        facts=(),
        sheets={sheet: revision if sheet in changed else "same" for sheet in SHEETS},
    )
    write_record(shop, record)
    return record


def draw_page(record: PrintRecord, page: int, records_url: str = RECORDS_URL, address: str = "") -> Picture:
    """One page as it leaves the printer, 300 dpi, black on white. address: of the job's record, the job by itself."""
    width_mm, height_mm = marks.PAPER_MM[record.paper]
    picture = np.full((round(height_mm * PX_PER_MM), round(width_mm * PX_PER_MM)), 255, np.uint8)
    rng = np.random.default_rng([page, *record.job.encode()])
    write(picture, f"{record.pages[page - 1]} - {record.job}", 16, 24, 1.6)
    for line in range(34):
        y = 46.0 + 6.75 * line
        if y < height_mm - 32:
            write(picture, " ".join("vapor" if rng.random() < 0.3 else "gross" for _ in range(11)), 26, y, 0.8)
            if line % 3 == 0:
                rule(picture, 26, y + 1.6, 160, y + 1.6)
    for box in record.boxes:
        if box.page == page:
            outline(picture, box)
    write(picture, f"{record.job}  page {page} of {len(record.pages)}  {record.revision}", 16, height_mm - 12, 0.7)
    stamp = code.Stamp(records_url, address or record.job, record.revision, record.paper)
    best = code.best_mask(stamp.address(1))
    for corner in marks.CORNERS:
        draw_code(picture, stamp.address(page), record.paper, corner, code.corner_mask(best, corner))
    for square in marks.registration_squares(record.paper):
        fill(picture, square)
    return picture


def draw_code(
    picture: Picture, address: str, paper: marks.Paper, corner: marks.Corner = "bottom", mask: int | None = None
) -> None:
    """One code alone, at its place."""
    rows = code.modules(address, mask)
    area = marks.qr_symbol_area(paper, len(rows), corner)
    side = area.w_mm / len(rows)
    for y, row in enumerate(rows):
        for x, dark in enumerate(row):
            if dark:
                fill(picture, marks.Area(area.x_mm + x * side, area.y_mm + y * side, side, side))


def fill(picture: Picture, area: marks.Area) -> None:
    """A black rectangle."""
    left, top = round(area.x_mm * PX_PER_MM), round(area.y_mm * PX_PER_MM)
    right, bottom = round((area.x_mm + area.w_mm) * PX_PER_MM), round((area.y_mm + area.h_mm) * PX_PER_MM)
    picture[top:bottom, left:right] = 0


def outline(picture: Picture, box: PrintedBox, line_mm: float = 0.35) -> None:
    """A box's border, drawn inside its outer edge as the press does."""
    for area in (
        marks.Area(box.x_mm, box.y_mm, box.w_mm, line_mm),
        marks.Area(box.x_mm, box.y_mm + box.h_mm - line_mm, box.w_mm, line_mm),
        marks.Area(box.x_mm, box.y_mm, line_mm, box.h_mm),
        marks.Area(box.x_mm + box.w_mm - line_mm, box.y_mm, line_mm, box.h_mm),
    ):
        fill(picture, area)


def write(picture: Picture, text: str, x_mm: float, y_mm: float, size: float) -> None:
    """Printed text, its baseline at y_mm."""
    at = (round(x_mm * PX_PER_MM), round(y_mm * PX_PER_MM))
    cv2.putText(picture, text, at, cv2.FONT_HERSHEY_SIMPLEX, size, 0, max(2, round(2 * size)), cv2.LINE_AA)


def rule(picture: Picture, *line_mm: float) -> None:
    """A printed hairline from (x, y) to (x, y)."""
    x1, y1, x2, y2 = (round(value * PX_PER_MM) for value in line_mm)
    cv2.line(picture, (x1, y1), (x2, y2), 0, 2)
