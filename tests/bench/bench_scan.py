"""How well and how fast a large stack is sorted: `python tests/bench/bench_scan.py [pages] [seed]`.

Packets are set by the press, rendered, filled in with pens of varied weight, worn, scanned at 150 dpi and shuffled.
Printed: pages right, pages at a wrong job (must be 0), boxes right, wrong and doubtful, pages a second a core.
"""

import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from multiprocessing import get_context
from pathlib import Path

import cv2
import numpy as np
import pypdfium2

sys.path.insert(0, str(Path(__file__).parents[2]))

from packet.office.scan_sort import sort
from packet.press.job import prepare
from packet.press.pdf import render
from packet.press.printed import PrintRecord, write_record
from tests.press import example
from tests.scan import paper, scanner, stack

WORKERS = 2


def print_packet(number: int, shop: Path) -> tuple[Path, PrintRecord]:
    """One packet set by the press from the hand-written example, under a job number of its own."""
    content = replace(example.content(), job=f"HP-{2001 + number}")
    prepared = prepare(content, None)
    printed = render(prepared.html, prepared.stamp)
    path = shop.parent / f"{content.job}.pdf"
    path.write_bytes(printed.pdf)
    record = PrintRecord(
        job=content.job,
        revision=printed.revision,
        date=content.on,
        printed_at=datetime(2026, 11, 26, 6, tzinfo=UTC),
        replaces="",
        changed=(),
        paper=content.paper,
        pages=printed.pages,
        boxes=printed.boxes,
        facts=(),
    )
    write_record(shop, record)
    return path, record


def scan_packet(number: int, shop: Path, folder: Path, seed: int) -> list[stack.Scanned]:
    """Print one packet and scan every page of it on a bad day."""
    cv2.setNumThreads(1)
    rng = np.random.default_rng([seed, number])
    path, record = print_packet(number, shop)
    document = pypdfium2.PdfDocument(path)
    made = []
    for page in range(1, len(record.pages) + 1):
        view = document[page - 1].render(scale=paper.DPI / 72, grayscale=True).to_numpy()
        picture = np.array(view.reshape(view.shape[:2]), np.uint8)
        made.append(stack.scan_picture(folder, picture, record, page, wear=scanner.some_wear(rng), rng=rng))
    return made


def main() -> None:
    """Make the stack, sort it with one worker and with two, print the figures."""
    pages = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory() as place:
        shop, folder = Path(place, "shop"), Path(place, "in")
        shop.mkdir()
        folder.mkdir()
        a_packet = len(print_packet(999, shop)[1].pages)
        jobs = -(-pages // a_packet)
        with ProcessPoolExecutor(WORKERS, mp_context=get_context("spawn")) as pool:
            work = partial(scan_packet, shop=shop, folder=folder, seed=seed)
            made = [scan for scans in pool.map(work, range(jobs)) for scan in scans][:pages]
        order = np.random.default_rng(seed).permutation(len(made))
        paths = [made[number].path for number in order]
        print(f"{len(made)} pages of {jobs} jobs")

        few = paths[:100]
        started, cpu = time.perf_counter(), time.process_time()
        sort(few, shop, Path(place, "out-few"), example.content().records_url)
        cpu = time.process_time() - cpu
        wall = time.perf_counter() - started
        print(f"one worker: {len(few) / cpu:.1f} pages a second of one core ({len(few) / wall:.1f} by the clock)")

        report = sort(paths, shop, Path(place, "out"), example.content().records_url, workers=WORKERS)
        result = stack.score(made, report)
        print(f"{WORKERS} workers: {len(made) / report.seconds:.1f} pages a second by the clock")
        restored = sum(page.restored for packet in report.filed for page in packet.pages)
        print(f"pages right {100 * result.right / result.pages:.2f} % (codes restored on {restored})")
        print(f"pages at a wrong job {result.wrong_job}")
        print(f"pages without a job {dict(Counter(page.why for page in report.loose))}")
        print(
            f"boxes {result.boxes}: right {100 * result.boxes_right / result.boxes:.2f} %, "
            f"doubtful {100 * result.boxes_doubtful / result.boxes:.2f} %, "
            f"wrong {100 * result.boxes_wrong / result.boxes:.3f} % ({result.boxes_wrong})"
        )
        whys = Counter(mark.why for packet in report.filed for mark in packet.doubtful)
        print(f"doubtful because {dict(whys)}")
        print(f"largest error of the skew {result.worst_skew_error_deg:.3f} degrees")


if __name__ == "__main__":
    main()
