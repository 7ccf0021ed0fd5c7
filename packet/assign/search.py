"""The exact search behind `packet assign`: which cylinders for which job, best by a stated measure.

The measure is compared part by part, the first part first (`Measure`). A branch and bound: jobs in the order of the
day, for each job every set of cylinders of which none is more than needed, cut off where even the best that could
follow is no better than what is already found. When it runs to its end the answer is the best there is; a day too large
for that ends at `budget` looks, and says that it is not proven.
"""

import math
from bisect import insort
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate, islice

from packet.assign.fill import (
    HUNDREDTHS,
    NOTHING,
    Chosen,
    Demand,
    ENOUGH_lb,
    Measure,
    Share,
    State,
    Vessel,
    in_running_order,
    morning,
    rooms,
    serve,
    suffices,
)

BATCH = 256


@dataclass(frozen=True, slots=True)
class Outcome:
    """The best assignment found. fills: by job, in the order of filling; a job that is not served has none.

    looks: how many sets of cylinders were looked at. evening: every cylinder after the last job.
    """

    fills: tuple[tuple[str, tuple[Share, ...]], ...]
    measure: Measure
    proven: bool
    looks: int
    evening: State

    def of(self, job: str) -> tuple[Share, ...]:
        """The fills of one job."""
        return dict(self.fills)[job]


def search(demands: tuple[Demand, ...], vessels: tuple[Vessel, ...], budget: int = 100_000) -> Outcome:
    """The best assignment by `Measure`; `proven` when nothing better exists.

    budget: how many sets of cylinders are looked at before giving up the proof (a count, not a time, so that the same
    day gives the same answer everywhere).
    """
    return _Search(in_running_order(demands), morning(vessels), budget).run()


@dataclass(frozen=True, slots=True)
class _Ahead:
    """What the jobs from some index on will put in, by gas, and the most each cylinder may hold for any of them."""

    unserved: int
    lifted: int
    planned_lb: dict[str, float]
    limits_lb: dict[str, dict[str, float]]


class _Search:
    """One run: the demands, the best so far, and how many sets were looked at."""

    def __init__(self, demands: tuple[Demand, ...], state: State, budget: int) -> None:
        self.demands = demands
        self.start = state
        self.budget = budget
        self.looks = 0
        self.best = NOTHING
        self.best_fills: tuple[tuple[Share, ...], ...] = ()
        self.evening = state
        self.ahead = _look_ahead(demands, state)

    def run(self) -> Outcome:
        self._dive()
        finished = self._from(0, self.start, NOTHING, ())
        fills = tuple((item.job, fill) for item, fill in zip(self.demands, self.best_fills, strict=True))
        return Outcome(fills, self.best, finished, self.looks, self.evening)

    def _dive(self) -> None:
        """A first answer to beat: what the files name, job by job, and where that will not do the cheapest that will."""
        state, total = self.start, NOTHING
        fills: list[tuple[Share, ...]] = []
        for demand in self.demands:
            usable = rooms(demand, state)
            named = tuple(pair for pair in usable if pair[0].cylinder in demand.present)
            ways = [named] if len(named) == len(demand.present) else []
            if not (ways and suffices(named, demand.need_lb)):
                ways = [way for way in islice(_sets(usable, demand.need_lb), BATCH) if suffices(way, demand.need_lb)]
            if not ways:
                total, fills = total.plus(Measure(1, 0, 0, 0, 0, 0)), [*fills, ()]
                continue
            state, added, filled = min((serve(demand, way, state) for way in ways), key=lambda way: way[1])
            total, fills = total.plus(added), [*fills, filled]
        self.best, self.best_fills, self.evening = total, tuple(fills), state

    def _from(self, index: int, state: State, so_far: Measure, fills: tuple[tuple[Share, ...], ...]) -> bool:
        """Try everything for the jobs from `index` on; False when the budget ran out on the way."""
        if so_far.plus(_floor(self.ahead[index], state)) >= self.best:
            return True
        if index == len(self.demands):
            self.best, self.best_fills, self.evening = so_far, fills, state
            return True
        demand = self.demands[index]
        sets = _sets(rooms(demand, state), demand.need_lb)
        # a batch at a time, the cheapest of it first: the first way walked to its end is then a good one
        while batch := list(islice(sets, BATCH)):
            self.looks += len(batch)
            tried = (serve(demand, chosen, state) for chosen in batch if suffices(chosen, demand.need_lb))
            for after, added, filled in sorted(tried, key=lambda way: way[1]):
                if not self._from(index + 1, after, so_far.plus(added), (*fills, filled)):
                    return False
            if self.looks > self.budget:
                return False
        return self._from(index + 1, state, so_far.plus(Measure(1, 0, 0, 0, 0, 0)), (*fills, ()))


def _look_ahead(demands: tuple[Demand, ...], state: State) -> tuple[_Ahead, ...]:
    """`_Ahead` for every index, the one past the last job included.

    A job that could not be served even with the whole register to itself counts as unserved at once.
    """
    found = [_Ahead(0, 0, {}, {})]
    for demand in reversed(demands):
        later = found[-1]
        if sum(room for _, room in rooms(demand, state)) + ENOUGH_lb < demand.need_lb:
            found.append(replace(later, unserved=later.unserved + 1))
            continue
        most = dict(later.limits_lb.get(demand.gas, {}))
        for offer in demand.offers:
            most[offer.cylinder] = max(most.get(offer.cylinder, 0.0), offer.limit_net_lb)
        found.append(
            _Ahead(
                later.unserved,
                later.lifted + _lift_floor(demand, state),
                later.planned_lb | {demand.gas: later.planned_lb.get(demand.gas, 0.0) + demand.planned_lb},
                later.limits_lb | {demand.gas: most},
            )
        )
    return tuple(reversed(found))


def _floor(ahead: _Ahead, state: State) -> Measure:
    """No way to serve the jobs ahead adds less than this, part by part.

    Jobs of one gas are taken together: what does not fit into the cylinders that already hold it needs empty ones, each
    at best as roomy as the roomiest. Where a job that could be served is left unserved the first part is larger, so the
    rest does not matter.
    """
    begun = carried = 0
    for gas, planned_lb in ahead.planned_lb.items():
        room = [(state[key], limit - state[key].contents_lb) for key, limit in ahead.limits_lb[gas].items()]
        holding = sum(max(0.0, free) for now, free in room if now.gas == gas)
        aboard = sum(max(0.0, free) for now, free in room if now.gas == gas and now.truck is not None)
        begun += _at_least(planned_lb - holding, [free for now, free in room if now.gas is None])
        carried += _at_least(planned_lb - aboard, [free for now, free in room if now.truck is None])
    return Measure(ahead.unserved, 0, begun, carried, ahead.lifted, 0)


def _at_least(left_lb: float, rooms_lb: list[float]) -> int:
    """How many of the roomiest it takes to hold `left_lb`; all of them when they do not suffice."""
    count = 0
    for room in sorted(rooms_lb, reverse=True):
        if left_lb <= ENOUGH_lb or room <= 0:
            break
        left_lb -= room
        count += 1
    return count


def _lift_floor(demand: Demand, state: State) -> int:
    """The least that this job's cylinders can weigh together at its end, hundredths of a pound."""
    usable = rooms(demand, state)
    count = max(1, _at_least(demand.need_lb, [room for _, room in usable]))
    lightest = sorted(state[offer.cylinder].vessel.tare_lb + state[offer.cylinder].contents_lb for offer, _ in usable)
    # each weight is rounded to a hundredth on its own: a hundredth less for each
    return math.floor((demand.planned_lb + sum(lightest[:count])) * HUNDREDTHS) - count


def _sets(offers: Chosen, need_lb: float) -> Iterator[Chosen]:
    """Every set of offers that may suffice, those of few and of early offers first; `suffices` has the last word."""

    def grow(roomiest: list[list[float]], place: int, chosen: Chosen, total: float, left: int) -> Iterator[Chosen]:
        if left == 0:
            yield chosen
            return
        if total + ENOUGH_lb >= need_lb:
            return  # enough already: one more would be more than needed
        for index in range(place, len(offers) - left + 1):
            if total + roomiest[index][left] + ENOUGH_lb < need_lb:
                return
            yield from grow(roomiest, index + 1, (*chosen, offers[index]), total + offers[index][1], left - 1)

    for count in range(max(1, _at_least(need_lb, [room for _, room in offers])), len(offers) + 1):
        yield from grow(_roomiest(offers, count), 0, (), 0.0, count)


def _roomiest(offers: Chosen, most: int) -> list[list[float]]:
    """[place][count]: the room of the `count` roomiest among the offers from `place` on (all of them when fewer).

    most: the largest count that is asked for.
    """
    found: list[list[float]] = []
    sizes: list[float] = []
    for _, room in reversed(offers):
        insort(sizes, -room)
        del sizes[most:]
        found.append([0.0, *accumulate(-size for size in sizes)])
    return found[::-1]
