"""Paper from the press itself: its code, squares and borders stand where its print record says, in both sizes."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from packet.press.job import prepare
from packet.press.marks import Paper
from packet.press.pdf import render
from packet.press.printed import PrintRecord, write_record
from packet.scan.sort import sort
from tests.press import example
from tests.scan import paper, scanner, stack


@pytest.mark.parametrize("size", ["letter", "A4"])
def test_a_packet_from_the_press_comes_back(size: Paper, tmp_path: Path) -> None:
    content = replace(example.content(), paper=size)
    prepared = prepare(content, None)
    printed = render(prepared.html, prepared.stamp)
    record = PrintRecord(
        job=content.job,
        revision=printed.revision,
        date=content.on,
        printed_at=datetime(2026, 11, 26, 6, tzinfo=UTC),
        replaces="",
        changed=(),
        paper=size,
        pages=printed.pages,
        boxes=printed.boxes,
        facts=(),
    )
    write_record(tmp_path / "shop", record)
    rng = np.random.default_rng(21)
    made = []
    document = pypdfium2.PdfDocument(printed.pdf)
    for page in range(1, len(record.pages) + 1):
        view = document[page - 1].render(scale=paper.DPI / 72, grayscale=True).to_numpy()
        picture = np.array(view.reshape(view.shape[:2]), np.uint8)
        wear = replace(scanner.some_wear(rng), pen_over_code=0)
        made.append(stack.scan_picture(tmp_path, picture, record, page, wear=wear, rng=rng))
    document.close()

    report = sort([scan.path for scan in reversed(made)], tmp_path / "shop", tmp_path / "out", content.records_url)

    result = stack.score(made, report)
    assert result.right == len(record.pages)
    assert report.filed[0].missing == ()
    assert result.boxes == sum(box.kind != "blank" for box in record.boxes)
    assert result.boxes_wrong == 0
    # a tick whose leg runs straight beyond both sides of its box, and a border under a pen, are left to a person
    assert result.boxes_doubtful <= 2
    fits = [page.fit_mm for page in report.filed[0].pages if page.fit_mm is not None]
    assert max(fits) < 0.5  # the code and the squares alone put every box within half a millimeter
