"""Where to stop filling a cylinder: the limits that apply, the smallest of them, and the stop weight below it.

**A new limit is one entry in LIMITS**: everything that fills a cylinder, offers one or says what it still takes
(`packet.plan.cylinder`, `packet.plan.fit`, `packet.office.cylinders`) asks here.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from packet.rules import fill, printed
from packet.rules.printed import PrintedWeight
from packet.words import N_
from packet.worked import Worked


@dataclass(frozen=True, slots=True)
class Stamped:
    """What is stamped on a cylinder, and its volume. max_gross_lb: None where none is stamped."""

    water_capacity_lb: Worked
    tare_lb: Worked
    volume_ft3: Worked
    max_gross_lb: Worked | None


@dataclass(frozen=True, slots=True)
class Terms:
    """What a fill is held to. refrigerant: its designation; None for a mixed or unknown gas.

    liquid_lb_per_ft3: at the fill temperature; hot_liquid_lb_per_ft3: at 131 °F; both on the safe side of an estimate.
    scale_capacity_lb: None where no scale is chosen yet.
    """

    refrigerant: str | None
    ceiling_percent: Worked
    hot_ceiling_percent: Worked
    liquid_lb_per_ft3: Worked
    hot_liquid_lb_per_ft3: Worked
    scale_capacity_lb: Worked | None


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits that apply to one cylinder at one temperature, net lb, by code; `net_lb` is the smallest."""

    all: tuple[tuple[str, Worked], ...]
    governing: str
    net_lb: Worked


@dataclass(frozen=True, slots=True)
class StopWeights:
    """The limits, never above (limit_gross_lb) and where to stop, gross lb, as printed."""

    limits: Limits
    limit_gross_lb: Worked
    stop_gross_lb: Worked


def _listed(vessel: Stamped, terms: Terms) -> Worked | None:
    return fill.filling_density_lb(terms.refrigerant, vessel.water_capacity_lb) if terms.refrigerant else None


def _stamp(vessel: Stamped, terms: Terms) -> Worked | None:  # noqa: ARG001
    return fill.stamped_gross_lb(vessel.max_gross_lb, vessel.tare_lb) if vessel.max_gross_lb is not None else None


def _scale(vessel: Stamped, terms: Terms) -> Worked | None:
    if terms.scale_capacity_lb is None:
        return None
    return fill.scale_capacity_lb(terms.scale_capacity_lb, vessel.tare_lb)


# Net lb by a cylinder and the terms of the fill, None where the limit does not apply. The code is also the input's name
# in the working (`symbols`) and the sentence's in `packet.statements`. On a tie the first governs.
LIMITS: Mapping[str, Callable[[Stamped, Terms], Worked | None]] = {
    "by_volume": lambda vessel, terms: fill.by_volume_lb(
        terms.ceiling_percent, vessel.volume_ft3, terms.liquid_lb_per_ft3
    ),
    "by_hot_level": lambda vessel, terms: fill.hot_level_lb(
        terms.hot_ceiling_percent, vessel.volume_ft3, terms.hot_liquid_lb_per_ft3
    ),
    "by_filling_density": _listed,
    "by_stamp": _stamp,
    "by_scale": _scale,
}


def limits(vessel: Stamped, terms: Terms) -> Limits:
    """The limits that apply, and the governing one."""
    asked = ((code, limit(vessel, terms)) for code, limit in LIMITS.items())
    return smallest(tuple((code, found) for code, found in asked if found is not None))


def smallest(found: tuple[tuple[str, Worked], ...]) -> Limits:
    """The governing limit among named ones (code, net lb). Never below 0. On a tie the first named governs."""
    code, least = min(found, key=lambda item: item[1].value)
    net = Worked(
        max(0.0, least.value),
        "lb",
        N_("net limit: the smallest of the limits that apply"),
        N_("49 CFR 173.304, 173.304a; AHRI Guideline K"),
        "largest of (0, smallest of (" + ", ".join(f"{{{key}}}" for key, _ in found) + "))",
        found,
        estimate_percent=least.estimate_percent,
    )
    return Limits(found, code, net)


def stop_of(vessel: Stamped, terms: Terms, clearing_lb: Worked, how: PrintedWeight) -> StopWeights:
    """Limits, limit and stop weight of a cylinder.

    clearing_lb: what still goes in after the stop weight is read. how: what both weights are rounded down to.
    Source of the stop: common practice, no source.
    """
    found = limits(vessel, terms)
    gross = Worked(
        found.net_lb.value + vessel.tare_lb.value,
        "lb",
        N_("limit as gross weight: net limit plus tare"),
        N_("definition of gross weight"),
        "{net_limit} + {tare}",
        (("net_limit", found.net_lb), ("tare", vessel.tare_lb)),
        estimate_percent=found.net_lb.estimate_percent,
    )
    never_above = printed.floored(gross, N_("never above: the limit, rounded down to what the scale shows"), how)
    less = Worked(
        never_above.value - clearing_lb.value,
        "lb",
        N_("limit less what clearing still pushes in"),
        N_("common practice, no source"),
        "{limit} − {clearing}",
        (("limit", never_above), ("clearing", clearing_lb)),
        estimate_percent=never_above.estimate_percent,
    )
    stop = printed.floored(less, N_("stop weight, rounded down to what the scale shows"), how)
    return StopWeights(found, never_above, stop)
