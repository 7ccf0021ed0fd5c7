"""From a packet's HTML to its PDF, with the marks on every page and the place of every box."""

from dataclasses import dataclass
from typing import Any

from packet.collector import without_collecting
from packet.press.boxes import boxes_and_sheets, digest_of, lowest_mm
from packet.press.code import Stamp, draw_marks
from packet.press.layout import laid_out
from packet.press.printed import PrintedBox
from packet.press.sure import check, setting
from packet.press.tags import mend_marks

VARIANT = "pdf/ua-1"


@dataclass(frozen=True, slots=True)
class Printed:
    """One finished packet. pages: the names of the sheets on each page, empty for a blank one; reads: what each says;
    lowest_mm: how far down each reaches."""

    pdf: bytes
    revision: str
    pages: tuple[str, ...]
    boxes: tuple[PrintedBox, ...]
    reads: tuple[str, ...] = ()
    lowest_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A packet laid out and not yet written: what stands where. document: weasyprint.Document; the rest as in Printed."""

    html: str
    document: Any
    pages: tuple[str, ...]
    boxes: tuple[PrintedBox, ...]
    lowest_mm: tuple[float, ...]


def lay_out(html: str) -> LaidOut:
    """Set `html` on pages. Raises MissingLibrary where the machine lacks what sets type, NotSetError."""
    with without_collecting(), setting():
        document = laid_out(html, pdf_variant=VARIANT)
        found = [boxes_and_sheets(page._page_box, number) for number, page in enumerate(document.pages, 1)]
    return LaidOut(
        html=html,
        document=document,
        pages=tuple(sheets for _, sheets in found),
        boxes=tuple(box for boxes, _ in found for box in boxes),
        lowest_mm=tuple(lowest_mm(page._page_box) for page in document.pages),
    )


def write(laid: LaidOut, stamp: Stamp) -> Printed:
    """The PDF of what was laid out, every page stamped. The same input and installed versions give the same bytes.

    Raises AddressTooLong where the code cannot carry the record's address, NotSetError where not all was set.
    """
    with without_collecting(), setting() as made:
        pdf = laid.document.write_pdf(
            finisher=lambda document, made_pdf: _finish(document, made_pdf, stamp), pdf_variant=VARIANT
        )
    check(laid.html, made, (box.key for box in laid.boxes))
    return Printed(
        pdf=pdf,
        revision=stamp.revision,
        pages=laid.pages,
        boxes=laid.boxes,
        reads=tuple(digest_of(page._page_box) for page in laid.document.pages),
        lowest_mm=laid.lowest_mm,
    )


def render(html: str, stamp: Stamp) -> Printed:
    """Set `html`, write it and stamp every page. Raises as `lay_out` and `write`."""
    return write(lay_out(html), stamp)


def plain_pdf(html: str) -> bytes:
    """A paper without codes and boxes (run sheet, field card) as a PDF. Raises MissingLibrary, NotSetError."""
    with without_collecting(), setting():
        made: bytes = laid_out(html, pdf_variant=VARIANT).write_pdf(finisher=mend_marks, pdf_variant=VARIANT)
    return made


def _finish(document: Any, pdf: Any, stamp: Stamp) -> None:
    mend_marks(document, pdf)
    _stamp(pdf, stamp)


def _stamp(pdf: Any, stamp: Stamp) -> None:
    # pydyf keeps 'number generation R' triples in the page tree and 'number generation R' bytes in a page
    for page, number in enumerate(pdf.pages["Kids"][::3], 1):
        contents = int(pdf.objects[number]["Contents"].split()[0])
        draw_marks(pdf.objects[contents], stamp, page)
