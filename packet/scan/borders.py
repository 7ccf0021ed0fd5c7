"""Where every box of a page stands: all printed borders fitted together before any box is read.

A border looks like its neighbor's. So each box first names every place near it where a border of its size can be seen;
then one even motion of the whole page is found that most boxes agree with; then each box takes the border nearest to
where its neighbors say, or none. A column of boxes that is off by one row would leave a border over at one end and
none at the other, and has less of them agree than the true one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.marks import Area
from packet.scan.fit import peak_offset
from packet.scan.image import Picture
from packet.scan.lie import Lie, Points, patch
from packet.scan.model import Box

PX_PER_MM = 8.0
# How far from where the marks put it a border is looked for: with marks all round the page, and with few of them.
REACH_MM = 2.2
WIDE_REACH_MM = 5.0
ENOUGH_MARKS = 4
# The border is taken as this thick where it is matched; printers spread a hairline to about that.
BORDER_MM = 0.4
# The least likeness (correlation, 1 is the same) at which a border counts as found.
BORDER_LIKENESS = 0.38
MOST_PLACES = 6
# Places of one box nearer to each other than this are one.
APART_MM = 0.5
# A box agrees with a motion of the page when a border stands within this of it.
AGREES_MM = 0.6
# Shifts further apart than this are not one, and one that explains this share of what the best does is a rival.
ROW_MM = 2.0
RIVAL_SHARE = 0.75
# Paper bends over distances like this: boxes nearer than it say where their neighbor is.
NEIGHBORHOOD_MM = 45.0
# With fewer boxes than this agreeing, or less than this share of them, only the page's marks say where they are: print
# looks like a border here and there.
ENOUGH_BOXES = 3
ENOUGH_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class Place:
    """A place where a box's border can be seen: how far from where it was expected, and how alike it is."""

    dx_mm: float
    dy_mm: float
    likeness: float


@dataclass(frozen=True, slots=True)
class Borders:
    """Where each box stands (None: its border is not seen) and how far off they stood at first, root mean square."""

    places: tuple[Place | None, ...]
    off_mm: float | None


def find_borders(even: Picture, lie: Lie, boxes: Sequence[Box], marks_seen: int) -> Borders:
    """Every box's border on an evened picture of the page."""
    reach = REACH_MM if marks_seen >= ENOUGH_MARKS else WIDE_REACH_MM
    seen = [_places(even, lie, box, reach) for box in boxes]
    centers = np.array([(box.x_mm + box.w_mm / 2, box.y_mm + box.h_mm / 2) for box in boxes])
    shift = _shift(seen, is_sure=marks_seen >= ENOUGH_MARKS)
    if shift is None:
        return Borders((None,) * len(boxes), None)
    motion = np.vstack([np.zeros((2, 2)), shift])  # 3 x 2: how (x, y, 1) moves
    chosen: list[Place | None] = []
    for limit in (1.2, 0.9, AGREES_MM, AGREES_MM):
        chosen = [_nearest(places, at, limit) for places, at in zip(seen, _moved(motion, centers), strict=True)]
        motion = _motion(centers, chosen, shift)
    agreed = sum(place is not None for place in chosen)
    if marks_seen < ENOUGH_MARKS and agreed < max(ENOUGH_BOXES, ENOUGH_SHARE * len(boxes)):
        return Borders((None,) * len(boxes), None)
    settled = _by_neighbors(centers, seen, chosen, _moved(motion, centers))
    off = [place.dx_mm**2 + place.dy_mm**2 for place in settled if place is not None]
    return Borders(settled, math.sqrt(sum(off) / len(off)) if off else None)


def grown(box: Box, by_mm: float) -> Area:
    """A box's rectangle with `by_mm` all round it."""
    return Area(box.x_mm - by_mm, box.y_mm - by_mm, box.w_mm + 2 * by_mm, box.h_mm + 2 * by_mm)


def _places(even: Picture, lie: Lie, box: Box, reach_mm: float) -> tuple[Place, ...]:
    """Where within reach a border of the box's size can be seen, the likest first."""
    view = patch(even, lie, grown(box, reach_mm + 1.0), PX_PER_MM)
    template, counted = _border(box.w_mm, box.h_mm)
    scores = np.nan_to_num(
        np.asarray(cv2.matchTemplate(view, template, cv2.TM_CCOEFF_NORMED, mask=counted)), posinf=0.0
    )
    middle_y, middle_x = (scores.shape[0] - 1) / 2, (scores.shape[1] - 1) / 2
    found: list[Place] = []
    left = scores.copy()
    apart = round(APART_MM * PX_PER_MM)
    while len(found) < MOST_PLACES:
        _, best, _, (x, y) = cv2.minMaxLoc(left)
        if best < BORDER_LIKENESS:
            break
        dx, dy = peak_offset(scores, x, y)
        found.append(Place((x + dx - middle_x) / PX_PER_MM, (y + dy - middle_y) / PX_PER_MM, best))
        left[max(0, y - apart) : y + apart + 1, max(0, x - apart) : x + apart + 1] = -1.0
    return tuple(found)


def _shift(seen: Sequence[tuple[Place, ...]], *, is_sure: bool) -> Points | None:
    """The one shift of the page that most boxes agree with; None when no border is seen.

    is_sure: the page's marks have it already to within a row of boxes. Where they do not, a column may be off by a row
    and lack but one box: two shifts that explain nearly as much are no answer.
    """
    every = np.array([(place.dx_mm, place.dy_mm) for places in seen for place in places])
    if not len(every):
        return None
    owner = np.array([number for number, places in enumerate(seen) for _ in places])
    likeness = np.array([place.likeness for places in seen for place in places])
    worths = np.zeros(len(every))
    for number, at in enumerate(every):
        away = np.linalg.norm(every - at, axis=1)
        total = np.zeros(len(seen))
        np.maximum.at(total, owner, np.where(away < 1.0, likeness * (1 - 0.5 * away), 0.0))
        worths[number] = total.sum()
    # of equals, the nearest to where the marks have it
    best = int(np.argmax(worths * (1 - 0.04 * np.linalg.norm(every, axis=1))))
    from_best = np.linalg.norm(every - every[best], axis=1)
    if not is_sure and bool((worths[from_best > ROW_MM] > RIVAL_SHARE * worths[best]).any()):
        return None
    return np.asarray(np.median(every[from_best < AGREES_MM], axis=0), np.float64)


def _moved(motion: Points, centers: Points) -> Points:
    return np.asarray(np.column_stack([centers, np.ones(len(centers))]) @ motion, np.float64)


def _motion(centers: Points, chosen: Sequence[Place | None], shift: Points) -> Points:
    """The even motion (3 x 2) of the page that the chosen borders show, held to `shift` where there are few."""
    known = [number for number, place in enumerate(chosen) if place is not None]
    if not known:
        return np.vstack([np.zeros((2, 2)), shift])
    target = np.array([(place.dx_mm, place.dy_mm) for place in chosen if place is not None])
    rows = np.column_stack([centers[known], np.ones(len(known))])
    # a page hardly stretches or turns beyond what the marks show: 0.01 is 2 mm over the page
    middle = centers[known].mean(axis=0)
    rows[:, :2] -= middle
    held = np.array([[0.3 / 0.01, 0, 0], [0, 0.3 / 0.01, 0]])
    solved = np.linalg.lstsq(np.vstack([rows, held]), np.vstack([target, np.zeros((2, 2))]), rcond=None)[0]
    solved[2] -= middle @ solved[:2]
    return np.asarray(solved, np.float64)


def _nearest(places: Sequence[Place], at: Points, limit_mm: float) -> Place | None:
    within = [place for place in places if math.hypot(place.dx_mm - at[0], place.dy_mm - at[1]) <= limit_mm]
    return min(within, key=lambda place: math.hypot(place.dx_mm - at[0], place.dy_mm - at[1]), default=None)


def _by_neighbors(
    centers: Points, seen: Sequence[tuple[Place, ...]], chosen: Sequence[Place | None], moved: Points
) -> tuple[Place | None, ...]:
    """Each box's border as its neighbors have it: paper bends, but not between one box and the next."""
    known = np.array([place is not None for place in chosen])
    beyond = np.array(
        [
            (place.dx_mm - at[0], place.dy_mm - at[1]) if place is not None else (0.0, 0.0)
            for place, at in zip(chosen, moved, strict=True)
        ]
    )
    settled: list[Place | None] = []
    for number, places in enumerate(seen):
        away = np.linalg.norm(centers - centers[number], axis=1)
        weight = np.where(known, np.exp(-0.5 * (away / NEIGHBORHOOD_MM) ** 2), 0.0)
        weight[number] = 0.0
        total = float(weight.sum())
        bend = (weight[:, None] * beyond).sum(axis=0) / (total + 0.5) if total else np.zeros(2)
        settled.append(_nearest(places, moved[number] + bend, AGREES_MM))
    return tuple(settled)


@lru_cache(maxsize=64)
def _border(w_mm: float, h_mm: float) -> tuple[Picture, Picture]:
    """A box's border as a template with a little paper on both sides, and what of it counts: not the pen's inside."""
    pad = 0.6
    width, height = round((w_mm + 2 * pad) * PX_PER_MM), round((h_mm + 2 * pad) * PX_PER_MM)
    picture = np.full((height, width), 255, np.uint8)
    counted = np.full((height, width), 255, np.uint8)
    edge, thick = round(pad * PX_PER_MM), max(2, round(BORDER_MM * PX_PER_MM))
    picture[edge : height - edge, edge : width - edge] = 0
    picture[edge + thick : height - edge - thick, edge + thick : width - edge - thick] = 255
    inner = 2 * edge + thick
    counted[inner : height - inner, inner : width - inner] = 0
    return _u8(cv2.GaussianBlur(picture, (0, 0), 1.2)), counted


def _u8(picture: npt.NDArray[Any] | cv2.typing.MatLike) -> Picture:
    return np.asarray(picture, dtype=np.uint8)
