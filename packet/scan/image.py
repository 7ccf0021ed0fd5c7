"""Scanned files in, grey pictures out: PDF pages at the resolution they were scanned with, and image files.

Needs the optional libraries (`pip install .[scan]`).
"""

import hashlib
from contextlib import closing
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pypdfium2
from PIL.JpegImagePlugin import JpegImageFile

from packet.scan.model import Source

Picture = npt.NDArray[np.uint8]

PDF_POINTS_PER_INCH = 72.0
# A scan is taken at its own resolution within these; below it codes no longer read, above it only time is spent.
LOWEST_DPI = 150.0
HIGHEST_DPI = 300.0
# A phone's picture of a page is brought to about this many pixels along its long side.
LONGEST_SIDE_PX = 3600
# Compression alone leaves a little color.
LEAST_COLOR = 24
JPEG_START = b"\xff\xd8\xff"
JPEG_FLAGS = {  # a step in size: how it is decoded in gray, in color
    1: (cv2.IMREAD_GRAYSCALE, cv2.IMREAD_COLOR),
    2: (cv2.IMREAD_REDUCED_GRAYSCALE_2, cv2.IMREAD_REDUCED_COLOR_2),
    4: (cv2.IMREAD_REDUCED_GRAYSCALE_4, cv2.IMREAD_REDUCED_COLOR_4),
    8: (cv2.IMREAD_REDUCED_GRAYSCALE_8, cv2.IMREAD_REDUCED_COLOR_8),
}

# what the library has to say about a file that it cannot read is in our report, in the user's language
cv2.utils.logging.setLogLevel(cv2.utils.logging.LOG_LEVEL_SILENT)


class UnreadableScanError(Exception):
    """A file that is neither a PDF nor a picture that can be opened. The message is the library's, in one line."""


def sources(path: Path) -> tuple[Source, ...]:
    """Every scanned page of a file, in the file's order. Raises UnreadableScanError, FileNotFoundError."""
    data_start = path.open("rb")
    with data_start:
        is_pdf = b"%PDF-" in data_start.read(1024)
    if is_pdf:
        try:
            with closing(pypdfium2.PdfDocument(path)) as document:
                count = len(document)
        except pypdfium2.PdfiumError as error:
            raise UnreadableScanError(_one_line(error)) from None
    else:
        try:
            count = cv2.imcount(str(path))
        except cv2.error:
            count = 0
    if not count:
        raise UnreadableScanError(path.suffix.lower() or path.name)
    return tuple(Source(path, number) for number in range(1, count + 1))


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """A page as an 8-bit gray picture, and its colors where they came with it (decoding a file costs more than any look
    at it, so it is done once); a camera's JPEG costs a third less in gray, and is decoded again only if it must be."""

    source: Source
    picture: Picture
    colors: Picture | None

    def in_color(self) -> Picture | None:
        """The page in blue, green and red, a camera's large picture at half its size or less; None when it was scanned
        without color. Raises UnreadableScanError."""
        colors = _jpeg(self.source, in_color=True) if self.colors is None else self.colors
        if colors.ndim == 2:
            return None
        blue, red = (colors[::8, ::8, channel].copy() for channel in (0, 2))
        return colors if int(cv2.absdiff(blue, red).max()) >= LEAST_COLOR else None


def without_color(colors: Picture) -> Picture:
    """A part of a page with every pixel as light as it is in the lightest of blue, green and red.

    Ink of a colored pen is nearly white in one of the three, which uncovers the black that it was written over; what is
    black is so in all of them.
    """
    blue, green, red = cv2.split(colors)
    return np.asarray(cv2.max(cv2.max(blue, green), red), np.uint8)


def load(source: Source) -> Loaded:
    """The page. Raises UnreadableScanError."""
    with source.path.open("rb") as file:
        start = file.read(1024)
    if b"%PDF-" in start:
        colors = _pdf_page(source)
        return Loaded(source, _gray(colors), colors)
    if start.startswith(JPEG_START):
        return Loaded(source, _page_sized(_jpeg(source, in_color=False)), None)
    colors = _picture_file(source)
    return Loaded(source, _page_sized(_gray(colors)), colors)


def digest(picture: Picture) -> str:
    """Twelve hexadecimal digits that stand for this picture and no other."""
    head = f"{picture.shape[0]}x{picture.shape[1]}:".encode()
    return hashlib.sha256(head + picture.tobytes()).hexdigest()[:12]


def _pdf_page(source: Source) -> Picture:
    """A PDF's page in color, which its library draws in less time than in gray."""
    try:
        document = _document(source.path, source.path.stat().st_mtime_ns)
        page = document[source.number - 1]
        try:
            bitmap = page.render(scale=_scanned_dpi(page) / PDF_POINTS_PER_INCH)
            picture = np.array(bitmap.to_numpy()[:, :, :3], dtype=np.uint8)
            bitmap.close()
        finally:
            page.close()
    except pypdfium2.PdfiumError as error:
        raise UnreadableScanError(_one_line(error)) from None
    return picture


@lru_cache(maxsize=2)
def _document(path: Path, changed: int) -> pypdfium2.PdfDocument:
    """One open document a file; `changed` only keeps a rewritten file from being read from memory."""
    del changed
    return pypdfium2.PdfDocument(path)


def _scanned_dpi(page: pypdfium2.PdfPage) -> float:
    """The resolution of the largest picture on the page, within what is useful."""
    width_pt, height_pt = page.get_size()
    best = 0.0
    kinds = [pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]
    for item in page.get_objects(filter=kinds, max_depth=3):
        left, bottom, right, top = item.get_bounds()
        if (right - left) * (top - bottom) < 0.5 * width_pt * height_pt:
            continue
        pixels = item.get_px_size()
        best = max(best, max(pixels) / max(right - left, top - bottom) * PDF_POINTS_PER_INCH)
    return min(max(best or LOWEST_DPI, LOWEST_DPI), HIGHEST_DPI)


def _jpeg(source: Source, *, in_color: bool) -> Picture:
    """A JPEG decoded at a half, a quarter or an eighth of its size where a page is read no larger, as less is to be
    done; what is larger than a page is decoded in color at half of that."""
    try:
        with JpegImageFile(source.path) as head:
            longest = max(head.size)
    except (OSError, SyntaxError, ValueError):
        longest = 0  # the library that decodes it says what is wrong
    steps = [step for step in JPEG_FLAGS if step <= max(longest / LONGEST_SIDE_PX, 1)]
    step = min(2 * steps[-1], max(JPEG_FLAGS)) if in_color and longest > LONGEST_SIDE_PX else steps[-1]
    try:
        picture = cv2.imread(str(source.path), JPEG_FLAGS[step][in_color])
    except cv2.error:  # too large to be a page
        picture = None
    return _there(picture, source)


def _picture_file(source: Source) -> Picture:
    """A page of any other picture file, in gray only if it has no color."""
    try:
        _, pictures = cv2.imreadmulti(str(source.path), source.number - 1, 1, flags=cv2.IMREAD_ANYCOLOR)
    except cv2.error:  # too large to be a page, or broken further in
        pictures = ()
    return _there(next(iter(pictures), None), source)


def _there(picture: cv2.typing.MatLike | None, source: Source) -> Picture:
    if picture is None:
        raise UnreadableScanError(source.path.suffix.lower() or source.path.name)
    return np.asarray(picture, dtype=np.uint8)


def _gray(colors: Picture) -> Picture:
    return colors if colors.ndim == 2 else np.asarray(cv2.cvtColor(colors, cv2.COLOR_BGR2GRAY), np.uint8)


def _page_sized(picture: Picture) -> Picture:
    """A picture brought to the size at which a page is read."""
    longest = max(picture.shape[:2])
    if longest <= LONGEST_SIDE_PX:
        return picture
    # whole steps take every pixel into account; what is left is little, and costs a sixth between pixels
    steps = longest // LONGEST_SIDE_PX
    if steps > 1:
        picture = _resized(picture, 1 / steps, cv2.INTER_AREA)
    scale = LONGEST_SIDE_PX / max(picture.shape[:2])
    return _resized(picture, scale, cv2.INTER_LINEAR) if scale < 1 else picture


def _resized(picture: Picture, scale: float, method: int) -> Picture:
    return np.asarray(cv2.resize(picture, None, fx=scale, fy=scale, interpolation=method), np.uint8)


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split())
