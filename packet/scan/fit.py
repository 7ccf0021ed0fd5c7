"""Where the page lies in the picture: from its codes, then from the squares in its margins, the nearest first.

Each mark found (`packet.press.marks`) makes it surer where the next one is, so that even a page taken by a phone from
aside, of which one code can be read, is found from mark to mark. What is left the printed boxes settle (`borders`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.marks import PAPER_MM, Area, Corner, Paper, qr_symbol_area, registration_squares
from packet.scan.code import Code
from packet.scan.image import Picture
from packet.scan.lie import Lie, Map, Points, fitted, is_page_like, lie_of, patch, projected, similarity

# Looked for around the place where the marks found so far put a square; surer the nearer they are.
SQUARE_SEARCH_MM = 2.5
SEARCH_PER_MM = 0.045
WIDEST_SEARCH_MM = 9.0
# Where too few are found so, one is looked for this far off, among so many that look like it, if others then confirm it.
FAR_SEARCH_MM = 20.0
MOST_LIKE_SQUARES = 3
# The least likeness (correlation, 1 is the same) at which a square counts as seen.
SQUARE_LIKENESS = 0.75
# Squares are matched on a grid this fine.
FINE_PX_PER_MM = 8.0
# How far off its true place a mark may be seen.
CODE_SIGMA_MM = 0.08
SQUARE_SIGMA_MM = 0.15
# A square further than this from where all the others put it is something else, or paper that does not lie flat.
STRAY_MM = 1.2


@dataclass(frozen=True, slots=True, eq=False)
class Sighting:
    """A code of the page and the corner at which it stands."""

    code: Code
    corner: Corner


@dataclass(frozen=True, slots=True, eq=False)
class _Mark:
    """A mark seen: places on paper and in the picture."""

    mm: Points
    px: Points
    sigma_mm: float


def lie_from_marks(sightings: Sequence[Sighting], paper: Paper, picture: Picture) -> tuple[Lie, int]:
    """How the page lies, and how many marks (codes and squares) say so."""
    codes = [_code_mark(sighting, paper, picture) for sighting in sightings]
    marks = _with_squares(codes, registration_squares(paper), paper, picture)
    marks = _from_afar(marks, paper, picture)
    while (stray := _stray(marks)) is not None:
        marks.pop(stray)
    return lie_of(_map_of(marks)), len(marks)


def _with_squares(known: Sequence[_Mark], squares: Sequence[Area], paper: Paper, picture: Picture) -> list[_Mark]:
    """The marks known and the squares seen from them on, the nearest first: each makes it surer where the next is."""
    marks, left = list(known), list(squares)
    while left:
        mapping = _map_of(marks)
        reached = np.vstack([mark.mm for mark in marks])
        away = [float(np.linalg.norm(reached - square.center_mm, axis=1).min()) for square in left]
        nearest = int(np.argmin(away))
        square = left.pop(nearest)
        reach = min(SQUARE_SEARCH_MM + SEARCH_PER_MM * away[nearest], WIDEST_SEARCH_MM)
        found = _squares_near(lie_of(mapping), picture, square, reach, most=1)
        tried = [[*marks, _square_mark(square, px)] for px in found]
        marks = next((more for more in tried if is_page_like(_map_of(more), PAPER_MM[paper])), marks)
    return marks


def _from_afar(marks: list[_Mark], paper: Paper, picture: Picture) -> list[_Mark]:
    """The marks and those that one square more leads to, which stands further off than was thought.

    A lone code, small and seen from aside, has the page's other side wrong by more than squares are looked for. Of
    what looks like a square there, that is one from which most of the others are found where they should be.
    """
    seen = [mark.mm[0] for mark in marks if len(mark.mm) == 1]
    left = [square for square in registration_squares(paper) if not any((at == square.center_mm).all() for at in seen)]
    lie, best = lie_of(_map_of(marks)), marks
    for square in left if len(left) > 1 else ():
        for px in _squares_near(lie, picture, square, FAR_SEARCH_MM, most=MOST_LIKE_SQUARES):
            begun = [*marks, _square_mark(square, px)]
            if not is_page_like(_map_of(begun), PAPER_MM[paper]):
                continue
            others = [other for other in left if other != square]
            more = _with_squares(begun, others, paper, picture)
            if len(more) > max(len(best), len(begun)):
                best = more
        if len(best) == len(marks) + len(left):
            break
    return best


def _map_of(marks: Sequence[_Mark]) -> Map:
    sigma = np.concatenate([np.full(len(mark.mm), mark.sigma_mm) for mark in marks])
    return fitted(np.vstack([mark.mm for mark in marks]), np.vstack([mark.px for mark in marks]), sigma)


def _stray(marks: Sequence[_Mark]) -> int | None:
    """The square that the other marks would have elsewhere; None when there are too few to say, or all agree."""
    if len(marks) < 5:
        return None
    lie = lie_of(_map_of(marks))
    px_per_mm = lie.dpi / 25.4
    off = [
        float(np.linalg.norm(projected(lie.map, mark.mm) - mark.px, axis=1).max()) / px_per_mm
        if len(mark.mm) == 1
        else 0.0
        for mark in marks
    ]
    worst = int(np.argmax(off))
    return worst if off[worst] > STRAY_MM else None


def _code_mark(sighting: Sighting, paper: Paper, picture: Picture) -> _Mark:
    """A code's corners on paper, and in the picture made exact against it."""
    code = sighting.code
    area = qr_symbol_area(paper, code.modules.shape[0], sighting.corner)
    right, bottom = area.x_mm + area.w_mm, area.y_mm + area.h_mm
    corners_mm = np.array([(area.x_mm, area.y_mm), (right, area.y_mm), (right, bottom), (area.x_mm, bottom)])
    return _Mark(corners_mm, _exact_corners(code, picture), CODE_SIGMA_MM)


def _exact_corners(code: Code, picture: Picture) -> Points:
    """The symbol's corners to a small part of a pixel: its own modules laid on the picture until they agree best."""
    count, fine = code.modules.shape[0], 6
    quiet = 2
    ideal = np.full((count + 2 * quiet, count + 2 * quiet), 255, np.uint8)
    ideal[quiet:-quiet, quiet:-quiet][code.modules] = 0
    template = np.asarray(cv2.resize(ideal, None, fx=fine, fy=fine, interpolation=cv2.INTER_NEAREST), np.float32)
    template = np.asarray(cv2.GaussianBlur(template, (0, 0), 2.0), np.float32)
    inner = np.array([(0, 0), (count, 0), (count, count), (0, count)], dtype=np.float64)
    on_template = (inner + quiet) * fine - 0.5  # OpenCV counts from the middle of the first pixel
    side = float(np.linalg.norm(code.corners[1] - code.corners[0]))
    low = np.maximum(np.floor(code.corners.min(0) - 0.3 * side), 0).astype(int)
    high = np.ceil(code.corners.max(0) + 0.3 * side).astype(int)
    start = similarity(on_template, code.corners - low - 0.5)
    try:
        _, warp = cv2.findTransformECC(
            template,
            np.asarray(picture[low[1] : high[1], low[0] : high[0]], np.float32),
            np.asarray(start, np.float32),
            cv2.MOTION_AFFINE,
            (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 30, 1e-4),
        )
    except cv2.error as error:
        if error.code != cv2.Error.StsNoConv:
            raise
        return code.corners  # it did not settle: too much of the code is covered
    exact = on_template @ np.asarray(warp)[:, :2].T + np.asarray(warp)[:, 2] + low + 0.5
    return exact if np.abs(exact - code.corners).max() < 0.15 * side else code.corners


def _square_mark(square: Area, px: Points) -> _Mark:
    return _Mark(np.array([square.center_mm]), px[None], SQUARE_SIGMA_MM)


def _squares_near(rough: Lie, picture: Picture, square: Area, reach_mm: float, *, most: int) -> list[Points]:
    """The middles, in pixels, of what looks like a registration square near where it is thought, the likest first."""
    reach = reach_mm + square.w_mm
    left, top = square.center_mm[0] - reach, square.center_mm[1] - reach
    view = patch(picture, rough, Area(left, top, 2 * reach, 2 * reach), FINE_PX_PER_MM)
    side, margin = round(square.w_mm * FINE_PX_PER_MM), round(1.5 * FINE_PX_PER_MM)
    template = np.full((side + 2 * margin, side + 2 * margin), 255, np.uint8)
    template[margin:-margin, margin:-margin] = 0
    template = np.asarray(cv2.GaussianBlur(template, (0, 0), 1.5), np.uint8)
    scores = np.asarray(cv2.matchTemplate(view, template, cv2.TM_CCOEFF_NORMED))
    half, rest = template.shape[0] / 2, scores.copy()
    found: list[Points] = []
    while len(found) < most:
        _, best, _, (x, y) = cv2.minMaxLoc(rest)
        if best < SQUARE_LIKENESS:
            break
        dx, dy = peak_offset(scores, x, y)
        at_mm = np.array([[left + (x + dx + half) / FINE_PX_PER_MM, top + (y + dy + half) / FINE_PX_PER_MM]])
        found.append(np.asarray(rough.px(at_mm)[0], dtype=np.float64))
        rest[max(0, y - side) : y + side + 1, max(0, x - side) : x + side + 1] = -1.0
    return found


def peak_offset(scores: npt.NDArray[Any], x: int, y: int) -> tuple[float, float]:
    """Where between the grid's points a peak really stands: the top of a parabola through its neighbors."""

    def vertex(before: float, at: float, after: float) -> float:
        bend = before - 2 * at + after
        return 0.0 if bend >= 0 else max(-0.5, min(0.5, 0.5 * (before - after) / bend))

    rows, columns = scores.shape
    dx = vertex(*(float(scores[y, x + step]) for step in (-1, 0, 1))) if 0 < x < columns - 1 else 0.0
    dy = vertex(*(float(scores[y + step, x]) for step in (-1, 0, 1))) if 0 < y < rows - 1 else 0.0
    return dx, dy
