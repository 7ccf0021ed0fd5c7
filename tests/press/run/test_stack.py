"""A truck's stack keeps every packet's pages, tags and sides."""

from pathlib import Path

import pikepdf
import pytest
from pypdf import PdfReader

from packet.press.assets import FAMILY, face_rules, fetcher, weasyprint
from packet.press.stack import StackedPaper, stack
from tests.press.tag_tree import breaches
from tests.sheets.test_look import printed


def packet_of(folder: Path, name: str, pages: int) -> Path:
    sheets = "".join(
        f"<section><h1>{name} sheet {number}</h1><p>words of {name} <a href='https://records.example/{name}'>its page</a></p>"
        f"<table><tr><th>a</th><td>{number}</td></tr></table></section>"
        for number in range(1, pages + 1)
    )
    html = (
        f"<html lang=en><title>{name}</title><style>{face_rules()}body{{font-family:'{FAMILY}'}}"
        f"section+section{{break-before:page}}</style>{sheets}</html>"
    )
    path = folder / f"{name}.pdf"
    path.write_bytes(weasyprint().HTML(string=html, url_fetcher=fetcher()).write_pdf(pdf_variant="pdf/ua-1"))
    return path


@pytest.fixture(scope="module")
def packets(tmp_path_factory: pytest.TempPathFactory) -> tuple[StackedPaper, ...]:
    folder = tmp_path_factory.mktemp("packets")
    return tuple(
        StackedPaper(name, packet_of(folder, name, pages)) for name, pages in (("HP-1", 3), ("HP-2", 2), ("HP-3", 1))
    )


@pytest.fixture(scope="module")
def stacked(packets: tuple[StackedPaper, ...], tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("stack") / "stack.pdf"
    path.write_bytes(stack(packets, "Truck T2, 2026-11-26", "en"))
    return path


def test_every_packet_begins_on_a_front_side(stacked: Path) -> None:
    reader = PdfReader(stacked)
    first_lines = [page.extract_text().split(" sheet")[0] for page in reader.pages]
    assert first_lines == ["HP-1", "HP-1", "HP-1", "", "HP-2", "HP-2", "HP-3", ""]
    sizes = {tuple(round(float(side)) for side in page.mediabox) for page in reader.pages}
    assert len(sizes) == 1


def test_bookmarks_lead_to_each_packet(stacked: Path) -> None:
    reader = PdfReader(stacked)
    found = {str(item.title): reader.get_destination_page_number(item) for item in reader.outline}  # type: ignore[union-attr,arg-type]
    assert found == {"HP-1": 0, "HP-2": 4, "HP-3": 6}


def test_the_parent_tree_leads_from_every_page_to_its_own_tags(stacked: Path) -> None:
    with pikepdf.open(stacked) as pdf:
        numbers = pdf.Root.StructTreeRoot.ParentTree.Nums.as_list()
        keys = [int(key) for key in numbers[::2]]
        assert keys == sorted(set(keys))  # ISO 32000-1, 7.9.7: keys of a number tree are sorted
        parents = dict(zip(keys, numbers[1::2], strict=True))
        tagged = 0
        for page in pdf.pages:
            if "/StructParents" not in page.obj:
                continue
            for element in parents[int(page.obj.StructParents)].as_list():
                assert element.Pg.objgen == page.obj.objgen
                tagged += 1
            for annotation in page.obj.get("/Annots", pikepdf.Array()).as_list():
                assert parents[int(annotation.StructParent)].S == "/Link"
        assert tagged > 20


def test_the_tree_holds_each_packets_headings_once_in_order(stacked: Path) -> None:
    def kinds(element: pikepdf.Object) -> list[str]:
        children = element.get("/K", pikepdf.Array())
        if not isinstance(children, pikepdf.Object) or children._type_code != pikepdf.ObjectType.array:
            return [str(element.S)]
        below = [item for item in children.as_list() if isinstance(item, pikepdf.Object) and "/S" in item]
        return [str(element.S), *(kind for item in below for kind in kinds(item))]

    with pikepdf.open(stacked) as pdf:
        (whole,) = pdf.Root.StructTreeRoot.K.as_list()
        parts = whole.K.as_list()
        assert [kinds(item).count("/H1") for item in parts] == [3, 2, 1]
        assert {item.S for item in parts} == {pikepdf.Name.Part}
        assert {item.P.objgen for item in parts} == {whole.objgen}
        assert bool(pdf.Root.MarkInfo.Marked)
        assert str(pdf.Root.Lang) == "en"


def test_a_stack_is_read_as_it_is_seen(tmp_path: Path) -> None:
    """As its packets are."""
    parts: list[StackedPaper] = []
    for name in ("one cylinder, letter", "Spanish, one cylinder"):
        path = tmp_path / f"{len(parts)}.pdf"
        path.write_bytes(printed(name).pdf)
        parts.append(StackedPaper(name, path))
    assert breaches(stack(parts, "Truck T2, 2026-11-26", "en")) == []


def test_the_same_packets_give_the_same_bytes(packets: tuple[StackedPaper, ...], stacked: Path) -> None:
    assert stack(packets, "Truck T2, 2026-11-26", "en") == stacked.read_bytes()


def test_a_stack_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        stack((), "", "en")
