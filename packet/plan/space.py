"""The room check of a job."""

from packet.findings import Finding, finding
from packet.plan.case import Case
from packet.plan.gas import Gas
from packet.plan.model import OccupiedSpace
from packet.refrigerant.catalogue import everything
from packet.rules import room
from packet.shop.records import Site
from packet.statements import Amount
from packet.units import M3_PER_FT3
from packet.words import N_
from packet.worked import Worked, given

OPEN_AIR = frozenset({"rooftop", "outdoors"})


def plan_space(case: Case) -> tuple[OccupiedSpace | None, tuple[Finding, ...]]:
    """The room check: full charge and what the cylinders hold against the concentration limit; None in open air."""
    job, gas, units = case.job, case.gas, case.units
    site = job.site
    if site.space in OPEN_AIR:
        return None, ()
    limit = concentration_limit(gas)
    if limit is None:
        where = job.appliance.where("refrigerant")
        return None, (finding("room-limit-unknown", source="ASHRAE 34", where=where, refrigerant=gas.called),)
    if site.room_ft3 is None:
        # for a round volume of the shop's units
        per_ft3 = 1000.0 if units == "US" else 100.0 / M3_PER_FT3
        share = (0.5 if site.institutional else 1.0) * per_ft3 / 1000.0
        return None, (
            finding(
                "room-not-given",
                units,
                source=limit.source,
                where=site.where("room_ft3"),
                charge_limit=Amount(limit.value * share, "exact-weight"),
                room=Amount(per_ft3, "room"),
            ),
        )
    space = given(site.room_ft3, "ft³", site.where("room_ft3"), places=0)
    limit_lb = room.room_limit_lb(limit, space, site.institutional)
    charge = room.charge_in_room_lb(
        given(job.appliance.charge_lb, "lb", job.appliance.where("charge_lb")),
        given(
            sum(state.contents_lb for _, state in case.named.cylinders),
            "lb",
            N_("what the ledger says is in the cylinders"),
        ),
    )
    exceeds = charge.value > limit_lb.value
    checked = OccupiedSpace(limit_lb, charge, exceeds, limit_lb.source)
    if not exceeds:
        return checked, ()
    return checked, (
        finding(
            "room-limit-exceeded",
            units,
            source=limit_lb.source,
            where=site.where("room_ft3"),
            charge=Amount(charge.value, "weight"),
            limit=Amount(limit_lb.value, "weight"),
            room=Amount(site.room_ft3, "room"),
        ),
    )


def room_is_small(site: Site, space: OccupiedSpace | None) -> bool:
    """Indoors, and the charge could reach the room's limit or the room is unknown."""
    return site.space not in OPEN_AIR and (space is None or space.exceeds)


def concentration_limit(gas: Gas) -> Worked | None:
    """lb for each 1,000 ft³; of an unknown gas the strictest of all that are recovered; None where none is known."""
    if gas.refrigerant is None:
        known = [item for item in everything() if item.room_limit_lb_per_1000ft3 is not None and not item.answer]
        strictest = min(known, key=lambda item: item.room_limit_lb_per_1000ft3 or 0.0)
    else:
        strictest = gas.refrigerant
    if strictest.room_limit_lb_per_1000ft3 is None:
        return None
    return given(
        strictest.room_limit_lb_per_1000ft3,
        "lb/1000 ft³",
        f"{strictest.name}: {strictest.room_limit_source}",
        places=3,
    )
