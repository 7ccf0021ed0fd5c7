"""A packet's HTML as WeasyPrint's tree, read and styled the short way.

A packet is well-formed XML as well as HTML, so the standard library's parser reads it in a thirtieth of the time of
one that forgives; and the style sheet that all packets share, with its typefaces, is parsed once a process. A test
sees to it that both ways give the same PDF, byte for byte.
"""

from functools import cache
from importlib.resources import files
from typing import Any
from xml.etree import ElementTree as ET

from packet.press import lettering, lines, rules, styles
from packet.press.assets import fetcher, font_configuration, style, weasyprint


@cache
def _tree_class() -> type:
    weasyprint()
    from cssselect2 import ElementWrapper
    from weasyprint import HTML

    class Tree(HTML):  # type: ignore[misc]
        """An HTML document from an element tree. Sets what `weasyprint.HTML.__init__` sets."""

        def __init__(self, root: ET.Element) -> None:
            self.base_url = None
            self.url_fetcher = fetcher()
            self.media_type = "print"
            self.wrapper_element = ElementWrapper.from_html_root(root, content_language=None)
            self.etree_element = self.wrapper_element.etree_element

        def _ua_stylesheets(self, _forms: bool = False) -> list[Any]:
            """Our elements' sheet in the place of the one for all of HTML."""
            return [_elements()]

    return Tree


def laid_out(html: str, **options: Any) -> Any:
    """A packet's HTML laid out: a `weasyprint.Document`. options: as for `weasyprint.HTML.render`.

    Raises MissingLibrary, and xml.etree.ElementTree.ParseError where the HTML is not well-formed.
    """
    root = ET.fromstring(html)
    shared = _take_style(root)
    lettering.use()
    lines.use()
    rules.use()
    styles.use()
    return _tree_class()(root).render(
        font_config=font_configuration(), stylesheets=[_style_sheet()] if shared else None, **options
    )


def _take_style(root: ET.Element) -> bool:
    """Take the shared style out of the head, if it stands there."""
    for head in root.findall("head"):
        for element in head.findall("style"):
            if element.text == style():
                head.remove(element)
                return True
    return False


@cache
def _style_sheet() -> Any:
    return weasyprint().CSS(string=style(), url_fetcher=fetcher(), font_config=font_configuration())


@cache
def _elements() -> Any:
    return weasyprint().CSS(string=files("packet.templates").joinpath("elements.css").read_text("utf-8"))
