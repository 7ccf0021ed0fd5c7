"""What a screen reader gets from a PDF, read back with other people's libraries; each breach as a sentence.

Rules of ISO 14289-1 (PDF/UA-1), clauses from memory, as far as a program can judge them. What is read in which order is
held against what is seen: along a line, down the page, or on to a column further right; never back.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise
from typing import Any

import pikepdf
import pypdfium2
from pikepdf import Array, Dictionary

STANDARD = frozenset(
    [
        "/Document",
        "/Part",
        "/Art",
        "/Sect",
        "/Div",
        "/NonStruct",
        "/P",
        "/H1",
        "/H2",
        "/H3",
        "/H4",
        "/H5",
        "/H6",
        "/L",
        "/LI",
        "/Lbl",
        "/LBody",
        "/Table",
        "/TR",
        "/TH",
        "/TD",
        "/THead",
        "/TBody",
        "/TFoot",
        "/Caption",
        "/Span",
        "/Figure",
        "/Link",
    ]
)
SAME_LINE_POINTS = 3.0


@dataclass(frozen=True)
class Element:
    """A structure element. page: from 0; kids: the numbers of its own marked content and what is under it, as they are read."""

    kind: str
    raw: Any
    parent: str
    page: int
    kids: tuple["int | Element", ...]
    language: str

    @property
    def marks(self) -> tuple[int, ...]:
        return tuple(kid for kid in self.kids if isinstance(kid, int))

    @property
    def below(self) -> tuple["Element", ...]:
        return tuple(kid for kid in self.kids if isinstance(kid, Element))

    def all(self) -> Iterator["Element"]:
        yield self
        for child in self.below:
            yield from child.all()

    def read(self) -> Iterator[tuple[int, int]]:
        """The page and the number of all marked content, in the order in which it is read."""
        for kid in self.kids:
            if isinstance(kid, Element):
                yield from kid.read()
            else:
                yield self.page, kid


def tree(pdf: pikepdf.Pdf) -> Element:
    """The document element."""
    pages = {page.obj.objgen: number for number, page in enumerate(pdf.pages)}

    def read(raw: Any, parent: str) -> Element:
        kids = raw.get("/K", Array())
        kids = list(kids) if isinstance(kids, Array) else [kids]
        kind = str(raw.S)
        return Element(
            kind,
            raw,
            parent,
            pages[raw.Pg.objgen] if "/Pg" in raw else -1,
            tuple(
                read(kid, kind) if isinstance(kid, Dictionary) else int(kid)
                for kid in kids
                if not isinstance(kid, Dictionary) or "/S" in kid
            ),
            str(raw.get("/Lang", "")),
        )

    (root,) = pdf.Root.StructTreeRoot.K
    return read(root, "")


def breaches(content: bytes) -> list[str]:
    """Everything that is wrong with a PDF's tags."""
    with pikepdf.open(BytesIO(content)) as pdf:
        document = tree(pdf)
        return [
            *_about(pdf),
            *_kinds(document),
            *_headings(document),
            *_figures(document, pdf),
            *_tables(document),
            *_marks(document, pdf),
            *_order(document, content),
        ]


def _about(pdf: pikepdf.Pdf) -> Iterator[str]:
    if not str(pdf.Root.get("/Lang", "")):
        yield "7.2: no language"
    if not pdf.Root.get("/MarkInfo", Dictionary()).get("/Marked", False):
        yield "7.1: not said to be tagged"
    if not pdf.Root.get("/ViewerPreferences", Dictionary()).get("/DisplayDocTitle", False):
        yield "7.1: the title is not shown"
    with pdf.open_metadata() as about:
        if about.get("pdfuaid:part") != "1":
            yield "5: not said to be PDF/UA-1"
        if not about.get("dc:title"):
            yield "7.1: no title"


def _kinds(document: Element) -> Iterator[str]:
    for element in document.all():
        if element.kind not in STANDARD:
            yield f"7.1: {element.kind} is no standard kind"
        if element.kind not in {"/TD", "/TH", "/TR"} and element.parent in {"/TR", "/THead", "/TBody"}:
            yield f"7.2: {element.kind} in {element.parent}"


def _headings(document: Element) -> Iterator[str]:
    level = 0
    for element in document.all():
        if element.kind[:2] == "/H" and element.kind[2:].isdigit():
            now = int(element.kind[2:])
            if now > level + 1:
                yield f"7.4.2: a heading of level {now} after one of level {level} on page {element.page + 1}"
            level = now
            if not any(part.marks for part in element.all()):
                yield f"7.4: an empty heading on page {element.page + 1}"
    if not level:
        yield "7.4: no heading"


def _figures(document: Element, pdf: pikepdf.Pdf) -> Iterator[str]:
    for element in document.all():
        if element.kind == "/Figure":
            if len(str(element.raw.get("/Alt", "")).strip()) < 10:
                yield f"7.3: a figure without words on page {element.page + 1}"
            left, top, right, bottom = (float(side) for side in element.raw.A.BBox)
            width, height = (float(side) for side in pdf.pages[element.page].mediabox[2:])
            if not (0 <= left < right <= width * 96 / 72 and 0 <= top < bottom <= height * 96 / 72):
                yield f"7.3: a figure's place is off page {element.page + 1}"


def _tables(document: Element) -> Iterator[str]:
    for table in (element for element in document.all() if element.kind == "/Table"):
        where = f"on page {table.page + 1}"
        rows = [element for element in table.all() if element.kind == "/TR"]
        cells = [[cell for cell in row.below if cell.kind in {"/TH", "/TD"}] for row in rows]
        heads = [cell for row in cells for cell in row if cell.kind == "/TH"]
        if not heads:
            yield f"7.5: a table without heads {where}"
        widths = {sum(int(cell.raw.A.get("/ColSpan", 1)) for cell in row) for row in cells}
        if len(widths) > 1:
            yield f"7.5: rows of {sorted(widths)} columns {where}"
        for head in heads:
            if str(head.raw.A.get("/Scope", "")) not in {"/Row", "/Column", "/Both"}:
                yield f"7.5: a head without scope {where}"
        known = {str(head.raw.get("/ID", "")) for head in heads}
        for cell in (cell for row in cells for cell in row if cell.kind == "/TD"):
            named = {str(name) for name in cell.raw.A.get("/Headers", Array())}
            if not named or not named <= known:
                yield f"7.5: a cell that no head is named for {where}"


def _marks(document: Element, pdf: pikepdf.Pdf) -> Iterator[str]:
    """Everything on a page is marked: as an element of the tree, once, or as an artifact."""
    owners = pdf.Root.StructTreeRoot.ParentTree.Nums
    by_key = {int(owners[at]): owners[at + 1] for at in range(0, len(owners), 2)}
    # a blank page between two packets of a stack has no words, and no key
    by_page = {
        number: by_key[int(page.obj.StructParents)]
        for number, page in enumerate(pdf.pages)
        if "/StructParents" in page.obj
    }
    hung = [(element.page, number, element.raw.objgen) for element in document.all() for number in element.marks]
    if len({(page, number) for page, number, _ in hung}) != len(hung):
        yield "7.1: content that stands in the tree twice"
    for page, number, element in hung:
        if by_page[page][number].objgen != element:
            yield f"7.1: content {number} of page {page + 1} names another element than the one it stands in"
    for at, page_of in enumerate(pdf.pages):
        inside: list[str] = []
        there = {number for page, number, _ in hung if page == at}
        for instruction in pikepdf.parse_content_stream(page_of):
            words: Any = instruction.operands
            operator = instruction.operator
            name = str(operator)
            if name in {"BDC", "BMC"}:
                of: Any = words[1] if name == "BDC" else {}
                named = of.get("/MCID") if isinstance(of, Dictionary) else None
                inside.append(str(words[0]) if named is None else str(named))
                if named is not None:
                    if int(named) not in there:
                        yield f"7.1: content {int(named)} of page {at + 1} is not in the tree"
                    there.discard(int(named))
            elif name == "EMC":
                inside.pop()
            elif name in {"Tj", "TJ", "f", "f*", "S", "s", "B", "B*", "Do", "sh"} and not inside:
                yield f"7.1: {name} on page {at + 1} is neither content nor artifact"
        if there:
            yield f"7.1: the tree names content {sorted(there)} that page {at + 1} does not have"


def _order(document: Element, content: bytes) -> Iterator[str]:
    places = _places(content)
    order = [place for place in document.read() if place in places]
    for (page, number), (next_page, following) in pairwise(order):
        if next_page < page:
            yield f"7.1: page {next_page + 1} is read after page {page + 1}"
        if page != next_page:
            continue
        words, (left, bottom, right, top) = places[page, number]
        then, (next_left, next_bottom, _, next_top) = places[page, following]
        middle, next_middle = (bottom + top) / 2, (next_bottom + next_top) / 2
        below = next_middle < middle - SAME_LINE_POINTS or next_top <= bottom + SAME_LINE_POINTS
        if not below and next_left < left + (0 if abs(middle - next_middle) <= SAME_LINE_POINTS else right - left) - 1:
            yield f"7.1: page {page + 1} reads {words!r}, then {then!r}, which stands before it"


def _places(content: bytes) -> dict[tuple[int, int], tuple[str, tuple[float, float, float, float]]]:
    """(words, place in points) of all marked content, by page and number."""
    raw = pypdfium2.raw
    found: dict[tuple[int, int], tuple[str, tuple[float, float, float, float]]] = {}
    for at, page in enumerate(pypdfium2.PdfDocument(content)):
        text = page.get_textpage()
        for thing in page.get_objects(max_depth=1):
            number = raw.FPDFPageObj_GetMarkedContentID(thing.raw)
            if number < 0:
                continue
            left, bottom, right, top = thing.get_bounds()
            words = ""
            if thing.type == raw.FPDF_PAGEOBJ_TEXT:
                words = text.get_text_bounded(left, bottom, right, top).strip()
            if (at, number) in found:
                before, (a, b, c, d) = found[at, number]
                words, (left, bottom, right, top) = (
                    before + words,
                    (min(a, left), min(b, bottom), max(c, right), max(d, top)),
                )
            found[at, number] = (words, (left, bottom, right, top))
    return found
