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
    on_pages = [names.split(", ") for names in made.pages]
    assert [sheet for sheet, _ in words.sheets] == list(
        dict.fromkeys(name for names in on_pages for name in names if name)
    )
    for sheet, expected in words.sheets:
        text = "".join("".join(page.split()) for page, on in zip(pages, on_pages, strict=True) if sheet in on)
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
            assert 28 < left < right < width - 28, (number, text.get_text_range(index, 12))
            assert 16 < bottom < top < height - 16, (number, text.get_text_range(index, 12))
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
    assert len(made.pdf) <= 200_000


@paper
def test_the_stop_weight_is_the_biggest_thing_on_the_front(name: str, units: UnitSystem) -> None:
    made = printed(name, units)
    plan, hookup = planned(name, units)
    if not composed(name, units).may_go_out:
        return
    factor = 1.0 if units == "US" else KG_PER_LB
    stops = [item["stop_gross_lb"] * factor for item in plan_document(plan, hookup.findings)["cylinders"]]
    text = pypdfium2.PdfDocument(made.pdf)[0].get_textpage()
    heights = {}
    for index in range(text.count_chars()):
        _, bottom, _, top = text.get_charbox(index, loose=True)
        heights[index] = round(top - bottom)
    largest = max(heights.values())
    big = "".join(text.get_text_range(index, 1) for index, height in heights.items() if height == largest)
    places = len(big) // len(stops)
    assert [float(big[at : at + places]) for at in range(0, len(big), places)] == pytest.approx(stops, abs=1e-6)
    # the next largest is at most two thirds of it
    others = [height for height in heights.values() if height < largest]
    assert max(others) <= largest * 2 / 3


@paper
def test_codes_are_read_from_the_first_and_the_last_page(name: str, units: UnitSystem) -> None:
    made, content = printed(name, units), composed(name, units)
    for page in {1, len(made.pages)}:
        address = f"{content.records_url}/{name}/?p={page}&r={made.revision}"
        assert codes(pixels(made.pdf, page)) == [address] * 2


@pytest.mark.parametrize(("name", "units"), [*CASES, ("HP-1047", "US"), ("HP-1047", "SI"), ("HP-1049", "US")])
def test_the_front_is_backed_by_the_hookup_which_faces_its_steps(name: str, units: UnitSystem) -> None:
    """Page numbers count from 1: an odd page is a front side, the even one after it its back."""
    made = printed(name, units)
    if not composed(name, units).may_go_out:
        return
    first: dict[str, int] = {}
    for number, names in enumerate(made.pages, 1):
        for sheet in names.split(", "):
            first.setdefault(sheet, number)
    for sheet, number in first.items():
        if sheet.startswith("Hookup"):
            assert number % 2 == 0
            assert first[sheet.replace("Hookup", "Steps")] == number + 1


@paper
def test_what_is_cut_has_a_blank_back(name: str, units: UnitSystem) -> None:
    made = printed(name, units)
    if not composed(name, units).may_go_out:
        return
    cut = [number for number, names in enumerate(made.pages, 1) if "Tags" in names]
    assert cut
    for number in cut:
        # the load may stand above the cut: it is done with by then, and nobody signs it
        assert made.pages[number - 1] in {"Tags and owner's half", "Load, Tags and owner's half"}
        back = number + 1 if number % 2 else number - 1
        # nothing follows, or a side without a sheet: a stack fills up with a blank one
        assert back > len(made.pages) or not made.pages[back - 1]


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
    # two hookups and the plot; the log is a table
    assert len(figures) >= 3
    assert all(len(words) > 20 for words in figures)
