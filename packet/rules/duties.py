"""Which law asks what of whom, for which gas and size: one function a duty.

A duty is the list of what its section asks for, each with whether this job meets it: it is owed when all are met.
Charges are full charges, lb. The words of each condition stand in `packet.statements` under 'if-…'.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from packet.shop.records import ApplianceKind, Disposition, Reason, Use

DISPOSAL_ABOVE_LB = 5.0
LARGE_LB = 50.0
HFC_FROM_LB = 15.0
HFC_ABOVE_GWP = 53.0
HFC_RULE_FROM = date(2026, 1, 1)

# Residential and light commercial air conditioning and heat pumps (84.106(a)(3)(ii)): the rule does not define them;
# its preamble (89 FR 82682) names packaged terminal, variable refrigerant flow, unitary and some rooftop units, split
# and single packaged central air conditioners and heat pumps, window, through-the-wall and portable units, and says
# that a chiller is never one. A later fact sheet counts certain variable refrigerant flow systems apart: their shop
# writes another `use`.
COMFORT_KINDS: frozenset[ApplianceKind] = frozenset({"split", "heat-pump", "packaged"})
COMFORT_USES: frozenset[Use] = frozenset({"comfort-cooling", "room-air-conditioner"})

# (code of the condition, whether the job meets it)
Conditions = tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """What the duties ask of a job.

    small: a small appliance of 82.152. exempt: its venting is exempt (82.154(a)(1)). ozone_depleting: the gas is, or
    holds, a class I or II substance; only_ozone_depleting: it is nothing else. hfc: it holds a regulated HFC.
    substitute_gwp: warming potential of what in it is not ozone-depleting, 0 when there is none. An unknown gas may be
    any of them: ozone_depleting and hfc are True, only_ozone_depleting is False, substitute_gwp is None.
    """

    on: date
    reason: Reason
    charge_lb: float
    kind: ApplianceKind
    use: Use | None
    small: bool
    exempt: bool
    ozone_depleting: bool
    only_ozone_depleting: bool
    hfc: bool
    substitute_gwp: float | None
    disposition: Disposition


def owed(conditions: Conditions) -> bool:
    """Whether a duty with these conditions is owed: all are met."""
    return all(met for _, met in conditions)


def disposal_record(facts: Facts) -> Conditions:
    """The technician's record of a disposal: company, place, date, type; amounts a month; what was sent, to whom.

    Source: 40 CFR 82.156(a)(3): appliances of more than 5 and less than 50 lb that are disposed of, of any refrigerant
    that is not exempt; kept three years by the technician or his company, not by the owner.
    """
    return (
        ("if-disposal", facts.reason == "disposal"),
        ("if-above-5-lb", facts.charge_lb > DISPOSAL_ABOVE_LB),
        ("if-below-50-lb", facts.charge_lb < LARGE_LB),
        ("if-not-exempt", not facts.exempt),
    )


def scrap_statement(facts: Facts) -> Conditions:
    """The signed statement with a small appliance handed over for scrap: who recovered it, address, date; or that all
    had leaked out.

    Source: 40 CFR 82.155(b)(2): small appliances, MVACs and MVAC-like appliances; the registers hold no vehicles.
    """
    return (
        ("if-disposal", facts.reason == "disposal"),
        ("if-small", facts.small),
        ("if-not-exempt", not facts.exempt),
    )


def service_record(facts: Facts) -> Conditions:
    """What the owner is given after service of an appliance of 50 lb or more of an ozone-depleting gas.

    Source: 40 CFR 82.157(a): since 10 April 2020 class I or II refrigerant, or a blend that holds one, and 82.157(l)(2):
    identity and place, date, parts worked on, kind of work on each, who, amount and type added or, at disposal, removed.
    """
    return (("if-ozone-depleting", facts.ozone_depleting), ("if-50-lb", facts.charge_lb >= LARGE_LB))


def hfc_leak_repair(facts: Facts) -> Conditions:
    """The owner's duty to work out leak rates, repair, and keep records, for HFCs and other substitutes.

    Source: 40 CFR 84.106(a): since 1 January 2026, 15 lb and more of a refrigerant that holds a regulated substance
    (an HFC), or a substitute with a warming potential above 53; not ozone-depleting gas alone, not residential and
    light commercial air conditioning and heat pumps; chillers are inside. Whoever adds or removes refrigerant gives the
    owner the documentation of (l)(2) (84.106(b)).
    """
    potent = facts.substitute_gwp is None or facts.substitute_gwp > HFC_ABOVE_GWP
    return (
        ("if-since-2026", facts.on >= HFC_RULE_FROM),
        ("if-15-lb", facts.charge_lb >= HFC_FROM_LB),
        ("if-hfc-or-gwp-53", facts.hfc or potent),
        ("if-not-ozone-depleting-alone", not facts.only_ozone_depleting),
        ("if-not-comfort", not comfort_subsector(facts)),
    )


def comfort_subsector(facts: Facts) -> bool:
    """Residential and light commercial air conditioning and heat pumps. Source: 40 CFR 84.106(a)(3)(ii), 89 FR 82682."""
    if facts.kind == "chiller":
        return False
    if facts.use is not None:
        return facts.use in COMFORT_USES
    return facts.kind in COMFORT_KINDS


def same_owner_reuse(facts: Facts) -> Conditions:
    """Gas that goes back unreclaimed goes only into equipment of the same owner.

    Source: 40 CFR 82.156(h). It is said where the gas goes back or nobody has said yet where it goes.
    """
    return (
        ("if-may-go-back", facts.disposition in {"open", "same-appliance", "same-owner"}),
        ("if-not-exempt", not facts.exempt),
    )


def sale_ban(facts: Facts) -> Conditions:
    """Recovered gas may not be sold or given to another owner before it is reclaimed.

    Source: 40 CFR 82.154(d). It is said wherever the gas may leave its owner: not where it goes back into the same
    appliance or is destroyed.
    """
    return (
        ("if-may-leave-the-owner", facts.disposition in {"open", "same-owner", "reclaim"}),
        ("if-not-exempt", not facts.exempt),
    )


DUTIES: Mapping[str, Callable[[Facts], Conditions]] = {
    "disposal-record": disposal_record,
    "scrap-statement": scrap_statement,
    "service-record": service_record,
    "hfc-leak-repair": hfc_leak_repair,
    "same-owner-reuse": same_owner_reuse,
    "sale-ban": sale_ban,
}
SOURCES: Mapping[str, str] = {
    "disposal-record": "40 CFR 82.156(a)(3)",
    "scrap-statement": "40 CFR 82.155",
    "service-record": "40 CFR 82.157",
    "hfc-leak-repair": "40 CFR 84.106",
    "same-owner-reuse": "40 CFR 82.156(h)",
    "sale-ban": "40 CFR 82.154(d)",
}
