"""The plot as it is drawn: no word of it lies on a curve, on another line, or on another word."""

import re
from dataclasses import replace
from functools import cache
from itertools import combinations
from math import isclose
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont
from shapely.geometry import LineString, Polygon, box

from packet.press.assets import asset
from packet.press.html import to_html
from packet.press.plot import plotted
from packet.sheets.model import Content, Fill, Plot
from packet.sheets.packet import compose
from tests.plan.builders import read_in
from tests.sheets.demo import planned
from tests.sheets.test_lengths import DAYS, day
from tests.sheets.test_look import MATRIX

SVG = "{http://www.w3.org/2000/svg}"
PLOT = re.compile(r'<div class="plot(?: alone)?">(<svg.*?</svg>)', re.DOTALL)
# letters of 1,000 units an em, so that nothing is rounded off
UNITS = 1000


@cache
def _typeface() -> ImageFont.FreeTypeFont:
    from io import BytesIO

    return ImageFont.truetype(BytesIO(asset("AtkinsonHyperlegible-Regular.ttf")), UNITS)


def words_of(svg: ET.Element) -> list[tuple[str, Polygon]]:
    """Each text with the box of its ink, mm."""
    found = []
    for text in svg.iter(f"{SVG}text"):
        words, size = text.text or "", float(text.get("font-size", ""))
        x, y = float(text.get("x", "")), float(text.get("y", ""))
        wide = _typeface().getlength(words) / UNITS * size
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[text.get("text-anchor", "start")]
        ink = [side / UNITS * size for side in _typeface().getbbox(words, anchor="ls")]
        found.append((words, box(left + ink[0], y + ink[1], left + ink[2], y + ink[3])))
    return found


def lines_of(svg: ET.Element) -> list[tuple[str, Polygon]]:
    """Each curve and each line with its ink, mm."""
    curves = [
        ("curve", item, [tuple(map(float, point.split(","))) for point in item.get("points", "").split()])
        for item in svg.iter(f"{SVG}polyline")
    ]
    straight = [
        ("line", item, [tuple(map(float, point.split())) for point in re.split("[ML]", item.get("d", ""))[1:]])
        for item in svg.iter(f"{SVG}path")
    ]
    return [
        (kind, LineString(points).buffer(float(item.get("stroke-width", "")) / 2))
        for kind, item, points in (*curves, *straight)
    ]


def breaches(drawn: str) -> list[str]:
    """What lies on what, and what is cut off at the drawing's edge."""
    svg = ET.fromstring(drawn)
    wide, high = map(float, svg.get("viewBox", "").split()[2:])
    words = words_of(svg)
    found = [f"{said} on a {kind}" for said, area in words for kind, ink in lines_of(svg) if area.intersects(ink)]
    found += [f"{a} on {b}" for (a, one), (b, other) in combinations(words, 2) if one.intersects(other)]
    return found + [f"{said} is cut off" for said, area in words if not box(-0.1, 0, wide + 0.1, high).contains(area)]


def plots(content: Content) -> list[str]:
    drawn = PLOT.findall(to_html(content))
    assert len(drawn) == sum(len(sheet.sizes) for sheet in content.sheets if isinstance(sheet, Fill))
    return drawn


@pytest.mark.parametrize("languages", [("en",), ("es",)])
@pytest.mark.parametrize("date", DAYS)
def test_no_word_of_a_demo_jobs_plot_lies_on_anything(date: str, languages: tuple[str, ...]) -> None:
    seen = {job: plots(compose(read_in(plan, *languages), hookup)) for job, (plan, hookup) in day(date).items()}
    assert all(seen.values())
    assert {job: found for job, drawn in seen.items() for one in drawn if (found := breaches(one))} == {}


@pytest.mark.parametrize("name", [name for name in MATRIX if "not for the field" not in name])
def test_no_word_of_the_matrix_lies_on_anything(name: str) -> None:
    assert [found for drawn in plots(MATRIX[name]()) for found in breaches(drawn)] == []


@cache
def _an_own_plot() -> Plot:
    plan, hookup = planned("HP-1043")
    return next(sheet for sheet in compose(plan, hookup).sheets if isinstance(sheet, Fill)).sizes[0].plot


LEVELS = st.tuples(st.floats(0, 100), st.floats(0, 60), st.floats(0, 3))


@settings(max_examples=300, deadline=None)
@given(
    levels=st.lists(LEVELS, min_size=1, max_size=6),
    hottest=st.floats(20, 140),
    said=st.sampled_from([("liquid-full", "hottest"), ("lleno de líquido", "máxima"), ("plein de liquide", "température max.")]),
    celsius=st.booleans(),
)  # fmt: skip
def test_no_word_of_any_plot_lies_on_anything(
    levels: list[tuple[float, float, float]], hottest: float, said: tuple[str, str], celsius: bool
) -> None:
    """Curves from any level, rising by anything and bent by anything: they leave the axes at the top, as on paper."""

    def axis(fahrenheit: float) -> float:
        return (fahrenheit - 32) / 1.8 if celsius else fahrenheit

    curves = tuple(
        tuple((axis(20.0 + 6 * n), low + rise * (n / 20) ** (1 + bend)) for n in range(21))
        for low, rise, bend in levels
    )
    ticks = range(-10, 61, 10) if celsius else range(20, 141, 20)
    plot = Plot(
        "A plot",
        "°C" if celsius else "°F",
        curves,
        tuple(f"L-30{number}" for number in range(len(curves))) if len(curves) > 1 else (),
        tuple((float(at), str(at)) for at in ticks if axis(20.0) <= at <= axis(140.0)),
        _an_own_plot().level_ticks,
        said[0],
        (axis(hottest), said[1]),
    )
    assert breaches(plotted(plot)) == []


def test_cylinders_that_are_filled_alike_share_a_curve_and_a_name() -> None:
    """L-301 and L-302 are filled to the same level: one curve, or the one would hide the other."""
    svg = ET.fromstring(plotted(_an_own_plot()))
    assert len(list(svg.iter(f"{SVG}polyline"))) == 2
    said = [text.text for text in svg.iter(f"{SVG}text")]
    assert "L-301, L-302" in said
    assert "L-303" in said


def test_every_cylinder_has_a_curve_however_many_they_are() -> None:
    own = _an_own_plot()
    curves = tuple(tuple((at, 10.0 + 12 * number + at / 100) for at, _ in own.curves[0]) for number in range(7))
    labels = tuple(f"L-40{number}" for number in range(7))
    svg = ET.fromstring(plotted(replace(own, curves=curves, labels=labels)))
    assert len(list(svg.iter(f"{SVG}polyline"))) == 7
    assert set(labels) <= {text.text for text in svg.iter(f"{SVG}text")}


def test_large_print_sets_the_same_plot_a_quarter_larger() -> None:
    usual, large = (ET.fromstring(plotted(_an_own_plot(), large=larger)) for larger in (False, True))
    assert usual.get("viewBox") == large.get("viewBox")
    for side in ("width", "height"):
        sizes = [float((svg.get(side) or "").removesuffix("mm")) for svg in (usual, large)]
        assert isclose(sizes[1], 1.25 * sizes[0], abs_tol=0.02)
