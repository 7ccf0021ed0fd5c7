"""`packet assign`: cylinders, a machine and a scale for every job of a day, from the register, by a stated measure.

What a cylinder may hold, and whether it is fit, is asked of the same planning that prints the packet, so that what is
proposed is what will pass. The choice itself is made by `assign_machines` and `assign_search`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from packet.assign.fetch import fetch_sentence
from packet.assign.fill import Demand, Measure, Share, Vessel
from packet.assign.machines import (
    MachineDemand,
    MachineMeasure,
    MachineOffer,
    MachineOutcome,
    assign_machines,
)
from packet.assign.offers import Shelves, Yard, cylinders_needed, short_list
from packet.assign.scales import ScaleOffer, Weighing, choose_scales
from packet.assign.search import SearchOutcome, search
from packet.ledger.state import CylinderState
from packet.plan.day import States, plan_day
from packet.plan.day_checks import gas_of
from packet.plan.day_model import Day
from packet.plan.job import plan_job
from packet.plan.method import PUSH_PULL_HEEL_LB
from packet.plan.model import Plan
from packet.refrigerant.own import MIXED, is_mixed
from packet.shop.checks import AUTO
from packet.shop.records import Cylinder, Job, Machine, Registers, Scale
from packet.words import t

MACHINE_STOPS = frozenset(
    {"machine-not-for-refrigerant", "machine-not-flammable-rated", "machine-pressure-too-low", "unknown-gas-may-burn"}
)


@dataclass(frozen=True, slots=True)
class Proposal:
    """What one job would get. fills: what goes into each cylinder, in order; served: there is room for all of it.

    better_scale: a scale with which the job would need fewer cylinders than with the one it gets, '' where none does.
    """

    job: Job
    machine: str
    scale: str
    cylinders: tuple[str, ...]
    fills: tuple[Share, ...]
    served: bool
    better_scale: str = ""

    @property
    def changes_machine(self) -> bool:
        """Whether the file names another machine."""
        return self.machine != self.job.machine

    @property
    def changes_scale(self) -> bool:
        """Whether the file names another scale."""
        return self.scale != self.job.scale

    @property
    def changes_cylinders(self) -> bool:
        """Whether the file names other cylinders, or these in another order."""
        return self.cylinders != self.job.cylinders

    def as_job(self) -> Job:
        """The job with what is proposed."""
        return self.job.model_copy(update={"machine": self.machine, "scale": self.scale, "cylinders": self.cylinders})


@dataclass(frozen=True, slots=True)
class Assignment:
    """A day's proposal. fetch: what to fetch for jobs that cannot be served, sentences by job.

    proven: no assignment is better by the measures (machines are chosen first, then scales). day: planned with the
    proposal. kept: jobs that stay as their files say. without_machine: why a job gets none, sentences by job.
    """

    proposals: tuple[Proposal, ...]
    machines: MachineMeasure
    measure: Measure
    proven: bool
    fetch: tuple[tuple[str, str], ...]
    day: Day
    kept: tuple[str, ...] = ()
    without_machine: tuple[tuple[str, str], ...] = ()


def assign_day(
    jobs: Iterable[Job],
    registers: Registers,
    states: States,
    *,
    tonight: States | None = None,
    filed: frozenset[str] = frozenset(),
    kept: frozenset[str] = frozenset(),
) -> Assignment:
    """Propose cylinders, a machine and a scale for every job of one date that is not filed. See `plan_day` for the
    arguments.

    kept: jobs that stay as they are (printed, or out): their machines and scales are busy while they are on, and their
    cylinders are theirs for the day. One with a blank is not kept. Raises ValueError as `plan_day` does.
    """
    todo = tuple(jobs)
    if not todo:
        raise ValueError("a day has jobs")
    kept = frozenset(job.job for job in todo if job.job in kept and not _has_blank(job))
    now = dict(states)
    riding: dict[str, str] = {}
    for job in todo:
        if job.job in filed:
            riding |= dict.fromkeys(job.cylinders, job.truck)
            now.update({name: (tonight or {})[name] for name in job.cylinders if name in (tonight or {})})
    reserved = {name for job in todo if job.job in kept for name in job.cylinders}
    unfiled = tuple(job for job in todo if job.job not in filed)
    open_jobs = tuple(job for job in unfiled if job.job not in kept)
    bare = _Bare(registers, now)
    machines = _machines(unfiled, bare, kept)
    with_any = tuple(_with_machine(job, machines) for job in unfiled)
    every = Yard(registers, now, todo[0].date)
    scales = choose_scales(tuple(_weighing(job, every, bare, kept) for job in with_any))
    with_machine = tuple(
        job.model_copy(update={"scale": scales.of(job.job) or job.scale}) for job in with_any if job.job not in kept
    )
    yard = Yard(registers, {name: state for name, state in now.items() if name not in reserved}, todo[0].date)
    vessels = {
        item.id: _vessel(item, now[item.id], riding.get(item.id))
        for item in registers.cylinders
        if item.id in yard.states
    }
    asked = tuple(_demand(job, bare, machines) for job in with_machine)
    demands, whole = _with_offers(asked, with_machine, yard, vessels)
    looked_at = {offer.cylinder for item in demands if item is not None for offer in item.offers}
    outcome = search(
        tuple(item for item in demands if item is not None),
        tuple(vessel for name, vessel in vessels.items() if name in looked_at),
    )
    proposals = _proposals(open_jobs, with_machine, demands, outcome)
    proposals = tuple(replace(item, better_scale=_better_scale(item, yard, bare)) for item in proposals)
    as_they_are = tuple(job for job in todo if job.job in filed or job.job in kept)
    return Assignment(
        proposals=proposals,
        machines=machines.measure,
        measure=outcome.measure,
        proven=whole and outcome.proven and machines.proven and scales.proven,
        fetch=tuple(
            (item.job, fetch_sentence(job, registers, item, outcome.evening, yard.offered(job)))
            for job, item in zip(with_machine, demands, strict=True)
            if item is not None and not outcome.of(item.job)
        ),
        day=plan_day(
            (*(item.as_job() for item in proposals), *as_they_are), registers, states, tonight=tonight, filed=filed
        ),
        kept=tuple(sorted(kept)),
        without_machine=tuple(
            (item.job.job, _why_no_machine(item.job, bare)) for item in proposals if item.machine == AUTO
        ),
    )


class _Bare:
    """Plans of jobs without their cylinders: how much there is to recover, how, and for how long.

    They are made from a register without cylinders, and without other machines, so that none are looked through as a way
    out. A job is planned once for machines and scales that differ in nothing but their names.
    """

    def __init__(self, registers: Registers, states: States) -> None:
        self.registers, self._states = registers, states
        none = registers.model_copy(update={"cylinders": ()})
        equipment = registers.equipment
        self._with = {
            item.id: none.model_copy(update={"equipment": equipment.model_copy(update={"machines": (item,)})})
            for item in equipment.machines
        }
        self._without = none.model_copy(update={"equipment": equipment.model_copy(update={"machines": ()})})
        self._machines = {item.id: _make_up(item) for item in equipment.machines}
        self._scales = {item.id: _make_up(item) for item in equipment.scales}
        self._found: dict[tuple[str, str, str], Plan] = {}

    def plan(self, job: Job) -> Plan:
        """The job's plan, in which machine or scale may be a twin of its own."""
        machine, scale = self._machines.get(job.machine, ""), self._scales.get(job.scale, "")
        key = (job.job, machine or job.machine, scale or job.scale)
        if key not in self._found:
            self._found[key] = self.own(job)
        return self._found[key]

    def own(self, job: Job) -> Plan:
        """The job's plan with its own machine and scale."""
        registers = self._with.get(job.machine, self._without)
        return plan_job(job.model_copy(update={"cylinders": ()}), registers, self._states)


def _make_up(item: Machine | Scale) -> str:
    """Everything that the register says of a machine or a scale, but for its name."""
    return item.model_dump_json(exclude={"id", "description"})


def _why_no_machine(job: Job, bare: _Bare) -> str:
    """What speaks against the machines of the register, or that those that would do are in use."""
    against: list[str] = []
    for machine in bare.registers.equipment.machines:
        plan = bare.own(job.model_copy(update={"machine": machine.id}))
        stops = [item.message for item in plan.findings if item.code in MACHINE_STOPS]
        if not stops:
            return t("Every machine that would do is in use at that time: start later, or hire one.")
        against += stops[:1]
    if not against:
        return t("There is no recovery machine in machines.yaml.")
    return " ".join((t("No machine of the register will do."), *against))


def _has_blank(job: Job) -> bool:
    return AUTO in {job.machine, job.scale} or not job.cylinders


def _machines(jobs: tuple[Job, ...], bare: _Bare, kept: frozenset[str]) -> MachineOutcome:
    demands, registers = [], bare.registers
    make_ups = {
        machine.id: machine.model_dump_json(exclude={"id", "description", "last_refrigerant"})
        for machine in registers.equipment.machines
    }
    for job in jobs:
        offers = []
        if job.job in kept:
            demands.append(_kept_demand(job, bare))
            continue
        gas = job.appliance.refrigerant
        minutes: dict[str, float | None] = {}  # by make-up: twins are planned once
        for machine in registers.equipment.machines:
            make_up = make_ups[machine.id]
            if make_up not in minutes:
                plan = bare.plan(job.model_copy(update={"machine": machine.id}))
                gas = gas_of(plan)
                refused = any(item.code in MACHINE_STOPS for item in plan.findings)
                minutes[make_up] = None if refused else sum(stage.minutes.value for stage in plan.times)
            takes = minutes[make_up]
            if takes is not None:
                offers.append(MachineOffer(machine.id, takes))
        start = job.start.hour * 60.0 + job.start.minute
        demands.append(MachineDemand(job.job, job.truck, gas, start, job.machine, tuple(offers)))
    return assign_machines(
        tuple(demands), {machine.id: machine.last_refrigerant for machine in registers.equipment.machines}
    )


def _kept_demand(job: Job, bare: _Bare) -> MachineDemand:
    """A job that keeps its machine, whether it is fit or not."""
    plan = bare.plan(job)
    minutes = sum(stage.minutes.value for stage in plan.times)
    there = job.machine in {item.id for item in bare.registers.equipment.machines}
    offers = (MachineOffer(job.machine, minutes),) if there else ()
    return MachineDemand(job.job, job.truck, gas_of(plan), _start_min(job), job.machine, offers)


def _start_min(job: Job) -> float:
    return job.start.hour * 60.0 + job.start.minute


def _weighing(job: Job, yard: Yard, bare: _Bare, kept: frozenset[str]) -> Weighing:
    """What a job asks of a scale: how long it is busy, and how many cylinders the job needs with each."""
    scales = {item.id: item for item in yard.registers.equipment.scales}
    # how much there is to recover, and for how long, does not depend on which scale it is; only that there is one
    some = job if job.scale in scales else job.model_copy(update={"scale": next(iter(scales), AUTO)})
    plan = bare.plan(some)
    minutes = sum(stage.minutes.value for stage in plan.times)
    chosen: tuple[ScaleOffer, ...] = ()
    if job.job in kept or plan.expected_max_lb is None:
        chosen = (ScaleOffer(job.scale, 0, 0.0),) if job.scale in scales else ()
    elif job.scale in scales:
        # one that weighs as much in steps as fine does as well; what the file names comes first
        now = scales[job.scale]
        fits = [
            item
            for item in scales.values()
            if item.capacity_lb >= now.capacity_lb and item.resolution_lb <= now.resolution_lb
        ]
        chosen = tuple(ScaleOffer(item.id, 0, item.resolution_lb) for item in fits)
    else:
        chosen = _scale_offers(job, yard, plan.expected_max_lb.value)
    return Weighing(job.job, job.truck, _start_min(job), minutes, job.scale, chosen)


def _scale_offers(job: Job, yard: Yard, need_lb: float) -> tuple[ScaleOffer, ...]:
    found = []
    counts: dict[tuple[float, float], int | None] = {}  # by make-up: twins are weighed once
    for scale in yard.registers.equipment.scales:
        make_up = (scale.capacity_lb, scale.resolution_lb)
        if make_up not in counts:
            counts[make_up] = cylinders_needed(yard.offered(job.model_copy(update={"scale": scale.id})), need_lb)
        count = counts[make_up]
        if count is not None:
            found.append(ScaleOffer(scale.id, count, scale.resolution_lb))
    return tuple(found)


def _better_scale(item: Proposal, yard: Yard, bare: _Bare) -> str:
    """The scale that would do with fewer cylinders, where the job's own is the limit."""
    scales = yard.registers.equipment.scales
    own = next((one for one in scales if one.id == item.scale), None)
    most = max(scales, key=lambda one: (one.capacity_lb, one.id), default=None)
    if own is None or most is None or most.capacity_lb <= own.capacity_lb:
        return ""
    plan = bare.plan(item.as_job())
    if plan.expected_max_lb is None:
        return ""
    with_own = cylinders_needed(yard.offered(item.job.model_copy(update={"scale": own.id})), plan.expected_max_lb.value)
    if with_own == 1:
        return ""
    with_most = cylinders_needed(
        yard.offered(item.job.model_copy(update={"scale": most.id})), plan.expected_max_lb.value
    )
    return most.id if with_most is not None and (with_own is None or with_most < with_own) else ""


def _with_machine(job: Job, machines: MachineOutcome) -> Job:
    offer = machines.of(job.job)
    return job if offer is None else job.model_copy(update={"machine": offer.machine})


def _demand(job: Job, bare: _Bare, machines: MachineOutcome) -> Demand | None:
    """The job as the search sees it, without offers yet; None where its plan says nothing of how much there is to recover."""
    plan = bare.plan(job)
    if plan.to_recover_lb is None or plan.expected_max_lb is None:
        return None
    push_pull = plan.method is not None and plan.method.chosen == "push-pull"
    start = job.start.hour * 60.0 + job.start.minute
    offer = machines.of(job.job)
    minutes = offer.minutes if offer else sum(stage.minutes.value for stage in plan.times)
    return Demand(
        job=job.job,
        truck=job.truck,
        gas=MIXED if is_mixed(gas_of(plan)) else gas_of(plan),
        need_lb=plan.expected_max_lb.value,
        planned_lb=plan.to_recover_lb.value,
        start_min=start,
        end_min=start + minutes,
        offers=(),
        alone=job.work.burnout,
        present=job.cylinders,
        fast_heel_lb=PUSH_PULL_HEEL_LB if push_pull else None,
    )


def _with_offers(
    asked: tuple[Demand | None, ...], jobs: tuple[Job, ...], yard: Yard, vessels: Mapping[str, Vessel]
) -> tuple[tuple[Demand | None, ...], bool]:
    """The demands with what the search looks at for each, and whether nothing else could be of use to any."""
    found: list[Demand | None] = []
    shelves, every = Shelves(vessels), True
    for demand, job in zip(asked, jobs, strict=True):
        if demand is None:
            found.append(None)
            continue
        offers, whole = short_list(yard.offered(job), demand, shelves, len(asked) - 1)
        found.append(replace(demand, offers=offers))
        every = every and whole
    return tuple(found), every


def _vessel(item: Cylinder, state: CylinderState, truck: str | None) -> Vessel:
    gas = MIXED if is_mixed(state.refrigerant) or is_mixed(item.refrigerant) else state.refrigerant
    return Vessel(item.id, item.tare_lb, gas, state.contents_lb, truck)


def _proposals(
    jobs: tuple[Job, ...], with_machine: tuple[Job, ...], demands: tuple[Demand | None, ...], outcome: SearchOutcome
) -> tuple[Proposal, ...]:
    """One a job. A job that cannot be served keeps what its file names, but for what another job now needs."""
    taken = {fill.cylinder for _, fills in outcome.fills for fill in fills}
    found = []
    for job, changed, demand in zip(jobs, with_machine, demands, strict=True):
        fills = outcome.of(job.job) if demand is not None else ()
        if fills:
            cylinders = tuple(fill.cylinder for fill in fills)
        else:
            cylinders = tuple(name for name in job.cylinders if name not in taken)
        found.append(Proposal(job, changed.machine, changed.scale, cylinders, fills, served=bool(fills)))
    return tuple(found)
