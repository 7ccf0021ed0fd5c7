"""The drawings that the press sets: the hookup's, and what the plot (`press/plot.py`) is drawn with. mm throughout.

They are SVG with a title, so that a screen reader says what they show.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from packet.hookup.model import Drawing
from packet.press.assets import FAMILY, settable
from packet.sheets.model import HookupSheet
from packet.sheets.room import rows, wide_mm
from packet.sheets.work import BETWEEN_NAMES

LETTER_MM = 3.4  # 9.6 pt
# the opening tag; an attribute may hold a ">"
SVG_START = re.compile(r"<svg(?:[^>\"]|\"[^\"]*\")*>")

SIZE = re.compile(r' width="[^"]*" height="[^"]*"')
# a hookup's page: its head, the heads of both tables, and a row of either in the usual type
HOOKUP_HEAD_MM, TABLE_HEADS_MM = 12.0, 16.5
# larger words wrap where an estimate by the usual ones does not see it
LARGE_SLACK_MM = 3.0
HOOKUP_ROW_MM = 4.0
# below this the words of a drawing would be smaller than 9.5 pt; how many points they have at full size
SMALLEST_DRAWING, DRAWN_PT = 0.84, 11.34
# the columns of its two tables as the style sets them, and the size of their type
HOSES_MM, LARGE_HOSES_MM = (9.0, 36.4, 55.4, 25.4, 40.4, 14.0), (12.0, 36.4, 46.4, 27.4, 44.4, 15.0)
VALVE_MM, LARGE_VALVE_MM, LEAST_VALVE_MM = 90.0, 70.0, 58.0
# white right of a valve's name, and of how it stands
VALVE_WHITE_MM, MARK_WHITE_MM = 2.0, 1.3
# the column of shut-offs among those of the hoses
SHUT_OFFS = 4
TABLE_WIDE_MM = 186.0
HOOKUP_WIDE_MM, CELL_REM, CELL_PT = 184.0, 0.95, 9.5
# how much larger the tables' type may be in large print
NARROW_NAMES_FROM = 1.06
LARGER_CELLS = (1.0, 1.05, 1.1, 1.15, 1.2, 1.25)

BEYOND_ASCII = re.compile(r"[^\x00-\x7f]+")


@dataclass(frozen=True, slots=True)
class HookupFit:
    """How large a hookup's drawing (of its size) and the type of its tables are set, so that all stands on its page; whether
    the names in the tables leave more room to what stands beside them; how wide the column of valves is.
    """

    scale: float
    cells_pt: float
    has_narrow_names: bool
    valve_mm: float

    def is_whole(self, name: str, column: str) -> bool:
        """Whether a valve's name fits the column of valves, or that of shut-offs, in one row: then it is never broken."""
        room = self.valve_mm if column == "valves" else _hoses_mm(self.has_narrow_names)[SHUT_OFFS]
        return wide_mm(name) * self.cells_pt / CELL_PT * CELL_REM < room

    @property
    def least_pt(self) -> float:
        """The smallest type on the page."""
        return min(self.cells_pt, self.scale * DRAWN_PT)


def fitted_on(sheet: HookupSheet, height_mm: float, *, large: bool = False) -> HookupFit:
    """What a page so high leaves the drawing beside its hose list and valve table.

    In large print the one page is shared so that the smallest type on it is as large as can be.
    """
    if not large:
        return _fit(sheet, height_mm)
    sizes = [
        larger
        for larger in LARGER_CELLS
        if larger == 1.0 or (_beside_marks_mm(sheet, larger) >= LEAST_VALVE_MM and _ends_stay_whole(sheet, larger))
    ]
    return max((_fit(sheet, height_mm - LARGE_SLACK_MM, larger) for larger in sizes), key=lambda fit: fit.least_pt)


def _fit(sheet: HookupSheet, height_mm: float, larger: float = 1.0) -> HookupFit:
    has_narrow_names = larger > NARROW_NAMES_FROM
    hoses_mm, valve_mm = _hoses_mm(has_narrow_names), _valve_mm(sheet, larger, has_narrow_names)
    size = CELL_REM * larger
    over = rows(f"{sheet.opening} {sheet.hoses.caption}", HOOKUP_WIDE_MM, bold=True, size=larger) - 1
    hoses = sum(
        max(_high(row, hoses_mm, size), _high_whole(row[SHUT_OFFS], hoses_mm[SHUT_OFFS], size))
        for row in sheet.hoses.rows
    )
    beside = (TABLE_WIDE_MM - VALVE_WHITE_MM - valve_mm) / max(1, len(sheet.valves.heads) - 1)
    valves = sum(
        max(_high(row[1:], [beside] * len(row[1:]), size), _high_whole(row[0], valve_mm, size))
        for row in sheet.valves.rows
    )
    tables = larger * (TABLE_HEADS_MM + HOOKUP_ROW_MM * (over + hoses + valves))
    left = height_mm - HOOKUP_HEAD_MM - tables
    scale = max(SMALLEST_DRAWING, min(1.0, left / sheet.drawing.height_mm))
    return HookupFit(scale, round(CELL_PT * larger, 2), has_narrow_names, valve_mm)


def _hoses_mm(has_narrow_names: bool) -> tuple[float, ...]:
    return LARGE_HOSES_MM if has_narrow_names else HOSES_MM


def _valve_mm(sheet: HookupSheet, larger: float, has_narrow_names: bool) -> float:
    """The column of valves leaves the columns beside it as much as the longest word in them takes."""
    usual = LARGE_VALVE_MM if has_narrow_names else VALVE_MM
    return min(usual, max(LEAST_VALVE_MM, _beside_marks_mm(sheet, larger)))


def _ends_stay_whole(sheet: HookupSheet, larger: float) -> bool:
    """Whether no shut-off is broken over two rows for larger type alone."""
    wide = [wide_mm(f"{end};") * CELL_REM for row in sheet.hoses.rows for end in row[SHUT_OFFS].split(BETWEEN_NAMES)]
    room = _hoses_mm(larger > NARROW_NAMES_FROM)[SHUT_OFFS]
    return all(end * larger < room for end in wide if end < HOSES_MM[SHUT_OFFS])


def _beside_marks_mm(sheet: HookupSheet, larger: float) -> float:
    words = [word for cells in (sheet.valves.heads, *sheet.valves.rows) for cell in cells[1:] for word in cell.split()]
    most = max(map(wide_mm, words), default=0.0) * CELL_REM * larger + MARK_WHITE_MM
    return TABLE_WIDE_MM - VALVE_WHITE_MM - most * (len(sheet.valves.heads) - 1)


def _high_whole(names: str, wide: float, size: float) -> int:
    """How many rows names take that are not broken, or each as many as it needs."""
    count, left = 0, 0.0
    for name in names.split(BETWEEN_NAMES):
        room = wide_mm(name + BETWEEN_NAMES) * size
        if room > left:
            count, left = count + rows(name, wide, size=size), wide
        left -= room
    return count


def _high(cells: Sequence[str], wide_mm: Sequence[float], size: float) -> int:
    """How many rows of print a table's row takes: its highest cell. Words may part at a hyphen."""
    return max(rows(cell.replace("-", "- "), wide, size=size) for cell, wide in zip(cells, wide_mm, strict=True))


def drawn(drawing: Drawing, scale: float = 1.0) -> Markup:
    """A drawing from the hookup station, in our typeface, with its words; it escapes its own. scale: of its size."""
    # an SVG inside HTML takes nothing from the page in WeasyPrint; its title is its alternative text
    svg = BEYOND_ASCII.sub(lambda signs: escape(settable(signs[0])), drawing.svg)
    start = SVG_START.match(svg)
    if start is None:
        raise ValueError("a drawing begins with its svg element")
    inside = svg[start.end() :]
    title = "" if "<title>" in inside else f"<title>{escape(settable(drawing.alternative_text))}</title>"
    typeface = "" if "font-family=" in start[0] else f' font-family="{FAMILY}"'
    opening = start[0][:-1]
    if scale < 1.0:
        width, height = mm(drawing.width_mm * scale), mm(drawing.height_mm * scale)
        opening = SIZE.sub(f' width="{width}mm" height="{height}mm"', opening, count=1)
    return Markup(f"{opening}{typeface}>{title}{inside}")


def svg_of(width: float, height: float, title: str, parts: Iterable[str], scale: float = 1.0) -> Markup:
    """A drawing of these parts, with what a screen reader says of it; scale: how much larger it is set."""
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" font-family="{FAMILY}" width="{mm(width * scale)}mm" '
        f'height="{mm(height * scale)}mm" viewBox="0 0 {mm(width)} {mm(height)}">'
        f"<title>{escape(settable(title))}</title>{''.join(parts)}</svg>"
    )


def text_of(x: float, y: float, words: str, anchor: str) -> str:
    """Words in the letters of our drawings, from, round or to a point of their line."""
    return (
        f'<text x="{mm(x)}" y="{mm(y)}" font-size="{LETTER_MM}" text-anchor="{anchor}">{escape(settable(words))}</text>'
    )


def line_of(x1: float, y1: float, x2: float, y2: float, width: float, *, dashes: str = "") -> str:
    """A straight line."""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path d="M{mm(x1)} {mm(y1)}L{mm(x2)} {mm(y2)}" stroke="#000" stroke-width="{width}"{dashed}/>'


def mm(value: float) -> str:
    """A length as it is written in a drawing."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
