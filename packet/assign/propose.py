"""`packet assign`: cylinders and a machine for every job of a day, from the register, by a stated measure.

What a cylinder may hold, and whether it is fit, is asked of the same planning that prints the packet, so that what is
proposed is what will pass. The choice itself is made by `assign_machines` and `assign_search`.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from packet.assign.fetch import fetch_sentence
from packet.assign.fill import Demand, Measure, Offer, Share, Vessel
from packet.assign.machines import (
    MachineDemand,
    MachineMeasure,
    MachineOffer,
    MachineOutcome,
    assign_machines,
)
from packet.assign.search import Outcome, search
from packet.findings import Finding
from packet.ledger.state import CylinderState
from packet.plan.case import Case, look_up, site_barometer
from packet.plan.cylinder import weights
from packet.plan.day import States, plan_day
from packet.plan.day_checks import gas_of
from packet.plan.day_model import Day
from packet.plan.evacuation import classify, plan_evacuation
from packet.plan.fit import refusals, stops
from packet.plan.job import gas_of as job_gas
from packet.plan.job import plan_job
from packet.plan.method import PUSH_PULL_HEEL_LB
from packet.plan.model import Plan
from packet.plan.setting import Ways
from packet.plan.space import plan_space
from packet.refrigerant.own import MIXED, is_mixed
from packet.shop.records import Cylinder, Job, Registers

MACHINE_STOPS = frozenset(
    {"machine-not-for-refrigerant", "machine-not-flammable-rated", "machine-pressure-too-low", "unknown-gas-may-burn"}
)


@dataclass(frozen=True, slots=True)
class Proposal:
    """What one job would get. fills: what goes into each cylinder, in order; served: there is room for all of it."""

    job: Job
    machine: str
    cylinders: tuple[str, ...]
    fills: tuple[Share, ...]
    served: bool

    @property
    def changes_machine(self) -> bool:
        """Whether the file names another machine."""
        return self.machine != self.job.machine

    @property
    def changes_cylinders(self) -> bool:
        """Whether the file names other cylinders, or these in another order."""
        return self.cylinders != self.job.cylinders

    def as_job(self) -> Job:
        """The job with what is proposed."""
        return self.job.model_copy(update={"machine": self.machine, "cylinders": self.cylinders})


@dataclass(frozen=True, slots=True)
class Assignment:
    """A day's proposal. fetch: what to fetch for jobs that cannot be served, sentences by job.

    proven: no assignment is better by the two measures (machines are chosen first). day: planned with the proposal.
    """

    proposals: tuple[Proposal, ...]
    machines: MachineMeasure
    measure: Measure
    proven: bool
    fetch: tuple[tuple[str, str], ...]
    day: Day


def assign_day(
    jobs: Iterable[Job],
    registers: Registers,
    states: States,
    *,
    tonight: States | None = None,
    filed: frozenset[str] = frozenset(),
) -> Assignment:
    """Propose cylinders and a machine for every job of one date that is not filed. See `plan_day` for the arguments.

    Raises ValueError as `plan_day` does.
    """
    todo = tuple(jobs)
    now = dict(states)
    riding: dict[str, str] = {}
    for job in todo:
        if job.job in filed:
            riding |= dict.fromkeys(job.cylinders, job.truck)
            now.update({name: (tonight or {})[name] for name in job.cylinders if name in (tonight or {})})
    open_jobs = tuple(job for job in todo if job.job not in filed)
    machines = _machines(open_jobs, registers, now)
    with_machine = tuple(_with_machine(job, machines) for job in open_jobs)
    demands = tuple(_demand(job, registers, now, machines) for job in with_machine)
    known = tuple(_vessel(item, now[item.id], riding.get(item.id)) for item in registers.cylinders if item.id in now)
    outcome = search(tuple(item for item in demands if item is not None), known)
    proposals = _proposals(open_jobs, with_machine, demands, outcome)
    kept = tuple(job for job in todo if job.job in filed)
    return Assignment(
        proposals=proposals,
        machines=machines.measure,
        measure=outcome.measure,
        proven=outcome.proven and machines.proven,
        fetch=tuple(
            (item.job, fetch_sentence(job, registers, item, outcome.evening))
            for job, item in zip(with_machine, demands, strict=True)
            if item is not None and not outcome.of(item.job)
        ),
        day=plan_day((*(item.as_job() for item in proposals), *kept), registers, states, tonight=tonight, filed=filed),
    )


def _machines(jobs: tuple[Job, ...], registers: Registers, states: States) -> MachineOutcome:
    demands = []
    for job in jobs:
        offers = []
        gas = job.appliance.refrigerant
        minutes: dict[str, float | None] = {}  # by make-up: twins are planned once
        for machine in registers.equipment.machines:
            make_up = machine.model_dump_json(exclude={"id", "description", "last_refrigerant"})
            if make_up not in minutes:
                plan = _bare_plan(job.model_copy(update={"machine": machine.id}), registers, states)
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


def _bare_plan(job: Job, registers: Registers, states: States) -> Plan:
    """The job's plan without cylinders; from a register without any, so that none are looked through as a way out."""
    none = registers.model_copy(update={"cylinders": ()})
    return plan_job(job.model_copy(update={"cylinders": ()}), none, states)


def _with_machine(job: Job, machines: MachineOutcome) -> Job:
    offer = machines.of(job.job)
    return job if offer is None else job.model_copy(update={"machine": offer.machine})


def _demand(job: Job, registers: Registers, states: States, machines: MachineOutcome) -> Demand | None:
    """The job as the search sees it; None where its plan says nothing of how much there is to recover."""
    bare = _bare_plan(job, registers, states)
    if bare.to_recover_lb is None or bare.expected_max_lb is None:
        return None
    push_pull = bare.method is not None and bare.method.chosen == "push-pull"
    start = job.start.hour * 60.0 + job.start.minute
    offer = machines.of(job.job)
    minutes = offer.minutes if offer else sum(stage.minutes.value for stage in bare.times)
    return Demand(
        job=job.job,
        truck=job.truck,
        gas=MIXED if is_mixed(gas_of(bare)) else gas_of(bare),
        need_lb=bare.expected_max_lb.value,
        planned_lb=bare.to_recover_lb.value,
        start_min=start,
        end_min=start + minutes,
        offers=_offers(job, registers, states),
        alone=job.work.burnout,
        present=job.cylinders,
        fast_heel_lb=PUSH_PULL_HEEL_LB if push_pull else None,
    )


def _offers(job: Job, registers: Registers, states: States) -> tuple[Offer, ...]:
    """The cylinders fit for the job, contents aside, and how much each may hold there at its stop weight.

    Fitness and weights are those that `plan_job` prints. A cylinder without both valves would turn a push-pull job to
    another method, and with it what has to be kept free for clearing.
    """
    gas = job_gas(job)
    if isinstance(gas, Finding):
        return ()
    # what is in a cylinder is the search's business: as if all were empty. For unknown gas it decides what is fit.
    catalogued = gas.refrigerant is not None and not gas.refrigerant.own
    empty = {name: CylinderState(name, None, 0.0) for name in states} if catalogued else states
    bare = job.model_copy(update={"cylinders": ()})
    case = Case(bare, registers, empty, frozenset(), look_up(bare, registers, empty), gas, site_barometer(job))
    if case.named.scale is None:
        return ()
    classified = classify(gas, job)
    low = plan_evacuation(case, classified)[0].pressure_class == "low"
    ways = Ways(case, case.named.scale, classified.classes, plan_space(case)[0], low)
    found = []
    for cylinder in registers.cylinders:
        if cylinder.id not in states:
            continue
        setting = ways.setting(((cylinder, empty[cylinder.id]),))
        if not stops(refusals(cylinder, empty[cylinder.id], setting)):
            own = weights(cylinder, empty[cylinder.id], setting)
            limit = own.stop_gross_lb.value - cylinder.tare_lb
            if limit > 0:
                found.append(Offer(cylinder.id, limit, fast="push-pull" in setting.stages))
    return tuple(found)


def _vessel(item: Cylinder, state: CylinderState, truck: str | None) -> Vessel:
    gas = MIXED if is_mixed(state.refrigerant) or is_mixed(item.refrigerant) else state.refrigerant
    return Vessel(item.id, item.tare_lb, gas, state.contents_lb, truck)


def _proposals(
    jobs: tuple[Job, ...], with_machine: tuple[Job, ...], demands: tuple[Demand | None, ...], outcome: Outcome
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
        found.append(Proposal(job, changed.machine, cylinders, fills, served=bool(fills)))
    return tuple(found)
