"""What a drawing is made of: outlines, valves, hoses, letters and labels, all with their place in mm.

x runs right, y runs down, from the drawing's top left corner. Nothing here knows how anything looks.
"""

from dataclasses import dataclass
from typing import Literal

from packet.hookup.model import LineStyle
from packet.hookup.state import ValveState

Anchor = Literal["start", "middle", "end"]
Way = Literal["left", "right", "up", "down"]
Outline = Literal[
    "unit",
    "chiller",
    "cabinet",
    "rack",
    "manifold",
    "machine",
    "cylinder",
    "waiting",
    "drier",
    "scale",
    "receiver",
    "bottle",
]

# Text in mm. The press may make a drawing smaller to its page: words stay 9.5 pt (3.35 mm) down to 0.84 of the size here.
SMALL = 4.0
NAME = 4.4
LARGE = 5.4
LEADING = 1.15

# Advance widths as shares of the type size, on the safe side of the typeface (a test measures it against the font).
_WIDE = frozenset("mwMW@%—“”")
_NARROW = frozenset("ijlI.,:;'|!() ")
_CAPITAL_OR_FIGURE = frozenset("ABCDEFGHJKLNOPQRSTUVXYZ0123456789+-–=/#&?")


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a line of text, mm, on the safe side."""
    shares = sum(
        1.05
        if sign == "…"
        else 0.95
        if sign in _WIDE
        else 0.37
        if sign in _NARROW
        else 0.70
        if sign in _CAPITAL_OR_FIGURE
        else 0.585
        for sign in text
    )
    return shares * size * (1.06 if bold else 1.0)


def wrap(text: str, width: float, size: float, most: int, *, bold: bool = False) -> tuple[str, ...]:
    """Text in at most `most` lines of at most `width` mm: broken at spaces and hyphens, then anywhere, then cut."""
    lines: list[str] = []
    for word in _pieces(text):
        left = word
        while left:
            joined = lines[-1] + left if lines else left
            if lines and text_width(joined.rstrip(), size, bold=bold) <= width:
                lines[-1] = joined
                left = ""
            elif text_width(left.rstrip(), size, bold=bold) <= width:
                lines.append(left)
                left = ""
            else:
                count = next(
                    count
                    for count in range(len(left) - 1, 0, -1)
                    if count == 1 or text_width(left[:count], size, bold=bold) <= width
                )
                lines.append(left[:count])
                left = left[count:]
    lines = [line.rstrip() for line in lines]
    if len(lines) <= most:
        return tuple(lines)
    last = lines[most - 1]
    while last and text_width(last + "…", size, bold=bold) > width:
        last = last[:-1]
    return (*lines[: most - 1], last + "…")


def _pieces(text: str) -> list[str]:
    pieces: list[str] = [""]
    for sign in text:
        pieces[-1] += sign
        if sign in {" ", "-"}:
            pieces.append("")
    return [piece for piece in pieces if piece]


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle: its top left corner, width and height."""

    x: float
    y: float
    w: float
    h: float

    @property
    def right(self) -> float:
        """The right edge."""
        return self.x + self.w

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.y + self.h


@dataclass(frozen=True, slots=True)
class Shape:
    """A part's outline. part: its id."""

    outline: Outline
    part: str
    box: Rect


@dataclass(frozen=True, slots=True)
class Line:
    """A rigid line of a part: a valve's stub, a riser, a cable's end."""

    part: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Valve:
    """A valve at its place. level: its line runs left-right. small: a hose's shut-off, or a tee's branch."""

    id: str
    x: float
    y: float
    level: bool
    state: ValveState
    small: bool = False

    @property
    def box(self) -> Rect:
        """The ground it covers."""
        long, short = (4.4, 3.4) if self.small else (6.0, 4.4)
        w, h = (long, short) if self.level else (short, long)
        return Rect(self.x - w / 2, self.y - h / 2, w, h)


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text; (x, y) is the first baseline. about: the part or valve it names."""

    about: str
    x: float
    y: float
    anchor: Anchor
    lines: tuple[str, ...]
    size: float = SMALL
    bold: bool = False

    @property
    def box(self) -> Rect:
        """The ground it covers, from the capitals' height to below the descenders."""
        w = max((text_width(line, self.size, bold=self.bold) for line in self.lines), default=0.0)
        left = {"start": self.x, "middle": self.x - w / 2, "end": self.x - w}[self.anchor]
        return Rect(left, self.y - 0.75 * self.size, w, 0.97 * self.size + (len(self.lines) - 1) * self.leading)

    @property
    def leading(self) -> float:
        """Baseline to baseline."""
        return LEADING * self.size


@dataclass(frozen=True, slots=True)
class LetterTag:
    """A hose's letter in a ring."""

    letter: str
    x: float
    y: float
    radius: float = 2.7

    @property
    def box(self) -> Rect:
        """The ground it covers."""
        return Rect(self.x - self.radius, self.y - self.radius, 2 * self.radius, 2 * self.radius)


@dataclass(frozen=True, slots=True)
class Arrow:
    """The way gas flows, on a hose."""

    x: float
    y: float
    way: Way


@dataclass(frozen=True, slots=True)
class InLine:
    """A fitting on a hose: a sight glass, a gauge or a tee, across the line at its place. level: the line runs left-right."""

    kind: Literal["glass", "gauge", "tee"]
    part: str
    x: float
    y: float
    level: bool

    @property
    def box(self) -> Rect:
        """The ground it covers; a tee's branch hangs below a level line."""
        if self.kind == "gauge":
            return Rect(self.x - 3.0, self.y - 3.0, 6.0, 6.0)
        if self.kind == "glass":
            return Rect(self.x - 3.6, self.y - 3.6, 7.2, 7.2)
        return Rect(self.x - 2.4, self.y - 1.2, 4.8, 8.6)


@dataclass(frozen=True, slots=True)
class HosePath:
    """A hose from end to end. flows: gas moves in it as the valves stand. d: the path with rounded corners."""

    letter: str
    carries: LineStyle
    points: tuple[tuple[float, float], ...]
    d: str
    flows: bool


@dataclass(frozen=True, slots=True)
class Legend:
    """An entry of the legend. kind: what is drawn there; x: where it begins; y: its baseline; after: how far on its words
    begin."""

    kind: str
    x: float
    text: str
    y: float
    after: float

    @property
    def box(self) -> Rect:
        """The ground it covers."""
        return Rect(self.x, self.y - 0.75 * SMALL, self.after + text_width(self.text, SMALL), 0.97 * SMALL)


@dataclass(frozen=True, slots=True)
class Sketch:
    """A whole drawing's geometry."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    lines: tuple[Line, ...]
    valves: tuple[Valve, ...]
    hoses: tuple[HosePath, ...]
    inline: tuple[InLine, ...]
    tags: tuple[LetterTag, ...]
    arrows: tuple[Arrow, ...]
    labels: tuple[Label, ...]
    legend: tuple[Legend, ...]
