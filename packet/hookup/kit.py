"""What the hookup takes from the shop's kit: each gauge and fitting beside the plan's hoses, or what is missing of them."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from packet.figures import show_length, show_pressure
from packet.findings import Finding, finding
from packet.hookup.request import Request
from packet.plan.hoses import NOT_IN_KIT
from packet.plan.model import HoseLetter
from packet.shop.records import Fitting, Hose, Manifold
from packet.units import UnitSystem
from packet.words import t

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
    counts: Counter[str] = field(default_factory=Counter)


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
    counts = Counter(hose_name(item.hose, request.units) for item in request.hoses.picked if not item.missing)
    hoses = {item.letter: item.hose for item in request.hoses.picked}
    manifold = _manifold(request, missing, counts)
    drier = _drier(request, missing, counts)
    header = None
    if request.push_pull:
        glass = next(iter(_rated(request.kit.sight_glasses, request)), None)
        if glass is None:
            missing.append(_missing(t("a sight glass ({rating})", rating=_rating(request))))
        else:
            counts[t("sight glass {id}", id=glass.id)] += 1
        header = next(iter(_rated(request.kit.headers, request)), None)
        if header is not None:
            counts[t("two-way header {id}", id=header.id)] += 1
    _fittings(request, len(tees_of(request, manifold.valves)), missing, counts)
    _instruments(request, manifold, missing, counts)
    return PickedKit(hoses, manifold, drier, header, tuple(missing), counts)


def _drier(request: Request, missing: list[Finding], counts: Counter[str]) -> Fitting | None:
    """A drier of the kind the job asks for: after a burnout one of high acid capacity, and a second to change it."""
    driers = _rated(request.kit.filter_driers, request)
    if request.burnout:
        driers = [item for item in driers if item.high_acid]
    if not driers:
        if not request.burnout:
            return None
        missing.append(
            _missing(t("a high-acid filter-drier ({rating}): always in line after a burnout", rating=_rating(request)))
        )
        return Fitting(id=NOT_IN_KIT, rating_psig=request.pressure_psig, high_acid=True)
    drier = min(driers, key=lambda item: item.high_acid != request.burnout)
    counts[t("filter-drier {id}", id=drier.id)] += 2 if request.burnout else 1
    return drier


def hose_name(hose: Hose, units: UnitSystem) -> str:
    """A make-up of hose as load list and run sheet name it."""
    return t(
        "hose {id}, {length}, {rating}",
        id=hose.id,
        length=show_length(hose.length_ft, units),
        rating=show_pressure(hose.rating_psig, units),
    )


def _manifold(request: Request, missing: list[Finding], counts: Counter[str]) -> Manifold:
    fit = [item for item in request.kit.manifolds if item.count and item.rating_psig >= request.pressure_psig]
    if not fit:
        missing.append(_missing(t("a manifold gauge set ({rating})", rating=_rating(request))))
        return Manifold(id=NOT_IN_KIT, rating_psig=request.pressure_psig)
    # a vacuum port takes the pump without a tee; else the simpler one
    asks = request.vacuum_purge or request.breaks_vacuum
    best = min(fit, key=lambda item: (asks and item.valves != 4, item.valves, item.rating_psig))
    if not request.liquid_alone:
        counts[t("manifold gauge set {id}, {valves} valves", id=best.id, valves=best.valves)] += 1
    return best


def _fittings(request: Request, tees: int, missing: list[Finding], counts: Counter[str]) -> None:
    have = sum(item.count for item in _rated(request.kit.tees, request))
    if have < tees:
        missing.append(
            _missing(
                t("tees with a valve ({rating}): {needed} needed, {have} in the kit", **_need(request, tees, have))
            )
        )
    if tees:
        counts[t("tee with a valve")] += tees
    piercing = [kind for kind in request.port_kinds.values() if kind == "piercing"]
    if piercing:
        needed = len(piercing)
        have = sum(item.count for item in _rated(request.kit.piercing_valves, request))
        if have < needed:
            missing.append(
                _missing(
                    t("piercing valves ({rating}): {needed} needed, {have} in the kit", **_need(request, needed, have))
                )
            )
        counts[t("piercing valve")] += needed
    if request.core_tool_ports:
        counts[t("core tool")] += len(request.core_tool_ports)


def _instruments(request: Request, manifold: Manifold, missing: list[Finding], counts: Counter[str]) -> None:
    """Vacuum pump, micron gauge, absolute gauge, detector, identifier, nitrogen: rated where the gas may burn."""
    kit = request.kit
    if request.vacuum_purge:
        _take(
            counts,
            missing,
            (t("vacuum pump"), kit.vacuum_pumps),
            (t("vacuum pump, rated for flammable refrigerant"), kit.flammable_rated_vacuum_pumps),
            burns=request.burns,
        )
        if not kit.micron_gauges and not manifold.micron_gauge:
            missing.append(_missing(t("a micron gauge: the vacuum is read on it")))
        if kit.micron_gauges or not manifold.micron_gauge:
            counts[t("micron gauge")] += 1
    if request.low_pressure:
        if not kit.absolute_gauges:
            missing.append(_missing(t("an absolute gauge: the target of a low-pressure system is absolute")))
        counts[t("absolute gauge")] += 1
    if request.detector:
        _take(
            counts,
            missing,
            (t("refrigerant detector"), kit.detectors),
            (t("refrigerant detector, rated for flammable refrigerant"), kit.flammable_rated_detectors),
            burns=request.burns,
        )
    if request.unknown:
        if not kit.identifiers:
            missing.append(_missing(t("a refrigerant identifier: nobody knows this gas")))
        counts[t("refrigerant identifier")] += 1
    if request.breaks_vacuum:
        if not kit.nitrogen:
            missing.append(_missing(t("oxygen-free nitrogen with regulator: the vacuum is broken with it")))
        counts[t("oxygen-free nitrogen with regulator")] += 1


def _take(
    counts: Counter[str], missing: list[Finding], plain: tuple[str, int], rated: tuple[str, int], *, burns: bool
) -> None:
    """One of these, the rated one where the gas may burn."""
    name, have = rated if burns else plain
    if not have:
        missing.append(_missing(name))
    counts[name] += 1


def _rated(fittings: tuple[Fitting, ...], request: Request) -> list[Fitting]:
    return [item for item in fittings if item.count and item.rating_psig >= request.pressure_psig]


def _rating(request: Request) -> str:
    return t("rated {pressure} or more", pressure=show_pressure(request.pressure_psig, request.units))


def _need(request: Request, needed: int, have: int) -> dict[str, object]:
    return {"rating": _rating(request), "needed": needed, "have": have}


def _missing(what: str) -> Finding:
    return finding(
        "kit-missing",
        source=t("common practice, no source"),
        where="machines.yaml kit",
        what=what,
        remedy=t("Fetch it, or enter it under 'kit' if the shop has it."),
    )
