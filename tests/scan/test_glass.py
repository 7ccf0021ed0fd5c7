"""Dirt on the scanner's glass leaves the same ink at the same place of several pages: never a mark. Common practice."""

from pathlib import Path

import cv2
import numpy as np

from packet.scan.sort import sort
from tests.scan import paper, scanner, stack

STRAIGHT = scanner.Wear(noise=2)


def _hair(path: Path, x_mm: float, y_mm: float) -> None:
    """A bent hair on the glass, over a picture of 150 dpi."""
    picture = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)
    assert picture is not None
    scale = 150 / 25.4
    points = np.array([(x_mm - 1.4, y_mm - 0.4), (x_mm - 0.3, y_mm + 1.2), (x_mm + 1.6, y_mm - 1.5)]) * scale
    cv2.polylines(picture, [np.round(points).astype(np.int32)], False, 60, 3, cv2.LINE_AA)
    cv2.imwrite(str(path), picture)


def _marks(paths: list[Path], shop: Path, out: Path) -> dict[str, tuple[str, str]]:
    report = sort(paths, shop, out, paper.RECORDS_URL)
    return {mark.key: (mark.mark, mark.why) for packet in report.filed for mark in packet.ticks}


def test_a_hair_on_the_glass_is_no_mark_where_other_pages_show_it_too(tmp_path: Path) -> None:
    shop, scans = tmp_path / "shop", tmp_path / "in"
    scans.mkdir()
    record = paper.print_job(shop, "HP-1041", paper.REVISIONS[0])
    rng = np.random.default_rng(5)
    clean = [stack.scan_page(scans, record, page, STRAIGHT, rng, clean=True) for page in (2, 3, 4)]
    box = next(box for box in record.boxes if box.page == 2 and box.kind == "check")
    for page in clean:
        _hair(page.path, box.x_mm + box.w_mm / 2, box.y_mm + box.h_mm / 2)
    paths = [page.path for page in clean]

    alone = _marks(paths[:1], shop, tmp_path / "alone")
    together = _marks(paths, shop, tmp_path / "together")

    assert alone[box.key][0] == "marked", "the hair is not like a tick, so the test proves nothing"
    assert together[box.key][0] == "doubtful"
    assert "glass" in together[box.key][1]


def test_ticks_at_the_same_place_of_several_pages_are_ticks(tmp_path: Path) -> None:
    shop, scans = tmp_path / "shop", tmp_path / "in"
    scans.mkdir()
    record = paper.print_job(shop, "HP-1041", paper.REVISIONS[0])
    rng = np.random.default_rng(6)
    made = [stack.scan_page(scans, record, page, STRAIGHT, rng) for page in range(1, 10)]

    read = _marks([page.path for page in made], shop, tmp_path / "out")

    meant = {key: is_marked for page in made for key, is_marked in page.meant.items()}
    assert sum(meant.values()) > 20
    assert [key for key, is_marked in meant.items() if is_marked and "glass" in read[key][1]] == []
