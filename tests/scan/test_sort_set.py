"""A day's stack as it comes back: worn, skewed, upside down, written on. Issue 6, points 5 and 6, gives the limits."""

from pathlib import Path

import numpy as np

from packet.scan.sort import sort
from tests.scan import paper, scanner, stack

PAGES = 63


def test_worn_pages_find_their_job_and_their_boxes_are_read(tmp_path: Path) -> None:
    shop, scans = tmp_path / "shop", tmp_path / "in"
    scans.mkdir()
    records = [paper.print_job(shop, f"HP-{1041 + n}", paper.REVISIONS[n % 3]) for n in range(PAGES // 9)]
    rng = np.random.default_rng(11)
    made = [
        stack.scan_page(scans, record, page, scanner.some_wear(rng), rng) for record in records for page in range(1, 10)
    ]
    shuffled = [made[number].path for number in rng.permutation(PAGES)]

    report = sort(shuffled, shop, tmp_path / "out", paper.RECORDS_URL)

    result = stack.score(made, report)
    # issue 6: at least 99 % of pages, no page ever to a wrong job, at least 98 % of boxes right
    assert result.wrong_job == 0
    assert result.right >= PAGES - 1
    assert result.boxes > 300
    assert result.boxes_right / result.boxes >= 0.98
    assert result.boxes_wrong <= 0.003 * result.boxes
    assert result.worst_skew_error_deg < 0.15
    assert len(report.filed) == len(records)
    for packet in report.filed:
        pages = [page.address.page for page in packet.pages]
        assert pages == sorted(pages)
