"""What the typesetter leaves out of the tag tree: the scope of a table's heads, and what stands in the margins.

WeasyPrint hangs nothing of the margins into the tree, and marks it as content all the same. Here the strips at a page's
foot become part of its text, so that a screen reader says them after the page, and head and foot become what they are:
artifacts of the page (ISO 14289-1, 7.5 and 7.8, from memory).
"""

from collections.abc import Iterator
from typing import Any

STRIPS = "@bottom-right-corner"


def mend_tags(document: Any, pdf: Any) -> None:
    """Complete the tag tree of a finished PDF. document: weasyprint.Document; pdf: pydyf.PDF, not written yet."""
    import pydyf

    by_reference = {item.reference: item for item in pdf.objects}
    tree = by_reference[pdf.catalog["StructTreeRoot"]]
    root = by_reference[tree["K"][0]]
    numbers = by_reference[tree["ParentTree"]]["Nums"]
    hung = set(root["K"])
    apart: dict[bytes, list[Any]] = {}
    for item in pdf.objects:
        if not isinstance(item, pydyf.Dictionary) or item.get("Type") != "/StructElem":
            continue
        if item["S"] == "/TH":
            item["A"]["Scope"] = "/Column" if _in_head(item, by_reference) else "/Row"
        if item["S"] == "/NonStruct" and _kinds(item, by_reference) == ["/P", "/H1"]:
            # what floats beside a heading stands before it in the HTML
            item["K"].reverse()
        if item.get("P") == root.reference and item.reference not in hung:
            apart.setdefault(item["Pg"], []).append(item)
    last = -1
    for number, page in enumerate(document.pages):
        where = pdf.page_references[number]
        places = [box.at_keyword for box in page._page_box.children if hasattr(box, "at_keyword") for _ in box.children]
        last = max((at for at, child in enumerate(root["K"]) if by_reference[child]["Pg"] == where), default=last)
        for place, element in zip(places, apart.get(where, ()), strict=True):
            if place == STRIPS and list(_marked(element, by_reference)):
                last += 1
                root["K"].insert(last, element.reference)
            else:
                subtype = "/Header" if place.startswith("@top") else "/Footer"
                stream = by_reference[by_reference[where]["Contents"]].stream
                _make_artifact(element, subtype, stream, numbers[2 * number + 1], by_reference)


def _kinds(element: Any, by_reference: dict[bytes, Any]) -> list[str]:
    return [by_reference[kid]["S"] for kid in element["K"] if not isinstance(kid, int)]


def _in_head(cell: Any, by_reference: dict[bytes, Any]) -> bool:
    row = by_reference[cell["P"]]
    return bool(by_reference[row["P"]]["S"] == "/THead")


def _make_artifact(
    element: Any, subtype: str, stream: list[Any], owners: list[Any], by_reference: dict[bytes, Any]
) -> None:
    """Take an element and all below it out of the tree; what it marks on its page is an artifact then."""
    import pydyf

    marked = set(_marked(element, by_reference))
    for part in _below(element, by_reference):
        part.free = "f"
    for at, item in enumerate(stream):
        if isinstance(item, pydyf.Dictionary) and item.get("MCID") in marked:
            stream[at - 1] = "/Artifact"
            stream[at] = pydyf.Dictionary({"Type": "/Pagination", "Subtype": subtype})
    for number in marked:
        owners[number] = "null"


def _marked(element: Any, by_reference: dict[bytes, Any]) -> Iterator[int]:
    for part in _below(element, by_reference):
        yield from (kid for kid in part["K"] if isinstance(kid, int))


def _below(element: Any, by_reference: dict[bytes, Any]) -> Iterator[Any]:
    yield element
    for kid in element["K"]:
        if not isinstance(kid, int):
            yield from _below(by_reference[kid], by_reference)
