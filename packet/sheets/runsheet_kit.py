"""The kit of a day, counted: what each truck takes along, and whether the shop has that many.

A hookup names what it takes (packet.hookup.kit). Jobs of a truck that follow one another share it; a filter-drier is
used up. What two trucks need on the same day but not at the same time can be handed over.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from functools import reduce

from packet.findings import Finding, finding
from packet.hookup.kit import DETECTOR, RATED_DETECTOR, hose_name
from packet.hookup.model import Hookup
from packet.plan.day_checks import clock, hand_over
from packet.plan.day_model import Day, Span
from packet.plan.hoses import hose_words
from packet.plan.model import Plan
from packet.shop.records import Registers
from packet.statements import Statement, statement, thing
from packet.words import N_


def owned(registers: Registers) -> dict[Statement, int]:
    """How many the shop has of each thing, by the name that a hookup's kit list gives it."""
    kit = registers.equipment.kit
    found: Counter[Statement] = Counter()
    for hose in kit.hoses:
        found[hose_name(hose)] += hose.count
    for manifold in kit.manifolds:
        found[statement("kit-manifold", id=manifold.id, valves=manifold.valves)] += manifold.count
    for drier in kit.filter_driers:
        found[_drier(drier.id)] += drier.count
    for glass in kit.sight_glasses:
        found[statement("kit-sight-glass", id=glass.id)] += glass.count
    found[thing(N_("tee with a valve"))] += sum(item.count for item in kit.tees)
    found[thing(N_("piercing valve"))] += sum(item.count for item in kit.piercing_valves)
    found[thing(N_("core tool"))] += sum(item.count for item in kit.core_tools)
    for header in kit.headers:
        found[statement("kit-header", id=header.id)] += header.count
    # what is rated for flammable refrigerant serves any other as well, and is counted there too
    found[thing(N_("vacuum pump"))] += kit.vacuum_pumps
    found[thing(N_("vacuum pump, rated for flammable refrigerant"))] += kit.flammable_rated_vacuum_pumps
    found[thing(N_("micron gauge"))] += kit.micron_gauges
    found[thing(N_("absolute gauge"))] += kit.absolute_gauges
    found[DETECTOR] += kit.detectors
    found[RATED_DETECTOR] += kit.flammable_rated_detectors
    found[thing(N_("refrigerant identifier"))] += kit.identifiers
    found[thing(N_("oxygen-free nitrogen with regulator"))] += kit.nitrogen
    return dict(found)


def _drier(name: str) -> Statement:
    return statement("kit-drier", id=name)


def truck_kit(day: Day, hookups: Mapping[str, Hookup]) -> dict[str, tuple[tuple[Statement, int], ...]]:
    """What each truck takes along for its day: (name, count), in the order it is first needed.

    Machines, scales and cylinders are left out: the run sheet lists each of them once on lines of their own.
    """
    used_up, elsewhere = _used_up(day), _listed_elsewhere(day)
    truck_of = {job: load.truck_id for load in day.loads for job in load.jobs}
    plans: dict[str, list[Plan]] = {load.truck_id: [] for load in day.loads}
    for plan in day.plans:
        if plan.job.job in truck_of:
            plans[truck_of[plan.job.job]].append(plan)
    return {
        load.truck_id: tuple(
            (name, _count(name, plans[load.truck_id], day, hookups, used_up))
            for name in dict.fromkeys(name for job in load.jobs for name, _ in hookups[job].kit_list)
            if name not in elsewhere
        )
        for load in day.loads
    }


def _listed_elsewhere(day: Day) -> frozenset[Statement]:
    found: set[Statement] = set()
    for load in day.loads:
        found |= {statement("kit-machine", id=item.id) for item in load.machines}
        found |= {statement("kit-scale", id=item.id) for item in load.scales}
        found |= {statement("kit-cylinder", id=ride.cylinder.id) for ride in load.rides}
    return frozenset(found)


def kit_findings(day: Day, hookups: Mapping[str, Hookup]) -> dict[str, tuple[Finding, ...]]:
    """What the shop has too few of, by job.

    A stop for the job that comes last to a thing of which too few are left, with what would do instead; cautions for
    the two trucks that hand one over.
    """
    if not day.plans:
        return {}
    have, used_up = owned(day.plans[0].registers), _used_up(day)
    told: dict[str, list[Finding]] = {}
    names = dict.fromkeys(name for plan in day.plans for name, _ in hookups[plan.job.job].kit_list)
    for name in names:
        if name not in have:
            continue  # told as missing by the hookup itself
        # a job that stays at home anyway takes nothing from one that goes
        users = sorted(
            (plan for plan in day.plans if _needs(hookups, plan, name)),
            key=lambda plan: (_stays(plan, hookups), plan.job.start, plan.job.truck, plan.job.job),
        )
        check = (
            _used(name, users, have[name], hookups)
            if name in used_up
            else _at_once(name, users, have[name], day, hookups)
        )
        for job, item in check:
            told.setdefault(job, []).append(item)
    return {job: tuple(items) for job, items in told.items()}


def _stays(plan: Plan, hookups: Mapping[str, Hookup]) -> bool:
    found = (*plan.findings, *hookups[plan.job.job].findings)
    return any(item.severity == "stop" for item in found)


def _would_do(name: Statement, plan: Plan) -> str | Statement:
    """What any hose in the place of a short one must be; those of the kit that are left do not do (see `plan.day`)."""
    if plan.hoses is None:
        return ""
    wanted = [
        hose_words(item, plan.hoses) for item in plan.hoses.picked if not item.missing and hose_name(item.hose) == name
    ]
    if not wanted:
        return ""
    return statement("or-as-well", wanted=reduce(lambda one, other: statement("both", one=one, other=other), wanted))


def _used_up(day: Day) -> frozenset[Statement]:
    return frozenset(_drier(item.id) for plan in day.plans[:1] for item in plan.registers.equipment.kit.filter_driers)


def _needs(hookups: Mapping[str, Hookup], plan: Plan, name: Statement) -> int:
    return next((count for item, count in hookups[plan.job.job].kit_list if item == name), 0)


def _count(
    name: Statement, plans: list[Plan], day: Day, hookups: Mapping[str, Hookup], used_up: frozenset[Statement]
) -> int:
    needs = {plan.job.job: _needs(hookups, plan, name) for plan in plans}
    if name in used_up:
        return sum(needs.values())
    return max((sum(needs[span.job] for span in together) for together in _together(day, needs)), default=0)


def _together(day: Day, jobs: Mapping[str, int]) -> Iterator[list[Span]]:
    """For each job, the jobs that are on when it starts."""
    spans = [span for span in day.spans if span.job in jobs]
    for span in spans:
        yield [
            other for other in spans if other is span or (other.start_min <= span.start_min and other.overlaps(span))
        ]


def _used(
    name: Statement, users: list[Plan], have: int, hookups: Mapping[str, Hookup]
) -> Iterator[tuple[str, Finding]]:
    need = 0
    for plan in users:
        need += _needs(hookups, plan, name)
        if need > have:
            need -= _needs(hookups, plan, name)  # it stays at home, and the next may do
            yield plan.job.job, _short(name, have, need + _needs(hookups, plan, name), users, "", "")


def _at_once(
    name: Statement, users: list[Plan], have: int, day: Day, hookups: Mapping[str, Hookup]
) -> Iterator[tuple[str, Finding]]:
    """Job by job as they start: one that finds too few left is stopped, and takes nothing from those after it."""
    needs = {plan.job.job: _needs(hookups, plan, name) for plan in users}
    spans = {span.job: span for span in day.spans}
    going: list[Plan] = []
    for plan in users:
        span = spans[plan.job.job]
        on = [other for other in going if spans[other.job.job].overlaps(span)]
        need = needs[plan.job.job] + sum(needs[other.job.job] for other in on)
        if need <= have:
            going.append(plan)
            continue
        free_at = min((spans[other.job.job].end_min for other in on), default=None)
        later = statement("or-start-later", time=clock(free_at)) if free_at is not None else ""
        yield plan.job.job, _short(name, have, need, [*on, plan], later, _would_do(name, plan))
    if len(going) == len(users):
        yield from _handed_over(name, users, have, needs)


def _handed_over(
    name: Statement, users: list[Plan], have: int, needs: Mapping[str, int]
) -> Iterator[tuple[str, Finding]]:
    """In the order of the day, each truck keeps what it has; where that is not enough it comes from another."""
    held: dict[str, int] = {}
    last: dict[str, Plan] = {}
    for plan in users:
        truck, need = plan.job.truck, needs[plan.job.job]
        more = need - held.get(truck, 0)
        spare = have - sum(held.values())
        if more > spare:
            giver = next(other for other in last.values() if other.job.truck != truck)
            yield from hand_over(name, giver, plan)
            held[giver.job.truck] = max(0, held[giver.job.truck] - (more - spare))
        held[truck] = max(held.get(truck, 0), need)
        last.pop(truck, None)
        last[truck] = plan


def _short(  # noqa: PLR0917 - all that its sentence names
    name: Statement, have: int, need: int, users: list[Plan], later: str | Statement, instead: str | Statement
) -> Finding:
    who = ", ".join(f"{plan.job.job} ({plan.job.truck} {plan.job.start:%H:%M})" for plan in users)
    return finding(
        "kit-short-today",
        users[0].registers.shop.units,
        where="machines.yaml kit",
        what=name,
        have=have,
        need=need,
        short=need - have,
        who=who,
        later=later,
        instead=instead,
    )
