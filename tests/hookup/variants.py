"""Every variant of a hookup, as requests: what the tests of this folder build and walk."""

import dataclasses
from typing import Any

from packet.hookup.model import Hookup
from packet.hookup.request import CylinderNeed, Request
from packet.plan.hoses import HoseNeed, hose_letters, pick_hoses, purges_by_vacuum
from packet.plan.model import HoseLetter, Hoses, PressureRow
from packet.shop.records import Controls, Fitting, Hose, Kit, Manifold

KIT = Kit(
    hoses=(
        Hose(id="H-R60", count=2, length_ft=5, bore_in=0.25, rating_psig=800, shut_off="one-end", color="red"),
        Hose(id="H-B60", count=2, length_ft=5, bore_in=0.25, rating_psig=800, shut_off="one-end", color="blue"),
        Hose(id="H-Y60", count=4, length_ft=5, bore_in=0.25, rating_psig=800, shut_off="one-end", color="yellow"),
        Hose(id="H-Y60D", count=2, length_ft=5, bore_in=0.25, rating_psig=800, shut_off="both-ends", color="yellow"),
    ),
    manifolds=(Manifold(id="MG-2", valves=2, rating_psig=800, micron_gauge=True),),
    sight_glasses=(Fitting(id="SG-1", rating_psig=650),),
    filter_driers=(
        Fitting(id="FD-1", count=4, rating_psig=680),
        Fitting(id="FD-9", count=2, rating_psig=680, high_acid=True),
    ),
    tees=(Fitting(id="TE-1", count=4, rating_psig=800),),
    piercing_valves=(Fitting(id="PV-1", count=2, rating_psig=600),),
    core_tools=(Fitting(id="CT-1", count=2, rating_psig=800),),
    vacuum_pumps=2,
    flammable_rated_vacuum_pumps=1,
    micron_gauges=1,
    detectors=2,
    flammable_rated_detectors=1,
    identifiers=1,
    absolute_gauges=1,
    nitrogen=1,
)
FOUR_VALVES = KIT.model_copy(update={"manifolds": (Manifold(id="MG-4", valves=4, rating_psig=800, micron_gauge=True),)})
BOTH_ENDS = KIT.model_copy(
    update={
        "hoses": (
            Hose(id="H-2", count=8, length_ft=6, bore_in=0.375, rating_psig=800, shut_off="both-ends", color="yellow"),
        )
    }
)
HEADER = KIT.model_copy(update={"headers": (Fitting(id="HD-1", rating_psig=800),)})
NO_CORE_TOOL = KIT.model_copy(update={"core_tools": ()})
ONE_CORE_TOOL = KIT.model_copy(update={"core_tools": (Fitting(id="CT-1", count=1, rating_psig=800),)})
NO_DRIER = KIT.model_copy(update={"filter_driers": ()})


def cylinder(
    name: str,
    *,
    change: bool = False,
    valves: str = "liquid vapor",
    float_switch: bool = False,
    empty: bool = False,
) -> CylinderNeed:
    """A cylinder of 47.6 lb water capacity with the weights of a plan."""
    return CylinderNeed(
        id=name,
        valves=tuple(valves.split()),  # type: ignore[arg-type]
        float_switch=float_switch,
        expected_bare_gross_lb=27.5,
        stop_gross_lb=61.4,
        limit_gross_lb=63.0,
        change_at_gross_lb=61.0 if change else None,
        planned_gross_lb=61.0 if change else 55.0,
        stop_and_cool_psig=350.0,
        empty=empty,
    )


def several(count: int, name: str = "C-{}", **more: bool) -> tuple[CylinderNeed, ...]:
    """So many cylinders; all but the last are changed."""
    return tuple(cylinder(name.format(118 + index), change=index < count - 1, **more) for index in range(count))  # type: ignore[arg-type]


def replace(request: Request, **changes: Any) -> Request:
    """A request with other facts, its hoses picked for them. purge_policy, pressure_psig: what the plan picks them by.

    ports: names alone are service valves (a sealed appliance: piercing), a mapping says their kinds.
    """
    policy = changes.pop("purge_policy", "vacuum" if request.hoses.by_vacuum else "vapor")
    least_psig = changes.pop("pressure_psig", request.hoses.least_psig)
    ports = changes.pop("ports", None)
    if ports is not None:
        sealed = changes.get("factory_sealed", request.factory_sealed)
        usual = "piercing" if sealed and changes.get("kind", request.kind) == "small-appliance" else "service-valve"
        kinds = ports if isinstance(ports, dict) else dict.fromkeys(ports, usual)
        changes |= {"liquid_port": kinds.get("liquid"), "vapor_port": kinds.get("vapor")}
    changed = dataclasses.replace(request, **changes)
    by_vacuum = purges_by_vacuum(
        policy,
        dangerous=changed.burns or changed.poisons,
        room_is_small=changed.room_is_small,
        low_pressure=changed.low_pressure,
        ports=changed.ports,
        must=changed.burnout
        or changed.push_pull
        or bool(changed.hose_end_ports)
        or any(item.empty for item in changed.cylinders),
    )
    letters: dict[str, HoseLetter] = {"liquid": "A", "vapor": "B"}
    closing = {letters[port] for port in changed.hose_end_ports} if changed.push_pull else set()
    need = HoseNeed(
        hose_letters(changed.ports, by_vacuum), least_psig, changed.burns, both_ends=frozenset({"D", *closing})
    )
    return dataclasses.replace(changed, hoses=pick_hoses(changed.kit, need, by_vacuum=by_vacuum))


_PLAIN = Request(
    job="HP-1041",
    units="US",
    refrigerant="R-410A",
    unknown=False,
    flammable=False,
    toxic=False,
    stages=("vapor",),
    cylinders=several(1),
    machine="RM-1",
    controls=Controls(),
    clear_to="15 inHg vacuum on the inlet gauge",
    machine_had=None,
    scale="SC-1",
    scale_step_lb=0.1,
    check_weight_lb=20.0,
    kit=KIT,
    hoses=Hoses((), 400.0, flammable=False, by_vacuum=False),
    discharge_into="liquid",
    kind="split",
    liquid_port="service-valve",
    vapor_port="service-valve",
    charge_lb=22.0,
    factory_sealed=False,
    compressor_runs=False,
    receiver=False,
    isolated="",
    reversing_valve=False,
    burnout=False,
    leaking=False,
    torch=False,
    ambient_F=78.0,
    low_pressure=False,
    raise_to_atmosphere=False,
    gauge_at_site_inHg_vacuum=10.4,
    target_psia=9.6,
    target_percent_of_charge=None,
    target_lb=None,
    rise_check_minutes=10,
    space="outdoors",
    room_is_small=False,
    permit_space=False,
    ladder=False,
    roof_edge=False,
    bubble_rows=(PressureRow(80.0, 236.0, 235.5, 246.0),),
)
PLAIN = replace(_PLAIN)
LIQUID = replace(PLAIN, stages=("liquid", "vapor"))
PUSH_PULL = replace(PLAIN, stages=("push-pull", "vapor"), receiver=True)
SMALL = replace(
    PLAIN,
    kind="small-appliance",
    factory_sealed=True,
    ports=("vapor",),
    charge_lb=0.4,
    gauge_at_site_inHg_vacuum=None,
    rise_check_minutes=0,
    target_percent_of_charge=80.0,
    target_lb=0.32,
    scale_step_lb=0.01,
    refrigerant="R-134a",
)
FLAMMABLE = replace(PLAIN, refrigerant="R-454B", flammable=True, space="indoors", room_is_small=True, torch=True)
CHILLER = replace(
    LIQUID, kind="chiller", refrigerant="R-134a", charge_lb=310.0, space="machinery-room", rise_check_minutes=30
)
LOW = replace(
    CHILLER,
    stages=("push-pull", "vapor"),
    second_needed=True,
    refrigerant="R-123",
    toxic=True,
    low_pressure=True,
    gauge_at_site_inHg_vacuum=28.9,
    target_psia=0.483,
    pressure_psig=30,
)

SCHRADER = {"liquid": "schrader", "vapor": "schrader"}
NOT_STATED = {"liquid": "not-stated", "vapor": "not-stated"}

VARIANTS: dict[str, Request] = {
    "vapor": PLAIN,
    "vapor-vacuum": replace(PLAIN, purge_policy="vacuum"),
    "vapor-four-valves": replace(PLAIN, kit=FOUR_VALVES),
    "vapor-into-vapor": replace(PLAIN, discharge_into="vapor"),
    "vapor-one-port": replace(PLAIN, ports=("vapor",)),
    "vapor-no-drier": replace(PLAIN, kit=NO_DRIER),
    "vapor-both-ends": replace(PLAIN, kit=BOTH_ENDS),
    "vapor-float": replace(PLAIN, cylinders=several(1, float_switch=True)),
    "vapor-one-valve": replace(PLAIN, cylinders=(cylinder("F-202", valves="vapor"),)),
    "vapor-burnout": replace(PLAIN, burnout=True, torch=True),
    "vapor-leaking": replace(PLAIN, leaking=True),
    "vapor-rooftop": replace(PLAIN, space="rooftop", ladder=True, roof_edge=True),
    "vapor-two-cylinders": replace(PLAIN, cylinders=several(2)),
    "vapor-two-vacuum": replace(PLAIN, cylinders=several(2, float_switch=True), purge_policy="vacuum"),
    "liquid": LIQUID,
    "liquid-four-valves-vacuum": replace(LIQUID, kit=FOUR_VALVES, purge_policy="vacuum"),
    "liquid-one-port": replace(LIQUID, ports=("liquid",)),
    "liquid-three-cylinders": replace(LIQUID, cylinders=several(3)),
    "liquid-four-cylinders-vacuum": replace(LIQUID, cylinders=several(4), space="machinery-room", room_is_small=True),
    "liquid-one-port-two": replace(LIQUID, ports=("liquid",), cylinders=several(2)),
    "push-pull": PUSH_PULL,
    "push-pull-basement": replace(PUSH_PULL, space="basement", room_is_small=True, refrigerant="R-22"),
    "push-pull-float": replace(PUSH_PULL, cylinders=several(1, float_switch=True)),
    "push-pull-three": replace(PUSH_PULL, cylinders=several(3)),
    "push-pull-two-vacuum": replace(PUSH_PULL, cylinders=several(2), purge_policy="vacuum", kit=BOTH_ENDS),
    "small-appliance": SMALL,
    "small-appliance-runs": replace(SMALL, compressor_runs=True, target_percent_of_charge=90.0, target_lb=0.36),
    "small-appliance-two-ports": replace(SMALL, ports=("liquid", "vapor")),
    "small-appliance-propane": replace(
        SMALL, refrigerant="R-290", flammable=True, compressor_runs=True, space="indoors"
    ),
    "isolated": replace(PLAIN, receiver=True, isolated="receiver"),
    "heat-pump": replace(PLAIN, kind="heat-pump", reversing_valve=True),
    "flammable": FLAMMABLE,
    "flammable-liquid-two": replace(FLAMMABLE, stages=("liquid", "vapor"), cylinders=several(2)),
    "chiller": CHILLER,
    "chiller-low": LOW,
    "chiller-raised": replace(LOW, raise_to_atmosphere=True, stages=("push-pull",)),
    "unknown": replace(PLAIN, refrigerant="unknown", unknown=True, cylinders=(cylinder("M-901"),), bubble_rows=()),
    "metric": replace(LIQUID, units="SI"),
    "own-words": replace(
        LIQUID, controls=Controls(recover_vapor="VAPOR", recover_liquid="LIQUID", clear="SELF-CLEAR", off="STOP")
    ),
    "schrader-core-tools": replace(LIQUID, ports=SCHRADER),
    "schrader-one-core-tool": replace(LIQUID, ports=SCHRADER, kit=ONE_CORE_TOOL, cylinders=several(2)),
    "schrader-no-core-tool": replace(LIQUID, ports=SCHRADER, kit=NO_CORE_TOOL),
    "ports-not-stated": replace(LIQUID, ports=NOT_STATED),
    "push-pull-schrader": replace(PUSH_PULL, ports=SCHRADER, kit=BOTH_ENDS.model_copy(update={"core_tools": ()})),
    "push-pull-header": replace(
        PUSH_PULL, kit=HEADER, cylinders=several(2, empty=True), second_needed=True, second="Ada"
    ),
    "push-pull-king": replace(PUSH_PULL, ports={"liquid": "king-valve", "vapor": "access-valve"}),
    "pump-down": replace(
        LIQUID, receiver=True, compressor_runs=True, ports={"liquid": "king-valve", "vapor": "service-valve"}
    ),
    "isolated-by-valves": replace(PLAIN, isolated="valves"),
    "empty-cylinders": replace(LIQUID, cylinders=several(3, empty=True), discharge_into="vapor"),
    "flammable-one-port": replace(FLAMMABLE, ports=("vapor",)),
    "burnout-vacuum": replace(LIQUID, burnout=True),
    "permit": replace(PLAIN, space="basement", permit_space=True, room_is_small=True),
}


def loaded(hookup: Hookup) -> dict[str, int]:
    """The load list as it is said in a shop of US units: how many of each."""
    return {name.sentence("US"): count for name, count in hookup.kit_list}
