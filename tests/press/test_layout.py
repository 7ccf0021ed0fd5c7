"""The short way from HTML to pages gives what WeasyPrint gives by itself."""

import re
import subprocess
import sys
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest

from packet.hookup.build import build_hookup
from packet.hookup.model import Drawing
from packet.ledger.state import opening
from packet.plan.day import plan_day
from packet.press import ink, lettering, tags
from packet.press.assets import face_rules, fetcher, settable, weasyprint
from packet.press.card import card_html
from packet.press.html import revision_of, to_html
from packet.press.layout import laid_out
from packet.press.pdf import VARIANT
from packet.press.run.sheet import part_html
from packet.sheets.card import field_card
from packet.sheets.model import Content, SwapSheet
from packet.sheets.runsheet import run_sheet
from packet.shop.load import load_job
from tests.plan.builders import DEMO
from tests.sheets.demo import composed, registers

from .example import content, stop_content
from .read_back import pixels, read

# one of each method and each kind of sheet
ROOT = Path(__file__).parents[2]
DAY = "2026-11-26"
DEMO_JOBS = ("HP-1042", "HP-1043", "HP-1047")


# As anyone would call the library, in a process that has loaded nothing of ours but where typefaces and pictures are, and
# how straight rules are drawn (test_rules.py).
ALONE = """
import sys
from packet.press import rules
from packet.press.assets import fetcher, weasyprint

rules.use()

html = sys.stdin.buffer.read().decode()
page = weasyprint().HTML(string=html, url_fetcher=fetcher()).render(pdf_variant=sys.argv[1])
assert not {"packet.press.lettering", "packet.press.lines", "packet.press.styles"}.intersection(sys.modules)
sys.stdout.buffer.write(page.write_pdf(pdf_variant=sys.argv[1]))
"""


# Read and styled our way, with nothing kept from one piece of text or element for the next.
FORGETTING = """
import sys
from packet.press import layout, tags

tags.use()
layout.lines.use = layout.styles.use = lambda: None
page = layout.laid_out(sys.stdin.buffer.read().decode(), pdf_variant=sys.argv[1])
sys.stdout.buffer.write(page.write_pdf(pdf_variant=sys.argv[1]))
"""


def plain(html: str, way: str = ALONE) -> bytes:
    """The PDF that WeasyPrint makes of it by itself, in a process of its own: nothing of ours can have reached into it."""
    run = subprocess.run(
        [sys.executable, "-c", way, VARIANT],
        input=html.encode(),
        capture_output=True,
        cwd=ROOT,
        timeout=120,
        check=False,
    )
    assert run.returncode == 0, run.stderr.decode()
    return run.stdout


def made() -> list[Content]:
    return [content(), content(paper="A4"), stop_content(), *map(composed, DEMO_JOBS)]


@pytest.mark.parametrize("number", range(len(DEMO_JOBS) + 3))
def test_both_ways_give_the_same_pages(number: int) -> None:
    """The same pages with the same words in the same order, and the same ink but for a hair in the drawings' words."""
    packet = made()[number]
    html = to_html(packet, revision_of(packet))
    ours = laid_out(html, pdf_variant=VARIANT).write_pdf(pdf_variant=VARIANT)
    theirs = plain(html)
    assert read(ours).text == read(theirs).text
    pages = pypdfium2.PdfDocument(ours), pypdfium2.PdfDocument(theirs)
    assert len(pages[0]) == len(pages[1]) > 0
    differing = []
    for page in range(1, len(pages[0]) + 1):
        one, other = (pixels(pdf, page, dpi=60).astype(int) for pdf in (ours, theirs))
        assert one.shape == other.shape
        if (one != other).any():
            # only a drawing's words, set a line at a time instead of letter by letter, may move: by less than a pixel
            assert (abs(one - other) > 100).mean() < 0.005, page
            differing.append(page)
    assert len(differing) <= html.count("<svg")


# every way of setting words that is, or was, on a paper of ours
WORDS = (
    "<style>{1} html {{ font: 10pt 'Atkinson Hyperlegible' }} @page {{ size: 70mm 60mm; margin: 4mm; @bottom-left {{ content: counter(page) }} }}"
    "td, th {{ border-bottom: 1pt solid #000; width: 30% }} .e {{ white-space: pre-wrap; tab-size: 8rem }}"
    ".w {{ overflow-wrap: anywhere; width: 20mm; float: left }} .h {{ hyphens: manual; width: 15mm }} .u {{ text-decoration: underline }}"
    ".l {{ letter-spacing: 1pt; word-spacing: 2pt }} .n {{ font-variant-numeric: tabular-nums }} .j {{ text-align: justify }}"
    ".b {{ display: inline-block; width: 40%; padding: 0 2% }} .c {{ border-collapse: collapse }} .s {{ font-size: .8em }}</style>"
    '<p>Open {0} and wait. <b>Stop at {0}</b> and close the other one before the hose is warm. <b class="u">{0}</b></p>'
    '<p class="e">Stop\t{0}\nnext line</p><p class="w">{0}/abcdefghijklmnopqrstuvwxyz</p><p class="h">refrig\u00aderant {0}</p>'
    '<p class="l">far apart {0}</p><p class="n">111 {0} 0.5</p><p class="j">stretched from one side to the other side {0} lb</p>'
    '<p><span class="b">{0} beside <span class="s">{0}</span></span><span class="b" lang="es">{0}</span></p>'
    '<table class="c"><tr><th>{0}</th><td>of {0}</td></tr></table><table><tr><th>{0}</th><td>of {0}</td></tr></table>'
)


def test_words_set_before_are_set_the_same_again() -> None:
    """What is kept of one paper for the next gives each the very bytes that it has where nothing is kept."""
    tags.use()  # whoever set a packet in this process has done so
    kinds = {"p": "page", "x": "AV To 24.5 \u2013 fi", "b": "b" * 40}
    htmls = [
        f'<html lang="{lang}"><body>{WORDS.format(word, face_rules())}</body></html>'
        for word in kinds.values()
        for lang in ("en", "es")
    ]
    first = [laid_out(html, pdf_variant=VARIANT).write_pdf(pdf_variant=VARIANT) for html in htmls]
    again = [laid_out(html, pdf_variant=VARIANT).write_pdf(pdf_variant=VARIANT) for html in reversed(htmls)]
    assert first == again[::-1]
    assert first == [plain(html, FORGETTING) for html in htmls]


def plain_papers() -> list[str]:
    """The HTML of the papers that are no packets: the field card, a day board and a truck's page."""
    shop = registers().shop
    jobs = [load_job(path, registers()).value for path in sorted((DEMO / DAY).glob("*.yaml"))]
    day = plan_day([job for job in jobs if job is not None][:3], registers(), opening(registers()))
    sheet = run_sheet(day, {plan.job.job: build_hookup(plan) for plan in day.plans}, shop, ())
    return [card_html(field_card(shop)), part_html(sheet.board), part_html(sheet.trucks[0])]


def test_a_card_and_a_run_sheet_are_what_weasyprint_makes_of_them() -> None:
    for html in plain_papers():
        ours, theirs = laid_out(html, pdf_variant=VARIANT).write_pdf(pdf_variant=VARIANT), plain(html)
        assert read(ours).text == read(theirs).text
        pages = len(pypdfium2.PdfDocument(ours))
        assert pages == len(pypdfium2.PdfDocument(theirs)) > 0
        for page in range(1, pages + 1):
            assert (pixels(ours, page, dpi=60) == pixels(theirs, page, dpi=60)).all()


def test_no_page_is_set_twice_but_where_a_swap_begins(monkeypatch: pytest.MonkeyPatch) -> None:
    """The typesetter sets a page again whose running element has stood on one before: a tenth of a packet's time."""
    from weasyprint.layout import page as pages

    remake, seen = pages.remake_page, list[int]()

    def counted(index: int, *others: Any) -> Any:
        seen.append(index)
        return remake(index, *others)

    monkeypatch.setattr(pages, "remake_page", counted)
    for name in DEMO_JOBS:
        packet = composed(name)
        seen.clear()
        document = laid_out(to_html(packet), pdf_variant=VARIANT)
        swaps = sum(isinstance(sheet, SwapSheet) for sheet in packet.sheets)
        assert len(document.pages) <= len(seen) <= len(document.pages) + swaps


# what a place does not tell (layout._asked): attributes, what follows, what stands anywhere before, a tenth child
# of what is no cell
UNTOLD = re.compile(r"\[|:has|:nth-last|:nth-of|:only|:empty|~|(?<! t[dh]):nth-child\((?!-?n?\+?[1-9]\))")


def test_our_selectors_ask_nothing_that_a_place_does_not_tell() -> None:
    """An element's style is known by its place (styles.py): its own names, its parents', the one before it, its number."""
    assert UNTOLD.search(".a ~ .b") and UNTOLD.search("a[href]") and UNTOLD.search("p:nth-child(2n)")
    assert not UNTOLD.search(".a td:nth-child(3n) p:nth-child(-n+3) + td:first-child .x:last-child")
    sheets = [files("packet.templates").joinpath(name).read_text("utf-8") for name in ("style.css", "elements.css")]
    papers = [to_html(content()), to_html(stop_content()), *plain_papers()]
    sheets += [words for html in papers for words in re.findall(r"<style>(.*?)</style>", html, re.DOTALL)]
    selectors = [
        rule.split("{")[0]
        for sheet in sheets
        for rule in re.sub(r"/\*.*?\*/|@[^{]*\{(?:[^{}]|\{[^{}]*\})*\}", "", sheet, flags=re.DOTALL).split("}")
    ]
    assert len(selectors) > 300
    assert [selector for selector in selectors if UNTOLD.search(selector)] == []


def test_a_control_sign_in_a_job_does_not_spoil_the_page() -> None:
    # XML 1.0, section 2.2: no control signs but tab, line feed and carriage return; from memory
    assert settable("a\x07b\x1bc") == "a?b?c"
    assert settable("two\nlines\tand a tab") == "two\nlines\tand a tab"
    packet = replace(content(), title='Ring \x07 the <bell> & "go" ]]>')
    document = laid_out(to_html(packet), pdf_variant=VARIANT)
    assert document.metadata.title == 'Ring ? the <bell> & "go" ]]>'


def test_every_word_of_our_drawings_is_set_in_one_go(monkeypatch: pytest.MonkeyPatch) -> None:
    from weasyprint import svg

    lettering.use()
    seen: list[tuple[str, bool]] = []
    ours = svg.TAGS["text"]

    def seeing(image: Any, node: Any, size: float) -> None:
        seen.append((node.text, lettering.is_plain(node)))
        ours(image, node, size)

    monkeypatch.setitem(svg.TAGS, "text", seeing)
    for name in DEMO_JOBS:
        laid_out(to_html(composed(name)), pdf_variant=VARIANT).write_pdf(pdf_variant=VARIANT)
    assert len(seen) > 250
    assert not [words for words, plain_words in seen if not plain_words]


def test_a_sign_the_typeface_lacks_is_replaced_in_a_drawing_too() -> None:
    drawing = Drawing('<svg xmlns="http://www.w3.org/2000/svg"><text x="0">A ← x₂ → 40 °F</text></svg>', 10, 10, "↯")
    assert ink.drawn(drawing).endswith('<title>?</title><text x="0">A &lt;- x2 -&gt; 40 °F</text></svg>')


DRAWING = (
    '<style>@font-face {{ font-family: "Atkinson Hyperlegible"; src: url(asset:AtkinsonHyperlegible-Regular.ttf) }}'
    "@page {{ size: 100mm 40mm; margin: 0 }}</style>"
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="40mm" viewBox="0 0 100 40" '
    'font-family="Atkinson Hyperlegible">{}</svg>'
)


def _drawn(words: str) -> "tuple[bytes, np.ndarray[Any, Any]]":
    pdf = weasyprint().HTML(string=DRAWING.format(words), url_fetcher=fetcher()).write_pdf()
    return pdf, pixels(pdf, 1, dpi=200) < 128


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_words_stand_where_weasyprint_would_put_them(anchor: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from weasyprint import svg
    from weasyprint.svg.text import text

    words = f'<text x="50" y="20" font-size="5" text-anchor="{anchor}">HHH III NNN</text>'  # letters without kerning
    lettering.use()
    pdf, ours = _drawn(words)
    monkeypatch.setitem(svg.TAGS, "text", text)
    monkeypatch.setattr(svg, "text", text)
    _, theirs = _drawn(words)
    assert ours.any()
    columns = [np.flatnonzero(ink.any(axis=0)) for ink in (ours, theirs)]
    rows = [np.flatnonzero(ink.any(axis=1)) for ink in (ours, theirs)]
    for edges in (columns, rows):
        # a pixel at 200 dpi is an eighth of a millimeter
        assert abs(int(edges[0][0]) - int(edges[1][0])) <= 2
        assert abs(int(edges[0][-1]) - int(edges[1][-1])) <= 2
    assert read(pdf).text == "HHH III NNN"


def test_words_that_are_not_plain_go_to_weasyprint() -> None:
    lettering.use()
    spread = _drawn('<text x="10 30 50" y="20" font-size="5">ABC</text>')[1]
    columns = np.flatnonzero(spread.any(axis=0))
    # three letters 20 mm apart: 40 mm from the first to the last, at 200 dpi
    assert columns[-1] - columns[0] > 40 / 25.4 * 200
