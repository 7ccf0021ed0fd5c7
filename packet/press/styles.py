"""What an element's style comes to is worked out once a process, not once an element and packet.

All packets share their style sheets, so an element in a place like another's has the other's style: nobody asks again
which rules fit it. One in a new place, with the same rules below a parent with the same style, has the same style, too:
the very same. With it stay its lengths, where none is a share of something else. Tests hold what comes of it to what
WeasyPrint makes by itself, and our selectors to what a place tells them.
"""

import sys
from functools import cache
from math import inf
from types import SimpleNamespace
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

# what tells one child from the next, a table's cells aside: no selector of ours counts further than to the ninth
COUNTED = 9
# places kept at most; a packet has some 700, of which 200 are its own
MOST_PLACES = 100_000

_known: dict[Any, Any] = {}
_numbers: dict[Any, int] = {}
_in_place: dict[int, tuple[tuple[str | None, Any], ...]] = {}


@cache
def use() -> None:
    """From here on, in this process."""
    from weasyprint.css import StyleFor
    from weasyprint.formatting_structure.boxes import Box

    StyleFor.set_computed_styles = _kept(StyleFor.set_computed_styles)
    StyleFor.__init__ = _by_place(StyleFor.__init__)
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


def _by_place(work_out: Any) -> Any:
    """`StyleFor.__init__`, asking for the rules of an element only where none stood in such a place before."""

    def style_all(self: Any, html: Any, sheets: Any, *others: Any) -> None:
        hints, font_config, collector = others
        places = getattr(html, "places", None)
        if places is None or hints or font_config is not font_configuration():
            work_out(self, html, sheets, *others)
            return
        self._cascaded_styles, self._computed_styles = {}, {}
        self.initial_page_sizes = {"box": None, "area": None}
        self._sheets, self.font_config = sheets, font_config
        if len(_numbers) >= MOST_PLACES:
            _numbers.clear()
            _in_place.clear()
        # a sheet is known by its identity: those that are kept here live as long as what is known of them
        ruling = tuple(item for item in sheets if _has_rules(item[0].matcher))
        for element, place in places(_number(tuple(sheet for sheet, _, _ in ruling)), _number):
            found = _in_place.get(place)
            if found is None:
                found = _in_place[place] = _worked_out(self, html, element, ruling, collector)
            for pseudo, style in found:
                self._computed_styles[element.etree_element, pseudo] = style
        self._cascaded_styles.clear()

    return style_all


def _number(what: Any) -> int:
    return _numbers.setdefault(what, len(_numbers))


def _has_rules(matcher: Any) -> bool:
    return bool(
        matcher.id_selectors
        or matcher.class_selectors
        or matcher.lower_local_name_selectors
        or matcher.namespace_selectors
        or matcher.lang_attr_selectors
        or matcher.other_selectors
    )


def _worked_out(self: Any, html: Any, element: Any, sheets: Any, collector: Any) -> tuple[tuple[str | None, Any], ...]:
    """The styles of an element and its pseudo-elements, as `StyleFor.__init__` works them out."""
    from weasyprint.css import declaration_precedence, find_style_attributes, preprocess_declarations

    own = element.etree_element
    cascaded: dict[str | None, dict[str, Any]] = {}

    def add(pseudo: str | None, declarations: Any, origin: str, layer: float, specificity: Any) -> None:
        style = cascaded.setdefault(pseudo, {})
        for name, value, is_important in declarations:
            weight = (declaration_precedence(origin, is_important), layer, specificity)
            if name not in style or style[name][1] <= weight:
                style[name] = value, weight

    for specificity, _, declarations, url in find_style_attributes(SimpleNamespace(iter=lambda: (own,))):
        add(None, preprocess_declarations(url, declarations), "author", inf, specificity)
    for sheet, origin, of_sheet in sheets:
        for specificity, _, pseudo, (declarations, layer) in sheet.matcher.match(element):
            at = inf if layer is None else sheet.layers.index(layer)
            add(pseudo, declarations, origin, at, of_sheet or specificity)
    root = html.etree_element
    parent = element.parent.etree_element if element.parent else None
    for pseudo in dict.fromkeys((None, *cascaded)):
        self._cascaded_styles[own, pseudo] = cascaded.get(pseudo, {})
        above = parent if pseudo is None else own
        named = {} if pseudo is None else {"pseudo_type": pseudo}
        self.set_computed_styles(own, above, root, base_url=html.base_url, target_collector=collector, **named)
    return tuple((pseudo, self._computed_styles[own, pseudo]) for pseudo in dict.fromkeys((None, *cascaded)))


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
