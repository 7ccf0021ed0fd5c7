"""One job's plan: every decision and number on its paper, from the job, the registers and what the cylinders hold.

The order: who and what is in the registers; the gas; crew and machine; how deep; which cylinders are fit; the method;
what each cylinder takes; then what follows from these.
"""

from collections.abc import Mapping

from packet.findings import Finding, finding
from packet.ledger.state import CylinderState
from packet.plan.carrying import plan_carrying
from packet.plan.case import Case, Named, cylinders_named, look_up, site_barometer, temperature_findings
from packet.plan.crew import crew_findings, machine_findings
from packet.plan.cylinder_plans import Filled, fill_cylinders
from packet.plan.duties import plan_duties
from packet.plan.estimates import estimate_findings, named_estimates
from packet.plan.evacuation import classify, isolated_part, plan_evacuation
from packet.plan.expected import expected_log, flows
from packet.plan.gas import Gas
from packet.plan.hoses import hose_findings, plan_hoses
from packet.plan.lifting import plan_lifting
from packet.plan.method import choose_method
from packet.plan.mixed import MIXED_GAS, unknown_bounds
from packet.plan.model import Plan
from packet.plan.pressure import pressure_strip, pressure_table
from packet.plan.second import plan_second
from packet.plan.setting import Ways, fill_setting
from packet.plan.space import plan_space
from packet.plan.times import plan_times
from packet.refrigerant.catalogue import Refrigerant, UnknownRefrigerant, find
from packet.refrigerant.own import is_mixed
from packet.refrigerant.properties import NoProperties, OutOfRange, properties
from packet.rules import fill, venting, warming
from packet.shop.records import Job, Registers
from packet.statements import Amount, Statement, Word, statement
from packet.units import UnitSystem
from packet.words import N_
from packet.worked import Worked, given

NOT_IDENTIFIED = frozenset({"unknown", "mixed"})


def plan_job(
    job: Job, registers: Registers, states: Mapping[str, CylinderState], taken: frozenset[str] = frozenset()
) -> Plan:
    """The plan of one job. Never raises for a user's mistake: what cannot be computed is a finding.

    states: what each cylinder of the register holds when the job starts. taken: ids of cylinders that other jobs of the
    day use, so that they are not offered as a way out.
    """
    named = look_up(job, registers, states)
    barometer = site_barometer(job)
    gas = gas_of(job, registers.shop.units)
    if isinstance(gas, Finding):
        return _nothing_computed(job, registers, named, (gas,))
    case = Case(job, registers, states, taken, named, gas, barometer)
    try:
        return _plan(case)
    except OutOfRange as error:
        return _nothing_computed(
            job, registers, named, (_no_properties(job, gas.called, error.reason, registers.shop.units),)
        )


def _plan(case: Case) -> Plan:
    job, gas, named = case.job, case.gas, case.named
    classified = classify(gas, job)
    evacuation, deep_findings = plan_evacuation(case, classified)
    method, method_findings = choose_method(case, classified.classes)
    space, space_findings = plan_space(case)
    low = evacuation.pressure_class == "low"
    hoses = plan_hoses(case, method.stages, space, low)
    filled = Filled()
    if named.scale is not None:
        setting = fill_setting(case, named.scale, hoses, method.stages)
        filled = fill_cylinders(setting, Ways(case, named.scale, classified.classes, space, low))
    carrying, carry_findings = plan_carrying(case, filled.cylinders)
    lifting, lift_findings = plan_lifting(case, filled.cylinders)
    second, second_findings = plan_second(case, method, space)
    duties, duty_findings = plan_duties(job, gas)
    times = plan_times(case, method, evacuation, filled.changes)
    findings = (
        *named.findings,
        *crew_findings(case, classified),
        *machine_findings(case, classified),
        *_unknown(job, gas),
        *temperature_findings(case),
        *method_findings,
        *hose_findings(case, hoses, method.stages),
        *filled.findings,
        *deep_findings,
        *space_findings,
        *second_findings,
        *estimate_findings(job, gas),
        *carry_findings,
        *lift_findings,
        *duty_findings,
    )
    return Plan(
        job=job,
        registers=_with_own_cylinders(case.registers, job),
        refrigerant=gas.refrigerant,
        mixed_or_unknown=gas.refrigerant is None,
        technician=named.technician,
        supervisor=named.supervisor,
        machine=named.machine,
        scale=named.scale,
        truck=named.truck,
        method=method,
        evacuation=evacuation,
        occupied_space=space,
        cylinders=filled.cylinders,
        pressure_table=pressure_table(case, low_pressure=classified.deepest == "low"),
        barometer_psia=case.barometer_psia,
        to_recover_lb=case.charge_lb,
        expected_max_lb=filled.expected_max_lb,
        carrying=carrying,
        times=times,
        t_co2e=_warming(gas, case.charge_lb),
        duties=duties,
        findings=findings,
        estimates=named_estimates(gas, evacuation, times, filled.cylinders),
        hoses=hoses,
        needs=filled.needs,
        second=second,
        isolated=isolated_part(job),
        lifting=lifting,
        pressure_strip=pressure_strip(case, low_pressure=classified.deepest == "low"),
        log=expected_log(flows(case, method, evacuation, times), filled.cylinders),
    )


def _with_own_cylinders(registers: Registers, job: Job) -> Registers:
    """The registers with none but the job's cylinders: a plan goes from process to process, and a branch has thousands."""
    return registers.model_copy(update={"cylinders": cylinders_named(registers.cylinders, job.cylinders)})


def _warming(gas: Gas, mass_lb: Worked) -> Worked | None:
    if gas.refrigerant is None:
        return None
    potential = given(gas.refrigerant.gwp100, "", gas.refrigerant.gwp_source, places=3)
    return warming.tonnes_co2e(mass_lb, potential)


def gas_of(job: Job, units: UnitSystem = "US") -> Gas | Finding:
    """The gas to compute with, or the finding that says why there is none, its quantities in `units`."""
    typed = job.appliance.refrigerant
    try:
        if typed.strip().casefold() in NOT_IDENTIFIED:
            return Gas(_name(typed), unknown_bounds(), None)
        refrigerant = find(typed)
        if refrigerant.answer:
            return _not_recovered(job, refrigerant)
        fluid = properties(refrigerant)
    except (UnknownRefrigerant, NoProperties) as error:
        reason = statement("then-mixed", reason=error.reason) if is_mixed(typed) else error.reason
        return _no_properties(job, typed, reason, units)
    if fluid.highest_F < fill.HOT_F:
        reason = statement("no-liquid-at-131", temperature=Amount(fill.HOT_F, "temperature"))
        return _no_properties(job, refrigerant.name, reason, units)
    return Gas(refrigerant.name, fluid, refrigerant)


def _not_recovered(job: Job, refrigerant: Refrigerant) -> Finding:
    return finding(
        "refrigerant-not-recovered",
        source=venting.SOURCE,
        where=job.appliance.where("refrigerant"),
        refrigerant=refrigerant.name,
        reason=Word(N_("it is not recovered like the others.")),
        advice=Word(refrigerant.answer),
    )


def _name(typed: str) -> str:
    return MIXED_GAS if typed.strip().casefold() == "mixed" else N_("unknown gas")


def _unknown(job: Job, gas: Gas) -> tuple[Finding, ...]:
    if gas.refrigerant is not None:
        return ()
    where = job.appliance.where("refrigerant")
    return (finding("unknown-gas", source=N_("common practice, no source"), where=where, refrigerant=gas.called),)


def _no_properties(job: Job, name: str | Word, reason: Statement, units: UnitSystem) -> Finding:
    return finding("no-properties", units, where=job.appliance.where("refrigerant"), refrigerant=name, reason=reason)


def _nothing_computed(job: Job, registers: Registers, named: Named, found: tuple[Finding, ...]) -> Plan:
    """A plan that says why there are no numbers."""
    try:
        refrigerant = find(job.appliance.refrigerant)
    except UnknownRefrigerant:
        refrigerant = None
    return Plan(
        job=job,
        registers=_with_own_cylinders(registers, job),
        refrigerant=refrigerant,
        mixed_or_unknown=job.appliance.refrigerant.strip().casefold() in NOT_IDENTIFIED,
        technician=named.technician,
        supervisor=named.supervisor,
        machine=named.machine,
        scale=named.scale,
        truck=named.truck,
        method=None,
        evacuation=None,
        occupied_space=None,
        cylinders=(),
        pressure_table=(),
        barometer_psia=site_barometer(job),
        to_recover_lb=None,
        expected_max_lb=None,
        carrying=None,
        times=(),
        t_co2e=None,
        duties=(),
        findings=(*named.findings, *found),
        estimates=(),
    )
