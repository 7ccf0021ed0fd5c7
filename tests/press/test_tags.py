"""The tag tree of packets, run sheet and card, judged by `tag_tree`; and that the judge finds what it should."""

from dataclasses import replace
from io import BytesIO

import pikepdf
import pytest

from packet.press.card import card_html
from packet.press.code import Stamp
from packet.press.html import to_html
from packet.press.pdf import plain_pdf, render
from packet.sheets.card import field_card
from packet.sheets.model import Content, Tags
from tests.press.tag_tree import Element, breaches, tree
from tests.sheets.demo import composed, registers
from tests.sheets.test_look import MATRIX, printed

REVISION = "ABCDEFG2"


def set_pdf(content: Content) -> bytes:
    return render(to_html(content, REVISION), Stamp(content.records_url, content.job, REVISION, content.paper)).pdf


@pytest.mark.parametrize("name", MATRIX)
def test_a_packet_is_read_as_it_is_seen(name: str) -> None:
    assert breaches(printed(name).pdf) == []


def test_nothing_in_the_tree_is_there_for_its_looks() -> None:
    """Text hangs in its paragraph, head or cell; an element between says something: its language, or that it is in no such."""
    for element in elements(printed("one cylinder, letter").pdf):
        if element.kind in {"/Span", "/NonStruct"}:
            assert element.language or element.parent in {"/Div", "/Sect", "/NonStruct"}, element.parent
        assert element.kids or element.kind in {"/TD", "/TH"}, element.kind


def test_the_field_card_is_read_as_it_is_seen() -> None:
    assert breaches(plain_pdf(card_html(field_card(registers().shop)))) == []


def elements(pdf: bytes) -> list[Element]:
    with pikepdf.open(BytesIO(pdf)) as opened:
        return list(tree(opened).all())


def test_the_strips_are_read_on_every_page_that_shows_them() -> None:
    """They stand in the margin, of which the typesetter hangs nothing into the tree; so do the front's phones."""
    made = printed("push-pull, letter, SI")
    with pikepdf.open(BytesIO(made.pdf)) as pdf:
        document = tree(pdf)
        pages = {child.page for child in document.below if child.kind == "/Div"}
    shown = {number for number, names in enumerate(made.pages) if "Steps" in names or "Swap" in names}
    assert pages == {0, *shown}


def test_every_table_of_a_packet_is_one_in_the_tree() -> None:
    """Hose list and valve table of each hookup, the fill table, today's pressures, the log's columns, the rise check."""
    kinds = [element.kind for element in elements(printed("one cylinder, letter").pdf)]
    assert kinds.count("/Table") == 8


def test_a_part_in_another_language_says_which() -> None:
    content = composed("HP-1041")
    sheets = tuple(
        replace(sheet, leaves=tuple(tuple(replace(tag, language="es") for tag in leaf) for leaf in sheet.leaves))
        if isinstance(sheet, Tags)
        else sheet
        for sheet in content.sheets
    )
    said = [element.language for element in elements(set_pdf(replace(content, sheets=sheets)))]
    assert "es" in said
    assert not any(element.language for element in elements(set_pdf(content)))


def broken(change: str) -> list[str]:
    """What is found in a packet whose tree was bent."""
    with pikepdf.open(BytesIO(printed("one cylinder, letter").pdf)) as pdf:
        document = tree(pdf)
        found = {
            kind: [e for e in document.all() if e.kind == kind]
            for kind in ("/H1", "/H2", "/TH", "/TD", "/Figure", "/P")
        }
        if change == "heading":
            found["/H2"][0].raw.S = pikepdf.Name.H4
        elif change == "scope":
            del found["/TH"][0].raw.A["/Scope"]
        elif change == "headers":
            found["/TD"][0].raw.A.Headers = pikepdf.Array(["nobody"])
        elif change == "words":
            found["/Figure"][0].raw.Alt = ""
        elif change == "language":
            del pdf.Root["/Lang"]
        elif change == "order":
            page = next(e for e in document.below if e.kind == "/Sect")
            kids = list(page.raw.K)
            page.raw.K = pikepdf.Array(kids[::-1])
        elif change == "lost":
            page = next(e for e in document.below if e.kind == "/Sect")
            page.raw.K = pikepdf.Array(list(page.raw.K)[:-1])
        elif change == "pages":
            pdf.Root.StructTreeRoot.K[0].K = pikepdf.Array(list(pdf.Root.StructTreeRoot.K[0].K)[::-1])
        elif change == "cell":
            row = next(e for e in document.all() if e.kind == "/TR" and len(e.below) > 3)
            row.raw.K = pikepdf.Array(list(row.raw.K)[:-1])
        elif change == "unmarked":
            pdf.pages[0].contents_add(b"0 0 10 10 re f")
        made = BytesIO()
        pdf.save(made)
    return breaches(made.getvalue())


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ("heading", "7.4.2: a heading of level 4 after one of level 1 on page 1"),
        ("scope", "7.5: a head without scope"),
        ("headers", "7.5: a cell that no head is named for"),
        ("words", "7.3: a figure without words"),
        ("language", "7.2: no language"),
        ("order", "which stands before it"),
        ("lost", "of page 1 is not in the tree"),
        ("pages", "is read after page"),
        ("cell", "7.5: rows of"),
        ("unmarked", "7.1: f on page 1 is neither content nor artifact"),
    ],
)
def test_what_is_wrong_is_found(change: str, says: str) -> None:
    assert any(says in breach for breach in broken(change))
