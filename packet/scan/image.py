"""Scanned files in, grey pictures out: PDF pages at the resolution they were scanned with, and image files.

Needs the optional libraries (`pip install .[scan]`).
"""

import hashlib
from contextlib import closing
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pypdfium2

from packet.scan.model import Source

Picture = npt.NDArray[np.uint8]

PDF_POINTS_PER_INCH = 72.0
# A scan is taken at its own resolution within these; below it codes no longer read, above it only time is spent.
LOWEST_DPI = 150.0
HIGHEST_DPI = 300.0
# A phone's picture of a page is brought to about this many pixels along its long side.
LONGEST_SIDE_PX = 3600

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


def load(source: Source) -> Picture:
    """The page as an 8-bit grey picture. Raises UnreadableScanError."""
    return _load(source, in_color=False)


def load_without_color(source: Source) -> Picture | None:
    """The page with every pixel as light as it is in the lightest of blue, green and red, a camera's large picture at
    half its size; None when it was scanned without color.

    Ink of a colored pen is nearly white in one of the three, which uncovers the black that it was written over; what is
    black is so in all of them. Raises UnreadableScanError.
    """
    picture = _load(source, in_color=True)
    blue, green, red = cv2.split(picture)
    if int(cv2.absdiff(blue[::4, ::4].copy(), red[::4, ::4].copy()).max()) < 24:
        return None  # compression alone leaves a little color
    return np.asarray(cv2.max(cv2.max(blue, green), red), np.uint8)


def digest(picture: Picture) -> str:
    """Twelve hexadecimal digits that stand for this picture and no other."""
    head = f"{picture.shape[0]}x{picture.shape[1]}:".encode()
    return hashlib.sha256(head + picture.tobytes()).hexdigest()[:12]


def _load(source: Source, *, in_color: bool) -> Picture:
    with source.path.open("rb") as file:
        is_pdf = b"%PDF-" in file.read(1024)
    return _pdf_page(source, in_color=in_color) if is_pdf else _image_page(source, in_color=in_color)


def _pdf_page(source: Source, *, in_color: bool) -> Picture:
    try:
        document = _document(source.path, source.path.stat().st_mtime_ns)
        page = document[source.number - 1]
        try:
            dpi = _scanned_dpi(page)
            bitmap = page.render(scale=dpi / PDF_POINTS_PER_INCH, grayscale=not in_color)
            view = bitmap.to_numpy()
            picture = np.array(view[:, :, :3] if in_color else view.reshape(view.shape[:2]), dtype=np.uint8)
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


def _image_page(source: Source, *, in_color: bool) -> Picture:
    flag = cv2.IMREAD_COLOR if in_color else cv2.IMREAD_GRAYSCALE
    try:
        read, pictures = cv2.imreadmulti(str(source.path), source.number - 1, 1, flags=flag)
    except cv2.error:  # too large to be a page, or broken further in
        read, pictures = False, ()
    if not read or not pictures:
        raise UnreadableScanError(source.path.suffix.lower() or source.path.name)
    picture = np.asarray(pictures[0], dtype=np.uint8)
    longest = max(picture.shape[:2])
    if longest <= LONGEST_SIDE_PX:
        return picture
    # whole steps take every pixel into account; what is left is little, and costs a sixth between pixels
    steps = max(longest // LONGEST_SIDE_PX, 2 if in_color else 1)
    if steps > 1:
        picture = _resized(picture, 1 / steps, cv2.INTER_AREA)
    scale = LONGEST_SIDE_PX / max(picture.shape[:2])
    return _resized(picture, scale, cv2.INTER_LINEAR) if scale < 1 else picture


def _resized(picture: Picture, scale: float, method: int) -> Picture:
    return np.asarray(cv2.resize(picture, None, fx=scale, fy=scale, interpolation=method), np.uint8)


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split())
