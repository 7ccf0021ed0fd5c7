"""Whether the refrigerant in reach could make a room's air unfit to breathe or fit to burn."""

from packet.words import N_
from packet.worked import Worked

SOURCE_HALF = N_("ASHRAE 15, from memory")


def room_limit_lb(limit_lb_per_1000ft3: Worked, room_ft3: Worked, institutional: bool) -> Worked:
    """The refrigerant that brings a room to its concentration limit, lb; half of it in hospitals, homes and the like.

    Source: ASHRAE 34 refrigerant concentration limit, as printed in International Mechanical Code table 1103.1 (which
    gases were read is on the limit itself); the half: ASHRAE 15, from memory.
    """
    half = 0.5 if institutional else 1.0
    return Worked(
        half * limit_lb_per_1000ft3.value * room_ft3.value / 1000.0,
        "lb",
        N_("concentration limit times the room's volume, half of it in homes, hospitals and the like")
        if institutional
        else N_("concentration limit times the room's volume"),
        f"{limit_lb_per_1000ft3.source}; {SOURCE_HALF}" if institutional else limit_lb_per_1000ft3.source,
        ("0.5 × " if institutional else "") + "{limit} × {room} ÷ 1000",
        (("limit", limit_lb_per_1000ft3), ("room", room_ft3)),
        places=2,
    )


def charge_in_room_lb(charge_lb: Worked, cylinders_lb: Worked) -> Worked:
    """What could get into the room, lb: the full charge and what is in the cylinders already."""
    return Worked(
        charge_lb.value + cylinders_lb.value,
        "lb",
        N_("the full charge and what the cylinders hold already"),
        N_("common practice, no source"),
        "{charge} + {cylinders}",
        (("charge", charge_lb), ("cylinders", cylinders_lb)),
        places=2,
    )
