"""What the hookup takes from the shop's kit: each hose, gauge and fitting, or what is missing of them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from packet.figures import show_length, show_pressure
from packet.findings import Finding, finding
from packet.hookup.request import Request
from packet.shop.records import Fitting, Hose, Manifold, ShutOff
from packet.words import N_, t

# Long enough to reach an appliance's ports from the floor, or a cylinder on the scale beside the machine. Common
# practice, no source; a 1.5 m hose passes for the first.
TO_APPLIANCE_FT = 4.5
BESIDE_FT = 2.5

# the id of a stand-in for what the shop does not have; the job is stopped and says so
NOT_IN_KIT = "missing"

# hose letter: where it goes (for the message), how long, the trade's color for that side
WANTED: dict[str, tuple[str, float, str]] = {
    "A": (N_("hose A, appliance liquid side"), TO_APPLIANCE_FT, "red"),
    "B": (N_("hose B, appliance vapor side"), TO_APPLIANCE_FT, "blue"),
    "C": (N_("hose C, to the machine's suction"), BESIDE_FT, "yellow"),
    "D": (N_("hose D, machine discharge to cylinder"), BESIDE_FT, "yellow"),
    "P": (N_("hose P, to the vacuum pump"), BESIDE_FT, "yellow"),
}


# Hose D meets machine and cylinder and still holds gas when it comes off both; the others come off one end at a time,
# or drawn empty.
SHUT_OFFS: dict[str, ShutOff] = {"A": "one-end", "B": "one-end", "C": "one-end", "D": "both-ends", "P": "none"}


@dataclass(frozen=True, slots=True)
class Kit:
    """What was picked. hoses by letter. missing: one finding for each thing the shop does not have."""

    hoses: dict[str, Hose]
    manifold: Manifold
    drier: Fitting | None
    missing: tuple[Finding, ...]
    counts: Counter[str] = field(default_factory=Counter)


def pick(request: Request, letters: Sequence[str], tees: int) -> Kit:
    """Pick the kit for hoses of these letters and so many tees. What is missing gets a stand-in and a finding."""
    missing: list[Finding] = []
    counts: Counter[str] = Counter()
    hoses = _hoses(request, letters, missing, counts)
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
    return Kit(hoses, manifold, drier, tuple(missing), counts)


def _hoses(request: Request, letters: Sequence[str], missing: list[Finding], counts: Counter[str]) -> dict[str, Hose]:
    left = {hose.id: hose.count for hose in request.kit.hoses}
    picked: dict[str, Hose] = {}
    # the discharge hose first: it is the one that wants a shut-off at both ends most
    for letter in sorted(letters, key=lambda name: (name == "P", name != "D", name)):
        where, length_ft, color = WANTED[letter]
        fit = [hose for hose in request.kit.hoses if left[hose.id] and _fits(request, hose, letter, length_ft)]
        if not fit:
            missing.append(_missing(_hose_words(request, letter, where, length_ft)))
            picked[letter] = Hose(
                id=NOT_IN_KIT,
                length_ft=length_ft,
                bore_in=0.25,
                rating_psig=request.pressure_psig,
                shut_off=SHUT_OFFS[letter],
            )
            continue
        best = min(fit, key=lambda hose: _preference(hose, letter, color))
        left[best.id] -= 1
        counts[
            t(
                "hose {id}, {length}, {rating}",
                id=best.id,
                length=show_length(best.length_ft, request.units),
                rating=show_pressure(best.rating_psig, request.units),
            )
        ] += 1
        picked[letter] = best
    return picked


def _fits(request: Request, hose: Hose, letter: str, length_ft: float) -> bool:
    if hose.length_ft < length_ft:
        return False
    if letter == "P":
        return True
    return (
        hose.rating_psig >= request.pressure_psig
        and (hose.shut_off == "both-ends" or (hose.shut_off == "one-end" and SHUT_OFFS[letter] == "one-end"))
        and (hose.flammable_rated or not request.flammable)
    )


def _preference(hose: Hose, letter: str, color: str) -> tuple[bool, bool, float]:
    """The hose of the side's color, with no more shut-offs than it needs, and no longer than it must be."""
    return hose.shut_off != SHUT_OFFS[letter], hose.color != color, hose.length_ft


def _hose_words(request: Request, letter: str, where: str, length_ft: float) -> str:
    length = show_length(length_ft, request.units)
    if letter == "P":
        return t("{where}: {length} or longer", where=t(where), length=length)
    if SHUT_OFFS[letter] == "both-ends":
        words = (
            N_("{where}: {length} or longer, {rating}, with a shut-off at both ends, for flammable gas")
            if request.flammable
            else N_("{where}: {length} or longer, {rating}, with a shut-off at both ends")
        )
    else:
        words = (
            N_("{where}: {length} or longer, {rating}, with a shut-off, for flammable gas")
            if request.flammable
            else N_("{where}: {length} or longer, {rating}, with a shut-off")
        )
    return t(words, where=t(where), length=length, rating=_rating(request))


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
