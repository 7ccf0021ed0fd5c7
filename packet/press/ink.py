"""Small drawings that the press makes itself: the level plot and the ruled forms. mm throughout.

They are SVG with a title, so that a screen reader says what they show.
"""

import re
from collections.abc import Iterable, Sequence

from markupsafe import Markup, escape

from packet.hookup.model import Drawing
from packet.press.assets import FAMILY, settable
from packet.sheets.model import Grid, Plot

PLOT_W, PLOT_H = 64.0, 51.0
PLOT_LEFT, PLOT_RIGHT, PLOT_TOP, PLOT_BOTTOM = 11.0, 3.0, 5.0, 10.0
PLOT_HIGHEST_PERCENT = 110.0
LETTER_MM = 3.4  # 9.6 pt
GRID_W = 180.0
GRID_ROW = 8.4
GRID_HEAD = 9.6
# the opening tag; an attribute may hold a ">"
SVG_START = re.compile(r"<svg(?:[^>\"]|\"[^\"]*\")*>")

BEYOND_ASCII = re.compile(r"[^\x00-\x7f]+")


def drawn(drawing: Drawing) -> Markup:
    """A drawing from the hookup station, in our typeface, with its words; it escapes its own."""
    # an SVG inside HTML takes nothing from the page in WeasyPrint; its title is its alternative text
    svg = BEYOND_ASCII.sub(lambda signs: escape(settable(signs[0])), drawing.svg)
    start = SVG_START.match(svg)
    if start is None:
        raise ValueError("a drawing begins with its svg element")
    inside = svg[start.end() :]
    title = "" if "<title>" in inside else f"<title>{escape(settable(drawing.alternative_text))}</title>"
    typeface = "" if "font-family=" in start[0] else f' font-family="{FAMILY}"'
    return Markup(f"{start[0][:-1]}{typeface}>{title}{inside}")


def plotted(plot: Plot) -> Markup:
    """The plot of level against temperature."""
    low, high = plot.curve[0][0], plot.curve[-1][0]

    def x(temperature: float) -> float:
        return PLOT_LEFT + (temperature - low) / (high - low) * (PLOT_W - PLOT_LEFT - PLOT_RIGHT)

    def y(percent: float) -> float:
        return PLOT_TOP + (1 - percent / PLOT_HIGHEST_PERCENT) * (PLOT_H - PLOT_TOP - PLOT_BOTTOM)

    left, right, top, bottom = PLOT_LEFT, PLOT_W - PLOT_RIGHT, PLOT_TOP, PLOT_H - PLOT_BOTTOM
    hottest, hottest_label = plot.hottest
    inside = [(x(t), y(min(percent, PLOT_HIGHEST_PERCENT))) for t, percent in plot.curve]
    parts = [
        *(_line(left, y(level), right, y(level), 0.12) for level, _ in plot.level_ticks),
        *(_text(left - 1.2, y(level) + 1.2, label, "end") for level, label in plot.level_ticks),
        *(_text(x(t), bottom + 4.4, label, "middle") for t, label in plot.temperature_ticks),
        *(_line(x(t), bottom, x(t), bottom + 0.9, 0.2) for t, _ in plot.temperature_ticks),
        _line(left, y(100.0), right, y(100.0), 0.5),
        _text(right, y(100.0) - 1.0, plot.ceiling_label, "end"),
        _line(x(hottest), top, x(hottest), bottom, 0.25, dashes="1.2 .9"),
        _text(x(hottest) - 1.0, bottom - 1.6, hottest_label, "end"),
        f'<polyline points="{_points(inside)}" fill="none" stroke="#000" stroke-width=".7"/>',
        _line(left, top, left, bottom, 0.3),
        _line(left, bottom, right, bottom, 0.3),
        _text(right, PLOT_H - 0.8, plot.temperature_unit, "end"),
        _text(0, 3.2, "%", "start"),
    ]
    return _svg(PLOT_W, PLOT_H, plot.alternative_text, parts)


def ruled(grid: Grid) -> Markup:
    """An empty form to write in: heads, then ruled lines."""
    height = GRID_HEAD + grid.lines * GRID_ROW
    total = sum(share for _, share in grid.columns)
    edges = [0.0]
    for _, share in grid.columns:
        edges.append(edges[-1] + share / total * GRID_W)
    lines = [GRID_HEAD + row * GRID_ROW for row in range(1, grid.lines + 1)]
    rules = " ".join(
        [f"M0 {_mm(at)}H{_mm(GRID_W)}" for at in lines] + [f"M{_mm(at)} 0V{_mm(height)}" for at in edges[1:-1]]
    )
    parts = [
        f'<path d="{rules}" fill="none" stroke="#000" stroke-width=".2"/>',
        _line(0, GRID_HEAD, GRID_W, GRID_HEAD, 0.4),
        *(
            _text(edge + 1.2, GRID_HEAD - 1.6 - (len(words) - 1 - n) * 3.9, word, "start")
            for edge, (head, _) in zip(edges, grid.columns, strict=False)
            for words in [head.split("\n")]
            for n, word in enumerate(words)
        ),
    ]
    heads = "; ".join(head.replace("\n", " ") for head, _ in grid.columns)
    attributes = f' data-box="{escape(grid.key)}" data-kind="blank" data-label="{escape(grid.caption)}"'
    # a little more, so that the last rule is not cut in half by the edge
    return _svg(GRID_W, height + 0.3, f"{grid.caption}: {heads}", parts, attributes)


def tabbed(row: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A row as one line with tabs; each figure padded to its column's widest, two spaces to a digit's width."""
    widest = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    return "\t".join("  " * (width - len(cell)) + cell for cell, width in zip(row, widest, strict=True))


def _svg(width: float, height: float, title: str, parts: Iterable[str], attributes: str = "") -> Markup:
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" font-family="{FAMILY}" width="{_mm(width)}mm" height="{_mm(height)}mm" '
        f'viewBox="0 0 {_mm(width)} {_mm(height)}"{attributes}><title>{escape(settable(title))}</title>{"".join(parts)}</svg>'
    )


def _text(x: float, y: float, words: str, anchor: str) -> str:
    return f'<text x="{_mm(x)}" y="{_mm(y)}" font-size="{LETTER_MM}" text-anchor="{anchor}">{escape(settable(words))}</text>'


def _line(x1: float, y1: float, x2: float, y2: float, width: float, *, dashes: str = "") -> str:
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path d="M{_mm(x1)} {_mm(y1)}L{_mm(x2)} {_mm(y2)}" stroke="#000" stroke-width="{width}"{dashed}/>'


def _points(points: Iterable[tuple[float, float]]) -> str:
    return " ".join(f"{_mm(x)},{_mm(y)}" for x, y in points)


def _mm(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
