"""What the kit lacks stops the job and is named; what is taken stands on the load list. Common practice, no source."""

import dataclasses
from typing import Any

import pytest

from packet.hookup.acts import act, line
from packet.hookup.build import hookup_of
from packet.hookup.load import GEAR, load_list, unlisted, uses_of
from packet.hookup.program import program_of
from packet.hookup.request import Request
from packet.hookup.rig import build_rig
from packet.shop.records import Kit
from packet.words import t
from tests.hookup.variants import FLAMMABLE, KIT, LOW, PLAIN, PUSH_PULL, SMALL, VARIANTS, loaded, replace


def without(**change: Any) -> Kit:
    """The usual kit with some of it changed."""
    return KIT.model_copy(update=change)


LIQUID_BY_VACUUM = VARIANTS["liquid-four-valves-vacuum"]

NO_MICRON = tuple(item.model_copy(update={"micron_gauge": False}) for item in KIT.manifolds)

CASES: list[tuple[str, Request, Kit, str]] = [
    ("no manifold", PLAIN, without(manifolds=()), "a manifold gauge set"),
    ("no sight glass", PUSH_PULL, without(sight_glasses=()), "a sight glass (rated 400 psig or more)"),
    ("sight glass too weak", replace(PUSH_PULL, pressure_psig=660.0), KIT, "a sight glass"),
    ("no tee", FLAMMABLE, without(tees=()), "tees with a valve"),
    ("no rated vacuum pump", FLAMMABLE, without(flammable_rated_vacuum_pumps=0), "vacuum pump, rated for flammable"),
    ("no vacuum pump", LIQUID_BY_VACUUM, without(vacuum_pumps=0), "vacuum pump"),
    ("no micron gauge", LIQUID_BY_VACUUM, without(micron_gauges=0, manifolds=NO_MICRON), "a micron gauge"),
    ("no identifier", VARIANTS["unknown"], without(identifiers=0), "a refrigerant identifier"),
    ("no rated detector", FLAMMABLE, without(flammable_rated_detectors=0), "refrigerant detector, rated for flammable"),
    (
        "no drier for acid",
        VARIANTS["vapor-burnout"],
        without(filter_driers=KIT.filter_driers[:1]),
        "a high-acid filter-drier",
    ),
    ("no nitrogen", FLAMMABLE, without(nitrogen=0), "oxygen-free nitrogen"),
    ("no absolute gauge", LOW, without(absolute_gauges=0), "an absolute gauge"),
    ("no piercing valve", SMALL, without(piercing_valves=()), "piercing valves"),
]


@pytest.mark.parametrize(("request_", "kit", "words"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_is_missing_is_named_and_stops_the_job(request_: Request, kit: Kit, words: str) -> None:
    hookup = hookup_of(replace(request_, kit=kit))
    assert hookup.findings
    assert {item.code for item in hookup.findings} == {"kit-missing"}
    assert all(item.severity == "stop" for item in hookup.findings)
    assert any(words in item.message for item in hookup.findings), [item.message for item in hookup.findings]


def test_nothing_is_missing_from_a_whole_kit() -> None:
    for request in VARIANTS.values():
        assert build_rig(request).kit.missing == ()


def test_hoses_of_the_side_s_color_are_taken_and_none_twice() -> None:
    rig = build_rig(PUSH_PULL)
    taken = {letter: hose.color for letter, hose in rig.kit.hoses.items()}
    assert taken["A"] == "red"
    assert taken["B"] == "blue"
    assert rig.kit.hoses["D"].shut_off == "both-ends"
    used = [hose.id for hose in rig.kit.hoses.values()]
    for hose in KIT.hoses:
        assert used.count(hose.id) <= hose.count


def test_the_load_list_names_everything_once() -> None:
    for request in VARIANTS.values():
        items = hookup_of(request).kit_list
        names = loaded(hookup_of(request))
        assert len(names) == len(items)
        assert all(count > 0 for _, count in items)
        assert f"recovery machine {request.machine}" in names
        assert {f"cylinder {cylinder.id}" for cylinder in request.cylinders} <= set(names)


def test_gear_on_the_list_is_what_acts_put_a_hand_on_and_the_other_way_round() -> None:
    for request in VARIANTS.values():
        rig = build_rig(request)
        program = program_of(rig)
        named = {t(name) for use in uses_of(program) for name, _ in GEAR[use]}
        gear = {t(name) for every in GEAR.values() for name, _ in every}
        listed = {name.sentence("US") for name, _ in load_list(rig, program)}
        assert listed & gear == named
        assert list(unlisted(rig, program)) == []


def test_every_word_for_gear_in_a_line_is_on_the_list() -> None:
    """A second look, by words: what a technician reads of, the truck has."""
    words = {
        "magnet": "solenoid magnet",
        "Core tool": "core tool",
        "Nitrogen": "oxygen-free nitrogen with regulator",
        "micron gauge": "micron gauge",
        "Identifier": "refrigerant identifier",
        "Detector on": "refrigerant detector",
        "monitor": "oxygen monitor",
        "Respirator": "respirator for organic vapor",
        "Acid test": "acid test kit",
        "sight glass": "sight glass",
        "two-way header": "two-way header",
        "mallet": "rubber mallet",
        "heat blanket": "heat blanket",
        "lock and tag": "lock and tag",
        "lock's number": "lock and tag",
        "thermometer": "clamp-on thermometer",
        "float-switch cable": "float-switch cable",
        "Bond ": "bonding cable",
        "absolute gauge": "absolute gauge",
    }
    for name, request in VARIANTS.items():
        hookup = hookup_of(request)
        said = " ".join(step.text for stage in hookup.stages for step in stage.steps)
        listed = " ".join(loaded(hookup))
        for word, item in words.items():
            assert word not in said or item in listed, (name, word)


def test_a_step_that_names_what_is_not_listed_stops_the_job() -> None:
    rig = build_rig(PLAIN)
    program = program_of(rig)
    block = program.blocks[0]
    stray = dataclasses.replace(
        program, blocks=(dataclasses.replace(block, lines=(*block.lines, line(act("Take it.", uses=("ladle",))))),)
    )
    assert [breach.why for breach in unlisted(rig, stray)] == ["a step uses what is not on the load list: ladle"]
    detector = dataclasses.replace(block, lines=(line(act("Detector on.", uses=("detector",))),))
    assert list(unlisted(rig, dataclasses.replace(program, blocks=(detector,))))


def test_what_lifts_the_load_is_on_it() -> None:
    assert loaded(hookup_of(replace(PLAIN, lifts=("hoist or pallet jack",))))["hoist or pallet jack"] == 1


def test_a_micron_gauge_in_the_manifold_does() -> None:
    """Whichever there is goes along; one apart is taken where the shop has it."""
    built_in = tuple(item.model_copy(update={"micron_gauge": True}) for item in KIT.manifolds)
    hookup = hookup_of(replace(LIQUID_BY_VACUUM, kit=without(micron_gauges=0, manifolds=built_in)))
    assert hookup.findings == ()
    assert "micron gauge" not in loaded(hookup)
    assert loaded(hookup_of(LIQUID_BY_VACUUM))["micron gauge"] == 1
