"""Demo jobs on paper: the finished PDF read back, in US on Letter and in SI on A4."""

import re
from functools import cache
from html.parser import HTMLParser

import pypdfium2
import pytest

from packet.plan.document import plan_document
from packet.press.assets import letters
from packet.press.code import Stamp
from packet.press.html import revision_of, to_html
from packet.press.marks import PAPER_MM, qr_area
from packet.press.pdf import Printed, render
from packet.units import KG_PER_LB, UnitSystem
from tests.press.read_back import codes, pixels, read

from .demo import composed, planned

# vapor with a single cylinder; push-pull; several cylinders and the most pages; low pressure; not for the field
CASES: tuple[tuple[str, UnitSystem], ...] = (
    ("HP-1044", "US"),
    ("HP-1042", "SI"),
    ("HP-1043", "US"),
    ("HP-1049", "SI"),
    ("HP-1051", "US"),
)
paper = pytest.mark.parametrize(("name", "units"), CASES)


@cache
def html(name: str, units: UnitSystem) -> str:
    content = composed(name, units)
    return to_html(content, revision_of(content))


@cache
def printed(name: str, units: UnitSystem) -> Printed:
    content = composed(name, units)
    stamp = Stamp(content.records_url, content.job, revision_of(content), content.paper)
    return render(html(name, units), stamp)


class Words(HTMLParser):
    """The visible words of each sheet; those of drawings too, as they are drawn as text."""

    def __init__(self) -> None:
        super().__init__()
        self.sheets: list[tuple[str, list[str]]] = []
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        name = dict(attrs).get("data-sheet")
        if name:
            self.sheets.append((name, []))
        self.hidden += tag in {"style", "title"}

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in {"style", "title"}

    def handle_data(self, data: str) -> None:
        if self.sheets and not self.hidden:
            self.sheets[-1][1].extend(data.split())


@paper
def test_no_word_is_lost_between_html_and_paper(name: str, units: UnitSystem) -> None:
    words = Words()
    words.feed(html(name, units))
    made = printed(name, units)
    pages = read(made.pdf).pages
    assert [sheet for sheet, _ in words.sheets] == list(dict.fromkeys(made.pages))
    for sheet, expected in words.sheets:
        text = "".join("".join(page.split()) for page, on in zip(pages, made.pages, strict=True) if on == sheet)
        assert [word for word in expected if word not in text] == []


@paper
def test_all_ink_of_words_is_inside_the_page_and_off_the_code(name: str, units: UnitSystem) -> None:
    content = composed(name, units)
    width, height = (side * 72 / 25.4 for side in PAPER_MM[content.paper])
    code = qr_area(content.paper)
    code_left, code_top = code.x_mm * 72 / 25.4, height - code.y_mm * 72 / 25.4
    for number, page in enumerate(pypdfium2.PdfDocument(printed(name, units).pdf), 1):
        text = page.get_textpage()
        for index in range(text.count_chars()):
            left, bottom, right, top = text.get_charbox(index)
            if right - left < 0.01:
                continue
            assert 28 < left < right < width - 25, (number, text.get_text_range(index, 12))
            assert 18 < bottom < top < height - 28, (number, text.get_text_range(index, 12))
            assert right < code_left + 1 or bottom > code_top, (number, text.get_text_range(index, 12))


@paper
def test_boxes_stand_apart(name: str, units: UnitSystem) -> None:
    """No box lies over another: what a scan reads in one must not be ink of the next."""
    boxes = printed(name, units).boxes
    for page in {box.page for box in boxes}:
        here = [box for box in boxes if box.page == page]
        for index, one in enumerate(here):
            for other in here[index + 1 :]:
                apart = (
                    one.x_mm + one.w_mm <= other.x_mm + 0.01
                    or other.x_mm + other.w_mm <= one.x_mm + 0.01
                    or one.y_mm + one.h_mm <= other.y_mm + 0.01
                    or other.y_mm + other.h_mm <= one.y_mm + 0.01
                )
                assert apart, (page, one.key, other.key)


@paper
def test_every_tick_of_the_content_has_its_place_on_paper(name: str, units: UnitSystem) -> None:
    made = printed(name, units)
    keys = re.findall(r'data-box="([^"]+)"', html(name, units))
    assert len(made.boxes) == len(keys)
    assert {box.key for box in made.boxes} == set(keys)


@paper
def test_only_our_typeface_no_missing_sign_and_small_enough(name: str, units: UnitSystem) -> None:
    made = printed(name, units)
    back = read(made.pdf)
    assert all(font.startswith("Atkinson-Hyperlegible") for font in back.fonts)
    words = Words()
    words.feed(html(name, units))
    assert {sign for _, sheet in words.sheets for word in sheet for sign in word if ord(sign) not in letters()} == set()
    assert back.text.count("?") == sum(word.count("?") for _, sheet in words.sheets for word in sheet)
    assert "\ufffd" not in back.text
    # issue 5: a packet at most 300 kB
    assert len(made.pdf) <= 300_000


@paper
def test_the_stop_weight_is_the_biggest_thing_on_its_sheet(name: str, units: UnitSystem) -> None:
    made = printed(name, units)
    plan, hookup = planned(name, units)
    factor = 1.0 if units == "US" else KG_PER_LB
    document = pypdfium2.PdfDocument(made.pdf)
    stops = {item["id"]: item["stop_gross_lb"] * factor for item in plan_document(plan, hookup.findings)["cylinders"]}
    fills = [number for number, sheet in enumerate(made.pages) if sheet.startswith("Fill ")]
    assert len(fills) == (len(stops) if composed(name, units).may_go_out else 0)
    for number in fills:
        text = document[number].get_textpage()
        heights = {}
        for index in range(text.count_chars()):
            _, bottom, _, top = text.get_charbox(index, loose=True)
            heights[index] = round(top - bottom)
        largest = max(heights.values())
        big = "".join(text.get_text_range(index, 1) for index, height in heights.items() if height == largest)
        assert float(big) == pytest.approx(stops[made.pages[number].removeprefix("Fill ")], abs=1e-6)
        assert largest > 60


@paper
def test_one_cylinder_takes_one_page(name: str, units: UnitSystem) -> None:
    fills = [sheet for sheet in printed(name, units).pages if sheet.startswith("Fill ")]
    assert len(fills) == len(set(fills))


@paper
def test_codes_are_read_from_the_first_and_the_last_page(name: str, units: UnitSystem) -> None:
    made, content = printed(name, units), composed(name, units)
    for page in {1, len(made.pages)}:
        address = f"{content.records_url}/{name}/?p={page}&r={made.revision}"
        assert codes(pixels(made.pdf, page)) == [address] * 2


@paper
def test_length_of_a_packet(name: str, units: UnitSystem) -> None:
    # one method and one cylinder: a packet a clipboard takes; a cylinder more or a second hosing adds its own sheets
    most = {"HP-1044": 20, "HP-1042": 25, "HP-1043": 36, "HP-1049": 21, "HP-1051": 1}
    assert len(printed(name, units).pages) <= most[name]


def test_tables_have_heads_and_drawings_have_words() -> None:
    catalog = read(printed("HP-1042", "SI").pdf).reader.trailer["/Root"]
    figures, heads = [], 0
    stack = [catalog["/StructTreeRoot"]]  # type: ignore[index]
    while stack:
        element = stack.pop().get_object()
        if not isinstance(element, dict):
            continue
        if element.get("/S") == "/Figure":
            figures.append(str(element.get("/Alt", "")))
        heads += element.get("/S") == "/TH"
        children = element.get("/K", [])
        stack += children if isinstance(children, list) else [children]
    assert heads > 30
    assert len(figures) >= 5
    assert all(len(words) > 20 for words in figures)
