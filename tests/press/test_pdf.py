"""The press, on a made-up packet: what goes in as HTML comes back out of the finished PDF."""

import builtins
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from io import BytesIO
from typing import Any

import numpy as np
import pytest
from pypdf import PdfReader
from pypdf.generic import IndirectObject, StreamObject

from packet.press import assets
from packet.press.code import LONGEST_ADDRESS, AddressTooLong, Stamp, modules
from packet.press.html import revision_of, to_html
from packet.press.marks import (
    CORNERS,
    PAPER_MM,
    QR_QUIET_MODULES,
    QR_SIDE_MM,
    QR_SMALLEST_MODULE_MM,
    Paper,
    qr_area,
    registration_squares,
)
from packet.press.pdf import Printed, render
from packet.sheets.model import Content, Front

from .example import content, stop_content
from .read_back import codes, pixels, read, squeeze


def printed(made: Content) -> Printed:
    revision = revision_of(made)
    return render(to_html(made, revision), Stamp(made.records_url, made.job, revision, made.paper))


@pytest.fixture(scope="module", params=["letter", "A4"])
def paper(request: pytest.FixtureRequest) -> Iterator[Paper]:
    yield request.param


@pytest.fixture(scope="module")
def packet(paper: Paper) -> Printed:
    return printed(content(paper=paper))


def test_every_object_stands_where_the_file_says(packet: Printed) -> None:
    """Of an object in a stream the cross-reference says the place, too (ISO 32000-1, table 18); some readers go by nothing else.

    Objects that had been taken out of the tag tree were counted and not written: to those readers nearly every object after
    them was another.
    """
    reader = PdfReader(BytesIO(packet.pdf))
    streams: dict[int, list[int]] = {}
    for number, (holder, place) in reader.xref_objStm.items():
        if holder not in streams:
            stream = reader.get_object(IndirectObject(holder, 0, reader))
            assert isinstance(stream, StreamObject)
            streams[holder] = [int(word) for word in stream.get_data()[: int(str(stream["/First"]))].split()[::2]]
        assert streams[holder][place] == number
    assert sum(map(len, streams.values())) == len(reader.xref_objStm) > 100


class _Words(HTMLParser):
    """The visible words of each sheet of the HTML."""

    def __init__(self) -> None:
        super().__init__()
        self.sheets: list[list[str]] = []
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if dict(attrs).get("data-sheet"):
            self.sheets.append([])
        self.hidden += tag in {"style", "title"}

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in {"style", "title"}

    def handle_data(self, data: str) -> None:
        if self.sheets and not self.hidden:
            self.sheets[-1] += data.split()


def test_every_word_of_every_sheet_is_on_its_pages(packet: Printed, paper: Paper) -> None:
    words = _Words()
    made = content(paper=paper)
    words.feed(to_html(made, packet.revision))
    pages = read(packet.pdf).pages
    assert len(words.sheets) == len(made.sheets)
    for sheet, expected in zip(made.sheets, words.sheets, strict=True):
        text = " ".join(
            page for page, names in zip(pages, packet.pages, strict=True) if sheet.name in names.split(", ")
        )
        # letters only: justified tabs and line ends put white space where HTML has none
        there = "".join(text.split())
        assert [word for word in expected if word not in there] == []


def test_each_page_carries_its_own_code(packet: Printed, paper: Paper) -> None:
    for page in range(1, len(packet.pages) + 1):
        found = codes(pixels(packet.pdf, page))
        assert found == [f"https://records.example.com/HP-1041/?p={page}&r={packet.revision}"] * 2


def test_each_foot_says_job_sheet_page_and_revision(packet: Printed) -> None:
    pages = read(packet.pdf).pages
    for number, (text, sheet) in enumerate(zip(pages, packet.pages, strict=True), 1):
        # what goes on from the page before names the page; a blank back does not look like the lost half of a sheet
        assert f"HP-1041 · {sheet.partition(', ')[0] or 'left blank'} ·" in text
        assert f"Page {number} of {len(pages)}" in text
        assert f"Revision {packet.revision}" in text
        assert "Example Mechanical · 555-0100" in text


def test_marks_are_black_where_the_scan_desk_looks(packet: Printed, paper: Paper) -> None:
    dpi = 300
    picture = pixels(packet.pdf, 1, dpi)
    scale = dpi / 25.4
    for square in registration_squares(paper):
        x, y = (round(side * scale) for side in square.center_mm)
        half = round(square.w_mm / 2 * scale) - 2
        assert picture[y - half : y + half, x - half : x + half].max() < 40
        out = half + 6
        ring = np.concatenate([picture[y - out, x - out : x + out], picture[y + out, x - out : x + out]])
        assert ring.min() > 220
    module_mm = QR_SIDE_MM / (len(modules(f"https://records.example.com/HP-1041/?p=1&r={packet.revision}")) + 8)
    quiet = round(QR_QUIET_MODULES * module_mm * scale) - 2
    for corner in CORNERS:
        area = qr_area(paper, corner)
        x, y, side = round(area.x_mm * scale), round(area.y_mm * scale), round(area.w_mm * scale)
        code = picture[y : y + side, x : x + side]
        for rim in (code[:quiet], code[-quiet:], code[:, :quiet], code[:, -quiet:]):
            assert rim.min() > 220
        assert code[quiet + 4 : quiet + 7, quiet + 4 : quiet + 20].max() < 60  # the finder's upper bar


def test_nothing_is_printed_on_the_second_code_of_any_page(packet: Printed, paper: Paper) -> None:
    dpi = 150
    scale = dpi / 25.4
    area = qr_area(paper, "top")
    module_mm = QR_SIDE_MM / (len(modules(f"https://records.example.com/HP-1041/?p=1&r={packet.revision}")) + 8)
    quiet = round(QR_QUIET_MODULES * module_mm * scale) - 2
    for page in range(1, len(packet.pages) + 1):
        picture = pixels(packet.pdf, page, dpi)
        x, y, side = round(area.x_mm * scale), round(area.y_mm * scale), round(area.w_mm * scale)
        code = picture[y : y + side, x : x + side]
        for rim in (code[:quiet], code[-quiet:], code[:, :quiet], code[:, -quiet:]):
            assert rim.min() > 220


def test_code_is_as_large_as_the_design_asks() -> None:
    # 4-packet.md: at least 18 mm, quiet zone of 4 modules inside, modules of at least 0.44 mm
    longest = modules("h" * LONGEST_ADDRESS)
    assert QR_SIDE_MM >= 18
    assert QR_SIDE_MM / (len(longest) + 2 * QR_QUIET_MODULES) >= QR_SMALLEST_MODULE_MM
    with pytest.raises(AddressTooLong, match="84 fit"):
        modules("h" * (LONGEST_ADDRESS + 1))


def test_boxes_lie_where_they_are_drawn(packet: Printed) -> None:
    dpi = 300
    scale = dpi / 25.4
    ticks = [box for box in packet.boxes if box.kind != "blank"]
    assert len(ticks) > 30
    pictures = {page: pixels(packet.pdf, page, dpi) for page in {box.page for box in ticks}}
    for box in ticks:
        picture = pictures[box.page]
        left, top = round(box.x_mm * scale), round(box.y_mm * scale)
        right, bottom = round((box.x_mm + box.w_mm) * scale), round((box.y_mm + box.h_mm) * scale)
        middle_x, middle_y = (left + right) // 2, (top + bottom) // 2
        assert picture[top - 2 : top + 6, middle_x].min() < 120
        assert picture[bottom - 6 : bottom + 2, middle_x].min() < 120
        assert picture[middle_y, left - 2 : left + 6].min() < 120
        assert picture[middle_y, right - 6 : right + 2].min() < 120
        assert picture[top + 8 : bottom - 8, left + 8 : right - 8].min() > 220


def test_boxes_are_large_enough_and_off_the_code(packet: Printed, paper: Paper) -> None:
    # 4-packet.md: check boxes at least 4 mm, writing lines at least 8 mm
    width, height = PAPER_MM[paper]
    code = qr_area(paper)
    for box in packet.boxes:
        assert box.h_mm >= (4 if box.kind == "check" else 8)
        assert box.w_mm >= (4 if box.kind == "check" else 14)
        assert 10 <= box.x_mm < box.x_mm + box.w_mm <= width - 10
        assert 10 <= box.y_mm < box.y_mm + box.h_mm <= code.y_mm < height


def test_only_our_typeface_is_embedded(packet: Printed) -> None:
    names = read(packet.pdf).fonts
    assert names
    assert all(name.startswith("Atkinson-Hyperlegible") for name in names)


def test_same_input_same_bytes(packet: Printed, paper: Paper) -> None:
    assert printed(content(paper=paper)).pdf == packet.pdf
    assert len(packet.pdf) <= 300_000


def test_size_of_the_page(packet: Printed, paper: Paper) -> None:
    box = read(packet.pdf).reader.pages[0].mediabox
    assert (float(box.width) * 25.4 / 72, float(box.height) * 25.4 / 72) == pytest.approx(PAPER_MM[paper], abs=0.05)


def test_markup_in_a_job_is_text(packet: Printed) -> None:
    assert "Cold store <b>bold & co</b>" in read(packet.pdf).pages[0]


def test_a_screen_reader_finds_tags_language_title_and_alternative_text(packet: Printed) -> None:
    reader = read(packet.pdf).reader
    catalog: Any = reader.trailer["/Root"]
    assert catalog["/Lang"] == "en"
    assert catalog["/MarkInfo"]["/Marked"]
    assert reader.metadata is not None
    assert reader.metadata.title == "Recovery job HP-1041"
    assert reader.metadata.get("/CreationDate") == "D:20261126"
    assert b"pdfuaid" in catalog["/Metadata"].get_data()
    kinds: dict[str, int] = {}
    texts = []

    def walk(element: Any) -> None:
        element = element.get_object()
        if not isinstance(element, dict):
            return
        kinds[element.get("/S", "")] = kinds.get(element.get("/S", ""), 0) + 1
        if element.get("/S") == "/Figure":
            texts.append(str(element.get("/Alt", "")))
        children = element.get("/K", [])
        for child in children if isinstance(children, list) else [children]:
            walk(child)

    walk(catalog["/StructTreeRoot"])
    assert kinds["/H1"] >= len(content().sheets)
    assert kinds["/Table"] >= 4
    assert kinds["/TH"] > 20
    assert len(texts) == 2  # hookup and plot
    assert all(len(text) > 10 for text in texts)
    assert "Level rises from 61 to 95 percent between 20 and 131 °F" in texts


def test_a_signs_stand_in_is_printed_where_the_typeface_lacks_it() -> None:
    front = content().sheets[0]
    assert isinstance(front, Front)
    made = content(sheets=(replace(front, notes=("CO₂ → 5 ☐ 日本 naïve",)),))
    back = read(printed(made).pdf)
    assert "CO2 -> 5 [ ] ?? naïve" in back.text
    assert all(name.startswith("Atkinson") for name in back.fonts)


def test_stop_sheet_is_plain() -> None:
    made = stop_content()
    result = printed(made)
    text = read(result.pdf).pages
    assert len(text) == 1
    assert "DO NOT DISPATCH" in text[0]
    assert "Cylinder C-118 is out of test. Use C-121." in text[0]
    assert result.boxes == ()


def test_revision_follows_what_is_read() -> None:
    same, other = content(), content(foot="Another · 555-0101")
    assert revision_of(same) == revision_of(content())
    assert revision_of(other) != revision_of(same)
    assert len(revision_of(same)) == 8
    assert set(revision_of(same)) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZ234567")


def test_typeface_is_part_of_the_revision(monkeypatch: pytest.MonkeyPatch) -> None:
    before = revision_of(content())
    real = assets.asset

    def changed(name: str) -> bytes:
        return real(name) + b"\0"

    assets.style.cache_clear()
    assets.face_rules.cache_clear()
    monkeypatch.setattr(assets, "asset", changed)
    try:
        assert revision_of(content()) != before
    finally:
        monkeypatch.undo()
        assets.style.cache_clear()
        assets.face_rules.cache_clear()


@pytest.mark.parametrize("address", ["file:///etc/hostname", "http://127.0.0.1:9/x.css", "asset:../packet.html"])
def test_the_press_opens_nothing_but_its_own(address: str) -> None:
    # WeasyPrint lets only a fatal error, a BaseException, end a print
    with pytest.raises(BaseException, match=r"opens no address|packet\.html"):
        assets.fetcher().fetch(address)


def test_a_missing_pango_is_one_line_with_the_package(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without_pango(name: str, *arguments: Any, **more: Any) -> Any:
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'\nAdditionally, ctypes says so too")
        return real(name, *arguments, **more)

    assets.weasyprint.cache_clear()
    monkeypatch.setattr(builtins, "__import__", without_pango)
    with pytest.raises(assets.MissingLibrary) as caught:
        assets.weasyprint()
    monkeypatch.undo()
    assets.weasyprint.cache_clear()
    message = str(caught.value)
    assert "apt-get install libpango-1.0-0" in message
    assert "\n" not in message


def test_css_string_cannot_leave_the_style_element() -> None:
    hostile = '"; } </style><script>alert(1)</script> \\'
    made = content(job="HP-1041", foot=hostile)
    html = to_html(made, "ABCDEFGH")
    assert "<script>" not in html
    text = read(printed(made).pdf).pages[0]
    assert squeeze(hostile) in text
