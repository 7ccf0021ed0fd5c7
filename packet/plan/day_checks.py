"""What no single job shows: things and people that are needed in two places, and what one job leaves for the next.

Each check takes the day's plans and gives findings by job; a conflict is told to every job that is part of it.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import pairwise

from packet.findings import Finding, finding
from packet.plan.day_model import Span
from packet.plan.model import Plan
from packet.plan.second import ON_SITE
from packet.refrigerant.own import MIXED, is_mixed
from packet.shop.checks import AUTO
from packet.statements import Amount, Statement, Word, statement
from packet.words import N_

Told = tuple[str, Finding]


def gas_of(plan: Plan) -> str:
    """What goes into the cylinders: the designation, or 'mixed' for gas that is mixed or unknown."""
    if plan.mixed_or_unknown:
        return MIXED
    return plan.refrigerant.name if plan.refrigerant else plan.job.appliance.refrigerant


def _kept_with(gas: str) -> str:
    return MIXED if is_mixed(gas) else gas


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
    checks = (
        two_trucks,
        two_refrigerants,
        two_places,
        truck_two_places,
        travel,
        handed_over,
        used_again,
        machine_changes,
    )
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
                named = tuple(statement("truck-for-job", truck=other.job.truck, job=other.job.job) for other in others)
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
    """One refrigerant a cylinder a day; unknown, mixed and analyzed gas may meet in the cylinder kept for it."""
    for cylinder, users in _users(plans, lambda plan: plan.job.cylinders).items():
        for plan in users:
            others = [other for other in users if _kept_with(gas_of(other)) != _kept_with(gas_of(plan))]
            if others:
                named = tuple(
                    statement("gas-for-job", refrigerant=gas_of(other), job=other.job.job) for other in others
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
        known = {item.id: item.name for plan in users for item in plan.registers.technicians}
        for plan, named in _at_once(users):
            where = plan.job.where(_roles(plan)[person])
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


def truck_two_places(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """A truck stands in one place at a time: jobs of one truck at one site may overlap, at two they may not."""
    for truck, users in _users(plans, lambda plan: (plan.job.truck,)).items():
        for plan in users:
            here = [other for other in users if other is plan or _site(other) != _site(plan)]
            for one, named in _at_once(tuple(here)):
                if one is plan:
                    where = plan.job.where("truck")
                    yield plan.job.job, finding("truck-two-places", where=where, truck=truck, others=named)


def travel(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """The way from one site to the next takes time: too little of it is a caution, as the job's end is an estimate."""
    for truck, users in _users(plans, lambda plan: (plan.job.truck,)).items():
        for before, plan in pairwise(users):
            end, start = span_of(before).end_min, span_of(plan).start_min
            needed = travel_minutes(before, plan)
            if end <= start < end + needed:
                yield (
                    plan.job.job,
                    finding(
                        "travel-short",
                        where=plan.job.where("start"),
                        truck=truck,
                        earlier=before.job.job,
                        end=clock(end),
                        left=f"{start - end:.0f}",
                        needed=f"{needed:.0f}",
                        to=clock(end + needed),
                    ),
                )


def travel_minutes(one: Plan, other: Plan) -> float:
    """The way between two jobs' sites, minutes: 0 at one site, else what shop.yaml gives for the two, else its policy."""
    if _site(one) == _site(other):
        return 0.0
    shop = one.registers.shop
    ends = {one.job.site.name.casefold(), other.job.site.name.casefold()}
    for way in shop.travel:
        if {name.casefold() for name in way.between} == ends:
            return way.minutes
    return shop.policy.travel_minutes


def _site(plan: Plan) -> tuple[str, str]:
    return plan.job.site.name.casefold(), plan.job.site.address.casefold()


def clock(minutes: float) -> str:
    """Minutes after midnight as '14:05'."""
    whole = round(minutes)
    return f"{whole // 60 % 24:02}:{whole % 60:02}"


def handed_over(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """A machine or a scale that two trucks use in turn gets from one to the other: both are told where and when."""
    kinds: tuple[tuple[str, Callable[[Plan], tuple[str, ...]]], ...] = (
        ("machine", lambda plan: (plan.job.machine,)),
        ("scale", lambda plan: (plan.job.scale,)),
    )
    for field, things in kinds:
        for thing, users in _users(plans, things).items():
            for before, plan in pairwise(users):
                if before.job.truck != plan.job.truck and span_of(before).end_min <= span_of(plan).start_min:
                    yield from hand_over(thing, before, plan, field)


def hand_over(thing: str | Statement, before: Plan, plan: Plan, field: str = "") -> Iterator[Told]:
    """What is told to the truck that takes a thing over, and to the one that gives it away."""
    free, due = clock(span_of(before).end_min), clock(span_of(plan).start_min)

    def told(code: str, where: str) -> Finding:
        return finding(
            code,
            plan.registers.shop.units,
            where=where,
            what=thing,
            truck=before.job.truck,
            earlier=before.job.job,
            place=before.job.site.name,
            free=free,
            to=plan.job.truck,
            later=plan.job.job,
            there=plan.job.site.name,
            due=due,
        )

    kit = "machines.yaml kit"
    yield plan.job.job, told("handed-over", plan.job.where(field) if field else kit)
    yield before.job.job, told("handed-on", before.job.where(field) if field else kit)


def used_again(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """A cylinder that an earlier job of the day is planned to leave partly filled: the paper starts from that."""
    for plan in plans:
        for item in plan.cylinders:
            if item.start.planned:
                held = Amount(item.start.contents_lb, "weight")
                gas = item.start.refrigerant
                yield (
                    plan.job.job,
                    finding(
                        "cylinder-used-again",
                        plan.registers.shop.units,
                        where=plan.job.where("cylinders"),
                        cylinder=item.cylinder.id,
                        earlier=item.start.came_from,
                        contents=statement("holds-amount", weight=held, refrigerant=gas) if gas else held,
                    ),
                )


def machine_changes(plans: tuple[Plan, ...]) -> Iterator[Told]:
    """A machine that last held another refrigerant, this morning in the register or on an earlier job of the day."""
    for machine, users in _users(plans, lambda plan: (plan.job.machine,)).items():
        record = next((plan.machine for plan in users if plan.machine), None)
        earlier: str | Word
        held, earlier = (record.last_refrigerant if record else None), Word(N_("the register"))
        for plan in users:
            gas = gas_of(plan)
            # what a machine holds of one unknown gas must not get into the next one either
            if held is not None and (held != gas or is_mixed(held)):
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
    return tuple(_roles(plan))


def _roles(plan: Plan) -> dict[str, str]:
    """Who is on a job, by id or by a stranger's name, with the key that says so. A second person may be typed either
    way; the site's own is on no other job.
    """
    job, ids = plan.job, {item.name.casefold(): item.id for item in plan.registers.technicians}
    second = "" if job.second in {None, ON_SITE} else ids.get(job.second.casefold(), job.second)
    named = {"technician": job.technician, "supervisor": job.supervisor, "second": second}
    return {person: key for key, person in reversed(named.items()) if person}


def _users(plans: tuple[Plan, ...], things: Callable[[Plan], tuple[str, ...]]) -> Mapping[str, tuple[Plan, ...]]:
    found: dict[str, list[Plan]] = defaultdict(list)
    for plan in plans:
        for thing in dict.fromkeys(things(plan)):
            if thing and thing != AUTO:
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
