"""What the hookup takes from the shop's kit: each gauge and fitting beside the plan's hoses, or what is missing of them."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from packet.findings import Finding, finding
from packet.hookup.request import Request
from packet.plan.hoses import NOT_IN_KIT
from packet.plan.model import HoseLetter
from packet.shop.records import Fitting, Hose, Manifold
from packet.statements import Amount, Param, Statement, statement, thing
from packet.units import UnitSystem
from packet.words import N_

# either serves where one is used; what is rated for flammable refrigerant is taken where the gas may burn
DETECTOR = thing(N_("refrigerant detector"))
RATED_DETECTOR = thing(N_("refrigerant detector, rated for flammable refrigerant"))

# where a tee may stand: the manifold's middle, hose D or the sight glass at the cylinder, the cylinder's vapor valve
TeePlace = Literal["manifold", "cylinder", "top"]


@dataclass(frozen=True, slots=True)
class PickedKit:
    """What was picked. hoses: the plan's, by letter. missing: one finding for each other thing the shop does not have."""

    hoses: Mapping[HoseLetter, Hose]
    manifold: Manifold
    drier: Fitting | None
    header: Fitting | None
    missing: tuple[Finding, ...]
    counts: Counter[Statement] = field(default_factory=Counter)


def tees_of(request: Request, manifold_valves: int) -> tuple[TeePlace, ...]:
    """Tees, by where they stand: what the vacuum pump (and the nitrogen) is put on.

    'manifold': at the middle of a two-valve manifold, which has no vacuum port. 'cylinder': between the filling hose
    and the cylinder, in push-pull and where cylinders are swapped; 'top': between its vapor valve and hose C, in
    push-pull.
    """
    tees: list[TeePlace] = []
    if manifold_valves == 2 and not request.liquid_alone and (request.vacuum_purge or request.breaks_vacuum):
        tees.append("manifold")
    if request.push_pull:
        tees += ["cylinder", "top"]
    elif request.vacuum_purge and len(request.cylinders) > 1:
        tees.append("cylinder")
    return tuple(tees)


def pick(request: Request) -> PickedKit:
    """The plan's hoses, and the rest of the kit with them. What is missing gets a stand-in and a finding."""
    missing: list[Finding] = []
    counts = Counter(hose_name(item.hose) for item in request.hoses.picked if not item.missing)
    hoses = {item.letter: item.hose for item in request.hoses.picked}
    manifold = _manifold(request, missing, counts)
    drier = _drier(request, missing, counts)
    header = None
    if request.push_pull:
        glass = next(iter(_rated(request.kit.sight_glasses, request)), None)
        if glass is None:
            missing.append(_missing(request, "no-sight-glass-in-kit", rating=_rating(request)))
        else:
            counts[statement("kit-sight-glass", id=glass.id)] += 1
        header = next(iter(_rated(request.kit.headers, request)), None)
        if header is not None:
            counts[statement("kit-header", id=header.id)] += 1
    _fittings(request, len(tees_of(request, manifold.valves)), missing, counts)
    _instruments(request, manifold, missing, counts)
    return PickedKit(hoses, manifold, drier, header, tuple(missing), counts)


def _drier(request: Request, missing: list[Finding], counts: Counter[Statement]) -> Fitting | None:
    """A drier of the kind the job asks for: after a burnout one of high acid capacity, and a second to change it."""
    driers = _rated(request.kit.filter_driers, request)
    if request.burnout:
        driers = [item for item in driers if item.high_acid]
    if not driers:
        if not request.burnout:
            return None
        missing.append(_missing(request, "no-high-acid-drier", rating=_rating(request)))
        return Fitting(id=NOT_IN_KIT, rating_psig=request.pressure_psig, high_acid=True)
    drier = min(driers, key=lambda item: item.high_acid != request.burnout)
    counts[statement("kit-drier", id=drier.id)] += 2 if request.burnout else 1
    return drier


def hose_name(hose: Hose) -> Statement:
    """A make-up of hose as load list and run sheet name it."""
    length, rating = Amount(hose.length_ft, "length"), Amount(hose.rating_psig, "pressure")
    return statement("kit-hose", id=hose.id, length=length, rating=rating)


def _manifold(request: Request, missing: list[Finding], counts: Counter[Statement]) -> Manifold:
    fit = [item for item in request.kit.manifolds if item.count and item.rating_psig >= request.pressure_psig]
    if not fit:
        missing.append(_missing(request, "no-manifold", rating=_rating(request)))
        return Manifold(id=NOT_IN_KIT, rating_psig=request.pressure_psig)
    # a vacuum port takes the pump without a tee; else the simpler one
    asks = request.vacuum_purge or request.breaks_vacuum
    best = min(fit, key=lambda item: (asks and item.valves != 4, item.valves, item.rating_psig))
    if not request.liquid_alone:
        counts[statement("kit-manifold", id=best.id, valves=best.valves)] += 1
    return best


def _fittings(request: Request, tees: int, missing: list[Finding], counts: Counter[Statement]) -> None:
    have = sum(item.count for item in _rated(request.kit.tees, request))
    if have < tees:
        missing.append(_missing(request, "too-few-tees", rating=_rating(request), needed=tees, have=have))
    if tees:
        counts[thing(N_("tee with a valve"))] += tees
    piercing = [kind for kind in request.port_kinds.values() if kind == "piercing"]
    if piercing:
        needed = len(piercing)
        have = sum(item.count for item in _rated(request.kit.piercing_valves, request))
        if have < needed:
            missing.append(
                _missing(request, "too-few-piercing-valves", rating=_rating(request), needed=needed, have=have)
            )
        counts[thing(N_("piercing valve"))] += needed
    if request.core_tool_ports:
        counts[thing(N_("core tool"))] += len(request.core_tool_ports)


def _instruments(request: Request, manifold: Manifold, missing: list[Finding], counts: Counter[Statement]) -> None:
    """Vacuum pump, micron gauge, absolute gauge, detector, identifier, nitrogen: rated where the gas may burn."""
    kit = request.kit
    if request.vacuum_purge:
        _take(
            counts,
            missing,
            (thing(N_("vacuum pump")), kit.vacuum_pumps),
            (thing(N_("vacuum pump, rated for flammable refrigerant")), kit.flammable_rated_vacuum_pumps),
            burns=request.burns,
        )
        if not kit.micron_gauges and not manifold.micron_gauge:
            missing.append(_missing(request, "no-micron-gauge"))
        if kit.micron_gauges or not manifold.micron_gauge:
            counts[thing(N_("micron gauge"))] += 1
    if request.low_pressure:
        if not kit.absolute_gauges:
            missing.append(_missing(request, "no-absolute-gauge"))
        counts[thing(N_("absolute gauge"))] += 1
    if request.detector:
        _take(
            counts,
            missing,
            (DETECTOR, kit.detectors),
            (RATED_DETECTOR, kit.flammable_rated_detectors),
            burns=request.burns,
        )
    if request.unknown:
        if not kit.identifiers:
            missing.append(_missing(request, "no-identifier"))
        counts[thing(N_("refrigerant identifier"))] += 1
    if request.breaks_vacuum:
        if not kit.nitrogen:
            missing.append(_missing(request, "no-nitrogen"))
        counts[thing(N_("oxygen-free nitrogen with regulator"))] += 1


def _take(
    counts: Counter[Statement],
    missing: list[Finding],
    plain: tuple[Statement, int],
    rated: tuple[Statement, int],
    *,
    burns: bool,
) -> None:
    """One of these, the rated one where the gas may burn."""
    name, have = rated if burns else plain
    if not have:
        missing.append(_not_in_kit(name))
    counts[name] += 1


def _rated(fittings: tuple[Fitting, ...], request: Request) -> list[Fitting]:
    return [item for item in fittings if item.count and item.rating_psig >= request.pressure_psig]


def _rating(request: Request) -> Statement:
    return statement("rated-at-least", pressure=Amount(request.pressure_psig, "pressure"))


def _missing(request: Request, code: str, **params: Param) -> Finding:
    return _not_in_kit(statement(code, **params), request.units)


def _not_in_kit(what: Statement, units: UnitSystem | None = None) -> Finding:
    return finding(
        "kit-missing",
        units,
        source=N_("common practice, no source"),
        where="machines.yaml kit",
        what=what,
        remedy=statement("fetch-or-enter"),
    )
