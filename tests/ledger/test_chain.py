"""The chain of records: what was filed can be read by anyone, and no edit, loss or fork goes unseen."""

import re
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from packet.document import sealed
from packet.ledger import records, store
from packet.ledger.check import check_records
from packet.ledger.records import Filed, Unreadable, compose, parse, read_records
from packet.ledger.state import UnreadableRecordsError, ledger
from packet.shop.records import Registers


def kinds(shop: Path) -> list[tuple[str, str]]:
    return [(item.file, item.kind) for item in check_records(shop) if not item.settled]


@pytest.fixture
def three(tmp_path: Path, append: Callable[..., Any]) -> Path:
    for number in (1, 2, 3):
        append("job", f"HP-{number}", date="2026-11-26", note=f"note {number}")
    return tmp_path


def test_a_record_is_readable_yaml_and_names_the_digest_of_the_one_before(three: Path) -> None:
    first, second, third = read_records(three).filed
    assert (first.previous, second.previous, third.previous) == ((), (first.digest,), (second.digest,))
    raw = yaml.safe_load((three / "filed" / "000002-HP-2.json").read_text())
    assert raw["note"] == "note 2"
    assert raw["previous"] == [first.digest]
    assert raw["digest"] == second.digest == second.found_digest
    assert check_records(three) == ()


@pytest.mark.parametrize("name", ["000001-HP-1.json", "000002-HP-2.json", "000003-HP-3.json"])
def test_an_edit_is_seen_in_the_file_that_was_edited_even_the_newest(three: Path, name: str) -> None:
    path = three / "filed" / name
    path.write_text(path.read_text().replace('"note": "note', '"note": "nota'))
    assert kinds(three) == [(name, "edited")]


@pytest.mark.parametrize(
    ("name", "seen_in"),
    [
        ("000001-HP-1.json", "000002-HP-2.json"),
        ("000002-HP-2.json", "000003-HP-3.json"),
        ("000003-HP-3.json", ".filed"),
    ],
)
def test_a_loss_is_seen_even_of_the_newest_and_nothing_more_is_filed_on_it(
    three: Path, name: str, seen_in: str
) -> None:
    (three / "filed" / name).unlink()
    assert (seen_in, "lost") in kinds(three)
    with pytest.raises(store.DamagedRecordsError, match="missing"), store.writing(three) as writer:
        writer.append("job", "HP-4", {"date": "2026-11-27"})


def test_an_edit_with_a_fresh_digest_breaks_the_chain_behind_it(three: Path) -> None:
    old = read_records(three).filed[1]
    body = dict(old.body) | {"note": "rewritten"}
    (three / "filed" / old.name).write_bytes(records.compose(2, "job", "HP-2", old.previous, body))
    assert ("000003-HP-3.json", "lost") in kinds(three)


def fork(shop: Path) -> Path:
    """Two copies of a shop file apart from each other, and the files are brought together, as version control would."""
    other = shop / "other"
    shutil.copytree(shop / "filed", other / "filed")
    for place, job in ((shop, "HP-4"), (other, "HP-5")):
        with store.writing(place) as writer:
            writer.append("job", job, {"date": "2026-11-27"})
    shutil.copy(other / "filed" / "000004-HP-5.json", shop / "filed")
    return shop


def test_a_fork_is_seen_and_a_merge_record_names_both_ends(three: Path) -> None:
    shop = fork(three)
    assert kinds(shop) == [("000004-HP-4.json", "forked")]
    with pytest.raises(store.DamagedRecordsError, match="forked"), store.writing(shop) as writer:
        writer.append("job", "HP-6", {"date": "2026-11-27"})
    with store.writing(shop) as writer:
        merge = writer.merge({"reason": "two laptops"})
    assert len(merge.previous) == 2
    assert kinds(shop) == []
    with store.writing(shop) as writer:
        after = writer.append("job", "HP-6", {"date": "2026-11-27"})
    assert after.previous == (merge.digest,)
    assert (after.seq, kinds(shop)) == (6, [])


def test_the_same_job_filed_on_both_sides_of_a_fork_is_reported_even_when_merged(three: Path) -> None:
    shop = fork(three)
    path = shop / "filed" / "000004-HP-5.json"
    item = read_records(shop).filed[-1]
    path.unlink()
    (shop / "filed" / "000004-HP-1.json").write_bytes(
        records.compose(4, "job", "HP-1", item.previous, {"date": "2026-11-27"})
    )
    with store.writing(shop) as writer:
        writer.merge({"reason": "two laptops"})
    assert kinds(shop) == [("000001-HP-1.json", "twice")]


def test_a_loss_and_an_edit_that_cannot_be_undone_are_settled_by_a_record_that_says_so(three: Path) -> None:
    edited = three / "filed" / "000001-HP-1.json"
    edited.write_text(edited.read_text().replace("note 1", "note l"))
    (three / "filed" / "000003-HP-3.json").unlink()
    found = read_records(three).filed[0].found_digest
    with store.writing(three) as writer:
        writer.merge({"reason": "coffee", "accepts": [found]})
        writer.append("job", "HP-3", {"date": "2026-11-27"})
    assert kinds(three) == []
    assert {item.kind for item in check_records(three)} == {"edited", "lost"}


def test_a_stray_file_is_reported_not_read(three: Path) -> None:
    (three / "filed" / "notes.txt").write_text("call back")
    (three / "filed" / "000009-HP-9.json").write_text("half a rec")
    assert kinds(three) == [("000009-HP-9.json", "unreadable"), ("notes.txt", "unreadable")]


def test_a_copy_without_the_writers_folder_is_as_good(three: Path) -> None:
    shutil.rmtree(three / "filed" / ".writer")
    assert check_records(three) == ()
    with store.writing(three) as writer:
        assert writer.append("job", "HP-4", {"date": "2026-11-27"}).seq == 4
    assert check_records(three) == ()


@pytest.mark.parametrize("subject", ["../HP-1", "", ".hidden", "a b", "a/b"])
def test_a_name_that_would_leave_the_folder_is_refused(tmp_path: Path, subject: str) -> None:
    with store.writing(tmp_path) as writer, pytest.raises(ValueError, match="file name"):
        writer.append("job", subject, {})
    assert read_records(tmp_path).filed == ()


def test_a_correction_stands_in_place_of_what_it_corrects_and_of_its_own_correction(three: Path) -> None:
    def correct(old: Filed, **body: str) -> Filed:
        with store.writing(three) as writer:
            return writer.append("correction", old.subject, {"corrects": old.digest, "of": "job"} | body)

    second = read_records(three).filed[1]
    again = correct(second, date="2026-11-26", note="better")
    final = correct(again, date="2026-11-26", note="best")
    withdrawn = read_records(three).filed[2]
    correct(withdrawn, of="nothing", reason="typed under the wrong number")
    kept = records.standing(read_records(three).filed)
    assert [(item.record.subject, item.record.body["note"]) for item in kept] == [("HP-1", "note 1"), ("HP-2", "best")]
    assert (kept[1].first, kept[1].record, kept[1].corrected) == (second, final, True)


def test_a_body_cannot_write_over_the_head_of_its_record(tmp_path: Path) -> None:
    with store.writing(tmp_path) as writer, pytest.raises(ValueError, match="head"):
        writer.append("job", "HP-1", {"kind": "walk-in"})


COPIES = (
    "000002-HP-2 (conflicted copy 2026-11-27).json",
    "000002-HP-2.sync-conflict-2026.json",
    "000002-HP-2 - Copy.json",
)


@pytest.mark.parametrize("name", COPIES)
def test_a_copy_of_a_record_is_named_and_stops_nobody(three: Path, name: str) -> None:
    shutil.copy(three / "filed" / "000002-HP-2.json", three / "filed" / name)
    (told,) = check_records(three)
    assert (told.file, told.kind) == (name, "copy")
    assert told.remedy == "000002-HP-2.json is there and says the same: take the copy away."
    assert read_records(three).trouble == ""
    with store.writing(three) as writer:
        assert writer.append("job", "HP-4", {"date": "2026-11-27"}).seq == 4
    # of the newest record, too, whose name then is the last of the folder
    shutil.copy(three / "filed" / "000004-HP-4.json", three / "filed" / "000004-HP-4~1.json")
    with store.writing(three) as writer:
        assert writer.append("job", "HP-5", {"date": "2026-11-27"}).seq == 5


def test_what_another_computer_filed_apart_under_the_same_number_is_named_and_can_be_joined(
    three: Path, tmp_path: Path
) -> None:
    """A program that shares folders renames the later of two files: both are records, and both must count."""
    other = tmp_path / "other"
    shutil.copytree(three / "filed", other / "filed")
    shutil.copy(three / ".filed", other / ".filed")
    for shop, job in ((three, "HP-4"), (other, "HP-9")):
        with store.writing(shop) as writer:
            writer.append("job", job, {"date": "2026-11-27"})
    stranger = three / "filed" / "000004-HP-4 (conflicted copy).json"
    shutil.copy(other / "filed" / "000004-HP-9.json", stranger)
    (told,) = check_records(three)
    assert told.kind == "copy"
    assert "If 000004-HP-9.json is not there, give this file that name" in told.remedy
    assert "give this file that name" in read_records(three).trouble
    stranger.rename(three / "filed" / "000004-HP-9.json")  # as it says
    assert kinds(three) == [("000004-HP-4.json", "forked")]
    with store.writing(three) as writer:
        writer.merge({"reason": "two offices filed at once"})
    assert kinds(three) == []


def test_converted_line_ends_are_named_with_what_to_do(three: Path) -> None:
    path = three / "filed" / "000002-HP-2.json"
    whole = path.read_bytes()
    path.write_bytes(whole.replace(b"\n", b"\r\n"))
    assert ("000002-HP-2.json", "line-ends") in kinds(three)
    assert "its line ends were converted" in read_records(three).trouble
    assert "turn its line ends back into LF" in read_records(three).trouble
    path.write_bytes(path.read_bytes().replace(b"\r\n", b"\n"))
    assert path.read_bytes() == whole
    assert kinds(three) == []
    # version control is told to leave them alone
    assert (three / "filed" / ".gitattributes").read_text() == "* -text\n"


BODIES: tuple[tuple[str, Any, str], ...] = (
    ("moves", "C-1", "moves: a list is expected"),
    ("moves", ["C-1"], r"moves\[0\]: named values are expected"),
    ("moves", [{"moved_lb": "1.0"}], r"moves\[0\].cylinder: it is missing"),
    ("moves", [{"cylinder": "C-1", "moved_lb": "NaN"}], r"moves\[0\].moved_lb"),
    ("moves", [{"cylinder": "C-1", "moved_lb": ["1.0"]}], r"moves\[0\].moved_lb: text is expected"),
    ("evacuated", {"C-1": "yes"}, "evacuated: a list is expected"),
    ("tested", ["C-1"], "tested: named values are expected"),
    ("bought", ["C-9"], r"bought\[0\]: named values are expected"),
    ("date", "someday", "date: a date is expected"),
    ("charge_lb", "1E+999999", "charge_lb: a number is expected"),
    ("findings", [{"reason": "x"}], r"findings\[0\].code: it is missing"),
)


@pytest.mark.parametrize(("key", "value", "why"), BODIES)
def test_a_sound_record_that_says_things_otherwise_is_none(key: str, value: Any, why: str) -> None:
    """It ends in its own digest and was written by another program, or by another version of this one."""
    head = {"format": 1, "record": "000001", "kind": "job", "subject": "HP-1", "previous": []}
    found = parse("000001-HP-1.json", sealed(head | {"date": "2026-11-26", key: value}))
    assert isinstance(found, Unreadable)
    assert re.search(why, found.why)
    with pytest.raises(ValueError, match=why):
        compose(1, "job", "HP-1", (), {key: value})


@pytest.mark.parametrize(
    "body",
    [{"moves": [{"cylinder": "C-1"}]}, {"tested": {"C-1": "soon"}}, {"bought": [{"id": "C-9", "spec": "?"}]}],
)
def test_what_a_record_says_and_nobody_can_add_up_is_told_by_its_name(
    tmp_path: Path, registers: Registers, append: Callable[..., Any], body: dict[str, Any]
) -> None:
    append("job", "HP-1", date="2026-11-26", **body)
    with pytest.raises(UnreadableRecordsError, match=r"000001-HP-1\.json is no record"):
        ledger(registers, tmp_path, date(2026, 11, 27))
