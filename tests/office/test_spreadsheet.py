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
        "=1+1", "+1", "+1 555 0100", "-1+1", "--1", "-", "-.5", "-1e5", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1",
        '=HYPERLINK("https://x.example","go")', "＝1", "-١",
    ],
)  # fmt: skip
def test_what_begins_a_formula_is_marked_as_text(text: str) -> None:
    assert cell(text) == f"'{text}"


@given(st.lists(st.text(alphabet=st.sampled_from("=+-@\t\r\n＝ '\";,|0123456789.ab"), max_size=12), min_size=1))
def test_no_cell_of_a_written_file_begins_a_formula(texts: list[str]) -> None:
    written = csv_text(("name",), [{"name": text} for text in texts])
    read = [row[0] if row else "" for row in csv.reader(io.StringIO(written, newline=""))][1:]
    assert [text.removeprefix("'") for text in read] == [text.removeprefix("'") for text in texts]
    for text in read:
        assert not text.lstrip().startswith(STARTS) or text.removeprefix("-").replace(".", "", 1).isdigit()
