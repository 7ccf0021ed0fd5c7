"""The readings form filled in from scan, print and sums, and the scan held against what was typed."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from packet.cli.scans import fill_in
from packet.ledger.records import read_records
from packet.office.file import Filing
from packet.office.find import find_jobs, found_as_text
from packet.office.pages.readings import scan_says
from packet.office.prefill import lay_prefilled, prefilled
from packet.office.scanned import Scanned, scan_of
from packet.press.printed import PrintedBox, PrintRecord, write_record
from packet.press.run import state as run_state
from packet.scan import write as scan_write
from packet.scan.filing import sorted_packet
from packet.scan.model import Address, BoxMark, Mark, PageRead, SortedPage, Source, Written
from packet.shop import text

from .returned import FORM, REVISION, TODAY, hand_in, print_it, registers, typed

HOLDS = ("hold.2.5", "hold.3.9", "hold.8.8")
CHECKS = (
    "step.1.1", "step.1.2", "machine_cleared", "valves_leak_checked", "tags_filled", "cautions_initialled",
    "hold_points_initialled", "cylinders.C-1.not_used", "cylinders.C-2.not_used", "exceptions.leak",
)  # fmt: skip
INITIALS = ("go.air", *HOLDS, "cylinders.C-1.inspected", "cylinders.C-2.inspected")
TICKED = dict.fromkeys((*CHECKS, *INITIALS), "marked") | {
    "cylinders.C-1.not_used": "empty", "cylinders.C-2.not_used": "empty", "exceptions.leak": "empty",
}  # fmt: skip
NUMBERS = {
    "times.start": "08:45",
    "times.end": "10:20",
    "cylinders.C-1.bare_before_gross_lb": "29.5",
    "cylinders.C-1.bare_after_gross_lb": "59.5",
    "cylinders.C-2.bare_before_gross_lb": "27.5",
    "cylinders.C-2.bare_after_gross_lb": "35.4",
    "final.gauge_inHg_vacuum": "11.0",
    "rise.waited_minutes": "10",
}
# the form as it is laid beside the packet: FORM's keys without what was typed, with comments
EMPTY = "\n".join(
    f"{line[: line.index(':') + 1]}  # {number}" if ":" in line and not line.startswith(("#", "job", "rev")) else line
    for number, line in enumerate(FORM.split("\n"))
)


def _box(key: str, page: int = 2) -> PrintedBox:
    kind = "initial" if key in INITIALS else "check"
    return PrintedBox(key, page, kind, 10, 10, 4, 4, f"label of {key}")  # type: ignore[arg-type]


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A print of HP-1041 with its boxes; the form lies in `out`, beside the shop."""
    record = print_it(tmp_path)
    (tmp_path / "printed" / f"HP-1041.{REVISION}.json").unlink()
    work = record.plan["inputs"]["job"]["work"] | {"owner_of_gas": "the grocery", "disposition": "same-owner"}
    job = record.plan["inputs"]["job"] | {"work": work}
    plan = dict(record.plan) | {"inputs": record.plan["inputs"] | {"job": job}}
    write_record(tmp_path, replace(record, plan=plan, boxes=tuple(_box(key) for key in (*CHECKS, *INITIALS))))
    out = tmp_path / "out"
    out.mkdir()
    (out / "HP-1041.readings.yaml").write_text(EMPTY)
    lie(tmp_path)
    return tmp_path


def lie(shop: Path) -> None:
    """The form is remembered as a print leaves it."""
    out = shop / "out"
    form = run_state.of_file(out / "HP-1041.readings.yaml")
    run_state.write_job(out, "HP-1041", run_state.Remembered("tools", REVISION, "", form))


def put(
    shop: Path, marks: Mapping[str, str] = {}, numbers: Mapping[str, str] = NUMBERS, sureness: float = 0.99
) -> None:
    """A scan of the packet's second page as sorting keeps it: what its boxes and combs say."""
    said: dict[str, str] = TICKED | dict(marks)
    seen = tuple(
        BoxMark(key, 2, "initial" if key in INITIALS else "check", f"label of {key}", _mark(mark))
        for key, mark in said.items()
    )
    written = tuple(Written(key, 2, key, "dd.d", value, sureness, "", 1, 1, 9, 9) for key, value in numbers.items())
    page = SortedPage(Address("HP-1041", 2, REVISION), "stack.pdf #2", "aa", 0, 0.0, 150.0, marks=seen, written=written)
    picture = shop / "side.jpg"
    cv2.imwrite(str(picture), np.full((20, 15), 255, np.uint8))
    scans = shop / "out" / "scans"
    path = scan_write.packet_path(scans, "HP-1041", REVISION)
    path.unlink(missing_ok=True)
    scan_write.file_pages(
        path, scan_write.Kept(b"", ()), [(page, PageRead(Source(picture, 1), page, picture, (215.9, 279.4)))]
    )


def _mark(word: str) -> Mark:
    marks: dict[str, Mark] = {"marked": "marked", "empty": "empty", "doubtful": "doubtful"}
    return marks[word]


def scan(shop: Path) -> Scanned:
    found = scan_of(shop, shop / "out" / "scans", "HP-1041", REVISION)
    assert isinstance(found, Scanned)
    return found


def form(shop: Path) -> Path:
    return shop / "out" / "HP-1041.readings.yaml"


def filled(shop: Path) -> dict[str, str]:
    """The form's values by dotted key, as the reader takes them, and the comment behind each."""
    loaded = text.read(form(shop))
    assert loaded.value is not None
    values: dict[str, str] = {}

    def walk(node: text.Node, path: str) -> None:
        if isinstance(node, text.Map):
            for entry in node.entries:
                walk(entry.node, f"{path}{entry.key}.")
        elif isinstance(node, text.Text) and node.value:
            values[path[:-1]] = node.value

    walk(loaded.value, "")
    return values


def line(shop: Path, key: str) -> str:
    return next(item for item in form(shop).read_text().split("\n") if item.strip().startswith(f"{key}:"))


def test_what_is_known_stands_in_the_form_and_says_where_from(shop: Path) -> None:
    put(shop)
    path, said = lay_prefilled(shop / "out", scan(shop))
    assert path == form(shop)
    assert "is filled in" in said
    values = filled(shop)
    assert values | NUMBERS == values
    assert {key: values[key] for key in ("date", "technician", "card", "refrigerant", "gas_owner", "destination")} == {
        "date": "2026-11-26",
        "technician": "A. Sample",
        "card": "U-1234-5",
        "refrigerant": "R-404A",
        "gas_owner": "the grocery",
        "destination": "same-owner",
    }
    # nets and total are sums of what was read
    assert (values["cylinders.C-1.put_in_lb"], values["cylinders.C-2.put_in_lb"]) == ("30.0", "7.9")
    assert values["recovered_lb"] == "37.9"
    assert (values["hold_points_initialled"], values["cautions_initialled"]) == ("yes", "yes")
    assert "3 of 3 holds" in values["filled_in_from"]
    assert "2 of 2 lines ticked" in values["filled_in_from"]
    assert "remarks" not in values
    assert line(shop, "date").endswith("from the print")
    assert line(shop, "start").endswith("from the scan, page 2")
    assert line(shop, "recovered_lb").endswith("sum")
    assert line(shop, "hold_points_initialled").endswith("from the scan, 3 of 3 initialed")


def test_nothing_is_filed_before_a_person_has_put_a_name_under_it(shop: Path) -> None:
    put(shop)
    lay_prefilled(shop / "out", scan(shop))
    words = form(shop).read_text().replace("  technician:  # 58", "  technician: yes  # 58")
    waiting = file(shop, words)
    assert [item.field for item in waiting.problems] == ["confirmed_by"]
    assert waiting.problems[0].line == words[: words.index("confirmed_by:")].count("\n") + 1
    assert file(shop, words.replace("confirmed_by:", "confirmed_by: x", 1)).problems
    done = file(shop, words.replace("confirmed_by:", "confirmed_by: Ada", 1), reasons={"not-initialled": "on the paper", "blank-missing": "on the paper"})  # fmt: skip
    assert done.filed is not None, done
    assert done.filed.body["confirmed_by"] == "Ada"
    assert done.filed.body["scan"]["holds_initialed"] == "3 of 3"


def file(shop: Path, words: str, reasons: Mapping[str, str] | None = None) -> Filing:
    return hand_in(shop, words, scans=shop / "out" / "scans", reasons=reasons)


def test_what_is_not_sure_stays_blank(shop: Path) -> None:
    put(shop, {"hold.3.9": "doubtful", "machine_cleared": "doubtful"}, sureness=0.3)
    lay_prefilled(shop / "out", scan(shop))
    values = filled(shop)
    assert not values.keys() & NUMBERS.keys()
    assert not values.keys() & {"recovered_lb", "hold_points_initialled", "machine_cleared"}


def test_a_hold_that_nobody_initialed_makes_the_answer_no(shop: Path) -> None:
    put(shop, {"hold.3.9": "empty"})
    lay_prefilled(shop / "out", scan(shop))
    assert filled(shop)["hold_points_initialled"] == "no"
    assert line(shop, "hold_points_initialled").endswith("2 of 3 initialed; empty on page 2")


def test_a_form_that_somebody_typed_into_is_kept(shop: Path) -> None:
    form(shop).write_text(EMPTY.replace("remarks:", "remarks: windy"))
    put(shop)
    path, said = lay_prefilled(shop / "out", scan(shop))
    assert (path, "typed into" in said) == (None, True)
    assert form(shop).read_text() == EMPTY.replace("remarks:", "remarks: windy")
    # one that was only filled in beforehand is filled in again from what is known now
    form(shop).write_text(EMPTY)
    lay_prefilled(shop / "out", scan(shop))
    put(shop, numbers={})
    lay_prefilled(shop / "out", scan(shop))
    assert not filled(shop).keys() & NUMBERS.keys()
    assert form(shop).read_text() == prefilled(EMPTY, scan(shop))
    # and is kept as soon as a name stands under it
    form(shop).write_text(form(shop).read_text().replace("confirmed_by:", "confirmed_by: Ada"))
    assert lay_prefilled(shop / "out", scan(shop))[0] is None


def test_a_form_of_another_print_or_none_is_said(shop: Path) -> None:
    put(shop)
    form(shop).write_text(EMPTY.replace(REVISION, "ZZZZ2345"))
    lie(shop)
    assert "of another print" in lay_prefilled(shop / "out", scan(shop))[1]
    form(shop).unlink()
    assert "no readings form" in lay_prefilled(shop / "out", scan(shop))[1]


def test_killed_between_remembering_and_writing_the_form_is_still_blank(shop: Path) -> None:
    put(shop)
    run_state.remember_form(shop / "out", "HP-1041", EMPTY, "whatever was to be written")
    assert lay_prefilled(shop / "out", scan(shop))[0] == form(shop)
    assert filled(shop)["date"] == "2026-11-26"


def test_hold_points_that_the_scan_shows_empty_are_a_question(shop: Path) -> None:
    put(shop, {"hold.3.9": "empty", "hold.8.8": "empty", "go.air": "empty"})
    asked = file(shop, FORM)
    assert {item.code for item in asked.unanswered} >= {"scan-holds", "scan-cautions"}
    told = next(item for item in asked.unanswered if item.code == "scan-holds")
    assert "'hold_points_initialled' says yes; hold points not initialed on the scan (2)" in told.message
    assert "page 2, “label of hold.3.9”" in told.message
    # said so in the form, it is the usual question, not one of the scan's
    no = typed(hold_points_initialled="hold_points_initialled: no", cautions_initialled="cautions_initialled: no")
    assert "scan-holds" not in {item.code for item in file(shop, no).unanswered}


def test_a_number_typed_otherwise_than_the_scan_surely_reads_is_a_question_and_stays_told(shop: Path) -> None:
    put(shop, numbers=NUMBERS | {"final.gauge_inHg_vacuum": "12.0", "times.start": "08:40"})
    asked = file(shop, FORM)
    assert [item.code for item in asked.unanswered] == ["scan-differs"]
    assert "final.gauge_inHg_vacuum: 11 typed, 12.0 read on page 2" in asked.unanswered[0].message
    done = file(shop, FORM, reasons={"scan-differs": "looked at the paper, it says 11"})
    assert done.filed is not None
    (counts,) = read_records(shop).filed
    assert [row.label for row in scan_says(counts.body)] == ["times.start", "final.gauge_inHg_vacuum"]
    found = found_as_text(find_jobs(registers(), shop, "HP-1041", today=TODAY))
    assert "final.gauge_inHg_vacuum: typed 11; the scan, page 2: 12.0" in found


def test_a_tick_on_the_scan_that_was_not_typed_is_a_question(shop: Path) -> None:
    put(shop, {"exceptions.leak": "marked", "tags_filled": "empty"})
    (told,) = file(shop, FORM).unanswered
    assert "exceptions.leak: nothing typed, marked read on page 2" in told.message
    assert "tags_filled: yes typed, empty read on page 2" in told.message


def test_a_form_that_agrees_with_its_scan_is_filed_without_a_question(shop: Path) -> None:
    put(shop)
    done = file(shop, FORM)
    assert done.filed is not None, done.unanswered
    assert done.filed.body["scan"]["differs"] == []


def test_a_kept_scan_that_cannot_be_read_is_said_and_holds_nothing_up(shop: Path) -> None:
    put(shop)
    scan_write.packet_path(shop / "out" / "scans", "HP-1041", REVISION).write_bytes(b"%PDF-1.7 torn")
    done = file(shop, FORM)
    assert done.filed is not None
    assert [item.code for item in done.findings] == ["scan-not-compared"]


def test_the_record_page_and_find_say_nothing_where_nothing_differs(shop: Path) -> None:
    put(shop)
    done = file(shop, FORM)
    assert done.filed is not None
    assert scan_says(done.filed.body) == ()


def test_without_a_scan_nothing_is_compared(shop: Path) -> None:
    assert scan_of(shop, shop / "out" / "scans", "HP-1041", REVISION) is None
    assert file(shop, FORM).filed is not None


def test_of_an_older_print_nothing_is_compared(shop: Path) -> None:
    put(shop)
    record: PrintRecord = print_it(shop, revision="BBBB2345", hour=9)
    assert record.revision == "BBBB2345"
    assert scan_of(shop, shop / "out" / "scans", "HP-1041", "BBBB2345") is None


def test_sorting_fills_in_the_form_of_the_newest_print(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(shop)
    found = sorted_packet(shop, shop / "out" / "scans", "HP-1041")
    assert found is not None
    fill_in([found[0], replace(found[0], superseded_by="BBBB2345")], shop, shop / "out")
    assert capsys.readouterr().out.count("is filled in as far as it is sure") == 1
    assert filled(shop)["recovered_lb"] == "37.9"


def test_the_form_of_a_filed_job_is_left_alone(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(shop)
    assert file(shop, FORM).filed is not None
    found = sorted_packet(shop, shop / "out" / "scans", "HP-1041")
    assert found is not None
    capsys.readouterr()
    fill_in([found[0]], shop, shop / "out")
    told = capsys.readouterr().out
    assert "HP-1041 is filed in 000001-HP-1041.json: its form is left alone." in told
    assert "file it" not in told


def test_a_scan_that_has_empty_what_is_filed_as_initialed_is_told(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(shop)
    assert file(shop, FORM).filed is not None
    hold = next(key for key in INITIALS if key.startswith("hold."))
    put(shop, {hold: "empty"})  # a page scanned again, and made to count
    found = sorted_packet(shop, shop / "out" / "scans", "HP-1041")
    assert found is not None
    capsys.readouterr()
    fill_in([found[0]], shop, shop / "out")
    told = capsys.readouterr().out
    assert "'hold_points_initialled: yes' is filed; on the scan, " in told
    assert "initialed (page 2). Look at the paper; if it is so, file a correction." in told
    assert "cautions_initialled" not in told
