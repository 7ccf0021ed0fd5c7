"""The paper taken out of a scanned picture, so that what is left is print and pen: shadow, coffee and gray are white."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from packet.scan.image import Picture

# Pen strokes are thinner than this; what is wider (coffee, shadow) is part of the background.
WIDEST_STROKE_MM = 2.0
# Smoothing before ink is told from paper: thinner than any pen, wider than a grain of noise.
SMOOTH_MM = 0.13
# Print on a good copy is this dark where it is darkest.
GOOD_PRINT = 0.8


@dataclass(frozen=True, slots=True, eq=False)
class Evened:
    """A picture whose background is made white (255), the paper's own brightness, and the noise that is left.

    contrast: how dark print is on it, 1 for a good copy; a washed-out one has less, and pens fade with the print.
    """

    picture: Picture
    paper: Picture
    paper_median: float
    noise: float
    contrast: float


def evened(picture: Picture, px_per_mm: float) -> Evened:
    """Every pixel as a share of the paper around it, so that shadow, coffee and gray paper are white."""
    shrink = max(1, round(px_per_mm / 3.0))
    small = _u8(cv2.resize(picture, None, fx=1 / shrink, fy=1 / shrink, interpolation=cv2.INTER_AREA))
    side = max(3, (round(WIDEST_STROKE_MM * px_per_mm / shrink) - 1) | 1)  # odd, and not wider
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))
    paper = cv2.GaussianBlur(cv2.morphologyEx(small, cv2.MORPH_CLOSE, kernel), (0, 0), side / 3)
    # closing takes the brightest grains of the noise for the paper; its usual brightness is what is meant
    share = float(np.median(small.astype(np.float32) / np.maximum(paper, 1)))
    full = cv2.resize(paper, (picture.shape[1], picture.shape[0]), interpolation=cv2.INTER_LINEAR)
    even = cv2.divide(cv2.GaussianBlur(picture, (0, 0), SMOOTH_MM * px_per_mm), full, scale=255 / share)
    return Evened(_u8(even), _u8(full), float(np.median(paper)), _noise(_u8(even)), _contrast(_u8(even)))


def _noise(even: Picture) -> float:
    """Standard deviation of clean paper as a share of its brightness; print makes it a little too large, never small.

    Paper above 255 is cut off, so its darker side is used: 31 % of a normal distribution lie half a deviation below.
    """
    return 2.0 * (255.0 - float(np.percentile(even[::3, ::3], 31))) / 255.0


def _contrast(even: Picture) -> float:
    """How dark the darkest twentieth of what is printed is, as a share of a good copy's."""
    dark = 255 - even[::2, ::2].astype(np.float32)
    printed = dark[dark > 0.1 * 255]
    if printed.size < 500:  # a nearly empty page says nothing about the copy
        return 1.0
    return float(np.clip(np.percentile(printed, 95) / (GOOD_PRINT * 255), 0.3, 1.0))


def _u8(picture: npt.NDArray[Any] | cv2.typing.MatLike) -> Picture:
    return np.asarray(picture, dtype=np.uint8)
