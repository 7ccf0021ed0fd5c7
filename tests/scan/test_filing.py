"""Stacks become packets: in page order, added to, never overwritten; what is missing or odd is said."""

import io
import shutil
import stat
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
import yaml
import zxingcpp

from packet.scan import write as scan_write
from packet.scan.model import Address, BoxMark, SortedPage, SortReport
from packet.scan.report import report_text
from packet.scan.sort import sort
from tests.scan import paper, scanner, stack

MILD = scanner.Wear(noise=2, jpeg_quality=90)


class Desk:
    """A shop that has printed HP-1041 twice and HP-1042 once, and a scanner."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.shop = folder / "shop"
        self.scans = folder / "out" / "scans"
        made = (
            paper.print_job(self.shop, "HP-1041", "ABCDEFG2", hour=6),
            paper.print_job(self.shop, "HP-1041", "QRSTUVW3", replaces="ABCDEFG2", hour=8, changed=paper.SHEETS),
            paper.print_job(self.shop, "HP-1042", "MNOPQRS4"),
        )
        self.records = {(record.job, record.revision): record for record in made}
        self.record = made[-1]

    def scan(self, page: int, job: str = "HP-1042", revision: str = "MNOPQRS4", seed: int = 0) -> Path:
        """A scanned page; another seed is another time that it was filled in and scanned."""
        record = self.records[job, revision]
        rng = np.random.default_rng([seed, page])
        return stack.scan_page(self.folder, record, page, MILD, rng).path

    def sort(self, *paths: Path, workers: int = 1) -> SortReport:
        return sort(paths, self.shop, self.folder / "out", paper.RECORDS_URL, workers=workers)

    def files(self) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in self.scans.rglob("*") if path.is_file()}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def kinds(report: SortReport) -> list[str]:
    return [item.kind for item in report.problems if item.kind not in {"unticked", "doubtful"}]


def codes_in(path: Path) -> list[str]:
    """What the codes on the pages of a filed packet say, page by page, by the code library alone."""
    found = []
    document = pypdfium2.PdfDocument(path)
    for page in document:
        picture = page.render(scale=150 / 72, grayscale=True).to_numpy()
        code = zxingcpp.read_barcodes(np.ascontiguousarray(picture.reshape(picture.shape[:2])))[0]
        found.append(code.text.split("/")[-2] + " " + code.text.split("?p=")[1].split("&")[0])
        page.close()
    document.close()
    return found


def test_pages_are_filed_in_order_and_missing_ones_told(desk: Desk) -> None:
    report = desk.sort(*(desk.scan(page) for page in (6, 3, 1, 7)))
    (packet,) = report.filed
    assert packet.path == desk.scans / "HP-1042.MNOPQRS4.pdf"
    assert codes_in(packet.path) == ["HP-1042 1", "HP-1042 3", "HP-1042 6", "HP-1042 7"]
    assert packet.missing == (2, 4, 5, 8, 9)
    assert kinds(report) == ["missing-pages"]
    assert "HP-1042: missing pages of revision MNOPQRS4: 2 (Hookup vapor), 4 (Steps)" in report_text(report)


def test_a_second_stack_adds_and_the_same_stack_changes_nothing(desk: Desk) -> None:
    first = [desk.scan(page) for page in (1, 3, 7)]
    desk.sort(*first)
    second = [desk.scan(page) for page in (2, 9)]
    report = desk.sort(*second)
    assert codes_in(report.filed[0].path) == [f"HP-1042 {page}" for page in (1, 2, 3, 7, 9)]
    assert report.filed[0].added == 2
    before = desk.files()
    again = desk.sort(*first, *second)
    assert desk.files() == before
    assert again.already_there == 5
    assert kinds(again) == ["missing-pages"]
    assert "5 pages were filed before." in report_text(again)


def test_another_scan_of_a_filed_page_is_kept_behind_it_and_told(desk: Desk) -> None:
    desk.sort(desk.scan(6), desk.scan(7))
    report = desk.sort(desk.scan(6, seed=1))
    assert codes_in(report.filed[0].path) == ["HP-1042 6", "HP-1042 6", "HP-1042 7"]
    assert "scanned-again" in kinds(report)
    assert "page 6 was scanned again" in report_text(report)


def test_where_two_scans_disagree_the_box_is_doubtful() -> None:
    def page(mark: BoxMark) -> SortedPage:
        return SortedPage(Address("HP-1042", 1, "MNOPQRS4"), "a #1", mark.mark, 0, 0.0, 150.0, marks=(mark,))

    ticked = BoxMark("go.1", 1, "initial", "Go", "marked", 2.0)
    empty = replace(ticked, mark="empty", ink_mm2=0.0)
    assert scan_write.ticks_of([page(ticked), page(ticked)]) == (ticked,)
    (either,) = scan_write.ticks_of([page(ticked), page(empty)])
    assert (either.mark, either.why) == ("doubtful", "its scans differ")


def test_an_old_revision_is_filed_apart_and_told(desk: Desk) -> None:
    report = desk.sort(desk.scan(6, "HP-1041", "ABCDEFG2"), desk.scan(7, "HP-1041", "QRSTUVW3"))
    assert sorted(path.name for path in desk.scans.glob("*.pdf")) == ["HP-1041.ABCDEFG2.pdf", "HP-1041.QRSTUVW3.pdf"]
    assert [packet.superseded_by for packet in report.filed] == ["QRSTUVW3", ""]
    assert kinds(report) == ["old-revision", "missing-pages"]
    assert "HP-1041: pages 6 are of revision ABCDEFG2, which QRSTUVW3 has replaced." in report_text(report)


def test_pages_without_a_job_are_kept_numbered_and_once(desk: Desk) -> None:
    note = np.full((1650, 1275), 240, np.uint8)
    cv2.putText(note, "receipt 4711", (200, 400), cv2.FONT_HERSHEY_SIMPLEX, 3, 0, 8)
    blank = np.full((1650, 1275), 240, np.uint8)
    stranger = paper.draw_page(desk.record, 7, "https://elsewhere.example.org")
    never_printed = replace(desk.record, job="HP-7777")
    other_print = replace(desk.record, revision="ZZZZZZZ2")
    pictures = {
        "note": note,
        "blank": blank,
        "stranger": stranger,
        "never": paper.draw_page(never_printed, 7),
        "other": paper.draw_page(other_print, 7),
        "beyond": paper.draw_page(replace(never_printed, job="HP-1042", pages=("x",) * 40), 40),
    }
    paths = []
    for name, picture in pictures.items():
        paths.append(desk.folder / f"{name}.png")
        cv2.imwrite(str(paths[-1]), picture)
    report = desk.sort(*paths)
    assert kinds(report) == [
        "no-code", "foreign-code", "unknown-job", "unknown-revision", "no-such-page", "blank",
    ]  # fmt: skip
    assert report.filed == ()
    kept = sorted(path.name for path in (desk.scans / "unsorted").iterdir())
    assert [name[:5] for name in kept] == ["0001-", "0002-", "0003-", "0004-", "0005-", "0006-"]
    assert "note.png #1: no code could be read; kept as 0001-" in report_text(report)
    desk.sort(*reversed(paths))
    assert sorted(path.name for path in (desk.scans / "unsorted").iterdir()) == kept


def test_two_pages_in_one_picture_are_not_sorted(desk: Desk) -> None:
    record = desk.record
    both = np.hstack([paper.draw_page(record, 6), paper.draw_page(record, 7)])
    cv2.imwrite(str(desk.folder / "both.png"), both)
    report = desk.sort(desk.folder / "both.png")
    assert kinds(report) == ["two-codes"]
    assert report.filed == ()


def test_ticks_are_written_beside_the_packet(desk: Desk) -> None:
    report = desk.sort(desk.scan(8))
    written = yaml.safe_load((desk.scans / "HP-1042.MNOPQRS4.ticks.yaml").read_text("utf-8"))
    assert (written["job"], written["revision"], written["superseded_by"]) == ("HP-1042", "MNOPQRS4", "")
    assert written["missing_pages"] == [1, 2, 3, 4, 5, 6, 7, 9]
    assert [page["sheet"] for page in written["pages"]] == ["Record"]
    assert {box["key"]: box["mark"] for box in written["boxes"]} == {
        mark.key: mark.mark for mark in report.filed[0].ticks
    }
    holds = [mark.key for mark in report.filed[0].ticks if mark.kind == "initial" and mark.mark == "empty"]
    assert written["unticked_hold_points"] == holds


def test_unticked_hold_points_are_listed_by_their_words(desk: Desk) -> None:
    record = desk.record
    made = stack.scan_page(desk.folder, record, 4, MILD, np.random.default_rng(0), clean=True)
    report = desk.sort(made.path)
    assert [mark.key for mark in report.filed[0].unticked_holds] == [f"p4.hold.{row}" for row in range(4)]
    assert "HP-1042, page 4, not initialed: “Hold point 2”" in report_text(report)
    assert len(report.filed[0].unticked_checks) == 14


def test_a_crash_between_packet_and_ticks_heals(desk: Desk) -> None:
    paths = [desk.scan(page) for page in (6, 8)]
    desk.sort(*paths)
    whole = desk.files()
    (desk.scans / "HP-1042.MNOPQRS4.ticks.yaml").unlink()
    desk.sort(*paths)
    assert desk.files() == whole


def test_a_full_disk_leaves_the_packet_as_it_was(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    desk.sort(desk.scan(6))
    before = desk.files()

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("packet.shop.whole.os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        desk.sort(desk.scan(7))
    assert desk.files() == before


def test_a_packet_that_cannot_be_read_is_left_alone_and_its_pages_wait(desk: Desk) -> None:
    desk.sort(desk.scan(6))
    path = desk.scans / "HP-1042.MNOPQRS4.pdf"
    path.write_bytes(b"%PDF-1.7 broken")
    report = desk.sort(desk.scan(7))
    assert kinds(report) == ["kept-scan-unreadable"]
    assert path.read_bytes() == b"%PDF-1.7 broken"
    assert len(list((desk.scans / "unsorted").iterdir())) == 1
    assert report_text(report).count("HP-1042.MNOPQRS4.pdf cannot be read") == 1


def test_another_print_record_that_cannot_be_read_is_told_and_stops_nothing(desk: Desk) -> None:
    page = desk.scan(6, "HP-1041", "QRSTUVW3")
    (desk.shop / "printed" / "HP-1041.ABCDEFG2.yaml").write_text("job: [", "utf-8")
    report = desk.sort(page)
    assert codes_in(desk.scans / "HP-1041.QRSTUVW3.pdf") == ["HP-1041 6"]
    assert kinds(report) == ["newest-unknown", "missing-pages"]


def test_a_page_whose_print_record_cannot_be_read_is_kept(desk: Desk) -> None:
    page = desk.scan(6)
    (desk.shop / "printed" / "HP-1042.MNOPQRS4.json").write_text("job: HP-1042", "utf-8")
    report = desk.sort(page)
    assert kinds(report) == ["printed-unreadable"]
    assert report.loose[0].kept_as is not None


def test_many_workers_find_what_one_finds(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("packet.scan.sort.PAGES_WORTH_A_WORKER", 1)
    paths = [desk.scan(page) for page in (1, 6, 7)]
    one = desk.sort(*paths)
    shutil.move(desk.scans, desk.folder / "one")
    assert desk.sort(*paths, workers=2) == one


def _sort_in_a_process(folder: Path, page: Path) -> None:
    sort([page], folder / "shop", folder / "out", paper.RECORDS_URL)


def test_two_people_sorting_at_once_lose_nothing(desk: Desk) -> None:
    pages = [desk.scan(page) for page in (6, 7, 8, 9)]
    context = get_context("spawn")
    people = [context.Process(target=_sort_in_a_process, args=(desk.folder, page)) for page in pages]
    for person in people:
        person.start()
    for person in people:
        person.join()
    assert [person.exitcode for person in people] == [0] * 4
    assert codes_in(desk.scans / "HP-1042.MNOPQRS4.pdf") == [f"HP-1042 {page}" for page in (6, 7, 8, 9)]


def test_files_of_the_packet_can_be_read_by_others(desk: Desk) -> None:
    desk.sort(desk.scan(6))
    for name in ("HP-1042.MNOPQRS4.pdf", "HP-1042.MNOPQRS4.ticks.yaml"):
        assert (desk.scans / name).stat().st_mode & stat.S_IRUSR
    assert (desk.scans / "HP-1042.MNOPQRS4.pdf").stat().st_size < 400_000


def test_an_interruption_while_the_packet_is_handed_out_is_not_swallowed(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The library calls back from C, where Python drops an exception: what was filed before must stay as it was."""
    desk.sort(desk.scan(3))
    before = desk.files()

    class Interrupted(io.BytesIO):
        def write(self, data: object) -> int:  # noqa: ARG002
            raise KeyboardInterrupt

    monkeypatch.setattr(io, "BytesIO", Interrupted)
    with pytest.raises(KeyboardInterrupt):
        desk.sort(desk.scan(6))
    monkeypatch.undo()
    assert desk.files() == before
    assert [page.address.page for page in desk.sort(desk.scan(6)).filed[0].pages] == [3, 6]
