"""What an element's style comes to is worked out once a process, not once an element and packet.

All packets share one style sheet, so an element with the same rules below a parent with the same style has the same
style: the very same here. With it stay its lengths, where none is a share of something else. A test holds what comes of
it to what WeasyPrint makes by itself.
"""

import sys
from functools import cache
from typing import Any
from xml.etree import ElementTree as ET

from packet.press.assets import font_configuration

# styles kept at most; a packet has some 250, of which 50 are its own
MOST = 20_000
LENGTHS = (
    *(f"{what}_{side}" for what in ("margin", "padding") for side in ("top", "right", "bottom", "left")),
    *(f"{most}{way}" for most in ("", "min_", "max_") for way in ("width", "height")),
)
CORNERS = tuple(f"border_{corner}_radius" for corner in ("top_left", "top_right", "bottom_right", "bottom_left"))
# what a box is told that has nothing behind it
BARE = {"background": None, **dict.fromkeys(CORNERS, (0, 0))}
BORDERS = tuple(f"border_{side}_width" for side in ("top", "right", "bottom", "left"))

_known: dict[Any, Any] = {}


@cache
def use() -> None:
    """From here on, in this process."""
    from weasyprint.css import StyleFor
    from weasyprint.formatting_structure.boxes import Box

    StyleFor.set_computed_styles = _kept(StyleFor.set_computed_styles)
    Box.is_in_normal_flow = _once_a_style(Box.is_in_normal_flow)
    _lengths_once()
    _grounds_once()


def _kept(work_out: Any) -> Any:
    """`StyleFor.set_computed_styles`, looking first among what is known."""

    def set_computed_styles(self: Any, element: Any, parent: Any, root: Any = None, *others: Any, **named: Any) -> None:
        pseudo, collector = named.get("pseudo_type"), named.get("target_collector")
        # a page's own style is changed while it is laid out
        if others or pseudo or not isinstance(element, ET.Element) or self.font_config is not font_configuration():
            work_out(self, element, parent, root, *others, **named)
            return
        computed = self.get_computed_styles()
        cascaded = self.get_cascaded_styles().get((element, None), {})
        # a value is known by its identity: as long as its style is kept, so is the value; a language is made anew
        key = (
            id(parent is not None and computed[parent, None]),
            tuple((name, value if name == "lang" else id(value), weight) for name, (value, weight) in cascaded.items()),
        )
        if key not in _known:
            work_out(self, element, parent, root, **named)
            if len(_known) >= MOST:
                _known.clear()
            _known[key] = computed[element, None]
            return
        found = computed[element, None] = _known[key]
        if collector and found["anchor"]:
            collector.collect_anchor(found["anchor"])

    return set_computed_styles


def _once_a_style(asked: Any) -> Any:
    """A question whose answer lies in a box's style alone, asked once."""

    def answer(box: Any) -> bool:
        kept = box.style.__dict__
        if "in_flow" not in kept:
            kept["in_flow"] = asked(box)
        return bool(kept["in_flow"])

    return answer


def _lengths_once() -> None:
    """A box takes its lengths from those that another box of its style has."""
    from weasyprint.layout import percent

    resolve = percent.resolve_percentages

    def resolve_percentages(box: Any, containing_block: Any) -> None:
        style = box.style
        lengths = style.__dict__.get("lengths")
        if lengths:
            box.__dict__.update(lengths)
            return
        resolve(box, containing_block)
        if lengths is None:
            is_own = style["border_collapse"] != "collapse" and all(_is_fixed(style[name]) for name in LENGTHS)
            style.lengths = {name: box.__dict__[name] for name in (*LENGTHS, *BORDERS)} if is_own else {}

    # it was handed to every module that lays something out
    for name, module in list(sys.modules.items()):
        if name.startswith("weasyprint.") and module.__dict__.get("resolve_percentages") is resolve:
            module.__dict__["resolve_percentages"] = resolve_percentages


def _is_fixed(length: Any) -> bool:
    return length == "auto" or getattr(length, "unit", None) == "px"


def _grounds_once() -> None:
    """A box of a style with nothing behind it, and no round corner, is told so at once."""
    from weasyprint.layout import background

    lay_out = background.layout_box_backgrounds

    def layout_box_backgrounds(page: Any, box: Any, get_image: Any, children: bool = True, style: Any = None) -> None:
        kept = box.style.__dict__
        if "is_bare" not in kept:
            kept["is_bare"] = _is_bare(box.style)
        if not kept["is_bare"] or box is page or style is not None:
            lay_out(page, box, get_image, children, style)
            return
        box.__dict__.update(BARE)
        if children:
            for child in box.all_children():
                layout_box_backgrounds(page, child, get_image)

    background.layout_box_backgrounds = layout_box_backgrounds


def _is_bare(style: Any) -> bool:
    from weasyprint.draw.color import get_color

    return bool(
        style["visibility"] == "visible"
        and style["border_image_source"][0] == style["mask_border_source"][0] == "none"
        and all(kind == "none" for kind, _ in style["background_image"])
        and get_color(style, "background_color").alpha == 0
        and not style["box_shadow"]
        and all((0, "px") in style[corner] for corner in CORNERS)
    )
