"""Where the boxes to tick, initial and write in ended up: read from WeasyPrint's laid-out pages.

In HTML such a place is an element with `data-box` (its key), `data-kind` (check, initial, blank) and `data-label`;
a comb of cells has its `data-form`.
"""

from collections.abc import Iterator
from hashlib import sha256
from typing import Any
from xml.etree import ElementTree as ET

from packet.figures import NO_BREAK
from packet.press.printed import PrintedBox

MM_PER_PX = 25.4 / 96
HEAD_AND_FOOT = frozenset({"@top-left", "@bottom-left"})


def elements(page_box: Any) -> Iterator[Any]:
    """Every laid-out box on a page that belongs to an element with attributes, in document order."""
    waiting = [page_box]
    while waiting:
        # an absolutely placed box stands behind a placeholder
        box = waiting.pop()
        box = getattr(box, "_box", box)
        element = box.element
        # an anonymous box repeats the element of the one around it; pseudo-elements carry a '::' in their tag
        if element is not None and element.attrib and "::" not in (box.element_tag or ""):
            yield box
        waiting.extend(reversed(getattr(box, "children", ())))


def boxes_and_sheets(page_box: Any, page: int) -> tuple[tuple[PrintedBox, ...], str]:
    """The boxes of a page, and the names of the sheets that stand on it (`data-sheet`), in their order."""
    found: dict[str, PrintedBox] = {}
    sheets: dict[str, None] = {}
    for box in elements(page_box):
        attributes = box.element.attrib
        if "data-sheet" in attributes:
            sheets[attributes["data-sheet"]] = None
        key = attributes.get("data-box")
        if key and key not in found:
            found[key] = PrintedBox(
                key=key,
                page=page,
                kind=attributes["data-kind"],
                x_mm=_mm(box.border_box_x()),
                y_mm=_mm(box.border_box_y()),
                w_mm=_mm(box.border_width()),
                h_mm=_mm(box.border_height()),
                label=attributes.get("data-label", "").replace(NO_BREAK, " "),
                form=attributes.get("data-form", ""),
            )
    return tuple(found.values()), ", ".join(sheets)


def digest_of(page_box: Any) -> str:
    """A digest of what a page says, in words and drawings, without its head and foot: those name print and page."""
    made = sha256()
    waiting = [page_box]
    while waiting:
        box = waiting.pop()
        box = getattr(box, "_box", box)
        if getattr(box, "at_keyword", "") in HEAD_AND_FOOT:
            continue
        text = getattr(box, "text", None)
        if text is not None:
            made.update(text.encode() + b"\n")
        elif box.element is not None and str(box.element.tag).endswith("svg"):
            made.update(ET.tostring(box.element))
        waiting.extend(reversed(getattr(box, "children", ())))
    return made.hexdigest()[:8]


def lowest_mm(page_box: Any) -> float:
    """How far down from a page's top its words and drawings reach, head and foot aside; 0 on a blank page."""
    lowest = 0.0
    waiting = [page_box]
    while waiting:
        box = waiting.pop()
        box = getattr(box, "_box", box)
        if getattr(box, "at_keyword", ""):
            continue
        if getattr(box, "text", None) is not None or (box.element is not None and str(box.element.tag).endswith("svg")):
            lowest = max(lowest, float(box.position_y) + float(box.height))
        waiting.extend(getattr(box, "children", ()))
    return _mm(lowest)


def _mm(pixels: float) -> float:
    return round(pixels * MM_PER_PX, 2)
