"""The tag tree of a PDF: what a screen reader is told, each thing once.

WeasyPrint makes an element of the tree of every piece of text and of every span around it. Here text hangs in the
paragraph, the head or the cell that it stands in, and what says nothing is not there: less than half as many objects to
write, to join and to read. What WeasyPrint leaves out is told: the scope of a table's heads, the language of what is in another
than the paper (ISO 32000-1, 14.9.2.2), the strips at a page's foot as part of its text; what else stands in the margins
is an artifact of the page (ISO 14289-1, 7.5 and 7.8, from memory).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

STRIPS = "@bottom-right-corner"
# these may hold text by themselves (ISO 32000-1, 14.8.4.2: grouping elements may not)
HOLDING = frozenset(["/P", "/H1", "/H2", "/H3", "/H4", "/H5", "/H6", "/TD", "/TH", "/Caption", "/Span"])
OF_TABLES = frozenset(["THead", "TBody", "TFoot", "TR", "TD", "TH"])
# what WeasyPrint builds; what is in them comes back here
LEFT_TO_IT = frozenset(["Figure", "Table", "L", "LI", "Lbl", "Link"])


@cache
def use() -> None:
    """From here on, in this process."""
    from weasyprint.pdf import tags

    tags._build_box_tree = _builder(tags._build_box_tree)


@dataclass(frozen=True, slots=True)
class _On:
    """A page whose tree is built, as WeasyPrint hands it on. owners: of its marked content, by number; tags: by box, until
    they are hung."""

    pdf: Any
    number: int
    owners: dict[int, Any]
    annotations: list[Any]
    tags: dict[Any, Any]


def _builder(build: Callable[..., Iterator[Any]]) -> Callable[..., Iterator[Any]]:
    """`_build_box_tree`: the elements of a box and of what is in it. build: WeasyPrint's own."""
    from weasyprint.formatting_structure import boxes
    from weasyprint.pdf.tags import _get_pdf_tag

    def built(box: Any, parent: Any, *others: Any) -> Iterator[Any]:
        on = _On(*others)
        if isinstance(box, boxes.PageBox) or box.element_tag in {"html", "body"}:
            for child in box.children:
                yield from built(_placed(child), parent, *others)
        elif isinstance(box, boxes.MarginBox):
            if box.at_keyword == STRIPS:
                made = _new(on, "Div", parent)
                hang(box, made, on)
                yield from [made] if made["K"] else []
            else:
                _make_artifact(box, on)
        elif (tag := _tag(box)) in LEFT_TO_IT or box.link_annotation or box.widget_annotation:
            yield from _in_its_language(box, build(box, parent, *others))
        else:
            made = _new(on, tag, parent)
            if tag in {"TD", "TH"}:
                _about_cell(made, box, parent)
            below = hang(box, made, on)
            if below == ["/P", "/H1"]:
                # what floats beside a heading stands before it in the HTML
                made["K"].reverse()
            if made["K"] or tag in OF_TABLES:
                yield from _in_its_language(box, [made])
            else:
                # a line to write on has no words; nothing was added to the file since
                assert on.pdf.objects.pop() is made

    def hang(box: Any, into: Any, on: _On) -> list[str]:
        """Hang what is in a box into an element; the kinds of what came below it."""
        kinds: list[str] = []
        for child in box.children:
            for one in map(_placed, child.children if isinstance(child, boxes.LineBox) else [child]):
                if isinstance(one, boxes.TextBox):
                    number = on.tags.pop(one)["mcid"]
                    holder = into if into["S"] in HOLDING else _new(on, "Span", into)
                    if holder is not into:
                        into["K"].append(holder.reference)
                        kinds.append("/Span")
                    holder["K"].append(number)
                    on.owners[number] = holder.reference
                elif _says_nothing(one, box):
                    kinds += hang(one, into, on)
                else:
                    for made in built(one, into, on.pdf, on.number, on.owners, on.annotations, on.tags):
                        into["K"].append(made.reference)
                        kinds.append(made["S"])
        return kinds

    def _tag(box: Any) -> str:
        tag: str = _get_pdf_tag(None if box.element is None else box.element_tag)
        return tag

    def _says_nothing(box: Any, around: Any) -> bool:
        """Whether a box is there for its looks alone."""
        if box.link_annotation or box.widget_annotation or isinstance(box, boxes.ReplacedBox):
            return False
        if box.element is around.element:  # no element of its own
            return True
        tag = _tag(box)
        is_for_looks = tag == "Span" or (tag == "NonStruct" and isinstance(box, boxes.InlineLevelBox))
        return is_for_looks and "lang" not in box.element.attrib

    return built


def _placed(box: Any) -> Any:
    """A box, where one stands for it."""
    return getattr(box, "_box", box)


def _new(on: _On, tag: str, parent: Any) -> Any:
    import pydyf

    made = pydyf.Dictionary(
        {
            "Type": "/StructElem",
            "S": f"/{tag}",
            "K": pydyf.Array([]),
            "Pg": _page(on),
            "P": parent.reference,
        }
    )
    made.in_head = parent["S"] == "/THead" or getattr(parent, "in_head", False)
    on.pdf.add_object(made)
    return made


def _page(on: _On) -> Any:
    # pydyf looks for all of them whenever it is asked
    kept = on.pdf.__dict__
    if "pages_found" not in kept:
        kept["pages_found"] = on.pdf.page_references
    return kept["pages_found"][on.number]


def _about_cell(made: Any, box: Any, row: Any) -> None:
    import pydyf

    made["A"] = about = pydyf.Dictionary({"O": "/Table"})
    if box.colspan != 1:
        about["ColSpan"] = box.colspan
    if box.rowspan != 1:
        about["RowSpan"] = box.rowspan
    if made["S"] == "/TH":
        about["Scope"] = "/Column" if row.in_head else "/Row"
    # where WeasyPrint looks for it when it names each cell's heads
    box.mark = made


def _in_its_language(box: Any, made: Any) -> Iterator[Any]:
    import pydyf

    language = None if box.element is None else box.element.attrib.get("lang")
    for one in made:
        if language:
            one["Lang"] = pydyf.String(language)
        yield one


def _make_artifact(box: Any, on: _On) -> None:
    """What a box of the margin marks on its page is no text: noted for `mend_marks`, when the page is at hand."""
    subtype = "/Header" if box.at_keyword.startswith("@top") else "/Footer"
    noted = on.pdf.__dict__.setdefault("artifacts", {}).setdefault(on.number, {})
    for one in map(_placed, box.descendants(placeholders=True)):
        if one in on.tags:
            number = on.tags.pop(one)["mcid"]
            on.owners[number] = "null"
            noted[number] = subtype


def mend_marks(_document: Any, pdf: Any) -> None:
    """Mark as artifacts what stands in the margins of a finished PDF. pdf: pydyf.PDF, not written yet."""
    import pydyf

    for page, noted in getattr(pdf, "artifacts", {}).items():
        on = pdf.objects[int(pdf.page_references[page].split()[0])]
        contents = int(on["Contents"].split()[0])
        stream = pdf.objects[contents].stream
        for at, item in enumerate(stream):
            if isinstance(item, pydyf.Dictionary) and item.get("MCID") in noted:
                subtype = noted[item["MCID"]]
                stream[at - 1] = "/Artifact"
                stream[at] = pydyf.Dictionary({"Type": "/Pagination", "Subtype": subtype})
