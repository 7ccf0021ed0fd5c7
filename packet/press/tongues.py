"""What stands on a paper in another language than the paper's says so to a screen reader.

HTML says it by `lang`; WeasyPrint hands on the document's alone. Here a tag of the PDF gets the language of the element
it was made from (ISO 32000-1, 14.9.2.2: Lang of a structure element, which holds for all below it).
"""

from collections.abc import Iterator
from functools import cache
from typing import Any

from packet.press.assets import weasyprint


@cache
def use() -> None:
    """From here on, in this process."""
    weasyprint()
    import pydyf
    from weasyprint.pdf import tags

    build = tags._build_box_tree

    def built(box: Any, *others: Any) -> Iterator[Any]:
        element = getattr(box, "_box", box).element
        language = None if element is None or element.tag == "html" else element.attrib.get("lang")
        for made in build(box, *others):
            if language:
                made["Lang"] = pydyf.String(language)
            yield made

    tags._build_box_tree = built
