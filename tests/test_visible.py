"""Nothing that stands in a file, a name or an argument reaches a terminal as an order, or without end."""

import json

import pytest

from packet.visible import MOST_OF_A_LINE, MOST_OF_A_WORD, in_json, short, visible


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("\x1b[31mred", "\\x1b[31mred"),
        ("a\rb\x07\x9b\x7f", "a\\x0db\\x07\\x9b\\x7f"),
        ("\u202edlrow\ufeff", "\\u202edlrow\\ufeff"),
        ("HP-\udcff", "HP-\\udcff"),
        ("two\nlines\tand 131\N{NO-BREAK SPACE}°F — señal", "two\nlines\tand 131\N{NO-BREAK SPACE}°F — señal"),
    ],
)
def test_what_cannot_be_seen_is_written_out(typed: str, shown: str) -> None:
    assert visible(typed) == shown
    assert visible(shown) == shown


def test_endless_words_and_lines_are_cut() -> None:
    assert len(short("x" * 400_000)) == MOST_OF_A_WORD
    assert len(short("x " * 400_000)) == MOST_OF_A_LINE
    assert short("one\ntwo") == "one\ntwo"


def test_json_keeps_its_meaning() -> None:
    data = {"name": "\x1b\x9b\u202e é", "half": "\udcff"}
    text = in_json(json.dumps(data, ensure_ascii=False))
    assert json.loads(text) == data
    assert visible(text) == text
