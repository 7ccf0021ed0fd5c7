"""The trade's rule of thumb, shown beside the real limit."""

from packet.rules import printed
from packet.rules.printed import PrintedWeight
from packet.words import N_
from packet.worked import Worked

SOURCE = N_("common practice (trade school worked example, 0.8 × WC + TW)")


def quick_rule_net_lb(water_capacity_lb: Worked) -> Worked:
    """0.80 × water capacity, net lb, whatever the refrigerant. Source: common practice, a trade school's example."""
    return Worked(
        0.80 * water_capacity_lb.value,
        "lb",
        N_("quick rule, net: 80 % of the water capacity whatever the refrigerant"),
        SOURCE,
        "0.80 × {water_capacity}",
        (("water_capacity", water_capacity_lb),),
        places=2,
    )


def quick_rule_gross_lb(water_capacity_lb: Worked, tare_lb: Worked, how: PrintedWeight) -> Worked:
    """0.80 × WC + TW, gross lb, rounded (not floored: it is a thing to compare with, never a limit).

    Rounded to what the scale shows, as the limits beside it are. Source: a trade school's worked example
    (WC 47.6, TW 27.5 → 65.6 lb).
    """
    return printed.rounded(
        Worked(
            0.80 * water_capacity_lb.value + tare_lb.value,
            "lb",
            N_("quick rule: 80 % of the water capacity plus tare"),
            SOURCE,
            "0.80 × {water_capacity} + {tare}",
            (("water_capacity", water_capacity_lb), ("tare", tare_lb)),
        ),
        N_("quick rule, as printed"),
        how,
    )
