"""A plan as one document: `plan --json`, what a print record keeps, what filing checks against, what `--why` walks.

The keys are the fields of the plan's records, always in US units; a number stands as its value and its working under
`workings`; what the plan was made from stands under `inputs`, so that it can be made again when the registers have
changed. Keys once published keep their meaning; a new field of a record needs a default, for the documents before it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from packet.document import Beside, Data, Shape, ShapeError
from packet.findings import Finding
from packet.plan.case import cylinders_named
from packet.plan.job import plan_job
from packet.plan.model import CylinderPlan, Plan, SecondPerson
from packet.refrigerant.catalogue import Refrigerant
from packet.shop.records import Cylinder, Job, Machine, Registers, Scale, Shop, Technician, Truck
from packet.words import DEFAULT_LANGUAGE, speaking, t
from packet.worked import Worked

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Inputs:
    """What a plan was made from: the job, what it names in the registers, and the gas by its catalogue entry."""

    job: Job
    registers: Registers
    refrigerant: Refrigerant | None


class UnknownFormatError(ShapeError):
    """A document of a format that this version does not know."""


def plan_document(plan: Plan, hookup_findings: Iterable[Finding] = ()) -> dict[str, Data]:
    """The plan's document, ready for JSON. hookup_findings: what the hookup found on top."""
    whole = replace(plan, findings=(*plan.findings, *hookup_findings))
    beside = Beside()
    data = _PLAN.out(whole, beside)
    if plan.refrigerant is None:
        data["refrigerant"] = plan.job.appliance.refrigerant
    inputs = _INPUTS.out(Inputs(plan.job, own_registers(plan), plan.refrigerant))
    workings = {"numbers": beside.numbers, "steps": beside.steps}
    return {"format": FORMAT, **data, "inputs": inputs, "workings": workings}


def own_registers(plan: Plan) -> Registers:
    """The plan's registers with only what its job names, and the whole kit: what its document keeps of them."""
    registers = plan.registers
    people = {item.id for item in (plan.technician, plan.supervisor) if item is not None}
    equipment = registers.equipment.model_copy(
        update={
            # the machine as it was planned with: an earlier job of the day may have left another gas in it
            "machines": () if plan.machine is None else (plan.machine,),
            "scales": () if plan.scale is None else (plan.scale,),
        }
    )
    cylinders = [item.cylinder.id for item in plan.cylinders]
    return registers.model_copy(
        update={
            "shop": registers.shop.model_copy(update={"trucks": () if plan.truck is None else (plan.truck,)}),
            "cylinders": cylinders_named(registers.cylinders, cylinders),
            "equipment": equipment,
            "technicians": tuple(item for item in registers.technicians if item.id in people),
        }
    )


def plan_back(document: Data) -> Plan:
    """The plan that a document was made from; its registers hold what the document kept. Raises ShapeError."""
    found = document.get("format") if isinstance(document, dict) else None
    if type(found) is not int or found != FORMAT:
        raise UnknownFormatError(
            "format", t("format {found} is not known; this version knows {known}", found=found, known=FORMAT)
        )
    inputs = inputs_of(document)
    data = document if inputs.refrigerant is not None else document | {"refrigerant": None}
    shop, equipment = inputs.registers.shop, inputs.registers.equipment
    known: dict[type, Mapping[str, Any]] = {
        Job: {inputs.job.job: inputs.job},
        Refrigerant: {inputs.refrigerant.name: inputs.refrigerant} if inputs.refrigerant else {},
        Cylinder: {item.id: item for item in inputs.registers.cylinders},
        Technician: {item.id: item for item in inputs.registers.technicians},
        Machine: {item.id: item for item in equipment.machines},
        Scale: {item.id: item for item in equipment.scales},
        Truck: {item.id: item for item in shop.trucks},
    }
    beside = _beside(document)
    filled: dict[tuple[type, str], Any] = {(Plan, "registers"): inputs.registers, (Finding, "units"): shop.units}
    return _PLAN.back(data, "", replace(beside, known=known, filled=filled))


def inputs_of(document: Mapping[str, Data]) -> Inputs:
    """What a document was made from. Raises ShapeError."""
    return _INPUTS.back(document.get("inputs"), "inputs")


def workings_of(document: Mapping[str, Data]) -> dict[str, Worked]:
    """The working of every number of which a document keeps one, by its path. Raises ShapeError."""
    beside = _beside(document)
    found = {path: beside.get(path) for path in beside.numbers}
    return {path: number for path, number in found.items() if number is not None}


def _beside(document: Mapping[str, Data]) -> Beside:
    workings = _WORKINGS.back(document.get("workings"), "workings")
    return Beside(list(workings.steps), dict(workings.numbers))


def planned_again(plan: Plan) -> Plan:
    """The plan worked out anew from its own inputs, whatever the registers say by now."""
    return plan_job(plan.job, own_registers(plan), {item.cylinder.id: item.start for item in plan.cylinders})


@dataclass(frozen=True, slots=True)
class _Workings:
    numbers: Mapping[str, int]
    steps: tuple[Any, ...]


def _of_plan(plan: Plan) -> dict[str, Data]:
    return {"date": plan.job.date.isoformat(), "may_go_out": plan.may_go_out}


def _of_finding(item: Finding) -> dict[str, Data]:
    # in English: a document does not depend on the language of who had it made
    with speaking(DEFAULT_LANGUAGE):
        return {"severity": item.severity, "message": item.message, "remedy": item.remedy}


_PLAN = Shape(
    Plan,
    by_id={Job: "job", Refrigerant: "name", Cylinder: "id", Technician: "id", Machine: "id", Scale: "id", Truck: "id"},
    names={(Plan, "registers"): None, (CylinderPlan, "cylinder"): "id", (Finding, "units"): None},
    derived={Plan: _of_plan, Finding: _of_finding, SecondPerson: lambda second: {"missing": second.missing}},
)
# what concerns the record pages alone is no part of a plan, and the secret stands in no file but shop.yaml
_INPUTS = Shape(Inputs, names={(Shop, "records_secret"): None, (Shop, "records_show"): None})
_WORKINGS = Shape(_Workings)
