"""Names, composition, safety group, room limit, transport and warming potential of every refrigerant we answer for."""

import difflib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from packet.refrigerant.blends import BLENDS, NOT_A_GAS, Blend
from packet.refrigerant.pure import AR4, AR5, EU, MEMORY, PART_84, PURE, Pure
from packet.statements import Statement, statement
from packet.words import N_


@dataclass(frozen=True, slots=True)
class Refrigerant:
    """A refrigerant as standards and regulations describe it.

    safety_group_source: where the group is from. own: given by its composition, not
    of the catalogue (`own`). name: ASHRAE 34 designation ('R-410A'). composition: nominal mass fractions by designation, one part for a pure
    fluid. room_limit_lb_per_1000ft3: the refrigerant concentration limit, None where none is given. hazard_class:
    '2.1', '2.2', '2.3' or None when it is not a Class 2 gas. answer: what to do instead, for gases that are not
    recovered like the others (R-744, R-717); empty for the rest.
    """

    name: str
    composition: tuple[tuple[str, float], ...]
    safety_group: str
    room_limit_lb_per_1000ft3: float | None
    room_limit_source: str
    un_number: str | None
    proper_shipping_name: str | None
    hazard_class: str | None
    gwp100: float
    gwp_source: str
    composition_source: str
    ozone_depleting: bool
    hfc: bool
    answer: str = ""
    safety_group_source: str = MEMORY
    own: bool = False

    @property
    def flammable(self) -> bool:
        """ASHRAE 34 class 2L, 2 or 3."""
        return self.safety_group[1:2] in {"2", "3"}

    @property
    def toxic(self) -> bool:
        """ASHRAE 34 class B."""
        return self.safety_group.startswith("B")

    @property
    def is_blend(self) -> bool:
        """More than one component."""
        return len(self.composition) > 1


class UnknownRefrigerant(LookupError):  # noqa: N818 - the trade's words
    """No refrigerant of that name. name: as typed; suggestions: the nearest designations, the nearest first."""

    def __init__(self, name: str, suggestions: tuple[str, ...]) -> None:
        self.name = name
        self.suggestions = suggestions
        super().__init__(name, suggestions)

    @property
    def reason(self) -> Statement:
        """Why, for the user."""
        if not self.suggestions:
            return statement("no-refrigerant", name=self.name)
        return statement("no-refrigerant-but", name=self.name, suggestions=self.suggestions)

    def __str__(self) -> str:
        return self.reason.sentence("US")


_COMPOSITION_SOURCE = N_("ASHRAE 34 nominal composition, from memory")
_SUM = N_("mass-weighted sum of the parts, IPCC AR4, 100 years (HFCs as in 40 CFR part 84)")
# Where some part's value is from memory, by whether one is from the EU regulation, and from AR5.
_SUM_FROM_MEMORY = {
    (False, False): N_(
        "mass-weighted sum of the parts, IPCC AR4, 100 years (HFCs as in 40 CFR part 84; hydrocarbons from memory)"
    ),
    (True, False): N_(
        "mass-weighted sum of the parts, IPCC AR4, 100 years (HFCs as in 40 CFR part 84; HFOs and hydrocarbons as in"
        " Regulation (EU) 517/2014, from memory)"
    ),
    (False, True): N_("mass-weighted sum of the parts, IPCC AR4 and, where it has none, AR5, 100 years, from memory"),
    (True, True): N_(
        "mass-weighted sum of the parts, IPCC AR4, 100 years, where it has none Regulation (EU) 517/2014 or IPCC AR5,"
        " from memory"
    ),
}
OZONE_DEPLETING = frozenset({"CFC", "HCFC", "BFC"})
_ANSWERS = {
    "R-744": N_(
        "Carbon dioxide is exempt from the venting prohibition (40 CFR 82.154, from memory) and is not recovered with"
        " this kind of machine or cylinder: above 88 °F it is never liquid and its pressure exceeds any recovery"
        " cylinder's. Release it outdoors, slowly, through the system's own vent line as the maker of the system says;"
        " keep people away, keep an oxygen and CO₂ meter running, and watch for dry ice in the lines."
    ),
    "R-717": N_(
        "Ammonia is outside the recovery rules of 40 CFR 82 and attacks the copper and brass of ordinary recovery"
        " machines, hoses and cylinders. Leave it to a crew trained and equipped for ammonia (steel or stainless"
        " fittings, respirators, pump-out to the plant's own receiver, the plant's emergency plan)."
    ),
}
# What people write before the number: 'R-', 'HFC-', 'refrigerant ', ...
_PREFIX = re.compile(r"^(?:refrigerant|hcfo|hcfc|hfo|hfc|cfc|pfc|hc|bfc|fc|r)(?=[-\s_]*(?:\d|c\d))", re.IGNORECASE)
_COMMON_NAMES = {
    "propane": "R-290",
    "butane": "R-600",
    "nbutane": "R-600",
    "isobutane": "R-600a",
    "propylene": "R-1270",
    "propene": "R-1270",
    "ammonia": "R-717",
    "nh3": "R-717",
    "carbondioxide": "R-744",
    "co2": "R-744",
    "halon1301": "R-13B1",
    # the isomer in common use, when the letter in brackets is left off
    "1234ze": "R-1234ze(E)",
    "1233zd": "R-1233zd(E)",
    "507": "R-507A",
    "514": "R-514A",
}


def _key(name: str) -> str:
    """`name` without prefix, blanks, hyphens, brackets and case: 'HFC-410A' and 'r 410 a' are both '410a'."""
    # the hyphens and dashes of word processors, the minus sign
    bare = _PREFIX.sub("", re.sub(r"[\u2010-\u2015\u2212]", "-", name.strip()))
    return re.sub(r"[\s\-_()./]", "", bare).lower()


def find(name: str) -> Refrigerant:
    """The refrigerant people mean by `name`, in any usual spelling ('410a', 'R410A', 'HFC-410A', 'r 1234ze(e)').

    A name made of parts ('R-22 62 % + R-407C 38 %') is read by `own`. Raises UnknownRefrigerant, with close names, when there is none.
    """
    if "%" in name:
        from packet.refrigerant import own

        mixture = own.read(name)
        if mixture is not None:
            return mixture
    by_key = _by_key()
    key = _key(name)
    if key in by_key:
        return by_key[key]
    # letters typed for digits: R4O4A
    digits = key.translate(str.maketrans("oil", "011"))
    near = [digits] if digits in by_key else []
    near += difflib.get_close_matches(digits, by_key, n=8, cutoff=0.6)
    suggestions = tuple(dict.fromkeys(by_key[item].name for item in near))[:4]
    raise UnknownRefrigerant(name, suggestions)


@cache
def everything() -> tuple[Refrigerant, ...]:
    """Every refrigerant of the catalogue, pure fluids first, each group in the order of its number."""
    return tuple(_pure(name, row) for name, row in PURE.items()) + tuple(
        _blend(name, row) for name, row in BLENDS.items()
    )


@cache
def _by_key() -> dict[str, Refrigerant]:
    found = {_key(item.name): item for item in everything()}
    by_name = {item.name: item for item in everything()}
    return {other: by_name[name] for other, name in _COMMON_NAMES.items()} | found


def _pure(name: str, row: Pure) -> Refrigerant:
    return Refrigerant(
        name=name,
        composition=((name, 1.0),),
        safety_group=row.safety_group,
        room_limit_lb_per_1000ft3=row.room_limit,
        room_limit_source=row.room_source,
        un_number=row.un_number,
        proper_shipping_name=with_technical_names(row.un_name, (name,)),
        hazard_class=row.hazard_class,
        gwp100=row.gwp,
        gwp_source=row.gwp_source,
        composition_source="",
        ozone_depleting=row.kind in OZONE_DEPLETING,
        hfc=row.kind == "HFC",
        answer=_ANSWERS.get(name, ""),
    )


def _blend(name: str, row: Blend) -> Refrigerant:
    parts = {part: percent / 100.0 for part, percent in row.parts.items()}
    kinds = {PURE[part].kind for part in parts}
    flammable = row.safety_group[1:2] in {"2", "3"}
    if name in NOT_A_GAS:
        un_number, un_name = None, None
    elif row.un is not None:
        un_number, un_name = row.un
    elif flammable:
        un_number, un_name = "UN3161", "Liquefied gas, flammable, n.o.s."
    else:
        un_number, un_name = "UN1078", "Refrigerant gases, n.o.s."
    return Refrigerant(
        name=name,
        composition=tuple(parts.items()),
        safety_group=row.safety_group,
        room_limit_lb_per_1000ft3=row.room_limit,
        room_limit_source=row.room_source,
        un_number=un_number,
        proper_shipping_name=with_technical_names(un_name, named_parts(parts, flammable)),
        hazard_class=None if un_number is None else "2.1" if flammable else "2.2",
        gwp100=sum(share * PURE[part].gwp for part, share in parts.items()),
        gwp_source=gwp_source(parts),
        composition_source=_COMPOSITION_SOURCE,
        ozone_depleting=bool(kinds & OZONE_DEPLETING),
        hfc="HFC" in kinds,
        safety_group_source=row.safety_source,
    )


def gwp_source(parts: Iterable[str]) -> str:
    """Which reports the warming potentials of a mixture's pure parts are from."""
    reports = {PURE[part].gwp_source for part in parts}
    if reports <= {PART_84, AR4}:
        return _SUM
    if reports == {AR5}:
        return N_("mass-weighted sum of the parts, IPCC AR5, 100 years, from memory")
    return _SUM_FROM_MEMORY[EU in reports, AR5 in reports]


def named_parts(parts: dict[str, float], flammable: bool) -> tuple[str, ...]:
    """The two parts that make most of the hazard (49 CFR 172.203(k), from memory): flammable ones first, then by mass."""
    burns = {part for part in parts if PURE[part].safety_group[1:2] in {"2", "3"}} if flammable else set()
    ordered = sorted(parts, key=lambda part: (part not in burns, -parts[part]))
    return tuple(ordered[:2])


def with_technical_names(un_name: str | None, parts: tuple[str, ...]) -> str | None:
    """An n.o.s. name with the technical names in brackets (49 CFR 172.203(k), from memory); others as they are."""
    if un_name is None or "n.o.s." not in un_name:
        return un_name
    return f"{un_name} ({', '.join(PURE[part].chemical_name for part in parts)})"
