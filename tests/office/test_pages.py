"""Record pages: what the code on the paper leads to, as files."""

import re
import shutil
from dataclasses import replace
from datetime import UTC, date, datetime
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, get_args

import pytest

from packet.ledger.records import Filed, Unreadable, compose, parse
from packet.office.pages.model import Known, Page, memory_file, memory_text, remembered
from packet.office.pages.write import refresh
from packet.press.printed import PrintFile, PrintRecord, in_order, write_record
from packet.press.printed_before import document
from packet.shop.records import Shop, Shown
from packet.words import speaking, t

from .returned import plan

SHOP = Shop(
    company="Elm & Sons <Mechanical>",
    phone="555-0100",
    emergency_phone="555-0199",
    records_url="https://records.example.com/r",
    records_show=get_args(Shown),
)
DAY = date(2026, 11, 26)
KNOWN = Known(
    job="HP-1041",
    date="2026-11-26",
    truck="T2",
    start="08:30",
    technician="Dana Fictive",
    site="Corner <Market>",
    address="1 Elm Street",
    appliance="Walk-in cooler",
    refrigerant="R-22",
    cautions=("The room is small.",),
)


def at(day: int, hour: int) -> datetime:
    return datetime(2026, 11, day, hour, tzinfo=UTC)


def printed(revision: str, at: datetime, job: str = "HP-1041", changed: tuple[str, ...] = ()) -> PrintRecord:
    return PrintRecord(
        job=job,
        revision=revision,
        date=DAY,
        printed_at=at,
        replaces="",
        changed=changed,
        paper="letter",
        pages=("Front", "Fill"),
        boxes=(),
        facts=(("Stop weight of C-118", "61.4 lb"),),
        plan=document(plan(refrigerant="R-22", site={"name": "Corner", "address": ""}, t_co2e_per_lb=0.5)),
    )


def filed(seq: int = 1, kind: str = "job", **body: object) -> Filed:
    fields: dict[str, object] = {
        "date": "2026-11-26",
        "technician": "Dana Fictive",
        "times": {"start": "08:45", "end": "10:20"},
        "cylinders": {"C-118": {"bare_before_gross_lb": "30.0", "bare_after_gross_lb": "55.5"}},
        "moves": [{"cylinder": "C-118", "moved_lb": "25.5", "refrigerant": "R-22"}],
    }
    text = compose(seq, kind, "HP-1041", (), fields | body)
    found = parse(f"{seq:06}-HP-1041.json", text)
    assert not isinstance(found, Unreadable)
    return found


class Words(HTMLParser):
    """What a reader without scripts sees, and the addresses of all links."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.seen: list[str] = []
        self.loads: list[str] = []
        self.inside = [""]
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in {"meta", "br"}:
            self.inside.append(tag)
        given = dict(attrs)
        self.links += [given["href"] or ""] if tag == "a" else []
        self.loads += [value or "" for name, value in attrs if name == "src" or (tag == "link" and name == "href")]

    def handle_endtag(self, tag: str) -> None:
        assert self.inside.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.inside[-1] not in {"script", "style"}:
            self.seen.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.seen).split())


def page(out: Path, name: str = "HP-1041/index.html") -> Words:
    return Words((out / "records" / name).read_text("utf-8"))


@pytest.fixture
def shop_folder(tmp_path: Path) -> Path:
    folder = tmp_path / "jobs"
    folder.mkdir()
    return folder


def test_before_the_print_the_page_says_that_there_is_none(shop_folder: Path, tmp_path: Path) -> None:
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY, planned=[KNOWN])
    seen = page(tmp_path)
    assert "Planned, not printed yet" in seen.text
    assert "No packet is printed for this job" in seen.text
    assert "Corner <Market>" in seen.text
    assert seen.loads == []


def test_a_page_is_in_the_language_of_the_paper_that_leads_to_it(shop_folder: Path, tmp_path: Path) -> None:
    write_record(shop_folder, replace(printed("AAAA2222", at(26, 6)), language="es"))
    refresh(SHOP, shop_folder, tmp_path, filed=(filed(),), asof=DAY, planned=[KNOWN])
    text = (tmp_path / "records" / "HP-1041" / "index.html").read_text("utf-8")
    assert '<html lang="es">' in text
    with speaking("es"):
        assert t("Filed readings") in text
        assert t("Filed readings") != "Filed readings"
    # the list of all jobs is the office's
    assert '<html lang="en">' in (tmp_path / "records" / "index.html").read_text("utf-8")


def test_after_the_print_the_current_revision_stands_on_the_page_without_a_script(
    shop_folder: Path, tmp_path: Path
) -> None:
    write_record(shop_folder, printed("AAAA2222", at(26, 6)))
    write_record(shop_folder, printed("BBBB3333", at(26, 7), changed=("Cylinder C-118: stop 61.4 lb",)))
    (tmp_path / "HP-1041.pdf").write_bytes(b"%PDF-1.7 current")
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=date(2026, 11, 25), planned=[KNOWN])
    seen = page(tmp_path)
    assert "The current print is revision BBBB3333 printed 2026-11-26 07:00." in seen.text
    assert "Compare it with the revision at the foot of your sheet" in seen.text
    assert seen.text.index("BBBB3333 –") < seen.text.index("AAAA2222 –")
    assert "Cylinder C-118: stop 61.4 lb" in seen.text
    assert "Stop weight of C-118 61.4 lb" in seen.text
    assert "Printed" in seen.text
    assert "HP-1041.pdf" in seen.links
    assert (tmp_path / "records/HP-1041/HP-1041.pdf").read_bytes() == b"%PDF-1.7 current"


def test_a_planned_job_of_which_nothing_is_new_keeps_its_page_and_reads_no_print(
    shop_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A day of three hundred jobs of which one is printed writes one page."""
    read: list[str] = []
    real = in_order

    def noted(files: tuple[PrintFile, ...]) -> tuple[PrintRecord, ...]:
        read.extend(file.job for file in files)
        return real(files)

    def again(**changes: Any) -> None:
        read.clear()
        asked: dict[str, Any] = {"filed": (), "asof": DAY, "planned": [KNOWN]} | changes
        refresh(SHOP, shop_folder, tmp_path, **asked)

    monkeypatch.setattr("packet.office.pages.write.in_order", noted)
    write_record(shop_folder, printed("AAAA2222", at(26, 6)))
    packet = tmp_path / "HP-1041.pdf"
    packet.write_bytes(b"%PDF-1.7 first")
    again()
    assert read == ["HP-1041"]
    again()
    assert read == []
    packet.unlink()
    packet.write_bytes(b"%PDF-1.7 made again")
    again()
    assert (tmp_path / "records/HP-1041/HP-1041.pdf").read_bytes() == b"%PDF-1.7 made again"
    again(planned=[replace(KNOWN, site="Elsewhere")])
    assert "Elsewhere" in page(tmp_path).text
    again(planned=[replace(KNOWN, site="Elsewhere")], touched=frozenset({"HP-1041"}))
    assert read == ["HP-1041"]


def test_on_the_day_a_printed_job_is_out(shop_folder: Path, tmp_path: Path) -> None:
    write_record(shop_folder, printed("AAAA2222", at(25, 17)))
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=date(2026, 11, 25), planned=[KNOWN])
    assert "Out, not filed yet" not in page(tmp_path).text
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY)
    assert "Out, not filed yet" in page(tmp_path).text


def test_a_stopped_job_offers_no_packet(shop_folder: Path, tmp_path: Path) -> None:
    write_record(shop_folder, printed("AAAA2222", at(25, 17)))
    (tmp_path / "HP-1041.pdf").write_bytes(b"%PDF-1.7 old")
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY, planned=[replace(KNOWN, stops=("C-118 is out of test.",))])
    seen = page(tmp_path)
    assert "Do not dispatch C-118 is out of test." in seen.text
    assert "No print of this job may be used" in seen.text
    assert "The current print is revision" not in seen.text
    assert not [link for link in seen.links if link.endswith(".pdf")]


def test_after_filing_the_readings_and_totals_stand_on_the_page(shop_folder: Path, tmp_path: Path) -> None:
    write_record(shop_folder, printed("AAAA2222", at(25, 17)))
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY, planned=[KNOWN])
    scans = tmp_path / "scans"
    scans.mkdir()
    for name in ("HP-1041.AAAA2222.pdf", "HP-10411.AAAA2222.pdf", "unsorted.pdf"):
        (scans / name).write_bytes(b"%PDF-1.7 " + name.encode())
    refresh(SHOP, shop_folder, tmp_path, filed=[filed()], asof=DAY, touched=frozenset({"HP-1041"}), scans=scans)
    seen = page(tmp_path)
    assert "From record 000001-HP-1041.json." in seen.text
    assert "Cylinder C-118, weights with hoses off Weight BEFORE" in seen.text
    assert "Machine started 08:45" in seen.text
    assert "Into C-118, R-22 25.5 lb" in seen.text
    assert "12.8 t CO₂e" in seen.text  # 25.5 lb at 0.5 t CO2e a pound
    assert [link for link in seen.links if link.startswith("scan")] == ["scan.AAAA2222.pdf"]
    assert (tmp_path / "records/HP-1041/scan.AAAA2222.pdf").read_bytes() == b"%PDF-1.7 HP-1041.AAAA2222.pdf"
    page_of_it = remembered(tmp_path, "HP-1041")
    assert page_of_it is not None
    assert page_of_it.known == replace(KNOWN, state="filed", revision="AAAA2222", prints=1)


def test_a_correction_is_told(shop_folder: Path, tmp_path: Path) -> None:
    first = filed()
    second = filed(2, "correction", of="job", corrects=first.digest, why="typing slip")
    refresh(SHOP, shop_folder, tmp_path, filed=[first, second], asof=DAY, planned=[KNOWN])
    seen = page(tmp_path)
    assert "Filed and corrected" in seen.text
    assert "From record 000002-HP-1041.json, which corrects 000001-HP-1041.json." in seen.text


def test_the_index_lists_by_day_truck_refrigerant_and_state(shop_folder: Path, tmp_path: Path) -> None:
    other = replace(KNOWN, job="HP-9", truck="T1", refrigerant="R-410A", date="2026-10-05")
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY, planned=[KNOWN, other, replace(KNOWN, job="HP-2")])
    front = page(tmp_path, "index.html")
    assert "month-2026-11.html" in front.links
    assert "HP-9/index.html" in front.links
    month = page(tmp_path, "month-2026-11.html")
    assert re.search(r"By truck T2 HP-1041 .* HP-2 .* By refrigerant R-22 HP-1041 .* By state Planned", month.text)
    assert "HP-9" not in month.text
    for link in front.links + month.links:
        assert link.startswith("#") or (tmp_path / "records" / link).is_file()


def test_pages_can_be_made_again_from_the_print_records_alone(shop_folder: Path, tmp_path: Path) -> None:
    write_record(shop_folder, printed("AAAA2222", at(25, 17), job="HP-7.b"))
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY)
    assert "R-22" in page(tmp_path, "HP-7.b/index.html").text


def test_nothing_new_writes_nothing(shop_folder: Path, tmp_path: Path) -> None:
    write_record(shop_folder, printed("AAAA2222", at(25, 17)))
    assert refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY, planned=[KNOWN]).written
    assert refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY, planned=[KNOWN]).written == ()


def test_a_damaged_memory_is_made_again(shop_folder: Path, tmp_path: Path) -> None:
    write_record(shop_folder, printed("AAAA2222", at(25, 17)))
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY, planned=[KNOWN])
    memory = memory_file(tmp_path, "HP-1041")
    whole = memory.read_text("utf-8")
    for damaged in ("", "{", "[]", "{}", whole.replace('"out"', '"lost"')):
        memory.write_text(damaged)
        assert remembered(tmp_path, "HP-1041") is None
        refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY)
        assert remembered(tmp_path, "HP-1041") is not None


def test_a_page_is_light() -> None:
    assert len(memory_text(Page(KNOWN, ("HP-1041",), "0" * 64))) < 1000


STOPPED = ({"code": "cylinder-full", "severity": "stop", "message": "Cylinder C-118 has no room."},)


def stopped_print(revision: str, at: datetime) -> PrintRecord:
    """A DO NOT DISPATCH sheet."""
    made = printed(revision, at)
    return replace(made, plan=dict(made.plan) | {"may_go_out": False, "findings": list(STOPPED)})


def test_a_stopped_jobs_page_keeps_its_stop_and_serves_no_packet(shop_folder: Path, tmp_path: Path) -> None:
    """Printed, then stopped; then a run that does not plan it; then everything under `out` is lost."""
    write_record(shop_folder, printed("AAAA2222", at(26, 6)))
    (tmp_path / "HP-1041.pdf").write_bytes(b"%PDF-1.7 packet")
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY, planned=[KNOWN])
    served = tmp_path / "records" / "HP-1041" / "HP-1041.pdf"
    assert served.is_file()

    write_record(shop_folder, stopped_print("BBBB3333", at(26, 7)))
    (tmp_path / "HP-1041.pdf").write_bytes(b"%PDF-1.7 do not dispatch")
    # as after a run that was killed before it came to the pages: nothing planned, nothing touched
    for _ in range(2):
        refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY)
        seen = page(tmp_path)
        assert "Do not dispatch" in seen.text
        assert "Cylinder C-118 has no room." in seen.text
        assert not any(link.endswith(".pdf") for link in seen.links)
        assert not served.exists()
    shutil.rmtree(tmp_path / "records")
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY)
    assert "Do not dispatch" in page(tmp_path).text


def test_a_print_record_that_cannot_be_read_stops_its_own_page_only(shop_folder: Path, tmp_path: Path) -> None:
    write_record(shop_folder, printed("AAAA2222", at(26, 6)))
    write_record(shop_folder, printed("AAAA2222", at(26, 6), job="HP-1042"))
    (shop_folder / "printed" / "HP-1042.AAAA2222.json").write_bytes(b"{")
    told: list[str] = []
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY, tell=told.append)
    assert page(tmp_path).text
    assert not (tmp_path / "records" / "HP-1042").exists()
    assert len(told) == 1
    assert "HP-1042.AAAA2222.json' is no print record" in told[0]
    assert "move it away and print the job again" in told[0]


@pytest.mark.parametrize("content", [b"", b"[" * 5000, b'{"job": 3}', b"\xff", b"null"])
def test_a_damaged_memory_beside_a_page_is_made_anew(shop_folder: Path, tmp_path: Path, content: bytes) -> None:
    write_record(shop_folder, printed("AAAA2222", at(26, 6)))
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY)
    memory = memory_file(tmp_path, "HP-1041")
    whole = memory.read_bytes()
    memory.write_bytes(content)
    refresh(SHOP, shop_folder, tmp_path, filed=(), asof=DAY)
    assert memory.read_bytes() == whole
