"""What no single job shows: things and people that are needed in two places, and what one job leaves for the next.

Each check takes the day's plans and gives findings by job; a conflict is told to every job that is part of it.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import pairwise

from packet.figures import show_weight
from packet.findings import Finding, finding
from packet.plan.day_model import Span
from packet.plan.model import Plan
from packet.refrigerant.own import MIXED
from packet.words import t

Told = tuple[str, Finding]


def gas_of(plan: Plan) -> str:
    """What goes into the cylinders: the designation, or 'mixed' for gas that is mixed or unknown."""
    if plan.mixed_or_unknown:
        return MIXED
    return plan.refrigerant.name if plan.refrigerant else plan.job.appliance.refrigerant


def span_of(plan: Plan) -> Span:
    """From the job's start over the estimated minutes of its stages."""
    start = plan.job.start.hour * 60.0 + plan.job.start.minute
    return Span(plan.job.job, start, start + sum(stage.minutes.value for stage in plan.times))


def by_start(plans: Iterable[Plan]) -> tuple[Plan, ...]:
    """In the order of the day's clock, whatever the truck."""
    return tuple(sorted(plans, key=lambda plan: (plan.job.date, plan.job.start, plan.job.truck, plan.job.job)))


def day_findings(plans: tuple[Plan, ...]) -> dict[str, tuple[Finding, ...]]:
    """All checks' findings by job, each finding once a job."""
    found: dict[str, dict[Finding, None]] = defaultdict(dict)
    checks = (two_trucks, two_refrigerants, two_places, handed_over, used_again, machine_changes)
    for check in checks:
        for job, item in check(by_start(plans)):
            found[job][item] = None
    return {job: tuple(items) for job, items in found.items()}


def two_trucks(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """A cylinder rides on one truck: where jobs of two trucks name it, all of them are stopped."""
    for cylinder, users in _users(plans, lambda plan: plan.job.cylinders).items():
        for plan in users:
            others = [other for other in users if other.job.truck != plan.job.truck]
            if others:
                named = ", ".join(
                    t("truck {truck} for {job}", truck=other.job.truck, job=other.job.job) for other in others
                )
                yield (
                    plan.job.job,
                    finding(
                        "cylinder-two-trucks",
                        where=plan.job.where("cylinders"),
                        cylinder=cylinder,
                        truck=plan.job.truck,
                        others=named,
                    ),
                )


def two_refrigerants(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """One refrigerant a cylinder a day."""
    for cylinder, users in _users(plans, lambda plan: plan.job.cylinders).items():
        for plan in users:
            others = [other for other in users if gas_of(other) != gas_of(plan)]
            if others:
                named = ", ".join(
                    t("{refrigerant} for {job}", refrigerant=gas_of(other), job=other.job.job) for other in others
                )
                yield (
                    plan.job.job,
                    finding(
                        "cylinder-two-refrigerants",
                        where=plan.job.where("cylinders"),
                        cylinder=cylinder,
                        refrigerant=gas_of(plan),
                        others=named,
                    ),
                )


def two_places(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """People, machines, scales and cylinders are in one place at a time, by the plans' own time estimates."""
    for person, users in _users(plans, _people).items():
        known = {item.id: item.name for plan in users for item in (plan.technician, plan.supervisor) if item}
        for plan, named in _at_once(users):
            where = plan.job.where("technician" if plan.job.technician == person else "supervisor")
            yield (
                plan.job.job,
                finding("technician-two-places", where=where, technician=known.get(person, person), others=named),
            )
    # a cylinder on two trucks is told by `two_trucks`
    kinds: tuple[tuple[str, str, str, Callable[[Plan], tuple[str, ...]]], ...] = (
        ("machine-two-places", "machine", "machine", lambda plan: (plan.job.machine,)),
        ("scale-two-places", "scale", "scale", lambda plan: (plan.job.scale,)),
        ("cylinder-two-places", "cylinder", "cylinders", lambda plan: plan.job.cylinders),
    )
    for code, name, field, things in kinds:
        for thing, users in _users(plans, things).items():
            for plan, named in _at_once(users, same_truck=code == "cylinder-two-places"):
                yield plan.job.job, finding(code, where=plan.job.where(field), **{name: thing, "others": named})


def handed_over(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """A machine or a scale that two trucks use in turn has to get from one to the other."""
    kinds: tuple[tuple[str, Callable[[Plan], tuple[str, ...]]], ...] = (
        ("machine", lambda plan: (plan.job.machine,)),
        ("scale", lambda plan: (plan.job.scale,)),
    )
    for field, things in kinds:
        for thing, users in _users(plans, things).items():
            for before, plan in pairwise(users):
                if before.job.truck != plan.job.truck:
                    yield (
                        plan.job.job,
                        finding(
                            "handed-over",
                            where=plan.job.where(field),
                            what=thing,
                            truck=before.job.truck,
                            earlier=before.job.job,
                        ),
                    )


def used_again(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """A cylinder that an earlier job of the day is planned to leave partly filled: the paper starts from that."""
    for plan in plans:
        for item in plan.cylinders:
            if item.start.planned:
                held = show_weight(item.start.contents_lb, plan.registers.shop.units)
                yield (
                    plan.job.job,
                    finding(
                        "cylinder-used-again",
                        where=plan.job.where("cylinders"),
                        cylinder=item.cylinder.id,
                        earlier=item.start.came_from,
                        contents=f"{held} {item.start.refrigerant or ''}".strip(),
                    ),
                )


def machine_changes(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """A machine that last held another refrigerant, this morning in the register or on an earlier job of the day."""
    for machine, users in _users(plans, lambda plan: (plan.job.machine,)).items():
        record = next((plan.machine for plan in users if plan.machine), None)
        held, earlier = (record.last_refrigerant if record else None), t("the register")
        for plan in users:
            gas = gas_of(plan)
            # what a machine holds of one unknown gas must not get into the next one either
            if held is not None and (held != gas or held == MIXED):
                yield (
                    plan.job.job,
                    finding(
                        "machine-changes-refrigerant",
                        where=plan.job.where("machine"),
                        machine=machine,
                        earlier=earlier,
                        refrigerant=held,
                    ),
                )
            held, earlier = gas, plan.job.job


def _people(plan: Plan) -> tuple[str, ...]:
    return tuple(name for name in (plan.job.technician, plan.job.supervisor) if name)


def _users(plans: tuple[Plan, ...], things: Callable[[Plan], tuple[str, ...]]) -> Mapping[str, tuple[Plan, ...]]:
    found: dict[str, list[Plan]] = defaultdict(list)
    for plan in plans:
        for thing in dict.fromkeys(things(plan)):
            if thing:
                found[thing].append(plan)
    return {thing: tuple(users) for thing, users in found.items()}


def _at_once(users: tuple[Plan, ...], *, same_truck: bool = False) -> Iterator[tuple[Plan, str]]:
    """Each plan that overlaps others in time, with the others' names."""
    for plan in users:
        span = span_of(plan)
        others = [
            other
            for other in users
            if other is not plan
            and other.job.date == plan.job.date
            and (other.job.truck == plan.job.truck or not same_truck)
            and span.overlaps(span_of(other))
        ]
        if others:
            yield plan, ", ".join(f"{other.job.job} ({other.job.start:%H:%M})" for other in others)
