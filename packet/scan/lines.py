"""Straight lines that run through a box from outside to outside: dirt on a scanner's glass, a crease, a box struck out.

They are no marks. They are found in the ink of a box and its surroundings, and taken out, so that what is left can be
judged by itself.
"""

import itertools
import math
from collections.abc import Sequence
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
# Where less than this share of a part can be seen, nothing is said of it.
LEAST_SEEN = 0.35
# Beyond a side is from here to there outside of the border.
BEYOND_FROM_MM = 0.5
# Boxes stand close: a stroke in the next one lies on the same line by chance, but not all through it and beyond.
BEYOND_TO_MM = 4.5
# A stripe along the scanner's way may end in the box: it comes in from further off then.
STRIPE_BEYOND_SHARE = 0.8
# So much around a box has to be seen.
LINE_AROUND_MM = 5.0
STRIPE_DEG = 3.0
LEAST_INSIDE_MM = 1.5
INSIDE_FROM_MM = 0.65
MOST_LINES = 6
MOST_TRIED = 40
AT_A_TIME = 13  # of those tried: the library takes no picture of more than 32,767 rows
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
    ink = dark > least
    inked = cv2.dilate(np.asarray(ink, np.uint8), np.ones((7, 7), np.uint8)) > 0
    ground = _Ground(dark, np.zeros(dark.shape, np.uint8), least, margin_px, px_per_mm, feed_deg, inked)
    left = ground.inner(ink)
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
    inked: Bits  # where a line's middle may be ink, looked at to a pixel both sides and between pixels

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

    def across(self, x: Values, y: Values, normals: Values) -> npt.NDArray[np.float32]:
        """steps x offsets: how dark it is at each place and to both its sides along its normal."""
        reach = round(max(SIDES_MM) * self.px_per_mm)
        offsets = np.arange(-reach, reach + 1, dtype=np.float32)
        maps = [
            at.astype(np.float32)[:, None] + step.astype(np.float32)[:, None] * offsets
            for at, step in zip((x, y), normals.T, strict=True)
        ]
        found = cv2.remap(self.dark, maps[0], maps[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        return np.asarray(found, np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class _Courses:
    """The ways of several lines over the ground, half a pixel a step, one after the other: where each is in and out of
    the box, and what lies across it."""

    starts: npt.NDArray[np.intp]  # each line's first step
    outside_mm: Values
    is_before: Bits  # not yet in the box
    across: npt.NDArray[np.float32]  # steps x offsets: how dark, from one side to the other
    taken: Bits  # where it lies on a line already found

    def count(self, there: Bits) -> npt.NDArray[np.intp]:
        """For each line, at how many of its steps it is so."""
        return np.add.reduceat(there.astype(np.intp), self.starts)

    def of(self, number: int) -> slice:
        """The steps of one line."""
        after = int(self.starts[number + 1]) if number + 1 < len(self.starts) else len(self.outside_mm)
        return slice(int(self.starts[number]), after)

    def ridge(self, least: float, px_per_mm: float) -> tuple[Bits, Bits]:
        """(where the middle is ink and darker than both its sides: a thin line, not a letter's or a border's flank;
        where something dark lies right across, so that a line under it can neither be seen nor missed)."""
        here = self.middle()
        every = self.across.ravel()
        darkest = np.maximum.reduceat(every, self.starts * self.across.shape[1]).astype(np.float64)
        dark = np.repeat(np.maximum(least, 0.4 * darkest), np.diff(self.starts, append=len(here)))
        stands_out = np.zeros(len(here), bool)
        crossed = np.ones(len(here), bool)
        middle = self.across.shape[1] // 2
        for side_mm in SIDES_MM:
            side = round(side_mm * px_per_mm)
            left, right = self.across[:, middle - side], self.across[:, middle + side]
            stands_out |= np.maximum(left, right) < 0.6 * here
            crossed &= np.minimum(left, right) > dark
        return np.asarray((here > least) & stands_out, bool), crossed

    def middle(self) -> npt.NDArray[np.float32]:
        """How dark it is on the lines."""
        middle = self.across.shape[1] // 2
        here = np.maximum(self.across[:, middle - 1], self.across[:, middle])
        return np.asarray(np.maximum(here, self.across[:, middle + 1]), np.float32)


def _best(ink: Bits, ground: _Ground) -> Line | None:
    """The line through the box that most ink lies on."""
    if int(ink.sum()) < LEAST_INSIDE_MM * ground.px_per_mm:
        return None
    votes = int(LEAST_INSIDE_MM * ground.px_per_mm * 0.7)
    voted = cv2.HoughLinesWithAccumulator(np.asarray(ink, np.uint8), 1, math.radians(1.0), votes)
    if voted is None:
        return None
    tried = np.asarray(voted).reshape(-1, 3)[:MOST_TRIED]
    # the likeliest first, the others many at a time only when it is none
    for first, after in itertools.pairwise((0, 1, *range(1 + AT_A_TIME, MOST_TRIED, AT_A_TIME), MOST_TRIED)):
        some = tried[first:after]
        lines = [Line(float(theta), float(rho), 1.0) for rho, theta, _ in some]
        courses = _courses(lines, ground)
        if courses is None:
            continue
        kept, ways = courses
        through, comes_in = _run_through(kept, ways, ground)
        if (through | comes_in).any():
            best = int(np.argmax(through | comes_in))
            width = _width(ways.outside_mm[ways.of(best)], ways.across[ways.of(best)])
            return replace(kept[best], width_px=width, comes_in=not through[best])
    return None


def _crests(dark: Dark) -> Bits:
    """Where it is as dark as anywhere beside it, across or down: a line's middle, also of two that touch.

    All the ink of two such lines holds more slanting lines than are tried, and their own are none of them.
    """
    crests = np.zeros(dark.shape, bool)
    crests[:, 1:-1] |= (dark[:, 1:-1] >= dark[:, :-2]) & (dark[:, 1:-1] >= dark[:, 2:])
    crests[1:-1] |= (dark[1:-1] >= dark[:-2]) & (dark[1:-1] >= dark[2:])
    return crests


def _courses(lines: Sequence[Line], ground: _Ground) -> tuple[list[Line], _Courses] | None:
    """The lines that may run through the box, by the ink on their middle alone, and their ways over the ground."""
    if not lines:
        return None
    rows, columns = ground.dark.shape
    diagonal = math.ceil(math.hypot(rows, columns))
    along = np.arange(-diagonal, diagonal, 0.5)
    normals = np.array([(math.cos(line.theta), math.sin(line.theta)) for line in lines])
    rho = np.array([line.rho for line in lines])
    every_x = (normals[:, 0] * rho)[:, None] - normals[:, 1, None] * along
    every_y = (normals[:, 1] * rho)[:, None] + normals[:, 0, None] * along
    on = (every_x >= 0) & (every_y >= 0) & (every_x <= columns - 1) & (every_y <= rows - 1)
    which, steps = np.nonzero(on)
    x, y = every_x[on], every_y[on]
    outside_mm = ground.outside_mm(x, y)
    inside = outside_mm < -INSIDE_FROM_MM
    beyond = (outside_mm > BEYOND_FROM_MM) & (outside_mm < BEYOND_TO_MM)
    near = np.round(y).astype(np.intp), np.round(x).astype(np.intp)
    is_inked = ground.inked[near]
    first = np.full(len(lines), len(along))
    np.minimum.at(first, which[inside], steps[inside])
    is_before = steps < first[which]

    def count(part: Bits) -> npt.NDArray[np.intp]:
        return np.bincount(which[part], minlength=len(lines))

    reaches = np.zeros(len(lines), bool)
    for side in (is_before, ~is_before):
        reaches |= count(beyond & side & is_inked) >= LEAST_SEEN * BEYOND_SHARE * count(beyond & side)
    is_likely = reaches & (count(inside) * 0.5 >= LEAST_INSIDE_MM * ground.px_per_mm)
    if not is_likely.any():
        return None
    likely = is_likely[which]
    which = which[likely]
    across = ground.across(x[likely], y[likely], normals[which])
    taken = ground.taken[near][likely] > 0
    starts = np.flatnonzero(np.diff(which, prepend=-1))
    kept = [line for line, is_kept in zip(lines, is_likely, strict=True) if is_kept]
    return kept, _Courses(starts, outside_mm[likely], is_before[likely], across, taken)


def _run_through(lines: Sequence[Line], ways: _Courses, ground: _Ground) -> tuple[Bits, Bits]:
    """For each line (whether it is surely no stroke of a mark, whether it comes in from far outside on one side)."""
    inside = ways.outside_mm < -INSIDE_FROM_MM
    sides = [ways.is_before, ~ways.is_before & ~inside]
    # inside, other strokes may cross or lie along it; outside it must stand by itself
    there = ways.middle() > ground.least
    ridge, crossed = ways.ridge(ground.least, ground.px_per_mm)
    crossed |= ways.taken

    def seen(ink: Bits, hidden: Bits, part: Bits) -> Values:
        """The share of a part that is ink, of what is not hidden; nothing where too little of it can be seen."""
        whole, open_part = ways.count(part), ways.count(part & ~hidden)
        share = ways.count(ink & part & ~hidden) / np.maximum(open_part, 1)
        return np.where(open_part >= LEAST_SEEN * np.maximum(whole, 1), share, 0.0)

    beyond = (ways.outside_mm > BEYOND_FROM_MM) & (ways.outside_mm < BEYOND_TO_MM)
    ends = [seen(ridge, crossed, beyond & side) for side in sides]
    through = (seen(there, ways.taken, inside) >= INSIDE_SHARE) & (np.minimum(*ends) >= BEYOND_SHARE)
    comes_in = (np.maximum(*ends) >= STRIPE_BEYOND_SHARE) & (seen(ridge, ways.taken, inside) >= 0.4)
    is_along = np.array([line.is_along(ground.feed_deg) for line in lines])
    return through | (comes_in & is_along), through | comes_in


def _width(outside_mm: Values, across: npt.NDArray[np.float32]) -> float:
    """How wide the line is where it is half as dark as in its middle, px; what crosses it here and there is no part."""
    profile = np.median(across[outside_mm < -INSIDE_FROM_MM], axis=0)
    middle = len(profile) // 2
    half = 0.5 * float(profile[middle - 1 : middle + 2].max())
    low = high = middle
    while low > 0 and profile[low - 1] > half:
        low -= 1
    while high < len(profile) - 1 and profile[high + 1] > half:
        high += 1
    return float(2 * max(middle - low, high - middle) + 1)
