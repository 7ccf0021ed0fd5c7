"""Words that this process measured or drew before are not measured or drawn again.

Packets say the same over and over, and WeasyPrint has Pango shape every piece of text two or three times: to find its
width, to break its line, to draw it. What came of it is kept by the words and everything of their style that shapes
them. A test holds what comes of it to what WeasyPrint makes by itself.
"""

import re
from functools import cache
from typing import Any

from packet.press.assets import font_configuration

# what shapes a piece of text; the rest of its style only says where it stands and in what color
SHAPING = (
    *("font_family", "font_style", "font_stretch", "font_weight", "font_size", "font_kerning"),
    *(f"font_variant_{what}" for what in ("ligatures", "position", "caps", "numeric", "alternates", "east_asian")),
    *("font_feature_settings", "font_variation_settings", "font_language_override", "lang", "direction"),
    *("white_space", "letter_spacing", "word_spacing", "tab_size", "overflow_wrap", "word_break", "hyphens"),
    *("hyphenate_character", "hyphenate_limit_chars", "hyphenate_limit_zone", "text_decoration_line"),
)
# pieces of text kept at most; the demo day's packets have some five thousand
MOST = 50_000
LETTERS = re.compile(r"<([0-9a-f]+)>")

_shapes: dict[Any, int] = {}
_measured: dict[Any, Any] = {}
_drawn: dict[Any, "_Drawn"] = {}


@cache
def use() -> None:
    """From here on, in this process."""
    from weasyprint import draw
    from weasyprint.layout import inline, preferred

    inline.strut = _strut_once(inline.strut)
    for module in (inline, preferred):
        module.split_first_line = _split_once(module.split_first_line)
    draw.draw_text = _draw_once(draw.draw_text)


def _split_once(split: Any) -> Any:
    """`weasyprint.text.line_break.split_first_line`, looking first among what is known."""

    def split_first_line(words: str, style: Any, context: Any, wide: Any, spacing: Any, **line: bool) -> Any:
        if spacing or style.font_config is not font_configuration():
            return split(words, style, context, wide, spacing, **line)
        shape = _shape(style)
        whole = words, shape
        # what stands on one line stands so on every line that is wide enough
        if whole in _measured and (wide is None or _measured[whole][3] <= wide):
            return _measured[whole]
        broken = words, shape, wide, *line.items()
        if broken not in _measured:
            found = split(words, style, context, wide, spacing, **line)
            fits = found[2] is None and (wide is None or found[3] <= wide)
            _keep(_measured, whole if fits else broken, found)
            return found
        return _measured[broken]

    return split_first_line


def _strut_once(strut: Any) -> Any:
    """`weasyprint.text.line_break.strut`: how high a style's lines are, and where they stand; it stays with the style."""

    def strut_of(style: Any) -> Any:
        if "strut" not in style.__dict__:
            style.strut = strut(style)
        return style.strut

    return strut_of


def _draw_once(draw_text: Any) -> Any:
    """`weasyprint.draw.text.draw_text`, looking first among what is known."""

    def drawn(stream: Any, box: Any, offset_x: float, text_overflow: str, block_ellipsis: str) -> None:
        style, layout = box.style, box.pango_layout
        is_plain = (
            style.font_config is font_configuration()
            and style["visibility"] == "visible"
            and style["text_decoration_line"] == "none"
            and not layout.justification_spacing
            and text_overflow == "clip"
            and block_ellipsis == "none"
        )
        if not is_plain:
            draw_text(stream, box, offset_x, text_overflow, block_ellipsis)
            return
        key = layout.text, _shape(style)
        known = _drawn.get(key)
        if known is None or not known.draw(stream, style["color"], box.position_x, box.position_y + box.baseline):
            heard = _Heard(stream)
            draw_text(heard, box, offset_x, text_overflow, block_ellipsis)
            if heard.is_plain:
                _keep(_drawn, key, _Drawn(heard))

    return drawn


def _keep(kept: dict[Any, Any], key: Any, found: Any) -> None:
    if len(kept) >= MOST:
        kept.clear()
    kept[key] = found


def _shape(style: Any) -> int:
    """A number for all that shapes text in a style; it stays with the style."""
    number: int | None = style.__dict__.get("shape")
    if number is None:
        key = tuple(tuple(value) if isinstance(value := style[name], list | set) else value for name in SHAPING)
        number = style.shape = _shapes.setdefault(key, len(_shapes))
    return number


class _Heard:
    """A page's stream that notes the text drawn on it."""

    def __init__(self, stream: Any) -> None:
        self.stream_ = stream
        self.is_plain = True
        self.is_placed = False
        self.font: tuple[str, float] = ("", 0.0)
        self.shown: list[tuple[str, float, str]] = []

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream_, name)

    def add_font(self, pango_font: Any) -> Any:
        font, size = self.stream_.add_font(pango_font)
        self.is_plain &= not (font.bitmap or font.svg or font.png or font.colr)
        return font, size

    def set_text_matrix(self, *matrix: float) -> None:
        self.is_placed = True
        self.stream_.set_text_matrix(*matrix)

    def set_font_size(self, font: str, size: float) -> None:
        self.font = font, size
        self.stream_.set_font_size(font, size)

    def set_text_rise(self, height: float) -> None:
        self.is_plain = False
        self.stream_.set_text_rise(height)

    def show_text(self, text: str) -> None:
        self.shown.append((*self.font, text))
        self.stream_.show_text(text)


class _Drawn:
    """Words as they were drawn, to be drawn so again: font, size and letters; and what each font must know for it."""

    def __init__(self, heard: _Heard) -> None:
        self.is_placed = heard.is_placed
        self.shown = heard.shown
        keys = {font.hash: key for key, font in heard._fonts.items()}
        self.letters = [(keys[font], _letters(text)) for font, _, text in heard.shown]

    def draw(self, stream: Any, color: Any, x: float, y: float) -> bool:
        """Draw them, where the document has met all their letters before; otherwise only say that it has not."""
        for key, letters in self.letters:
            font = stream._fonts.get(key)
            if font is None or not (letters <= font.widths.keys() and letters <= font.to_unicode.keys()):
                return False
        stream.set_color(color)
        stream.begin_text()
        if self.is_placed:
            stream.set_text_matrix(1, 0, 0, -1, x, y)
        for font, size, text in self.shown:
            stream.set_font_size(font, size)
            stream.show_text(text)
        stream.end_text()
        return True


def _letters(text: str) -> frozenset[int]:
    """The glyphs of a text as a PDF shows it: four hexadecimal digits each."""
    return frozenset(int(part[at : at + 4], 16) for part in LETTERS.findall(text) for at in range(0, len(part), 4))
