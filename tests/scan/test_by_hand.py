"""What the office says about pages: whose one is, which scan counts; and pages of an older print that still hold."""

from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
import yaml

from packet.press.marks import CORNERS, qr_area
from packet.press.printed import PrintRecord
from packet.scan.filing import unchanged_pages
from packet.scan.model import Address, Filed
from packet.scan.report import report_text
from packet.scan.sort import WrongPage, put_by_hand, sort
from tests.scan import damage, paper, scanner, stack

MILD = scanner.Wear(noise=2, jpeg_quality=90)


@pytest.fixture
def record(tmp_path: Path) -> PrintRecord:
    return paper.print_job(tmp_path / "shop", "HP-1042", "MNOPQRS4")


def scribbled(folder: Path, record: PrintRecord, page: int) -> Path:
    """A scanned page of which neither code can be read."""
    rng = np.random.default_rng(page)
    sheet = paper.draw_page(record, page)
    for corner in CORNERS:
        damage.scribble(sheet, qr_area("letter", corner), rng, paper.PX_PER_MM)
        damage.scribble(sheet, qr_area("letter", corner), rng, paper.PX_PER_MM)
    path = folder / f"scribbled-{page}.png"
    cv2.imwrite(str(path), scanner.scan(sheet, MILD, rng, paper.PX_PER_MM))
    return path


def scanned(folder: Path, record: PrintRecord, page: int, seed: int = 0, *, clean: bool = False) -> Path:
    return stack.scan_page(folder, record, page, MILD, np.random.default_rng([seed, page]), clean=clean).path


def test_a_page_is_put_by_hand_and_its_boxes_are_for_a_person(tmp_path: Path, record: PrintRecord) -> None:
    path = scribbled(tmp_path, record, 4)
    out = tmp_path / "out"
    assert [page.why for page in sort([path], tmp_path / "shop", out, paper.RECORDS_URL).loose] == ["no-code"]
    address = put_by_hand("HP-1042:4", [path], tmp_path / "shop")
    report = sort([path], tmp_path / "shop", out, paper.RECORDS_URL, by_hand=address)
    (packet,) = report.filed
    assert [page.address for page in packet.pages] == [Address("HP-1042", 4, "MNOPQRS4")]
    assert len(packet.ticks) == 18
    assert {(mark.mark, mark.why) for mark in packet.ticks} == {("doubtful", "the page was put here by hand")}


def test_a_page_whose_code_says_otherwise_is_not_put(tmp_path: Path, record: PrintRecord) -> None:
    path = scanned(tmp_path, record, 4)
    address = put_by_hand("HP-1042:7", [path], tmp_path / "shop")
    report = sort([path], tmp_path / "shop", tmp_path / "out", paper.RECORDS_URL, by_hand=address)
    assert report.filed == ()
    assert "its code says that it is HP-1042 MNOPQRS4 p4" in report_text(report)


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("HP-1042", "as in HP-1041:3"),
        ("HP-1042:x", "as in HP-1041:3"),
        ("HP-9:1", "No print of job HP-9"),
        ("HP-1042:10", "pages 1 to 9"),
        ("HP-1042:0", "pages 1 to 9"),
    ],
)
def test_a_page_that_there_is_not_is_told(words: str, why: str, tmp_path: Path, record: PrintRecord) -> None:
    path = scanned(tmp_path, record, 1)
    with pytest.raises(WrongPage, match=why):
        put_by_hand(words, [path], tmp_path / "shop")


def test_the_later_of_two_scans_can_be_declared_to_count(tmp_path: Path, record: PrintRecord) -> None:
    def sorted_packet(*paths: Path, counts: bool = False) -> Filed:
        return sort(paths, tmp_path / "shop", tmp_path / "out", paper.RECORDS_URL, counts=counts).filed[0]

    first, later = scanned(tmp_path, record, 4, clean=True), scanned(tmp_path, record, 4, seed=1)
    sorted_packet(first)
    differing = sorted_packet(later).doubtful
    assert {mark.why for mark in differing} == {"its scans differ"}
    packet = sorted_packet(later, counts=True)  # the scan was filed before; now it counts
    assert [page.set_aside for page in packet.pages] == [True, False]
    assert packet.doubtful == ()
    assert sum(mark.mark == "marked" for mark in packet.ticks) == len(differing)
    kept = yaml.safe_load((tmp_path / "out" / "scans" / "HP-1042.MNOPQRS4.ticks.yaml").read_text("utf-8"))
    assert [page.get("set_aside", False) for page in kept["pages"]] == [True, False]
    assert sorted_packet(later) == replace(packet, added=0)  # and it stays so


def test_unchanged_pages_of_an_older_print_count(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    old = paper.print_job(shop, "HP-1041", "ABCDEFG2")
    new = paper.print_job(shop, "HP-1041", "QRSTUVW3", replaces="ABCDEFG2", hour=8, changed=("Fill",))
    # Fill is page 3; what runs on to its neighbors may have changed with it
    assert unchanged_pages(old, new) == {1, 5, 6, 7, 8, 9}
    sort([scanned(tmp_path, old, page) for page in (1, 3, 8)], shop, tmp_path / "out", paper.RECORDS_URL)
    report = sort([scanned(tmp_path, new, page) for page in (2, 3, 4)], shop, tmp_path / "out", paper.RECORDS_URL)
    (packet,) = report.filed
    assert packet.missing == (5, 6, 7, 9)
    assert {mark.page for mark in packet.ticks} == {1, 2, 4, 8}
    assert "2 unchanged pages of an older print count" in report_text(report).replace("older prints", "an older print")
    again = sort([scanned(tmp_path, old, 9)], shop, tmp_path / "out", paper.RECORDS_URL)
    assert "pages 3 are of revision ABCDEFG2" in report_text(again)
    newest = next(packet for packet in again.filed if packet.revision == "QRSTUVW3")
    assert newest.missing == (5, 6, 7)


def test_blank_backs_are_one_line(tmp_path: Path, record: PrintRecord) -> None:
    paths = []
    for number in range(4):
        paths.append(tmp_path / f"back-{number}.png")
        cv2.imwrite(str(paths[-1]), np.full((1650, 1275 + number), 250, np.uint8))
    report = sort(paths, tmp_path / "shop", tmp_path / "out", paper.RECORDS_URL)
    assert [item.kind for item in report.problems] == ["blank"]
    assert "4 blank, kept unsorted: back-0.png #1, back-1.png #1, back-2.png #1" in report_text(report)
