"""Straight lines that run through a box from outside to outside: dirt on a scanner's glass, a crease, a box struck out.

They are no marks. They are found in the ink of a box and its surroundings, and taken out, so that what is left can be
judged by itself.
"""

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt

Bits = npt.NDArray[np.bool_]
Dark = npt.NDArray[np.float32]
Values = npt.NDArray[np.float64]

# How much of a line must be there: inside the box, and beyond each side of it.
INSIDE_SHARE = 0.72
BEYOND_SHARE = 0.6
# Beyond a side is from here to there outside of the border.
BEYOND_FROM_MM = 0.5
# Boxes stand close: a stroke in the next one lies on the same line by chance, but not all through it and beyond.
BEYOND_TO_MM = 4.5
# A stripe along the scanner's way may end in the box: it comes in from further off then.
STRIPE_BEYOND_SHARE = 0.8
STRIPE_TO_MM = 4.5
# So much around a box has to be seen.
LINE_AROUND_MM = 5.0
STRIPE_DEG = 3.0
LEAST_INSIDE_MM = 1.5
INSIDE_FROM_MM = 0.65
MOST_LINES = 6
MOST_TRIED = 40
# A line stands out against what is this far to both its sides.
SIDES_MM = (0.5, 0.9)
# Taken out with a line: it wavers, and its edges are soft.
SOFT_MM = 0.16


@dataclass(frozen=True, slots=True)
class Line:
    """A line in the picture of a box: the angle of its normal and its distance from the top left (px)."""

    theta: float
    rho: float
    width_px: float
    comes_in: bool = False  # it only comes in from one side, aslant: the long leg of a check mark may, too

    def moved(self, by_px: float) -> "Line":
        """The line in a picture whose top left lies that much further on, both ways."""
        return replace(self, rho=self.rho - by_px * (math.cos(self.theta) + math.sin(self.theta)))

    def is_along(self, feed_deg: float) -> bool:
        """Whether it runs along the scanner's axes, one or the other."""
        return abs((math.degrees(self.theta) - feed_deg + 45.0) % 90.0 - 45.0) <= STRIPE_DEG

    def away(self, shape: tuple[int, ...]) -> npt.NDArray[np.float64]:
        """How far each pixel is from the line's middle, px."""
        rows, columns = np.mgrid[0 : shape[0], 0 : shape[1]]
        return np.asarray(np.abs(columns * math.cos(self.theta) + rows * math.sin(self.theta) - self.rho), np.float64)


def lines_through(
    dark: Dark, least: float, margin_px: int, px_per_mm: float, feed_deg: float, *, by_crests: bool = False
) -> tuple[Line, ...]:
    """The straight lines that run through a box.

    dark: the box with `margin_px` of its surroundings on every side, as shares of black. least: from where on it is
    ink. feed_deg: how the scanner's own axes lie in it; along them a line counts as soon as it comes in from far
    outside on one side. by_crests: the first is looked for where the ink is darkest across, which tells two that touch apart.
    """
    ground = _Ground(dark, np.zeros(dark.shape, np.uint8), least, margin_px, px_per_mm, feed_deg)
    left = ground.inner(dark > least)
    found: list[Line] = []
    while len(found) < MOST_LINES:
        line = _best(left & _crests(dark) if by_crests and not found else left, ground)
        if line is None:
            break
        found.append(line)
        band = line.away(dark.shape) <= line.width_px / 2 + SOFT_MM * px_per_mm
        left &= ~band
        ground.taken[band] = 255
    return tuple(found)


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """A box and its surroundings, to look for lines in."""

    dark: Dark
    taken: npt.NDArray[np.uint8]  # where lines already found lie
    least: float
    margin_px: int
    px_per_mm: float
    feed_deg: float

    def inner(self, ink: Bits) -> Bits:
        """The ink well inside the border alone."""
        edge = self.margin_px + round(INSIDE_FROM_MM * self.px_per_mm)
        inside = np.zeros_like(ink)
        inside[edge:-edge, edge:-edge] = ink[edge:-edge, edge:-edge]
        return inside

    def outside_mm(self, x: Values, y: Values) -> Values:
        """How far outside of the border places are; negative inside."""
        rows, columns = self.dark.shape
        left = top = float(self.margin_px)
        right, bottom = columns - left, rows - top
        return np.asarray(np.maximum.reduce([left - x, x - right, top - y, y - bottom]) / self.px_per_mm)


@dataclass(frozen=True, slots=True, eq=False)
class _Course:
    """A line's way over the ground, half a pixel a step: where it is in and out of the box, and what lies across it."""

    outside_mm: Values
    across: npt.NDArray[np.float32]  # steps x offsets: how dark, from one side to the other
    taken: Bits  # where it lies on a line already found

    def ridge(self, least: float, px_per_mm: float) -> tuple[Bits, Bits]:
        """(where the middle is ink and darker than both its sides: a thin line, not a letter's or a border's flank;
        where something dark lies right across, so that a line under it can neither be seen nor missed)."""
        middle = self.across.shape[1] // 2
        here = self.across[:, middle - 1 : middle + 2].max(axis=1)
        stands_out = np.zeros(len(here), bool)
        crossed = np.ones(len(here), bool)
        for side_mm in SIDES_MM:
            side = round(side_mm * px_per_mm)
            left, right = self.across[:, middle - side], self.across[:, middle + side]
            stands_out |= np.maximum(left, right) < 0.6 * here
            crossed &= np.minimum(left, right) > max(least, 0.4 * float(self.across.max(initial=0.0)))
        return np.asarray((here > least) & stands_out, bool), crossed


def _best(ink: Bits, ground: _Ground) -> Line | None:
    """The line through the box that most ink lies on."""
    if int(ink.sum()) < LEAST_INSIDE_MM * ground.px_per_mm:
        return None
    votes = int(LEAST_INSIDE_MM * ground.px_per_mm * 0.7)
    voted = cv2.HoughLinesWithAccumulator(np.asarray(ink, np.uint8), 1, math.radians(1.0), votes)
    if voted is None:
        return None
    for rho, theta, _ in np.asarray(voted).reshape(-1, 3)[:MOST_TRIED]:
        line = Line(float(theta), float(rho), 1.0)
        course = _course(line, ground)
        if course is None:
            continue
        through, comes_in = _runs_through(line, course, ground)
        if through or comes_in:
            return replace(line, width_px=_width(course), comes_in=not through)
    return None


def _crests(dark: Dark) -> Bits:
    """Where it is as dark as anywhere beside it, across or down: a line's middle, also of two that touch.

    All the ink of two such lines holds more slanting lines than are tried, and their own are none of them.
    """
    crests = np.zeros(dark.shape, bool)
    crests[:, 1:-1] |= (dark[:, 1:-1] >= dark[:, :-2]) & (dark[:, 1:-1] >= dark[:, 2:])
    crests[1:-1] |= (dark[1:-1] >= dark[:-2]) & (dark[1:-1] >= dark[2:])
    return crests


def _course(line: Line, ground: _Ground) -> _Course | None:
    rows, columns = ground.dark.shape
    along = np.arange(-rows - columns, rows + columns, 0.5)
    normal = np.array([math.cos(line.theta), math.sin(line.theta)])
    x = normal[0] * line.rho - normal[1] * along
    y = normal[1] * line.rho + normal[0] * along
    on = (x >= 0) & (y >= 0) & (x <= columns - 1) & (y <= rows - 1)
    x, y = x[on], y[on]
    if len(x) < 2:
        return None
    reach = round(max(SIDES_MM) * ground.px_per_mm)
    offsets = np.arange(-reach, reach + 1)
    maps = [np.asarray(at[:, None] + offsets * step, np.float32) for at, step in zip((x, y), normal, strict=True)]
    across = cv2.remap(ground.dark, maps[0], maps[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    taken = ground.taken[np.round(y).astype(int), np.round(x).astype(int)] > 0
    return _Course(ground.outside_mm(x, y), np.asarray(across, np.float32), taken)


def _runs_through(line: Line, course: _Course, ground: _Ground) -> tuple[bool, bool]:
    """(whether it is surely no stroke of a mark, whether it comes in from far outside on one side)."""
    inside = course.outside_mm < -INSIDE_FROM_MM
    if inside.sum() * 0.5 < LEAST_INSIDE_MM * ground.px_per_mm:
        return False, False
    steps = np.arange(len(inside))
    first = int(np.argmax(inside))
    sides = [part & ~inside for part in (steps < first, steps > first)]
    # inside, other strokes may cross or lie along it; outside it must stand by itself
    middle = course.across.shape[1] // 2
    there = course.across[:, middle - 1 : middle + 2].max(axis=1) > ground.least
    ridge, crossed = course.ridge(ground.least, ground.px_per_mm)
    crossed |= course.taken
    beyond = (course.outside_mm > BEYOND_FROM_MM) & (course.outside_mm < BEYOND_TO_MM)
    ends = [_seen_share(ridge, crossed, beyond & side) for side in sides]
    if _seen_share(there, course.taken, inside) >= INSIDE_SHARE and min(ends) >= BEYOND_SHARE:
        return True, True
    far = (course.outside_mm > BEYOND_FROM_MM) & (course.outside_mm < STRIPE_TO_MM)
    reaches = max(_seen_share(ridge, crossed, far & side) for side in sides)
    comes_in = reaches >= STRIPE_BEYOND_SHARE and _seen_share(ridge, course.taken, inside) >= 0.4
    return comes_in and line.is_along(ground.feed_deg), comes_in


def _seen_share(ridge: Bits, crossed: Bits, part: Bits) -> float:
    """The share of a part that is line, of what is not crossed; nothing where too little of it can be seen."""
    open_part = part & ~crossed
    return _share(ridge, open_part) if open_part.sum() >= 0.35 * max(int(part.sum()), 1) else 0.0


def _share(there: Bits, part: Bits) -> float:
    return float(there[part].mean()) if part.any() else 0.0


def _width(course: _Course) -> float:
    """How wide the line is where it is half as dark as in its middle, px; what crosses it here and there is no part."""
    inside = course.outside_mm < -INSIDE_FROM_MM
    profile = np.median(course.across[inside], axis=0)
    middle = len(profile) // 2
    half = 0.5 * float(profile[middle - 1 : middle + 2].max())
    low = high = middle
    while low > 0 and profile[low - 1] > half:
        low -= 1
    while high < len(profile) - 1 and profile[high + 1] > half:
        high += 1
    return float(2 * max(middle - low, high - middle) + 1)
