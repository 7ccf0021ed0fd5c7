"""What a second print says of the first, and what is remembered of each."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from packet.press.html import revision_of, sheet_digests
from packet.press.job import Prepared, prepare
from packet.press.printed import (
    PrintedBox,
    PrintRecord,
    PrintRecordError,
    newest_head,
    newest_record,
    read_record,
    records_of,
    write_record,
)
from packet.sheets.model import Content, Entry, Log
from packet.words import speaking

from .example import content, entries


def remembered(made: Content, hour: int, prepared: Prepared | None = None) -> PrintRecord:
    return PrintRecord(
        job=made.job,
        revision=revision_of(made),
        date=made.on,
        printed_at=datetime.fromisoformat(f"2026-11-26T{hour:02d}:00:00+00:00"),
        replaces=prepared.replaces if prepared else "",
        changed=prepared.changed if prepared else (),
        paper=made.paper,
        pages=("Front", "Log"),
        boxes=(PrintedBox("go.1", 1, "initial", 15.0, 80.5, 17.6, 9.2, "Say: “yes” — it's 50 % {odd}"),),
        facts=tuple((item.label, item.value) for item in made.facts),
        sheets=sheet_digests(made),
    )


def test_first_print_replaces_nothing() -> None:
    made = prepare(content(), None)
    assert (made.replaces, made.changed, made.already_printed) == ("", (), False)
    assert "Replaces" not in made.html


def test_second_print_names_the_first_and_what_changed() -> None:
    first = remembered(content(), 6)
    second = prepare(content(facts=entries(("Method", "push-pull"), ("Truck", "T2")), foot="Other"), first)
    assert second.replaces == first.revision
    assert second.changed == ("Method: now push-pull, was vapor.", "Truck: now T2, was not there.")
    assert f"Replaces revision {first.revision}. Take the old print out of use." in second.html
    assert "Method: now push-pull, was vapor." in second.html


def test_who_prints_a_spanish_packet_in_an_english_shop_is_told_in_english() -> None:
    was, now = entries(("Method", "vapor")), entries(("Method", "push-pull"))
    first = content(facts=entries(("Método", "vapor")), in_english=was, language="es")
    record = replace(remembered(first, 6), language="es", in_english=(("Method", "vapor"),))
    second = content(facts=entries(("Método", "empuje-tracción")), in_english=now, language="es", foot="Other")
    made = prepare(second, record)
    assert made.changed[0] == "Método: ahora empuje-tracción, antes vapor."
    assert made.told[0] == "Method: now push-pull, was vapor."
    with speaking("es"):
        assert prepare(second, record).told == made.changed


def test_sheets_whose_words_changed_are_named() -> None:
    before = content()
    log = next(sheet for sheet in before.sheets if isinstance(sheet, Log))
    after = content(
        sheets=tuple(replace(log, reminder=("Every minute.",)) if sheet is log else sheet for sheet in before.sheets)
    )
    assert prepare(after, remembered(before, 6)).changed == ("Sheets that read differently: Log.",)


def test_the_notice_does_not_number_the_print() -> None:
    made = content(foot="Other")
    assert prepare(made, None).stamp.revision == prepare(made, remembered(content(), 6)).stamp.revision


def test_printed_again_unchanged_it_keeps_its_notice() -> None:
    first, made = remembered(content(), 6), content(foot="Other")
    second = prepare(made, first)
    again = prepare(made, remembered(made, 7, second))
    assert again.already_printed
    assert again.html == second.html


def test_records_are_added_and_read_back(tmp_path: Path) -> None:
    first, other = remembered(content(), 6), remembered(content(foot="Other"), 7)
    path = write_record(tmp_path, first)
    write_record(tmp_path, other)
    assert path == tmp_path / "printed" / f"HP-1041.{first.revision}.json"
    first, other = replace(first, number=1), replace(other, number=2)
    assert read_record(path) == first
    assert records_of(tmp_path, "HP-1041") == (first, other)
    assert newest_record(tmp_path, "HP-1041") == other
    assert newest_record(tmp_path, "HP-104") is None
    assert sorted(item.name for item in (tmp_path / "printed").glob("[!.]*")) == sorted(
        f"HP-1041.{item.revision}.json" for item in (first, other)
    )


def test_going_back_to_an_earlier_revision_is_a_print_of_its_own(tmp_path: Path) -> None:
    first, other = remembered(content(), 6), remembered(content(foot="Other"), 7)
    for record in (first, other):
        write_record(tmp_path, record)
    back = prepare(content(), newest_record(tmp_path, "HP-1041"))
    assert (back.replaces, back.already_printed) == (other.revision, False)
    third = replace(first, printed_at=datetime.fromisoformat("2026-11-26T08:00:00+00:00"), replaces=back.replaces)
    path = write_record(tmp_path, third)
    assert path.name == f"HP-1041.{first.revision}.2.json"
    assert newest_record(tmp_path, "HP-1041") == replace(third, number=3)
    head = newest_head(tmp_path, "HP-1041")
    assert head is not None
    assert (head.revision, head.number, head.pages, head.printed_at) == (
        third.revision,
        3,
        third.pages,
        third.printed_at,
    )
    path.write_bytes(path.read_bytes().replace(b"Front", b"Fronts"))
    with pytest.raises(PrintRecordError, match="changed after the print"):
        newest_head(tmp_path, "HP-1041")
    path.unlink()
    write_record(tmp_path, third)
    assert read_record(tmp_path / "printed" / f"HP-1041.{first.revision}.json") == replace(first, number=1)


@pytest.mark.parametrize("text", ["", "a: [", "job: HP-1\n", "- 1\n", "job: {a: 1}\nboxes: 7\n"])
def test_a_record_that_cannot_be_read_names_its_file(tmp_path: Path, text: str) -> None:
    path = tmp_path / "HP-1.ABCDEFGH.json"
    path.write_text(text)
    with pytest.raises(PrintRecordError, match=r"HP-1\.ABCDEFGH\.json"):
        read_record(path)


def test_gone_facts_are_said() -> None:
    before = remembered(content(facts=(Entry("Stop weight of C-118", "61.4 lb"),)), 6)
    after = prepare(content(facts=(), foot="Other"), before)
    assert after.changed == ("Stop weight of C-118: now gone, was 61.4 lb.",)
