"""Carrying cylinders as materials of trade: what counts, how much of it, and when placards are due."""

from typing import Literal

from packet.words import N_
from packet.worked import Worked, given

SOURCE = "49 CFR 173.6"
SOURCE_PLACARDS = "49 CFR 172.504(c)"
PER_CYLINDER_LB = 220.0
PER_TRUCK_LB = 440.0
# 'less than 1,001 lb aggregate gross weight' needs none
PLACARDS_FROM_LB = 1001.0

# What a cylinder is to the carrying rules: a material of trade; hazardous but none; or a weight to lift and no more.
Counts = Literal["trade", "not-trade", "weight"]
TRADE_CLASSES = frozenset({"2.1", "2.2"})


def counts_as(*, identified: bool, hazard_class: str | None) -> Counts:
    """What a cylinder with gas in it is.

    hazard_class: of the gas, None when it is not a Class 2 gas (R-11, R-113, R-123 boil above 68 °F). Source: 49 CFR
    173.6(a)(2), (a)(5): only Divisions 2.1 and 2.2, nothing poisonous by inhalation, no waste: gas that nobody has
    identified cannot be shown to be one of them.
    """
    if not identified:
        return "not-trade"
    if hazard_class is None:
        return "weight"
    return "trade" if hazard_class in TRADE_CLASSES else "not-trade"


def empty_counts_as(*, may_have_held_flammable: bool) -> Counts:
    """What an empty, evacuated cylinder is.

    Source: 49 CFR 173.29(b)(2)(iv)(B): the residue of a Division 2.2 gas below 29 psig at 68 °F is not regulated where its
    markings are out of sight in the vehicle ((b)(1)): a weight. One kept for flammable gas may have held a 2.1 gas, which is not excepted: it counts.
    """
    return "trade" if may_have_held_flammable else "weight"


def per_cylinder_limit_lb() -> Worked:
    """Gross weight of one cylinder carried as material of trade: at most 220 lb. Source: 49 CFR 173.6."""
    return given(PER_CYLINDER_LB, "lb", SOURCE, places=0)


def per_truck_limit_lb() -> Worked:
    """Gross weight of all materials of trade on one vehicle: at most 440 lb. Source: 49 CFR 173.6."""
    return given(PER_TRUCK_LB, "lb", SOURCE, places=0)


def truck_total_lb(standing_lb: Worked, cylinders: tuple[tuple[str, Worked], ...]) -> Worked:
    """Gross weight of all materials of trade aboard after the job, lb: the standing load and each cylinder that counts.

    cylinders: (id as a plain name, gross lb). Source: 49 CFR 173.6: all materials of trade count.
    """
    inputs = (("always_on_the_truck", standing_lb), *cylinders)
    return Worked(
        sum(part.value for _, part in inputs),
        "lb",
        N_("all materials of trade aboard after the job"),
        SOURCE,
        " + ".join(f"{{{key}}}" for key, _ in inputs),
        inputs,
        places=1,
    )


def needs_placards(hazardous_lb: float) -> bool:
    """Whether that gross weight of hazardous materials aboard, lb, asks for placards. Source: 49 CFR 172.504(c)."""
    return hazardous_lb >= PLACARDS_FROM_LB


def un_number_is_open(un_number: str | None, hazard_class: str | None) -> bool:
    """Whether the shipper has to choose between two generic entries for a non-flammable blend.

    UN1078 (refrigerant gases, n.o.s.) and UN3163 (liquefied gas, n.o.s.) are both used for 2.2 blends that 49 CFR
    172.101 does not list; which one is a question for the shipper. Source: 49 CFR 172.101, from memory.
    """
    return hazard_class == "2.2" and un_number in {"UN1078", "UN3163"}
