"""The second person: what on this job asks for one, who it is, and the caution when nobody is named."""

from packet.findings import Finding, finding
from packet.plan.case import Case
from packet.plan.model import Method, OccupiedSpace, SecondPerson
from packet.rules.crew import PUSH_PULL_ALONE_LB, SecondFor, second_person_for
from packet.statements import Amount, Statement, statement
from packet.words import N_

ON_SITE = "on-site"


def plan_second(case: Case, method: Method, space: OccupiedSpace | None) -> tuple[SecondPerson, tuple[Finding, ...]]:
    """Who the second person is and for what. A supervisor over an apprentice is one: he is there all the time."""
    job, gas = case.job, case.gas
    needed = second_person_for(
        push_pull_lb=case.charge_lb.value if "push-pull" in method.stages else 0.0,
        exceeds_room_limit=space is not None and space.exceeds,
        toxic=gas.refrigerant is not None and gas.refrigerant.toxic,
        identified=gas.refrigerant is not None,
        roof_edge=job.site.roof_edge,
        permit_space=job.site.permit_space,
    )
    named = job.second or job.supervisor or ""
    said = "" if named == ON_SITE else named
    name = next((person.name for person in case.registers.technicians if named == person.id), said) if named else said
    second = SecondPerson(needed, name, named == ON_SITE)
    if not needed or named:
        return second, ()
    return second, (
        finding(
            "second-person-missing",
            case.units,
            source=N_("common practice, no source"),
            where=job.where("second"),
            reasons=tuple(asks(code) for code in needed),
        ),
    )


def asks(code: SecondFor) -> Statement:
    """What asks for a second person."""
    if code == "push-pull":
        return statement("for-push-pull", weight=Amount(PUSH_PULL_ALONE_LB, "whole-weight"))
    return statement(f"for-{code}")
