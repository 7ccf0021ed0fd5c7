"""A packet's HTML as WeasyPrint's tree, read and styled the short way.

A packet is well-formed XML as well as HTML, so the standard library's parser reads it in a thirtieth of the time of
one that forgives; and the style sheet that all packets share, with its typefaces, is parsed once a process. A test
sees to it that both ways give the same PDF, byte for byte.
"""

from collections.abc import Callable, Iterator
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any
from xml.etree import ElementTree as ET

from packet.press import lettering, lines, packing, rules, styles, tags
from packet.press.assets import fetcher, font_configuration, weasyprint

# a table's columns may be counted as far as they go
CELLS = ("td", "th")


@cache
def _tree_class() -> type:
    weasyprint()
    from cssselect2 import ElementWrapper
    from weasyprint import HTML

    class Root(ElementWrapper):  # type: ignore[misc]
        """The whole document."""

        def query_all(self, *selectors: Any) -> Iterator[Any]:
            """Those that are asked for: titles, data and links, which stand in the head alone."""
            for child in self.iter_children():
                if child.local_name == "head":
                    yield from ElementWrapper.query_all(child, *selectors)

    class Tree(HTML):  # type: ignore[misc]
        """An HTML document from an element tree. Sets what `weasyprint.HTML.__init__` sets."""

        def __init__(self, root: ET.Element) -> None:
            self.base_url = None
            self.url_fetcher = fetcher()
            self.media_type = "print"
            self.wrapper_element = Root.from_html_root(root, content_language=None)
            self.etree_element = self.wrapper_element.etree_element

        def places(self, number: int, number_of: Callable[[Any], int]) -> Iterator[tuple[Any, int]]:
            """Every element in tree order, and the number of its place: what a selector may ask about it. Of drawings only what
            they consist of: they have no style and no box but their own (`elements.css` hides it).

            number: of what is around the root; number_of: a number for a place.
            """
            waiting = [(self.wrapper_element, number_of((number, *_asked(self.etree_element))))]
            while waiting:
                element, place = waiting.pop()
                yield element, place
                if element.parent is not None and element.parent.local_name == "svg":
                    continue
                inside, before = [], None
                last = len(element.etree_element) - 1
                for at, child in enumerate(element.iter_children()):
                    own = child.etree_element
                    counted = at if own.tag in CELLS else min(at, styles.COUNTED)
                    of_child = place, counted, at == last, before, *_asked(own)
                    inside.append((child, number_of(of_child)))
                    before = own.tag, own.get("class")
                waiting.extend(reversed(inside))

        def _ua_stylesheets(self, _forms: bool = False) -> list[Any]:
            """Our elements' sheet in the place of the one for all of HTML."""
            return [_elements()]

    return Tree


def _asked(element: ET.Element) -> tuple[str | None, ...]:
    """What a selector of ours, or WeasyPrint, asks an element about its style."""
    of = element.attrib.get
    return element.tag, of("class"), of("style"), of("lang"), of("id"), of("width"), of("height")


def laid_out(html: str, **options: Any) -> Any:
    """A packet's HTML laid out: a `weasyprint.Document`. options: as for `weasyprint.HTML.render`.

    Raises MissingLibrary, and xml.etree.ElementTree.ParseError where the HTML is not well-formed.
    """
    root = ET.fromstring(html)
    sheets = [_style_sheet(words) for words in _take_styles(root)]
    lettering.use()
    lines.use()
    packing.use()
    rules.use()
    styles.use()
    tags.use()
    return _tree_class()(root).render(font_config=font_configuration(), stylesheets=sheets, **options)


def _take_styles(root: ET.Element) -> list[str]:
    """Take the styles out of the head, in their order."""
    found = []
    for head in root.findall("head"):
        for element in head.findall("style"):
            head.remove(element)
            found.append(element.text or "")
    return found


@lru_cache(maxsize=64)
def _style_sheet(words: str) -> Any:
    """A style as it was parsed the first time: what all packets on a paper share is of one parsing, so that their
    elements' styles are known, too (`styles`)."""
    return weasyprint().CSS(string=words, url_fetcher=fetcher(), font_config=font_configuration())


@cache
def _elements() -> Any:
    return weasyprint().CSS(string=files("packet.templates").joinpath("elements.css").read_text("utf-8"))
