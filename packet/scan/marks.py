"""Which boxes are marked: three answers, and the doubtful ones are said to be doubtful, never guessed.

A box is 'empty' only when its printed border was found where it should be and its inside is as clean as the paper
around it; 'marked' only when a pen stroke of some length crosses its middle. Everything between is for a person.
The limits are common practice of ours, settled on generated scans (tests/bench/bench_scan.py); no published source.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.marks import Area
from packet.scan.even import Evened, evened
from packet.scan.fit import MM_PER_INCH, Lie, affine_fit, is_inside, is_page_like, lie_of, patch, peak_offset
from packet.scan.image import Picture
from packet.scan.model import Box, BoxMark, Mark
from packet.words import N_

Bits = npt.NDArray[np.bool_]

PX_PER_MM = 8.0
# How far from where the squares put it a border is looked for: first for the whole page, then box by box.
WIDE_SEARCH_MM = 2.0
CLOSE_SEARCH_MM = 0.8
# The border is taken as this thick where it is matched; printers spread a hairline to about that.
BORDER_MM = 0.4
# The least likeness (correlation, 1 is the same) at which a border counts as found.
BORDER_LIKENESS = 0.42
# Standard deviation (of 255) below which a place has nothing on it: a border alone gives 25 and more.
FLAT = 5.0
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

COVERED = N_("its border could not be found")
OFF_SCAN = N_("it is not on the scan")
FAINT = N_("there is too little ink to tell")
BLACKED_OUT = N_("it is blacked out")
DASH = N_("it holds a dash or a line struck through")
PASSING = N_("a stroke comes in from outside")
DARK = N_("the paper is too dark there")


@dataclass(frozen=True, slots=True, eq=False)
class _Look:
    """One box looked at: the offset of its border from where it was expected and how alike the border is."""

    dx_mm: float
    dy_mm: float
    likeness: float


def read_marks(picture: Picture, lie: Lie, boxes: tuple[Box, ...]) -> tuple[Lie, tuple[BoxMark, ...], float | None]:
    """(the lie settled on the boxes, a mark for each box, how far they stood off before: mm, root mean square)."""
    if not boxes:
        return lie, (), None
    even = evened(picture, lie.dpi / MM_PER_INCH)
    settled, off_mm = _settle(even.picture, lie, boxes)
    return settled, tuple(_judge(even, settled, box) for box in boxes), off_mm


def _settle(even: Picture, lie: Lie, boxes: tuple[Box, ...]) -> tuple[Lie, float | None]:
    """The lie that puts the boxes' borders where they are printed, as far as enough of them can be seen."""
    looks = [_look(even, lie, box, WIDE_SEARCH_MM) for box in boxes]
    seen = [(box, look) for box, look in zip(boxes, looks, strict=True) if look.likeness >= BORDER_LIKENESS]
    if not seen:
        return lie, None
    offsets = np.array([(look.dx_mm, look.dy_mm) for _, look in seen])
    middle = np.median(offsets, axis=0)
    kept = np.abs(offsets - middle).max(axis=1) < 0.6
    off_mm = math.sqrt(float((offsets[kept] ** 2).sum(axis=1).mean()))
    if kept.sum() < 3:
        return replace(lie, affine=_shifted(lie, middle)), off_mm
    centers = np.array([(box.x_mm + box.w_mm / 2, box.y_mm + box.h_mm / 2) for box, _ in seen])[kept]
    # the page's own corners hold the map where no box stands
    anchors = np.array([(0.0, 0.0), (200.0, 0.0), (0.0, 270.0), (200.0, 270.0)])
    source = np.vstack([centers, anchors])
    target = np.vstack([lie.px(centers + offsets[kept]), lie.px(anchors + middle)])
    weight = np.concatenate([np.ones(len(centers)), np.full(4, 0.3)])
    fitted = affine_fit(source, target, weight)
    return (lie_of(fitted) if is_page_like(fitted) else lie), off_mm


def _shifted(lie: Lie, by_mm: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    moved = lie.affine.copy()
    moved[:, 2] += lie.affine[:, :2] @ by_mm
    return moved


def _look(even: Picture, lie: Lie, box: Box, reach_mm: float) -> _Look:
    margin = reach_mm + 1.0
    view = patch(even, lie, _grown(box, margin), PX_PER_MM)
    template, counted = _border(box.w_mm, box.h_mm)
    scores = np.nan_to_num(
        np.asarray(cv2.matchTemplate(view, template, cv2.TM_CCOEFF_NORMED, mask=counted)), posinf=0.0
    )
    middle_y, middle_x = (scores.shape[0] - 1) / 2, (scores.shape[1] - 1) / 2
    reach = round(reach_mm * PX_PER_MM)
    top, left = max(0, round(middle_y) - reach), max(0, round(middle_x) - reach)
    near = scores[top : top + 2 * reach + 1, left : left + 2 * reach + 1]
    _, best, _, (x, y) = cv2.minMaxLoc(near)
    dx, dy = peak_offset(scores, left + x, top + y)
    return _Look((left + x + dx - middle_x) / PX_PER_MM, (top + y + dy - middle_y) / PX_PER_MM, best)


def _grown(box: Box, by_mm: float) -> Area:
    return Area(box.x_mm - by_mm, box.y_mm - by_mm, box.w_mm + 2 * by_mm, box.h_mm + 2 * by_mm)


def _likeness(view: Picture, template: Picture, counted: Picture) -> npt.NDArray[np.float32]:
    """Correlation of the counted part of the template with every place of the view; 0 where the view is flat."""
    scores = np.asarray(cv2.matchTemplate(view, template, cv2.TM_CCOEFF_NORMED, mask=counted), np.float32)
    light = view.astype(np.float32)
    size = (template.shape[1], template.shape[0])
    mean, square = (cv2.boxFilter(item, -1, size, anchor=(0, 0)) for item in (light, light * light))
    rows, columns = scores.shape
    spread = np.sqrt(np.maximum(np.asarray(square) - np.asarray(mean) ** 2, 0))[:rows, :columns]
    # on blank paper the correlation is nothing divided by nothing, and comes out as anything
    return np.where((spread >= FLAT) & (np.abs(scores) <= 1.001), scores, 0).astype(np.float32)


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


def _judge(even: Evened, lie: Lie, box: Box) -> BoxMark:
    def answer(mark: Mark, ink_mm2: float = 0.0, why: str = "") -> BoxMark:
        return BoxMark(box.key, box.page, box.kind, box.label, mark, round(ink_mm2, 2), why)

    if not is_inside(even.picture, lie, _grown(box, 0.0)):
        return answer("doubtful", why=OFF_SCAN)
    look = _look(even.picture, lie, box, CLOSE_SEARCH_MM)
    if look.likeness < BORDER_LIKENESS:
        return answer("doubtful", why=COVERED)
    place = _grown(replace(box, x_mm=box.x_mm + look.dx_mm, y_mm=box.y_mm + look.dy_mm), AROUND_MM)
    dark = (255.0 - patch(even.picture, lie, place, PX_PER_MM).astype(np.float32)) / 255.0
    inside = _inside(dark.shape, INSET_MM)
    paper = patch(even.paper, lie, place, PX_PER_MM)[inside]
    if float(np.median(paper)) < DARK_PAPER * even.paper_median:
        return answer("doubtful", why=DARK)
    ink = dark > max(INK * even.contrast, NOISE_SIGMAS * even.noise)
    trace = dark > max(TRACE * even.contrast, 0.6 * NOISE_SIGMAS * even.noise)
    area = float(ink[inside].sum()) / PX_PER_MM**2
    if _largest(trace, inside).is_speck:
        return answer("empty", area)
    why = _doubt(ink, inside, box)
    return answer("doubtful", area, why) if why else answer("marked", area)


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
    def is_speck(self) -> bool:
        return self.area_mm2 <= SPECK_AREA_MM2 and self.length_mm <= SPECK_LENGTH_MM


def _doubt(ink: Bits, inside: tuple[slice, slice], box: Box) -> str:
    """Why the ink in a box is not surely a mark; empty when it is one."""
    stroke = _largest(ink, inside)
    shorter = min(box.w_mm, box.h_mm) - 2 * INSET_MM
    least = CHECK_SHARE * shorter if box.kind == "check" else INITIALS_MM
    least_area = CHECK_AREA_MM2 if box.kind == "check" else INITIALS_AREA_MM2
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
    if box.kind == "check" and stroke.h_mm - 0.4 < FLAT_SHARE * stroke.w_mm:
        return DASH
    return ""


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


def _u8(picture: npt.NDArray[Any] | cv2.typing.MatLike) -> Picture:
    return np.asarray(picture, dtype=np.uint8)
