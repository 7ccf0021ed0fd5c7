"""The map of the addresses that printed codes carry."""

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from packet.press.addresses import carried, note, noted
from packet.press.printed import PrintRecord, print_files, printed_folder, write_record

RECORD = PrintRecord(
    job="HP-1041",
    revision="AAAA2222",
    date=date(2026, 11, 26),
    printed_at=datetime(2026, 11, 25, 17, tzinfo=UTC),
    replaces="",
    changed=(),
    paper="letter",
    pages=("Front",),
    boxes=(),
    facts=(),
)


def printed_with(shop: Path, *addresses: str) -> frozenset[str]:
    """What the codes of HP-1041 carry after prints with these addresses."""
    for number, address in enumerate(addresses):
        note(shop, "HP-1041", address)
        write_record(shop, replace(RECORD, revision=f"AAAA222{number + 2}"))
    return carried(noted(printed_folder(shop)), "HP-1041")


def test_without_a_secret_nothing_is_noted(tmp_path: Path) -> None:
    assert printed_with(tmp_path, "HP-1041", "HP-1041") == {"HP-1041"}
    assert not (printed_folder(tmp_path) / "addresses").exists()


def test_first_printed_with_a_secret_the_id_alone_leads_nowhere(tmp_path: Path) -> None:
    assert printed_with(tmp_path, "HP-1041~AAAABBBBCCCC") == {"HP-1041~AAAABBBBCCCC"}


def test_codes_from_before_the_secret_and_from_before_it_changed_still_lead_there(tmp_path: Path) -> None:
    found = printed_with(tmp_path, "HP-1041", "HP-1041~AAAABBBBCCCC", "HP-1041~DDDDEEEEFFFF", "HP-1041~AAAABBBBCCCC")
    assert found == {"HP-1041", "HP-1041~AAAABBBBCCCC", "HP-1041~DDDDEEEEFFFF"}


def test_a_secret_taken_out_again_is_noted_too(tmp_path: Path) -> None:
    assert printed_with(tmp_path, "HP-1041~AAAABBBBCCCC", "HP-1041") == {"HP-1041~AAAABBBBCCCC", "HP-1041"}


def test_a_run_killed_between_the_note_and_the_record_changes_nothing_for_older_paper(tmp_path: Path) -> None:
    printed_with(tmp_path, "HP-1041")
    note(tmp_path, "HP-1041", "HP-1041~AAAABBBBCCCC")  # and no record
    assert carried(noted(printed_folder(tmp_path)), "HP-1041") == {"HP-1041", "HP-1041~AAAABBBBCCCC"}


def test_what_a_killed_writer_left_is_swept_by_the_next(tmp_path: Path) -> None:
    note(tmp_path, "HP-1041", "HP-1041~AAAABBBBCCCC")
    part = printed_folder(tmp_path) / "addresses" / ".HP-1041~DDDDEEEEFFFF.0badc0de.part"
    part.write_bytes(b"HP-10")
    note(tmp_path, "HP-1041", "HP-1041~DDDDEEEEFFFF")
    assert not part.exists()


def test_jobs_with_like_names_are_kept_apart(tmp_path: Path) -> None:
    note(tmp_path, "HP-1", "HP-1~AAAABBBBCCCC")
    note(tmp_path, "HP-1.b", "HP-1.b~DDDDEEEEFFFF")
    assert noted(printed_folder(tmp_path)) == {
        "HP-1": frozenset({"HP-1~AAAABBBBCCCC"}),
        "HP-1.b": frozenset({"HP-1.b~DDDDEEEEFFFF"}),
    }


def test_the_map_is_no_print_record(tmp_path: Path) -> None:
    note(tmp_path, "HP-1041", "HP-1041~AAAABBBBCCCC")
    assert print_files(printed_folder(tmp_path)) == {}
