"""Finding a code whose corners are scribbled over: by the likeness of its three finder squares and its fixed modules.

Gives places where a symbol may lie, the best first; whether it says anything is `scan_restore`'s question.
"""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.marks import QR_QUIET_MODULES, QR_SIDE_MM
from packet.scan import symbol as scan_symbol
from packet.scan.image import Picture

Affine = npt.NDArray[np.float64]  # 2 x 3: modules (x, y) to pixels

FINDER_LIKENESS = 0.45
MOST_PEAKS = 14
SKEWS_DEG = (-4.0, 0.0, 4.0)
SCALES = (0.93, 1.0, 1.07)
# A leg between two finders may be off its expected length and direction by this much.
LEG_TOLERANCE = 0.12
STEEPEST_DEG = 9.0
# Before a place is settled its fixed modules agree little: half a pixel is a fifth of a module.
ROUGH_AGREEMENT = 0.15
PLACES = 5


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A symbol's place: its width in modules, modules to pixels, and how well its fixed modules agree (to 1)."""

    size: int
    affine: Affine
    agreement: float


def module_sizes(sizes: frozenset[int], px_per_mm: float) -> dict[int, float]:
    """Pixels a module for each symbol width (modules) that may occur."""
    return {size: QR_SIDE_MM / (size + 2 * QR_QUIET_MODULES) * px_per_mm for size in sizes}


def places(view: Picture, module_px: dict[int, float]) -> tuple[Place, ...]:
    """Where in `view` (evened: paper is white) a symbol may lie, the best first."""
    found: list[Place] = []
    for size, expected in module_px.items():
        peaks = _finders(view, expected)
        for affine in _poses(peaks, size, expected):
            agreement = _agreement(view, affine, size)
            if agreement > ROUGH_AGREEMENT:
                found.append(Place(size, affine, agreement))
    found.sort(key=lambda place: -place.agreement)
    settled = [_settle(view, place) for place in _distinct(found)[:PLACES]]
    return tuple(sorted(settled, key=lambda place: -place.agreement))


def _distinct(found: list[Place]) -> list[Place]:
    """Without those that lie within a module or so of a better one."""
    kept: list[Place] = []
    for place in found:
        middle = place.affine @ (place.size / 2, place.size / 2, 1.0)
        turn = place.affine[:, 0]
        same = (
            other.size == place.size
            and np.abs(other.affine @ (other.size / 2, other.size / 2, 1.0) - middle).max() < 4
            and float(turn @ other.affine[:, 0]) > 0
            for other in kept
        )
        if not any(same):
            kept.append(place)
    return kept


def sample(view: Picture, affine: Affine, size: int) -> npt.NDArray[np.float32]:
    """size x size: how light each module is, over its middle."""
    offsets = (0.3, 0.5, 0.7)
    total: npt.NDArray[np.float32] = np.zeros((size, size), np.float32)
    rows, columns = np.mgrid[0:size, 0:size].astype(np.float64)
    for dy, dx in itertools.product(offsets, offsets):
        total += _at(view, affine, columns + dx, rows + dy)
    return np.asarray(total / len(offsets) ** 2, np.float32)


def _at(view: Picture, affine: Affine, x: npt.NDArray[Any], y: npt.NDArray[Any]) -> npt.NDArray[np.float32]:
    px = affine[0, 0] * x + affine[0, 1] * y + affine[0, 2] - 0.5
    py = affine[1, 0] * x + affine[1, 1] * y + affine[1, 2] - 0.5
    maps = (np.asarray(px, np.float32), np.asarray(py, np.float32))
    return np.asarray(cv2.remap(view, *maps, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.float32)


def _finders(view: Picture, module_px: float) -> list[tuple[float, float, float]]:
    """(x, y, likeness) of the middles of what looks like a finder square."""
    best: npt.NDArray[np.float32] | None = None
    for scale, skew in itertools.product(SCALES, SKEWS_DEG):
        template = _finder_template(module_px * scale, skew)
        scores = np.asarray(cv2.matchTemplate(view, template, cv2.TM_CCOEFF_NORMED), np.float32)
        half = template.shape[0] / 2
        full = np.full(view.shape[:2], -1.0, np.float32)
        top = int(half)
        full[top : top + scores.shape[0], top : top + scores.shape[1]] = scores
        best = full if best is None else np.maximum(best, full)
    assert best is not None
    peaks: list[tuple[float, float, float]] = []
    reach = round(3 * module_px)
    while len(peaks) < MOST_PEAKS:
        _, value, _, (x, y) = cv2.minMaxLoc(best)
        if value < FINDER_LIKENESS:
            break
        peaks.append((x + 0.5, y + 0.5, value))
        best[max(0, y - reach) : y + reach + 1, max(0, x - reach) : x + reach + 1] = -1.0
    return peaks


@lru_cache(maxsize=256)
def _finder_template(module_px: float, skew_deg: float) -> Picture:
    """A finder square with a module of white around it, turned by the skew; odd width, so that it has a middle."""
    fine = 8
    side = scan_symbol.FINDER + 2
    grid = np.full((side, side), 255, np.uint8)
    grid[1:-1, 1:-1][scan_symbol.fixed(21, None)[:7, :7] == scan_symbol.DARK] = 0
    big = cv2.resize(grid, None, fx=fine, fy=fine, interpolation=cv2.INTER_NEAREST)
    width = round(side * module_px) | 1
    turn = cv2.getRotationMatrix2D(((big.shape[1] - 1) / 2, (big.shape[0] - 1) / 2), -skew_deg, module_px / fine)
    turn[:, 2] += (width - 1) / 2 - (big.shape[0] - 1) / 2
    soft = cv2.GaussianBlur(big, (0, 0), fine / module_px * 0.7)
    return np.asarray(cv2.warpAffine(soft, turn, (width, width), borderValue=255), np.uint8)


def _poses(peaks: list[tuple[float, float, float]], size: int, module_px: float) -> Iterator[Affine]:
    """Every way in which two of the finders seen can be two of a symbol's three."""
    corners = {"top left": (3.5, 3.5), "top right": (size - 3.5, 3.5), "bottom left": (3.5, size - 3.5)}
    for one, other in itertools.permutations(peaks, 2):
        seen = complex(other[0] - one[0], other[1] - one[1])
        for first, second in itertools.combinations(corners, 2):
            (x1, y1), (x2, y2) = corners[first], corners[second]
            ratio = seen / complex(x2 - x1, y2 - y1)
            if abs(abs(ratio) / module_px - 1) > LEG_TOLERANCE:
                continue
            degrees = math.degrees(math.atan2(ratio.imag, ratio.real))
            if abs(degrees - 90 * round(degrees / 90)) > STEEPEST_DEG:
                continue
            a, b = ratio.real, ratio.imag
            yield np.array([[a, -b, one[0] - a * x1 + b * y1], [b, a, one[1] - b * x1 - a * y1]])


def _agreement(view: Picture, affine: Affine, size: int) -> float:
    """Light minus dark over the fixed modules, as a share of full contrast."""
    columns, rows, weights = _fixed_middles(size)
    return float(_at(view, affine, columns, rows)[0] @ weights)


@cache
def _fixed_middles(size: int) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64], npt.NDArray[np.float32]]:
    """The middles of the fixed modules, columns and rows, and what each counts: light ones for, dark ones against."""
    grid = scan_symbol.fixed(size, None)
    rows, columns = np.nonzero(grid != scan_symbol.DATA)
    dark = grid[rows, columns] == scan_symbol.DARK
    weights = np.where(dark, -1 / dark.sum(), 1 / (~dark).sum()) / 255.0
    middles = [np.asarray(at[None] + 0.5, np.float64) for at in (columns, rows)]
    return middles[0], middles[1], np.asarray(weights, np.float32)


def _settle(view: Picture, place: Place) -> Place:
    """The place moved, a little at a time, to where its fixed modules agree best: three corners, two ways each."""
    size = place.size
    anchors = np.array([(0.0, 0.0, 1.0), (size, 0.0, 1.0), (0.0, size, 1.0)])
    points = anchors @ place.affine.T
    inverse = np.linalg.inv(anchors)
    best, step = place.agreement, 1.2
    while step > 0.1:
        moved = False
        for corner, axis, sign in itertools.product(range(3), range(2), (-1, 1)):
            tried = points.copy()
            tried[corner, axis] += sign * step
            value = _agreement(view, (inverse @ tried).T, size)
            if value > best + 1e-4:
                best, points, moved = value, tried, True
        if not moved:
            step /= 2
    return Place(size, (inverse @ points).T, best)
