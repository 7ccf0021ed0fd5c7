"""One job's plan: every decision and number on its paper, from the job, the registers and what the cylinders hold.

The order: who and what is in the registers; the gas; crew and machine; how deep; which cylinders are fit; the method;
what each cylinder takes; then what follows from these.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from packet.findings import Finding, finding
from packet.ledger.state import CylinderState
from packet.plan.blocks import Filled, fill_cylinders
from packet.plan.carrying import plan_carrying
from packet.plan.crew import crew_findings, machine_findings
from packet.plan.duties import plan_duties
from packet.plan.estimates import estimate_findings, named_estimates
from packet.plan.evacuation import classify, isolated_lb, plan_evacuation
from packet.plan.gas import Gas
from packet.plan.method import choose_method
from packet.plan.mixed import HIGHEST, LIGHTEST, Bounds
from packet.plan.model import Plan
from packet.plan.pressure import pressure_table
from packet.plan.setting import fill_setting, site_barometer
from packet.plan.space import plan_space
from packet.plan.times import plan_times
from packet.refrigerant.catalogue import Refrigerant, UnknownRefrigerant, find
from packet.refrigerant.properties import NoProperties, OutOfRange, properties
from packet.rules import fill, warming
from packet.shop.records import Cylinder, Job, Machine, Registers, Scale, Technician, Truck
from packet.words import t
from packet.worked import Worked, given

NOT_IDENTIFIED = frozenset({"unknown", "mixed"})


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


_Item = TypeVar("_Item", bound=_HasId)


@dataclass(frozen=True, slots=True)
class _Named:
    """What the job names, looked up in the registers; None where the register has no such id."""

    technician: Technician | None
    supervisor: Technician | None
    machine: Machine | None
    scale: Scale | None
    truck: Truck | None
    cylinders: tuple[tuple[Cylinder, CylinderState], ...]
    findings: tuple[Finding, ...]


def plan_job(
    job: Job, registers: Registers, states: Mapping[str, CylinderState], taken: frozenset[str] = frozenset()
) -> Plan:
    """The plan of one job. Never raises for a user's mistake: what cannot be computed is a finding.

    states: what each cylinder of the register holds when the job starts. taken: ids of cylinders that other jobs of the
    day use, so that they are not offered as a way out.
    """
    named = _look_up(job, registers, states)
    barometer = site_barometer(job)
    mixed = job.appliance.refrigerant.strip().casefold() in NOT_IDENTIFIED
    gas, refrigerant, no_gas = _gas(job, mixed)
    if gas is None:
        return _nothing_computed(job, registers, named, refrigerant, mixed, barometer, no_gas)
    try:
        return _plan(job, registers, states, taken, named, gas, barometer)
    except OutOfRange as error:
        found = (_no_properties(job, gas.name, str(error)),)
        return _nothing_computed(job, registers, named, refrigerant, mixed, barometer, found)


def _plan(
    job: Job,
    registers: Registers,
    states: Mapping[str, CylinderState],
    taken: frozenset[str],
    named: _Named,
    gas: Gas,
    barometer: Worked,
) -> Plan:
    policy = registers.shop.policy
    classified = classify(gas, job)
    evacuation, deep_findings = plan_evacuation(job, registers, gas, classified, named.machine, barometer)
    isolated = isolated_lb(job)
    charge = (
        given(job.appliance.charge_lb, "lb", job.appliance.where("charge_lb"))
        if isolated is None
        else given(isolated, "lb", job.work.where("isolated_charge_lb"))
    )
    method, method_findings = choose_method(
        job, registers, gas, classified.classes, named.machine, named.cylinders, barometer, charge.value
    )
    filled = Filled()
    if named.scale is not None:
        setting = fill_setting(
            job, registers, gas, named.machine, named.scale, barometer, push_pull="push-pull" in method.stages
        )
        filled = fill_cylinders(setting, named.cylinders, states, taken, charge)
    space, space_findings = plan_space(job, registers, gas, tuple(state for _, state in named.cylinders))
    carrying, carry_findings = plan_carrying(job, registers, named.truck, gas, filled.cylinders)
    duties, duty_findings = plan_duties(job, gas)
    times = plan_times(job, gas, named.machine, method, evacuation, charge, barometer, filled.changes)
    findings = (
        *named.findings,
        *crew_findings(job, registers, named.technician, named.supervisor, classified),
        *machine_findings(job, registers, named.machine, gas, classified, barometer),
        *_unknown(job, gas),
        *method_findings,
        *filled.findings,
        *deep_findings,
        *space_findings,
        *estimate_findings(job, gas),
        *carry_findings,
        *duty_findings,
    )
    return Plan(
        job=job,
        registers=registers,
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
        pressure_table=pressure_table(gas, classified.deepest == "low", policy, barometer),
        barometer_psia=barometer,
        to_recover_lb=charge,
        expected_max_lb=filled.expected_max_lb,
        carrying=carrying,
        times=times,
        t_co2e=_warming(gas, charge),
        duties=duties,
        findings=findings,
        estimates=named_estimates(gas, evacuation, times),
        needs=filled.needs,
    )


def _warming(gas: Gas, mass_lb: Worked) -> Worked | None:
    if gas.refrigerant is None:
        return None
    potential = given(gas.refrigerant.gwp100, "", t(gas.refrigerant.gwp_source), places=1)
    return warming.tonnes_co2e(mass_lb, potential)


def _gas(job: Job, mixed: bool) -> tuple[Gas | None, Refrigerant | None, tuple[Finding, ...]]:
    """The gas to compute with, or why there is none."""
    typed = job.appliance.refrigerant
    try:
        if mixed:
            return Gas(_name(typed), _bounds(), None), None, ()
        refrigerant = find(typed)
    except UnknownRefrigerant as error:
        return None, None, (_no_properties(job, typed, str(error)),)
    except NoProperties as error:
        return None, None, (_no_properties(job, typed, str(error)),)
    if refrigerant.answer:
        stop = finding(
            "refrigerant-not-recovered",
            source="40 CFR 82.154, from memory",
            where=job.appliance.where("refrigerant"),
            refrigerant=refrigerant.name,
            reason=t("it is not recovered like the others."),
            advice=t(refrigerant.answer),
        )
        return None, refrigerant, (stop,)
    try:
        fluid = properties(refrigerant)
    except NoProperties as error:
        return None, refrigerant, (_no_properties(job, refrigerant.name, str(error)),)
    if fluid.highest_F < fill.HOT_F:
        reason = t("it has no liquid at 131 °F, so no fill limit can be given; it needs cylinders of another kind.")
        return None, refrigerant, (_no_properties(job, refrigerant.name, reason),)
    return Gas(refrigerant.name, fluid, refrigerant), refrigerant, ()


def _name(typed: str) -> str:
    return t("mixed gas") if typed.strip().casefold() == "mixed" else t("unknown gas")


def _bounds() -> Bounds:
    return Bounds(
        light=tuple(properties(find(name)) for name in LIGHTEST), high=tuple(properties(find(name)) for name in HIGHEST)
    )


def _unknown(job: Job, gas: Gas) -> tuple[Finding, ...]:
    if gas.refrigerant is not None:
        return ()
    where = job.appliance.where("refrigerant")
    return (finding("unknown-gas", source=t("common practice, no source"), where=where, refrigerant=gas.name),)


def _no_properties(job: Job, name: str, reason: str) -> Finding:
    return finding("no-properties", where=job.appliance.where("refrigerant"), refrigerant=name, reason=reason)


def _look_up(job: Job, registers: Registers, states: Mapping[str, CylinderState]) -> _Named:
    equipment = registers.equipment
    missing: list[Finding] = []

    def one(items: Sequence[_Item], wanted: str, what: str, field: str) -> _Item | None:
        found = next((item for item in items if item.id == wanted), None)
        if found is None:
            missing.append(finding("not-in-register", where=job.where(field), what=what, id=wanted))
        return found

    technician = one(registers.technicians, job.technician, t("Technician"), "technician")
    supervisor = one(registers.technicians, job.supervisor, t("Technician"), "supervisor") if job.supervisor else None
    machine = one(equipment.machines, job.machine, t("Machine"), "machine")
    scale = one(equipment.scales, job.scale, t("Scale"), "scale")
    truck = one(registers.shop.trucks, job.truck, t("Truck"), "truck")
    cylinders = []
    for wanted in job.cylinders:
        cylinder = one(registers.cylinders, wanted, t("Cylinder"), "cylinders")
        if cylinder is not None:
            cylinders.append((cylinder, states.get(wanted) or CylinderState(wanted, None, 0.0)))
    return _Named(technician, supervisor, machine, scale, truck, tuple(cylinders), tuple(missing))


def _nothing_computed(
    job: Job,
    registers: Registers,
    named: _Named,
    refrigerant: Refrigerant | None,
    mixed: bool,
    barometer: Worked,
    found: tuple[Finding, ...],
) -> Plan:
    """A plan that says why there are no numbers."""
    return Plan(
        job=job,
        registers=registers,
        refrigerant=refrigerant,
        mixed_or_unknown=mixed,
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
        barometer_psia=barometer,
        to_recover_lb=None,
        expected_max_lb=None,
        carrying=None,
        times=(),
        t_co2e=None,
        duties=(),
        findings=(*named.findings, *found),
        estimates=(),
    )
