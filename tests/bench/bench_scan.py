"""How well and how fast a large stack is sorted: `python tests/bench/bench_scan.py [pages] [seed]`.

The demo's packets are printed, rendered, filled in with pens of varied weight, worn, scanned at 150 dpi and shuffled.
Printed: pages right, pages at a wrong job (must be 0), boxes right, wrong and doubtful, pages a second a core.
"""

import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, datetime
from functools import partial
from multiprocessing import get_context
from pathlib import Path

import cv2
import numpy as np
import pypdfium2

sys.path.insert(0, str(Path(__file__).parents[2]))

from packet.hookup.build import build_hookup
from packet.ledger.state import opening
from packet.plan.job import plan_job
from packet.press.job import print_packet
from packet.press.printed import PrintRecord
from packet.scan.sort import sort
from packet.shop.load import load_job, load_registers
from tests.scan import paper, scanner, stack

WORKERS = 2
DEMO = Path(__file__).parents[2] / "jobs"
PAGES_A_JOB = 6  # at least, over the demo's jobs, the ones that may not go out included


def demo_jobs() -> list[Path]:
    """The demo's job files."""
    return sorted(DEMO.glob("2026-*/*.yaml"))


def print_one(number: int, shop: Path) -> tuple[Path, PrintRecord] | None:
    """One of the demo's jobs, printed under a job number of its own; None for a job that may not go out.

    Every second one is on A4, every fifth in Spanish: what is read knows neither."""
    registers = load_registers(DEMO).value
    assert registers is not None
    how = {"paper": "A4" if number % 2 else "letter", "language": "en" if number % 5 else "es"}
    registers = registers.model_copy(update={"shop": registers.shop.model_copy(update=how)})
    paths = demo_jobs()
    job = load_job(paths[number % len(paths)], registers).value
    assert job is not None
    job = job.model_copy(update={"job": f"{job.job}-{number // len(paths)}"})
    plan = plan_job(job, registers, opening(registers))
    hookup = build_hookup(plan)
    if not plan.may_go_out or any(item.severity == "stop" for item in hookup.findings):
        return None
    morning = datetime(2026, 11, 26, 6, tzinfo=UTC)
    made = print_packet(plan, hookup, shop_folder=shop, out_folder=shop.parent, printed_at=morning)
    assert made.record is not None
    return made.pdf_path, made.record


def scan_packet(number: int, shop: Path, folder: Path, seed: int) -> list[stack.Scanned]:
    """Print one packet and scan every page of it on a bad day."""
    cv2.setNumThreads(1)
    rng = np.random.default_rng([seed, number])
    packet = print_one(number, shop)
    if packet is None:
        return []
    path, record = packet
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
        registers = load_registers(DEMO).value
        assert registers is not None
        records_url = registers.shop.records_url
        jobs = -(-pages // PAGES_A_JOB)
        with ProcessPoolExecutor(WORKERS, mp_context=get_context("spawn")) as pool:
            work = partial(scan_packet, shop=shop, folder=folder, seed=seed)
            made = [scan for scans in pool.map(work, range(jobs)) for scan in scans][:pages]
        order = np.random.default_rng(seed).permutation(len(made))
        paths = [made[number].path for number in order]
        print(f"{len(made)} pages of {len({scan.address.job for scan in made})} jobs")

        few = paths[:100]
        started, cpu = time.perf_counter(), time.process_time()
        sort(few, shop, Path(place, "out-few"), records_url)
        cpu = time.process_time() - cpu
        wall = time.perf_counter() - started
        print(f"one worker: {len(few) / cpu:.1f} pages a second of one core ({len(few) / wall:.1f} by the clock)")

        report = sort(paths, shop, Path(place, "out"), records_url, workers=WORKERS)
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
