"""A stack of scanned pages with everything known about it: whose each page is, how it lay, what was ticked."""

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.printed import PrintRecord
from packet.scan.model import Address, SortReport
from tests.scan import paper, pen, scanner

Picture = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Scanned:
    """One scanned page and the truth about it."""

    path: Path
    address: Address
    wear: scanner.Wear
    meant: dict[str, bool]


def scan_page(
    folder: Path, record: PrintRecord, page: int, wear: scanner.Wear, rng: np.random.Generator, *, clean: bool = False
) -> Scanned:
    """Print, fill in and scan one page to a PNG in `folder`. clean: nothing written on it."""
    return scan_picture(folder, paper.draw_page(record, page), record, page, wear=wear, rng=rng, clean=clean)


def scan_picture(
    folder: Path,
    picture: Picture,
    record: PrintRecord,
    page: int,
    *,
    wear: scanner.Wear,
    rng: np.random.Generator,
    clean: bool = False,
    means: pen.Means | None = None,
) -> Scanned:
    """Fill in and scan a page whose print (300 dpi) is given; the picture is written on. means: which boxes are marked."""
    boxes = [box for box in record.boxes if box.page == page]
    meant = {}
    if not clean:
        meant = pen.fill_in(picture, boxes, rng, paper.PX_PER_MM, means=means)
        pen.notes(picture, rng, paper.PX_PER_MM, boxes)
    scanned = scanner.scan(picture, wear, rng, paper.PX_PER_MM)
    path = folder / f"{record.job}-{record.revision}-{page:02}-{rng.integers(1 << 32):08x}.png"
    cv2.imwrite(str(path), scanned, [cv2.IMWRITE_PNG_COMPRESSION, 1])
    return Scanned(path, Address(record.job, page, record.revision), wear, meant)


@dataclass(frozen=True, slots=True)
class Score:
    """How a sorted stack compares with the truth."""

    pages: int
    right: int
    wrong_job: int
    boxes_right: int
    boxes_wrong: int
    boxes_doubtful: int
    worst_skew_error_deg: float

    @property
    def boxes(self) -> int:
        return self.boxes_right + self.boxes_wrong + self.boxes_doubtful


def score(scans: list[Scanned], report: SortReport) -> Score:
    """Hold a report against the truth; every page was a file of its own."""
    found = {page.source.split(" ")[0]: page for packet in report.filed for page in packet.pages}
    right = wrong = boxes_right = boxes_wrong = doubtful = 0
    skew = 0.0
    for scan in scans:
        page = found.get(scan.path.name)
        if page is None:
            continue
        right += page.address == scan.address
        wrong += page.address != scan.address
        skew = max(skew, abs(page.skew_deg - scan.wear.skew_deg))
        for mark in page.marks:
            meant = "marked" if scan.meant.get(mark.key) else "empty"
            doubtful += mark.mark == "doubtful"
            boxes_right += mark.mark == meant
            boxes_wrong += mark.mark not in {"doubtful", meant}
    return Score(len(scans), right, wrong, boxes_right, boxes_wrong, doubtful, skew)
