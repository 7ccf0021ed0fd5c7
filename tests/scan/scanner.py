"""What happens to a page between the job and the office: coffee, a staple, a pen over the code, a crooked scan."""

import io
import math
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pypdfium2

from packet.press.marks import qr_area
from tests.scan import damage, pen

Picture = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Wear:
    """How badly a page came back. Angles in degrees; turned: a whole number of quarter turns clockwise."""

    dpi: float = 150.0
    skew_deg: float = 0.0
    quarter_turns: int = 0
    stretch: float = 1.0
    coffee: bool = False
    staple: bool = False
    pen_over_code: int = 0
    noise: float = 0.0
    blur_px: float = 0.5
    jpeg_quality: int = 85
    paper: int = 245
    black_bed: bool = False
    cut_to_page: bool = False  # the scan is as large as the page: what a skew pushes out is lost
    dirt_at_mm: tuple[tuple[float, float], ...] = ()  # places on the page through which dirt on the glass draws a line


def some_wear(rng: np.random.Generator) -> Wear:
    """An ordinary bad day."""
    return Wear(
        skew_deg=float(rng.uniform(-5, 5)),
        quarter_turns=int(rng.choice([0, 2])),
        stretch=float(rng.uniform(0.994, 1.006)),
        coffee=bool(rng.random() < 0.35),
        staple=bool(rng.random() < 0.8),
        pen_over_code=int(rng.choice([0, 0, 1, 1, 2])),
        noise=float(rng.uniform(1, 7)),
        blur_px=float(rng.uniform(0.3, 0.8)),
        jpeg_quality=int(rng.integers(45, 90)),
        paper=int(rng.integers(215, 253)),
        black_bed=bool(rng.random() < 0.3),
        cut_to_page=bool(rng.random() < 0.4),
    )


def scan(page: Picture, wear: Wear, rng: np.random.Generator, px_per_mm: float) -> Picture:
    """The scanned picture of a page (300 dpi in, `wear.dpi` out)."""
    sheet = page.copy()
    for _ in range(wear.pen_over_code):
        _stroke_over_code(sheet, rng, px_per_mm)
    inked = sheet.astype(np.float32) / 255.0 * wear.paper
    if wear.coffee:
        inked *= _coffee(sheet.shape, rng, px_per_mm)
    if wear.staple:
        inked *= _staple(sheet.shape, rng, px_per_mm)
    lying, matrix = _lay(inked, wear, rng)
    columns = [float(matrix[0] @ (x * px_per_mm, y * px_per_mm, 1.0)) for x, y in wear.dirt_at_mm]
    damage.stripes(lying, columns, rng, wear.dpi / 25.4)
    soft = np.asarray(cv2.GaussianBlur(lying, (0, 0), wear.blur_px), np.float32)
    noisy = soft + rng.normal(0, wear.noise, soft.shape)
    picture = np.asarray(np.clip(noisy, 0, 255), np.uint8)
    picture = np.ascontiguousarray(np.rot90(picture, -wear.quarter_turns))
    _, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, wear.jpeg_quality])
    return np.asarray(cv2.imdecode(data, cv2.IMREAD_GRAYSCALE), np.uint8)


def _stroke_over_code(sheet: Picture, rng: np.random.Generator, px_per_mm: float) -> None:
    """A pen line across part of the code, as a signature or a note that ran on leaves it."""
    area = qr_area("letter")
    start = np.array([area.x_mm - rng.uniform(0, 10), area.y_mm + rng.uniform(-2, area.h_mm)])
    length = float(rng.uniform(8, 22))
    xs = np.linspace(0, length, 14)
    line = np.column_stack([xs, np.cumsum(rng.normal(0, 0.7, 14))]) + start
    draw = pen.Pen(float(rng.uniform(0.3, 0.9)), float(rng.uniform(0.5, 1.0)))
    pen.draw(sheet, line, draw, px_per_mm)


def _coffee(shape: tuple[int, ...], rng: np.random.Generator, px_per_mm: float) -> npt.NDArray[np.float32]:
    """A cup's ring and a splash: shares of light that come back."""
    height, width = shape[:2]
    light = np.ones((height // 4, width // 4), np.float32)
    scale = px_per_mm / 4
    at = (int(rng.uniform(0.1, 0.95) * light.shape[1]), int(rng.uniform(0.1, 0.98) * light.shape[0]))
    radius = int(rng.uniform(30, 42) * scale)
    cv2.circle(light, at, radius, float(rng.uniform(0.6, 0.85)), max(1, int(rng.uniform(1.5, 4) * scale)))
    cv2.circle(light, at, radius - int(2 * scale), float(rng.uniform(0.86, 0.97)), -1)
    splash = (int(rng.uniform(0, 1) * light.shape[1]), int(rng.uniform(0, 1) * light.shape[0]))
    cv2.circle(light, splash, int(rng.uniform(4, 14) * scale), float(rng.uniform(0.65, 0.9)), -1)
    light = np.asarray(cv2.GaussianBlur(light, (0, 0), 0.35 * scale), np.float32)
    return np.asarray(cv2.resize(light, (width, height)), np.float32)


def _staple(shape: tuple[int, ...], rng: np.random.Generator, px_per_mm: float) -> npt.NDArray[np.float32]:
    """Top left: the staple's holes, its bar now and then, and the shadow of the fold."""
    height, width = shape[:2]
    light = np.ones((height, width), np.float32)
    x, y = int(rng.uniform(6, 12) * px_per_mm), int(rng.uniform(6, 12) * px_per_mm)
    step = int(8 * px_per_mm)
    cv2.line(light, (x, y + step), (x + step, y), 0.25, max(1, int(0.6 * px_per_mm)))
    small = 8  # a shadow is soft: an eighth of the resolution is plenty
    fold = int(rng.uniform(22, 40) * px_per_mm / small)
    corner = np.array([(0, 0), (fold, 0), (0, fold)], np.int32)
    shadow = np.ones((height // small, width // small), np.float32)
    cv2.fillPoly(shadow, [corner], float(rng.uniform(0.6, 0.85)))
    soft = cv2.GaussianBlur(shadow, (0, 0), 2.5 * px_per_mm / small)
    return light * np.asarray(cv2.resize(soft, (width, height)), np.float32)


def _lay(
    inked: npt.NDArray[np.float32], wear: Wear, rng: np.random.Generator
) -> tuple[npt.NDArray[np.float32], npt.NDArray[np.float64]]:
    """The sheet on the glass: turned by the skew about its middle, a little stretched, at the scanner's resolution;
    and the map from the sheet's pixels to the picture's."""
    height, width = inked.shape
    scale = wear.dpi / 300.0
    margin = 0.0 if wear.cut_to_page else 12.0 * wear.dpi / 25.4 * abs(math.sin(math.radians(wear.skew_deg))) / 0.087
    out = (round(width * scale + 2 * margin), round(height * scale + 2 * margin))
    matrix = np.asarray(cv2.getRotationMatrix2D((width / 2, height / 2), -wear.skew_deg, scale), np.float64)
    matrix[1] *= wear.stretch
    matrix[:, 2] += np.array([out[0] / 2 - width / 2, out[1] / 2 - height / 2 * wear.stretch])
    matrix[:, 2] += rng.uniform(-1, 1, 2) * (wear.dpi / 25.4)
    smooth = cv2.GaussianBlur(inked, (0, 0), 0.5 / scale * 0.6)
    bed = 25.0 if wear.black_bed else 252.0
    lying = cv2.warpAffine(smooth, matrix, out, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=bed)
    return np.asarray(lying, np.float32), matrix


def as_pdf(path: Path, pictures: list[Picture], dpi: float) -> None:
    """A scanner's PDF: one picture a page."""
    document = pypdfium2.PdfDocument.new()
    for picture in pictures:
        size = (picture.shape[1] / dpi * 72, picture.shape[0] / dpi * 72)
        page = document.new_page(*size)
        image = pypdfium2.PdfImage.new(document)
        image.load_jpeg(io.BytesIO(cv2.imencode(".jpg", picture)[1].tobytes()), inline=True)
        image.set_matrix(pypdfium2.PdfMatrix().scale(*size))
        page.insert_obj(image)
        page.gen_content()
        page.close()
    document.save(path)
    document.close()
