"""Which boxes are marked: three answers, and the doubtful ones are said to be doubtful, never guessed.

A box is 'empty' only when all four sides of its printed border were found where they should be and its inside is as
clean as the paper around it; 'marked' only when a pen stroke of some length crosses its middle that is no straight line
from outside to outside. Everything between is for a person. The limits are common practice of ours, settled on
generated scans (tests/bench/bench_scan_conditions.py); no published source.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np
import numpy.typing as npt

from packet.scan.borders import PX_PER_MM, Place, grown
from packet.scan.even import Evened
from packet.scan.lie import Lie, is_inside, patch
from packet.scan.lines import LINE_AROUND_MM, Line, lines_through
from packet.scan.model import Box, BoxMark, Mark
from packet.words import N_

Bits = npt.NDArray[np.bool_]

# The inside that is judged keeps this far from the border's outer edge; its middle is what a real mark crosses.
INSET_MM = 0.75
MIDDLE_SHARE = 0.6
# Around the box: where a stroke that comes from elsewhere is seen.
AROUND_MM = 2.5
# Darker than the paper around it by this share of the paper's brightness: surely ink, and perhaps ink.
INK = 0.20
TRACE = 0.11
NOISE_SIGMAS = 5.0
# Paper darker than this share of the page's own is not judged: a scribbled-over box looks like it, too.
DARK_PAPER = 0.6
# Where only ink darker than this stands out of the grain, a pencil's mark could pass for paper.
FAINT_PEN = 0.16
# A side of a border of which less than this can be seen is torn off or covered.
SIDE_SHARE = 0.75
# A box's side may lean so much against the page, on paper that is folded or curled.
LEANS = 0.05
# Specks: dust and toner of up to 0.3 mm, which a scan spreads to twice that, do not make a box doubtful.
SPECK_AREA_MM2 = 0.3
SPECK_LENGTH_MM = 0.95
# The least a mark measures: a check mark as a share of the inside's shorter side, initials in mm.
CHECK_SHARE = 0.65
INITIALS_MM = 2.2
CHECK_AREA_MM2 = 0.4
INITIALS_AREA_MM2 = 0.9
# One stroke that reached over from the line below has less ink than this.
LONE_STROKE_MM2 = 4.0
# More ink than this share of the inside is a box blacked out, which may take a mark back.
BLACKED_OUT_SHARE = 0.92
# A line flatter than this share of its length is a dash or a line struck through: not a tick.
FLAT_SHARE = 0.2
# Initials are more than one straight line: their ink leaves the straight by this much.
BENT_MM = 0.7
BENT_CHECK_MM = 0.45
# One straight stroke that goes on from here to there outside of the border, at both its ends, is no tick: what it meets
# further off, a mark or a rule, may hide that it is a long line.
GOES_ON_MM = (0.4, 1.0)
GOES_ON_SHARE = 0.75
# What a line left behind counts only beyond this from it.
CLEAR_OF_LINE_MM = 0.3
# Dirt on a scanner's glass makes stripes no wider than this.
STRIPE_MM = 0.7
# Beside two lines and more a mark has this many times the least ink.
CROSSED_AREA = 2.5

COVERED = N_("its border could not be found")
OFF_SCAN = N_("it is not on the scan")
FAINT = N_("there is too little ink to tell")
BLACKED_OUT = N_("it is blacked out")
DASH = N_("it holds a dash or a line struck through")
STRAIGHT = N_("it holds one straight line")
LINE = N_("a straight line runs through it")
PASSING = N_("a stroke comes in from outside")
DARK = N_("the paper is too dark there")
GRAINY = N_("the picture is too grainy there")


def read_marks(even: Evened, lie: Lie, boxes: Sequence[Box], places: Sequence[Place | None]) -> tuple[BoxMark, ...]:
    """A mark for each box. places: where their borders stand (`borders.find_borders`)."""
    return tuple(_judge(even, lie, box, place) for box, place in zip(boxes, places, strict=True))


def _judge(even: Evened, lie: Lie, box: Box, border: Place | None) -> BoxMark:
    def answer(mark: Mark, ink_mm2: float = 0.0, why: str = "") -> BoxMark:
        return BoxMark(box.key, box.page, box.kind, box.label, mark, round(ink_mm2, 2), why)

    if not is_inside(even.picture, lie, grown(box, 0.0)):
        return answer("doubtful", why=OFF_SCAN)
    if border is None:
        return answer("doubtful", why=COVERED)
    here = replace(box, x_mm=box.x_mm + border.dx_mm, y_mm=box.y_mm + border.dy_mm)
    place = grown(here, AROUND_MM)
    dark = (255.0 - patch(even.picture, lie, place, PX_PER_MM).astype(np.float32)) / 255.0
    inside = _inside(dark.shape, INSET_MM)
    paper = float(np.median(patch(even.paper, lie, place, PX_PER_MM)[inside]))
    if paper < DARK_PAPER * even.paper_median:
        return answer("doubtful", why=DARK)
    noise = NOISE_SIGMAS * even.noise_where(paper)
    least = max(TRACE * even.contrast, 0.6 * noise)
    if least > FAINT_PEN:
        return answer("doubtful", why=GRAINY)
    ink, trace = dark > max(INK * even.contrast, noise), dark > least
    if min(_sides_seen(trace)) < SIDE_SHARE:
        return answer("doubtful", why=COVERED)
    area = float(ink[inside].sum()) / PX_PER_MM**2
    if _largest(trace, inside).is_speck:
        return answer("empty", area)
    lines = box_lines(even, lie, here, float(least))
    surely = [line for line in lines if not line.comes_in]
    # a check mark's long leg may come in from far outside: it is told from a crease by its short one
    short_leg = _largest(_beside(ink, lines), inside)
    bent = _bend_mm(_beside(ink, surely)[inside]) >= BENT_CHECK_MM and not short_leg.is_flat
    counted = surely if box.kind == "check" and len(lines) - len(surely) == 1 and bent else lines
    why = _doubt_beside_lines(ink, inside, box, counted) if counted else _doubt(ink, inside, box)
    if not why:  # all of it may be stripes that touch, whose ink holds more slanting lines than are tried
        crests = box_lines(even, lie, here, float(least), by_crests=True)
        stripes = [
            replace(line, width_px=min(line.width_px, STRIPE_MM * PX_PER_MM))  # a tick along it makes it look wider
            for line in crests
            if not line.comes_in and line.is_along(-lie.skew_deg)
        ]
        rest = _beside(ink, stripes)
        is_stripe = _largest(rest, inside).is_flat and _bend_mm(rest[inside]) < BENT_CHECK_MM
        is_little = float(rest[inside].sum()) / PX_PER_MM**2 < _least_area(box) or is_stripe
        why = LINE if stripes and is_little else ""
    return answer("doubtful", area, why) if why else answer("marked", area)


def box_lines(even: Evened, lie: Lie, here: Box, least: float, *, by_crests: bool = False) -> tuple[Line, ...]:
    """The straight lines through a box that stands `here`, in the picture of the box with AROUND_MM about it."""
    dark = (255.0 - patch(even.picture, lie, grown(here, LINE_AROUND_MM), PX_PER_MM).astype(np.float32)) / 255.0
    margin = round(LINE_AROUND_MM * PX_PER_MM)
    found = lines_through(dark, least, margin, PX_PER_MM, -lie.skew_deg, by_crests=by_crests)
    return tuple(line.moved((LINE_AROUND_MM - AROUND_MM) * PX_PER_MM) for line in found)


def _sides_seen(trace: Bits) -> tuple[float, ...]:
    """Of each side of the border, the share that can be seen: left, top, right, bottom."""
    edge, half = round(AROUND_MM * PX_PER_MM), round(0.45 * PX_PER_MM)
    rows, columns = trace.shape
    across, down = slice(edge, columns - edge), slice(edge, rows - edge)
    return (
        _seen_straight(trace[down, edge - half : edge + half + 1]),
        _seen_straight(trace[edge - half : edge + half + 1, across].T),
        _seen_straight(trace[down, columns - edge - half - 1 : columns - edge + half]),
        _seen_straight(trace[rows - edge - half - 1 : rows - edge + half, across].T),
    )


def _seen_straight(strip: Bits) -> float:
    """The share of a strip's length (its rows) where ink lies on the one straight line along it that has the most."""
    length, wide = strip.shape
    near = strip.copy()  # a line is this soft: a pixel to each side
    near[:, 1:] |= strip[:, :-1]
    near[:, :-1] |= strip[:, 1:]
    return float(near.ravel()[_ways(length, wide)].mean(axis=1).max())


@lru_cache(maxsize=256)
def _ways(length: int, wide: int) -> npt.NDArray[np.intp]:
    """Every straight way along a strip, a step a row: flat indexes of its cells."""
    lean = min(wide - 1, math.ceil(LEANS * length))
    ways = [
        np.round(np.linspace(start, end, length)).astype(int)
        for start in range(wide)
        for end in range(max(0, start - lean), min(wide, start + lean + 1))
    ]
    return np.asarray(np.arange(length) * wide + np.array(ways), np.intp)


@dataclass(frozen=True, slots=True)
class _Stroke:
    """The longest stroke inside a box, mm."""

    area_mm2: float = 0.0
    w_mm: float = 0.0
    h_mm: float = 0.0
    crosses_middle: bool = False
    sides: frozenset[str] = frozenset()  # inner sides it reaches

    @property
    def length_mm(self) -> float:
        return math.hypot(self.w_mm, self.h_mm)

    @property
    def is_flat(self) -> bool:
        """Whether it runs along the box's sides, one way or the other."""
        return min(self.w_mm, self.h_mm) - 0.4 < FLAT_SHARE * max(self.w_mm, self.h_mm)

    @property
    def is_speck(self) -> bool:
        return self.area_mm2 <= SPECK_AREA_MM2 and self.length_mm <= SPECK_LENGTH_MM


def _least_area(box: Box) -> float:
    return CHECK_AREA_MM2 if box.kind == "check" else INITIALS_AREA_MM2


def _doubt(ink: Bits, inside: tuple[slice, slice], box: Box) -> str:
    """Why the ink in a box is not surely a mark; empty when it is one."""
    stroke = _largest(ink, inside)
    shorter = min(box.w_mm, box.h_mm) - 2 * INSET_MM
    least = CHECK_SHARE * shorter if box.kind == "check" else INITIALS_MM
    least_area = _least_area(box)
    view = ink[inside]
    area = float(view.sum()) / PX_PER_MM**2
    if area > BLACKED_OUT_SHARE * view.size / PX_PER_MM**2:
        return BLACKED_OUT
    # initials are several strokes, and it need not be the longest that crosses the middle
    in_middle = stroke.crosses_middle if box.kind == "check" else bool(_middle(view).any())
    if stroke.length_mm < least or area < least_area or not in_middle:
        return FAINT
    outside = _sides_with_ink_outside(ink)
    # a neighbor's tick reaches up into a box; initials that hang out below it are more than one such stroke
    lone = box.kind == "check" or area < LONE_STROKE_MM2
    if lone and stroke.sides == {"bottom"} and "bottom" in outside:
        return PASSING
    if box.kind == "check" and stroke.is_flat:
        return DASH
    if box.kind == "check" and _bend_mm(view) < BENT_CHECK_MM and _goes_on(ink, inside):
        return LINE
    if box.kind == "initial" and _bend_mm(view) < BENT_MM:
        return STRAIGHT
    return ""


def _doubt_beside_lines(ink: Bits, inside: tuple[slice, slice], box: Box, lines: Sequence[Line]) -> str:
    """Why what lies beside the lines in a box is not surely a mark; empty when it is one."""
    view = _beside(ink, lines)[inside]
    shorter = min(box.w_mm, box.h_mm) - 2 * INSET_MM
    least = CHECK_SHARE * shorter if box.kind == "check" else INITIALS_MM
    least_area = _least_area(box)
    rows, columns = np.nonzero(view)
    if not len(rows) or len(rows) / PX_PER_MM**2 < least_area or not _middle(view).any():
        return LINE
    # a line cuts a mark in two: its extent is that of both pieces together
    high, wide = np.ptp(rows) / PX_PER_MM, np.ptp(columns) / PX_PER_MM
    if math.hypot(high, wide) < least or min(high, wide) < 0.4 * shorter:
        return LINE
    # what is left may be a rest of another line: along the box's sides, or where two of them cross
    stroke = _largest(_beside(ink, lines), inside)
    if stroke.is_flat:
        return LINE
    bend = _bend_mm(view)
    if len(lines) > 1 and (
        len(rows) / PX_PER_MM**2 < CROSSED_AREA * least_area or stroke.length_mm < least or bend < BENT_MM
    ):
        return LINE
    return LINE if box.kind == "initial" and bend < BENT_MM else ""


def _beside(ink: Bits, lines: Sequence[Line]) -> Bits:
    """The ink clear of the lines."""
    clear = ink.copy()
    for line in lines:
        clear &= line.away(ink.shape) > line.width_px / 2 + CLEAR_OF_LINE_MM * PX_PER_MM
    return clear


def _bend_mm(view: Bits) -> float:
    """How wide a straight band is that holds nearly all ink: a straight line's is its own width."""
    rows, columns = np.nonzero(view)
    if len(rows) < 3:
        return 0.0
    points = np.column_stack([columns, rows]).astype(np.float64)
    points -= points.mean(axis=0)
    _, axes = np.linalg.eigh(points.T @ points)
    across = points @ axes[:, 0]
    width = float(np.percentile(across, 97) - np.percentile(across, 3))
    # of a straight line of that much ink, this is its own width, and no more counts as bent
    own = len(rows) / max(float(np.ptp(points @ axes[:, 1])), 1.0)
    return (width - own) / PX_PER_MM


def _goes_on(ink: Bits, inside: tuple[slice, slice]) -> bool:
    """Whether the straight stroke that all ink inside is goes on outside of the border at both its ends."""
    rows, columns = np.nonzero(ink[inside])
    points = np.column_stack([columns + inside[1].start, rows + inside[0].start]).astype(np.float64)
    _, axes = np.linalg.eigh(np.cov(points.T))
    along = np.arange(0.0, math.hypot(*ink.shape), 0.5)
    edge = AROUND_MM * PX_PER_MM
    right, bottom = ink.shape[1] - edge, ink.shape[0] - edge
    for way in (axes[:, 1], -axes[:, 1]):
        x, y = (points.mean(axis=0) + along[:, None] * way).T
        outside_mm = np.maximum.reduce([edge - x, x - right, edge - y, y - bottom]) / PX_PER_MM
        beyond = (outside_mm > GOES_ON_MM[0]) & (outside_mm < GOES_ON_MM[1])
        if ink[np.rint(y[beyond]).astype(int), np.rint(x[beyond]).astype(int)].mean() < GOES_ON_SHARE:
            return False
    return True


def _largest(ink: Bits, inside: tuple[slice, slice]) -> _Stroke:
    view = np.ascontiguousarray(ink[inside], dtype=np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(view, connectivity=8)
    if count < 2:
        return _Stroke()
    lengths = np.hypot(stats[1:, cv2.CC_STAT_WIDTH], stats[1:, cv2.CC_STAT_HEIGHT])
    best = 1 + int(np.argmax(lengths))
    left, top, width, height, area = (int(value) for value in stats[best])
    rows, columns = view.shape
    middle = bool(_middle(labels == best).any())
    reached = {
        "left": left == 0,
        "top": top == 0,
        "right": left + width == columns,
        "bottom": top + height == rows,
    }
    sides = frozenset(name for name, is_there in reached.items() if is_there)
    return _Stroke(area / PX_PER_MM**2, width / PX_PER_MM, height / PX_PER_MM, middle, sides)


def _middle(view: Bits) -> Bits:
    rows, columns = view.shape
    edge_y, edge_x = round(rows * (1 - MIDDLE_SHARE) / 2), round(columns * (1 - MIDDLE_SHARE) / 2)
    return view[edge_y : rows - edge_y, edge_x : columns - edge_x]


def _sides_with_ink_outside(ink: Bits) -> frozenset[str]:
    """Sides of the box beyond which a stroke goes on, 0.4 to 1.2 mm outside of its border."""
    near, far = round((AROUND_MM - 0.4) * PX_PER_MM), round((AROUND_MM - 1.2) * PX_PER_MM)
    edge = round(AROUND_MM * PX_PER_MM)
    strips = {
        "left": ink[edge:-edge, far:near],
        "top": ink[far:near, edge:-edge],
        "right": ink[edge:-edge, -near:-far],
        "bottom": ink[-near:-far, edge:-edge],
    }
    return frozenset(name for name, strip in strips.items() if float(strip.sum()) / PX_PER_MM**2 > 0.12)


def _inside(shape: tuple[int, ...], inset_mm: float) -> tuple[slice, slice]:
    edge = round((AROUND_MM + inset_mm) * PX_PER_MM)
    return slice(edge, shape[0] - edge), slice(edge, shape[1] - edge)
