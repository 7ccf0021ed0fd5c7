"""The kit of a day, counted: what each truck takes along, and whether the shop has that many.

A hookup names what it takes (packet.hookup.kit). Jobs of a truck that follow one another share it; a filter-drier is
used up. What two trucks need on the same day but not at the same time can be handed over.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from typing import TypeAlias, TypeVar

from packet.findings import Finding, finding
from packet.hookup.kit import DETECTOR, RATED_DETECTOR, hose_name
from packet.hookup.model import Hookup
from packet.plan.day_checks import clock, hand_over
from packet.plan.day_model import Day, Span
from packet.plan.hoses import hose_words
from packet.plan.kit_left import less
from packet.plan.model import Plan
from packet.shop.records import Fitting, Kit, Manifold, Registers
from packet.statements import Amount, Statement, statement, thing
from packet.words import N_

Part = TypeVar("Part", Manifold, Fitting)
# makes a job's hookup again from the kit that is left: whether it goes with that
Again: TypeAlias = Callable[[Plan, Kit], bool]


TEE, PIERCING, CORE_TOOL = thing(N_("tee with a valve")), thing(N_("piercing valve")), thing(N_("core tool"))
PUMP = thing(N_("vacuum pump"))
RATED_PUMP = thing(N_("vacuum pump, rated for flammable refrigerant"))
MICRON_GAUGE, ABSOLUTE_GAUGE = thing(N_("micron gauge")), thing(N_("absolute gauge"))
IDENTIFIER, NITROGEN = thing(N_("refrigerant identifier")), thing(N_("oxygen-free nitrogen with regulator"))
# what is rated for flammable refrigerant serves any other as well
PLAIN: Mapping[Statement, Statement] = {RATED_PUMP: PUMP, RATED_DETECTOR: DETECTOR}
LOOSE = frozenset({TEE, PIERCING, CORE_TOOL})  # taken by what they stand, whatever the make-up

# By thing: how many there are of each class. A class is a rating, psig, for what is loose; 1 for what is rated for
# flammable refrigerant; else 0. What is of a higher class serves where a lower one would.
Stock: TypeAlias = Mapping[Statement, tuple[tuple[float, int], ...]]


def stock(kit: Kit) -> Stock:
    """How many there are of each thing, by the name that a hookup's kit list gives it."""
    found: dict[Statement, list[tuple[float, int]]] = {}

    def put(name: Statement, count: int, kind: float = 0.0) -> None:
        found.setdefault(name, []).append((kind, count))

    for hose in kit.hoses:
        put(hose_name(hose), hose.count)
    for manifold in kit.manifolds:
        put(_manifold(manifold), manifold.count)
    for drier in kit.filter_driers:
        put(_drier(drier.id), drier.count)
    for glass in kit.sight_glasses:
        put(_glass(glass.id), glass.count)
    for header in kit.headers:
        put(_header(header.id), header.count)
    for name, fittings in ((TEE, kit.tees), (PIERCING, kit.piercing_valves), (CORE_TOOL, kit.core_tools)):
        put(name, 0)
        for item in fittings:
            put(name, item.count, item.rating_psig)
    for name, count, rated in (
        (PUMP, kit.vacuum_pumps, kit.flammable_rated_vacuum_pumps),
        (DETECTOR, kit.detectors, kit.flammable_rated_detectors),
    ):
        put(name, max(0, count - rated))
        put(name, rated, 1.0)
    put(MICRON_GAUGE, kit.micron_gauges)
    put(ABSOLUTE_GAUGE, kit.absolute_gauges)
    put(IDENTIFIER, kit.identifiers)
    put(NITROGEN, kit.nitrogen)
    return {name: tuple(counts) for name, counts in found.items()}


# what somebody has of each thing, and what it must stand, psig
Taken: TypeAlias = tuple[Mapping[Statement, int], float]


def kit_left(kit: Kit, taken: Sequence[Taken], gone: Mapping[Statement, int], others: "_Others | None" = None) -> Kit:
    """What is left of a kit (hoses and core tools apart, see `plan.day`) while others have theirs.

    gone: what was taken so far, of which the filter-driers do not come back. others: who else has some of it.
    """
    out = Counter[Statement]() if others is None else others.things.copy()
    tees, piercing = kit.tees, kit.piercing_valves
    for took, least_psig in (*(() if others is None else others.rated), *taken):
        tees, piercing = less(tees, took.get(TEE, 0), least_psig), less(piercing, took.get(PIERCING, 0), least_psig)
    for took, _ in taken:
        out.update(took)

    def counted(name: Statement, count: int, of: Mapping[Statement, int] = out) -> int:
        return max(0, count - of.get(name, 0))

    def rated(all_of_them: int, those: int, plain: Statement, name: Statement) -> int:
        return max(0, min(those - out[name], all_of_them - out[name] - out[plain]))

    return kit.model_copy(
        update={
            "manifolds": tuple(_of(item, counted(_manifold(item), item.count)) for item in kit.manifolds),
            "sight_glasses": tuple(_of(item, counted(_glass(item.id), item.count)) for item in kit.sight_glasses),
            "filter_driers": tuple(_of(item, counted(_drier(item.id), item.count, gone)) for item in kit.filter_driers),
            "headers": tuple(_of(item, counted(_header(item.id), item.count)) for item in kit.headers),
            "tees": tees,
            "piercing_valves": piercing,
            "vacuum_pumps": max(0, kit.vacuum_pumps - out[PUMP] - out[RATED_PUMP]),
            "flammable_rated_vacuum_pumps": rated(kit.vacuum_pumps, kit.flammable_rated_vacuum_pumps, PUMP, RATED_PUMP),
            "detectors": max(0, kit.detectors - out[DETECTOR] - out[RATED_DETECTOR]),
            "flammable_rated_detectors": rated(kit.detectors, kit.flammable_rated_detectors, DETECTOR, RATED_DETECTOR),
            "micron_gauges": counted(MICRON_GAUGE, kit.micron_gauges),
            "absolute_gauges": counted(ABSOLUTE_GAUGE, kit.absolute_gauges),
            "identifiers": counted(IDENTIFIER, kit.identifiers),
            "nitrogen": counted(NITROGEN, kit.nitrogen),
        }
    )


def _of(item: Part, count: int) -> Part:
    return item.model_copy(update={"count": count})


def _manifold(manifold: Manifold) -> Statement:
    return statement("kit-manifold", id=manifold.id, valves=manifold.valves)


def _glass(name: str) -> Statement:
    return statement("kit-sight-glass", id=name)


def _header(name: str) -> Statement:
    return statement("kit-header", id=name)


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


def kit_findings(
    day: Day, hookups: Mapping[str, Hookup], registers: Registers, again: Again | None = None
) -> dict[str, tuple[Finding, ...]]:
    """What the shop has too few of, by job. registers: with the whole kit.

    Job by job as they start: one that finds too little left is made again with what is left (`again`, which puts its new
    hookup among `hookups` and says whether it goes with that); so is one that would take over from another truck what
    something else does as well. Where nothing left does, it is stopped, with what would do instead, and takes nothing
    from those after it. Cautions for the two trucks that hand a thing over.
    """
    have, spans, needs = stock(registers.equipment.kit), {span.job: span for span in day.spans}, _Needs(hookups)
    driers = {_drier(item.id) for item in registers.equipment.kit.filter_driers}
    told: dict[str, list[Finding]] = {}
    going: list[Plan] = []
    gone: Counter[Statement] = Counter()
    aboard, at_once, ever = _Aboard(), _InUse(needs), _InUse(needs)
    # a job that stays at home anyway takes nothing from one that goes
    for plan in sorted(
        day.plans,
        key=lambda plan: (_stays(plan, hookups), plan.job.start, plan.job.truck, plan.job.job),
    ):
        job, stays = plan.job.job, _stays(plan, hookups)
        on = [other for other in going if spans[other.job.job].overlaps(spans[job])]
        at_once.become(on)

        def short(plan: Plan = plan) -> list[_Short]:
            found = (
                _too_few(name, plan, (ever if name in driers else at_once).of(name), have, needs)
                for name in needs(plan)
                if name in have  # else told as missing by the hookup itself
            )
            return [item for item in found if item is not None]

        if again is not None and not stays:
            kit = plan.registers.equipment.kit
            mine = [_taken(other, hookups) for other in on if other.job.truck == plan.job.truck]
            apart = kit_left(kit, mine, gone, aboard.but(plan.job.truck))
            if not _has_all(plan, apart, needs) and not again(plan, apart) and short():
                again(plan, kit_left(kit, [_taken(other, hookups) for other in on], gone))
        for item in short():
            users = [*(other for other in (going if item.name in driers else on) if item.takes(other, needs)), plan]
            told.setdefault(job, []).append(item.told(users, None if item.name in driers else spans, plan))
        if not stays and job not in told:
            going.append(plan)
            taken = _taken(plan, hookups)
            gone.update(taken[0])
            aboard.add(plan.job.truck, taken)
            ever.add(plan)
    for name in dict.fromkeys(name for plan in going for name in needs(plan)):
        if name in have and name not in driers:
            for of, caution in _all_handed_over(name, going, have[name], needs):
                if caution not in told.setdefault(of, []):
                    told[of].append(caution)
    return {job: tuple(items) for job, items in told.items() if items}


def _taken(plan: Plan, hookups: Mapping[str, Hookup]) -> Taken:
    return dict(hookups[plan.job.job].kit_list), _least_psig(plan)


@dataclass(frozen=True, slots=True)
class _Others:
    """What other trucks have: how many of each thing, and what each has of those that are taken by what they stand."""

    things: Counter[Statement]
    rated: tuple[Taken, ...]


@dataclass(slots=True)
class _Aboard:
    """What each truck has by now: the most of each thing that one of its jobs took. Added up as they take it, since a
    large day has a hundred trucks.
    """

    trucks: dict[str, Counter[Statement]] = field(default_factory=dict)
    least_psig: dict[str, float] = field(default_factory=dict)
    all_of_them: Counter[Statement] = field(default_factory=Counter)

    def add(self, truck: str, taken: Taken) -> None:
        """Another job of the truck's takes this."""
        things, least_psig = taken
        held = self.trucks.setdefault(truck, Counter())
        for name, count in things.items():
            more = max(0, count - held[name])
            held[name] += more
            self.all_of_them[name] += more
        self.least_psig[truck] = max(self.least_psig.get(truck, 0.0), least_psig)

    def but(self, truck: str) -> _Others:
        """What all trucks but this one have."""
        things = self.all_of_them.copy()
        things.subtract(self.trucks.get(truck, {}))
        rated = tuple(
            (held, self.least_psig[name])
            for name, held in self.trucks.items()
            if name != truck and (held[TEE] or held[PIERCING])
        )
        return _Others(things, rated)


@dataclass(slots=True)
class _InUse:
    """What some jobs need together: of each thing, how many of which class. Jobs come and go; nothing is added up anew."""

    needs: "_Needs"
    jobs: dict[str, Plan] = field(default_factory=dict)
    counts: dict[Statement, Counter[float]] = field(default_factory=dict)

    def of(self, name: Statement) -> Mapping[float, int]:
        """How many of a thing, by class; only classes of which there are some."""
        return {kind: count for kind, count in self.counts.get(name, {}).items() if count}

    def add(self, plan: Plan) -> None:
        """One more job."""
        self.jobs[plan.job.job] = plan
        for name, (kind, count) in self.needs(plan).items():
            self.counts.setdefault(name, Counter())[kind] += count

    def become(self, plans: Iterable[Plan]) -> None:
        """These jobs and no others."""
        wanted = {plan.job.job: plan for plan in plans}
        for job in self.jobs.keys() - wanted.keys():
            for name, (kind, count) in self.needs(self.jobs.pop(job)).items():
                self.counts[name][kind] -= count
        for job in wanted.keys() - self.jobs.keys():
            self.add(wanted[job])


@dataclass(frozen=True, slots=True)
class _Needs:
    """By thing, of which class or a higher one a job needs how many; kept until its hookup is another one."""

    hookups: Mapping[str, Hookup]
    kept: dict[str, tuple[Plan, Hookup, dict[Statement, tuple[float, int]]]] = field(default_factory=dict)

    def __call__(self, plan: Plan) -> dict[Statement, tuple[float, int]]:
        """What one job needs."""
        job = plan.job.job
        before = self.kept.get(job)
        if before is not None and before[0] is plan and before[1] is self.hookups[job]:
            return before[2]
        found = {}
        for name, count in self.hookups[job].kit_list:
            least = _least_psig(plan) if name in LOOSE else 1.0 if name in PLAIN else 0.0
            found[PLAIN.get(name, name)] = (least, count)
        self.kept[job] = (plan, self.hookups[job], found)
        return found


def _has_all(plan: Plan, kit: Kit, needs: _Needs) -> bool:
    """Whether all that a job takes is in a kit, as far as that is counted."""
    have = stock(kit)
    return all(_too_few(name, plan, {}, have, needs) is None for name in needs(plan) if name in have)


def _least_psig(plan: Plan) -> float:
    return plan.hoses.least_psig if plan.hoses else 0.0


def _there(counts: Iterable[tuple[float, int]], least: float) -> int:
    return sum(count for kind, count in counts if kind >= least)


@dataclass(frozen=True, slots=True)
class _Short:
    """A thing of which too few are left for a job. least: the class that is short, or a higher one; shown: how it is said."""

    name: Statement
    least: float
    shown: Statement
    have: int
    need: int

    def takes(self, plan: Plan, needs: _Needs) -> bool:
        """Whether a job has some of it."""
        kind, count = needs(plan).get(self.name, (0.0, 0))
        return kind >= self.least and count > 0

    def told(self, users: list[Plan], spans: Mapping[str, Span] | None, plan: Plan) -> Finding:
        """What the last of its users is told. spans: None for what is used up."""
        later: str | Statement = ""
        free = [spans[other.job.job].end_min for other in users if other is not plan] if spans else []
        if free:
            later = statement("or-start-later", time=clock(min(free)))
        return _short(self.shown, self.have, self.need, users, later, _would_do(self.name, plan))


def _too_few(name: Statement, plan: Plan, others: Mapping[float, int], have: Stock, needs: _Needs) -> _Short | None:
    """What a job finds too few of, beside what others have of it by class: of its own class, or of a lower one that it
    would take from.
    """
    own, mine = needs(plan)[name]
    for least in sorted({own, *(kind for kind in others if kind <= own)}, reverse=True):
        need, there = mine + _there(others.items(), least), _there(have[name], least)
        if need > there:
            return _Short(name, least, _shown(name, least, have[name]), there, need)
    return None


def _shown(name: Statement, least: float, counts: tuple[tuple[float, int], ...]) -> Statement:
    """A thing as it is said: with its class, where the shop has others that do not do."""
    if name in LOOSE and _there(counts, least) < _there(counts, 0.0):
        rating = statement("rated-at-least", pressure=Amount(least, "pressure"))
        return statement("of-a-rating", what=name, rating=rating)
    rated = {plain: rated for rated, plain in PLAIN.items()}
    return rated[name] if least and name in rated else name


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


def _takes(hookups: Mapping[str, Hookup], plan: Plan, name: Statement) -> int:
    return next((count for item, count in hookups[plan.job.job].kit_list if item == name), 0)


def _count(
    name: Statement, plans: list[Plan], day: Day, hookups: Mapping[str, Hookup], used_up: frozenset[Statement]
) -> int:
    needs = {plan.job.job: _takes(hookups, plan, name) for plan in plans}
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


def _all_handed_over(
    name: Statement, going: list[Plan], counts: tuple[tuple[float, int], ...], wanted: _Needs
) -> Iterator[tuple[str, Finding]]:
    """The hand-overs of a thing, of each of its classes."""
    users = [plan for plan in going if name in wanted(plan)]
    for least in sorted({wanted(plan)[name][0] for plan in users}, reverse=True):
        of_class = [plan for plan in users if wanted(plan)[name][0] >= least]
        needs = {plan.job.job: wanted(plan)[name][1] for plan in of_class}
        yield from _handed_over(_shown(name, least, counts), of_class, _there(counts, least), needs)


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
