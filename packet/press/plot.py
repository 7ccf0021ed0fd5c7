"""The plot of level against temperature, a curve a cylinder. mm throughout.

No word stands on a curve or on another word: a word is put at the first of its places that is clear, the last of which is
outside the axes; the curves' names stand below them.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from markupsafe import Markup

from packet.press.ink import LETTER_MM, line_of, mm, svg_of, text_of
from packet.sheets.model import Plot
from packet.sheets.room import EM_MM, wide_mm

WIDE, HIGH = 57.0, 42.0
LEFT, RIGHT, TOP, BOTTOM = 11.0, WIDE - 3.0, 5.0, HIGH - 10.0
CEILING, HIGHEST_PERCENT = 100.0, 110.0
# in large print
LARGER = 1.25
# what a word's ink rises above its line and falls below it
ASCENT_MM, DESCENT_MM = 2.6, 0.8
# white between a word and a curve's middle, half its width among it
AIR_MM = 0.6
# curves told apart without color
DASHES = ("", "2.4 1", "0.8 0.8", "3 0.8 0.8 0.8", "5 1.2", "1.8 0.6 0.5 0.6 0.5 0.6")
# curves that are nowhere further apart would lie on one another
SAME_PERCENT = 1.5
# a name below: its piece of the curve, its word, and what is between two names
SAMPLE_MM, SAMPLE_GAP_MM, NAMES_APART_MM, NAMES_ROW_MM = 8.0, 1.5, 3.0, 4.2

Points = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a word may stand: the point of its anchor on its line."""

    x: float
    y: float
    anchor: str


@dataclass(frozen=True, slots=True)
class Area:
    """What a word takes."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Area") -> bool:
        """Whether they overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )  # fmt: skip

    def is_crossed(self, points: Points) -> bool:
        """Whether a line through these points comes into it, with some air."""
        return any(self._is_cut(one, other) for one, other in pairwise(points))

    def _is_cut(self, one: tuple[float, float], other: tuple[float, float]) -> bool:
        # the piece of the line between its entry into each of both strips and its leaving them
        begin, end = 0.0, 1.0
        sides = ((self.left, self.right), (self.top, self.bottom))
        for side, start, stop in zip(sides, one, other, strict=True):
            low, high = side[0] - AIR_MM, side[1] + AIR_MM
            if start == stop:
                if not low < start < high:
                    return False
                continue
            first, last = sorted(((low - start) / (stop - start), (high - start) / (stop - start)))
            begin, end = max(begin, first), min(end, last)
        return begin < end


def plotted(plot: Plot, *, large: bool = False) -> Markup:
    """The plot as SVG with its title, so that a screen reader says what it shows."""
    low, high = plot.curves[0][0][0], plot.curves[0][-1][0]

    def x(temperature: float) -> float:
        return LEFT + (temperature - low) / (high - low) * (RIGHT - LEFT)

    def y(percent: float) -> float:
        return TOP + (1 - min(percent, HIGHEST_PERCENT) / HIGHEST_PERCENT) * (BOTTOM - TOP)

    hottest, hottest_label = plot.hottest
    named = _together(plot)
    curves = [[(x(at), y(percent)) for at, percent in curve] for _, curve in named]
    ruled = [((LEFT, y(level)), (RIGHT, y(level))) for level, _ in plot.level_ticks]
    hot = ((x(hottest), TOP), (x(hottest), BOTTOM))
    below = HIGH - 0.8
    unit = Place(RIGHT, below, "end")
    hot_places = (
        *_beside(hot[0][0], (y(level) for level, _ in plot.level_ticks if level < CEILING)),
        Place(LEFT, below, "start"),
    )
    hot_place = _clear(hottest_label, hot_places, [*curves, *ruled, hot], [_area(plot.temperature_unit, unit)])
    ceiling = _clear(
        plot.ceiling_label,
        (
            Place(RIGHT, y(CEILING) - 1.0, "end"),
            Place(LEFT + 1.0, y(CEILING) - 1.0, "start"),
            Place(RIGHT, TOP - 1.8, "end"),
        ),
        [*curves, hot],
        [_area(hottest_label, hot_place)],
    )
    names = [name for name, _ in named] if plot.labels else []
    legend, higher = _legend(names)
    parts = [
        *(line_of(*one, *other, 0.12) for one, other in ruled),
        *(text_of(LEFT - 1.2, y(level) + 1.2, label, "end") for level, label in plot.level_ticks),
        *(text_of(x(at), BOTTOM + 4.4, label, "middle") for at, label in plot.temperature_ticks),
        *(line_of(x(at), BOTTOM, x(at), BOTTOM + 0.9, 0.2) for at, _ in plot.temperature_ticks),
        line_of(LEFT, y(CEILING), RIGHT, y(CEILING), 0.5),
        text_of(ceiling.x, ceiling.y, plot.ceiling_label, ceiling.anchor),
        line_of(*hot[0], *hot[1], 0.25, dashes="1.2 .9"),
        text_of(hot_place.x, hot_place.y, hottest_label, hot_place.anchor),
        *(_curve(curve, _dashes(number)) for number, curve in enumerate(curves)),
        *legend,
        line_of(LEFT, TOP, LEFT, BOTTOM, 0.3),
        line_of(LEFT, BOTTOM, RIGHT, BOTTOM, 0.3),
        text_of(unit.x, unit.y, plot.temperature_unit, unit.anchor),
        text_of(0, 3.2, "%", "start"),
    ]
    return svg_of(WIDE, HIGH + higher, plot.alternative_text, parts, LARGER if large else 1.0)


def _together(plot: Plot) -> list[tuple[str, Points]]:
    """Each curve that can be told from the others, with the names of all cylinders it stands for."""
    found: list[tuple[list[str], Points]] = []
    for number, curve in enumerate(plot.curves):
        label = plot.labels[number] if plot.labels else ""
        for labels, drawn in found:
            if all(abs(one[1] - other[1]) < SAME_PERCENT for one, other in zip(drawn, curve, strict=True)):
                labels.append(label)
                break
        else:
            found.append(([label], curve))
    return [(", ".join(labels), curve) for labels, curve in found]


def _beside(x: float, levels: Iterable[float]) -> Iterator[Place]:
    """The places on both sides of an upright line, from below up, each between two of the ruled ones."""
    for y in sorted(levels, reverse=True):
        yield Place(x - 1.0, y - 1.5, "end")
        yield Place(x + 1.0, y - 1.5, "start")


def _clear(words: str, places: Iterable[Place], lines: Sequence[Points], taken: Sequence[Area]) -> Place:
    """The first place at which the words lie on no line and on no other words, within the axes; else the last."""
    place = Place(0.0, 0.0, "start")
    for place in places:
        area = _area(words, place)
        inside = area.left > LEFT and area.right <= RIGHT and area.top > 0.0
        if inside and not any(map(area.is_crossed, lines)) and not any(map(area.meets, taken)):
            break
    return place


def _area(words: str, place: Place) -> Area:
    wide = _wide(words)
    left = place.x - {"start": 0.0, "middle": wide / 2, "end": wide}[place.anchor]
    return Area(left, place.y - ASCENT_MM, left + wide, place.y + DESCENT_MM)


def _legend(names: Sequence[str]) -> tuple[list[str], float]:
    """The curves' names, each behind a piece of its curve, in rows below the axes; and how much higher they make it."""
    parts: list[str] = []
    x, y = 0.0, HIGH
    for number, name in enumerate(names):
        first, *more = _wrapped(name, WIDE - SAMPLE_MM - SAMPLE_GAP_MM)
        wide = SAMPLE_MM + SAMPLE_GAP_MM + _wide(first)
        if not number or more or x + wide > WIDE:
            x, y = 0.0, y + NAMES_ROW_MM
        parts.append(line_of(x, y - 2.0, x + SAMPLE_MM, y - 2.0, 0.7, dashes=_dashes(number)))
        parts.append(text_of(x + SAMPLE_MM + SAMPLE_GAP_MM, y - 0.8, first, "start"))
        x += wide + NAMES_APART_MM
        for row in more:
            x, y = WIDE, y + NAMES_ROW_MM
            parts.append(text_of(SAMPLE_MM + SAMPLE_GAP_MM, y - 0.8, row, "start"))
    return parts, y - HIGH


def _wrapped(words: str, room: float) -> list[str]:
    """Words in rows that may be so wide."""
    first, *others = words.split(" ")
    rows = [first]
    for word in others:
        longer = f"{rows[-1]} {word}"
        rows[-1:] = [longer] if _wide(longer) <= room else [rows[-1], word]
    return rows


def _wide(words: str) -> float:
    """How wide words get in our letters, rather too much than too little."""
    return wide_mm(words) * LETTER_MM / EM_MM * 1.03


def _dashes(number: int) -> str:
    return DASHES[number % len(DASHES)]


def _curve(points: Points, dashes: str) -> str:
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    through = " ".join(f"{mm(x)},{mm(y)}" for x, y in points)
    return f'<polyline points="{through}" fill="none" stroke="#000" stroke-width=".7"{dashed}/>'
