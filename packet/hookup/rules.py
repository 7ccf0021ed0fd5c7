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
        before_end=frozenset(_before_end(request)),
        room_purge=not request.vacuum_purge,
        water=request.chiller,
        isolated=request.isolated,
        compressor=request.runs_compressor,
        drier=request.burnout,
        ports_used=tuple(f"appliance.{port}" for port in request.ports),
        by_percent=request.target_is_percent,
    )


def _before_join(request: Request, ids: list[str]) -> list[str]:
    duties = ["data-sheet", "protection", "ventilate", "power", "identify", "scale-check", "machine-ready"]
    duties += [f"inspect:{name}" for name in ids]
    duties.append("hold:before")
    if not request.pierced:
        duties.append("untrap")
    if request.locks_out:
        duties.append("lock-out")
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


def _before_end(request: Request) -> list[str]:
    duties = ["capped", "hold:end", "stand"]
    if request.torch:
        duties.append("nitrogen")
    if request.burnout:
        duties.append("oil")
    if not request.raise_to_atmosphere:
        duties.append("log")
    return duties


def has_crankcase_heater(request: Request) -> bool:
    """Whether to ask for the crankcase heater: oil that holds gas worth warming it for; common practice, no source."""
    return request.charge_lb >= CRANKCASE_HEATER_FROM_LB and not request.pierced and not request.chiller
