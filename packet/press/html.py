"""From a packet's content to one HTML text that stands alone, and the revision that numbers it."""

from dataclasses import dataclass
from functools import cache, lru_cache
from hashlib import sha256

from jinja2 import Environment
from markupsafe import Markup

from packet.document import revision_letters
from packet.press import ink
from packet.press.assets import css_string, environment, style
from packet.press.marks import PAPER_MM, QR_FROM_BOTTOM_MM, QR_FROM_RIGHT_MM, QR_FROM_TOP_MM, QR_SIDE_MM
from packet.press.plot import plotted
from packet.sheets import strips
from packet.sheets.both import hold_word
from packet.sheets.front_high import foot_mm, glance_mm
from packet.sheets.model import Content, Front
from packet.sheets.strips import FOOT_ROW_MM, FROM_EDGE_MM, LARGER
from packet.words import speaking, t

TEXT_WIDTH_MM = 186.0
AIR_ABOVE_CODE_MM = 2.0
LEAST_BOTTOM_MM = QR_FROM_BOTTOM_MM + QR_SIDE_MM + AIR_ABOVE_CODE_MM
HEAD_FROM_TOP_MM = 16.5


@dataclass(frozen=True, slots=True)
class Notice:
    """What a new revision says on its front: which print it replaces, and what changed."""

    title: str
    lines: tuple[str, ...]


def to_html(content: Content, revision: str = "", notice: Notice | None = None, *, is_tight: bool = False) -> str:
    """The packet as one HTML text: style inside, typefaces by `asset:` address (see assets.fetcher). is_tight: with less
    white between its lines, type and boxes as they are."""
    with speaking(content.language):
        return _html(content, revision, notice, is_tight)


def _html(content: Content, revision: str, notice: Notice | None, is_tight: bool) -> str:
    width, height = PAPER_MM[content.paper]
    side = (width - TEXT_WIDTH_MM) / 2
    return (
        templates()
        .get_template("sheets/packet.html")
        .render(
            content=content,
            is_tight=is_tight,
            style=Markup(style()),
            page={
                "width": width,
                "height": height,
                "side": side,
                "text": TEXT_WIDTH_MM,
                "high": height - HEAD_FROM_TOP_MM - LEAST_BOTTOM_MM,
                "top": QR_FROM_TOP_MM + QR_SIDE_MM + AIR_ABOVE_CODE_MM / 2,
                "bottom": max(LEAST_BOTTOM_MM, strips.foot_mm(content)),
                "front": _front_bottom_mm(content),
                "least": LEAST_BOTTOM_MM,
                "cut": FROM_EDGE_MM + FOOT_ROW_MM * (LARGER if content.size == "large" else 1.0) + AIR_ABOVE_CODE_MM,
                "code": QR_FROM_RIGHT_MM + QR_SIDE_MM - side + AIR_ABOVE_CODE_MM,
                "numbering": page_numbering(),
            },
            revision_words=t("Revision {revision}", revision=revision) if revision else "",
            notice=notice,
            truck=content.truck if revision else (),
            deferral=t(
                "Makers' instructions, safety data sheet, local codes and the licensed technician's judgment come first."
            ),
            glance_mm=_glance(content),
        )
    )


def _front_bottom_mm(content: Content) -> float:
    """The front's bottom margin: what stands at its foot for whoever needs help; 0 where there is no front."""
    larger = LARGER if content.size == "large" else 1.0
    for sheet in content.sheets:
        if isinstance(sheet, Front):
            high = FROM_EDGE_MM + FOOT_ROW_MM * larger + foot_mm(sheet, larger)
            return max(LEAST_BOTTOM_MM, high + AIR_ABOVE_CODE_MM)
    return 0.0


@cache
def templates() -> Environment:
    """The packet's templates, with the press's own drawings as filters."""
    made = environment()
    made.globals["hold_word"] = hold_word
    made.filters.update(fitted_on=ink.fitted_on, drawn=ink.drawn, plotted=plotted)
    return made


def revision_of(content: Content) -> str:
    """The first eight base32 letters of the SHA-256 of the packet's HTML without revision and notice.

    Style and typeface digests are part of the HTML, so what is numbered is what the reader sees.
    """
    return _revision(content, style())


@lru_cache(maxsize=4)
def _revision(content: Content, _style: str) -> str:
    # asked for more than once on the way to a print; the style is part of what was set
    return revision_letters(to_html(content))


def sheet_digests(content: Content) -> dict[str, str]:
    """A digest of each sheet's words by sheet name, to say later which sheets a new revision changed."""
    return {sheet.name: sha256(repr(sheet).encode()).hexdigest()[:8] for sheet in content.sheets}


def page_numbering() -> list[str]:
    """'Page {page} of {pages}' as CSS content, in whatever order the language puts it."""
    counters = {"\x01": "counter(page)", "\x02": "counter(pages)"}
    words = t("Page {page} of {pages}", page="\x01", pages="\x02")
    parts: list[str] = []
    text = ""
    for sign in [*words, ""]:
        if sign in counters or not sign:
            parts += [css_string(text)] if text else []
            parts += [Markup(counters[sign])] if sign else []
            text = ""
        else:
            text += sign
    return parts


def _glance(content: Content) -> tuple[float, ...]:
    larger = LARGER if content.size == "large" else 1.0
    return next((glance_mm(sheet, larger) for sheet in content.sheets if isinstance(sheet, Front)), ())
