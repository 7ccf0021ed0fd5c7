"""What a turn-in may have got wrong: jobs not filed yet, a cylinder or a gas that is somebody else's."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from packet.findings import Finding, finding
from packet.ledger import records
from packet.ledger.state import Purpose
from packet.office.enter import Office
from packet.office.jobs import jobs_in


def asked_about(
    office: Office, found: records.Records, cylinders: Sequence[str], purpose: Purpose, day: date, *, reference: str
) -> Iterator[Finding]:
    """What the office is asked before these cylinders go. found: the shop's filed records; reference: the receipt's
    number, '' where there is none yet.
    """
    waiting = [
        (item.job, item.newest.plan)
        for item in jobs_in(office.shop_folder, found, "", office.today)
        if item.state in {"printed", "out"} and item.day <= day.isoformat() and item.newest is not None
    ]
    for cylinder in cylinders:
        jobs = [job for job, plan in waiting if cylinder in _cylinders_of(plan)]
        if jobs:
            yield finding("turn-in-jobs-not-filed", cylinder=cylinder, jobs=", ".join(jobs))
        if purpose == "returned":
            continue
        if not reference:
            yield finding("turn-in-no-receipt", cylinder=cylinder)
        owner = next((one.owner for one in office.registers.cylinders if one.id == cylinder), "")
        if owner:
            yield finding("turn-in-others-cylinder", cylinder=cylinder, owner=owner)
        kept = _kept_for_the_owner(found, cylinder)
        if kept:
            yield finding("turn-in-same-owner", cylinder=cylinder, jobs=", ".join(kept))


def _cylinders_of(plan: Mapping[str, Any]) -> set[str]:
    return {str(item["id"]) for item in plan.get("cylinders") or ()}


def _kept_for_the_owner(found: records.Records, cylinder: str) -> list[str]:
    """Jobs whose record says that the refrigerant goes back to the same owner, since the cylinder last left or was empty."""
    kept: list[str] = []
    for item in sorted(records.standing(found.filed), key=lambda one: (one.record.date, one.record.seq)):
        body = item.record.body
        if cylinder in body.get("evacuated", ()) or cylinder in body.get("away", {}):
            kept = []
        goes_to = str(body.get("destination", "")).casefold()
        for_the_owner = item.kind == "job" and ("owner" in goes_to or goes_to == "same-appliance")
        if for_the_owner and any(move["cylinder"] == cylinder for move in body.get("moves", ())):
            kept.append(item.record.subject)
    return kept
