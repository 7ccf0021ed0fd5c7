"""How long the stages take: estimates from the machine's rates, for planning the day only.

Source of every figure: common practice, no source; each is marked as an estimate of ± 50 %.
"""

import math

from packet.words import N_
from packet.worked import Worked

SOURCE = N_("common practice, no source")
ERROR_PERCENT = 50.0

SET_UP_MIN = 25.0
REHOSE_MIN = 15.0
CHANGE_OVER_MIN = 10.0
CLEAR_MIN = 10.0


def handling_minutes(minutes_each: Worked, times: Worked) -> Worked:
    """Handling: so many minutes each time."""
    return Worked(
        minutes_each.value * times.value,
        "min",
        N_("handling time"),
        SOURCE,
        "{each} × {times}",
        (("each", minutes_each), ("times", times)),
        places=0,
        estimate_percent=ERROR_PERCENT,
    )


def liquid_lb(to_recover_lb: Worked, system_ft3: Worked, vapor_lb_per_ft3: Worked) -> Worked:
    """What of the charge comes out as liquid, lb: all but the vapor that fills the system when the liquid is gone."""
    return Worked(
        max(0.0, to_recover_lb.value - system_ft3.value * vapor_lb_per_ft3.value),
        "lb",
        N_("liquid: the charge less the vapor that fills the system when the liquid is out"),
        N_("mass balance"),
        "largest of (0, {charge} − {system_volume} × {vapor_density})",
        (("charge", to_recover_lb), ("system_volume", system_ft3), ("vapor_density", vapor_lb_per_ft3)),
        places=3,
        estimate_percent=system_ft3.estimate_percent,
    )


# Of a low-pressure chiller's liquid, what stays behind in tubes and oil and has to boil off. Common practice, no source.
LEFT_IN_SHELLS = 0.10


def left_in_shells_lb(liquid_mass_lb: Worked) -> Worked:
    """Liquid that a low-pressure chiller keeps back when no more of it runs, lb: it comes out as vapor alone."""
    return Worked(
        LEFT_IN_SHELLS * liquid_mass_lb.value,
        "lb",
        N_("liquid left in tubes and oil of a low-pressure chiller"),
        SOURCE,
        f"{LEFT_IN_SHELLS} × {{liquid}}",
        (("liquid", liquid_mass_lb),),
        places=1,
        estimate_percent=ERROR_PERCENT,
    )


def at_rate_minutes(mass_lb: Worked, rate_lb_per_min: Worked) -> Worked:
    """Mass over a steady rate."""
    return Worked(
        mass_lb.value / rate_lb_per_min.value,
        "min",
        N_("mass over the machine's rate"),
        SOURCE,
        "{mass} ÷ {rate}",
        (("mass", mass_lb), ("rate", rate_lb_per_min)),
        places=0,
        estimate_percent=ERROR_PERCENT,
    )


def displacement_ft3_per_min(vapor_rate_lb_per_min: Worked, vapor_70F_lb_per_ft3: Worked) -> Worked:
    """The machine's displacement, ft³/min: its vapor rate is stated at the density of the 70 °F suction.

    Source: definition; displacement stays while density, and so the rate by weight, falls.
    """
    return Worked(
        vapor_rate_lb_per_min.value / vapor_70F_lb_per_ft3.value,
        "ft³/min",
        N_("displacement: stated vapor rate over the vapor's density at 70 °F"),
        SOURCE,
        "{rate} ÷ {density_at_70F}",
        (("rate", vapor_rate_lb_per_min), ("density_at_70F", vapor_70F_lb_per_ft3)),
        places=3,
    )


def boil_off_minutes(liquid_mass_lb: Worked, displacement: Worked, vapor_lb_per_ft3: Worked) -> Worked:
    """Time to draw liquid off as vapor at the saturated density of the ambient temperature."""
    return Worked(
        liquid_mass_lb.value / (displacement.value * vapor_lb_per_ft3.value),
        "min",
        N_("liquid boiling off at the ambient temperature's vapor density"),
        SOURCE,
        "{liquid} ÷ ({displacement} × {vapor_density})",
        (("liquid", liquid_mass_lb), ("displacement", displacement), ("vapor_density", vapor_lb_per_ft3)),
        places=1,
        estimate_percent=ERROR_PERCENT,
    )


def pump_down_minutes(system_ft3: Worked, displacement: Worked, from_lb_per_ft3: Worked, to: Worked) -> Worked:
    """Time to pump a volume from one vapor density down to another at a constant displacement.

    The rate by weight falls with the density, so the time goes with the logarithm of the ratio. `to` in lb/ft³.
    """
    ratio = max(1.0, from_lb_per_ft3.value / to.value)
    return Worked(
        system_ft3.value / displacement.value * math.log(ratio),
        "min",
        N_("pump-down of the remaining vapor, the rate falling with its density"),
        SOURCE,
        "{system_volume} ÷ {displacement} × ln(largest of (1, {from_density} ÷ {to_density}))",
        (
            ("system_volume", system_ft3),
            ("displacement", displacement),
            ("from_density", from_lb_per_ft3),
            ("to_density", to),
        ),
        places=1,
        estimate_percent=ERROR_PERCENT,
    )


def sum_minutes(parts: tuple[tuple[str, Worked], ...], rule: str) -> Worked:
    """Minutes of a stage that has several parts."""
    return Worked(
        sum(part.value for _, part in parts),
        "min",
        rule,
        SOURCE,
        " + ".join(f"{{{key}}}" for key, _ in parts),
        parts,
        places=0,
        estimate_percent=ERROR_PERCENT,
    )
