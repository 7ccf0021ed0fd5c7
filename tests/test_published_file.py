"""Every kind of value in published.yaml is checked somewhere: a new one without a test fails here."""

from pathlib import Path

from tests.published import published

# Not values: where to look, and what to beware of.
NOT_VALUES = {"libraries", "pitfalls"}


def test_every_key_is_read_by_a_test() -> None:
    tests = "\n".join(
        path.read_text(encoding="utf-8") for path in Path(__file__).parent.rglob("test_*.py") if path != Path(__file__)
    )
    unread = {key for key in published().keys() - NOT_VALUES if f'published()["{key}"]' not in tests}
    assert not unread
