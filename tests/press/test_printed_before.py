"""Print records of the time before they were documents are read; the order of a job's prints is what replaced what."""

import shutil
import time
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from packet.press.printed import (
    FORMAT,
    PrintRecord,
    PrintRecordError,
    newest_record,
    read_record,
    record_bytes,
    records_of,
    write_record,
)

BEFORE = Path(__file__).parents[1] / "before"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    shutil.copytree(BEFORE / "printed", tmp_path / "printed")
    return tmp_path


def test_prints_of_before_are_in_the_order_in_which_they_replaced_each_other(shop: Path) -> None:
    """Each was printed at an earlier hour than the one it replaced: the clock had been set back."""
    found = records_of(shop, "HP-1041")
    assert [(item.revision, item.number) for item in found] == [("AAAA2222", 1), ("BBBB3333", 2), ("AAAA2222", 3)]
    assert [item.printed_at.hour for item in found] == [9, 8, 7]
    assert found[1].pages == ("Front", "Fill C-118", "Record")
    assert found[1].boxes[0].label == "Say: “yes” — it's 50 % {odd}"
    assert found[1].facts == (("Stop weight C-118", "61.4 lb"), ("Method", "push-pull"))


def test_a_new_print_follows_whatever_the_clock_says(shop: Path) -> None:
    newest = newest_record(shop, "HP-1041")
    assert newest is not None
    fresh = replace(
        newest, revision="DDDD5555", replaces="AAAA2222", number=0, printed_at=datetime(2001, 1, 1, tzinfo=UTC)
    )
    path = write_record(shop, fresh)
    assert path.name == "HP-1041.DDDD5555.json"
    assert newest_record(shop, "HP-1041") == replace(fresh, number=4)
    again = write_record(shop, replace(fresh, revision="BBBB3333", replaces="DDDD5555"))
    assert again.name == "HP-1041.BBBB3333.2.json"
    assert [item.revision for item in records_of(shop, "HP-1041")][-2:] == ["DDDD5555", "BBBB3333"]


def test_a_number_with_a_hundred_thousand_parts_is_a_text(tmp_path: Path) -> None:
    path, begun = tmp_path / "HP-1.AAAA2222.yaml", time.process_time()
    path.write_bytes(b"pages: []\njob: " + b":".join([b"1"] * 200_000) + b"\n")
    with pytest.raises(PrintRecordError, match="revision"):
        read_record(path)
    assert time.process_time() - begun < 5.0


def test_amounts_that_are_none_multiply_nothing(shop: Path) -> None:
    path = shop / "printed" / "HP-1041.BBBB3333.yaml"
    text = path.read_text("utf-8")
    for old, new in (("to_recover_lb: 22.0", "to_recover_lb: 99999999999999"), ("0.9468740723750002", "abc")):
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, "utf-8")
    assert read_record(path).plan["t_co2e"] is None


def test_a_time_of_no_place_cannot_be_put_in_an_order(shop: Path) -> None:
    path = shop / "printed" / "HP-1041.BBBB3333.yaml"
    path.write_text(path.read_text("utf-8").replace("-05:00'", "'"), "utf-8")
    with pytest.raises(PrintRecordError, match="printed_at: a date with a time is expected"):
        records_of(shop, "HP-1041")


def test_a_print_that_lost_its_link_is_still_read(shop: Path) -> None:
    (shop / "printed" / "HP-1041.BBBB3333.yaml").unlink()
    assert len(records_of(shop, "HP-1041")) == 2


def test_a_stopped_print_of_before_is_one(shop: Path) -> None:
    (stopped,) = records_of(shop, "HP-1042")
    assert not stopped.may_go_out
    assert all(item.may_go_out for item in records_of(shop, "HP-1041"))


def record(shop: Path) -> PrintRecord:
    return records_of(shop, "HP-1042")[0]


def test_a_record_says_its_format_and_an_unknown_one_is_refused_by_name(shop: Path) -> None:
    path = shop / "printed" / "HP-1.AAAA2222.json"
    content = record_bytes(record(shop))
    assert content.startswith(f'{{\n "format": {FORMAT},\n'.encode())
    path.write_bytes(content)
    assert read_record(path) == record(shop)
    from packet.document import sealed, unsealed

    path.write_bytes(sealed(unsealed(content).data | {"format": 7}))
    with pytest.raises(PrintRecordError, match="format 7 is not known"):
        read_record(path)


def test_a_record_changed_by_hand_is_refused(shop: Path) -> None:
    path = shop / "printed" / "HP-1.AAAA2222.json"
    content = record_bytes(record(shop))
    path.write_bytes(content.replace(b'"DO NOT DISPATCH"', b'"DO DISPATCH"'))
    with pytest.raises(PrintRecordError, match="changed after the print"):
        read_record(path)


def test_a_record_under_another_name_is_refused(shop: Path) -> None:
    (shop / "printed" / "HP-9.AAAA2222.json").write_bytes(record_bytes(record(shop)))
    with pytest.raises(PrintRecordError, match="it is about HP-1042 CCCC4444"):
        records_of(shop, "HP-9")


@pytest.mark.parametrize("suffix", ["json", "yaml"])
@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x00" * 100,
        b"\xff\xfe",
        b"[" * 100_000,
        b"{" * 5000,
        b"a: &a [x]\nb: [*a, *a]\npages: []\n",
        b"job: 2026-11-26\n",
        b"1e999",
        b"!!python/object/apply:os.system [true]",
        b"pages: 7\n",
        b"pages: [{sheet: 3}]\nplan: {evacuation: 1}\n",
        b"a: !!bool x\n",
        b"a: !!timestamp x\n",
        b"a: !!int ''\n",
        b"a: !!float ''\n",
        b"a: " + b":".join([b"1"] * 300) + b".0\n",
        b"a: &a {b: 1}\nb: &b {<<: [*a, *a]}\nc: {<<: [*b, *b]}\n",
    ],
)
def test_garbage_is_told_by_the_name_of_its_file(tmp_path: Path, suffix: str, content: bytes) -> None:
    path = tmp_path / f"HP-1.AAAA2222.{suffix}"
    path.write_bytes(content)
    with pytest.raises(PrintRecordError, match=f"AAAA2222.{suffix}' is no print record"):
        read_record(path)


def test_what_is_no_file_or_too_long_is_told(tmp_path: Path) -> None:
    import os

    folder, pipe, long = (tmp_path / f"HP-{number}.AAAA2222.json" for number in (1, 2, 3))
    folder.mkdir()
    os.mkfifo(pipe)
    with long.open("wb") as file:
        file.truncate(2_500_000_000)
    for path, why in ((folder, "it is no file"), (pipe, "it is no file"), (long, "2500000000 bytes")):
        with pytest.raises(PrintRecordError, match=why):
            read_record(path)


def test_a_print_record_has_the_rights_of_every_other_file(shop: Path) -> None:
    import os
    import stat

    before = os.umask(0o007)
    try:
        path = write_record(shop, replace(record(shop), job="HP-7", revision="AAAA2222"))
    finally:
        os.umask(before)
    assert stat.S_IMODE(path.stat().st_mode) == 0o660


def test_a_drive_without_hard_links_takes_print_records(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import errno
    import os

    def link(*args: object, **kwargs: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", link)
    assert write_record(shop, replace(record(shop), job="HP-7", revision="AAAA2222")).is_file()
