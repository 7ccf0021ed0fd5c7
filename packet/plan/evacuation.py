"""How deep this job's appliance is drawn down: the row or exception that holds, and the gauge at the site."""

from dataclasses import dataclass

from packet.figures import show_vacuum, show_weight
from packet.findings import Finding, finding
from packet.plan.gas import Gas
from packet.plan.mixed import plausible_classes
from packet.plan.model import Evacuation
from packet.rules import drawdown
from packet.rules.barometer import barometer_inHg
from packet.shop.records import Job, Machine, PressureClass, Registers
from packet.units import UnitSystem
from packet.words import N_, t
from packet.worked import Worked, given

PRESSURE_CLASS_NAMES: dict[PressureClass, str] = {
    "low": N_("low pressure"),
    "medium": N_("medium pressure"),
    "high": N_("high pressure"),
    "very-high": N_("very high pressure"),
}
FIRST_STRICT_MONTH = (1993, 11)  # 15 November 1993; a machine of that month counts as made after it


@dataclass(frozen=True, slots=True)
class Classified:
    """The pressure classes the gas may be in, deepest target first, and the pressure they rest on."""

    classes: tuple[PressureClass, ...]
    saturation_psia: Worked | None

    @property
    def deepest(self) -> PressureClass:
        """The class whose target is the deepest."""
        return self.classes[0]


def classify(gas: Gas, job: Job) -> Classified:
    """The pressure class at 104 °F, computed; for an unknown gas all that are plausible in this kind of appliance."""
    if gas.refrigerant is None:
        return Classified(plausible_classes(job.appliance.kind == "chiller"), None)
    at = given(drawdown.CLASS_AT_F, "°F", drawdown.SOURCE_CLASS, places=0)
    if gas.fluid.critical_F < drawdown.CLASS_AT_F or gas.fluid.highest_F < drawdown.CLASS_AT_F:
        return Classified(drawdown.possible_classes(None, 0.0), None)
    pressure = gas.bubble(at)
    return Classified(drawdown.possible_classes(pressure.value, gas.fluid.pressure_error_percent or 0.0), pressure)


def isolated_lb(job: Job) -> float | None:
    """The isolated part's charge, where one is named and the system has a receiver to hold the rest (82.152)."""
    return job.work.isolated_charge_lb if job.appliance.receiver else None


def is_small_appliance(job: Job) -> bool:
    """Up to 5 lb, fully made, charged and sealed in a factory. Source: 40 CFR 82.152, from memory."""
    appliance = job.appliance
    sealed = appliance.factory_sealed or appliance.kind == "small-appliance"
    return sealed and appliance.charge_lb <= drawdown.SMALL_APPLIANCE_LB


def made_since_1993(machine: Machine | None) -> bool:
    """On or after 15 November 1993; an unknown machine counts as newer: the deeper target."""
    return machine is None or (machine.made.year, machine.made.month) >= FIRST_STRICT_MONTH


def plan_evacuation(
    job: Job, registers: Registers, gas: Gas, classified: Classified, machine: Machine | None, barometer_psia: Worked
) -> tuple[Evacuation, tuple[Finding, ...]]:
    """The draw-down target with its reasons, and the cautions that go with it."""
    barometer = barometer_inHg(barometer_psia)
    isolated = isolated_lb(job)
    charge = isolated if isolated is not None else job.appliance.charge_lb
    small = is_small_appliance(job)
    strict = made_since_1993(machine)
    reasons = list(_class_reasons(gas, classified, small))
    if small:
        target = given(drawdown.SMALL_APPLIANCE_inHg, "inHg", drawdown.SOURCE_SMALL, places=0)
        percent = drawdown.small_appliance_percent(job.appliance.compressor_runs, strict)
        reasons.append(_small_reason(percent, job, registers.shop.units))
        raised = False
    else:
        percent = None
        target, raised, why = _table_target(job, gas, classified, charge, strict, registers)
        reasons.extend(why)
    reasons.extend(_other_reasons(job, registers, isolated))
    by_policy = _venting_allowed(gas, job)
    if by_policy:
        reasons.append(t("The target is the shop's policy: the law lets this use be vented."))
    psia = drawdown.target_psia(target)
    evacuation = Evacuation(
        pressure_class=None if gas.refrigerant is None else classified.deepest,
        saturation_psia_at_104F=classified.saturation_psia,
        target_inHg_vacuum=target,
        target_psia=None if small else psia,
        gauge_at_site_inHg_vacuum=drawdown.gauge_at_site_inHg(target, barometer),
        target_percent_of_charge=percent,
        target_lb=None if percent is None else percent / 100.0 * job.appliance.charge_lb,
        raise_to_atmosphere=raised,
        by_policy=by_policy,
        reasons=tuple(reasons),
        remaining_vapor_lb=_remaining(job, gas, charge, psia, barometer_psia),
        rise_check_minutes=drawdown.rise_check_minutes(charge, job.appliance.kind == "chiller"),
        source=_source(small, by_policy),
        absolute_mmHg=drawdown.LOW_PRESSURE_mmHg if _is_low_target(classified, small, raised, target) else None,
    )
    return evacuation, _findings(job, gas, by_policy)


def _class_reasons(gas: Gas, classified: Classified, small: bool) -> tuple[str, ...]:
    if small:
        return ()
    names = [t(PRESSURE_CLASS_NAMES[name]) for name in classified.classes]
    if gas.refrigerant is None:
        return (t("The gas is not identified; of {classes} the deepest target is taken.", classes=", ".join(names)),)
    if len(names) > 1:
        return (t("The estimate may be {classes}: the deeper target is taken.", classes=", ".join(names)),)
    return ()


def _small_reason(percent: float, job: Job, units: UnitSystem) -> str:
    message = (
        N_("Small appliance, compressor running: {percent} % of the charge, or {vacuum}.")
        if job.appliance.compressor_runs
        else N_("Small appliance, compressor not running: {percent} % of the charge, or {vacuum}.")
    )
    return t(message, percent=f"{percent:g}", vacuum=show_vacuum(drawdown.SMALL_APPLIANCE_inHg, units))


def _table_target(
    job: Job, gas: Gas, classified: Classified, charge_lb: float, strict: bool, registers: Registers
) -> tuple[Worked, bool, tuple[str, ...]]:
    """The target of table 1 or of the exception for a repair that is not major; whether it is a raise; reasons."""
    work = job.work
    low = classified.deepest == "low"
    if not work.major and not work.evacuation_to_atmosphere and work.reason in {"repair", "leak"}:
        nothing = drawdown.target_vacuum_inHg(0.0, t("repair that is not major"))
        if not low:
            why = t("A repair that is not major, with no evacuation to the air after it: no higher than 0 psig.")
            return nothing, False, (why,)
        if gas.fluid.boiling_F <= 85.0:
            return (
                nothing,
                True,
                (
                    t(
                        "Low pressure, a repair that is not major: raised to no more than 0 psig with controlled warm water"
                        " or heat, not with nitrogen."
                    ),
                ),
            )
        return (
            nothing,
            True,
            (t("Low pressure, a repair that is not major, boiling above 85 °F: raised to no more than 0 psig."),),
        )
    row = _row(classified.deepest, charge_lb, strict, registers)
    if low:
        return drawdown.low_pressure_vacuum_inHg(), False, (row,)
    depths = [drawdown.table_inHg(name, charge_lb, strict) or 0.0 for name in classified.classes]
    return drawdown.target_vacuum_inHg(max(depths), row), False, (row,)


def _row(name: PressureClass, charge_lb: float, strict: bool, registers: Registers) -> str:
    if name == "low":
        return t("Low pressure: 25 mmHg absolute.")
    units = registers.shop.units
    large = show_weight(200.0, units, 0)
    date = t("machine made since 15 November 1993") if strict else t("machine made before 15 November 1993")
    if name == "very-high":
        return t("Table 1: {class_name}, {date}.", class_name=t(PRESSURE_CLASS_NAMES[name]), date=date)
    message = (
        N_("Table 1: {class_name}, {large} or more, {date}.")
        if charge_lb >= 200.0
        else N_("Table 1: {class_name}, less than {large}, {date}.")
    )
    return t(message, class_name=t(PRESSURE_CLASS_NAMES[name]), large=large, date=date)


def _other_reasons(job: Job, registers: Registers, isolated: float | None) -> tuple[str, ...]:
    reasons = []
    if isolated is not None:
        reasons.append(
            t(
                "Only the isolated part of {charge} is drawn down; the receiver holds the rest.",
                charge=show_weight(isolated, registers.shop.units),
            )
        )
    if is_leaking(job):
        reasons.append(
            t(
                "Leaking: isolate the leak and draw what is sound to the target; the rest to the lowest level that does"
                " not draw in air, at most 0 psig."
            )
        )
    return tuple(reasons)


def is_leaking(job: Job) -> bool:
    """Whether the leak exception (82.156(a)(2)) may be needed."""
    return job.work.leaking or job.work.reason == "leak"


def _venting_allowed(gas: Gas, job: Job) -> bool:
    """Propane and isobutane in the uses that 82.154 exempts (from memory): small sealed appliances and the like."""
    return gas.refrigerant is not None and gas.refrigerant.exempt_venting_uses and gas.refrigerant.flammable


def _is_low_target(classified: Classified, small: bool, raised: bool, target: Worked) -> bool:
    return classified.deepest == "low" and not small and not raised and target.value > 0.0


def _source(small: bool, by_policy: bool) -> str:
    if by_policy:
        return t("the shop's policy; the same target as 40 CFR 82.156")
    return drawdown.SOURCE_SMALL if small else drawdown.SOURCE_TABLE


def _remaining(job: Job, gas: Gas, charge_lb: float, target_psia: Worked, barometer_psia: Worked) -> Worked | None:
    """Vapor left at the target, lb; None where the gas is unknown: its molecules have no known weight."""
    if gas.refrigerant is None:
        return None
    air = air_temperature(job, gas)
    # the target, or the barometer where the law's target is above it: never above 0 psig at the site
    at = target_psia
    if barometer_psia.value < target_psia.value:
        at = barometer_psia
    dew = gas.dew(air)
    if dew.value < at.value:
        at = dew
    return drawdown.remaining_vapor_lb(system_volume(job, gas, charge_lb), gas.thin_vapor(air, at))


def system_volume(job: Job, gas: Gas, charge_lb: float) -> Worked:
    """The volume that is drawn down, ft³: as given, or estimated from the charge."""
    appliance = job.appliance
    whole = appliance.system_volume_ft3
    if whole is not None and charge_lb >= appliance.charge_lb:
        return given(whole, "ft³", appliance.where("system_volume_ft3"))
    field = "charge_lb" if charge_lb >= appliance.charge_lb else "isolated_charge_lb"
    where = appliance.where(field) if field == "charge_lb" else job.work.where(field)
    return drawdown.system_volume_ft3(given(charge_lb, "lb", where), gas.liquid(air_temperature(job, gas)))


def air_temperature(job: Job, gas: Gas) -> Worked:
    """The ambient, °F, within what can be computed."""
    value = min(max(job.conditions.ambient_F, gas.fluid.lowest_F), gas.fluid.highest_F)
    return given(value, "°F", job.conditions.where("ambient_F"), places=1)


def _findings(job: Job, gas: Gas, by_policy: bool) -> tuple[Finding, ...]:
    found = []
    if job.work.isolated_charge_lb is not None and not job.appliance.receiver:
        found.append(
            finding("isolation-needs-receiver", source="40 CFR 82.152", where=job.work.where("isolated_charge_lb"))
        )
    if is_leaking(job):
        found.append(finding("leak-exception", source="40 CFR 82.156(a)(2)", where=job.work.where("leaking")))
    if by_policy:
        found.append(
            finding(
                "policy-not-law",
                source="40 CFR 82.154, from memory",
                where=job.appliance.where("refrigerant"),
                refrigerant=gas.name,
            )
        )
    return tuple(found)
