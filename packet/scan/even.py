"""The paper taken out of a scanned picture, so that what is left is print and pen: shadow, coffee and gray are white."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from packet.scan.image import Picture
from packet.scan.lie import MM_PER_INCH, Lie

Bits = npt.NDArray[np.bool_]

# Pen strokes are thinner than this; what is wider (coffee, shadow) is part of the background.
WIDEST_STROKE_MM = 2.0
# Smoothing before ink is told from paper: thinner than any pen, wider than a grain of noise.
SMOOTH_MM = 0.13
# Noise is measured on tiles of this size, and on those of a page that have the least: on others something is printed.
TILE_MM = 2.0
CLEAN_TILES = (20, 50)  # percent of the page's tiles, the cleanest first
# All paper that we print on reaches from here to there.
PAGE_MM = ((5.0, 5.0), (205.0, 270.0))
# Print on a good copy is this dark where it is darkest.
GOOD_PRINT = 0.8


@dataclass(frozen=True, slots=True, eq=False)
class Evened:
    """A picture whose background is made white (255), the paper's own brightness, and the noise that is left.

    noise: standard deviation of clean paper as a share of its brightness, where the paper is as bright as its median.
    contrast: how dark print is on it, 1 for a good copy; a washed-out one has less, and pens fade with the print.
    """

    picture: Picture
    paper: Picture
    paper_median: float
    noise: float
    contrast: float

    def noise_where(self, paper: float) -> float:
        """The noise where the paper is of another brightness: what a lens and its amplifier add is the same, in shadow
        a larger share."""
        return self.noise * self.paper_median / max(paper, 1.0)


def evened(picture: Picture, lie: Lie) -> Evened:
    """Every pixel as a share of the paper around it, so that shadow, coffee and gray paper are white."""
    px_per_mm = lie.dpi / MM_PER_INCH
    shrink = max(1, round(px_per_mm / 3.0))
    small = _u8(cv2.resize(picture, None, fx=1 / shrink, fy=1 / shrink, interpolation=cv2.INTER_AREA))
    side = max(3, (round(WIDEST_STROKE_MM * px_per_mm / shrink) - 1) | 1)  # odd, and not wider
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))
    paper = cv2.GaussianBlur(cv2.morphologyEx(small, cv2.MORPH_CLOSE, kernel), (0, 0), side / 3)
    # closing takes the brightest grains of the noise for the paper; its usual brightness is what is meant
    page = _page(small.shape, lie, shrink)
    share = float(np.median(small[page].astype(np.float32) / np.maximum(paper[page], 1)))
    full = cv2.resize(paper, (picture.shape[1], picture.shape[0]), interpolation=cv2.INTER_LINEAR)
    even = _u8(cv2.divide(cv2.GaussianBlur(picture, (0, 0), SMOOTH_MM * px_per_mm), full, scale=255 / share))
    return Evened(even, _u8(full), float(np.median(paper[page])), _noise(even, lie), _contrast(even, lie))


def _noise(even: Picture, lie: Lie) -> float:
    """Standard deviation of the page's clean paper. What a phone sees beside the page, and print, are not the paper's.

    Paper above 255 is cut off, so its darker side is used: 31 % of a normal distribution lie half a deviation below.
    """
    every = 2
    side = max(3, round(TILE_MM * lie.dpi / MM_PER_INCH / every))
    thin = even[::every, ::every]
    rows, columns = thin.shape[0] // side, thin.shape[1] // side
    tiles = thin[: rows * side, : columns * side].reshape(rows, side, columns, side).swapaxes(1, 2)
    on_page = tiles[_page((rows, columns), lie, side * every)].reshape(-1, side * side)
    off = np.sort(255.0 - np.percentile(on_page, 31, axis=1))
    first, last = (round(len(off) * percent / 100) for percent in CLEAN_TILES)
    return 2.0 * float(off[first : last + 1].mean()) / 255.0


def _page(shape: tuple[int, ...], lie: Lie, shrink: int) -> Bits:
    """Where in a picture made smaller the page is; everywhere where it cannot be told."""
    (left, top), (right, bottom) = PAGE_MM
    corners = lie.px(np.array([(left, top), (right, top), (right, bottom), (left, bottom)])) / shrink
    mask = np.zeros(shape[:2], np.uint8)
    cv2.fillConvexPoly(mask, np.round(corners).astype(np.int32), 1)
    return mask > 0 if mask.any() else np.ones(shape[:2], np.bool_)


def _contrast(even: Picture, lie: Lie) -> float:
    """How dark the darkest twentieth of what is printed is, as a share of a good copy's."""
    thin = even[::2, ::2]
    dark = 255 - thin[_page(thin.shape, lie, 2)].astype(np.float32)
    printed = dark[dark > 0.1 * 255]
    if printed.size < 500:  # a nearly empty page says nothing about the copy
        return 1.0
    return float(np.clip(np.percentile(printed, 95) / (GOOD_PRINT * 255), 0.3, 1.0))


def _u8(picture: npt.NDArray[Any] | cv2.typing.MatLike) -> Picture:
    return np.asarray(picture, dtype=np.uint8)
