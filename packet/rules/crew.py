"""Who may do the work: technician certification."""

from collections.abc import Iterable, Sequence
from typing import Literal

from packet.shop.records import Certification, PressureClass

SOURCE = "40 CFR 82.161"
# System-dependent (passive) equipment needs the appliance's own parts; not above this full charge.
SOURCE_SYSTEM_DEPENDENT = "40 CFR 82.156"
SYSTEM_DEPENDENT_LB = 15.0


def needed_types(
    classes: Sequence[PressureClass], small_appliance: bool, *, disposal: bool = False
) -> tuple[Certification, ...]:
    """The certifications that an appliance asks for; all of them are needed, none when it is empty.

    classes: the pressure classes the refrigerant may be in (several for an estimate that straddles a boundary or an
    unknown gas). Source: 40 CFR 82.161: Type I small appliances (up to 5 lb); Type II medium, high and very high
    pressure, small appliances not included; Type III low pressure; Universal all. Disposing of small appliances needs
    none (82.161(a)(1)(vii)).
    """
    if small_appliance:
        return () if disposal else ("type-I",)
    needed: list[Certification] = []
    if any(name != "low" for name in classes):
        needed.append("type-II")
    if "low" in classes:
        needed.append("type-III")
    return tuple(needed)


def holds(held: Iterable[Certification], needed: Iterable[Certification]) -> bool:
    """Whether the certifications `held` cover all that are `needed`. Source: 40 CFR 82.161."""
    have = set(held)
    return "universal" in have or set(needed) <= have


def is_apprentice(held: Iterable[Certification]) -> bool:
    """Whether a person works as an apprentice only. Source: 40 CFR 82.161: under a certified technician."""
    return set(held) <= {"apprentice"}


SecondFor = Literal["push-pull", "room-limit", "toxic", "unknown", "roof-edge", "permit-space"]
PUSH_PULL_ALONE_LB = 100.0


def second_person_for(
    *,
    push_pull_lb: float,
    exceeds_room_limit: bool,
    toxic: bool,
    identified: bool,
    roof_edge: bool,
    permit_space: bool,
) -> tuple[SecondFor, ...]:
    """What on a job asks for a second person; empty when nothing does.

    push_pull_lb: what is drawn by push-pull, lb, 0 for other methods. Source: common practice, no source; for a permit
    space the attendant of 29 CFR 1910.146(d)(6).
    """
    asked: list[tuple[SecondFor, bool]] = [
        ("push-pull", push_pull_lb > PUSH_PULL_ALONE_LB),
        ("room-limit", exceeds_room_limit),
        ("toxic", toxic),
        ("unknown", not identified),
        ("roof-edge", roof_edge),
        ("permit-space", permit_space),
    ]
    return tuple(name for name, holds_true in asked if holds_true)
