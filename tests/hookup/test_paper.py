"""Valve table, hose list, drawing and words for it: all say what the walk did."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from importlib.resources import files
from importlib.resources.abc import Traversable

import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from packet.hookup.build import hookup_of
from packet.hookup.drawing.shapes import text_width
from packet.hookup.hose_list import carries
from packet.hookup.layouts import hold_numbers
from packet.hookup.program import program_of
from packet.hookup.rig import Rig, build_rig
from packet.hookup.rules import rules_of
from packet.hookup.state import State
from packet.hookup.walk import walk
from tests.hookup.drawn import sketches, with_cylinders
from tests.hookup.variants import PLAIN, PUSH_PULL, VARIANTS, cylinder

FONT = "fontpkg_atkinson_hyperlegible"


@pytest.mark.parametrize("name", VARIANTS)
def test_the_valve_table_says_how_the_walk_left_the_valves(name: str) -> None:
    """A column a hold with hoses on, one for each running stage, one as strip 2 leaves the valves: seven at most."""
    request = VARIANTS[name]
    rig = build_rig(request)
    program = program_of(rig)
    after = walk(rig.bench, program, rules_of(request)).after
    numbers = {str(number): place for place, number in hold_numbers(program).items()}
    names = {rig.valve(valve): valve for valve in rig.bench.valves}
    assert len(names) == len(rig.bench.valves), "two valves with one name"
    positions = {"open": "open", "mid": "open", "throttled": "cracked", "closed": "closed", "back": "closed"}
    for layout in hookup_of(request).layouts:
        table = layout.valves
        assert 4 <= len(table.columns) <= 7
        assert table.columns[-1] == "stopped"
        checked = 0
        for title, marks in table.rows:
            assert len(marks) == len(table.columns)
            for column, mark in zip(table.columns, marks, strict=True):
                if column in numbers and mark != "none":
                    state = after[numbers[column]]
                    for valve in both_ends(title, rig) or (names.get(title) or on_the_scale(title, state),):
                        assert state.valves[valve] == positions[mark]
                        checked += 1
        assert checked > 5


@pytest.mark.parametrize("name", VARIANTS)
def test_the_hose_list_has_every_shut_off_of_the_valve_table(name: str) -> None:
    """Else a hose without the one that closes a Schrader port is taken, as it says 'none'."""
    rig = build_rig(VARIANTS[name])
    for layout in hookup_of(VARIANTS[name]).layouts:
        listed = {f"shut-off {end}" for hose in layout.hoses for end in hose.shut_off_at}
        titles = {title for title, _ in layout.valves.rows}
        titles |= {rig.valve(valve) for title in titles for valve in both_ends(title, rig)}
        named = {title for title in titles if re.fullmatch(r"shut-off [A-D] \((?!both).*\)", title)}
        assert named <= listed
    assert named


def both_ends(title: str, rig: Rig) -> tuple[str, ...]:
    """The two shut-offs of the hose that is named, where the title says so."""
    found = re.fullmatch(r"shut-off (.) \(both ends\)", title)
    if found is None:
        return ()
    named = [valve for valve in rig.bench.valves if rig.valve(valve).startswith(f"shut-off {found[1]} (")]
    assert len(named) == 2
    return tuple(named)


def on_the_scale(title: str, state: State) -> str:
    """The one valve of this kind whose cylinder is connected."""
    kind, _, which = title.partition(" valve, ")
    assert which == "cylinder on the scale"
    (valve,) = (port for port in state.mates if port.startswith("cylinder:") and port.endswith(f".{kind}"))
    return valve


def test_several_cylinders_share_a_row_of_the_valve_table() -> None:
    """At hold 4 the last of three is on the scale, closed: the first one's row said nothing of it."""
    request = with_cylinders(PUSH_PULL, 3, long_names=False)
    first, second = (layout.valves for layout in hookup_of(request).layouts)
    rows = dict(first.rows)
    assert not any(request.cylinders[0].id in name for name, _ in (*first.rows, *second.rows))
    assert first.columns == ("2", "3", "push-pull", "4", "stopped")
    assert rows["vapor valve, cylinder on the scale"] == ("closed", "open", "open", "closed", "closed")
    assert rows["liquid valve, cylinder on the scale"] == ("closed", "open", "open", "closed", "open")


def test_the_vapor_hookup_s_table() -> None:
    """By hand: hold 2 (verified), hold 3 (start), running, hold 4 (vacuum holds), hold 5 (all closed), stopped."""
    (layout,) = hookup_of(PLAIN).layouts
    assert layout.valves.columns == ("2", "3", "vapor", "4", "5", "stopped")
    rows = dict(layout.valves.rows)
    assert rows["C-118 liquid valve"] == ("closed", "open", "open", "open", "none", "open")
    assert rows["machine inlet"] == ("closed", "closed", "open", "closed", "closed", "closed")
    assert rows["machine discharge"] == ("closed", "open", "open", "open", "closed", "closed")
    assert rows["manifold low"] == ("closed", "closed", "open", "closed", "closed", "open")
    assert rows["suction service valve"] == ("mid", "mid", "mid", "mid", "back", "mid")
    assert rows["liquid service valve"] == ("back", "back", "mid", "mid", "back", "mid")
    assert "C-118 vapor valve" not in rows


@pytest.mark.parametrize("name", VARIANTS)
def test_a_core_tool_that_is_off_stands_nowhere(name: str) -> None:
    """At the last hold the cores are back in and the tools in their case: 'closed' would be looked for."""
    request = VARIANTS[name]
    layout = hookup_of(request).layouts[-1]
    last = [number for number, column in enumerate(layout.valves.columns) if column.isdigit()][-1]
    for title, marks in layout.valves.rows:
        if title.startswith("core tool"):
            assert marks[last] == "none"
            assert marks[last - 1] in {"open", "closed"}
    rows = sum(title.startswith("core tool") for title, _ in layout.valves.rows)
    assert rows == len(request.core_tool_ports)


def test_pump_gauge_tee_and_nitrogen_stand_in_hose_list_and_drawing() -> None:
    for name in ("vapor-vacuum", "liquid-four-valves-vacuum", "push-pull-header", "flammable"):
        for layout in hookup_of(VARIANTS[name]).layouts:
            pump = next(line for line in layout.hoses if line.letter == "P")
            assert pump.from_port == "vacuum pump"
            assert pump.to_port.startswith("micron gauge, ")
            assert "micron gauge" in layout.drawing.svg
            assert "Hose P, not on while it runs" in layout.drawing.alternative_text
        nitrogen = next(line for line in layout.hoses if line.letter == "N")
        assert nitrogen.from_port == "nitrogen regulator"


def test_hose_lists() -> None:
    first, second = hookup_of(PUSH_PULL).layouts
    push_pull = {line.letter: line for line in first.hoses}
    assert (push_pull["A"].from_port, push_pull["A"].to_port) == (
        "liquid service valve",
        "C-118 liquid valve, through sight glass, tee at the cylinder",
    )
    assert (push_pull["B"].from_port, push_pull["B"].to_port) == ("machine discharge", "suction service valve")
    assert push_pull["C"].from_port == "C-118 vapor valve, through tee at the cylinder vapor valve"
    assert push_pull["C"].to_port == "machine suction, through filter-drier"
    assert push_pull["C"].carries == "vapor"
    assert push_pull["C"].color == "blue"
    vapor = {line.letter: line for line in second.hoses}
    assert set(vapor) == {"A", "B", "C", "D", "N", "P"}
    assert (vapor["D"].from_port, vapor["D"].to_port) == ("machine discharge", "C-118 liquid valve")
    assert vapor["C"].from_port == "manifold utility port, through tee at the manifold"
    assert carries("D", "vapor") == "utility"


def test_drawings_of_one_document_keep_their_ids_apart() -> None:
    ids: list[str] = []
    for stage in hookup_of(PUSH_PULL).layouts:
        if stage.drawing:
            root = ET.fromstring(stage.drawing.svg)
            here = [item.attrib["id"] for item in root.iter() if "id" in item.attrib]
            used = set(re.findall(r'(?<!:)href="#([^"]+)"', stage.drawing.svg))
            assert used == set(here)
            ids += here
    assert len(ids) == len(set(ids))
    assert len(ids) > 8


def test_names_are_text_never_markup() -> None:
    odd = replace(cylinder("<b>C&1"), planned_gross_lb=50.0)
    request = replace(PLAIN, cylinders=(odd,), machine='"><script>', scale="<i>")
    drawing = hookup_of(request).layouts[0].drawing
    root = ET.fromstring(drawing.svg)
    assert "<b>C&1" in "".join(root.itertext())
    assert "script" not in {item.tag.rpartition("}")[2] for item in root.iter()}


@pytest.mark.parametrize("name", VARIANTS)
def test_the_words_for_a_drawing_name_every_hose_and_valve(name: str) -> None:
    request = VARIANTS[name]
    sketch = sketches(request)
    for layout in hookup_of(request).layouts:
        words = layout.drawing.alternative_text
        for line in layout.hoses:
            assert f"Hose {line.letter}, " in words
            assert line.to_port in words
        kind = "push-pull" if "push-pull" in layout.title else "liquid" if "liquid" in layout.title else "vapor"
        drawn = sketch[kind]
        rig = build_rig(request)
        for valve in drawn.valves:
            assert rig.valve(valve.id) in words, valve.id
        assert "is filled" in words
        assert layout.drawing.svg.count("<svg") == 1
        assert 'role="img"' in layout.drawing.svg


@pytest.fixture(scope="module")
def advances() -> dict[bool, tuple[dict[int, str], dict[str, int], int]]:
    """Character map, advance widths and units per em of the typeface, regular and bold."""
    folder = files(FONT)
    found = {}
    for bold, face in ((False, "Regular"), (True, "Bold")):
        path = next(path for path in _walk(folder) if path.name == f"AtkinsonHyperlegible-{face}.ttf")
        with path.open("rb") as file:
            font = TTFont(file)
            widths = {glyph: advance for glyph, (advance, _) in font["hmtx"].metrics.items()}
            found[bold] = (dict(font.getBestCmap()), widths, font["head"].unitsPerEm)
    return found


def _walk(folder: Traversable) -> Iterator[Traversable]:
    for item in folder.iterdir():
        if item.is_dir():
            yield from _walk(item)
        else:
            yield item


def test_widths_are_on_the_safe_side_of_the_typeface(
    advances: dict[bool, tuple[dict[int, str], dict[str, int], int]],
) -> None:
    """No label is wider in print than the geometry takes it to be; none has a sign the typeface lacks."""
    seen = 0
    for name, request in VARIANTS.items():
        for longer in (False, True):
            for sketch in sketches(with_cylinders(request, 2, long_names=longer)).values():
                for label in sketch.labels:
                    characters, widths, em = advances[label.bold]
                    for line in label.lines:
                        assert all(ord(sign) in characters for sign in line), (name, line)
                        real = sum(widths[characters[ord(sign)]] for sign in line) / em * label.size
                        assert real <= text_width(line, label.size, bold=label.bold) + 1e-6, (name, line)
                        seen += 1
    assert seen > 1000
