"""How a page lies in its picture: a map from millimeters on paper (from the page's top left) to pixels.

The map is a plane seen from anywhere (a homography), as a phone takes a page from aside; a scanner's is nearly a
turn, one scale and a shift. It is fitted to what is seen of the page with the expectation that it is nearly that, so
few places leave it a scanner's, and many make it what they are.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.marks import Area
from packet.scan.image import Picture

Map = npt.NDArray[np.float64]  # 3 x 3, mm to pixels, homogeneous
Points = npt.NDArray[np.float64]  # n x 2

MM_PER_INCH = 25.4
# Positions are thought of in tenths of a meter from about the middle of the page, where all terms are of a size.
MIDDLE_MM = (105.0, 143.0)
UNIT_MM = 100.0
# What a page may be sheared, uneven and tilted by, as a share; a corner 5 % off its place is about one of these.
SHEAR_EXPECTED = 0.05
TILT_EXPECTED = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class Lie:
    """How a page lies in its picture: mm to px, how it was turned and what skew was left."""

    map: Map
    turned_deg: int
    skew_deg: float
    dpi: float

    def px(self, points_mm: Points) -> Points:
        """Pixels of points in mm."""
        return projected(self.map, points_mm)


def projected(mapping: Map, points: Points) -> Points:
    """Points taken through a map."""
    away = np.column_stack([points, np.ones(len(points))]) @ mapping.T
    return np.asarray(away[:, :2] / away[:, 2:], np.float64)


def lie_of(mapping: Map) -> Lie:
    """Turn, skew and resolution of a map, at the page's middle."""
    a = _local(mapping, MIDDLE_MM)
    degrees = math.degrees(math.atan2(a[1, 0] - a[0, 1], a[0, 0] + a[1, 1]))
    turned = round(degrees / 90.0) * 90
    scale = math.sqrt(abs(float(np.linalg.det(a))))
    return Lie(mapping / mapping[2, 2], turned % 360, degrees - turned, scale * MM_PER_INCH)


def is_page_like(mapping: Map, size_mm: tuple[float, float] = (210.0, 280.0)) -> bool:
    """Whether a map can be a sheet of paper: not mirrored, of about one scale all over, hardly sheared anywhere."""
    scales = []
    for at in ((0.0, 0.0), (size_mm[0], 0.0), size_mm, (0.0, size_mm[1]), MIDDLE_MM):
        if float(mapping[2] @ (*at, 1.0)) <= 0:
            return False
        a = _local(mapping, at)
        across, down = float(np.linalg.norm(a[:, 0])), float(np.linalg.norm(a[:, 1]))
        leaning = float(a[:, 0] @ a[:, 1]) / (across * down)
        if float(np.linalg.det(a)) <= 0 or not 0.75 < across / down < 1.33 or abs(leaning) > 0.25:
            return False
        scales.append(math.sqrt(across * down))
    return max(scales) < 1.6 * min(scales)


def fitted(source_mm: Points, target_px: Points, sigma_mm: npt.NDArray[np.float64]) -> Map:
    """The map that best takes places on paper to pixels; sigma_mm: how far each may be off. Two places or more."""
    scaled = (source_mm - MIDDLE_MM) / UNIT_MM
    start = similarity(scaled, target_px)
    # unknowns as shares of the scale, about the similarity: six of the affine part and two of the tilt
    weight = UNIT_MM / np.repeat(sigma_mm, 2)
    back = np.linalg.inv(np.vstack([start, [0, 0, 1]]))
    seen = projected(back, target_px)  # where the similarity would have each place: hardly off `scaled`
    h = np.array([1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0])
    expected = np.zeros((4, 8))
    expected[0, [0, 4]] = 1 / SHEAR_EXPECTED, -1 / SHEAR_EXPECTED
    expected[1, [1, 3]] = 1 / SHEAR_EXPECTED
    expected[2, 6] = expected[3, 7] = 1 / TILT_EXPECTED
    x, y = scaled[:, 0], scaled[:, 1]
    for _ in range(6):
        w = h[6] * x + h[7] * y + 1
        u, v = (h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w
        zero, one = np.zeros_like(x), np.ones_like(x)
        rows_u = np.column_stack([x, y, one, zero, zero, zero, -u * x, -u * y]) / w[:, None]
        rows_v = np.column_stack([zero, zero, zero, x, y, one, -v * x, -v * y]) / w[:, None]
        rows = np.stack([rows_u, rows_v], axis=1).reshape(-1, 8) * weight[:, None]
        miss = np.stack([seen[:, 0] - u, seen[:, 1] - v], axis=1).reshape(-1) * weight
        step = np.linalg.lstsq(np.vstack([rows, expected]), np.concatenate([miss, -expected @ h]), rcond=None)[0]
        h = h + step
        if float(np.abs(step).max()) < 1e-7:
            break
    inner = np.array([[h[0], h[1], h[2]], [h[3], h[4], h[5]], [h[6], h[7], 1.0]])
    to_unit = np.array([[1, 0, -MIDDLE_MM[0]], [0, 1, -MIDDLE_MM[1]], [0, 0, UNIT_MM]]) / UNIT_MM
    whole = np.vstack([start, [0, 0, 1]]) @ inner @ to_unit
    return np.asarray(whole / whole[2, 2], np.float64)


def similarity(source: Points, target: Points) -> npt.NDArray[np.float64]:
    """Turn, one scale and shift (2 x 3) that best take `source` to `target` (least squares)."""
    s, d = source - source.mean(0), target - target.mean(0)
    size = float((s * s).sum())
    a = float((s * d).sum()) / size
    b = float((s[:, 0] * d[:, 1] - s[:, 1] * d[:, 0]).sum()) / size
    turn = np.array([[a, -b], [b, a]])
    return np.column_stack([turn, target.mean(0) - turn @ source.mean(0)])


def straighten(picture: Picture, lie: Lie, size_mm: tuple[float, float], dpi: float) -> Picture:
    """The whole page upright and straight at `dpi`; what the scan did not show is white."""
    scale = dpi / MM_PER_INCH
    size = round(size_mm[0] * scale), round(size_mm[1] * scale)
    return _warp(picture, lie.map, (0.0, 0.0), 1 / scale, size, border=cv2.BORDER_CONSTANT)


def patch(picture: Picture, lie: Lie, area: Area, px_per_mm: float) -> Picture:
    """A rectangle of the page, upright, at `px_per_mm`; outside of the scan its edge is repeated."""
    size = round(area.w_mm * px_per_mm), round(area.h_mm * px_per_mm)
    return _warp(picture, lie.map, (area.x_mm, area.y_mm), 1 / px_per_mm, size, border=cv2.BORDER_REPLICATE)


def is_inside(picture: Picture, lie: Lie, area: Area) -> bool:
    """Whether all of a rectangle of the page is on the picture."""
    right, bottom = area.x_mm + area.w_mm, area.y_mm + area.h_mm
    px = lie.px(np.array([(area.x_mm, area.y_mm), (right, area.y_mm), (right, bottom), (area.x_mm, bottom)]))
    height, width = picture.shape[:2]
    return bool((px >= 0).all() and (px[:, 0] <= width - 1).all() and (px[:, 1] <= height - 1).all())


def shifted(lie: Lie, by_mm: Points) -> Lie:
    """The lie of a page that stands `by_mm` (x, y) further on than was thought."""
    move = np.array([[1, 0, by_mm[0]], [0, 1, by_mm[1]], [0, 0, 1.0]])
    return lie_of(lie.map @ move)


def _warp(
    picture: Picture, mapping: Map, at_mm: tuple[float, float], step_mm: float, size: tuple[int, int], *, border: int
) -> Picture:
    # pixel (0, 0) of OpenCV has its center at (0, 0); ours has it at (0.5, 0.5)
    to_mm = np.array([[step_mm, 0, at_mm[0] + step_mm / 2], [0, step_mm, at_mm[1] + step_mm / 2], [0, 0, 1]])
    half_back = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1.0]])
    full = half_back @ mapping @ to_mm
    flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    if np.abs(full[2, :2]).max() * max(size) < 1e-6 * abs(full[2, 2]):
        out = cv2.warpAffine(picture, (full / full[2, 2])[:2], size, flags=flags, borderMode=border, borderValue=255)
    else:
        out = cv2.warpPerspective(picture, full, size, flags=flags, borderMode=border, borderValue=255)
    return np.asarray(out, np.uint8)


def _local(mapping: Map, at_mm: tuple[float, float]) -> npt.NDArray[np.float64]:
    """The map's turn and scale (2 x 2, px a mm) at a place."""
    x, y, w = mapping @ (*at_mm, 1.0)
    return np.asarray((mapping[:2, :2] - np.outer((x / w, y / w), mapping[2, :2])) / w, np.float64)
