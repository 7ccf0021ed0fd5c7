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

from packet.press.assets import fetcher, weasyprint
from packet.press.html import revision_of, to_html
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


def cpu_seconds(html: str, *, collecting: bool) -> tuple[float, int]:
    """CPU seconds and pages of one render, the median of some."""
    times, pages = [], 0
    for _ in range(RUNS):
        (gc.enable if collecting else gc.disable)()
        start = time.process_time()
        document = weasyprint().HTML(string=html, url_fetcher=fetcher()).render(pdf_variant=VARIANT)
        document.write_pdf(pdf_variant=VARIANT)
        times.append(time.process_time() - start)
        pages = len(document.pages)
        gc.enable()
        gc.collect()
    return statistics.median(times), pages


def main() -> None:
    content = composed(sys.argv[1] if len(sys.argv) > 1 else "HP-1042")
    html = to_html(content, revision_of(content))
    cpu_seconds(html, collecting=False)  # fonts and bytecode warm
    cells, cells_pages = cpu_seconds(as_cells(html), collecting=True)
    rows, pages = cpu_seconds(html, collecting=True)
    press, _ = cpu_seconds(html, collecting=False)
    print(f"{content.job}, CPU time, median of {RUNS}")
    print(f"as cells, collecting   {cells:.3f} s  {cells_pages} pages  {cells / cells_pages * 1000:.0f} ms a page")
    print(f"as it is, collecting   {rows:.3f} s  {pages} pages  {rows / pages * 1000:.0f} ms a page")
    print(f"as the press does it   {press:.3f} s  {pages} pages  {press / pages * 1000:.0f} ms a page")
    print(f"before : after         {cells / press:.2f}")


if __name__ == "__main__":
    main()
