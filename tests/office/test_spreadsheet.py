"""What a spreadsheet would run stays text. The signs: common practice, no standard names them."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packet.office.spreadsheet import cell, csv_text

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


@pytest.mark.parametrize("text", ["25.5", "-25.5", "-0", "0", "C-118", "R-22", "", "14 Tinker's Yard", "'quoted'"])
def test_numbers_and_plain_text_stay_as_they_are(text: str) -> None:
    assert cell(text) == text


@pytest.mark.parametrize(
    "text",
    [
        "=1+1", "+1", "+1 555 0100", "-1+1", "--1", "-", "-.5", "-1e5", "@SUM(A1)", " =1",
        '=HYPERLINK("https://x.example","go")', "＝1", "-١",
    ],
)  # fmt: skip
def test_what_begins_a_formula_is_marked_as_text(text: str) -> None:
    assert cell(text) == f"'{text}"


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("a;=1+1", "a;'=1+1"), ("a\t=1+1;b", "a\t'=1+1;b"), ('a;"=1+1"', "a;'\"=1+1\""), ("a\r\n @b", "a\r\n' @b"),
        ("=1;=2", "'=1;'=2"), ("\t=1", "'\t'=1"), ("\n=1", "'\n'=1"), ("Mill Lane 3; rear door", "Mill Lane 3; rear door"), ("a, -b = c", "a, -b = c"),
    ],
)  # fmt: skip
def test_what_begins_a_formula_where_cells_are_parted_otherwise_is_marked_too(text: str, written: str) -> None:
    """Opened by semicolons, as spreadsheets in Spanish do, 'a;=1+1' ran: seen in one."""
    assert cell(text) == written


@pytest.mark.parametrize("parted_by", [",", ";", "\t", "|"])
@given(texts=st.lists(st.text(alphabet=st.sampled_from("=+-@\t\r\n＝ '\";,|0123456789.ab"), max_size=12), min_size=1))
def test_no_cell_of_a_written_file_begins_a_formula(parted_by: str, texts: list[str]) -> None:
    written = csv_text(("day", "name", "weight"), [{"day": "11-26", "name": text, "weight": "-9.5"} for text in texts])
    for row in csv.reader(io.StringIO(written, newline=""), delimiter=parted_by):
        for found in row:
            bare = found.lstrip()
            assert not bare.startswith(STARTS) or bare.removeprefix("-").replace(".", "", 1).isdigit(), row


@given(st.lists(st.text(alphabet=st.sampled_from('=+-@\t\r\n＝ ";,|0123456789.ab'), max_size=12), min_size=1))
def test_nothing_but_apostrophes_is_put_in(texts: list[str]) -> None:
    written = csv_text(("name",), [{"name": text} for text in texts])
    read = [row[0] if row else "" for row in csv.reader(io.StringIO(written, newline=""))][1:]
    assert [text.replace("'", "") for text in read] == texts
