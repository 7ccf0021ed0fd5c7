"""The blanks of a job's Record sheet."""

from packet.ledger.fields import RecordBlank, record_blanks
from packet.plan.model import Plan


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
