"""What the kit lacks stops the job and is named; what is taken stands on the load list. Common practice, no source."""

from typing import Any

import pytest

from packet.hookup.build import hookup_of
from packet.hookup.request import Request
from packet.hookup.rig import build_rig
from packet.shop.records import Kit
from tests.hookup.variants import FLAMMABLE, KIT, LOW, PLAIN, PUSH_PULL, SMALL, VARIANTS, replace


def without(**change: Any) -> Kit:
    """The usual kit with some of it changed."""
    return KIT.model_copy(update=change)


CASES: list[tuple[str, Request, Kit, str]] = [
    ("no manifold", PLAIN, without(manifolds=()), "a manifold gauge set"),
    ("no sight glass", PUSH_PULL, without(sight_glasses=()), "a sight glass (rated 400 psig or more)"),
    ("sight glass too weak", replace(PUSH_PULL, pressure_psig=660.0), KIT, "a sight glass"),
    ("no tee", FLAMMABLE, without(tees=()), "tees with a valve"),
    ("no vacuum pump", FLAMMABLE, without(vacuum_pumps=0), "a vacuum pump"),
    ("no detector", FLAMMABLE, without(detectors=0), "a refrigerant detector"),
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


def test_a_micron_gauge_may_be_apart() -> None:
    plain = KIT.manifolds[0].model_copy(update={"micron_gauge": False})
    assert hookup_of(replace(FLAMMABLE, kit=without(manifolds=(plain,)))).findings == ()
    lacking = hookup_of(replace(FLAMMABLE, kit=without(manifolds=(plain,), absolute_gauges=0)))
    assert "1,000 micron" in lacking.findings[0].message


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
        names = [name for name, _ in items]
        assert len(names) == len(set(names))
        assert all(count > 0 for _, count in items)
        assert f"recovery machine {request.machine}" in names
        assert {f"cylinder {cylinder.id}" for cylinder in request.cylinders} <= set(names)
    flammable = dict(hookup_of(FLAMMABLE).kit_list)
    assert flammable["vacuum pump"] == 1
    assert flammable["left-hand cylinder fitting"] == 1
    assert flammable["oxygen-free nitrogen with regulator"] == 1
    assert dict(hookup_of(VARIANTS["vapor-burnout"]).kit_list)["filter-drier FD-1"] == 2
