"""Records to plain data and back: every kind of field, and what is refused."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone
from decimal import Decimal
from typing import Any, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packet.document import Data, Shape, ShapeError, data_of, text_of


@dataclass(frozen=True, slots=True)
class Part:
    """A record inside."""

    id: str
    size: Literal["small", "large", 3]


@dataclass(frozen=True, slots=True)
class Whole:
    """One of every kind of field."""

    name: str
    count: int
    weight_lb: float
    ready: bool
    on: date
    at: datetime
    start: time
    exact: Decimal
    parts: tuple[Part, ...]
    point: tuple[float, float]
    named: tuple[tuple[str, float], ...]
    table: Mapping[str, int]
    words: frozenset[str]
    either: str | float | Part | tuple[str, ...]
    note: str | None = None


SHAPE = Shape(Whole)
PARTS = st.builds(Part, st.text(), st.sampled_from(["small", "large", 3]))
NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
WHOLES = st.builds(
    Whole,
    st.text(),
    st.integers(),
    NUMBERS,
    st.booleans(),
    st.dates(),
    st.datetimes(timezones=st.sampled_from([UTC, timezone(timedelta(hours=-5))])),
    st.times().map(lambda value: value.replace(second=0, microsecond=0)),
    st.decimals(-(10**9), 10**9, places=12),
    st.lists(PARTS).map(tuple),
    st.tuples(NUMBERS, NUMBERS),
    st.dictionaries(st.text(), NUMBERS).map(lambda found: tuple(found.items())),
    st.dictionaries(st.text(), st.integers()),
    st.frozensets(st.text()),
    st.text() | NUMBERS | PARTS | st.lists(st.text()).map(tuple),
    st.none() | st.text(),
)
ONE = Whole(
    "a", 1, 2.5, True, date(2026, 1, 2), datetime(2026, 1, 2, 3, 4, tzinfo=UTC), time(8, 30), Decimal("1.50"), (Part("p", 3),),
    (1.0, 2.0), (("x", 1.0),), {"y": 2}, frozenset({"b", "a"}), ("u", "v"),
)  # fmt: skip


@given(WHOLES)
def test_any_record_comes_back_from_its_text(found: Whole) -> None:
    assert SHAPE.back(data_of(text_of(SHAPE.out(found)))) == found


def test_the_data_are_the_fields() -> None:
    assert SHAPE.out(ONE) == {
        "name": "a", "count": 1, "weight_lb": 2.5, "ready": True, "on": "2026-01-02", "at": "2026-01-02T03:04:00+00:00",
        "start": "08:30", "exact": "1.50", "parts": [{"id": "p", "size": 3}], "point": [1.0, 2.0], "named": {"x": 1.0},
        "table": {"y": 2}, "words": ["a", "b"], "either": ["u", "v"], "note": None,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("field", "value", "what"),
    [
        ("name", 3, "text is expected"),
        ("name", None, "text is expected"),
        ("count", 1.5, "a whole number is expected"),
        ("count", True, "a whole number is expected"),
        ("weight_lb", "2.5", "a number is expected"),
        ("weight_lb", True, "a number is expected"),
        ("weight_lb", 10**400, "a number is expected"),
        ("ready", 1, "yes or no is expected"),
        ("on", "2026-13-01", "a date is expected"),
        ("start", 830, "a time is expected"),
        ("exact", "1,5", "a number is expected"),
        ("parts", {}, "a list is expected"),
        ("parts", [[]], "named values are expected"),
        ("parts", [{"id": "p"}], "it is missing"),
        ("parts", [{"id": "p", "size": True}], "one of small, large, 3 is expected"),
        ("point", [1.0], "2 values are expected"),
        ("table", [], "named values are expected"),
        ("either", {"id": 3}, "a list is expected"),
    ],
)
def test_another_shape_is_refused_with_its_place(field: str, value: Data, what: str) -> None:
    with pytest.raises(ShapeError, match=what) as found:
        SHAPE.back(SHAPE.out(ONE) | {field: value})
    assert found.value.path.startswith(field)


@pytest.mark.parametrize(
    "text", ["", "{", "[" * 100_000, '{"a": 1, "a": 2}', "NaN", '{"a": Infinity}', "\x00", b"\xff\xfe", "1" * 5000]
)
def test_a_text_that_is_no_document_is_refused(text: Any) -> None:
    with pytest.raises(ShapeError):
        data_of(text)


def test_a_number_beyond_all_numbers_is_refused() -> None:
    data = data_of(text_of(SHAPE.out(ONE)).replace('"weight_lb": 2.5', '"weight_lb": 1e999'))
    with pytest.raises(ShapeError, match="weight_lb: a number is expected"):
        SHAPE.back(data)


def test_what_cannot_be_a_document_is_never_written() -> None:
    from dataclasses import replace

    with pytest.raises(ValueError, match="weight_lb: not a number"):
        SHAPE.out(replace(ONE, weight_lb=float("nan")))
    with pytest.raises(ValueError, match="a name stands twice"):
        SHAPE.out(replace(ONE, named=(("x", 1.0), ("x", 2.0))))
    with pytest.raises(TypeError, match="no document for"):
        Shape(complex)


def test_a_name_that_is_no_text_is_kept() -> None:
    data = {"HP-\udcff": "O'Hare é \U0001f600"}
    assert data_of(text_of(data).encode()) == data
