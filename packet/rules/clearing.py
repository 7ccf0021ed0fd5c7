"""What still goes into the cylinder after the stop weight is read: clearing hold-up."""

import math

from packet.units import IN3_PER_FT3
from packet.words import N_
from packet.worked import Worked

SOURCE = N_("common practice, no source")


def hose_volume_ft3(length_ft: Worked, bore_in: Worked) -> Worked:
    """Inside volume of a hose, ft³. Source: geometry of a cylinder."""
    return Worked(
        math.pi / 4.0 * bore_in.value**2 * length_ft.value * 12.0 / IN3_PER_FT3,
        "ft³",
        N_("inside volume of a hose"),
        N_("geometry"),
        "3.14159265 ÷ 4 × {bore}^2 × {length} × 12 ÷ 1728",
        (("bore", bore_in), ("length", length_ft)),
        places=6,
    )


def hose_liquid_lb(hose_ft3: Worked, liquid_lb_per_ft3: Worked) -> Worked:
    """Liquid that the discharge hose holds when full, lb: clearing pushes it into the cylinder. Source: mass balance."""
    return Worked(
        hose_ft3.value * liquid_lb_per_ft3.value,
        "lb",
        N_("liquid in a full discharge hose"),
        N_("volume times density"),
        "{hose} × {density}",
        (("hose", hose_ft3), ("density", liquid_lb_per_ft3)),
        places=4,
    )


def line_liquid_lb(hose_ft3: Worked, other_hose_ft3: Worked, liquid_lb_per_ft3: Worked) -> Worked:
    """Push-pull: liquid in both hoses from the appliance to the cylinder, lb: it drains into the cylinder."""
    return Worked(
        (hose_ft3.value + other_hose_ft3.value) * liquid_lb_per_ft3.value,
        "lb",
        N_("liquid in the full line from the appliance to the cylinder"),
        N_("volume times density"),
        "({hose} + {other_hose}) × {density}",
        (("hose", hose_ft3), ("other_hose", other_hose_ft3), ("density", liquid_lb_per_ft3)),
        places=4,
    )


def reaction_flow_lb(rate_lb_per_min: Worked, reaction_seconds: Worked) -> Worked:
    """Push-pull: what flows while a person sees the stop weight and shuts the valve, lb.

    Source: common practice, no source (10 s by default). Stopping the machine does not stop this flow.
    """
    return Worked(
        rate_lb_per_min.value * reaction_seconds.value / 60.0,
        "lb",
        N_("flow during the time it takes to react"),
        SOURCE,
        "{rate} × {reaction_time} ÷ 60",
        (("rate", rate_lb_per_min), ("reaction_time", reaction_seconds)),
        places=4,
    )


def clearing_lb(hold_up_lb: Worked, hose_liquid: Worked, scale_step_lb: Worked, flow_lb: Worked | None) -> Worked:
    """What to keep free below the limit, lb: machine hold-up, liquid in the hose, one scale step, push-pull's flow.

    Source: common practice, no source.
    """
    inputs: tuple[tuple[str, Worked], ...] = (
        ("machine_hold_up", hold_up_lb),
        ("hose_liquid", hose_liquid),
        ("scale_step", scale_step_lb),
    )
    if flow_lb is not None:
        inputs = (*inputs, ("reaction_flow", flow_lb))
    return Worked(
        sum(part.value for _, part in inputs),
        "lb",
        N_("what clearing still pushes into the cylinder"),
        SOURCE,
        " + ".join(f"{{{key}}}" for key, _ in inputs),
        inputs,
    )
