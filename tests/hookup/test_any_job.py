"""Whatever a job combines, its hookup walks clean, or says what cannot be joined; nothing falls over."""

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from packet.hookup.build import hookup_of
from packet.hookup.request import Request
from packet.plan.model import StageName
from packet.shop.records import Controls, ValveName
from tests.hookup.drawn import sketches
from tests.hookup.test_geometry import breaches_of
from tests.hookup.variants import BOTH_ENDS, FOUR_VALVES, KIT, NO_DRIER, PLAIN, PUSH_PULL, cylinder, replace, several

BOOLEANS = (
    "flammable",
    "toxic",
    "unknown",
    "receiver",
    "isolated",
    "reversing_valve",
    "burnout",
    "leaking",
    "torch",
    "low_pressure",
    "raise_to_atmosphere",
    "compressor_runs",
    "factory_sealed",
    "room_is_small",
    "permit_space",
    "ladder",
    "roof_edge",
)


STAGES: list[tuple[StageName, ...]] = [("vapor",), ("liquid", "vapor"), ("push-pull", "vapor")]
PORTS: list[tuple[ValveName, ...]] = [("vapor",), ("liquid",), ("liquid", "vapor")]


@st.composite
def requests(draw: st.DrawFn) -> Request:
    """A job of any kind that its ports and cylinders allow."""
    stages = draw(st.sampled_from(STAGES))
    ports: tuple[ValveName, ...] = draw(st.sampled_from(PORTS))
    if stages[0] == "push-pull":
        ports = ("liquid", "vapor")
    elif stages[0] == "liquid" and "liquid" not in ports:
        ports = ("liquid", *ports)
    count = draw(st.integers(1, 4))
    cylinders = several(count, float_switch=draw(st.booleans()))
    if stages[0] != "push-pull" and draw(st.booleans()):
        cylinders = (*cylinders[:-1], cylinder("F-9", valves="vapor"))
    flags: dict[str, Any] = {name: draw(st.booleans()) for name in BOOLEANS}
    kind = draw(st.sampled_from(["split", "heat-pump", "rack", "chiller", "small-appliance"]))
    flags["isolated"] = flags["isolated"] and flags["receiver"]
    if kind == "small-appliance":
        flags["receiver"] = flags["isolated"] = False
    flags["raise_to_atmosphere"] = flags["raise_to_atmosphere"] and flags["low_pressure"] and stages[0] == "liquid"
    by_percent = kind == "small-appliance" and flags["factory_sealed"]
    return replace(
        PLAIN,
        stages=stages,
        ports=ports,
        cylinders=cylinders,
        kind=kind,
        kit=draw(st.sampled_from([KIT, FOUR_VALVES, BOTH_ENDS] + ([] if flags["burnout"] else [NO_DRIER]))),
        purge_policy=draw(st.sampled_from(["vapor", "vacuum"])),
        discharge_into=draw(st.sampled_from(["liquid", "vapor"])),
        space=draw(st.sampled_from(["basement", "machinery-room", "indoors", "rooftop", "outdoors"])),
        units=draw(st.sampled_from(["US", "SI"])),
        gauge_at_site_inHg_vacuum=None if by_percent else 10.4,
        target_percent_of_charge=80.0 if by_percent else None,
        target_lb=0.3 if by_percent else None,
        controls=draw(st.sampled_from([Controls(), Controls(recover_vapor="RECOVER", recover_liquid="RECOVER")])),
        **flags,
    )


@settings(max_examples=120, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(requests())
def test_any_job_walks_clean(request_: Request) -> None:
    hookup = hookup_of(request_)
    assert [(item.code, item.message) for item in hookup.findings] == []
    assert len(hookup.stages) >= 4


@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(requests())
def test_any_job_s_drawings_keep_clear(request_: Request) -> None:
    for sketch in sketches(request_).values():
        assert breaches_of(sketch) == []


@pytest.mark.parametrize(
    ("request_", "words"),
    [
        (replace(PUSH_PULL, ports=("vapor",)), "a reachable liquid port"),
        (replace(PUSH_PULL, cylinders=(cylinder("F-1", valves="vapor"),)), "push-pull needs both"),
        (replace(PLAIN, stages=("liquid", "vapor"), ports=("vapor",)), "a reachable liquid port"),
        (replace(PLAIN, ports=()), "port on the appliance"),
    ],
)
def test_what_cannot_be_joined_is_said(request_: Request, words: str) -> None:
    hookup = hookup_of(request_)
    assert hookup.stages == ()
    assert any(words in item.message for item in hookup.findings)
    assert {item.code for item in hookup.findings} == {"kit-missing"}
