"""Dirt on the scanner's glass: the same ink at the same place of the picture on several pages, which no pen does.

A stripe that runs through a box is seen on one page (`lines`). A fleck, a hair or a short scratch is not; but it stands
where it stood on the page before. So each page hands on a small map of its ink, and marks whose ink is found again on
another page of the stack are doubtful. Common practice of ours, settled on generated scans; no published source.
"""

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt

from packet.scan.borders import Place
from packet.scan.even import Evened
from packet.scan.lie import Lie
from packet.scan.marks import INK, INSET_MM
from packet.scan.model import Box, BoxMark, Ink, PageRead, SortedPage
from packet.words import N_

# The map has so many cells along its longer side, each about a pixel of 150 dpi.
LONGER_SIDE = 1700
# A mark is dirt when this share of its ink is on the other page, too: ticks of one hand seldom share nine tenths.
SAME_SHARE = 0.93
LEAST_CELLS = 12
MOST_TIMES = 4
# Dirt is looked for on this many pages before and after: on longer stacks it stays where it is, or is gone.
PAGES_APART = 4

REPEATED = N_("the same ink stands there on other pages: dirt on the scanner's glass?")

Cells = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Seen:
    """A page's map unpacked, and which page it is."""

    page: SortedPage
    ink: Ink
    cells: Cells


def ink_of(
    even: Evened, lie: Lie, boxes: Sequence[Box], places: Sequence[Place | None], marks: Sequence[BoxMark]
) -> Ink:
    """The map of a page's ink, and where on it the insides of its marked boxes are."""
    step_px = max(max(even.picture.shape) / LONGER_SIDE, 1.0)  # of the picture alone, so that two maps are of one size
    dark = np.asarray(even.picture < 255 * (1 - INK * even.contrast), np.uint8) * 255
    size = max(1, round(dark.shape[1] / step_px)), max(1, round(dark.shape[0] / step_px))
    cells = np.asarray(cv2.resize(dark, size, interpolation=cv2.INTER_AREA)) > 127
    insides = []
    for box, place, mark in zip(boxes, places, marks, strict=True):
        if place is None or mark.mark != "marked":
            continue
        left, top = box.x_mm + place.dx_mm + INSET_MM, box.y_mm + place.dy_mm + INSET_MM
        right, bottom = left + box.w_mm - 2 * INSET_MM, top + box.h_mm - 2 * INSET_MM
        corners = lie.px(np.array([(left, top), (right, top), (right, bottom), (left, bottom)])) / step_px
        insides.append((mark.key, tuple((round(float(x), 1), round(float(y), 1)) for x, y in corners)))
    return Ink(even.picture.shape[:2], cells.shape, zlib.compress(np.packbits(cells).tobytes(), 1), tuple(insides))


def doubt_repeated(reads: Sequence[PageRead]) -> list[PageRead]:
    """The pages with every mark doubtful whose ink stands at the same place on a page shortly before or after it."""
    unpacked: dict[int, _Seen | None] = {}
    answers = []
    for number, read in enumerate(reads):
        window = range(max(0, number - PAGES_APART), min(len(reads), number + PAGES_APART + 1))
        unpacked = {at: unpacked[at] if at in unpacked else _seen(reads[at]) for at in window}
        mine = unpacked[number]
        others = [other for at, other in unpacked.items() if at != number and other is not None]
        answers.append(read if mine is None else _doubted(read, mine, others))
    return answers


def _doubted(read: PageRead, mine: _Seen, others: Sequence[_Seen]) -> PageRead:
    # the same page scanned twice has the same ink, and scans of another size are of another glass
    strangers = [
        other for other in others if other.page.address != mine.page.address and other.ink.size_px == mine.ink.size_px
    ]
    # two ticks of one hand at one place are alike now and then; three are not
    enough = min(2, len(strangers))
    again = {
        key
        for key, corners in mine.ink.insides
        if enough and sum(_is_same(mine, other, corners) for other in strangers) >= enough
    }
    if not again:
        return read
    marks = tuple(
        replace(mark, mark="doubtful", why=REPEATED) if mark.key in again else mark for mark in mine.page.marks
    )
    return replace(read, page=replace(mine.page, marks=marks))


def _seen(read: PageRead) -> _Seen | None:
    if read.ink is None or not isinstance(read.page, SortedPage):
        return None
    rows, columns = read.ink.cells
    bits = np.unpackbits(np.frombuffer(zlib.decompress(read.ink.packed), np.uint8), count=rows * columns)
    return _Seen(read.page, read.ink, bits.reshape(rows, columns).astype(bool))


def _is_same(mine: _Seen, other: _Seen, corners: Sequence[tuple[float, float]]) -> bool:
    """Whether the ink inside the corners is the same on both."""
    places = np.round(np.array(corners)).astype(np.int32)
    left, top, width, height = cv2.boundingRect(places)
    rows = slice(max(top, 0), max(top + height, 0))
    columns = slice(max(left, 0), max(left + width, 0))
    ours, theirs = mine.cells[rows, columns], other.cells[rows, columns]
    inside = np.zeros(ours.shape, np.uint8)
    cv2.fillConvexPoly(inside, places - np.array([columns.start, rows.start], np.int32), 1)
    ours, theirs = ours & (inside > 0), theirs & (inside > 0)
    # the other page may have more there, as its boxes lie otherwise; but not a black field, which has everything
    if int(ours.sum()) < LEAST_CELLS or int(theirs.sum()) > MOST_TIMES * int(ours.sum()):
        return False
    return float((ours & theirs).sum()) >= SAME_SHARE * float(ours.sum())
