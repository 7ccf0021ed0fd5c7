"""What a page goes through before it is sorted, condition by condition, with everything known about it."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.marks import qr_area
from packet.press.printed import PrintedBox, PrintRecord
from packet.scan.model import Address
from tests.scan import damage, paper, pen, phone, scanner, stack

Picture = npt.NDArray[np.uint8]
PX = paper.PX_PER_MM
# (the sheet written on and worn, the boxes) -> the picture
Condition = Callable[[Picture, list[PrintedBox], np.random.Generator, PrintRecord], Picture]


def _some_day(rng: np.random.Generator) -> scanner.Wear:
    """An ordinary scan without strokes over the codes."""
    return replace(scanner.some_wear(rng), pen_over_code=0)


def _scan(sheet: Picture, rng: np.random.Generator) -> Picture:
    return scanner.scan(sheet, _some_day(rng), rng, PX)


def ordinary(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    return scanner.scan(sheet, scanner.some_wear(rng), rng, PX)


def dirt(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    through = [boxes[int(rng.integers(len(boxes)))] for _ in range(int(rng.integers(1, 4)))]
    places = tuple((box.x_mm + box.w_mm * float(rng.uniform(0.15, 0.85)), box.y_mm + box.h_mm / 2) for box in through)
    return scanner.scan(sheet, replace(_some_day(rng), dirt_at_mm=places), rng, PX)


def dirt_straight(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    through = [boxes[int(rng.integers(len(boxes)))] for _ in range(3)]
    places = tuple((box.x_mm + box.w_mm * float(rng.uniform(0.3, 0.7)), box.y_mm + box.h_mm / 2) for box in through)
    return scanner.scan(sheet, scanner.Wear(noise=3, dirt_at_mm=places), rng, PX)


def creases(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    damage.creases(sheet, boxes, rng, PX)
    return _scan(sheet, rng)


def folds(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    return _scan(damage.fold(sheet, rng, PX), rng)


def torn_elsewhere(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    damage.torn(sheet, None, rng, PX, paper=record.paper)
    return _scan(sheet, rng)


def code_torn(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    damage.torn(sheet, "top" if rng.random() < 0.5 else "bottom", rng, PX, paper=record.paper)
    return _scan(sheet, rng)


def code_scribbled(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    damage.scribble(sheet, qr_area(record.paper, "top" if rng.random() < 0.5 else "bottom"), rng, PX)
    return _scan(sheet, rng)


def code_four_strokes(
    sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord
) -> Picture:
    damage.four_strokes(sheet, qr_area(record.paper, "top" if rng.random() < 0.5 else "bottom"), rng, PX)
    return _scan(sheet, rng)


def phones(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    return phone.shoot(sheet, phone.some_shot(rng), rng, PX)


def phones_of_worn(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, record: PrintRecord) -> Picture:
    damage.creases(sheet, boxes, rng, PX)
    folded = damage.fold(sheet, rng, PX)
    damage.torn(folded, "top" if rng.random() < 0.5 else "bottom", rng, PX, paper=record.paper)
    return phone.shoot(folded, phone.some_shot(rng), rng, PX)


CONDITIONS: dict[str, tuple[Condition, bool]] = {  # the condition; whether it is written with a pencil
    "ordinary day": (ordinary, False),
    "pencil": (ordinary, True),
    "dirt of 0.25 mm": (dirt, False),
    "dirt, straight scan": (dirt_straight, False),
    "creases": (creases, False),
    "folded": (folds, False),
    "corner torn off": (torn_elsewhere, False),
    "code half torn off": (code_torn, False),
    "code scribbled over": (code_scribbled, False),
    "code, four strokes": (code_four_strokes, False),
    "phone": (phones, False),
    "phone, all at once": (phones_of_worn, False),
}


def make(
    name: str, sheet: Picture, record: PrintRecord, page: int, *, folder: Path, rng: np.random.Generator
) -> stack.Scanned:
    """Write on a print of a page (300 dpi), put it through a condition, and say what is known about it."""
    condition, is_pencil = CONDITIONS[name]
    boxes = [box for box in record.boxes if box.page == page and box.kind in {"check", "initial"}]
    written = sheet.copy()
    meant = pen.fill_in(written, boxes, rng, PX, share=0.5, pen=pen.some_pencil(rng) if is_pencil else None)
    picture = condition(written, boxes, rng, record)
    path = folder / f"{record.job}-{page:02}-{rng.integers(1 << 32):08x}.png"
    cv2.imwrite(str(path), picture, [cv2.IMWRITE_PNG_COMPRESSION, 1])
    return stack.Scanned(path, Address(record.job, page, record.revision), scanner.Wear(), meant)
