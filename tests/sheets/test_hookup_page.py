"""A hookup's page as it is printed: drawing, hose list and valve table on one page, no word below the limit for body type.

Sizes are read from the finished PDF. 9.5 pt is the packet's own least body type (common practice, no source).
"""

import ctypes
from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Literal

import pypdfium2
import pytest

from packet.press.code import Stamp
from packet.press.html import to_html
from packet.press.pdf import render
from packet.sheets.model import Content, HookupSheet
from packet.sheets.packet import compose
from packet.sheets.work import BETWEEN_NAMES
from tests.plan.builders import read_in

from .test_lengths import DAYS, day

LEAST_PT = 9.5
# in large print the one page is shared between larger tables and a larger drawing; what the fullest page has left
LARGE_LEAST_PT = 9.5
# the company's line above the head is 9.5 pt in either size
ABOVE_HEAD_MM = 15.0

Paper = Literal["letter", "A4"]


def hookups(date: str, language: str, size: Literal["usual", "large"], paper: Paper) -> Iterator[tuple[str, Content]]:
    """Each job's hookup sheets alone."""
    for job, (plan, hookup) in day(date).items():
        printed = replace(plan, job=plan.job.model_copy(update={"print": size}))
        content = compose(read_in(printed, language), hookup)
        sheets = tuple(sheet for sheet in content.sheets if isinstance(sheet, HookupSheet))
        yield job, replace(content, sheets=sheets, paper=paper)


def sizes_pt(page: Any) -> dict[str, float]:
    """The smallest type that each sign below the page's first lines is set in, as it stands on the page."""
    text, raw = page.get_textpage(), pypdfium2.raw
    found: dict[str, float] = {}
    highest = page.get_height() - ABOVE_HEAD_MM / 25.4 * 72
    for index in range(text.count_chars()):
        sign = text.get_text_range(index, 1)
        matrix = raw.FS_MATRIX()
        if not sign.strip() or text.get_charbox(index)[1] > highest:
            continue
        if not raw.FPDFText_GetMatrix(text.raw, index, ctypes.byref(matrix)):
            raise ValueError(f"{sign} stands nowhere")
        size = raw.FPDFText_GetFontSize(text.raw, index) * abs(matrix.d)
        found[sign] = min(size, found.get(sign, size))
    return found


def assert_whole(content: Content, names: str, page: Any) -> None:
    """No id of a hose, no valve's name and no word that says how it stands is broken over two rows of print."""
    said = page.get_textpage().get_text_range()
    sheet = next(item for item in content.sheets if item.name == names)
    assert isinstance(sheet, HookupSheet)
    valves = {name for row in sheet.valves.rows for name in row[0].split(BETWEEN_NAMES)}
    ends = {name for row in sheet.hoses.rows for name in row[4].split(BETWEEN_NAMES)}
    stand = {word for row in sheet.valves.rows for cell in row[1:] for word in cell.split()}
    assert len(valves) > 4
    for whole in ({row[-1] for row in sheet.hoses.rows}, valves, ends, stand):
        assert {words for words in whole if words not in said} == set(), names


@pytest.mark.parametrize("size", ["usual", "large"])
@pytest.mark.parametrize("paper", ["letter", "A4"])
@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("date", DAYS)
def test_every_word_of_a_hookup_is_large_enough_and_it_keeps_its_page(
    date: str, language: str, paper: Paper, size: Literal["usual", "large"]
) -> None:
    for job, content in hookups(date, language, size, paper):
        made = render(to_html(content, "X"), Stamp(content.records_url, job, "X", paper))
        assert [name for name in made.pages if name] == [sheet.name for sheet in content.sheets], job
        for names, page in zip(made.pages, pypdfium2.PdfDocument(made.pdf), strict=True):
            least = LARGE_LEAST_PT if size == "large" else LEAST_PT
            assert_whole(content, names, page)
            small = {sign: round(pt, 2) for sign, pt in sizes_pt(page).items() if pt < least - 0.02}
            assert small == {}, (job, names)
