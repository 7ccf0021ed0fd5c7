"""What a job's print promised, as filing needs it: read from the print record, in the units of the paper's plan."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from packet.press.printed import PrintRecord


@dataclass(frozen=True, slots=True)
class ExpectedCylinder:
    """An assigned cylinder as planned, lb."""

    id: str
    stop_gross_lb: float
    limit_gross_lb: float
    planned_lb: float


@dataclass(frozen=True, slots=True)
class Expected:
    """One print of a job. Weights in lb, gauge in inHg vacuum at the site; None where the plan had none.

    target_percent: of the charge, on a small appliance. facts: who, where and which appliance, for the record.
    stops: codes of what spoke against sending it out.
    """

    job: str
    revision: str
    date: date
    refrigerant: str
    mixed: bool
    technician: str
    apprentice: bool
    scale_step_lb: float
    charge_lb: float
    to_recover_lb: float | None
    leaking: bool
    raised: bool
    gauge_inHg: float | None
    target_psia: float | None
    absolute_mmHg: float | None
    target_percent: float | None
    rise_minutes: int
    cylinders: tuple[ExpectedCylinder, ...]
    facts: Mapping[str, str]
    stops: tuple[str, ...]

    def cylinder(self, name: str) -> ExpectedCylinder | None:
        """The assigned cylinder of that id, None when it was not on the job."""
        return next((item for item in self.cylinders if item.id == name), None)


def expected(record: PrintRecord) -> Expected:
    """What a print record says. Raises KeyError, TypeError or ValueError when it carries no plan to check against."""
    plan = record.plan
    evacuation: Mapping[str, Any] = plan["evacuation"] or {}
    site, appliance = plan["site"], plan["appliance"]
    return Expected(
        job=record.job,
        revision=record.revision,
        date=record.date,
        refrigerant=str(plan["refrigerant"]),
        mixed=bool(plan["mixed_or_unknown"]),
        technician=str(plan["technician"]),
        apprentice=bool(plan["supervisor"]),
        scale_step_lb=float(plan["scale_step_lb"] or 0.1),
        charge_lb=float(appliance["charge_lb"]),
        to_recover_lb=_number(plan["to_recover_lb"]),
        leaking=bool(plan["leaking"]),
        raised=bool(evacuation.get("raise_to_atmosphere", False)),
        gauge_inHg=_number(evacuation.get("gauge_at_site_inHg_vacuum")),
        target_psia=_number(evacuation.get("target_psia")),
        absolute_mmHg=_number(evacuation.get("absolute_mmHg")),
        target_percent=_number(evacuation.get("target_percent_of_charge")),
        rise_minutes=int(evacuation.get("rise_check_minutes") or 0),
        cylinders=tuple(
            ExpectedCylinder(
                str(item["id"]), float(item["stop_gross_lb"]), float(item["limit_gross_lb"]), float(item["planned_lb"])
            )
            for item in plan["cylinders"]
        ),
        facts={
            "site": str(site["name"]),
            "address": str(site["address"]),
            "appliance": str(appliance["description"]),
            "appliance_kind": str(appliance["kind"]),
            "serial": str(appliance["serial"]),
            "owner": str(appliance["owner"]),
            "work": str(plan["reason"]),
            "truck": str(plan["truck"]),
            "machine": str(plan["machine"]),
            "scale": str(plan["scale"]),
        },
        stops=tuple(str(code) for code in plan.get("stops") or ()),
    )


def _number(value: Any) -> float | None:
    return None if value is None else float(value)
