"""Seconds a page of a bare WeasyPrint render: a demo packet as it is, and with its rows set as table cells instead.

Valve tables, pressure tables and log forms are set as lines of tabbed text and ruled drawings, because a table cell
costs about ten times a tabbed figure; and the press holds the garbage collector off while it sets. Run by hand:

    PYTHONPATH=. python tests/bench/bench_page.py [JOB]
"""

import gc
import re
import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

from packet.press.assets import fetcher, weasyprint
from packet.press.html import revision_of, to_html
from packet.press.layout import laid_out
from packet.press.pdf import VARIANT
from tests.sheets.demo import composed

RUNS = 5


def as_cells(html: str) -> str:
    """The same packet with a cell for each figure and each empty field."""
    html = re.sub(r'<div class="valves">.*?</div>', _valves, html, flags=re.DOTALL)
    html = re.sub(r'<p class="rows(?: heads)?">(.*?)</p>', _rows, html, flags=re.DOTALL)
    return re.sub(r'<svg[^>]*data-box="log\..*?</svg>', _form, html, flags=re.DOTALL)


def _table(rows: list[list[str]]) -> str:
    return f"<table>{''.join('<tr>' + ''.join(f'<td>{cell}</td>' for cell in row) + '</tr>' for row in rows)}</table>"


def _valves(match: re.Match[str]) -> str:
    lines = re.findall(r'<span class="name">(.*?)</span>(.*?)</p>', match[0], re.DOTALL)
    return _table([[name, *marks.split("\t")] for name, marks in lines])


def _rows(match: re.Match[str]) -> str:
    return _table([[cell.strip() for cell in line.split("\t")] for line in match[1].split("\n")])


def _form(match: re.Match[str]) -> str:
    height = re.search(r'height="([\d.]+)mm', match[0])
    assert height is not None
    lines = round((float(height[1]) - 9.6) / 8.4)
    return _table([["<div style='height: 7mm'></div>"] * (match[0].count("V") + 1)] * (lines + 1))


def bare(html: str) -> Any:
    """Laid out as anyone would call the library."""
    return weasyprint().HTML(string=html, url_fetcher=fetcher()).render(pdf_variant=VARIANT)


def press(html: str) -> Any:
    """Laid out as the press does it."""
    return laid_out(html, pdf_variant=VARIANT)


def cpu_seconds(html: str, way: Callable[[str], Any], *, collecting: bool) -> tuple[float, int]:
    """CPU seconds and pages of one render, the median of some."""
    times, pages = [], 0
    for _ in range(RUNS):
        (gc.enable if collecting else gc.disable)()
        start = time.process_time()
        document = way(html)
        document.write_pdf(pdf_variant=VARIANT)
        times.append(time.process_time() - start)
        pages = len(document.pages)
        gc.enable()
        gc.collect()
    return statistics.median(times), pages


def main() -> None:
    content = composed(sys.argv[1] if len(sys.argv) > 1 else "HP-1042")
    html = to_html(content, revision_of(content))
    cpu_seconds(html, press, collecting=False)  # fonts and bytecode warm
    print(f"{content.job}, CPU time, median of {RUNS}")
    first = 0.0
    for what, text, way, collecting in (
        ("bare, as cells, collecting", as_cells(html), bare, True),
        ("bare, as it is, collecting", html, bare, True),
        ("bare, collector held off", html, bare, False),
        ("as the press lays it out", html, press, False),
    ):
        seconds, pages = cpu_seconds(text, way, collecting=collecting)
        first = first or seconds / pages
        each = f"{seconds / pages * 1000:.0f} ms a page, 1 / {first / (seconds / pages):.2f}"
        print(f"{what:28} {seconds:.3f} s  {pages} pages  {each}")


if __name__ == "__main__":
    main()
