"""Whether this technician with this machine may do this job."""

from packet.findings import Finding, finding
from packet.plan.case import Case
from packet.plan.evacuation import PRESSURE_CLASS_NAMES, Classified, is_small_appliance
from packet.plan.gas import Gas
from packet.plan.gauge import site_gauge
from packet.rules import crew, fitness
from packet.rules.drawdown import CLASS_AT_F
from packet.shop.records import Certification, Job, Machine, Registers, Technician
from packet.statements import NONE_IN_REGISTER, Amount, Statement, Word, statement
from packet.words import N_

TYPE_NAMES: dict[Certification, str] = {
    "type-I": N_("Type I"),
    "type-II": N_("Type II"),
    "type-III": N_("Type III"),
    "universal": N_("Universal"),
    "apprentice": N_("apprentice"),
}


def crew_findings(case: Case, classified: Classified) -> tuple[Finding, ...]:
    """Certification of who works, or of who is named to stand over an apprentice. Source: 40 CFR 82.161."""
    job, registers = case.job, case.registers
    technician, supervisor = case.named.technician, case.named.supervisor
    if technician is None:
        return ()
    small, disposal = is_small_appliance(job), job.work.reason == "disposal"
    needed = crew.needed_types(classified.classes, small, disposal=disposal)
    if not needed:
        return _scrap_policy(case, technician)
    if not crew.is_apprentice(technician.certification):
        return _certified(technician, needed, registers, job, "technician")
    if supervisor is None or crew.is_apprentice(supervisor.certification):
        where = job.where("supervisor" if supervisor else "technician")
        return (finding("apprentice-needs-supervisor", source=crew.SOURCE, where=where, technician=technician.name),)
    return _certified(supervisor, needed, registers, job, "supervisor")


def _certified(
    person: Technician, needed: tuple[Certification, ...], registers: Registers, job: Job, field: str
) -> tuple[Finding, ...]:
    if crew.holds(person.certification, needed):
        return ()
    others = [
        item.name for item in registers.technicians if item.id != person.id and crew.holds(item.certification, needed)
    ]
    return (
        finding(
            "technician-not-certified",
            source=crew.SOURCE,
            where=job.where(field),
            technician=person.name,
            held=_names(person.certification),
            needed=_names(needed),
            candidates=", ".join(others) or NONE_IN_REGISTER,
        ),
    )


def _scrap_policy(case: Case, technician: Technician) -> tuple[Finding, ...]:
    """A caution where the shop asks for a card and the law does not: emptying small appliances for scrap."""
    asked = case.policy.scrap_certification
    if asked == "none" or crew.holds(technician.certification, (asked,)):
        return ()
    others = [item.name for item in case.registers.technicians if crew.holds(item.certification, (asked,))]
    return (
        finding(
            "scrap-certification-policy",
            source=N_("the shop's policy"),
            where=case.job.where("technician"),
            technician=technician.name,
            held=_names(technician.certification),
            needed=_names((asked,)),
            candidates=", ".join(others) or NONE_IN_REGISTER,
        ),
    )


def _names(types: tuple[Certification, ...]) -> tuple[Word, ...]:
    return tuple(Word(TYPE_NAMES[name]) for name in types)


def machine_findings(case: Case, classified: Classified) -> tuple[Finding, ...]:
    """Whether the machine is certified and rated for the gas. Source: 40 CFR 82.158 (from memory), common practice."""
    job, gas, machine = case.job, case.gas, case.named.machine
    if machine is None:
        return ()
    where = job.where("machine")
    found = []
    if not _certified_machine(machine, gas, classified):
        found.append(
            finding(
                "machine-not-for-refrigerant",
                source=N_("40 CFR 82.158, from memory"),
                where=where,
                machine=machine.id,
                refrigerant=gas.called,
                pressure_class=tuple(Word(PRESSURE_CLASS_NAMES[name]) for name in classified.classes),
                candidates=_other_machines(case, machine, classified),
            )
        )
    if machine.system_dependent and job.appliance.charge_lb > crew.SYSTEM_DEPENDENT_LB:
        found.append(
            finding(
                "machine-system-dependent",
                case.units,
                source=crew.SOURCE_SYSTEM_DEPENDENT,
                where=where,
                machine=machine.id,
                limit=Amount(crew.SYSTEM_DEPENDENT_LB, "rule-weight"),
                charge=Amount(job.appliance.charge_lb, "weight"),
                candidates=_other_machines(case, machine, classified),
            )
        )
    if not machine.flammable_rated:
        found.extend(_not_flammable(case, machine, classified, where))
    found.extend(_pressure(case, machine, classified, where))
    return tuple(found)


def _certified_machine(machine: Machine, gas: Gas, classified: Classified) -> bool:
    """By the refrigerant's name, or by every pressure class it may be in (all that are plausible for an unknown gas)."""
    if gas.refrigerant is not None and gas.refrigerant.name in machine.refrigerants:
        return True
    return set(classified.classes) <= set(machine.pressure_classes)


def _suitable(machine: Machine, case: Case, classified: Classified, stands: float) -> bool:
    """stands: `stands_psig` of the job."""
    gas = case.gas
    burns = gas.refrigerant is None or gas.refrigerant.flammable
    return (
        _certified_machine(machine, gas, classified)
        and (machine.flammable_rated or not burns)
        and stands <= machine.max_pressure_psig
        and not (machine.system_dependent and case.job.appliance.charge_lb > crew.SYSTEM_DEPENDENT_LB)
    )


def stands_psig(case: Case) -> float:
    """What the machine must push against, psig: the gas at the hottest of this job, at least at the class's 104 °F."""
    return site_gauge(case.gas.bubble_high(case.hottest_F(at_least=CLASS_AT_F)), case.barometer_psia).value


def _other_machines(case: Case, machine: Machine, classified: Classified) -> str | Statement:
    stands = stands_psig(case)
    others = [
        item.id
        for item in case.registers.equipment.machines
        if item.id != machine.id and _suitable(item, case, classified, stands)
    ]
    return ", ".join(others) or NONE_IN_REGISTER


def _not_flammable(case: Case, machine: Machine, classified: Classified, where: str) -> tuple[Finding, ...]:
    gas = case.gas
    if gas.refrigerant is not None and not gas.refrigerant.flammable:
        return ()
    others = _other_machines(case, machine, classified)
    source = fitness.SOURCE_FLAMMABLE
    if gas.refrigerant is None:
        return (
            finding(
                "unknown-gas-may-burn",
                source=source,
                where=where,
                refrigerant=gas.called,
                what=statement("this-machine", machine=machine.id),
                candidates=others,
            ),
        )
    return (
        finding(
            "machine-not-flammable-rated",
            source=source,
            where=where,
            refrigerant=gas.called,
            group=gas.refrigerant.safety_group,
            machine=machine.id,
            candidates=others,
        ),
    )


def _pressure(case: Case, machine: Machine, classified: Classified, where: str) -> tuple[Finding, ...]:
    gas = case.gas
    hottest, stands = case.hottest_F(at_least=CLASS_AT_F), stands_psig(case)
    if stands <= machine.max_pressure_psig:
        return ()
    return (
        finding(
            "machine-pressure-too-low",
            case.units,
            source=fitness.SOURCE_FLAMMABLE,
            where=where,
            machine=machine.id,
            rated=Amount(machine.max_pressure_psig, "pressure"),
            refrigerant=gas.called,
            pressure=Amount(stands, "pressure"),
            temperature=Amount(hottest.value, "temperature"),
            candidates=_other_machines(case, machine, classified),
        ),
    )
