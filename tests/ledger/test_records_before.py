"""Records filed before they were JSON are read, and today's stand in the same chain behind them."""

import shutil
from decimal import Decimal
from pathlib import Path

import pytest

from packet.document import sealed
from packet.ledger import records, store
from packet.ledger.check import check_records
from packet.ledger.records import Unreadable, parse, read_records

BEFORE = Path(__file__).parents[1] / "before"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    shutil.copytree(BEFORE / "filed", tmp_path / "filed")
    return tmp_path


def test_what_was_filed_before_is_read_as_it_was_typed(shop: Path) -> None:
    first, second = read_records(shop).filed
    assert (first.seq, first.kind, first.subject, first.previous) == (1, "job", "HP-1041", ())
    assert first.sound
    assert first.body["exact"] == "61.40"
    assert first.body["site"] == "Corner: grocery"
    assert (first.body["yes"], first.body["count"], first.body["share"]) == ("true", "3", "0.5")
    assert (first.body["empty"], first.body["none"], first.body["time"]) == ({}, [], "10:20")
    assert second.previous == (first.digest,)
    (counts,) = records.standing((first, second))
    assert counts.record.body["moves"][0]["moved_lb"] == "20.10"


def test_the_chain_of_digests_goes_on_from_the_old_records_into_the_new(shop: Path) -> None:
    with store.writing(shop) as writer:
        third = writer.append("job", "HP-1042", {"date": "2026-11-27"})
    assert third.name == "000003-HP-1042.json"
    assert third.previous == (read_records(shop).filed[1].digest,)
    assert check_records(shop) == ()
    old = shop / "filed" / "000001-HP-1041.yaml"
    old.write_text(old.read_text().replace("20.30", "20.31"))
    assert [(item.file, item.kind) for item in check_records(shop)] == [(old.name, "edited")]


@pytest.mark.parametrize("number", [0, 2, "1", None, True])
def test_an_unknown_format_is_refused_by_name(number: object) -> None:
    head = {"format": number, "record": "000001", "kind": "job", "subject": "HP-1", "previous": []}
    found = parse("000001-HP-1.json", sealed(head))
    assert isinstance(found, Unreadable)
    assert f"format {number} is not known" in found.why


@pytest.mark.parametrize("name", ["000001-HP-1.json", "000001-HP-1.yaml"])
@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x00\xff",
        b"{}",
        b"[" * 100_000,
        b'{\n "format": 1,\n "digest": "' + b"0" * 64 + b'"\n}\n',
        sealed({"format": 1, "record": 1, "kind": "job", "subject": "HP-1", "previous": []}),
        sealed({"format": 1, "record": "000001", "kind": "job", "subject": "HP-1", "previous": [3]}),
        sealed({"format": 1, "record": "000001", "kind": "job", "subject": "HP-1", "previous": [], "a": 1.5}),
        sealed({"format": 1, "record": "000002", "kind": "job", "subject": "HP-1", "previous": []}),
        b"a: &x [1]\nb: *x\ndigest: " + b"0" * 64 + b"\n",
        b"a: !!python/object:os.system {}\ndigest: " + b"0" * 64 + b"\n",
        b"[" * 5000 + b"\ndigest: x\n",
        b"record: 000001\nkind: job\nsubject: [a]\nprevious: []\ndigest: x\n",
    ],
)
def test_a_file_that_is_no_record_is_said_to_be_none(name: str, content: bytes) -> None:
    assert isinstance(parse(name, content), Unreadable)


def test_only_text_goes_into_a_record_and_figures_stay_exact() -> None:
    content = records.compose(1, "job", "HP-1", (), {"a": Decimal("20.30"), "b": True, "c": ["x", {"d": 1}]})
    found = parse("000001-HP-1.json", content)
    assert not isinstance(found, Unreadable)
    assert found.body == {"a": "20.30", "b": "true", "c": ["x", {"d": "1"}]}
    with pytest.raises(TypeError, match="not a value for a record"):
        records.compose(1, "job", "HP-1", (), {"a": None})
