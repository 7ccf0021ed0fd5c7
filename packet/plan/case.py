"""One job with everything it names looked up, the gas and the site's barometer: what every decision starts from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from packet.findings import Finding, finding
from packet.ledger.state import CylinderState
from packet.plan.gas import Gas
from packet.rules.barometer import barometer_psia
from packet.rules.drawdown import receiver_takes_lb
from packet.shop.checks import AUTO
from packet.shop.records import Cylinder, Job, Machine, Policy, Registers, Scale, Technician, Truck
from packet.statements import Amount, Word
from packet.units import UnitSystem
from packet.words import N_
from packet.worked import Worked, given

# Above this a charge is a slip, lb: a figure of another kind of appliance, or one of grams. Common practice, no source.
MOST_CHARGE_LB = {
    "split": 400.0,
    "heat-pump": 400.0,
    "packaged": 800.0,
    "walk-in": 400.0,
    "reach-in": 50.0,
    "ice-machine": 50.0,
    "small-appliance": 50.0,
}


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


_Item = TypeVar("_Item", bound=_HasId)


@dataclass(frozen=True, slots=True)
class Named:
    """What the job names, looked up in the registers; None where the register has no such id (a finding says so)."""

    technician: Technician | None
    supervisor: Technician | None
    machine: Machine | None
    scale: Scale | None
    truck: Truck | None
    cylinders: tuple[tuple[Cylinder, CylinderState], ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Case:
    """One job ready to be decided. states: what each cylinder of the register holds; taken: ids used elsewhere."""

    job: Job
    registers: Registers
    states: Mapping[str, CylinderState]
    taken: frozenset[str]
    named: Named
    gas: Gas
    barometer_psia: Worked

    @property
    def policy(self) -> Policy:
        """The shop's policy."""
        return self.registers.shop.policy

    @property
    def units(self) -> UnitSystem:
        """The units the shop prints."""
        return self.registers.shop.units

    @property
    def charge_lb(self) -> Worked:
        """What is drawn, lb: the full charge, or the isolated part's."""
        part = isolated_lb(self.job)
        if part is not None:
            return given(part, "lb", self.job.work.where("isolated_charge_lb"))
        return given(self.job.appliance.charge_lb, "lb", self.job.appliance.where("charge_lb"))

    def within(self, temperature_F: float, where: str) -> Worked:
        """A temperature, °F, brought into the range in which the gas can be computed."""
        fluid = self.gas.fluid
        return given(min(max(temperature_F, fluid.lowest_F), fluid.highest_F), "°F", where, places=1)

    @property
    def ambient_F(self) -> Worked:
        """The air's temperature while working, °F, within what can be computed (`temperature_findings` says when)."""
        conditions = self.job.conditions
        return self.within(conditions.ambient_F, conditions.where("ambient_F"))

    def hottest_F(self, at_least: float = -459.0) -> Worked:
        """The hottest the cylinder gets while it is filled, °F, taken as `at_least`, within what can be computed."""
        conditions = self.job.conditions
        return self.within(max(at_least, conditions.hottest_F), conditions.where("hottest_F"))


def isolated_lb(job: Job) -> float | None:
    """The isolated part's charge, lb; None where none is named or nothing is known to hold the rest.

    A system receiver is the isolated part of the appliance or a vessel in it that holds the charge meanwhile (40 CFR
    82.152): the part's own shut-off valves close it off, or the receiver takes the rest at 80 %.
    """
    work = job.work
    if work.isolated_charge_lb is None or work.isolated_by == "valves":
        return work.isolated_charge_lb
    if not job.appliance.receiver or work.receiver_capacity_lb is None:
        return None
    rest_lb = job.appliance.charge_lb - work.isolated_charge_lb
    return work.isolated_charge_lb if rest_lb <= receiver_takes_lb(work.receiver_capacity_lb) else None


def site_barometer(job: Job) -> Worked:
    """The site's barometer, psia, from its elevation."""
    return barometer_psia(given(job.site.elevation_ft, "ft", job.site.where("elevation_ft"), places=0))


# The places of a large register's cylinders by id, and the very register they are of: a day looks up a thousand.
_PLACES: dict[str, int] = {}
_PLACES_OF: list[Sequence[Cylinder]] = []
_FEW = 100


def cylinders_named(cylinders: Sequence[Cylinder], wanted: Sequence[str]) -> tuple[Cylinder, ...]:
    """The cylinders of a register with these ids, in the order of the register."""
    if len(cylinders) <= _FEW:
        return tuple(item for item in cylinders if item.id in wanted)
    if not _PLACES_OF or _PLACES_OF[0] is not cylinders:
        _PLACES_OF[:] = [cylinders]
        _PLACES.clear()
        _PLACES.update((item.id, place) for place, item in enumerate(cylinders))
    return tuple(cylinders[place] for place in sorted(_PLACES[name] for name in set(wanted) if name in _PLACES))


def look_up(job: Job, registers: Registers, states: Mapping[str, CylinderState]) -> Named:
    """Everything the job names. What the registers lack is a finding, not an error: the loader has said it better."""
    equipment = registers.equipment
    missing: list[Finding] = []

    def one(items: Sequence[_Item], wanted: str, what: str, field: str) -> _Item | None:
        found = next((item for item in items if item.id == wanted), None)
        if found is None and wanted == AUTO:
            missing.append(finding("not-assigned", where=job.where(field), what=Word(what), job=job.job))
        elif found is None:
            missing.append(finding("not-in-register", where=job.where(field), what=Word(what), id=wanted))
        return found

    technician = one(registers.technicians, job.technician, N_("Technician"), "technician")
    supervisor = one(registers.technicians, job.supervisor, N_("Technician"), "supervisor") if job.supervisor else None
    machine = one(equipment.machines, job.machine, N_("Machine"), "machine")
    scale = one(equipment.scales, job.scale, N_("Scale"), "scale")
    truck = one(registers.shop.trucks, job.truck, N_("Truck"), "truck")
    cylinders = []
    if not job.cylinders:
        missing.append(finding("not-assigned", where=job.where("cylinders"), what=Word(N_("A cylinder")), job=job.job))
    there = cylinders_named(registers.cylinders, job.cylinders)
    for wanted in job.cylinders:
        cylinder = one(there, wanted, N_("Cylinder"), "cylinders")
        if cylinder is not None:
            # without a state from the ledger, the register's own figures
            known = states.get(wanted) or CylinderState(wanted, cylinder.refrigerant, cylinder.contents_lb)
            cylinders.append((cylinder, known))
    most_lb = MOST_CHARGE_LB.get(job.appliance.kind)
    if most_lb is not None and job.appliance.charge_lb > most_lb:
        missing.append(
            finding(
                "charge-not-plausible",
                registers.shop.units,
                where=job.appliance.where("charge_lb"),
                charge=Amount(job.appliance.charge_lb, "charge"),
                most=Amount(most_lb, "whole-weight"),
                kind=job.appliance.kind,
            )
        )
    return Named(technician, supervisor, machine, scale, truck, tuple(cylinders), tuple(missing))


def temperature_findings(case: Case) -> tuple[Finding, ...]:
    """A caution for each of the job's temperatures that lies outside what can be computed for its gas."""
    conditions = case.job.conditions
    used = (("ambient_F", conditions.ambient_F, case.ambient_F), ("hottest_F", conditions.hottest_F, case.hottest_F()))
    return tuple(
        finding(
            "temperature-out-of-range",
            case.units,
            where=conditions.where(field),
            temperature=Amount(typed, "exact-temperature"),
            used=Amount(taken.value, "exact-temperature"),
            refrigerant=case.gas.called,
        )
        for field, typed, taken in used
        if taken.value != typed
    )
