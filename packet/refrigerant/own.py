"""Refrigerants given by composition: an identifier's print-out of a gas that is no refrigerant of the catalogue.

Everywhere in the program such a gas goes by a name that says what it is, 'R-22 62 % + R-407C 38 %': parts by falling
mass percent. `catalogue.find` reads such a name back; nothing about it is stored anywhere else.
"""

import math
import re
from collections.abc import Iterable, Mapping
from functools import cache

from packet.refrigerant import packaged, room
from packet.refrigerant.blends import NOT_A_GAS
from packet.refrigerant.catalogue import (
    OZONE_DEPLETING,
    Refrigerant,
    UnknownRefrigerant,
    everything,
    find,
    gwp_source,
    named_parts,
    with_technical_names,
)
from packet.refrigerant.computed import Composition, Computed
from packet.refrigerant.curve import Curve
from packet.refrigerant.pure import PURE
from packet.words import N_, t

MIXED = "mixed"
# Print-outs are rounded to a tenth of a percent a part.
SUM_MAY_MISS_BY = 0.5
MOST_PARTS = 12
# A composition this close (mass fraction, every part) to a catalogued one is that refrigerant.
SAME_SHARE = 0.0005
_NAME = re.compile(r"[^%+]+ \d+(?:\.\d+)? %(?: \+ [^%+]+ \d+(?:\.\d+)? %)+")
_PART = re.compile(r"(.+) (\d+(?:\.\d+)?) %")
_FLAMMABILITY = ("1", "2L", "2", "3")
_SAFETY = N_("not classified: its most flammable and its most toxic part decide, the safe side")
_ROOM = N_("added up from its parts by the method of ASHRAE 34, from memory: the safe side")
_COMPOSITION = N_("the composition given")


class WrongPartError(ValueError):
    """A composition that cannot be meant. part: which, '' for the whole. str(): the sentence; suggestion: what to do."""

    def __init__(self, part: str, message: str, suggestion: str = "") -> None:
        super().__init__(message)
        self.part = part
        self.suggestion = suggestion


def part_of(typed: str) -> Refrigerant:
    """The catalogued refrigerant that a part of a composition names. Raises WrongPartError."""
    try:
        found = find(typed)
    except UnknownRefrigerant as unknown:
        suggestion = (
            t("Did you mean {names}?", names=", ".join(unknown.suggestions))
            if unknown.suggestions
            else t("Where a part is not identified, write 'unknown' or 'mixed' for the whole.")
        )
        raise WrongPartError(typed, t("There is no refrigerant '{value}'.", value=typed[:60]), suggestion) from None
    if found.own:
        raise WrongPartError(typed, t("A part is one refrigerant of the catalogue."))
    return found


def name_from(parts: Iterable[tuple[str, float]], *, by_mole: bool = False) -> str:
    """The name of a gas from its parts, each a designation in any spelling with its percent (mass, or moles).

    The catalogue's designation where the catalogue has that composition. Raises WrongPartError.
    """
    shares: dict[str, float] = {}
    for typed, percent in parts:
        item = part_of(typed)
        if item.name in shares:
            raise WrongPartError(typed, t("{name} is named twice.", name=item.name), t("Add the two up."))
        if not 0.0 < percent <= 100.0:
            raise WrongPartError(typed, t("A part is more than 0 and at most 100 percent."))
        shares[item.name] = percent
    if not shares:
        raise WrongPartError("", t("A composition names its parts."), t("Write {R-22: 62, R-407C: 38}."))
    if len(shares) > MOST_PARTS:
        raise WrongPartError("", t("A composition has at most {count} parts.", count=MOST_PARTS))
    total = sum(shares.values())
    if abs(total - 100.0) > SUM_MAY_MISS_BY:
        raise WrongPartError(
            "", t("The parts add up to {total} percent, not to 100.", total=f"{total:.4g}"), t("Add what is missing.")
        )
    if by_mole:
        shares = {name: percent * molar_mass_kg(find(name).composition) for name, percent in shares.items()}
        total = sum(shares.values())
    return _name({name: 100.0 * share / total for name, share in shares.items()})


def name_of_masses(parts: Mapping[str, float]) -> str:
    """The name of a gas from the masses of its parts (any one unit), to a tenth of a percent: no sum of analyses is known
    better. Parts that round to nothing go. Raises ValueError when there is nothing.
    """
    total = sum(parts.values())
    if total <= 0.0:
        raise ValueError("nothing")
    percents = {name: round(100.0 * mass / total, 1) for name, mass in parts.items()}
    return _name({name: percent for name, percent in percents.items() if percent > 0.0})


def _name(percents: Mapping[str, float]) -> str:
    known = _catalogued(expand(percents))
    if known is not None:
        return known.name
    shown = {name: max(1, round(100.0 * percent)) for name, percent in percents.items()}  # hundredths of a percent
    # what rounding leaves goes to the largest part, so that a name read back adds up to 100 and is the same name
    shown[max(shown, key=lambda name: (shown[name], name))] += 10_000 - sum(shown.values())
    ordered = sorted(shown.items(), key=lambda item: (-item[1], item[0]))
    return " + ".join(f"{name} {f'{percent / 100:.2f}'.rstrip('0').rstrip('.')} %" for name, percent in ordered)


def expand(percents: Mapping[str, float]) -> Composition:
    """Pure parts with their mass fractions, by falling share, from catalogued parts with percents (or any masses)."""
    pure: dict[str, float] = {}
    total = sum(percents.values())
    for name, percent in percents.items():
        for part, share in find(name).composition:
            pure[part] = pure.get(part, 0.0) + share * percent / total
    ordered = sorted(pure.items(), key=lambda item: (-item[1], item[0]))
    return tuple((name, round(share, 6)) for name, share in ordered)


def _catalogued(composition: Composition) -> Refrigerant | None:
    ours = dict(composition)
    for item in everything():
        theirs = dict(item.composition)
        if theirs.keys() == ours.keys() and all(abs(ours[part] - theirs[part]) <= SAME_SHARE for part in ours):
            return item
    return None


def same_gas(one: str, other: str) -> bool:
    """Whether two names mean the same gas: by composition, whatever the parts are called."""
    if one == other:
        return True
    try:
        first, second = find(one), find(other)
    except UnknownRefrigerant:
        return False
    ours, theirs = dict(first.composition), dict(second.composition)
    return ours.keys() == theirs.keys() and all(abs(ours[part] - theirs[part]) <= SAME_SHARE for part in ours)


def is_mixed(name: str | None) -> bool:
    """Whether what a cylinder is said to hold, or is kept for, is a mix: 'mixed', or a composition."""
    if name is None or name == MIXED:
        return name == MIXED
    return "%" in name and bool(parts_in(name))


def parts_in(name: str) -> tuple[tuple[str, float], ...]:
    """What the name of such a gas says: catalogued parts with their mass fractions; nothing for any other name."""
    if not _NAME.fullmatch(name) or len(name) > 400:
        return ()
    found = []
    for piece in name.split(" + "):
        matched = _PART.fullmatch(piece)
        if matched is None:
            return ()
        found.append((matched[1], float(matched[2])))
    total = sum(percent for _, percent in found)
    if abs(total - 100.0) > SUM_MAY_MISS_BY:
        return ()
    return tuple((part, percent / total) for part, percent in found)


@cache
def read(name: str) -> Refrigerant | None:
    """The refrigerant that such a name means, or None when it is none: parts unknown, or not adding up to 100."""
    parts = parts_in(name)
    try:
        means = name_from((part, 100.0 * share) for part, share in parts) if parts else ""
        if means == name:
            return _refrigerant(name, expand(dict(parts)))
        return find(means) if means else None
    except (WrongPartError, UnknownRefrigerant):
        return None


def _refrigerant(name: str, composition: Composition) -> Refrigerant:
    pure = dict(composition)
    kinds = {PURE[part].kind for part in pure}
    groups = [PURE[part].safety_group for part in pure]
    burns = max((group[1:] for group in groups), key=_FLAMMABILITY.index)
    group = ("B" if any(item.startswith("B") for item in groups) else "A") + burns
    flammable = burns != "1"
    un = ("UN3161", "Liquefied gas, flammable, n.o.s.") if flammable else ("UN1078", "Refrigerant gases, n.o.s.")
    gas = is_a_gas(composition)
    answers = [find(part).answer for part in pure if part != "R-744" and find(part).answer]
    return Refrigerant(
        name=name,
        composition=composition,
        safety_group=group,
        room_limit_lb_per_1000ft3=_room_limit(composition),
        room_limit_source=_ROOM,
        un_number=un[0] if gas else None,
        proper_shipping_name=with_technical_names(un[1], named_parts(pure, flammable)) if gas else None,
        hazard_class=("2.1" if flammable else "2.2") if gas else None,
        gwp100=sum(share * PURE[part].gwp for part, share in pure.items()),
        gwp_source=gwp_source(pure),
        composition_source=_COMPOSITION,
        ozone_depleting=bool(kinds & OZONE_DEPLETING),
        hfc="HFC" in kinds,
        answer=answers[0] if answers else "",
        safety_group_source=_SAFETY,
        own=True,
    )


def _room_limit(composition: Composition) -> float | None:
    moles = mole_fractions(composition)
    if moles is None:
        return None
    burning = frozenset(part for part in moles if PURE[part].safety_group[1:] != "1")
    ppm = room.concentration_limit_ppm(moles, burning)
    return None if ppm is None else room.lb_per_1000ft3(ppm, 1000.0 * molar_mass_kg(composition))


def molar_mass_kg(composition: Composition) -> float:
    """kg/mol of a mixture. Raises WrongPartError where a part's is not known (no equation of state)."""
    return 1.0 / sum(share / _curves_of(part).molar_mass_kg for part, share in composition)


def mole_fractions(composition: Composition) -> dict[str, float] | None:
    """By pure part; None where a part's molar mass is not known."""
    try:
        whole = molar_mass_kg(composition)
        return {part: share * whole / _curves_of(part).molar_mass_kg for part, share in composition}
    except WrongPartError:
        return None


def _curves_of(part: str) -> Computed:
    found = packaged.curves(part, ((part, 1.0),))
    if found is None:
        raise WrongPartError(part, t("Of {part} no molar mass is known: give percent by mass.", part=part))
    return found


def is_a_gas(composition: Composition) -> bool:
    """Whether it is a gas by 49 CFR 171.8: above 43.5 psia (300 kPa) at 122 degF, or wholly gas at 68 degF
    and one atmosphere; by ideal mixing of the parts' own vapor pressures, which is near enough to tell."""
    moles = mole_fractions(composition)
    if moles is None:
        return not any(part in NOT_A_GAS for part, _ in composition)
    warm = sum(share * _vapor_Pa(part, 323.15) for part, share in moles.items())
    dew = 1.0 / sum(share / _vapor_Pa(part, 293.15) for part, share in moles.items())
    return warm > 300_000.0 or dew > 101_325.0


def _vapor_Pa(part: str, T_K: float) -> float:
    found = _curves_of(part)
    return math.exp(Curve(found.lowest_K, found.highest_K, found.ln_bubble)(min(T_K, found.highest_K)))
