"""How the sheets look, found from the finished PDF itself: nothing over anything else, nothing cut off, no page left empty.

A matrix of jobs, papers, units, sizes of type and hard words; and what a screen reader gets: the tag tree.
"""

import re
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise, zip_longest
from statistics import median
from typing import Any

import pypdfium2
import pytest
from weasyprint.formatting_structure.boxes import BlockContainerBox, LineBox

from packet.hookup.build import build_hookup
from packet.plan.job import plan_job
from packet.press import job
from packet.press.boxes import elements
from packet.press.code import Stamp
from packet.press.html import to_html
from packet.press.job import prepare, set_packet
from packet.press.layout import laid_out
from packet.press.marks import CORNERS, PAPER_MM, qr_area
from packet.press.pdf import LaidOut, Printed, lay_out, render, write
from packet.sheets.arrange import arranged
from packet.sheets.model import Content, Front, Group, Load, SwapSheet, Tags, Tick, Wrong
from packet.sheets.packet import compose
from packet.units import UnitSystem
from tests.plan.builders import DEMO, read_in

from .demo import composed, planned, registers

MM = 72 / 25.4
# of the laid-out pages
MM_PX = 96 / 25.4
LONG = "Harrowgate & Daughters Refrigerated Wholesale Storage and Distribution Company of the Lower Valley"


def _long_names() -> Content:
    plan, _ = planned("HP-1044")
    site = plan.job.site.model_copy(update={"name": LONG, "address": f"{LONG}, 12 Long Way", "notes": f"{LONG}. " * 3})
    appliance = plan.job.appliance.model_copy(update={"description": LONG, "owner": LONG, "serial": "S" * 30})
    job = plan.job.model_copy(update={"site": site, "appliance": appliance})
    states = {item.cylinder.id: item.start for item in plan.cylinders}
    other = plan_job(job, registers(), states)
    return compose(other, build_hookup(other))


def _kit(rows: int) -> Content:
    content = composed("HP-1044")
    ticks = tuple(
        Tick(f"truck.load.{n}", "check", f"{n} × thing of the kit, number {n}, 5 ft, 800 psig")
        for n in range(1, rows + 1)
    )
    sheets = (
        replace(sheet, groups=(Group("", ticks),), above_tags=False)
        if isinstance(sheet, Load)
        else replace(sheet, below_load=False)
        if isinstance(sheet, Tags)
        else sheet
        for sheet in content.sheets
    )
    return arranged(replace(content, sheets=tuple(sheets)))


def _many_cautions() -> Content:
    content = composed("HP-1044")
    ticks = tuple(
        Tick(f"caution.{n}.test", "initial", f"Caution {n}: {LONG}.", "See to it and say so.") for n in range(12)
    )
    return replace(
        content,
        sheets=tuple(replace(sheet, go=ticks) if isinstance(sheet, Front) else sheet for sheet in content.sheets),
    )


def _large(name: str, units: UnitSystem, *languages: str) -> Content:
    plan, hookup = planned(name, units)
    large = replace(plan, job=plan.job.model_copy(update={"print": "large"}))
    return compose(read_in(large, *languages) if languages else large, hookup)


def _read_in(name: str, *languages: str, units: UnitSystem = "US") -> Content:
    plan, hookup = planned(name, units)
    return compose(read_in(plan, *languages), hookup)


def _three_of_half_a_ton() -> Content:
    """Weights of five digits in three columns of the Record, each beside what is expected."""
    plan, hookup = planned("HP-1049")
    (first,) = plan.cylinders
    more = [
        replace(first, order=number, cylinder=first.cylinder.model_copy(update={"id": f"H-40{number}"}))
        for number in (2, 3)
    ]
    other = replace(plan, cylinders=(first, *more))
    return compose(other, hookup)


MATRIX: dict[str, Any] = {
    "one cylinder, letter": lambda: composed("HP-1041"),
    "one cylinder, A4, SI": lambda: composed("HP-1041", "SI"),
    "push-pull, A4, SI": lambda: composed("HP-1042", "SI"),
    "push-pull, letter, SI": lambda: replace(composed("HP-1042", "SI"), paper="letter"),
    "three cylinders, letter": lambda: composed("HP-1043"),
    "three cylinders, A4, SI": lambda: composed("HP-1203", "SI"),
    "three cylinders, A4": lambda: replace(composed("HP-1043"), paper="A4"),
    "three of half a ton, letter": _three_of_half_a_ton,
    "small appliance": lambda: composed("HP-1047"),
    "small appliance, A4, SI": lambda: composed("HP-1204", "SI"),
    "low pressure, SI": lambda: composed("HP-1049", "SI"),
    "unknown": lambda: composed("HP-1056"),
    "long names": _long_names,
    "many cautions": _many_cautions,
    "a kit of one": lambda: _kit(1),
    "a kit of forty": lambda: _kit(40),
    "large": lambda: _large("HP-1044", "US"),
    "large, A4, SI": lambda: _large("HP-1042", "SI"),
    "large, a heavy cylinder": lambda: _large("HP-1049", "US"),
    "large, three cylinders": lambda: _large("HP-1043", "US"),
    "large, three cylinders, A4, SI": lambda: _large("HP-1043", "SI"),
    "large, unknown": lambda: _large("HP-1056", "US"),
    "large, Spanish, one cylinder": lambda: _large("HP-1041", "US", "es"),
    "large, Spanish, three cylinders": lambda: _large("HP-1043", "US", "es"),
    "large, Spanish, two cylinders, A4, SI": lambda: _large("HP-1048", "SI", "es"),
    "large, English and Spanish": lambda: _large("HP-1044", "US", "en", "es"),
    "not for the field": lambda: composed("HP-1051"),
    # longer words: every method, a card's worth of cautions, the most hazards, many cylinders
    "Spanish, one cylinder": lambda: _read_in("HP-1041", "es"),
    "Spanish, push-pull, A4, SI": lambda: _read_in("HP-1042", "es", units="SI"),
    "Spanish, three cylinders": lambda: _read_in("HP-1043", "es"),
    "Spanish, small appliance": lambda: _read_in("HP-1047", "es"),
    "Spanish, low pressure": lambda: _read_in("HP-1049", "es"),
    "Spanish, unknown": lambda: _read_in("HP-1056", "es"),
    "Spanish, not for the field": lambda: _read_in("HP-1051", "es"),
    "English and Spanish": lambda: _read_in("HP-1044", "en", "es"),
    "Spanish and English, push-pull": lambda: _read_in("HP-1048", "es", "en"),
    # a few lines more than a page holds: set with less white
    "Spanish, two cylinders, A4, SI": lambda: _read_in("HP-1048", "es", units="SI"),
    "Spanish, two cylinders": lambda: _read_in("HP-1048", "es"),
    "English and Spanish, flammable": lambda: _read_in("HP-1046", "en", "es"),
}


@cache
def printed(name: str) -> Printed:
    return set_packet(prepare(MATRIX[name](), None))[1]


every = pytest.mark.parametrize("name", MATRIX)


def letters(page: Any) -> list[tuple[float, float, float, float, str]]:
    """(left, bottom, right, top, sign) of every sign with ink, in points, as it is drawn."""
    text = page.get_textpage()
    found = []
    for index in range(text.count_chars()):
        left, bottom, right, top = text.get_charbox(index)
        sign = text.get_text_range(index, 1)
        if sign.strip() and right - left > 0.2:
            found.append((left, bottom, right, top, sign))
    return found


@every
def test_no_sign_lies_over_another(name: str) -> None:
    for number, page in enumerate(pypdfium2.PdfDocument(printed(name).pdf), 1):
        signs = sorted(letters(page))
        for at, one in enumerate(signs):
            for other in signs[at + 1 :]:
                if other[0] >= one[2]:
                    break
                wide = min(one[2], other[2]) - other[0]
                high = min(one[3], other[3]) - max(one[1], other[1])
                smaller = min((one[2] - one[0]) * (one[3] - one[1]), (other[2] - other[0]) * (other[3] - other[1]))
                if wide > 0.4 and high > 0.6:
                    assert wide * high < 0.3 * smaller, (number, one, other)


@every
def test_no_sign_is_cut_off_or_stands_on_a_code(name: str) -> None:
    content = MATRIX[name]()
    width, height = (side * MM for side in PAPER_MM[content.paper])
    codes = [qr_area(content.paper, corner) for corner in CORNERS]
    for number, page in enumerate(pypdfium2.PdfDocument(printed(name).pdf), 1):
        for left, bottom, right, top, sign in letters(page):
            # a laser printer leaves some 5 mm white
            assert 11 * MM < left < right < width - 11 * MM, (number, sign, left, right)
            assert 5 * MM < bottom < top < height - 5 * MM, (number, sign, bottom, top)
            for code in codes:
                apart = (
                    right < code.x_mm * MM
                    or top < height - (code.y_mm + code.h_mm) * MM
                    or bottom > height - code.y_mm * MM
                )
                assert apart, (number, sign)


@every
def test_tick_boxes_leave_white_between_them(name: str) -> None:
    """Nearer than this they run together on a scan of 150 dpi: 0.44 mm left 10 of 42 doubtful (scan/test_real_paper)."""
    ticks = [box for box in printed(name).boxes if box.kind == "check"]
    whites = {
        (one.page, one.key, other.key): other.y_mm - (one.y_mm + one.h_mm)
        for one in ticks
        for other in ticks
        if one.page == other.page and abs(one.x_mm - other.x_mm) < one.w_mm and one.y_mm < other.y_mm
    }
    assert whites or "not for the field" in name
    assert {pair: white for pair, white in whites.items() if white < 0.69} == {}


@every
def test_words_stay_in_their_cell_and_blanks_in_their_place(name: str) -> None:
    """A unit that reaches to the next blank's number, or a head into the next column, is read as part of it."""
    prepared = set_packet(prepare(MATRIX[name](), None))[0]
    seen, over = 0, []
    for number, page in enumerate(laid_out(prepared.html).pages, 1):
        # a piece of text and a line of it carry the element that they stand in
        boxes = [box for box in elements(page._page_box) if isinstance(box, BlockContainerBox)]
        cells = [box for box in boxes if box.element_tag in ("td", "th")]
        asks = [box for box in boxes if "ask" in (box.element.get("class") or "").split()]
        places = [(box, box.position_x, box.position_x + box.margin_width()) for box in cells]
        # the stop weight keeps clear of the rule beside it
        stops = [box for box in boxes if "number" in (box.element.get("class") or "").split()]
        places += [(box, box.position_x, box.position_x + box.margin_width() - MM_PX) for box in stops]
        for box, after in zip_longest(asks, asks[1:]):
            # the last blank of a row may go on to the end of it
            beside = after is not None and after.position_x > box.position_x
            places.append((box, box.position_x, after.position_x - MM_PX if beside else 200.0 * MM_PX))
        for box, left, right in places:
            for inner in box.descendants():
                if (words := getattr(inner, "text", "").rstrip()) and inner.element is not None:
                    seen += 1
                    wide = inner.width * len(words) / len(inner.text)
                    if inner.position_x < left - 0.5 or inner.position_x + wide > right + 0.5:
                        over.append((number, words))
    assert seen > 20 or "not for the field" in name
    assert over == []


@every
def test_what_belongs_together_stands_on_one_page(name: str) -> None:
    """A hold and the line before it, a statement and its ticks, the rise check and its grid, a table,
    the head of the record and its first blanks; a load begins with three rows."""
    prepared = set_packet(prepare(MATRIX[name](), None))[0]
    pages_of: dict[Any, set[int]] = {}
    unbroken: dict[Any, set[int]] = {}
    for number, page in enumerate(laid_out(prepared.html).pages, 1):
        boxes = [(box, (box.element.get("class") or "").split()) for box in elements(page._page_box)]
        lines = [kinds for _, kinds in boxes if {"step", "hold"} & set(kinds)]
        assert not lines or "hold" not in lines[0], number
        groups = [kinds for _, kinds in boxes if "group" in kinds]
        assert not groups or "opens" not in groups[-1], number
        loads = [kinds for _, kinds in boxes if "third" in kinds]
        assert len(loads) != 1, number
        for box, kinds in boxes:
            if "whole" in kinds:
                pages_of.setdefault(box.element, set()).add(number)
            if box.element_tag == "table":
                unbroken.setdefault(box.element, set()).add(number)
    assert all(len(pages) == 1 for pages in pages_of.values())
    assert [pages for pages in unbroken.values() if len(pages) > 1] == []
    assert len(pages_of) == (2 if "not for the field" not in name else 0)


@pytest.mark.parametrize("name", [path.stem for path in sorted(DEMO.glob("2026-*/*.yaml"))])
def test_no_line_of_the_steps_takes_more_than_two_rows_of_print(name: str) -> None:
    """A line is a move, done before one looks up again. Of two languages each has its own rows; longer words may take three."""
    content = composed(name)
    most, seen = (4 if content.also else 3 if content.language != "en" else 2), 0
    for page in laid_out(to_html(content)).pages:
        for box in elements(page._page_box):
            if {"step", "hold"} & set((box.element.get("class") or "").split()):
                rows = {
                    round(one.position_y)
                    for one in box.descendants()
                    if isinstance(one, LineBox) and one.element is box.element
                }
                seen += 1
                assert len(rows) <= most, "".join(getattr(one, "text", "") for one in box.descendants())
    assert seen > 20 or not content.may_go_out


@every
def test_load_swap_and_what_helps_in_haste_stand_on_one_page_each(name: str) -> None:
    """The truck's sums alone on the next page say nothing of whose they are. A long kit and large print may go on."""
    content = MATRIX[name]()
    whole = {
        sheet.name
        for sheet in content.sheets
        if content.size != "large" and (isinstance(sheet, Wrong) or (isinstance(sheet, Load) and sheet.is_whole))
    }
    swaps = {sheet.name for sheet in content.sheets if isinstance(sheet, SwapSheet)}
    assert all(sum(one in names.split(", ") for names in printed(name).pages) == 1 for one in swaps)
    stands_on = {one: sum(one in names.split(", ") for names in printed(name).pages) for one in whole}
    assert len(whole) == (0 if "large" in name or "not for the field" in name else 2)
    assert set(stands_on.values()) <= {1}, stands_on


@every
def test_no_figure_is_parted_from_its_unit(name: str) -> None:
    """Nothing in what is set lets a line end between them; a drawing's words are lines already."""
    html = re.sub(r"<svg.*?</svg>", "", to_html(MATRIX[name]()), flags=re.DOTALL)
    said = re.sub(r"<[^>]*>", "|", html)
    assert re.findall(r"[^|]{0,20}\d (?:%|°[CF]|kg|lb|psig|barg|kPa|inHg|min|minutes)(?!\w)", said) == []
    assert re.search(r"\d\u00a0(?:kg|lb)", said)


def test_bands_of_the_log_stand_clear_of_one_another() -> None:
    made = printed("three cylinders, letter")
    first, second = (box for box in made.boxes if box.key.startswith("log."))
    assert first.page == second.page
    assert second.y_mm - (first.y_mm + first.h_mm) >= 1.0


def boxes_over_boxes(made: Printed) -> list[tuple[str, str]]:
    """Ticks, initials and combs that a pen cannot keep apart: more than their borders lie on each other."""
    return [
        (one.key, other.key)
        for one, other in combinations([box for box in made.boxes if box.form or box.kind != "blank"], 2)
        if one.page == other.page
        and min(one.x_mm + one.w_mm, other.x_mm + other.w_mm) - max(one.x_mm, other.x_mm) > 0.5
        and min(one.y_mm + one.h_mm, other.y_mm + other.h_mm) - max(one.y_mm, other.y_mm) > 0.5
    ]


@every
def test_no_box_lies_over_another(name: str) -> None:
    assert boxes_over_boxes(printed(name)) == []


@pytest.mark.parametrize("name", ["one cylinder, letter", "three cylinders, letter", "large, a heavy cylinder"])
def test_no_box_lies_over_another_where_a_packet_is_set_closer(name: str) -> None:
    prepared = prepare(MATRIX[name](), None)
    made = render(to_html(prepared.content, prepared.stamp.revision, is_tight=True), prepared.stamp)
    assert boxes_over_boxes(made) == []


@every
def test_what_is_cut_has_a_blank_back(name: str) -> None:
    pages = printed(name).pages
    cut = [number for number, names in enumerate(pages, 1) if "Tags" in names]
    for number in cut:
        # load and log may stand above the cut: nobody signs them, and they stay with the packet
        *above, last = pages[number - 1].split(", ")
        assert last == "Tags and owner's half"
        assert above in ([], ["Load"], ["Load", "Log"], ["Log"])
        back = number + 1 if number % 2 else number - 1
        assert back > len(pages) or not pages[back - 1]


@pytest.mark.parametrize(
    ("name", "said"), [("push-pull, A4, SI", "left blank"), ("Spanish, push-pull, A4, SI", "en blanco")]
)
def test_a_blank_back_says_so_and_names_no_sheet(name: str, said: str) -> None:
    content = MATRIX[name]()
    front, *_, cut = content.sheets
    assert isinstance(cut, Tags)
    # what is cut begins a leaf, so the front's back is blank
    both = replace(content, sheets=(front, replace(cut, below_load=False)))
    made = set_packet(prepare(both, None))[1]
    blank = [number for number, names in enumerate(made.pages) if not names]
    assert blank == [1]
    feet = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(made.pdf)]
    assert all(f"HP-1042 · {said} · " in feet[number] for number in blank)


@pytest.mark.parametrize("name", ["one cylinder, letter", "large", "large, A4, SI", "Spanish, push-pull, A4, SI"])
def test_a_heads_rule_strikes_nothing_of_what_stands_beside_its_title(name: str) -> None:
    prepared = set_packet(prepare(MATRIX[name](), None))[0]
    heads = 0
    for page in laid_out(prepared.html).pages:
        for box in page._page_box.descendants():
            if box.element is not None and box.element.get("class") == "head" and box.element_tag == "header":
                heads += 1
                rule = box.position_y + box.margin_top + box.border_top_width + box.padding_top + box.height
                beside = [one for one in box.descendants() if one.is_floated()]
                assert all(one.position_y + one.margin_height() <= rule + 1 for one in beside)
    assert heads > 2


def test_large_print_is_a_quarter_larger_and_at_most_half_as_long_again() -> None:
    usual, large = composed("HP-1044"), printed("large")
    made = render(to_html(usual, "X"), Stamp(usual.records_url, usual.job, "X", usual.paper))
    sizes = [
        median(top - bottom for page in pypdfium2.PdfDocument(pdf) for _, bottom, _, top, sign in letters(page) if sign == "e")
        for pdf in (made.pdf, large.pdf)
    ]  # fmt: skip
    assert sizes[1] / sizes[0] == pytest.approx(1.25, abs=0.03)
    filled = [len([names for names in one.pages if names]) for one in (made, large)]
    assert filled[1] <= 1.5 * filled[0]


@pytest.mark.parametrize(
    ("name", "most"),
    [
        ("Spanish, one cylinder", 8),
        ("Spanish, push-pull, A4, SI", 10),
        ("Spanish, three cylinders", 14),
        ("English and Spanish", 8),
        ("Spanish, two cylinders", 12),
        ("English and Spanish, flammable", 8),
    ],
)
def test_longer_words_take_one_page_more_at_most(name: str, most: int) -> None:
    """most: what a packet of this kind may take in English; common practice, no source."""
    assert len(printed(name).pages) <= most + 1


def test_a_few_lines_too_many_are_set_closer_and_nothing_else_changes() -> None:
    prepared = prepare(_read_in("HP-1056", "en", "es"), None)
    loose = render(prepared.html, prepared.stamp)
    kept, closer = set_packet(prepared)
    assert len(closer.pages) < len(loose.pages)
    assert kept.stamp == prepared.stamp  # one revision, however it is set
    for made in (loose, closer):
        assert {box.key for box in made.boxes} == {box.key for box in loose.boxes}
    marked = [
        {box.key: (box.w_mm, box.h_mm) for box in made.boxes if box.form or box.kind != "blank"}
        for made in (loose, closer)
    ]
    assert marked[0] == marked[1]
    usual = prepare(MATRIX["one cylinder, letter"](), None)
    assert set_packet(usual)[0] is usual


@pytest.mark.parametrize("name", ["HP-1042", "HP-1048", "HP-1056"])
def test_no_rule_parts_a_caution_from_its_line(name: str) -> None:
    """A caution stands before the line it is for; under a rule of that line's own it would be read with the line before."""
    warned = 0
    for page in laid_out(to_html(composed(name))).pages:
        boxes = [box for box in elements(page._page_box) if box.element_tag in ("p", "div")]
        for before, after in pairwise(boxes):
            if before.element.get("class") == "warned":
                assert before.border_top_width > 0
            if before.element.get("class") == "caution" and after.element.get("class") == "step":
                warned += 1
                assert after.border_top_width == 0
    assert warned > 5


def test_a_packet_is_written_once_however_often_it_is_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    laid, written = list[LaidOut](), list[LaidOut]()

    def lay(html: str) -> LaidOut:
        laid.append(lay_out(html))
        return laid[-1]

    def wrote(which: LaidOut, stamp: Stamp) -> Printed:
        written.append(which)
        return write(which, stamp)

    monkeypatch.setattr(job, "lay_out", lay)
    monkeypatch.setattr(job, "write", wrote)
    kept, _ = set_packet(prepare(_read_in("HP-1056", "en", "es"), None))
    assert len(laid) > 1
    assert [which.html for which in written] == [kept.html]
