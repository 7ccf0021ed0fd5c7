"""Which recovery machine goes on which job of a day: fit, in one place at a time, and with the fewest changes of gas."""

import math
from dataclasses import dataclass
from typing import NamedTuple

from packet.assign.walk import Walk, walked


@dataclass(frozen=True, slots=True)
class MachineOffer:
    """A machine fit for a job, and the minutes the job is estimated to take with it."""

    machine: str
    minutes: float


@dataclass(frozen=True, slots=True)
class MachineDemand:
    """A job that needs a machine, minutes of the day for its start. present: the one its file names."""

    job: str
    truck: str
    gas: str
    start_min: float
    present: str
    offers: tuple[MachineOffer, ...]


class MachineMeasure(NamedTuple):
    """What is made small, the first part first.

    without: jobs for which no machine is left. handed_over: machines that go from one truck to another during the day.
    changes: changes of refrigerant in a machine, each a clearing and a new drier. changed: jobs whose file would
    change. minutes: of all jobs together, in whole minutes.
    """

    without: int
    handed_over: int
    changes: int
    changed: int
    minutes: int


NOTHING = MachineMeasure(0, 0, 0, 0, 0)
NONE_LEFT = MachineMeasure(1, 0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class MachineOutcome:
    """The best found: machine and minutes by job, None where there is none. proven: nothing better exists."""

    chosen: tuple[tuple[str, MachineOffer | None], ...]
    measure: MachineMeasure
    proven: bool

    def of(self, job: str) -> MachineOffer | None:
        """One job's machine."""
        return dict(self.chosen)[job]


@dataclass(frozen=True, slots=True)
class _Now:
    gas: str | None
    truck: str | None = None
    free_at_min: float = -math.inf


def assign_machines(
    demands: tuple[MachineDemand, ...], held: dict[str, str | None], budget: int = 20_000
) -> MachineOutcome:
    """The best assignment by `MachineMeasure`. held: what each machine last held, None when it is clear.

    What the files name, where that will do, is the first answer to beat. Then jobs in the order of the day, each with
    every machine; a way is left when it is no better than the best so far.
    budget: how many choices are looked at before giving up the proof.
    """
    search = _Search(tuple(sorted(demands, key=lambda item: (item.start_min, item.job))), budget)
    return search.run({name: _Now(gas) for name, gas in held.items()})


class _Search:
    def __init__(self, demands: tuple[MachineDemand, ...], budget: int) -> None:
        self.demands = demands
        self.budget = budget
        self.looks = 0
        self.best = NOTHING
        self.chosen: tuple[MachineOffer | None, ...] = ()

    def run(self, now: dict[str, _Now]) -> MachineOutcome:
        self._dive(now)
        proven = walked(self._from, 0, now, NOTHING, ())
        pairs = zip(self.demands, self.chosen, strict=True)
        return MachineOutcome(tuple((item.job, offer) for item, offer in pairs), self.best, proven)

    def _from(
        self, index: int, now: dict[str, _Now], so_far: MachineMeasure, chosen: tuple[MachineOffer | None, ...]
    ) -> Walk:
        if so_far >= self.best:
            return True
        if index == len(self.demands):
            self.best, self.chosen = so_far, chosen
            return True
        demand = self.demands[index]
        for added, offer in _ways(demand, now):
            self.looks += 1
            if self.looks > self.budget:
                return False
            if not (yield index + 1, _after(demand, offer, now), _plus(so_far, added), (*chosen, offer)):
                return False
        return (yield index + 1, now, _plus(so_far, NONE_LEFT), (*chosen, None))

    def _dive(self, now: dict[str, _Now]) -> None:
        total = NOTHING
        chosen: list[MachineOffer | None] = []
        for demand in self.demands:
            ways = _ways(demand, now)
            named = [way for way in ways if way[1].machine == demand.present]
            if not ways:
                total, chosen = _plus(total, NONE_LEFT), [*chosen, None]
                continue
            added, offer = (named or ways)[0]
            now = _after(demand, offer, now)
            total, chosen = _plus(total, added), [*chosen, offer]
        self.best, self.chosen = total, tuple(chosen)


def _ways(demand: MachineDemand, now: dict[str, _Now]) -> list[tuple[MachineMeasure, MachineOffer]]:
    """The machines that are free for a job, the cheapest first."""
    found = ((_added(demand, offer, now[offer.machine]), offer) for offer in demand.offers)
    free = [(added, offer) for added, offer in found if added is not None]
    return sorted(free, key=lambda way: (way[0], way[1].machine))


def _after(demand: MachineDemand, offer: MachineOffer, now: dict[str, _Now]) -> dict[str, _Now]:
    return now | {offer.machine: _Now(demand.gas, demand.truck, demand.start_min + offer.minutes)}


def _added(demand: MachineDemand, offer: MachineOffer, now: _Now) -> MachineMeasure | None:
    if now.free_at_min > demand.start_min:
        return None
    return MachineMeasure(
        without=0,
        handed_over=int(now.truck not in {None, demand.truck}),
        changes=int(now.gas not in {None, demand.gas}),
        changed=int(offer.machine != demand.present),
        minutes=round(offer.minutes),
    )


def _plus(one: MachineMeasure, other: MachineMeasure) -> MachineMeasure:
    return MachineMeasure(*(a + b for a, b in zip(one, other, strict=True)))
