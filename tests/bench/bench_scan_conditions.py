"""How pages are read condition by condition: `python tests/bench/bench_scan_conditions.py [pages] [seed] [names …]`.

The demo's packets are printed and their pages with boxes put through each condition. A table: pages found, at a wrong
job, without one; boxes right, doubtful and wrong, and of the wrong ones, empty boxes read as marked.
"""

import sys
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path

import cv2
import numpy as np
import pypdfium2

sys.path.insert(0, str(Path(__file__).parents[2]))

from packet.press.printed import PrintRecord
from packet.scan.model import Filed
from packet.scan.sort import sort
from packet.shop.load import load_registers
from tests.bench.bench_scan import DEMO, demo_jobs, print_one
from tests.bench.scan_conditions import CONDITIONS, make
from tests.scan import paper, stack

WORKERS = 2


def boxed_pages(shop: Path) -> list[tuple[Path, PrintRecord, int]]:
    """Every page with boxes of the demo's packets, as printed."""
    found = []
    for number in range(len(demo_jobs())):
        made = print_one(number, shop)
        if made is not None:
            path, record = made
            pages = sorted({box.page for box in record.boxes if box.kind in {"check", "initial"}})
            found += [(path, record, page) for page in pages]
    return found


def put_through(case: tuple[str, Path, PrintRecord, int, int], folder: Path, seed: int) -> stack.Scanned:
    """One page through one condition."""
    cv2.setNumThreads(1)
    name, path, record, page, number = case
    rng = np.random.default_rng([seed, number, *name.encode()])
    document = pypdfium2.PdfDocument(path)
    view = document[page - 1].render(scale=paper.DPI / 72, grayscale=True).to_numpy()
    sheet = np.array(view.reshape(view.shape[:2]), np.uint8)
    document.close()
    return make(name, sheet, record, page, folder=folder, rng=rng)


def row(name: str, made: list[stack.Scanned], filed: tuple[Filed, ...], seconds: float) -> str:
    """One line of the table."""
    by_name = {page.source.split(" ")[0]: page for packet in filed for page in packet.pages}
    count: Counter[str] = Counter()
    whys: Counter[str] = Counter()
    for scan in made:
        page = by_name.get(scan.path.name)
        if page is None:
            continue
        count["found" if page.address == scan.address else "wrong job"] += 1
        for mark in page.marks:
            meant = "marked" if scan.meant.get(mark.key) else "empty"
            count[meant] += 1
            if mark.mark == "doubtful":
                count["doubtful"] += 1
                count[f"doubtful {meant}"] += 1
                whys[mark.why] += 1
            elif mark.mark == meant:
                count["right"] += 1
            else:
                count["wrong"] += 1
                count[f"wrong {meant} {mark.kind}"] += 1
                if len(sys.argv) > 1:
                    print("   wrong:", scan.path.name, mark.key, "meant", meant, mark.kind)
    details = ", ".join(f"{why}: {times}" for why, times in whys.most_common(4))
    return (
        f"{name:22} pages {len(made):4} found {count['found']:4} wrong job {count['wrong job']} | boxes "
        f"{count['marked']}+{count['empty']}: right {count['right']}, doubtful {count['doubtful']} "
        f"({count['doubtful empty']} empty), WRONG {count['wrong']} (empty ticks read as marked "
        f"{count['wrong empty check']}, initials {count['wrong empty initial']}) | {1000 * seconds / len(made):.0f} ms a page"
        f" | {details}"
    )


def main() -> None:
    """The table."""
    pages = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    names = sys.argv[3:] or list(CONDITIONS)
    with tempfile.TemporaryDirectory() as place:
        shop = Path(place, "shop")
        shop.mkdir()
        registers = load_registers(DEMO).value
        assert registers is not None
        boxed = boxed_pages(shop)
        for name in names:
            folder = Path(place, name.replace(" ", "-"))
            folder.mkdir()
            order = np.random.default_rng(seed).permutation(len(boxed))
            cases = [(name, *boxed[order[number % len(boxed)]], number) for number in range(pages)]
            with ProcessPoolExecutor(WORKERS, mp_context=get_context("spawn")) as pool:
                made = list(pool.map(partial(put_through, folder=folder, seed=seed), cases, chunksize=4))
            out = folder / "out"
            report = sort([scan.path for scan in made], shop, out, registers.shop.records_url, workers=WORKERS)
            print(row(name, made, report.filed, report.seconds), flush=True)


if __name__ == "__main__":
    main()
