"""Whatever a job combines, its hookup walks clean, or says what cannot be connected; nothing falls over."""

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from packet.hookup.build import hookup_of
from packet.hookup.request import Request
from packet.plan.model import StageName
from packet.shop.records import Controls, PortKind
from tests.hookup.drawn import sketches
from tests.hookup.test_geometry import breaches_of
from tests.hookup.variants import (
    BOTH_ENDS,
    FOUR_VALVES,
    HEADER,
    KIT,
    NO_CORE_TOOL,
    NO_DRIER,
    ONE_CORE_TOOL,
    PLAIN,
    PUSH_PULL,
    cylinder,
    replace,
    several,
)

BOOLEANS = (
    "flammable",
    "toxic",
    "unknown",
    "receiver",
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
    "second_needed",
)

STAGES: list[tuple[StageName, ...]] = [("vapor",), ("liquid", "vapor"), ("push-pull", "vapor")]
KINDS: list[PortKind] = ["service-valve", "king-valve", "access-valve", "schrader", "piercing", "not-stated"]
KITS = [KIT, FOUR_VALVES, BOTH_ENDS, HEADER, NO_CORE_TOOL, ONE_CORE_TOOL]


@st.composite
def requests(draw: st.DrawFn) -> Request:
    """A job of any kind that its ports and cylinders allow."""
    stages = draw(st.sampled_from(STAGES))
    ports: dict[str, PortKind] = {}
    names = draw(st.sampled_from([("vapor",), ("liquid",), ("liquid", "vapor")]))
    for port in ("liquid", "vapor") if stages[0] == "push-pull" else names:
        ports[port] = draw(st.sampled_from(KINDS))
    if stages[0] == "liquid" and "liquid" not in ports:
        ports["liquid"] = draw(st.sampled_from(KINDS))
    count = draw(st.integers(1, 4))
    empty = draw(st.booleans())
    cylinders = several(count, float_switch=draw(st.booleans()), empty=empty)
    if stages[0] != "push-pull" and draw(st.booleans()):
        cylinders = (*cylinders[:-1], cylinder("F-9", valves="vapor", empty=empty))
    flags: dict[str, Any] = {name: draw(st.booleans()) for name in BOOLEANS}
    kind = draw(st.sampled_from(["split", "heat-pump", "rack", "chiller", "small-appliance"]))
    isolated = draw(st.sampled_from(["", "", "valves", "receiver"]))
    if kind == "small-appliance":
        flags["receiver"] = False
    if isolated == "receiver" and not flags["receiver"]:
        isolated = ""
    if flags["low_pressure"]:
        # the plan turns the liquid of low pressure into push-pull, which needs both ports
        if stages[0] == "liquid" or ("liquid" in ports and "vapor" not in ports):
            stages = ("push-pull", "vapor")
            ports = {port: ports.get(port, "access-valve") for port in ("liquid", "vapor")}
            cylinders = several(count, empty=empty)
        isolated = ""
    raised = flags["raise_to_atmosphere"] = (
        flags["raise_to_atmosphere"] and stages[0] == "push-pull" and flags["low_pressure"]
    )
    if raised:
        stages = ("push-pull",)
    by_percent = kind == "small-appliance" and flags["factory_sealed"] and not flags["low_pressure"]
    kits = [*KITS, *([] if flags["burnout"] else [NO_DRIER])]
    if stages[0] == "push-pull":
        # a hose that closes its port there needs a shut-off at both ends
        kits = [BOTH_ENDS.model_copy(update={"headers": draw(st.sampled_from([(), HEADER.headers]))})]
    return replace(
        PLAIN,
        stages=stages,
        ports=ports,
        cylinders=cylinders,
        kind=kind,
        isolated=isolated,
        kit=draw(st.sampled_from(kits)),
        purge_policy=draw(st.sampled_from(["vapor", "vacuum"])),
        discharge_into=draw(st.sampled_from(["liquid", "vapor"])),
        space=draw(st.sampled_from(["basement", "machinery-room", "indoors", "rooftop", "outdoors"])),
        units=draw(st.sampled_from(["US", "SI"])),
        gauge_at_site_inHg_vacuum=None if by_percent else draw(st.sampled_from([0.0, 10.4, 25.0])),
        target_percent_of_charge=80.0 if by_percent else None,
        target_lb=0.3 if by_percent else None,
        second=draw(st.sampled_from(["", "Ada Quill"])),
        controls=draw(st.sampled_from([Controls(), Controls(recover_vapor="RECOVER", recover_liquid="RECOVER")])),
        **flags,
    )


@settings(max_examples=400, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(requests())
def test_any_job_walks_clean(request_: Request) -> None:
    hookup = hookup_of(request_)
    assert [(item.code, item.message) for item in hookup.findings if item.severity != "note"] == []
    assert hookup.layouts


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
        (replace(PLAIN, ports={}), "port on the appliance"),
    ],
)
def test_what_cannot_be_connected_is_said(request_: Request, words: str) -> None:
    hookup = hookup_of(request_)
    assert hookup.layouts == ()
    assert any(words in item.message for item in hookup.findings)
    assert {item.code for item in hookup.findings} == {"kit-missing"}
