"""Where the page lies in the picture: first from its code, then from the squares and the printed boxes.

A page is an affine map from millimeters on paper (from the page's top left) to pixels: turn, scale and shear at once.
The code alone gives it to about a millimeter at the far corner; the two registration squares (`packet.press.marks`)
to a few tenths; the borders of the printed boxes settle the rest.
"""

import math
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.marks import Area, Corner, Paper, qr_symbol_area, registration_squares
from packet.scan.code import Code
from packet.scan.image import Picture

Affine = npt.NDArray[np.float64]  # 2 x 3, mm to pixels
Points = npt.NDArray[np.float64]  # n x 2

MM_PER_INCH = 25.4
# Looked for around the place the code alone gives; paper curls and feeders pull.
SQUARE_SEARCH_MM = 5.0
# The least likeness (correlation, 1 is the same) at which a square counts as seen.
SQUARE_LIKENESS = 0.75
# Squares are matched on a grid this fine.
FINE_PX_PER_MM = 8.0


@dataclass(frozen=True, slots=True, eq=False)
class Lie:
    """How a page lies in its picture: mm to px, how it was turned and what skew was left."""

    affine: Affine
    turned_deg: int
    skew_deg: float
    dpi: float

    def px(self, points_mm: Points) -> Points:
        """Pixels of points in mm."""
        return points_mm @ self.affine[:, :2].T + self.affine[:, 2]


def lie_from_code(code: Code, corner: Corner, paper: Paper, picture: Picture) -> Lie:
    """The rough lie, from the code's corners made exact against the picture."""
    area = qr_symbol_area(paper, code.modules.shape[0], corner)
    corners_mm = np.array(
        [
            (area.x_mm, area.y_mm),
            (area.x_mm + area.w_mm, area.y_mm),
            (area.x_mm + area.w_mm, area.y_mm + area.h_mm),
            (area.x_mm, area.y_mm + area.h_mm),
        ]
    )
    exact = _exact_corners(code, picture)
    # four corners cannot carry a shear over a whole page: turn, scale and shift only
    return lie_of(similarity(corners_mm, exact))


def lie_with_squares(rough: Lie, corner: Corner, paper: Paper, picture: Picture) -> Lie:
    """The lie settled by the registration squares that can be seen; the rough one when neither can."""
    code_area = qr_symbol_area(paper, 33, corner)
    anchors_mm = [code_area.center_mm]
    anchors_px = [rough.px(np.array([code_area.center_mm]))[0]]
    for square in registration_squares(paper):
        found = _find_square(rough, picture, square.center_mm, square.w_mm)
        if found is not None:
            anchors_mm.append(square.center_mm)
            anchors_px.append(found)
    if len(anchors_mm) == 1:
        return rough
    source, target = np.array(anchors_mm), np.array(anchors_px)
    fitted = affine_fit(source, target) if len(anchors_mm) >= 3 else similarity(source, target)
    return lie_of(fitted) if is_page_like(fitted) else rough


def lie_of(affine: Affine) -> Lie:
    """Turn, skew and resolution of a map."""
    degrees = math.degrees(math.atan2(affine[1, 0] - affine[0, 1], affine[0, 0] + affine[1, 1]))
    turned = round(degrees / 90.0) * 90
    scale = math.sqrt(abs(float(np.linalg.det(affine[:, :2]))))
    return Lie(affine, turned % 360, degrees - turned, scale * MM_PER_INCH)


def is_page_like(affine: Affine) -> bool:
    """Whether a map can be a sheet of paper on a scanner: not mirrored, no more than 3 % uneven, hardly sheared."""
    a = affine[:, :2]
    across, down = np.linalg.norm(a[:, 0]), np.linalg.norm(a[:, 1])
    leaning = float(a[:, 0] @ a[:, 1]) / float(across * down)
    return bool(np.linalg.det(a) > 0 and abs(across / down - 1) < 0.03 and abs(leaning) < 0.03)


def similarity(source: Points, target: Points) -> Affine:
    """Turn, one scale and shift that best take `source` to `target` (least squares)."""
    s, d = source - source.mean(0), target - target.mean(0)
    size = float((s * s).sum())
    a = float((s * d).sum()) / size
    b = float((s[:, 0] * d[:, 1] - s[:, 1] * d[:, 0]).sum()) / size
    turn = np.array([[a, -b], [b, a]])
    return np.column_stack([turn, target.mean(0) - turn @ source.mean(0)])


def affine_fit(source: Points, target: Points, weight: npt.NDArray[np.float64] | None = None) -> Affine:
    """The affine map that best takes `source` to `target` (weighted least squares; at least three points)."""
    root = np.sqrt(np.ones(len(source)) if weight is None else weight)[:, None]
    rows = np.column_stack([source, np.ones(len(source))]) * root
    solved = np.linalg.lstsq(rows, target * root, rcond=None)[0]
    return np.asarray(solved.T, dtype=np.float64)


def straighten(picture: Picture, lie: Lie, size_mm: tuple[float, float], dpi: float) -> Picture:
    """The whole page upright and straight at `dpi`; what the scan did not show is white."""
    scale = dpi / MM_PER_INCH
    width, height = round(size_mm[0] * scale), round(size_mm[1] * scale)
    # page pixel centers to mm to picture pixels, the way warpAffine wants it with the inverse flag
    to_mm = np.array([[1 / scale, 0, 0.5 / scale], [0, 1 / scale, 0.5 / scale], [0, 0, 1]])
    full = np.vstack([lie.affine, [0, 0, 1]]) @ to_mm
    return _warp(picture, full[:2], (width, height), cv2.BORDER_CONSTANT)


def patch(picture: Picture, lie: Lie, area: Area, px_per_mm: float) -> Picture:
    """A rectangle of the page, upright, at `px_per_mm`; outside of the scan its edge is repeated."""
    step = 1 / px_per_mm
    to_mm = np.array([[step, 0, area.x_mm + step / 2], [0, step, area.y_mm + step / 2], [0, 0, 1]])
    full = np.vstack([lie.affine, [0, 0, 1]]) @ to_mm
    return _warp(picture, full[:2], (round(area.w_mm * px_per_mm), round(area.h_mm * px_per_mm)), cv2.BORDER_REPLICATE)


def is_inside(picture: Picture, lie: Lie, area: Area) -> bool:
    """Whether all of a rectangle of the page is on the picture."""
    right, bottom = area.x_mm + area.w_mm, area.y_mm + area.h_mm
    px = lie.px(np.array([(area.x_mm, area.y_mm), (right, area.y_mm), (right, bottom), (area.x_mm, bottom)]))
    height, width = picture.shape[:2]
    return bool((px >= 0).all() and (px[:, 0] <= width - 1).all() and (px[:, 1] <= height - 1).all())


def _warp(picture: Picture, affine: Affine, size: tuple[int, int], border: int) -> Picture:
    # pixel (0, 0) of OpenCV has its center at (0, 0); ours has it at (0.5, 0.5)
    shifted = affine.copy()
    shifted[:, 2] -= 0.5
    flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    return np.asarray(cv2.warpAffine(picture, shifted, size, flags=flags, borderMode=border, borderValue=255), np.uint8)


def _exact_corners(code: Code, picture: Picture) -> Points:
    """The symbol's corners to a small part of a pixel: its own modules laid on the picture until they agree best."""
    count, fine = code.modules.shape[0], 6
    quiet = 2
    ideal = np.full((count + 2 * quiet, count + 2 * quiet), 255, np.uint8)
    ideal[quiet:-quiet, quiet:-quiet][code.modules] = 0
    template = np.asarray(cv2.resize(ideal, None, fx=fine, fy=fine, interpolation=cv2.INTER_NEAREST), np.float32)
    template = np.asarray(cv2.GaussianBlur(template, (0, 0), 2.0), np.float32)
    inner = np.array([(0, 0), (count, 0), (count, count), (0, count)], dtype=np.float64)
    on_template = (inner + quiet) * fine - 0.5  # OpenCV counts from the middle of the first pixel
    side = float(np.linalg.norm(code.corners[1] - code.corners[0]))
    low = np.maximum(np.floor(code.corners.min(0) - 0.3 * side), 0).astype(int)
    high = np.ceil(code.corners.max(0) + 0.3 * side).astype(int)
    start = similarity(on_template, code.corners - low - 0.5)
    try:
        _, warp = cv2.findTransformECC(
            template,
            np.asarray(picture[low[1] : high[1], low[0] : high[0]], np.float32),
            np.asarray(start, np.float32),
            cv2.MOTION_AFFINE,
            (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 30, 1e-4),
        )
    except cv2.error as error:
        if error.code != cv2.Error.StsNoConv:
            raise
        return code.corners  # it did not settle: too much of the code is covered
    exact = on_template @ np.asarray(warp)[:, :2].T + np.asarray(warp)[:, 2] + low + 0.5
    return exact if np.abs(exact - code.corners).max() < 0.15 * side else code.corners


def _find_square(rough: Lie, picture: Picture, center_mm: tuple[float, float], side_mm: float) -> Points | None:
    """The middle of a registration square in pixels, None when it cannot be seen."""
    reach = SQUARE_SEARCH_MM + side_mm
    left, top = center_mm[0] - reach, center_mm[1] - reach
    view = patch(picture, rough, Area(left, top, 2 * reach, 2 * reach), FINE_PX_PER_MM)
    side, margin = round(side_mm * FINE_PX_PER_MM), round(1.5 * FINE_PX_PER_MM)
    template = np.full((side + 2 * margin, side + 2 * margin), 255, np.uint8)
    template[margin:-margin, margin:-margin] = 0
    template = np.asarray(cv2.GaussianBlur(template, (0, 0), 1.5), np.uint8)
    scores = cv2.matchTemplate(view, template, cv2.TM_CCOEFF_NORMED)
    _, best, _, (x, y) = cv2.minMaxLoc(scores)
    if best < SQUARE_LIKENESS:
        return None
    dx, dy = peak_offset(np.asarray(scores), x, y)
    half = template.shape[0] / 2
    at_mm = np.array([[left + (x + dx + half) / FINE_PX_PER_MM, top + (y + dy + half) / FINE_PX_PER_MM]])
    return np.asarray(rough.px(at_mm)[0], dtype=np.float64)


def peak_offset(scores: npt.NDArray[Any], x: int, y: int) -> tuple[float, float]:
    """Where between the grid's points a peak really stands: the top of a parabola through its neighbors."""

    def vertex(before: float, at: float, after: float) -> float:
        bend = before - 2 * at + after
        return 0.0 if bend >= 0 else max(-0.5, min(0.5, 0.5 * (before - after) / bend))

    rows, columns = scores.shape
    dx = vertex(*(float(scores[y, x + step]) for step in (-1, 0, 1))) if 0 < x < columns - 1 else 0.0
    dy = vertex(*(float(scores[y + step, x]) for step in (-1, 0, 1))) if 0 < y < rows - 1 else 0.0
    return dx, dy
