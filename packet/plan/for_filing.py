"""What filing checks the readings of a job against, kept in its print record so that a later change cannot move it."""

from typing import Any

from packet.ledger.fields import RecordBlank, record_blanks
from packet.plan.model import CylinderPlan, Evacuation, Plan


def blanks_of(plan: Plan) -> tuple[RecordBlank, ...]:
    """The blanks of a job's Record sheet, in order: what the sheet draws and the readings form asks for."""
    technician, evacuation = plan.technician, plan.evacuation
    apprentice = technician is not None and "apprentice" in technician.certification
    return record_blanks(
        tuple(item.cylinder.id for item in plan.cylinders) or plan.job.cylinders,
        plan.registers.shop.units,
        apprentice=apprentice or plan.job.supervisor is not None,
        low_pressure=evacuation is not None and evacuation.absolute_mmHg is not None,
    )


def for_filing(plan: Plan) -> dict[str, Any]:
    """The part of a plan that comes back with the readings: plain values, US units, ready for YAML.

    The job's own words (who, where, which appliance) are repeated because the job file may be changed or cleared away
    before the packet comes back, and the record must be able to say them: 40 CFR 82.156(a)(3).
    """
    job = plan.job
    return {
        "refrigerant": plan.refrigerant.name if plan.refrigerant else job.appliance.refrigerant,
        "mixed_or_unknown": plan.mixed_or_unknown,
        "technician": plan.technician.name if plan.technician else job.technician,
        "technician_id": job.technician,
        "card": plan.technician.card if plan.technician else "",
        "supervisor": plan.supervisor.name if plan.supervisor else (job.supervisor or ""),
        "truck": job.truck,
        "machine": job.machine,
        "scale": job.scale,
        "scale_step_lb": plan.scale.resolution_lb if plan.scale else None,
        "start": job.start.isoformat("minutes"),
        "site": {"name": job.site.name, "address": job.site.address},
        "appliance": {
            "description": job.appliance.description,
            "kind": job.appliance.kind,
            "charge_lb": job.appliance.charge_lb,
            "serial": job.appliance.serial,
            "owner": job.appliance.owner,
        },
        "reason": job.work.reason,
        "leaking": job.work.leaking or job.work.reason == "leak",
        "to_recover_lb": plan.to_recover_lb.value if plan.to_recover_lb else None,
        "t_co2e_per_lb": _per_lb(plan),
        "evacuation": _evacuation(plan.evacuation),
        "cylinders": [_cylinder(item) for item in plan.cylinders],
        "stops": [item.code for item in plan.findings if item.severity == "stop"],
        "cautions": [item.code for item in plan.findings if item.severity == "caution"],
    }


def _per_lb(plan: Plan) -> float | None:
    if plan.t_co2e is None or plan.to_recover_lb is None or not plan.to_recover_lb.value:
        return None
    return plan.t_co2e.value / plan.to_recover_lb.value


def _evacuation(evacuation: Evacuation | None) -> dict[str, Any] | None:
    if evacuation is None:
        return None
    gauge, absolute = evacuation.gauge_at_site_inHg_vacuum, evacuation.target_psia
    return {
        "pressure_class": evacuation.pressure_class,
        "gauge_at_site_inHg_vacuum": gauge.value if gauge else None,
        "target_psia": absolute.value if absolute else None,
        "absolute_mmHg": evacuation.absolute_mmHg,
        "target_percent_of_charge": evacuation.target_percent_of_charge,
        "target_lb": evacuation.target_lb,
        "raise_to_atmosphere": evacuation.raise_to_atmosphere,
        "rise_check_minutes": evacuation.rise_check_minutes,
    }


def _cylinder(item: CylinderPlan) -> dict[str, Any]:
    return {
        "id": item.cylinder.id,
        "tare_lb": item.cylinder.tare_lb,
        "contents_lb": item.contents_lb,
        "stop_gross_lb": item.stop_gross_lb.value,
        "limit_gross_lb": item.limit_gross_lb.value,
        "planned_lb": item.planned_lb.value,
    }
