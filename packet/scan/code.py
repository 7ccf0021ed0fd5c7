"""Finding and reading the code on a scanned page, through skew, coffee and pen.

First the plain way, on the whole picture. When that fails, the few places that look like a code are looked at again
larger, cleaned, and cut at other thresholds. A code counts only when its own check digits (Reed-Solomon, level M) are satisfied; nothing here guesses.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np
import numpy.typing as npt
import zxingcpp

from packet.press.code import both_corners, corner_mask
from packet.press.marks import CORNERS, Corner
from packet.scan.image import Picture, without_color

Corners = npt.NDArray[np.float64]  # 4 x 2: the symbol's top left, top right, bottom right, bottom left, in pixels

# Looked at again at about 180 dpi, a page's long side taken for between letter's and A4's; more only takes longer.
LONG_SIDE_PX = 2100
LONG_SIDE_MM = 288.0
# A window holds a code whose middle is a few mm off; it is looked for by parts that a torn one still has.
WINDOW_MM = 30.0
CODE_PART_MM = 9.0
APART_MM = 11.0
MOST_WINDOWS = 4
# Changes between dark and light a mm: a code has about 1, text at most a third of that down the page.
LEAST_LIVELY = 0.38
LIVELY_STEP = 4
# A picture with less dark than this is an empty back; the code alone is more.
BLANK_DARK_SHARE = 0.0004
_QR = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])


@dataclass(frozen=True, slots=True, eq=False)
class Code:
    """A code as it stands on the picture, its check digits satisfied. modules: True is dark."""

    text: str
    corners: Corners
    modules: npt.NDArray[np.bool_]
    restored: bool = False


def corner_of(code: Code, mask: int) -> Corner:
    """At which corner of its page a code stands: the one whose data mask its modules follow; mask: the bottom one's."""

    def alike(corner: Corner) -> int:
        shown = printed(code.text, mask)[CORNERS.index(corner)]
        return int((shown == code.modules).sum()) if shown.shape == code.modules.shape else 0

    return max(CORNERS, key=alike)


@lru_cache(maxsize=4096)
def printed(address: str, mask: int) -> tuple[npt.NDArray[np.bool_], ...]:
    """The codes of a page, as the press draws them at its corners; mask: the bottom one's data mask."""
    made = both_corners(address, [corner_mask(mask, corner) for corner in CORNERS])
    return tuple(np.array(rows, bool) for rows in made)


def is_blank(picture: Picture) -> bool:
    """Whether there is nothing on the page: less dark than any printed page has."""
    small = np.asarray(cv2.resize(picture, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA))
    paper = float(np.median(small))
    return float(np.mean(small < 0.6 * paper)) < BLANK_DARK_SHARE


def read(picture: Picture) -> tuple[Code, ...]:
    """Sound codes of the whole picture, the plain way."""
    return tuple(_codes(picture))


def read_hard(windows: Sequence["Window"]) -> tuple[Code, ...]:
    """Sound codes found by looking again where a code may lie: larger, cleaned, cut at other thresholds."""
    for window in windows:
        for scale, view in _views(window.view):
            sound = tuple(
                replace(code, corners=window.on_picture(code.corners / scale), restored=True) for code in _codes(view)
            )
            if sound:
                return sound
    return ()


def _codes(picture: Picture) -> list[Code]:
    found = zxingcpp.read_barcodes(picture, formats=_QR)
    return [code for item in found if item.valid and (code := _code(item)) is not None]


def _code(item: zxingcpp.Barcode) -> Code | None:
    place = item.position
    points = (place.top_left, place.top_right, place.bottom_right, place.bottom_left)
    corners = np.array([(point.x, point.y) for point in points], dtype=np.float64)
    try:
        modules = np.array(item.to_image(scale=1, add_quiet_zones=False)) < 128
    except ValueError:  # corners only, no modules were read between them
        return None
    return Code(str(item.text), corners, modules)


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """A part of a picture that may hold a code, paper made white, brought to a scale: picture px a view px."""

    left: float
    top: float
    scale: float
    px_per_mm: float  # of the view, about
    view: Picture

    def on_picture(self, points: Corners) -> Corners:
        """Places in the view as places on the picture."""
        return np.asarray(points * self.scale + (self.left, self.top), np.float64)


def windows_with_code(picture: Picture) -> tuple[Window, ...]:
    """Where on a picture of one page a code may lie, the likeliest first: where dark and light change most, both ways.

    A code has some two changes every two modules along its rows and down its columns; text has as many along a line,
    but fewer down the page. A code half torn off or scribbled over has enough of them left.
    """
    shrink = max(1.0, max(picture.shape[:2]) / LONG_SIDE_PX)
    size = (round(picture.shape[1] / shrink), round(picture.shape[0] / shrink))
    small = _u8(cv2.resize(picture, size, interpolation=cv2.INTER_AREA)) if shrink > 1 else picture
    px_per_mm = max(size) / LONG_SIDE_MM
    lively = _liveliness(small, px_per_mm)
    side, apart = round(WINDOW_MM * px_per_mm), round(APART_MM * px_per_mm / LIVELY_STEP)
    found: list[Window] = []
    while len(found) < MOST_WINDOWS:
        _, best, _, (x, y) = cv2.minMaxLoc(lively)
        if best < LEAST_LIVELY:
            break
        lively[max(0, y - apart) : y + apart + 1, max(0, x - apart) : x + apart + 1] = 0
        left = min(max(0, round(x * LIVELY_STEP - side / 2)), max(0, size[0] - side))
        top = min(max(0, round(y * LIVELY_STEP - side / 2)), max(0, size[1] - side))
        view = _paper_white(small[top : top + side, left : left + side])
        found.append(Window(left * shrink, top * shrink, shrink, px_per_mm, view))
    return tuple(found)


def windows_without_color(colors: Picture, windows: Sequence[Window], share: float) -> tuple[Window, ...]:
    """The same parts of the page's picture in color, its size a share of the first's, as if all ink had no color."""
    made = []
    for window in windows:
        rows, columns = (round(side * window.scale * share) for side in window.view.shape)
        left, top = round(window.left * share), round(window.top * share)
        part = without_color(colors[top : top + rows, left : left + columns])
        method = cv2.INTER_AREA if part.shape[0] >= window.view.shape[0] else cv2.INTER_LINEAR
        view = cv2.resize(part, window.view.shape[1::-1], interpolation=method)
        made.append(replace(window, view=_paper_white(_u8(view))))
    return tuple(made)


def _paper_white(view: Picture) -> Picture:
    background = cv2.GaussianBlur(cv2.dilate(view, np.ones((9, 9), np.uint8)), (0, 0), 9)
    return _u8(cv2.divide(view, background, scale=255))


def _liveliness(small: Picture, px_per_mm: float) -> npt.NDArray[np.float32]:
    """Changes a mm between dark and light, the fewer of along and down, about each place of a coarse grid."""
    shape = (small.shape[1] // LIVELY_STEP, small.shape[0] // LIVELY_STEP)
    around = cv2.GaussianBlur(cv2.resize(small, shape, interpolation=cv2.INTER_AREA), (0, 0), 6)
    level = cv2.resize(around, small.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    dark = _u8(cv2.compare(cv2.blur(small, (2, 2)), cv2.convertScaleAbs(level, alpha=0.85), cv2.CMP_LT))
    side = max(3, round(CODE_PART_MM * px_per_mm / LIVELY_STEP))
    both = []
    for shifted, at in ((dark[:, 1:], dark[:, :-1]), (dark[1:], dark[:-1])):
        changes = cv2.resize(cv2.absdiff(shifted, at), shape, interpolation=cv2.INTER_AREA)
        mean = cv2.blur(changes.astype(np.float32), (side, side))
        both.append(np.asarray(mean, np.float32) * (px_per_mm / 255))
    return np.asarray(np.minimum(both[0], both[1]), np.float32)


def _views(even: Picture) -> Iterator[tuple[float, Picture]]:
    """A crop in ways that make a damaged code readable, cheapest and likeliest first: (scale, picture)."""
    double = _u8(cv2.resize(even, None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC))
    yield 2.0, double
    yield 1.0, even
    soft = _u8(cv2.GaussianBlur(double, (0, 0), 1.6))
    yield 2.0, soft
    # unsharp: closes the gap that a copier's blur leaves between modules
    yield 2.0, _u8(cv2.addWeighted(double, 2.0, _u8(cv2.GaussianBlur(double, (0, 0), 3.0)), -1.0, 0))
    for threshold in (110, 140, 170, 85):
        yield 2.0, _u8(cv2.threshold(soft, threshold, 255, cv2.THRESH_BINARY)[1])
    # a stroke thinner than a module goes when the light is grown over it and shrunk back
    for side in (3, 4):
        yield 2.0, _u8(cv2.morphologyEx(double, cv2.MORPH_CLOSE, np.ones((side, side), np.uint8)))
    # specks of light in the dark: toner that flaked off
    yield 2.0, _u8(cv2.morphologyEx(double, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)))
    yield 3.0, _u8(cv2.resize(even, None, fx=3, fy=3, interpolation=cv2.INTER_LANCZOS4))


def _u8(picture: npt.NDArray[np.generic] | cv2.Mat) -> Picture:
    return np.asarray(picture, dtype=np.uint8)
