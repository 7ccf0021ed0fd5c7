"""What rests on an estimate: named for the paper, and a caution where a limit or a pressure does."""

from packet.findings import Finding, finding
from packet.plan.gas import Gas
from packet.plan.model import CylinderPlan, Estimate, Evacuation, StageTime
from packet.rules import drawdown
from packet.shop.records import Job
from packet.statements import Word, statement
from packet.units import plain

DENSITY = statement("liquid-density")
PRESSURE = statement("pressure")


def estimate_findings(job: Job, gas: Gas) -> tuple[Finding, ...]:
    """A caution for each property that is an estimate; the times and the volumes are only named."""
    where = job.appliance.where("refrigerant")
    errors = ((DENSITY, gas.fluid.density_error_percent), (PRESSURE, gas.fluid.pressure_error_percent))
    return tuple(
        finding("estimate", where=where, percent=plain(error, 1), what=what, how=Word(gas.fluid.estimate_how))
        for what, error in errors
        if error is not None
    )


def pressure_error_percent(estimates: tuple[Estimate, ...]) -> float:
    """The stated error of a plan's pressures; 0 where they are not estimated."""
    return next((item.percent or 0.0 for item in estimates if item.what == PRESSURE), 0.0)


def named_estimates(
    gas: Gas, evacuation: Evacuation, times: tuple[StageTime, ...], cylinders: tuple[CylinderPlan, ...]
) -> tuple[Estimate, ...]:
    """Everything computed by an estimate, with its error and how."""
    found = []
    fluid = gas.fluid
    if gas.refrigerant is None:
        found.append(
            Estimate(
                statement("unknown-density-and-pressure"), None, statement("how-stated", how=Word(fluid.estimate_how))
            )
        )
    if fluid.density_error_percent is not None:
        found.append(
            Estimate(DENSITY, fluid.density_error_percent, statement("how-stated", how=Word(fluid.estimate_how)))
        )
    if fluid.pressure_error_percent is not None:
        found.append(
            Estimate(PRESSURE, fluid.pressure_error_percent, statement("how-stated", how=Word(fluid.estimate_how)))
        )
    if any(item.liquid_full_at_F.value > fluid.highest_F for item in cylinders):
        found.append(Estimate(statement("liquid-full-beyond"), None, statement("how-beyond")))
    remaining = evacuation.remaining_vapor_lb
    if remaining is not None and remaining.estimate_percent is not None:
        volume = dict(remaining.inputs)["system_volume"]
        how = statement("how-shell-volume" if volume.rule == drawdown.SHELL_RULE else "how-system-volume")
        found.append(Estimate(statement("remaining-vapor"), remaining.estimate_percent, how))
    if times:
        how = statement("how-times")
        found.append(Estimate(statement("stage-times"), times[0].minutes.estimate_percent, how))
    return tuple(found)
