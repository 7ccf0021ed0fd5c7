"""What a shop's registers still lack, and for what work: nothing here keeps a job at home that does not need it."""

from collections.abc import Iterator
from dataclasses import dataclass

from packet.shop.records import Cylinder, Machine, Registers
from packet.words import t


@dataclass(frozen=True, slots=True)
class Want:
    """purpose: the work it is for; what: what to put into which register. Both in the current language."""

    purpose: str
    what: str


def wants(registers: Registers) -> tuple[Want, ...]:
    """Everything that is missing, the most needed first; empty for a shop that can do all this program plans."""
    return tuple(
        Want(purpose, what)
        for part in (_any_job, _machines, _kit, _cylinders, _filing)
        for purpose, what in part(registers)
    )


def _any_job(registers: Registers) -> Iterator[tuple[str, str]]:
    job = t("any job")
    if not registers.technicians:
        yield job, t("a technician in technicians.yaml")
    if not registers.equipment.machines:
        yield job, t("a recovery machine in machines.yaml")
    if not registers.equipment.scales:
        yield job, t("a scale in machines.yaml")
    if not registers.cylinders:
        yield job, t("a recovery cylinder in cylinders.yaml")
    if not registers.equipment.kit.hoses:
        yield job, t("hoses with length, bore and rating under kit in machines.yaml")
    if not registers.equipment.kit.manifolds:
        yield job, t("a manifold gauge set under kit in machines.yaml")
    if not registers.shop.trucks:
        yield t("the weight a truck may carry"), t("the trucks in shop.yaml")


def _machines(registers: Registers) -> Iterator[tuple[str, str]]:
    machines = registers.equipment.machines
    for machine in machines:
        if not (machine.refrigerants or machine.pressure_classes):
            yield (
                t("any job with machine {id}", id=machine.id),
                t("refrigerants or pressure_classes of machine {id}", id=machine.id),
            )
    for purpose, rate in (
        (t("liquid recovery"), "liquid"),
        (t("vapor recovery"), "vapor"),
        (t("push-pull"), "push_pull"),
    ):
        lacking = [item for item in machines if getattr(item.rates_lb_per_min, rate) is None]
        if lacking and not (rate != "vapor" and len(lacking) < len(machines)):
            yield purpose, t("rates_lb_per_min: {rate} of machine {ids}", rate=rate, ids=_ids(lacking))
    if machines and not any(item.flammable_rated for item in machines):
        yield t("flammable refrigerant"), t("a machine with flammable_rated: yes")
    unweighed = [item for item in machines if item.weight_lb is None]
    if unweighed:
        yield t("how a machine is lifted"), t("weight_lb of machine {ids}", ids=_ids(unweighed))


def _kit(registers: Registers) -> Iterator[tuple[str, str]]:
    kit = registers.equipment.kit
    place = "kit"
    for purpose, what, there in (
        (t("any job"), t("a filter-drier"), kit.filter_driers),
        (t("push-pull"), t("a sight glass"), kit.sight_glasses),
        (t("a burnout"), t("a filter-drier of high acid capacity"), kit.filter_driers),
        (t("a sealed small appliance"), t("a piercing valve"), kit.piercing_valves),
        (t("evacuating hoses"), t("a vacuum pump"), kit.vacuum_pumps),
        (t("a closed room or flammable refrigerant"), t("a refrigerant detector"), kit.detectors),
        (t("low-pressure chillers"), t("an absolute gauge"), kit.absolute_gauges),
    ):
        if not there:
            yield purpose, t("{what} under {place} in machines.yaml", what=what, place=place)


def _cylinders(registers: Registers) -> Iterator[tuple[str, str]]:
    cylinders = registers.cylinders
    undated = [item for item in cylinders if item.tested is None and item.made is None]
    if undated:
        yield t("filling cylinder {ids}", ids=_ids(undated)), t("tested or made, the month stamped on it")
    if cylinders and not any(item.flammable_rated for item in cylinders):
        yield t("flammable refrigerant"), t("a cylinder with flammable_rated: yes")
    if cylinders and not any(item.refrigerant == "mixed" for item in cylinders):
        yield t("mixed or unknown gas"), t("a cylinder with refrigerant: mixed")
    if cylinders and not any({"liquid", "vapor"} <= set(item.valves) for item in cylinders):
        yield t("push-pull"), t("a cylinder with valves: [liquid, vapor]")


def _filing(registers: Registers) -> Iterator[tuple[str, str]]:
    cardless = [item.id for item in registers.technicians if not item.card and item.certification != ("apprentice",)]
    if cardless:
        yield t("the record the law asks for"), t("card of technician {ids}", ids=", ".join(cardless))


def _ids(items: list[Machine] | list[Cylinder]) -> str:
    names = [item.id for item in items]
    return ", ".join(names[:8]) + (" …" if len(names) > 8 else "")
