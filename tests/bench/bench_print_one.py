"""One warm `packet print` of one job as a whole process, against a bare WeasyPrint process rendering the same HTML.

The goal is at most 1.3 x. Also: seconds a page of the bare render. Run by hand:

    python tests/bench/bench_print_one.py [JOB.yaml] [runs]
"""

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BARE = """
import sys
from pathlib import Path
import weasyprint
from packet.press.assets import fetcher
document = weasyprint.HTML(string=Path(sys.argv[1]).read_text("utf-8"), url_fetcher=fetcher())
document.write_pdf(sys.argv[2], pdf_variant="pdf/ua-1")
"""


def seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - start


def main() -> None:
    job = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "jobs/2026-11-26/HP-1042.yaml"
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 7
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        shop = place / "jobs"
        shutil.copytree(job.resolve().parents[1], shop, ignore=shutil.ignore_patterns("printed", "filed"))
        copied = shop / job.parent.name / job.name
        out = place / "out"
        ours = [
            str(Path(sys.executable).with_name("packet")),
            "print",
            str(copied),
            "--out",
            str(out),
            "--fresh",
            "--html",
        ]
        seconds(ours)  # warms the refrigerant's curve and the bytecode
        html = next(out.rglob(f"{job.stem}.html"))
        bare = [sys.executable, "-c", BARE, str(html), str(place / "bare.pdf")]
        seconds(bare)
        # turn about, so that what else the machine does falls on both
        pairs = [(seconds(ours[:-1]), seconds(bare)) for _ in range(runs)]
        our_s, bare_s = (statistics.median(column) for column in zip(*pairs, strict=True))
        from pypdf import PdfReader

        pages = len(PdfReader(place / "bare.pdf").pages)
    ratio = statistics.median(one / other for one, other in pairs)
    print(f"{job.stem}: {pages} pages, {runs} runs each, medians")
    print(f"packet print   {our_s:.3f} s")
    print(f"bare render    {bare_s:.3f} s   {bare_s / pages * 1000:.0f} ms a page, process start included")
    print(f"ratio          {ratio:.2f}      (goal: at most 1.30)")


if __name__ == "__main__":
    main()
