"""What of this job has to be lifted, and how: full cylinders and the machine."""

from packet.findings import Finding, finding
from packet.plan.case import Case
from packet.plan.model import CylinderPlan, Lift
from packet.rules.lifting import How, how_to_lift
from packet.statements import Amount, Word
from packet.words import N_

HOW_WORDS: dict[How, str] = {
    "alone": N_("one person"),
    "two": N_("two people or a hand truck"),
    "dolly": N_("a cylinder dolly and a lift gate"),
    "hoist": N_("a hoist or a pallet jack"),
}


def plan_lifting(case: Case, cylinders: tuple[CylinderPlan, ...]) -> tuple[tuple[Lift, ...], tuple[Finding, ...]]:
    """Each cylinder as it will weigh at its heaviest and the machine, and a note for what one person does not lift."""
    alone_lb, machine = case.policy.lift_alone_lb, case.named.machine
    lifts = [
        Lift("cylinder", item.cylinder.id, item.planned_gross_lb, how_to_lift(item.planned_gross_lb, alone_lb))
        for item in cylinders
    ]
    if machine is not None and machine.weight_lb is not None:
        lifts.append(Lift("machine", machine.id, machine.weight_lb, how_to_lift(machine.weight_lb, alone_lb)))
    where = {item.cylinder.id: item.cylinder.where() for item in cylinders}
    found = []
    for lift in lifts:
        if lift.how == "alone":
            continue
        cylinder = lift.what == "cylinder"
        found.append(
            finding(
                "lift-alone" if cylinder else "lift-machine",
                case.units,
                source=N_("common practice, no source"),
                where=where[lift.id] if cylinder else case.job.where("machine"),
                **{lift.what: lift.id},
                gross=Amount(lift.weight_lb, "weight"),
                limit=Amount(alone_lb, "whole-weight"),
                how=Word(HOW_WORDS[lift.how]),
            )
        )
    return tuple(lifts), tuple(found)
