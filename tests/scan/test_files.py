"""Scans come as PDFs, TIFFs and pictures, in gray and in color, and some are no scans at all."""

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt
import pytest

from packet.press.code import Stamp
from packet.press.marks import CORNERS, qr_area
from packet.scan import image as scan_image
from packet.scan import page as scan_page
from packet.scan import sort as scan_sort
from packet.scan.address import printed_names
from packet.scan.model import LoosePage, SortReport, Source
from packet.scan.page import Desk, read_page
from packet.scan.report import ORDER, SENTENCES, report_text
from packet.scan.restore import Reading, code_sizes, listed, matched, readings
from packet.scan.sort import ScanLibrariesMissing, sort
from tests.scan import paper, pen, scanner

Picture = npt.NDArray[np.uint8]


@pytest.fixture
def pages(tmp_path: Path) -> list[Picture]:
    """Three scanned pages of one job, the second upside down."""
    record = paper.print_job(tmp_path / "shop", "HP-1041", "ABCDEFG2")
    rng = np.random.default_rng(1)
    return [
        scanner.scan(paper.draw_page(record, page), scanner.Wear(quarter_turns=turns, skew_deg=1), rng, paper.PX_PER_MM)
        for page, turns in ((3, 0), (6, 2), (7, 0))
    ]


def _sort(folder: Path, *paths: Path) -> SortReport:
    return sort(paths, folder / "shop", folder / "out", paper.RECORDS_URL)


def test_a_scanners_pdf(tmp_path: Path, pages: list[Picture]) -> None:
    scanner.as_pdf(tmp_path / "stack.pdf", pages, 150)
    report = _sort(tmp_path, tmp_path / "stack.pdf")
    found = {page.address.page: page for page in report.filed[0].pages}
    assert sorted(found) == [3, 6, 7]
    assert [found[page].turned_deg for page in (3, 6, 7)] == [0, 180, 0]
    assert found[6].source == "stack.pdf #2"
    assert report.scanned == 3


def test_a_pdf_at_300_dpi_is_read_at_its_own_resolution(tmp_path: Path, pages: list[Picture]) -> None:
    large = [np.asarray(cv2.resize(page, None, fx=2, fy=2), np.uint8) for page in pages[:1]]
    scanner.as_pdf(tmp_path / "fine.pdf", large, 300)
    (page,) = _sort(tmp_path, tmp_path / "fine.pdf").filed[0].pages
    assert page.dpi == pytest.approx(300, abs=2)


def test_a_tiff_of_many_pages(tmp_path: Path, pages: list[Picture]) -> None:
    cv2.imwritemulti(str(tmp_path / "stack.tif"), pages)
    report = _sort(tmp_path, tmp_path / "stack.tif")
    assert [page.address.page for page in report.filed[0].pages] == [3, 6, 7]
    assert [page.source for page in report.filed[0].pages] == ["stack.tif #1", "stack.tif #2", "stack.tif #3"]


@pytest.fixture
def scribbled(pages: list[Picture]) -> Picture:
    """Ink alone, over both codes of the first page from edge to edge."""
    ink = np.full_like(pages[0], 255)
    for area in (qr_area("letter", corner) for corner in CORNERS):
        for offset in np.arange(1, 19, 1.4):
            line = np.array([(area.x_mm, area.y_mm + offset), (area.x_mm + 20, area.y_mm + offset + 1)])
            pen.draw(ink, line, pen.Pen(1.0, 0.9), 150 / 25.4)
    return ink


def test_ink_of_a_colored_pen_over_the_code_is_seen_through(
    tmp_path: Path, pages: list[Picture], scribbled: Picture
) -> None:
    page, under = pages[0], np.minimum(pages[0], scribbled)
    cv2.imwrite(str(tmp_path / "red.png"), np.dstack([under, under, page]))  # a red pen: bright in red
    cv2.imwrite(str(tmp_path / "gray.png"), under)
    assert _sort(tmp_path, tmp_path / "gray.png").filed == ()
    assert [item.address.page for item in _sort(tmp_path, tmp_path / "red.png").filed[0].pages] == [3]


def test_a_page_is_given_up_after_two_looks(
    tmp_path: Path, pages: list[Picture], scribbled: Picture, monkeypatch: pytest.MonkeyPatch
) -> None:
    under = np.minimum(pages[0], scribbled)
    colors = np.dstack([np.minimum(under, 200), under, under])  # yellowish paper
    looks = []

    def counted(*given: Any) -> Iterator[Reading]:
        looks.append(given)
        return readings(*given)

    monkeypatch.setattr(scan_page, "readings", counted)
    cv2.imwrite(str(tmp_path / "black.png"), colors)
    cv2.imwrite(str(tmp_path / "other.png"), pages[1])
    # what may be a code is also held against the job's pages that the stack lacks, without another look
    assert [page.why for page in _sort(tmp_path, tmp_path / "black.png", tmp_path / "other.png").loose] == ["no-code"]
    assert len(looks) == 2  # as it is, and without the color


@pytest.mark.parametrize(("name", "dimensions"), [("a.jpg", [2, 3]), ("a.png", [3]), ("a.pdf", [3])])
def test_a_file_is_decoded_once_and_a_cameras_twice(
    tmp_path: Path,
    pages: list[Picture],
    scribbled: Picture,
    monkeypatch: pytest.MonkeyPatch,
    *,
    name: str,
    dimensions: list[int],
) -> None:
    under = np.minimum(pages[0], scribbled)
    colors = np.dstack([np.minimum(under, 200), under, under])
    if name.endswith("pdf"):
        scanner.as_pdf(tmp_path / name, [colors], 150)
    else:
        cv2.imwrite(str(tmp_path / name), colors)
    made: list[int] = []
    for function in ("_jpeg", "_picture_file", "_pdf_page"):
        true = getattr(scan_image, function)

        def counted(*given: Any, true: Callable[..., Picture] = true, **named: Any) -> Picture:
            picture = true(*given, **named)
            made.append(picture.ndim)
            return picture

        monkeypatch.setattr(scan_image, function, counted)
    assert [page.why for page in _sort(tmp_path, tmp_path / name).loose] == ["no-code"]
    assert made == dimensions


def test_giving_up_takes_little_more_than_decoding(tmp_path: Path, pages: list[Picture], scribbled: Picture) -> None:
    large = cv2.resize(np.minimum(pages[0], scribbled), (3112, 4032), interpolation=cv2.INTER_CUBIC)  # 12 megapixels
    noise = np.random.default_rng(1).normal(0, 5, (*large.shape, 3))
    camera = np.clip(np.dstack([np.minimum(large, 200), large, large]) + noise, 0, 255).astype(np.uint8)
    path = tmp_path / "camera.jpg"
    cv2.imwrite(str(path), camera)
    names = printed_names(paper.RECORDS_URL, tmp_path / "shop" / "printed")
    desk = Desk(names, tmp_path / "shop" / "printed", tmp_path, code_sizes(names))
    missing = listed(Stamp(paper.RECORDS_URL, "HP-1042", "ABCDEFG2", "letter").address(page) for page in range(1, 10))

    def give_up() -> None:
        read = read_page(Source(path, 1), desk)
        assert isinstance(read.page, LoosePage)
        assert read.unread
        assert matched(read.unread, missing) is None

    # tests/bench/bench_giving_up.py: half a second where decoding takes 0.08; here 4 times as long as that
    assert _least_cpu_s(give_up) < 6 * _least_cpu_s(lambda: cv2.imread(str(path), cv2.IMREAD_COLOR))


def _least_cpu_s(work: Callable[[], object]) -> float:
    took = []
    for _ in range(4):
        started = time.process_time()
        work()
        took.append(time.process_time() - started)
    return min(took)


def test_a_cameras_large_picture_is_brought_to_a_pages_size(tmp_path: Path, pages: list[Picture]) -> None:
    large = cv2.resize(pages[0], None, fx=7600 / pages[0].shape[0], fy=7600 / pages[0].shape[0])
    color = np.dstack([large, large, np.minimum(large, 160)])
    cv2.imwrite(str(tmp_path / "large.jpg"), color)
    loaded = scan_image.load(scan_image.sources(tmp_path / "large.jpg")[0])
    gray, colors = loaded.picture, loaded.in_color()
    assert max(gray.shape) == scan_image.LONGEST_SIDE_PX
    assert colors is not None
    assert max(colors.shape) <= scan_image.LONGEST_SIDE_PX
    assert gray.shape[0] / gray.shape[1] == pytest.approx(colors.shape[0] / colors.shape[1], rel=1e-3)
    assert [item.address.page for item in _sort(tmp_path, tmp_path / "large.jpg").filed[0].pages] == [3]


def test_what_is_no_scan_is_told_with_all_the_rest(tmp_path: Path, pages: list[Picture]) -> None:
    cv2.imwrite(str(tmp_path / "good.png"), pages[0])
    (tmp_path / "words.txt").write_text("not a scan", "utf-8")
    (tmp_path / "half.pdf").write_bytes(b"%PDF-1.7\n1 0 obj")
    (tmp_path / "folder").mkdir()
    report = _sort(tmp_path, *(tmp_path / name for name in ("gone.pdf", "words.txt", "half.pdf", "folder", "good.png")))
    assert [item.kind for item in report.problems][:4] == ["file-missing", *["file-unreadable"] * 3]
    assert [page.address.page for page in report.filed[0].pages] == [3]
    text = report_text(report)
    for name in ("gone.pdf: there is no such file.", "words.txt", "half.pdf", "it is a folder"):
        assert name in text
    assert "Traceback" not in text


def test_without_the_libraries_one_line_says_how_to_get_them(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(scan_sort, "find_spec", lambda name: None if name == "cv2" else object())
    with pytest.raises(ScanLibrariesMissing) as told:
        sort([tmp_path / "a.pdf"], tmp_path, tmp_path, "https://example.com")
    assert str(told.value) == "Reading scans needs libraries that are not installed (cv2): pip install .[scan]"


def test_nothing_but_reading_needs_the_libraries() -> None:
    program = (
        "import sys\n"
        "class Absent:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name.split('.')[0] in {'cv2', 'numpy', 'pypdfium2', 'zxingcpp'}:\n"
        "            raise ModuleNotFoundError(name)\n"
        "sys.meta_path.insert(0, Absent())\n"
        "import packet.scan.report, packet.scan.sort, packet.scan.write\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_every_problem_has_its_sentence_and_its_place() -> None:
    assert set(SENTENCES) == set(ORDER)


def test_an_empty_stack_is_a_report_too(tmp_path: Path) -> None:
    assert report_text(_sort(tmp_path)) == "0 pages scanned.\nNothing to look at.\n"
