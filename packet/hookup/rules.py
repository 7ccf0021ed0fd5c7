"""What a job's walk is held to: the facts that do not come from its steps.

Made from the request alone, so that a step left out by whoever writes steps is missed here.
"""

from dataclasses import dataclass

from packet.hookup.request import CRANKCASE_HEATER_FROM_LB, Request

# Checklists under stress come in groups of at most nine (Degani & Wiener, NASA CR-177549, from memory).
LONGEST_GROUP = 9


@dataclass(frozen=True, slots=True)
class Rules:
    """stop_gross_lb by cylinder. before_join, before_open, before_end: duties due by then; see `duties_of`."""

    stop_gross_lb: dict[str, float]
    before_join: frozenset[str]
    before_open: frozenset[str]
    before_end: frozenset[str]
    room_purge: bool  # a push of vapor into the room is allowed
    water: bool  # a chiller: water moves or is drained
    isolated: bool
    compressor: bool  # the method needs the appliance's compressor
    compressor_draws: bool  # and it runs while the machine draws
    drier: bool  # a burnout: never without
    ports_used: tuple[str, ...]
    by_percent: bool  # small appliance: the target is a weight


def rules_of(request: Request) -> Rules:
    """The rules of one job."""
    ids = [cylinder.id for cylinder in request.cylinders]
    return Rules(
        stop_gross_lb={cylinder.id: cylinder.stop_gross_lb for cylinder in request.cylinders},
        before_join=frozenset(_before_join(request, ids)),
        before_open=frozenset(_before_open(request)),
        before_end=frozenset(_before_end(request, ids)),
        room_purge=not request.vacuum_purge,
        water=request.chiller,
        isolated=request.isolated,
        compressor=request.runs_compressor,
        compressor_draws=request.runs_compressor and not request.isolated,
        drier=request.burnout,
        ports_used=tuple(f"appliance.{port}" for port in request.ports),
        by_percent=request.target_is_percent,
    )


def _before_join(request: Request, ids: list[str]) -> list[str]:
    duties = [
        "data-sheet",
        "protection",
        "ventilate",
        "power",
        "identify",
        "scale-level",
        "scale-check",
        "machine-ready",
    ]
    duties += [f"inspect:{name}" for name in ids]
    duties.append("hold:before")
    if not request.pierced:
        duties.append("untrap")
        if request.receiver and not request.isolated:
            duties.append("untrap-king")
        if request.reversing_valve or request.kind == "heat-pump":
            duties.append("untrap-check")
    if request.isolated and request.chiller:
        duties.append("compressor-locked")
    elif request.locks_out or request.isolated:
        duties.append("lock-out")
    if request.isolated:
        duties.append("pumped-down")
    if request.permit_space:
        duties.append("permit")
    if request.space == "basement" or request.flammable or request.toxic or request.room_is_small:
        duties.append("detector")
    if request.permit_space or request.space == "basement":
        duties.append("oxygen")
    if request.space == "rooftop" or request.roof_edge or request.ladder:
        duties.append("edge")
    if request.flammable:
        duties += ["ignition", "bond"]
    if request.burnout:
        duties.append("acid")
    if has_crankcase_heater(request):
        duties.append("heater")
    return duties


def _before_open(request: Request) -> list[str]:
    duties = ["confirm-shut"]
    if request.chiller:
        duties.append("water")
    if any(cylinder.float_switch for cylinder in request.cylinders[:1]):
        duties.append("float-switch")
    return duties


def _before_end(request: Request, ids: list[str]) -> list[str]:
    duties = ["capped", "tagged", "stand", "next-gas", *_holds(request, ids)]
    duties += [f"filled:{name}" for name in ids]
    duties += [f"put-away:{name}" for name in ids[:-1]]
    duties += [f"log:{stage}" for stage in _running_stages(request) if stage != "push-pull"]
    if request.push_pull:
        duties += [f"log:push-pull:{name}" for name in ids]
    if request.runs_compressor:
        duties.append("compressor-ran")
    elif request.pierced:
        duties.append("warmed")
    if len(ids) > 1 and not request.push_pull:
        duties += [f"watch:{stage}" for stage in _running_stages(request)]
    duties += [f"float-switch:{cylinder.id}" for cylinder in request.cylinders if cylinder.float_switch]
    if request.leaking and "vapor" in _running_stages(request):
        duties.append("leak-isolated")
    if request.torch:
        duties.append("nitrogen")
    if request.burnout:
        duties.append("oil")
    if has_crankcase_heater(request):
        duties.append("heater-off")
    return duties


def _holds(request: Request, ids: list[str]) -> list[str]:
    """The hold points of every job of this kind."""
    stages = _running_stages(request)
    names = ["before", "joined", "shut", "weighed", "end", *(f"target:{name}" for name in ids)]
    names += [f"{stage}-runs" for stage in stages]
    if request.push_pull:
        names += [f"{what}:{name}" for name in ids for what in ("stopped", "cleared")]
        names += [f"{what}:{name}" for name in ids[1:] for what in ("swapped", "runs")]
        names.append("re-hosed")
    else:
        names += [f"full:{name}" for name in ids[:-1]]
        names += [f"changed:{name}" for name in ids[1:]]
    if "liquid" in stages:
        names.append("liquid-stopped" if request.raise_to_atmosphere else "liquid-out")
    if "vapor" in stages:
        names.append("target-reached" if request.target_is_percent else "rise")
    return [f"hold:{name}" for name in names]


def _running_stages(request: Request) -> list[str]:
    """The stages that recover: with no vapor port it starts on liquid; raised, it draws no vapor after the liquid."""
    stages: list[str] = [stage for stage in request.stages if stage != "vapor"]
    if "vapor" not in request.ports and "liquid" not in stages:
        stages.append("liquid")
    if not (request.raise_to_atmosphere and "liquid" in stages):
        stages.append("vapor")
    return stages


def has_crankcase_heater(request: Request) -> bool:
    """Whether to ask for the crankcase heater: oil that holds gas worth warming it for; common practice, no source."""
    return request.charge_lb >= CRANKCASE_HEATER_FROM_LB and not request.pierced and not request.chiller
