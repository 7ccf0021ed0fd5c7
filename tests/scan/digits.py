"""Numbers written into combs, sign by sign, as a hand writes them: from pictures of digits, or from plain strokes."""

from collections.abc import Callable, Sequence

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.printed import PrintedBox
from packet.scan.lie import lie_of
from packet.scan.model import Box, Written
from packet.scan.page import read_boxes
from tests.scan import paper, scanner

Picture = npt.NDArray[np.uint8]
Sign = npt.NDArray[np.float32]  # 28 x 28, 0 is paper and 1 is ink
Hand = Callable[[str], Sign]
Signs = dict[str, list[Sign]]  # a digit's pictures by what it is

SHEET_ROWS, SHEET_FORMS = 20, ("ddd.d", "dd.d", "ddd", "dd:dd")
SHEET_LIE = lie_of(np.diag([150 / 25.4, 150 / 25.4, 1.0]))
CELL_MM, HIGH_MM = 6.0, 8.0
# Plain strokes on a square of 10 by 14, as block digits are taught.
STROKES: dict[str, list[list[tuple[float, float]]]] = {
    "0": [[(5, 0), (1, 3), (1, 11), (5, 14), (9, 11), (9, 3), (5, 0)]],
    "1": [[(4.2, 2), (6, 0), (6, 14)]],
    "2": [[(1, 3), (5, 0), (9, 3), (8, 7), (1, 14), (9, 14)]],
    "3": [[(1, 2), (5, 0), (9, 3), (5, 6.5), (9, 10), (5, 14), (1, 12)]],
    "4": [[(6, 0), (1, 9), (9, 9)], [(7, 5), (7, 14)]],
    "5": [[(9, 0), (2, 0), (1.5, 6), (6, 5.5), (9, 9), (6, 14), (1, 12.5)]],
    "6": [[(7, 0), (2, 6), (1, 11), (5, 14), (9, 11), (6, 7.5), (2, 9)]],
    "7": [[(1, 0), (9, 0), (4, 14)]],
    "8": [[(5, 6.5), (1.5, 3), (5, 0), (8.5, 3), (5, 6.5), (1, 10.5), (5, 14), (9, 10.5), (5, 6.5)]],
    "9": [[(8.5, 4), (5, 7), (1.5, 4), (5, 0), (8.5, 3), (8, 14)]],
    "-": [[(1, 7), (9, 7)]],
}


def block_hand(rng: np.random.Generator, wobble: float = 0.25) -> Hand:
    """A careful hand that writes block digits."""

    def sign(digit: str) -> Sign:
        out = np.zeros((28 * 8, 28 * 8), np.uint8)
        for stroke in STROKES[digit]:
            points = np.array(stroke) + rng.normal(0, wobble, (len(stroke), 2))
            steps = np.linspace(0, len(points) - 1, 8 * len(points))
            line = np.column_stack([np.interp(steps, np.arange(len(points)), points[:, axis]) for axis in (0, 1)])
            at = np.round((line * (20 / 14) + np.array([7, 4])) * 8).astype(np.int32)
            cv2.polylines(out, [at], False, 255, 18, cv2.LINE_AA)
        small = cv2.resize(cv2.GaussianBlur(out, (0, 0), 4), (28, 28), interpolation=cv2.INTER_AREA)
        return np.asarray(np.asarray(small, np.float32) / np.float32(255), np.float32)

    return sign


def comb(key: str, page: int, x_mm: float, y_mm: float, form: str) -> PrintedBox:
    """A comb as the press sets it."""
    cells = sum(sign in "d-" for sign in form)
    return PrintedBox(key, page, "blank", x_mm, y_mm, CELL_MM * cells + 0.6, HIGH_MM, key, form)


def draw_comb(picture: Picture, box: PrintedBox) -> None:
    """Its border, dividers and what is printed between its cells, on a print of 300 dpi."""
    paper.outline(picture, box, 0.3)
    cells = sum(sign in "d-" for sign in box.form)
    step, at = box.w_mm / cells, 0
    for sign in box.form:
        x = box.x_mm + step * at
        if sign in "d-":
            if at:
                paper.rule(picture, x, box.y_mm, x, box.y_mm + box.h_mm)
            at += 1
        else:
            for y in (box.h_mm - 1.1,) if sign == "." else (0.42 * box.h_mm, 0.62 * box.h_mm):
                middle = (round(x * paper.PX_PER_MM), round((box.y_mm + y) * paper.PX_PER_MM))
                cv2.circle(picture, middle, round(0.5 * paper.PX_PER_MM), 0, -1)


def write_in(picture: Picture, box: PrintedBox, signs: str, hand: Hand, rng: np.random.Generator) -> None:
    """Write one sign a cell (a blank leaves it empty) on a print of 300 dpi; ink only darkens."""
    step = box.w_mm / len(signs)
    darkness = float(rng.uniform(0.55, 1.0))
    for number, sign in enumerate(signs):
        if sign == " ":
            continue
        high = float(rng.uniform(4.6, 6.4))
        side = round(high * 28 / 20 * paper.PX_PER_MM)
        ink = np.asarray(cv2.resize(hand(sign), (side, side), interpolation=cv2.INTER_CUBIC), np.float32)
        ink = np.clip(ink, 0, 1) * darkness
        # digits are narrower than high; a wide one is written narrower
        x = box.x_mm + step * (number + 0.5) + float(rng.normal(0, 0.2))
        y = box.y_mm + box.h_mm / 2 + float(rng.normal(0, 0.25))
        left, top = round(x * paper.PX_PER_MM - side / 2), round(y * paper.PX_PER_MM - side / 2)
        view = picture[top : top + side, left : left + side]
        view[:] = np.minimum(view, (255 * (1 - ink)).astype(np.uint8))


def page_of(hand: Signs, rng: np.random.Generator) -> list[tuple[str, Written]]:
    """One sheet of combs written in and scanned: (what was meant, what was read) of each."""
    sheet = np.full((3300, 2550), 255, np.uint8)
    meant: dict[str, str] = {}
    boxes = []
    for row in range(SHEET_ROWS):
        for column in range(len(SHEET_FORMS)):
            box = comb(f"{row}.{column}", 1, 18 + 46 * column, 20 + 12 * row, SHEET_FORMS[column])
            draw_comb(sheet, box)
            if SHEET_FORMS[column] == "dd:dd":
                text = f"{rng.integers(24):02}{rng.integers(60):02}"
            else:
                text = "".join(str(rng.integers(10)) for sign in SHEET_FORMS[column] if sign == "d")
            write_in(sheet, box, text, pen_of(hand, rng), rng)
            meant[box.key] = text
            boxes.append(Box(box.key, 1, "blank", box.x_mm, box.y_mm, box.w_mm, box.h_mm, "", box.form))
    return [(meant[item.key], item) for item in scanned(sheet, boxes, rng)]


def scanned(sheet: Picture, boxes: Sequence[Box], rng: np.random.Generator) -> tuple[Written, ...]:
    """What is read in the combs of a sheet that was worn and scanned at 150 dpi."""
    wear = scanner.Wear(noise=float(rng.uniform(1, 6)), blur_px=float(rng.uniform(0.3, 0.8)), jpeg_quality=70)
    picture = scanner.scan(sheet, wear, rng, paper.PX_PER_MM)
    _, written, _, _ = read_boxes(picture, SHEET_LIE, boxes, 6)
    return written


def pen_of(hand: Signs, rng: np.random.Generator) -> Hand:
    """Writes any of a hand's pictures of a digit."""
    return lambda digit: hand[digit][int(rng.integers(len(hand[digit])))]


def plain(text: str) -> str:
    """A number without what is printed, and without zeros before it."""
    return "".join(sign for sign in text if sign.isdigit()).lstrip("0") or "0"
