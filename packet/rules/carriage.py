"""Carrying cylinders as materials of trade, and lifting them."""

from packet.words import N_
from packet.worked import Worked, given

SOURCE = "49 CFR 173.6"
PER_CYLINDER_LB = 220.0
PER_TRUCK_LB = 440.0
PLACARDS_ABOVE_LB = 1001.0  # from memory


def per_cylinder_limit_lb() -> Worked:
    """Gross weight of one cylinder carried as material of trade: at most 220 lb. Source: 49 CFR 173.6."""
    return given(PER_CYLINDER_LB, "lb", SOURCE, places=0)


def per_truck_limit_lb() -> Worked:
    """Gross weight of all materials of trade on one vehicle: at most 440 lb. Source: 49 CFR 173.6."""
    return given(PER_TRUCK_LB, "lb", SOURCE, places=0)


def truck_total_lb(standing_lb: Worked, cylinders: tuple[tuple[str, Worked], ...]) -> Worked:
    """Gross weight of all materials of trade aboard after the job, lb: the standing load and each cylinder.

    cylinders: (id as a plain name, gross lb). Source: 49 CFR 173.6: all materials of trade count.
    """
    inputs = (("standing_load", standing_lb), *cylinders)
    return Worked(
        sum(part.value for _, part in inputs),
        "lb",
        N_("all materials of trade aboard after the job"),
        SOURCE,
        " + ".join(f"{{{key}}}" for key, _ in inputs),
        inputs,
        places=1,
    )
