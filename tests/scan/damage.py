"""What befalls a sheet before it is scanned, or the scanner while it scans: creases, folds, torn corners, dirt."""

import math

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.marks import PAPER_MM, Area, Corner, Paper, qr_area
from packet.press.printed import PrintedBox
from tests.scan import pen

Picture = npt.NDArray[np.uint8]
Points = npt.NDArray[np.float64]

DIRT_MM = 0.25


def creases(sheet: Picture, boxes: list[PrintedBox], rng: np.random.Generator, px_per_mm: float) -> None:
    """One to three sharp lines across the sheet, each through a box: dark where dirt sits in them, and where the
    toner broke away, white."""
    for _ in range(int(rng.integers(1, 4))):
        through = np.array(_place_in(boxes, rng))
        angle = float(rng.choice([0.0, math.pi / 2, rng.uniform(0, math.pi)])) + float(rng.normal(0, 0.03))
        way = np.array([math.cos(angle), math.sin(angle)])
        half = float(rng.uniform(25, 260))
        steps = np.linspace(-half, half, round(half))
        across = np.cumsum(rng.normal(0, 0.02, len(steps)))
        across -= np.interp(0, steps, across)
        line = through + steps[:, None] * way + across[:, None] * np.array([-way[1], way[0]])
        width, dark = float(rng.uniform(0.15, 0.6)), float(rng.uniform(0.2, 0.8))
        for start in range(0, len(line) - 8, 8):
            piece = line[start : start + 9]
            if rng.random() < 0.25:
                _lighten(sheet, piece, width, px_per_mm)
            else:
                pen.draw(sheet, piece, pen.Pen(width, dark * float(rng.uniform(0.6, 1.0))), px_per_mm)


def fold(sheet: Picture, rng: np.random.Generator, px_per_mm: float) -> Picture:
    """A sheet that was folded across and lies not quite flat: the lower part is shifted, turned a little and darker."""
    height, width = sheet.shape
    at = round(height * float(rng.choice([1 / 3, 1 / 2, 2 / 3])) + float(rng.normal(0, 4)) * px_per_mm)
    turn = np.asarray(cv2.getRotationMatrix2D((width / 2, at), float(rng.normal(0, 0.12)), 1.0), np.float64)
    turn[:, 2] += rng.uniform(-0.5, 0.5, 2) * px_per_mm
    lower = cv2.warpAffine(sheet, turn, (width, height), flags=cv2.INTER_LINEAR, borderValue=255)
    whole = sheet.copy()
    whole[at:] = lower[at:]
    shade = np.ones(height, np.float32)
    shade[at:] = rng.uniform(0.9, 1.0)
    rows = np.arange(height)
    shade *= 1 - float(rng.uniform(0.05, 0.3)) * np.exp(-(((rows - at) / (1.5 * px_per_mm)) ** 2))
    return np.asarray(whole * shade[:, None].astype(np.float32), np.uint8)


def torn(
    sheet: Picture, corner: Corner | None, rng: np.random.Generator, px_per_mm: float, *, paper: Paper = "letter"
) -> None:
    """Torn off (the bed is white): half of the code at a corner of the page, or some other corner (None)."""
    width, height = PAPER_MM[paper]
    if corner:
        area = qr_area(paper, corner)
        reach = area.w_mm / 2 + (width - area.x_mm - area.w_mm)
        sides = reach + rng.uniform(0, 8, 2)
    else:
        sides = rng.uniform(8, 45, 2)
    left, top = {"top": (False, True), "bottom": (False, False)}.get(str(corner), (True, bool(rng.random() < 0.5)))
    x, y = (0.0 if left else width), (0.0 if top else height)
    to_x, to_y = (1 if left else -1), (1 if top else -1)
    if corner:  # straight across the middle of the code, along one side or the other
        box = qr_area(paper, corner)
        cut = box.x_mm + box.w_mm / 2
        level = box.y_mm + box.h_mm / 2
        if rng.random() < 0.5:
            edge = [(cut, y), (cut + rng.normal(0, 1), y + to_y * 34), (width, y + to_y * 40)]
        else:
            edge = [(x, level), (width - 34, level + rng.normal(0, 1)), (width - 40, y)]
    else:
        edge = [(x + to_x * sides[0], y), (x, y + to_y * sides[1])]
    ragged = _ragged(np.array(edge), rng)
    around = np.vstack([ragged, [(x, y)]]) * px_per_mm
    cv2.fillPoly(sheet, [np.round(around).astype(np.int32)], 255)


def scribble(sheet: Picture, area: Area, rng: np.random.Generator, px_per_mm: float) -> None:
    """A place scribbled over from side to side with a thick pen."""
    rows = np.arange(area.y_mm, area.y_mm + area.h_mm, float(rng.uniform(1.0, 1.8)))
    points = [(area.x_mm + (area.w_mm if n % 2 else 0) + rng.normal(0, 1), y) for n, y in enumerate(rows)]
    pen.draw(sheet, np.array(points), pen.Pen(float(rng.uniform(0.6, 1.0)), 0.95), px_per_mm)


def four_strokes(sheet: Picture, area: Area, rng: np.random.Generator, px_per_mm: float) -> None:
    """Four strokes of a pen right across a place."""
    for _ in range(4):
        ends = rng.uniform(-2, 2, (2, 2)) + np.array([(0.0, 0.0), (area.w_mm, area.h_mm)])
        if rng.random() < 0.5:
            ends[:, 1] = ends[::-1, 1]
        ends[:, 1] += rng.uniform(-6, 6)
        line = pen.curve(ends + np.array([area.x_mm, area.y_mm]), rng, 0.2)
        pen.draw(sheet, line, pen.Pen(float(rng.uniform(0.4, 0.9)), float(rng.uniform(0.7, 1.0))), px_per_mm)


def stripes(
    scanned: npt.NDArray[np.float32], columns_px: list[float], rng: np.random.Generator, px_per_mm: float
) -> None:
    """Dirt on the glass of a feeder: straight lines along the way of the paper, 0.25 mm wide, some of them broken."""
    height, width = scanned.shape
    for column in columns_px:
        half = DIRT_MM * px_per_mm / 2
        xs = np.arange(max(0, int(column - half) - 1), min(width, int(column + half) + 2))
        cover = np.clip(np.minimum(xs + 1, column + half) - np.maximum(xs, column - half), 0, 1)
        dark = float(rng.uniform(0.3, 1.0))
        rows = np.ones(height, np.float32)
        if rng.random() < 0.4:  # it comes and goes
            start = 0.0
            while start < height:
                on, off = rng.uniform(10, 120, 2) * px_per_mm
                rows[int(start) : int(start + off)] = 0
                start += on + off
        scanned[:, xs] *= 1 - dark * rows[:, None] * cover[None].astype(np.float32)


def _place_in(boxes: list[PrintedBox], rng: np.random.Generator) -> tuple[float, float]:
    box = boxes[int(rng.integers(len(boxes)))]
    return (
        box.x_mm + box.w_mm * float(rng.uniform(0.2, 0.8)),
        box.y_mm + box.h_mm * float(rng.uniform(0.2, 0.8)),
    )


def _lighten(sheet: Picture, piece: Points, width_mm: float, px_per_mm: float) -> None:
    at = np.round(piece * px_per_mm).astype(np.int32)
    cv2.polylines(sheet, [at], False, 255, max(1, round(width_mm * px_per_mm)), cv2.LINE_AA)


def _ragged(edge: Points, rng: np.random.Generator) -> Points:
    steps = np.linspace(0, len(edge) - 1, 40)
    line = np.column_stack([np.interp(steps, np.arange(len(edge)), edge[:, axis]) for axis in (0, 1)])
    line[1:-1] += rng.normal(0, 0.5, (38, 2))
    return line
