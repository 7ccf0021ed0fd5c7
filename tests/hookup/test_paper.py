"""Valve table, hose list, cards, drawing and words for it: all say what the walk did."""

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
from packet.hookup.program import program_of
from packet.hookup.rig import build_rig
from packet.hookup.rules import rules_of
from packet.hookup.valve_table import WIDEST
from packet.hookup.walk import walk
from tests.hookup.drawn import sketches, with_cylinders
from tests.hookup.variants import FLAMMABLE, LIQUID, PLAIN, PUSH_PULL, VARIANTS, cylinder

FONT = "fontpkg_atkinson_hyperlegible"


@pytest.mark.parametrize("name", VARIANTS)
def test_the_valve_table_replayed_gives_the_walked_states(name: str) -> None:
    request = VARIANTS[name]
    rig = build_rig(request)
    after = walk(rig.bench, program_of(rig), rules_of(request)).after
    names = {rig.valve(valve): valve for valve in rig.bench.valves}
    assert len(names) == len(rig.bench.valves), "two valves with one name"
    for stage in hookup_of(request).stages:
        for table in [table for table in (stage.valves, *stage.more_valves) if table is not None]:
            assert table.columns[0] == "start"
            assert 2 <= len(table.columns) <= WIDEST + 1
            for title, marks in table.rows:
                assert marks[0] != "unchanged"
                position = marks[0]
                for column, mark in zip(table.columns[1:], marks[1:], strict=True):
                    position = position if mark == "unchanged" else mark
                    step = int(column.split(".")[1]) - 1
                    assert after[stage.number, step].valves[names[title]] == position
            moved = [marks for _, marks in table.rows]
            assert all(any(marks[n] != "unchanged" for marks in moved) for n in range(1, len(table.columns)))


def test_the_vapor_stage_s_table() -> None:
    """By hand: cylinder, discharge, appliance vapor, manifold low, inlet, then the liquid side; sides and inlet shut."""
    table = next(stage for stage in hookup_of(PLAIN).stages if stage.kind == "vapor").valves
    assert table is not None
    rows = dict(table.rows)
    assert rows["C-118 liquid valve"][:3] == ("shut", "open", "unchanged")
    assert [mark for mark in rows["machine inlet"] if mark != "unchanged"] == ["shut", "open", "shut"]
    assert [mark for mark in rows["manifold low valve"] if mark != "unchanged"] == ["shut", "open", "shut"]
    assert "C-118 vapor valve" not in rows


def test_hose_lists() -> None:
    stages = {stage.kind: stage for stage in hookup_of(PUSH_PULL).stages if stage.hoses}
    push_pull = {line.letter: line for line in stages["push-pull"].hoses}
    assert (push_pull["A"].from_port, push_pull["A"].to_port) == (
        "appliance liquid port",
        "C-118 liquid valve, through sight glass",
    )
    assert (push_pull["B"].from_port, push_pull["B"].to_port) == ("machine discharge", "appliance vapor port")
    assert push_pull["C"].from_port == "C-118 vapor valve"
    assert push_pull["C"].to_port == "machine suction, through filter-drier"
    assert push_pull["C"].carries == "vapor"
    assert push_pull["C"].color == "blue"
    vapor = {line.letter: line for line in stages["vapor"].hoses}
    assert set(vapor) == {"A", "B", "C", "D"}
    assert (vapor["D"].from_port, vapor["D"].to_port) == ("machine discharge", "C-118 liquid valve")
    assert vapor["C"].from_port == "manifold utility port"
    assert carries("D", "vapor") == "utility"


def test_drawings_of_one_document_keep_their_ids_apart() -> None:
    ids: list[str] = []
    for stage in hookup_of(PUSH_PULL).stages:
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
    drawing = next(stage.drawing for stage in hookup_of(request).stages if stage.drawing)
    root = ET.fromstring(drawing.svg)
    assert "<b>C&1" in "".join(root.itertext())
    assert "script" not in {item.tag.rpartition("}")[2] for item in root.iter()}


@pytest.mark.parametrize("name", VARIANTS)
def test_the_words_for_a_drawing_name_every_hose_and_valve(name: str) -> None:
    request = VARIANTS[name]
    sketch = sketches(request)
    for stage in hookup_of(request).stages:
        if stage.drawing is None:
            continue
        words = stage.drawing.alternative_text
        for line in stage.hoses:
            assert f"Hose {line.letter}, " in words
            assert line.to_port in words
        drawn = sketch[stage.kind]
        rig = build_rig(request)
        for valve in drawn.valves:
            assert rig.valve(valve.id) in words, valve.id
        assert "is filled" in words
        assert stage.drawing.svg.count("<svg") == 1
        assert 'role="img"' in stage.drawing.svg


def test_each_card_says_which_valve_first() -> None:
    cards = {stage.kind: stage.interruption for stage in hookup_of(LIQUID).stages}
    assert cards["before"][0].startswith("Nothing is joined")
    assert cards["liquid"][0].startswith("First: machine inlet shut.")
    assert cards["vapor"][0].startswith("First: machine inlet shut.")
    assert cards["end"][0].startswith("First: machine inlet and machine discharge shut")
    assert "Leave the C-118 liquid valve" in cards["vapor"][1]
    flammable = hookup_of(replace(FLAMMABLE, emergency_phone="555-0141")).stages
    assert all(any("no switch touched" in line for line in stage.interruption) for stage in flammable)
    assert all(any("555-0141" in line for line in stage.interruption) for stage in flammable)
    join = next(stage for stage in flammable if stage.kind == "join")
    assert any("branch of the tee shut" in line for line in join.interruption)
    chiller = next(stage for stage in hookup_of(VARIANTS["chiller"]).stages if stage.kind == "vapor")
    assert any("Keep the water moving" in line for line in chiller.interruption)


def test_what_may_go_wrong_fits_the_stage() -> None:
    signs = {stage.kind: [line.sign for line in stage.if_wrong] for stage in hookup_of(PUSH_PULL).stages}
    assert "The glass never fills" in signs["push-pull"]
    assert "The scale passes its stop" in signs["push-pull"]
    assert "Discharge pressure climbs to 350 psig" in signs["vapor"]
    assert "The machine does not clear" in signs["end"]
    assert "The machine knocks" in [line.sign for line in hookup_of(LIQUID).stages[2].if_wrong]


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
