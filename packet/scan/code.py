"""Finding and reading the code on a scanned page, through skew, coffee and pen.

First the plain way, on the whole picture. When that fails, the four corners of the picture where the code can stand
(a page lies in the scanner any way round) are looked at again larger, cleaned, and cut at other thresholds. A code
counts only when its own check digits (Reed-Solomon, level M) are satisfied; nothing here guesses.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt
import zxingcpp

from packet.press.code import corner_mask, modules
from packet.press.marks import CORNERS, Corner
from packet.scan.image import Picture

Corners = npt.NDArray[np.float64]  # 4 x 2: the symbol's top left, top right, bottom right, bottom left, in pixels

# The part of the picture, from each of its corners, that can hold the code.
CROP_WIDE = 0.42
CROP_HIGH = 0.34
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
        printed = np.array(modules(code.text, corner_mask(mask, corner)), bool)
        return int((printed == code.modules).sum()) if printed.shape == code.modules.shape else 0

    return max(CORNERS, key=alike)


def is_blank(picture: Picture) -> bool:
    """Whether there is nothing on the page: less dark than any printed page has."""
    small = np.asarray(cv2.resize(picture, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA))
    paper = float(np.median(small))
    return float(np.mean(small < 0.6 * paper)) < BLANK_DARK_SHARE


def read(picture: Picture) -> tuple[Code, ...]:
    """Sound codes of the whole picture, the plain way."""
    return tuple(_codes(picture))


def read_hard(picture: Picture) -> tuple[Code, ...]:
    """Sound codes found by looking again at the picture's corners: larger, cleaned, cut at other thresholds."""
    for left, top, even in crops_with_code(picture):
        for scale, view in _views(even):
            sound = tuple(
                replace(code, corners=code.corners / scale + (left, top), restored=True) for code in _codes(view)
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


def crops_with_code(picture: Picture) -> Iterator[tuple[int, int, Picture]]:
    """(left, top, crop) of the picture's four corners, a page's own lower right one first; paper is made white."""
    height, width = picture.shape[:2]
    long_side = max(height, width)
    wide, high = round(CROP_WIDE * min(height, width)), round(CROP_HIGH * long_side)
    if width > height:
        wide, high = high, wide
    for left in (width - wide, 0):
        for top in (height - high, 0) if left else (0, height - high):
            crop = picture[top : top + high, left : left + wide]
            background = cv2.GaussianBlur(cv2.dilate(crop, np.ones((9, 9), np.uint8)), (0, 0), 9)
            yield left, top, _u8(cv2.divide(crop, background, scale=255))


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
