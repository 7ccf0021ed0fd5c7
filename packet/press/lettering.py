"""Words in a drawing set a line at a time.

WeasyPrint lays out every letter of an SVG text by itself, as letters may be turned and moved one by one; ours never
are, and letter by letter a drawing's words take longer than its lines. What is plain is set here in one go, kerned;
anything else goes to WeasyPrint, letter by letter from its start. A test sees to it that our drawings are all plain.
"""

from copy import copy
from functools import cache, lru_cache
from math import inf
from typing import Any

# attributes that move single letters, or that we have no use for
LETTER_BY_LETTER = frozenset(
    [
        "dx",
        "dy",
        "rotate",
        "textLength",
        "lengthAdjust",
        "letter-spacing",
        "direction",
        "dominant-baseline",
        "alignment-baseline",
        "display-anchor",
    ]
)
SHIFT = {"start": 0.0, "middle": 0.5, "end": 1.0}


@cache
def use() -> None:
    """From here on, this process sets plain words in drawings a line at a time."""
    from weasyprint import svg
    from weasyprint.svg import utils

    svg.TAGS["text"] = _text
    parse = lru_cache(maxsize=256)(utils.parse_color)
    # whoever asks for a color may change it
    utils.parse_color = lambda words: copy(parse(words))


def is_plain(node: Any) -> bool:
    """Whether a text stands on one line from one place, with no part set apart. node: weasyprint.svg.Node."""
    places = (node.get("x", "0"), node.get("y", "0"))
    return bool(
        node.text
        and not list(node)
        and not LETTER_BY_LETTER.intersection(node.attrib)
        and node.get("text-anchor", "start") in SHIFT
        and all(len(place.split()) == 1 for place in places)
    )


def _text(svg: Any, node: Any, font_size: float) -> None:
    from weasyprint.css.properties import INITIAL_VALUES
    from weasyprint.draw.text import draw_first_line
    from weasyprint.matrix import Matrix
    from weasyprint.svg.bounding_box import EMPTY_BOUNDING_BOX
    from weasyprint.svg.text import Style, TextBox, text
    from weasyprint.svg.utils import size
    from weasyprint.text.line_break import split_first_line

    if not is_plain(node):
        node.text_bounding_box = EMPTY_BOUNDING_BOX
        text(svg, node, font_size)
        return
    style = Style(INITIAL_VALUES)
    style.font_config = svg.font_config
    style["font_family"] = [name.strip("\"' ") for name in node.get("font-family", "sans-serif").split(",")]
    style["font_weight"] = int(node.get("font-weight", "400"))
    style["font_size"] = font_size
    line, _, _, width, _, baseline = split_first_line(node.text, style, svg.context, inf, 0)
    x = size(node.get("x", "0"), font_size, svg.inner_width) - SHIFT[node.get("text-anchor", "start")] * width
    y = size(node.get("y", "0"), font_size, svg.inner_height)
    svg.stream.push_state()
    fill, stroke = svg.set_graphical_state(node, font_size)
    svg.stream.begin_text()
    line.reactivate(style)
    svg.fill_stroke(fill, stroke, text=True)
    box = TextBox(line, style)
    box.baseline = baseline
    draw_first_line(svg.stream, box, "none", "none", Matrix(d=-1, e=x, f=y))
    svg.stream.end_text()
    svg.stream.pop_state()
