"""What giving up on a page costs: `python tests/bench/bench_giving_up.py [pages] [seed]`.

Pages of the demo whose codes are gone, struck through, half torn off, replaced by modules that say nothing, beside three
more such labels, or another shop's; most as a camera of 12 megapixels takes them in color, some as scanned. Printed: seconds of the
processor to give a page up, and to look at it again against every page of the stack.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
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
from packet.shop.load import load_registers
from tests.bench.bench_scan import DEMO, print_one
from tests.scan import damage, paper, phone, scanner

Picture = npt.NDArray[np.uint8]
JOBS = 8
CAMERA_PX = 4032
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


def _taken(path: Path, record: PrintRecord, way: str, rng: np.random.Generator, *, by_phone: bool) -> Picture:
    document = pypdfium2.PdfDocument(path)
    page = document[int(rng.integers(len(record.pages)))]
    view = page.render(scale=paper.DPI / 72, grayscale=True).to_numpy()
    sheet = np.array(view.reshape(view.shape[:2]), np.uint8)
    document.close()
    for corner in CORNERS:
        WAYS[way](sheet, qr_area(record.paper, corner), rng)
    if not by_phone:
        return scanner.scan(sheet, scanner.some_wear(rng), rng, PX)
    shot = phone.shoot(sheet, phone.some_shot(rng), rng, PX)
    scale = CAMERA_PX / max(shot.shape)
    large = cv2.resize(shot, None, fx=scale, fy=scale)
    colors = np.repeat(large[..., None], 3, axis=2).astype(np.int16)
    colors[..., 0] += rng.integers(-30, 31, large.shape).astype(np.int16)
    return np.clip(colors, 0, 255).astype(np.uint8)


def main() -> None:
    """The table."""
    pages = int(sys.argv[1]) if len(sys.argv) > 1 else 48
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
        candidates = tuple(
            text
            for _, record in made
            for page in range(1, len(record.pages) + 1)
            for text in address_texts(Address(record.job, page, record.revision), names)
        )
        took: dict[tuple[str, str], list[tuple[float, float]]] = {}
        for number in range(pages):
            rng = np.random.default_rng([seed, number])
            path, record = made[int(rng.integers(len(made)))]
            way = list(WAYS)[number % len(WAYS)]
            by_phone = number // len(WAYS) % 4 != 3
            file = Path(place, f"{number}.jpg")
            cv2.imwrite(str(file), _taken(path, record, way, rng, by_phone=by_phone))
            desk = theirs if way == "another shop's" else ours
            started = time.process_time()
            read = read_page(Source(file, 1), desk)
            first = time.process_time()
            read_page(Source(file, 1), desk, candidates)
            again = time.process_time()
            if isinstance(read.page, LoosePage):
                took.setdefault((way, "phone" if by_phone else "scan"), []).append((first - started, again - first))
        for (way, how), times in sorted(took.items()):
            each = [f"median {np.median(part):.2f} worst {max(part):.2f} s" for part in zip(*times, strict=True)]
            print(f"{way:16} {how:6} {len(times):3} given up: {each[0]}; again {each[1]}")


if __name__ == "__main__":
    main()
