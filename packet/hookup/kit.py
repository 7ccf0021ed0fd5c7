"""What the hookup takes from the shop's kit: each gauge and fitting beside the plan's hoses, or what is missing of them."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

from packet.figures import show_length, show_pressure
from packet.findings import Finding, finding
from packet.hookup.request import Request
from packet.plan.hoses import NOT_IN_KIT
from packet.plan.model import HoseLetter
from packet.shop.records import Fitting, Hose, Manifold
from packet.units import UnitSystem
from packet.words import t


@dataclass(frozen=True, slots=True)
class PickedKit:
    """What was picked. hoses: the plan's, by letter. missing: one finding for each other thing the shop does not have."""

    hoses: Mapping[HoseLetter, Hose]
    manifold: Manifold
    drier: Fitting | None
    missing: tuple[Finding, ...]
    counts: Counter[str] = field(default_factory=Counter)


def pick(request: Request, tees: int) -> PickedKit:
    """The plan's hoses, and the rest of the kit with so many tees. What is missing gets a stand-in and a finding."""
    missing: list[Finding] = []
    counts = Counter(hose_name(item.hose, request.units) for item in request.hoses.picked if not item.missing)
    hoses = {item.letter: item.hose for item in request.hoses.picked}
    manifold = _manifold(request, missing, counts)
    kit = request.kit
    driers = _rated(kit.filter_driers, request)
    if not driers and request.burnout:
        missing.append(
            _missing(t("a filter-drier ({rating}): always in line after a burnout", rating=_rating(request)))
        )
    drier = (
        driers[0]
        if driers
        else (Fitting(id=NOT_IN_KIT, rating_psig=request.pressure_psig) if request.burnout else None)
    )
    if driers and drier is not None:
        counts[t("filter-drier {id}", id=drier.id)] += 2 if request.burnout else 1
    if request.push_pull:
        glass = next(iter(_rated(kit.sight_glasses, request)), None)
        if glass is None:
            missing.append(_missing(t("a sight glass ({rating})", rating=_rating(request))))
        else:
            counts[t("sight glass {id}", id=glass.id)] += 1
    _fittings(request, tees, missing, counts)
    _instruments(request, manifold, missing, counts)
    return PickedKit(hoses, manifold, drier, tuple(missing), counts)


def _manifold(request: Request, missing: list[Finding], counts: Counter[str]) -> Manifold:
    fit = [item for item in request.kit.manifolds if item.count and item.rating_psig >= request.pressure_psig]
    if not fit:
        missing.append(_missing(t("a manifold gauge set ({rating})", rating=_rating(request))))
        return Manifold(id=NOT_IN_KIT, rating_psig=request.pressure_psig, micron_gauge=True)
    # a vacuum needs a gauge that reads microns; else the simpler one
    best = min(fit, key=lambda item: (request.vacuum_purge and not item.micron_gauge, item.valves, item.rating_psig))
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
    if request.pierced:
        needed = len(request.ports)
        have = sum(item.count for item in _rated(request.kit.piercing_valves, request))
        if have < needed:
            missing.append(
                _missing(
                    t("piercing valves ({rating}): {needed} needed, {have} in the kit", **_need(request, needed, have))
                )
            )
        counts[t("piercing valve")] += needed


def _instruments(request: Request, manifold: Manifold, missing: list[Finding], counts: Counter[str]) -> None:
    """Vacuum pump, micron gauge, absolute gauge, detector, nitrogen."""
    kit = request.kit
    if request.vacuum_purge:
        if not kit.vacuum_pumps:
            missing.append(_missing(t("a vacuum pump: the hoses are purged by vacuum on this job")))
        counts[t("vacuum pump")] += 1
        if not manifold.micron_gauge:
            if not kit.absolute_gauges:
                missing.append(_missing(t("a gauge that reads 1,000 micron, on the manifold or apart")))
            counts[t("micron gauge")] += 1
    if request.low_pressure:
        if not kit.absolute_gauges:
            missing.append(_missing(t("an absolute gauge: the target of a low-pressure system is absolute")))
        counts[t("absolute gauge")] += 1
    if request.flammable or request.toxic or request.space == "basement" or request.room_is_small:
        if not kit.detectors:
            missing.append(_missing(t("a refrigerant detector")))
        counts[t("refrigerant detector")] += 1
    if request.torch:
        if not kit.nitrogen:
            missing.append(_missing(t("oxygen-free nitrogen with regulator: a torch is used")))
        counts[t("oxygen-free nitrogen with regulator")] += 1


def hose_name(hose: Hose, units: UnitSystem) -> str:
    """A make-up of hose as load list and run sheet name it."""
    return t(
        "hose {id}, {length}, {rating}",
        id=hose.id,
        length=show_length(hose.length_ft, units),
        rating=show_pressure(hose.rating_psig, units),
    )


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
