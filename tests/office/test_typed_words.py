"""A number sign in somebody's words is theirs. YAML 1.1, 6.6: a comment begins at a `#` behind a space."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packet.office.typed_words import words_kept
from packet.shop.text import Map, Text, parse

from .returned import hand_in, print_it, typed


@pytest.mark.parametrize(
    ("line", "kept"),
    [
        ("remarks: valve #3 dented", "valve #3 dented"),
        ("remarks: valve #3 dented  # Remarks", "valve #3 dented"),
        ("remarks: see tag # 12", "see tag # 12"),
        ('remarks: "quoted #4"', "quoted #4"),
        ("remarks: plain words  # Remarks", "plain words"),
        ("remarks: 'single #5'  # Remarks", "single #5"),
        ("remarks: seal broken: replaced # 37 Remarks", "seal broken: replaced"),
        ("remarks: see below:", "see below:"),
        ("remarks: at 10:45 by phone", "at 10:45 by phone"),
        # typed between the two spaces that stand before the form's own comment
        ("remarks: valve #3 dented # 37 Remarks", "valve #3 dented"),
        ("remarks: took # 3 hose # 37 Remarks", "took # 3 hose"),
        ("technician: Ada # 2 Technician · from the print", "Ada"),
        ("gas_owner: the grocery # 35 Owner of the refrigerant now", "the grocery"),
        ('remarks: a "word" #6', 'a "word" #6'),
    ],
)
def test_a_number_sign_stays_in_the_words(line: str, kept: str) -> None:
    node = parse(words_kept(line), "form").value
    assert isinstance(node, Map)
    assert [item.node.value for item in node.entries if isinstance(item.node, Text)] == [kept]


@given(st.text(alphabet="abc #:-\"'0", min_size=1, max_size=12))
def test_the_number_of_lines_stays(words: str) -> None:
    form = typed(remarks=f"remarks: {words}")
    assert words_kept(form).count("\n") == form.count("\n")
    assert [line for line in words_kept(form).split("\n") if "remarks" not in line] == [
        line for line in form.split("\n") if "remarks" not in line
    ]


def test_the_record_has_the_remark_whole(tmp_path: Path) -> None:
    print_it(tmp_path)
    filed = hand_in(tmp_path, typed(remarks="remarks: hose #2 weeps, tag #77 tied on  # Remarks")).filed
    assert filed is not None
    assert filed.body["remarks"] == "hose #2 weeps, tag #77 tied on"
