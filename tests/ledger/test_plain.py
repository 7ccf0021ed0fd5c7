"""The records' own small YAML against two general YAML parsers: what we write, others read alike."""

from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from packet.ledger import plain
from packet.shop import text as shop_text

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20) | st.sampled_from(
    [
        "off",
        "012345",
        "10:45",
        "2026-11-26",
        "404",
        "1e5",
        "~",
        "- x",
        "a: b",
        "x #y",
        "null",
        "",
        " ",
        "{}",
        "[]",
        "é\n\x85",
    ]
)
VALUES = TEXTS | st.integers() | st.booleans() | st.none() | st.floats(allow_nan=False, allow_infinity=False)
TREES: st.SearchStrategy[Any] = st.recursive(
    VALUES,
    lambda inner: (
        st.dictionaries(TEXTS, inner, max_size=4)
        | st.lists(VALUES, max_size=4)
        | st.lists(st.dictionaries(TEXTS, inner, min_size=1, max_size=3), max_size=3)
    ),
    max_leaves=12,
)


@settings(deadline=None)
@given(st.dictionaries(TEXTS, TREES, max_size=5))
def test_a_tree_written_is_read_alike_by_us_and_by_a_general_parser(tree: dict[str, Any]) -> None:
    written = plain.write(tree)
    assert plain.read(written, typed=True) == tree
    assert yaml.load(written, yaml.CSafeLoader) == tree


@settings(deadline=None)
@given(st.dictionaries(TEXTS, st.dictionaries(TEXTS, TEXTS, min_size=1, max_size=3) | TEXTS, min_size=1, max_size=5))
def test_text_left_bare_is_read_as_typed_by_us_and_by_the_shops_own_loader(tree: dict[str, Any]) -> None:
    written = plain.write(tree, as_typed=True)
    assert plain.read(written) == tree
    loaded = shop_text.parse(written, "x")
    assert not loaded.problems
    assert _plain(loaded.value) == tree


def _plain(node: Any) -> Any:
    if isinstance(node, shop_text.Map):
        return {entry.key: _plain(entry.node) for entry in node.entries}
    return [_plain(item) for item in node.items] if isinstance(node, shop_text.Seq) else node.value


@pytest.mark.parametrize("broken", ["a: 1\n   b: 2\n", "a:\n", "a: 1\na: 2\n", "just words\n", "a: 1\n\nb: 2\n", ""])
def test_what_we_cannot_have_written_is_refused(broken: str) -> None:
    with pytest.raises(ValueError, match=r"stands twice|a line that|out of place|without a value"):
        plain.read(broken)


def test_numbers_keep_their_digits_as_typed() -> None:
    assert plain.write({"gross_lb": "61.40", "time": "08:30"}, as_typed=True) == "gross_lb: 61.40\ntime: 08:30\n"
    assert plain.read("gross_lb: 61.40\n") == {"gross_lb": "61.40"}
