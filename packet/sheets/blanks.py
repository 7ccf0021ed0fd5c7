"""The numbered blanks of one job: what the Record asks, the form types and the steps point at, under one number each."""

from packet.hookup.model import Hookup
from packet.ledger.fields import RecordBlank, record_blanks, statement_blanks
from packet.plan.model import Plan


def blanks_of(plan: Plan, hookup: Hookup) -> tuple[RecordBlank, ...]:
    """A job's blanks in the order of their numbers, which count from 1: the Record's, then its statements'."""
    technician, evacuation = plan.technician, plan.evacuation
    apprentice = technician is not None and "apprentice" in technician.certification
    record = record_blanks(
        tuple(item.cylinder.id for item in plan.cylinders) or plan.job.cylinders,
        plan.registers.shop.units,
        apprentice=apprentice or plan.job.supervisor is not None,
        second=plan.second is not None and bool(plan.second.needed_for),
        low_pressure=evacuation is not None and evacuation.is_read_absolute,
        steps=written(hookup),
    )
    return (*record, *statement_blanks(scrap=any(item.code == "scrap-statement" for item in plan.duties)))


def numbers_of(blanks: tuple[RecordBlank, ...]) -> dict[str, int]:
    """The number of each blank by its key."""
    return {blank.key: number for number, blank in enumerate(blanks, 1)}


def written(hookup: Hookup) -> frozenset[str]:
    """The keys of everything that a step says to write."""
    lines = [step for layout in hookup.layouts for stage in layout.stages for step in stage.steps]
    keys = {blank.key for step in lines for blank in step.blanks}
    if hookup.swap is not None:
        keys |= {blank.key for column in hookup.swap.columns for _, blank in column.blanks}
    return frozenset(keys)
