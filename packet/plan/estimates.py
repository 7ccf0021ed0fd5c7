"""What rests on an estimate: named for the paper, and a caution where a limit or a pressure does."""

from packet.findings import Finding, finding
from packet.plan.gas import Gas
from packet.plan.model import CylinderPlan, Estimate, Evacuation, StageTime
from packet.shop.records import Job
from packet.units import plain
from packet.words import N_, t

DENSITY = N_("liquid density, taken low in every limit")
PRESSURE = N_("pressure, taken high where it decides whether a cylinder is fit")


def estimate_findings(job: Job, gas: Gas) -> tuple[Finding, ...]:
    """A caution for each property that is an estimate; the times and the volumes are only named."""
    where = job.appliance.where("refrigerant")
    errors = ((DENSITY, gas.fluid.density_error_percent), (PRESSURE, gas.fluid.pressure_error_percent))
    return tuple(
        finding("estimate", where=where, percent=plain(error, 1), what=t(what), how=gas.fluid.estimate_how)
        for what, error in errors
        if error is not None
    )


def named_estimates(
    gas: Gas, evacuation: Evacuation, times: tuple[StageTime, ...], cylinders: tuple[CylinderPlan, ...]
) -> tuple[Estimate, ...]:
    """Everything computed by an estimate, with its error and how."""
    found = []
    fluid = gas.fluid
    if gas.refrigerant is None:
        found.append(Estimate(t("density and pressure of an unknown gas"), None, t(fluid.estimate_how)))
    if fluid.density_error_percent is not None:
        found.append(Estimate(t(DENSITY), fluid.density_error_percent, fluid.estimate_how))
    if fluid.pressure_error_percent is not None:
        found.append(Estimate(t(PRESSURE), fluid.pressure_error_percent, fluid.estimate_how))
    if any(item.liquid_full_at_F.value > fluid.highest_F for item in cylinders):
        found.append(
            Estimate(t("a liquid-full temperature above the computed range"), None, t("a little low, the safe side"))
        )
    remaining = evacuation.remaining_vapor_lb
    if remaining is not None and remaining.estimate_percent is not None:
        how = t("system volume taken as three times the liquid's: common practice, no source")
        found.append(Estimate(t("vapor that remains in the system"), remaining.estimate_percent, how))
    if times:
        how = t("the machine's stated rates and usual handling times")
        found.append(Estimate(t("time of each stage"), times[0].minutes.estimate_percent, how))
    return tuple(found)
