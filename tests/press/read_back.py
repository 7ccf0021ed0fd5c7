"""Reading a finished PDF back with other people's libraries: text, fonts, tags, and codes from rendered pixels."""

import re
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import numpy as np
import pypdfium2
import zxingcpp
from pypdf import PdfReader


@dataclass(frozen=True)
class ReadBack:
    """What a PDF says. pages: each page's text with runs of white space made one blank."""

    reader: PdfReader
    pages: tuple[str, ...]
    fonts: frozenset[str]

    @property
    def text(self) -> str:
        return " ".join(self.pages)


def read(pdf: bytes) -> ReadBack:
    reader = PdfReader(BytesIO(pdf))
    document = pypdfium2.PdfDocument(pdf)
    pages = tuple(squeeze(page.get_textpage().get_text_range()) for page in document)
    return ReadBack(reader, pages, frozenset(fonts(reader)))


def type_sizes(pdf: bytes) -> list[float]:
    """The size of every letter's type in points, whatever matrix it is drawn by."""
    raw, sizes = pypdfium2.raw, []
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage()
        for number in range(text.count_chars()):
            matrix = raw.FS_MATRIX()
            if text.get_text_range(number, 1).strip() and raw.FPDFText_GetMatrix(text, number, matrix):
                sizes.append(raw.FPDFText_GetFontSize(text, number) * abs(matrix.d))
    return sizes


def squeeze(text: str) -> str:
    """White space as one blank; hyphenless comparison of what was typed with what was set."""
    return re.sub(r"\s+", " ", text.replace("\ufffe", "-").replace("\u00a0", " ")).strip()


def fonts(reader: PdfReader) -> set[str]:
    """The base names of every font object in the file, wherever it hangs."""
    found = set()
    for number in range(1, int(str(reader.trailer["/Size"]))):
        try:
            thing: Any = reader.get_object(number)
        except Exception:  # a free object number
            continue
        if isinstance(thing, dict) and thing.get("/Type") == "/Font":
            found.add(str(thing["/BaseFont"]).split("+")[-1].lstrip("/"))
    return found


def pixels(pdf: bytes, page: int, dpi: int = 150) -> "np.ndarray[Any, Any]":
    """A page (from 1) as gray pixels."""
    image = pypdfium2.PdfDocument(pdf)[page - 1].render(scale=dpi / 72, grayscale=True)
    return np.asarray(image.to_numpy()).squeeze()


def codes(picture: "np.ndarray[Any, Any]") -> list[str]:
    """Every QR code's text in a picture."""
    return [
        found.text
        for found in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode))
    ]
