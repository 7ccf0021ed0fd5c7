"""What a job's walk is held to: the facts that do not come from its steps.

Made from the request alone, so that a step left out by whoever writes steps is missed here.
"""

from dataclasses import dataclass

from packet.hookup.request import CRANKCASE_HEATER_FROM_LB, Request
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR

# Checklists under stress come in groups of at most nine (Degani & Wiener, NASA CR-177549, from memory).
LONGEST_GROUP = 9


@dataclass(frozen=True, slots=True)
class Rules:
    """stop_gross_lb by cylinder. before_connect, before_start, before_end: duties due by then; see `rules_of`.

    ports_used: the space behind each port that is used. isolators: the valves that close the ports; liquid_valve: the
    one of the liquid port, '' where there is none. core_tools: those behind which a core is taken out. gauges: what may
    show the appliance's pressure while a rise is looked for. people: who is named. empties: cylinders whose vacuum is
    looked at before their first fill.
    """

    stop_gross_lb: dict[str, float]
    before_connect: frozenset[str]
    before_start: frozenset[str]
    before_end: frozenset[str]
    room_purge: bool  # a push of vapor into the room is allowed
    water: bool  # a chiller: water moves or is drained
    isolated: bool  # the rest of the charge stands in the receiver
    compressor: bool  # the method needs the appliance's compressor
    compressor_draws: bool  # and it runs while the machine draws
    drier: bool  # a burnout: never without
    ports_used: dict[str, str]
    isolators: tuple[str, ...]
    liquid_valve: str
    core_tools: tuple[str, ...]
    gauges: tuple[str, ...]
    people: frozenset[str]
    empties: frozenset[str]
    by_percent: bool  # small appliance: the target is a weight
    breaks_vacuum: bool
    raised: bool
    low_pressure: bool


def rules_of(request: Request) -> Rules:
    """The rules of one job."""
    ids = [cylinder.id for cylinder in request.cylinders]
    spaces = {"liquid": APPLIANCE_LIQUID, "vapor": APPLIANCE_VAPOR}
    return Rules(
        stop_gross_lb={cylinder.id: cylinder.stop_gross_lb for cylinder in request.cylinders},
        before_connect=frozenset(_before_connect(request, ids)),
        before_start=frozenset(_before_start(request)),
        before_end=frozenset(_before_end(request, ids)),
        room_purge=not request.vacuum_purge,
        water=request.chiller,
        isolated=request.isolated == "receiver",
        compressor=request.runs_compressor,
        compressor_draws=request.pushes_itself,
        drier=request.burnout,
        ports_used={f"appliance.{port}": spaces[port] for port in request.ports},
        isolators=tuple(request.isolator(port) for port in request.ports),
        liquid_valve=request.isolator("liquid") if "liquid" in request.ports else "",
        core_tools=tuple(f"appliance.{port}" for port in request.core_tool_ports),
        gauges=("absolute",) if request.low_pressure else ("manifold.low", "manifold.high"),
        people=frozenset({"second"} if request.second_needed else ()),
        empties=frozenset(cylinder.id for cylinder in request.cylinders if cylinder.empty),
        by_percent=request.target_is_percent,
        breaks_vacuum=request.breaks_vacuum,
        raised=request.raise_to_atmosphere,
        low_pressure=request.low_pressure,
    )


def _before_connect(request: Request, ids: list[str]) -> list[str]:
    duties = ["data-sheet", "exits", "protection", "ventilate", "power", "scale-level", "scale-check", "gauges-zeroed"]
    duties += ["machine-ready", *(f"inspect:{name}" for name in ids), "hold:before"]
    if not request.pierced:
        duties.append("untrap")
        if request.receiver and not request.into_receiver:
            duties.append("untrap-king")
        if request.reversing_valve or request.kind == "heat-pump":
            duties.append("untrap-check")
    if request.locks_out_first:
        duties.append("lock-out")
    if request.unstated_ports:
        duties.append("ports-seen")
    if request.isolated == "valves":
        duties.append("closed-off")
    if request.permit_space:
        duties.append("permit")
    if request.detector:
        duties.append("detector")
    if request.permit_space or request.space == "basement" or request.poisons:
        duties.append("oxygen")
    if request.space == "rooftop" or request.roof_edge or request.ladder:
        duties.append("edge")
    if request.burns:
        duties += ["ignition", "bond"]
    if request.poisons:
        duties.append("respirator")
    if request.second_needed:
        duties.append("second-signed")
    if request.low_pressure:
        duties.append("unit-water")
    if request.chiller:
        duties += ["water", "oil-heater"]
    return duties


def _before_start(request: Request) -> list[str]:
    duties = ["confirm-closed", "standing", "hold:verified"]
    if request.burnout:
        duties.append("acid")
    if request.unknown:
        duties.append("identified")
    if any(cylinder.float_switch for cylinder in request.cylinders[:1]):
        duties.append("float-switch")
    if request.into_receiver:
        duties += ["pumped-down", "compressor-locked" if request.chiller else "lock-out"]
    return duties


def _before_end(request: Request, ids: list[str]) -> list[str]:
    duties = ["capped", "tagged", "stand", "next-gas", *_holds(request, ids)]
    duties += [f"filled:{name}" for name in ids]
    duties += [f"put-away:{name}" for name in ids[:-1]]
    duties += [f"log:{stage}" for stage in running_stages(request)]
    if request.runs_compressor:
        duties.append("compressor-ran")
    elif request.warms:
        duties.append("warmed")
    if len(ids) > 1:
        duties += [f"watch:{stage}" for stage in running_stages(request) if stage != "vapor" or not request.push_pull]
    duties += [f"float-switch:{cylinder.id}" for cylinder in request.cylinders if cylinder.float_switch]
    if request.leaking and "vapor" in running_stages(request):
        duties.append("leak-isolated")
    if request.sweeps:
        duties.append("swept")
    if request.sweeps and request.burns:
        duties += ["evacuated-again", "swept-again"]
    if request.burnout:
        duties.append("acid-waste")
    if request.pumps_down:
        duties.append("king-opened")
    return duties


def _holds(request: Request, ids: list[str]) -> list[str]:
    """The hold points of every job of this kind: five, two more for a second hookup, one more a swap."""
    names = ["before", "verified", "weighed", *(f"start:{name}" for name in ids)]
    if request.push_pull:
        names.append("stopped")
    if "vapor" in running_stages(request):
        names.append("recovered" if request.target_is_percent else "rise")
    return [f"hold:{name}" for name in names]


def running_stages(request: Request) -> list[str]:
    """The stages that recover: with no vapor port it starts on liquid; raised, it draws no vapor after the liquid."""
    stages: list[str] = [stage for stage in request.stages if stage != "vapor"]
    if "vapor" not in request.ports and "liquid" not in stages:
        stages.append("liquid")
    if not request.raise_to_atmosphere or not stages:
        stages.append("vapor")
    return stages


def has_crankcase_heater(request: Request) -> bool:
    """Whether to ask for the crankcase heater: oil that holds gas worth warming it for; common practice, no source."""
    return request.charge_lb >= CRANKCASE_HEATER_FROM_LB and not request.pierced and not request.chiller
