"""How deep this job's appliance is drawn down: the row or exception that holds, and the gauge at the site."""

from dataclasses import dataclass

from packet.findings import Finding, finding
from packet.plan.case import Case, isolated_lb
from packet.plan.gas import Gas
from packet.plan.mixed import plausible_classes
from packet.plan.model import Evacuation, IsolatedPart
from packet.plan.venting import is_exempt
from packet.rules import drawdown
from packet.rules.barometer import barometer_inHg
from packet.rules.printed import printed_weight, raised
from packet.shop.records import Job, Machine, PressureClass
from packet.statements import Amount, Statement, Word, statement
from packet.units import UnitSystem
from packet.words import N_
from packet.worked import Worked, given

PRESSURE_CLASS_NAMES: dict[PressureClass, str] = {
    "low": N_("low pressure"),
    "medium": N_("medium pressure"),
    "high": N_("high pressure"),
    "very-high": N_("very high pressure"),
}
MADE_SINCE = N_("machine made on or after Nov 15, 1993")
MADE_BEFORE = N_("machine made before Nov 15, 1993")
SOURCE_RECEIVER = "40 CFR 82.152, 82.156(a)"
ZERO = Amount(0.0, "pressure")
FIRST_STRICT_MONTH = (1993, 11)  # 15 November 1993; a machine of that month counts as made after it


@dataclass(frozen=True, slots=True)
class Classified:
    """The pressure classes the gas may be in, deepest target first, and the pressure they rest on.

    by_name: the rule names the refrigerant, and so decides what the estimated pressure leaves open.
    """

    classes: tuple[PressureClass, ...]
    saturation_psia: Worked | None
    by_name: bool = False

    @property
    def deepest(self) -> PressureClass:
        """The class whose target is the deepest."""
        return self.classes[0]


def classify(gas: Gas, job: Job) -> Classified:
    """The pressure class: the one that 82.152 names, else computed at 104 °F; for an unknown gas all that are plausible in this kind of appliance."""
    if gas.refrigerant is None:
        return Classified(plausible_classes(job.appliance.kind == "chiller"), None)
    named = drawdown.NAMED_CLASSES.get(gas.refrigerant.name)
    at = given(drawdown.CLASS_AT_F, "°F", drawdown.SOURCE_CLASS, places=0)
    if gas.fluid.critical_F < drawdown.CLASS_AT_F or gas.fluid.highest_F < drawdown.CLASS_AT_F:
        return Classified((named,) if named else drawdown.possible_classes(None, 0.0), None)
    pressure = gas.bubble(at)
    possible = drawdown.possible_classes(pressure.value, gas.fluid.pressure_error_percent or 0.0)
    if named:
        return Classified((named,), pressure, by_name=possible != (named,))
    return Classified(possible, pressure)


def small_target_lb(case: Case, percent: float) -> Worked:
    """What to recover at least from a small appliance, lb, rounded up to what the scale shows."""
    exact = drawdown.small_appliance_target_lb(given(percent, "%", drawdown.SOURCE_SMALL, places=0), case.charge_lb)
    if case.named.scale is None:
        return exact
    return raised(exact, N_("at least this is recovered"), printed_weight(case.named.scale.resolution_lb, case.units))


def isolated_part(job: Job) -> IsolatedPart | None:
    """The part that alone is drawn down; None where the whole is."""
    part, work = isolated_lb(job), job.work
    if part is None:
        return None
    takes = None if work.receiver_capacity_lb is None else drawdown.receiver_takes_lb(work.receiver_capacity_lb)
    rest_lb = max(0.0, job.appliance.charge_lb - part)
    return IsolatedPart(part, rest_lb, work.isolated_by, takes if work.isolated_by == "receiver" else None)


def is_small_appliance(job: Job) -> bool:
    """Up to 5 lb, fully made, charged and sealed in a factory. Source: 40 CFR 82.152."""
    appliance = job.appliance
    sealed = appliance.factory_sealed or appliance.kind == "small-appliance"
    return sealed and appliance.charge_lb <= drawdown.SMALL_APPLIANCE_LB


def made_since_1993(machine: Machine | None) -> bool:
    """On or after 15 November 1993; an unknown machine counts as newer: the deeper target."""
    return machine is None or (machine.made.year, machine.made.month) >= FIRST_STRICT_MONTH


def plan_evacuation(case: Case, classified: Classified) -> tuple[Evacuation, tuple[Finding, ...]]:
    """The draw-down target with its reasons, and the cautions that go with it."""
    job, gas, charge = case.job, case.gas, case.charge_lb.value
    small = is_small_appliance(job)
    strict = made_since_1993(case.named.machine)
    reasons = list(_class_reasons(gas, classified, small))
    percent, up = None, False
    if small:
        target = given(drawdown.SMALL_APPLIANCE_inHg, "inHg", drawdown.SOURCE_SMALL, places=0)
        percent, why_small = _small_criterion(case, strict)
        reasons.append(why_small)
    else:
        target, up, why = _table_target(case, classified, strict)
        reasons.extend(why)
    reasons.extend(_other_reasons(case))
    by_policy = is_exempt(job, gas)
    if by_policy:
        reasons.append(statement("target-by-policy"))
    psia = drawdown.target_psia(target)
    evacuation = Evacuation(
        # of an unknown gas the class is not known; that it may be low pressure decides which gauge is brought
        pressure_class=None if gas.refrigerant is None and classified.deepest != "low" else classified.deepest,
        saturation_psia_at_104F=classified.saturation_psia,
        target_inHg_vacuum=target,
        target_psia=psia if percent is None else None,
        gauge_at_site_inHg_vacuum=drawdown.gauge_at_site_inHg(target, barometer_inHg(case.barometer_psia)),
        target_percent_of_charge=percent,
        target_lb=None if percent is None else small_target_lb(case, percent).value,
        raise_to_atmosphere=up,
        by_policy=by_policy,
        reasons=tuple(reasons),
        remaining_vapor_lb=_remaining(case, psia),
        # nothing is watched where a weight decides
        rise_check_minutes=0
        if percent is not None
        else drawdown.rise_check_minutes(charge, job.appliance.kind == "chiller"),
        source=_source(small, by_policy),
        absolute_mmHg=drawdown.LOW_PRESSURE_mmHg if _is_low_target(classified, small, up, target) else None,
        small_criterion=None if not small else "vacuum" if percent is None else "percent-or-vacuum",
    )
    return evacuation, _findings(job, case.units)


def _class_reasons(gas: Gas, classified: Classified, small: bool) -> tuple[Statement, ...]:
    if small:
        return ()
    names = tuple(Word(PRESSURE_CLASS_NAMES[name]) for name in classified.classes)
    if gas.refrigerant is None:
        return (statement("not-identified-deepest", classes=names),)
    if classified.by_name:
        return (statement("class-named-by-rule", gas=gas.called, class_name=names[0]),)
    if len(names) > 1:
        return (statement("estimate-deepest", classes=names),)
    return ()


def _small_criterion(case: Case, strict: bool) -> tuple[float | None, Statement]:
    """The percent by which a small appliance is judged, None where the scale cannot show it; and the reason."""
    job, scale, vacuum = case.job, case.named.scale, Amount(drawdown.SMALL_APPLIANCE_inHg, "vacuum")
    percent = drawdown.small_appliance_percent(job.appliance.compressor_runs, strict)
    exact_lb = percent / 100.0 * case.charge_lb.value
    if scale is not None and not drawdown.percent_can_be_weighed(exact_lb, scale.resolution_lb):
        return None, statement(
            "small-by-vacuum",
            percent=percent,
            steps=drawdown.SMALL_TARGET_STEPS,
            scale=scale.id,
            vacuum=vacuum,
        )
    code = "small-compressor-runs" if job.appliance.compressor_runs else "small-compressor-off"
    return percent, statement(code, percent=percent, vacuum=vacuum)


def _table_target(case: Case, classified: Classified, strict: bool) -> tuple[Worked, bool, tuple[Statement, ...]]:
    """The target of table 1 or of the exception for a repair that is not major; whether it is a raise; reasons."""
    gas, charge_lb = case.gas, case.charge_lb.value
    low = classified.deepest == "low"
    if _is_not_major(case.job):
        nothing = drawdown.target_vacuum_inHg(0.0, "repair that is not major")
        if not low:
            why = statement("not-major", zero=ZERO)
            return nothing, False, (why,)
        if gas.fluid.boiling_F <= 85.0:
            return (
                nothing,
                True,
                (statement("low-not-major-heat", zero=ZERO),),
            )
        return (
            nothing,
            True,
            (statement("low-not-major", zero=ZERO, boiling=Amount(85.0, "temperature")),),
        )
    row = _row(classified.deepest, charge_lb, strict)
    if low:
        return drawdown.low_pressure_vacuum_inHg(), False, (row,)
    depths = [drawdown.table_inHg(name, charge_lb, strict) or 0.0 for name in classified.classes]
    return drawdown.target_vacuum_inHg(max(depths), row.citation()), False, (row,)


def _is_not_major(job: Job) -> bool:
    """A repair that is not major, with no evacuation to the air after it (40 CFR 82.156(a)(1))."""
    work = job.work
    return not work.major and not work.evacuation_to_atmosphere and work.reason in {"repair", "leak"}


def _row(name: PressureClass, charge_lb: float, strict: bool) -> Statement:
    if name == "low":
        return statement("low-pressure-absolute")
    large = Amount(200.0, "rule-weight")
    date = Word(MADE_SINCE if strict else MADE_BEFORE)
    if name == "very-high":
        return statement("table-1", class_name=Word(PRESSURE_CLASS_NAMES[name]), date=date)
    code = "table-1-large" if charge_lb >= 200.0 else "table-1-small"
    return statement(code, class_name=Word(PRESSURE_CLASS_NAMES[name]), large=large, date=date)


def _other_reasons(case: Case) -> tuple[Statement, ...]:
    reasons = []
    part = isolated_part(case.job)
    if part is not None:
        code = "isolated-part" if part.by == "receiver" else "isolated-by-valves"
        reasons.append(statement(code, charge=Amount(part.charge_lb, "weight"), rest=Amount(part.rest_lb, "weight")))
    if case.job.work.oil_change and _is_not_major(case.job):
        reasons.append(statement("oil-change", pressure=Amount(drawdown.OIL_CHANGE_psig, "pressure")))
    if is_leaking(case.job):
        reasons.append(statement("leaking", zero=ZERO))
    return tuple(reasons)


def is_leaking(job: Job) -> bool:
    """Whether the leak exception (82.156(a)(2)) may be needed."""
    return job.work.leaking or job.work.reason == "leak"


def _is_low_target(classified: Classified, small: bool, raised: bool, target: Worked) -> bool:
    return classified.deepest == "low" and not small and not raised and target.value > 0.0


def _source(small: bool, by_policy: bool) -> str:
    if by_policy:
        return N_("the shop's policy; the same target as 40 CFR 82.156")
    return drawdown.SOURCE_SMALL if small else drawdown.SOURCE_TABLE


def _remaining(case: Case, target_psia: Worked) -> Worked | None:
    """Vapor left at the target, lb; None where the gas is unknown: its molecules have no known weight."""
    gas = case.gas
    if gas.refrigerant is None:
        return None
    return drawdown.remaining_vapor_lb(
        system_volume(case), gas.thin_vapor(case.ambient_F, lowest_psia(case, target_psia))
    )


def lowest_psia(case: Case, target_psia: Worked | None) -> Worked:
    """Where the draw-down ends, psia: the target, the site's barometer where that is lower (never above 0 psig at the
    site), or the dew point where even that is lower.
    """
    ends = [case.barometer_psia, case.gas.dew(case.ambient_F)]
    if target_psia is not None:
        ends.append(target_psia)
    return min(ends, key=lambda end: end.value)


def system_volume(case: Case) -> Worked:
    """The volume that is drawn down, ft³: as given, or estimated from the charge that is drawn."""
    appliance = case.job.appliance
    if appliance.system_volume_ft3 is not None and isolated_lb(case.job) is None:
        return given(appliance.system_volume_ft3, "ft³", appliance.where("system_volume_ft3"))
    return drawdown.system_volume_ft3(case.charge_lb, case.gas.liquid(case.ambient_F), low_pressure=low_shells(case))


def low_shells(case: Case) -> bool:
    """Whether it is a low-pressure chiller, with shells far larger than its liquid."""
    return case.job.appliance.kind == "chiller" and classify(case.gas, case.job).deepest == "low"


def _findings(job: Job, units: UnitSystem) -> tuple[Finding, ...]:
    found = []
    if job.work.isolated_charge_lb is not None and isolated_lb(job) is None:
        found.append(_receiver_finding(job, job.work.isolated_charge_lb, units))
    if is_leaking(job):
        found.append(finding("leak-exception", source="40 CFR 82.156(a)(2)", where=job.work.where("leaking")))
    return tuple(found)


def _receiver_finding(job: Job, part_lb: float, units: UnitSystem) -> Finding:
    """Why an isolated part is not believed: no receiver, its capacity not given, or too small."""
    work = job.work
    if not job.appliance.receiver:
        return finding("isolation-needs-receiver", source=SOURCE_RECEIVER, where=work.where("isolated_charge_lb"))
    rest = Amount(job.appliance.charge_lb - part_lb, "weight")
    if work.receiver_capacity_lb is None:
        where = work.where("receiver_capacity_lb")
        return finding("receiver-capacity-asked", units, source=SOURCE_RECEIVER, where=where, rest=rest)
    return finding(
        "receiver-too-small",
        units,
        source=SOURCE_RECEIVER,
        where=work.where("receiver_capacity_lb"),
        rest=rest,
        takes=Amount(drawdown.receiver_takes_lb(work.receiver_capacity_lb), "weight"),
    )
