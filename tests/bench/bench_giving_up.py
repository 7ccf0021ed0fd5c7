"""What giving up on a page costs: `python tests/bench/bench_giving_up.py [pages] [seed]`.

Pages of the demo whose codes are gone, struck through, half torn off, replaced by modules that say nothing, beside three
more such labels, or another shop's; as cameras of 12, 24 and 48 megapixels take them in color, by themselves and in a PDF, and as
scanned at 150 dpi and, in color, at 300. Printed: seconds of the processor to give a page up, all of it: read, and held against
every page of the stack. At most half a second, which the last line says.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pypdfium2

sys.path.insert(0, str(Path(__file__).parents[2]))

from packet.press.marks import CORNERS, Area, qr_area
from packet.press.printed import PrintRecord, printed_folder
from packet.scan import restore
from packet.scan.address import address_texts, printed_names
from packet.scan.model import Address, LoosePage, Source
from packet.scan.page import Desk, read_page
from packet.scan.restore import listed, matched
from packet.shop.load import load_registers
from tests.bench.bench_scan import DEMO, print_one
from tests.scan import damage, paper, phone, scanner

Picture = npt.NDArray[np.uint8]
JOBS = 8
LIMIT_S = 0.5
PX = paper.PX_PER_MM
FINDERS = ((0, 0), (0, 30), (30, 0))


def _cut(area: Area, *, half: bool = False) -> tuple[slice, slice]:
    right = area.x_mm + area.w_mm / (2 if half else 1)
    rows = slice(round(area.y_mm * PX), round((area.y_mm + area.h_mm) * PX))
    return rows, slice(round(area.x_mm * PX), round(right * PX))


def _gone(sheet: Picture, area: Area, rng: np.random.Generator) -> None:
    sheet[_cut(area)] = 255


def _struck(sheet: Picture, area: Area, rng: np.random.Generator) -> None:
    for _ in range(3):
        damage.four_strokes(sheet, area, rng, PX)


def _half(sheet: Picture, area: Area, rng: np.random.Generator) -> None:
    sheet[_cut(area, half=True)] = 255
    damage.four_strokes(sheet, area, rng, PX)


def _senseless(sheet: Picture, area: Area, rng: np.random.Generator) -> None:
    grid = rng.integers(0, 2, (37, 37)).astype(np.uint8) * 255
    for y, x in FINDERS:
        grid[y : y + 7, x : x + 7] = 0
        grid[y + 1 : y + 6, x + 1 : x + 6] = 255
        grid[y + 2 : y + 5, x + 2 : x + 5] = 0
    place = _cut(area)
    high, wide = sheet[place].shape
    sheet[place] = cv2.resize(grid, (wide, high), interpolation=cv2.INTER_NEAREST)


def _labels(sheet: Picture, area: Area, rng: np.random.Generator) -> None:
    for y_mm in (area.y_mm, 45.0, 130.0, 195.0):
        _senseless(sheet, replace(area, y_mm=y_mm, x_mm=area.x_mm if y_mm == area.y_mm else 20.0), rng)


def _whole(sheet: Picture, area: Area, rng: np.random.Generator) -> None:
    """Another shop's page."""


WAYS: dict[str, Callable[[Picture, Area, np.random.Generator], None]] = {
    "gone": _gone,
    "struck through": _struck,
    "half torn off": _half,
    "senseless": _senseless,
    "five senseless": _labels,
    "another shop's": _whole,
}


def _sheet(path: Path, record: PrintRecord, way: str, rng: np.random.Generator) -> Picture:
    """A printed page, its codes treated."""
    document = pypdfium2.PdfDocument(path)
    page = document[int(rng.integers(len(record.pages)))]
    view = page.render(scale=paper.DPI / 72, grayscale=True).to_numpy()
    sheet = np.array(view.reshape(view.shape[:2]), np.uint8)
    document.close()
    for corner in CORNERS:
        WAYS[way](sheet, qr_area(record.paper, corner), rng)
    return sheet


def _colored(gray: Picture, rng: np.random.Generator) -> Picture:
    colors = np.repeat(gray[..., None], 3, axis=2).astype(np.int16)
    colors[..., 0] += rng.integers(-30, 31, gray.shape).astype(np.int16)
    return np.clip(colors, 0, 255).astype(np.uint8)


def _shot(sheet: Picture, rng: np.random.Generator, long_px: int) -> Picture:
    shot = phone.shoot(sheet, phone.some_shot(rng), rng, PX)
    scale = long_px / max(shot.shape)
    return _colored(np.asarray(cv2.resize(shot, None, fx=scale, fy=scale), np.uint8), rng)


def _scanned(sheet: Picture, rng: np.random.Generator, times: int) -> Picture:
    gray = scanner.scan(sheet, scanner.some_wear(rng), rng, PX)
    if times == 1:
        return gray
    return _colored(
        np.asarray(cv2.resize(gray, None, fx=times, fy=times, interpolation=cv2.INTER_CUBIC), np.uint8), rng
    )


LETTER_HIGH_IN = 11.0
HOW: dict[str, tuple[Callable[[Picture, np.random.Generator], Picture], str]] = {
    "12 MP": (partial(_shot, long_px=4032), "jpg"),
    "24 MP": (partial(_shot, long_px=6000), "jpg"),
    "48 MP": (partial(_shot, long_px=8064), "jpg"),
    "12 MP in a PDF": (partial(_shot, long_px=4032), "pdf"),
    "24 MP in a PDF": (partial(_shot, long_px=6000), "pdf"),
    "scan, 150 dpi": (partial(_scanned, times=1), "png"),
    "color scan, 300 dpi": (partial(_scanned, times=2), "pdf"),
}


def _kept(picture: Picture, path: Path) -> None:
    """The picture as a file, or as a letter page of a PDF that holds its JPEG."""
    if path.suffix == ".pdf":
        scanner.as_pdf(path, [picture], picture.shape[0] / LETTER_HIGH_IN)
    else:
        cv2.imwrite(str(path), picture)


def main() -> None:
    """The table."""
    pages = int(sys.argv[1]) if len(sys.argv) > 1 else 84
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    registers = load_registers(DEMO).value
    assert registers is not None
    with tempfile.TemporaryDirectory() as place:
        shop, staging = Path(place, "shop"), Path(place, "staging")
        shop.mkdir()
        staging.mkdir()
        made = [packet for number in range(JOBS) if (packet := print_one(number, shop))]
        names = printed_names(registers.shop.records_url, printed_folder(shop))
        ours = Desk(names, printed_folder(shop), staging, restore.code_sizes(names))
        theirs = replace(ours, names=replace(names, records_url="https://elsewhere.example"))
        pages_listed = listed(
            text
            for _, record in made
            for page in range(1, len(record.pages) + 1)
            for text in address_texts(Address(record.job, page, record.revision), names)
        )
        took: dict[tuple[str, str], list[float]] = {}
        for number in range(-1, pages):  # the first one only loads what is loaded once
            rng = np.random.default_rng([seed, max(number, 0)])
            path, record = made[int(rng.integers(len(made)))]
            way = list(WAYS)[number % len(WAYS)]
            how = list(HOW)[number // len(WAYS) % len(HOW)]
            take, suffix = HOW[how]
            file = Path(place, f"{number}.{suffix}")
            _kept(take(_sheet(path, record, way, rng), rng), file)
            desk = theirs if way == "another shop's" else ours
            started = time.process_time()
            read = read_page(Source(file, 1), desk)
            known = matched(read.unread, pages_listed)
            seconds = time.process_time() - started
            file.unlink()
            if number >= 0 and known is None and isinstance(read.page, LoosePage):
                took.setdefault((how, way), []).append(seconds)
        for (how, way), times in sorted(took.items()):
            print(f"{how:20} {way:16} {len(times):3} given up: median {np.median(times):.2f} worst {max(times):.2f} s")
        every = [seconds for times in took.values() for seconds in times]
        over = sum(seconds > LIMIT_S for seconds in every)
        print(f"{len(every)} given up, worst {max(every):.2f} s, over {LIMIT_S} s: {over}")


if __name__ == "__main__":
    main()
