"""Hoses: right-angled runs with rounded corners, and what is strung along them from either end."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from packet.hookup.drawing.shapes import Way

Point = tuple[float, float]
CORNER = 4.0
GAP = 0.8  # between two things on a line


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on a run: where, and which way the run goes there."""

    x: float
    y: float
    way: Way

    @property
    def level(self) -> bool:
        """The run goes left-right here."""
        return self.way in {"left", "right"}


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A straight piece between corners, without what the corners take: from `start`, so long, that way."""

    start: Point
    long: float
    way: Way

    def at(self, distance: float) -> Spot:
        x, y = self.start
        dx, dy = _STEP[self.way]
        return Spot(round(x + dx * distance, 3), round(y + dy * distance, 3), self.way)


_STEP: dict[Way, Point] = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}
_BACK: dict[Way, Way] = {"left": "right", "right": "left", "up": "down", "down": "up"}


def way_of(one: Point, other: Point) -> Way:
    """Which way a straight piece goes. Raises ValueError for one that is not level or upright."""
    (x0, y0), (x1, y1) = one, other
    if y0 == y1 and x0 != x1:
        return "right" if x1 > x0 else "left"
    if x0 == x1 and y0 != y1:
        return "down" if y1 > y0 else "up"
    raise ValueError(f"not a right-angled piece: {one} to {other}")


def rounded(points: tuple[Point, ...]) -> str:
    """SVG path data of a run with rounded corners."""
    parts = [f"M{_number(points[0][0])} {_number(points[0][1])}"]
    for before, corner, after in zip(points, points[1:], points[2:], strict=False):
        r = min(CORNER, _length(before, corner) / 2, _length(corner, after) / 2)
        dx, dy = _STEP[way_of(before, corner)]
        ex, ey = _STEP[way_of(corner, after)]
        parts.append(f"L{_number(corner[0] - dx * r)} {_number(corner[1] - dy * r)}")
        end = f"{_number(corner[0] + ex * r)} {_number(corner[1] + ey * r)}"
        parts.append(f"Q{_number(corner[0])} {_number(corner[1])} {end}")
    parts.append(f"L{_number(points[-1][0])} {_number(points[-1][1])}")
    return "".join(parts)


def _number(value: float) -> str:
    return f"{round(value, 2):g}"


def _length(one: Point, other: Point) -> float:
    return abs(one[0] - other[0]) + abs(one[1] - other[1])


def _stretches(points: tuple[Point, ...]) -> list[_Stretch]:
    out = []
    last = len(points) - 2
    for index, (one, other) in enumerate(itertools.pairwise(points)):
        way = way_of(one, other)
        dx, dy = _STEP[way]
        before = CORNER if index > 0 else 0.0
        after = CORNER if index < last else 0.0
        long = _length(one, other) - before - after
        out.append(_Stretch((one[0] + dx * before, one[1] + dy * before), max(long, 0.0), way))
    return out


def string(points: tuple[Point, ...], lengths: tuple[float, ...]) -> Iterator[Spot]:
    """Spots for things of these lengths, one after another from the run's start; none lies on a corner.

    Raises ValueError when the run is too short for them.
    """
    stretches = iter(_stretches(points))
    here = next(stretches)
    used = GAP
    for length in lengths:
        while used + length > here.long + 1e-6:
            following = next(stretches, None)
            if following is None:
                raise ValueError("the run is too short for what stands on it")
            here, used = following, 0.0
        yield here.at(used + length / 2)
        used += length + GAP


def string_back(points: tuple[Point, ...], lengths: tuple[float, ...]) -> Iterator[Spot]:
    """As `string`, from the run's end backwards; the spots' ways are those of the run itself."""
    for spot in string(tuple(reversed(points)), lengths):
        yield Spot(spot.x, spot.y, _BACK[spot.way])


def middle(points: tuple[Point, ...], taken: list[Spot], room: float) -> Spot:
    """The middle of the longest free straight piece: where the flow arrow stands.

    taken: what is strung already, each with `room` around it.
    """
    best: tuple[float, Spot] | None = None
    for stretch in _stretches(points):
        dx, dy = _STEP[stretch.way]
        x, y = stretch.start
        marks = sorted(
            (spot.x - x) * dx + (spot.y - y) * dy
            for spot in taken
            if (spot.y == y if dx else spot.x == x) and -1e-6 <= (spot.x - x) * dx + (spot.y - y) * dy <= stretch.long
        )
        edges = [-room, *marks, stretch.long + room]
        for one, other in itertools.pairwise(edges):
            free = other - one - 2 * room
            if best is None or free > best[0] + 1e-6:
                best = (free, stretch.at((one + other) / 2))
    if best is None:
        raise ValueError("a run without a straight piece")
    return best[1]
