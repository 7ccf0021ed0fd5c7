"""Straight rules are the frames that WeasyPrint fills, drawn at once."""

import re
from io import BytesIO
from typing import Any

import cv2
import numpy as np
import pypdf
import pytest

from packet.press import rules
from packet.press.layout import laid_out
from packet.press.pdf import VARIANT

from .read_back import pixels

STYLES = {
    "one side": "border-bottom: .3pt solid #000",
    "two sides": "border-bottom: 2pt solid #000; border-right: .2mm solid #000",
    "three colors": "border: 3pt solid #000; border-left-color: #777; border-top: 0; border-right-width: 1pt",
    "all round": "border: .9pt solid #000",
    "round": "border: 2pt solid #000; border-radius: 4mm",
    "dashed": "border: 1pt dashed #000",
    "double": "border-bottom: 3pt double #000",
    "half a side": "border-top: 1pt solid rgb(0 0 0 / 50%)",
    "none": "border: 0",
}
PAGE = (
    "<html lang='en'><head><style>@page {{ size: 60mm 40mm; margin: 5mm }} html {{ font-size: 9pt }} p, td {{ {0} }}"
    "td {{ width: 15mm; height: 6mm }}</style></head><body><p>x</p><table><tr><td>y</td><td></td></tr></table></body></html>"
)


def set_page(style: str) -> bytes:
    pdf: bytes = laid_out(PAGE.format(style), pdf_variant=VARIANT).write_pdf(pdf_variant=VARIANT)
    return pdf


@pytest.mark.parametrize("style", STYLES.values(), ids=STYLES)
def test_a_rule_lies_where_weasyprint_fills_its_frame(style: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from weasyprint import draw
    from weasyprint.draw.border import draw_border

    rules.use()
    ours = pixels(set_page(style), 1, dpi=600) < 128
    monkeypatch.setattr(draw, "draw_border", draw_border)
    theirs = pixels(set_page(style), 1, dpi=600) < 128
    kernel = np.ones((3, 3), np.uint8)
    for one, other in ((ours, theirs), (theirs, ours)):
        # an edge may lie in the next pixel, a twenty-fourth of a millimeter off: theirs are clipped before they are filled
        assert not (one & ~(cv2.dilate(other.astype(np.uint8), kernel) > 0)).any()


def drawn(style: str) -> str:
    page: Any = pypdf.PdfReader(BytesIO(set_page(style))).pages[0]
    return str(page.get_contents().get_data().decode("latin-1"))


def test_plain_sides_are_rectangles_and_all_else_is_weasyprints() -> None:
    clipped, curved, dashed = (re.compile(rf"(?m)^.*\b{sign}$") for sign in (r"W\*?", "c", "d"))
    for name in ("one side", "two sides", "three colors", "all round"):
        page = drawn(STYLES[name])
        # of a paragraph and two cells
        assert page.count(" re\n") >= 3, name
        assert not clipped.search(page), name
    assert curved.search(drawn(STYLES["round"]))
    assert dashed.search(drawn(STYLES["dashed"]))
    assert clipped.search(drawn(STYLES["double"]))
    assert clipped.search(drawn(STYLES["half a side"]))
    assert " re\n" not in drawn(STYLES["none"])
