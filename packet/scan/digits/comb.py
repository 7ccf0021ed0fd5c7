"""Numbers in combs of cells: each cell's sign by itself, then whether all together are a number of the comb's form.

A form says what stands in the cells, sign by sign: 'd' a digit, '-' a sign that may be there, '.' and ':' what is
printed between two cells. Cells may be left free before the first digit, or after the last where no point is printed.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from packet.scan.borders import PX_PER_MM, Place, grown
from packet.scan.digits.net import Guess, guesses
from packet.scan.digits.shape import Dark, normalized
from packet.scan.even import Evened
from packet.scan.lie import Lie, is_inside, patch
from packet.scan.lines import Bits, Line
from packet.scan.marks import AROUND_MM, COVERED, INK, LINE, NOISE_SIGMAS, OFF_SCAN, TRACE, box_lines
from packet.scan.model import Box, Written
from packet.words import N_

# A cell's own border and dividers, and what is printed on them, end this far inside of it.
INSET_MM = 0.55
# Ink of a cell that is less than this is dust, or a rest of what is printed between the cells.
LEAST_AREA_MM2 = 0.35
LEAST_HIGH_MM = 1.6
# Combs stand close below one another, and a 1 stands above a 1 on one line; a stripe does not stop between the borders,
# from here to there outside of them.
BETWEEN_MM = (0.3, 0.75)
BETWEEN_SHARE = 0.6
# A sign that is this much wider than high is a dash.
DASH_WIDER = 2.0
LEAST_DASH_MM = 1.0

EMPTY = N_("nothing is written in it")
GAP = N_("a cell between is empty")
NO_DIGIT = N_("it holds what is no digit")
NO_TIME = N_("there is no such time")


@dataclass(frozen=True, slots=True)
class Cell:
    """What is in a cell: '' nothing, '-' a dash, 'd' a sign to be recognized (its shape), 'x' neither."""

    kind: str
    sign: Dark | None = None


def read_combs(even: Evened, lie: Lie, combs: Sequence[Box], places: Sequence[Place | None]) -> tuple[Written, ...]:
    """What is written in each comb. places: where their borders stand (`borders.find_borders`)."""
    return tuple(_read(even, lie, comb, place) for comb, place in zip(combs, places, strict=True))


def number_of(form: str, signs: Sequence[str]) -> tuple[str, str]:
    """(the number that the cells' signs make, why they make none). signs: one a cell, '' where it is empty."""
    cells = [index for index, sign in enumerate(form) if sign in "d-"]
    written = dict(zip(cells, signs, strict=True))
    filled = [at for at in cells if form[at] == "d" and written[at]]
    if not filled:
        return "", EMPTY
    point = form.find(".")
    last = max(at for at in cells if form[at] == "d") if point >= 0 or ":" in form else max(filled)
    first = min(at for at in cells if form[at] == "d") if ":" in form else min(filled)
    if point >= 0 and first > point:
        first = point  # less than one: nothing before the point
    if any(form[at] == "d" and first <= at <= last and not written[at] for at in cells):
        return "", GAP
    text = "".join(written[at] if form[at] == "d" else form[at] for at in range(first, last + 1) if form[at] != "-")
    if text.startswith("."):
        text = "0" + text
    if ":" in form:
        hours, _, minutes = text.partition(":")
        return (text, "") if int(hours) < 24 and int(minutes) < 60 else ("", NO_TIME)
    whole = text.lstrip("0") or "0"
    whole = "0" + whole if whole.startswith(".") else whole
    return ("-" if any(form[at] == "-" and written[at] == "-" for at in cells) else "") + whole, ""


def _read(even: Evened, lie: Lie, comb: Box, place: Place | None) -> Written:
    def answer(text: str = "", sureness: float = 0.0, why: str = "") -> Written:
        at = comb if place is None else replace(comb, x_mm=comb.x_mm + place.dx_mm, y_mm=comb.y_mm + place.dy_mm)
        where = (round(at.x_mm, 2), round(at.y_mm, 2), at.w_mm, at.h_mm)
        return Written(comb.key, comb.page, comb.label, comb.form, text, round(sureness, 3), why, *where)

    if not is_inside(even.picture, lie, grown(comb, 0.0)):
        return answer(why=OFF_SCAN)
    if place is None:
        return answer(why=COVERED)
    here = replace(comb, x_mm=comb.x_mm + place.dx_mm, y_mm=comb.y_mm + place.dy_mm)
    dark = (255.0 - patch(even.picture, lie, grown(here, AROUND_MM), PX_PER_MM).astype(np.float32)) / 255.0
    least = max(INK * even.contrast, NOISE_SIGMAS * even.noise)
    margin = round(AROUND_MM * PX_PER_MM)
    trace = max(TRACE * even.contrast, 0.6 * NOISE_SIGMAS * even.noise)
    lines = [line for line in box_lines(even, lie, here, trace) if not line.comes_in]
    if any(_leaves(dark > trace, line, margin) for line in lines):
        return answer(why=LINE)
    cells = _cells(dark[margin:-margin, margin:-margin], comb.form, least)
    read = iter(guesses([cell.sign for cell in cells if cell.sign is not None]))
    signs, sureness = [], 1.0
    for cell, wanted in zip(cells, (sign for sign in comb.form if sign in "d-"), strict=True):
        guess = next(read) if cell.sign is not None else Guess("", 1.0)
        is_fit = cell.kind in {"", "-"} if wanted == "-" else cell.kind == "" or bool(guess.digit)
        if not is_fit:
            return answer(why=NO_DIGIT)
        signs.append({"-": "-", "": ""}.get(cell.kind, guess.digit))
        sureness *= guess.sureness  # that of all digits together
    text, why = number_of(comb.form, signs)
    return answer(text, sureness if text else 0.0, why)


def _leaves(ink: Bits, line: Line, margin_px: int) -> bool:
    """Whether there is ink on a line right outside of a comb's border, on one side at least."""
    rows, columns = np.mgrid[0 : ink.shape[0], 0 : ink.shape[1]]
    right, bottom = ink.shape[1] - margin_px, ink.shape[0] - margin_px
    outside_mm = np.maximum.reduce([margin_px - columns, columns - right, margin_px - rows, rows - bottom]) / PX_PER_MM
    between = (line.away(ink.shape) <= 1.0) & (outside_mm > BETWEEN_MM[0]) & (outside_mm < BETWEEN_MM[1])
    along = rows * math.cos(line.theta) - columns * math.sin(line.theta)
    is_before = along < (ink.shape[0] * math.cos(line.theta) - ink.shape[1] * math.sin(line.theta)) / 2
    parts = [ink[between & side] for side in (is_before, ~is_before)]
    return any(part.size and float(part.mean()) >= BETWEEN_SHARE for part in parts)


def _cells(dark: Dark, form: str, least: float) -> list[Cell]:
    count = sum(sign in "d-" for sign in form)
    rows, columns = dark.shape
    inset = round(INSET_MM * PX_PER_MM)
    edges = [round(columns * number / count) for number in range(count + 1)]
    return [
        cell_in(dark[inset : rows - inset, left + inset : right - inset], least)
        for left, right in itertools.pairwise(edges)
    ]


def cell_in(dark: Dark, least: float) -> Cell:
    """What a cell holds. dark: its inside at PX_PER_MM, 0 is paper and 1 is black; least: the faintest that is ink."""
    ink = np.asarray(dark > least, np.uint8)
    # a stroke that the pen lifted in, or that a copy broke, is one
    joined = cv2.morphologyEx(ink, cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(joined, connectivity=8)
    kept = np.zeros(dark.shape, bool)
    columns = dark.shape[1]
    for number in range(1, count):
        left, _, width, _, area = (int(value) for value in stats[number])
        on_edge = left == 0 or left + width == columns
        if area / PX_PER_MM**2 >= (LEAST_AREA_MM2 if on_edge else LEAST_AREA_MM2 / 3):
            kept |= labels == number
    if kept.sum() / PX_PER_MM**2 < LEAST_AREA_MM2:
        return Cell("")
    high, wide = (float(np.ptp(where) + 1) / PX_PER_MM for where in np.nonzero(kept))
    if wide > DASH_WIDER * high and wide >= LEAST_DASH_MM:
        return Cell("-")
    if high < LEAST_HIGH_MM:
        return Cell("x")
    sign = normalized(np.where(kept, dark, 0).astype(np.float32), least)
    return Cell("d", sign) if sign is not None else Cell("")
