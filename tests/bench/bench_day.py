"""A day of many mixed jobs: workers against one, against bare WeasyPrint, against a browser; reruns; memory; sizes.

    python tests/bench/bench_day.py [--jobs 60] [--memory 100] [--browser 9]

The jobs are the demo day's, over and over, each round with trucks, people, machines, scales and cylinders of its own.
Ratios are taken within one run. Nothing else should be using the machine.
"""

import argparse
import gc
import re
import resource
import shutil
import statistics
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from datetime import time as clock
from functools import cache
from pathlib import Path

from packet.collector import without_collecting
from packet.hookup.build import build_hookup
from packet.ledger.state import ledger
from packet.office.form import empty_form
from packet.plan.day import plan_day
from packet.plan.model import Plan
from packet.press.assets import FACES, FONT_PACKAGE, fetcher, weasyprint
from packet.press.job import prepare
from packet.press.pdf import VARIANT, render
from packet.press.run.model import Options, PrintOrder, Summary
from packet.press.run.pool import PACKETS_A_LIFE, cores
from packet.press.run.print_days import print_jobs
from packet.sheets.packet import compose
from packet.shop.load import load_day, load_registers

DEMO = Path(__file__).parents[2] / "jobs"
DAY = "2026-11-26"
AT = datetime(2026, 11, 25, 12, tzinfo=UTC)


def large_shop(folder: Path, jobs: int) -> Path:
    """The demo shop, its registers once a round, and as many of its jobs."""
    shop = folder / "jobs"
    (shop / DAY).mkdir(parents=True)
    sources = sorted((DEMO / DAY).glob("*.yaml"))
    rounds = -(-jobs // len(sources))
    (shop / "shop.yaml").write_text(_repeated("shop.yaml", rounds, r"^  - id: ", after="trucks:"), "utf-8")
    (shop / "cylinders.yaml").write_text(_repeated("cylinders.yaml", rounds, r"^- "), "utf-8")
    (shop / "technicians.yaml").write_text(_repeated("technicians.yaml", rounds, r"^- "), "utf-8")
    text = (DEMO / "machines.yaml").read_text("utf-8")
    machines, rest = text.split("\nscales:\n")
    scales, kit = rest.split("\nkit:\n")
    head, first = machines.split("machines:\n")
    kit = re.sub(r"count: (\d+)", lambda match: f"count: {int(match[1]) * rounds}", kit)
    kit = re.sub(r"^  (\w+): (\d+)$", lambda match: f"  {match[1]}: {int(match[2]) * rounds}", kit, flags=re.MULTILINE)
    (shop / "machines.yaml").write_text(
        head + "machines:\n" + _rounds(first, rounds) + "\nscales:\n" + _rounds(scales, rounds) + "\nkit:\n" + kit,
        "utf-8",
    )
    for number in range(jobs):
        turn, source = number // len(sources), sources[number % len(sources)]
        (shop / DAY / f"{_own(source.stem, turn)}.yaml").write_text(_own(source.read_text("utf-8"), turn), "utf-8")
    return shop


@cache
def _ids() -> re.Pattern[str]:
    known = load_registers(DEMO).value
    assert known is not None
    machines, scales = known.equipment.machines, known.equipment.scales
    records = (*known.cylinders, *machines, *scales, *known.technicians, *known.shop.trucks)
    names = "|".join(re.escape(str(getattr(item, "id", ""))) for item in records)
    return re.compile(rf"(?<![\w-])({names}|HP-\d+)(?![\w-])")


def _own(text: str, turn: int) -> str:
    return _ids().sub(lambda match: f"{match[0]}x{turn}" if turn else match[0], text)


def _rounds(text: str, rounds: int) -> str:
    return "".join(_own(text if text.endswith("\n") else text + "\n", turn) for turn in range(rounds))


def _repeated(name: str, rounds: int, item: str, after: str = "") -> str:
    text = (DEMO / name).read_text("utf-8")
    found = re.compile(item, re.MULTILINE).search(text, text.index(after) if after else 0)
    assert found is not None
    start = found.start()
    return text[:start] + _rounds(text[start:], rounds)


def timed(what: str, work: Callable[[], Summary]) -> tuple[float, Summary]:
    """How long a run takes."""
    started = time.perf_counter()
    done = work()
    seconds = time.perf_counter() - started
    print(f"{what:42} {seconds:8.2f} s   {done.count('printed')} printed, {done.count('unchanged')} unchanged")
    return seconds, done


def planned(shop: Path) -> tuple[Plan, ...]:
    """The day's jobs, planned."""
    registers = load_registers(shop).value
    assert registers is not None
    on = date.fromisoformat(DAY)
    known = ledger(registers, shop, on, clock(0))
    return plan_day(load_day(shop / DAY, known.registers).value or (), known.registers, known.states).plans


def htmls(shop: Path) -> Iterator[tuple[str, str]]:
    """Each job's packet as HTML, as it is printed."""
    for plan in planned(shop):
        yield plan.job.job, prepare(compose(plan, build_hookup(plan)), None).html


def bare(html: str) -> tuple[float, int]:
    """Seconds and pages of WeasyPrint alone."""
    started = time.perf_counter()
    with without_collecting():
        document = weasyprint().HTML(string=html, url_fetcher=fetcher()).render(pdf_variant=VARIANT)
        document.write_pdf(pdf_variant=VARIANT)
    return time.perf_counter() - started, len(document.pages)


def browser(html: str, folder: Path) -> float:
    """Seconds for headless chromium, in a process of its own, to print the same HTML."""
    from importlib.resources import files

    for name, _, _ in FACES:
        html = html.replace(f"asset:{name}", (Path(str(files(FONT_PACKAGE))) / "files" / name).as_uri())
    page = folder / "page.html"
    page.write_text(html, "utf-8")
    flags = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking"
    command = ["chromium", *flags.split(), "--disable-component-update", "--disable-sync", "--no-pdf-header-footer"]
    command += [f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={folder / 'page.pdf'}", page.as_uri()]
    started = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - started


def against_browser(shop: Path, folder: Path, jobs: int) -> None:
    """A whole packet as a worker makes it (plan at hand: hookup, words, HTML, PDF) against a browser with its HTML.

    The median of five each, in turns.
    """
    for plan in planned(shop)[:jobs]:
        html = prepare(compose(plan, build_hookup(plan)), None).html
        ours, alone, chromium = [], [], []
        pages = 0
        for _ in range(5):
            gc.collect()
            started = time.perf_counter()
            prepared = prepare(compose(plan, build_hookup(plan)), None)
            pages = len(render(prepared.html, prepared.stamp).pages)
            ours.append(time.perf_counter() - started)
            gc.collect()
            alone.append(bare(html)[0])
            chromium.append(browser(html, folder))
        packet, by_itself, theirs = (statistics.median(times) for times in (ours, alone, chromium))
        print(
            f"{plan.job.job}: packet {packet:.2f} s, chromium {theirs:.2f} s, ratio {packet / theirs:.2f}; "
            f"bare WeasyPrint {by_itself:.2f} s, ratio {by_itself / theirs:.2f} ({pages} pages)"
        )


def memory(shop: Path, packets: int) -> None:
    """The largest memory of one process over many packets. A worker's life ends after PACKETS_A_LIFE of them."""
    from packet.press.code import Stamp

    pages = list(htmls(shop))
    gc.freeze()
    print(f"{'packets':>8} {'largest so far, MB':>20}")
    for number in range(1, packets + 1):
        job, html = pages[number % len(pages)]
        render(html, Stamp("https://records.example/quillback", job, "AAAAAAAA", "letter"))
        gc.collect()  # as a worker does after each
        if number in {1, 10, 50, 100, 200, 300, 400} or number == packets:
            mark = "   (a worker is made anew here)" if number == PACKETS_A_LIFE else ""
            print(f"{number:8} {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:20.0f}{mark}")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--jobs", type=int, default=60)
    parser.add_argument("--memory", type=int, default=0)
    parser.add_argument("--browser", type=int, default=0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shop = large_shop(folder, asked.jobs)
        if asked.memory:
            memory(shop, asked.memory)
            return

        def run(out: str, workers: int) -> Summary:
            path = folder / out
            return print_jobs(PrintOrder((shop / DAY,), path, AT, empty_form, Options(workers=workers)))

        many = cores()
        (folder / "warm").mkdir()
        run("warm", many)
        shutil.rmtree(shop / "printed")
        alone, done = timed("one worker", lambda: run("one", 1))
        assert not done.problems, done.problems
        shutil.rmtree(shop / "printed")
        together, done = timed(f"{many} workers", lambda: run("many", many))
        again, _ = timed("again, nothing changed", lambda: run("many", many))
        times = [(job, html, *bare(html)) for job, html in htmls(shop)]
        total, pages = sum(item[2] for item in times), sum(item[3] for item in times)
        sizes = [path.stat().st_size for path in (folder / "many").glob("HP-*.pdf")]
        print(
            f"{'bare WeasyPrint, the same HTML, one process':42} {total:8.2f} s   {pages} pages, {total / pages:.4f} s a page"
        )
        print(f"throughput of {many} workers over one: {alone / together:.2f}")
        print(f"total over bare renders / {many}: {together / (total / many):.3f}")
        print(f"one worker over bare renders: {alone / total:.3f}")
        print(f"unchanged rerun over the full run: {100 * again / together:.2f} %")
        print(f"largest packet: {max(sizes) / 1000:.0f} kB, mean {sum(sizes) / len(sizes) / 1000:.0f} kB")
        against_browser(shop, folder, asked.browser)


if __name__ == "__main__":
    main()
