"""The exact search behind `packet assign`: which cylinders for which job, best by a stated measure.

The measure is compared part by part, the first part first (`Measure`). A branch and bound: jobs in the order of the
day, for each job every set of cylinders of which none is more than needed, cut off where even the best that could
follow is no better than what is already found. When it runs to its end the answer is the best there is; a day too large
for that ends at `budget` looks, and says that it is not proven.
"""

import math
from bisect import insort
from collections.abc import Collection, Iterable, Iterator
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
from packet.assign.walk import Walk, walked

BATCH = 256


@dataclass(frozen=True, slots=True)
class SearchOutcome:
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


def search(demands: tuple[Demand, ...], vessels: tuple[Vessel, ...], budget: int = 100_000) -> SearchOutcome:
    """The best assignment by `Measure`; `proven` when nothing better exists.

    budget: how many sets of cylinders are looked at before giving up the proof (a count, not a time, so that the same
    day gives the same answer everywhere).
    """
    return _Search(in_running_order(demands), morning(vessels), budget).run()


@dataclass(frozen=True, slots=True)
class _Lot:
    """The cylinders that the jobs ahead of one gas may use, as they stand in the morning, and what those jobs put in.

    limits_lb: the most each may hold for any of these jobs. holding_lb: the room in those that hold the gas, aboard_lb: of
    these in the ones on a truck. empty, ashore: the rooms of the empty ones and of those on no truck, the roomiest first.
    """

    planned_lb: float
    limits_lb: dict[str, float]
    holding_lb: float
    aboard_lb: float
    empty: tuple[tuple[float, str], ...]
    ashore: tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True)
class _Ahead:
    """The jobs from some index on: those that cannot be served, the least that is lifted, and by gas what they may use."""

    unserved: int
    lifted: int
    lots: dict[str, _Lot]


class _Search:
    """One run: the demands, the best so far, and how many sets were looked at."""

    def __init__(self, demands: tuple[Demand, ...], state: State, budget: int) -> None:
        self.demands = demands
        self.start = state
        self.now = dict(state)  # of the way being tried; a look ahead that came back leaves it as it was
        self.used: dict[str, None] = {}  # the cylinders that are other now than at the start
        self.budget = budget
        self.looks = 0
        self.best = NOTHING
        self.best_fills: tuple[tuple[Share, ...], ...] = ()
        self.evening = state
        self.ahead = _look_ahead(demands, state)

    def run(self) -> SearchOutcome:
        self._dive(dict(self.start))
        finished = walked(self._from, 0, NOTHING, ())
        fills = tuple((item.job, fill) for item, fill in zip(self.demands, self.best_fills, strict=True))
        return SearchOutcome(fills, self.best, finished, self.looks, self.evening)

    def _dive(self, state: State) -> None:
        """A first answer to beat: what the files name, job by job, and where that will not do the cheapest that will."""
        total = NOTHING
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
            other, added, filled = min((serve(demand, way, state) for way in ways), key=lambda way: way[1])
            state.update(other)
            total, fills = total.plus(added), [*fills, filled]
        self.best, self.best_fills, self.evening = total, tuple(fills), state

    def _from(self, index: int, so_far: Measure, fills: tuple[tuple[Share, ...], ...]) -> Walk:
        """Try everything for the jobs from `index` on; False when the budget ran out on the way."""
        state = self.now
        if self._no_better(index, so_far):
            return True
        if index == len(self.demands):
            self.best, self.best_fills, self.evening = so_far, fills, dict(state)
            return True
        demand = self.demands[index]
        sets = _sets(rooms(demand, state), demand.need_lb)
        # a batch at a time, the cheapest of it first: the first way walked to its end is then a good one
        while batch := list(islice(sets, BATCH)):
            self.looks += len(batch)
            ways = (chosen for chosen in batch if suffices(chosen, demand.need_lb))
            # what each way would leave is worked out again when it is walked: held for every job at once it is gigabytes
            tried = [(serve(demand, chosen, state)[1], chosen) for chosen in ways]
            for _, chosen in sorted(tried, key=lambda way: way[0]):
                other, added, filled = serve(demand, chosen, state)
                before = {name: state[name] for name in other}
                newly = [name for name in other if name not in self.used]
                state.update(other)
                self.used.update(dict.fromkeys(newly))
                whole = yield index + 1, so_far.plus(added), (*fills, filled)
                state.update(before)
                for name in newly:
                    del self.used[name]
                if not whole:
                    return False
            if self.looks > self.budget:
                return False
        return (yield index + 1, so_far.plus(Measure(1, 0, 0, 0, 0, 0)), (*fills, ()))

    def _no_better(self, index: int, so_far: Measure) -> bool:
        """Whether no way to serve the jobs from `index` on makes less of it than the best that was found."""
        ahead = self.ahead[index]
        # the first parts decide most ways, and cost nothing to know
        known = (so_far.unserved + ahead.unserved, so_far.slow)
        if known != self.best[:2]:
            return known > self.best[:2]
        begun, carried = _floor(ahead, self.start, self.now, self.used)
        return so_far.plus(Measure(ahead.unserved, 0, begun, carried, ahead.lifted, 0)) >= self.best


def _look_ahead(demands: tuple[Demand, ...], state: State) -> tuple[_Ahead, ...]:
    """`_Ahead` for every index, the one past the last job included.

    A job that could not be served even with the whole register to itself counts as unserved at once.
    """
    found = [_Ahead(0, 0, {})]
    for demand in reversed(demands):
        later = found[-1]
        usable = rooms(demand, state)
        if sum(room for _, room in usable) + ENOUGH_lb < demand.need_lb:
            found.append(replace(later, unserved=later.unserved + 1))
            continue
        lot = _with_job(later.lots.get(demand.gas), demand, state)
        lifted = later.lifted + _lift_floor(demand, usable, state)
        found.append(_Ahead(later.unserved, lifted, later.lots | {demand.gas: lot}))
    return tuple(reversed(found))


def _with_job(lot: _Lot | None, demand: Demand, state: State) -> _Lot:
    """The lot of the jobs ahead with one more of that gas."""
    planned_lb = (lot.planned_lb if lot else 0.0) + demand.planned_lb
    limits_lb = dict(lot.limits_lb) if lot else {}
    for offer in demand.offers:
        limits_lb[offer.cylinder] = max(limits_lb.get(offer.cylinder, 0.0), offer.limit_net_lb)
    if lot and limits_lb == lot.limits_lb:
        return replace(lot, planned_lb=planned_lb)
    room = [(limit - state[name].contents_lb, name, state[name]) for name, limit in limits_lb.items()]
    return _Lot(
        planned_lb,
        limits_lb,
        sum(max(0.0, free) for free, _, now in room if now.gas == demand.gas),
        sum(max(0.0, free) for free, _, now in room if now.gas == demand.gas and now.truck is not None),
        tuple(sorted(((free, name) for free, name, now in room if now.gas is None), reverse=True)),
        tuple(sorted(((free, name) for free, name, now in room if now.truck is None), reverse=True)),
    )


def _floor(ahead: _Ahead, start: State, now: State, used: Collection[str]) -> tuple[int, int]:
    """No way to serve the jobs ahead begins fewer cylinders, or takes fewer along, than this.

    Jobs of one gas are taken together: what does not fit into the cylinders that already hold it needs empty ones, each
    at best as roomy as the roomiest. Where a job that could be served is left unserved the first part is larger, so the
    rest does not matter. used: the cylinders that are other now than at the start; each holds a gas and is on a truck.
    """
    begun = carried = 0
    for gas, lot in ahead.lots.items():
        holding, aboard = lot.holding_lb, lot.aboard_lb
        for name in used:
            if name not in lot.limits_lb:
                continue
            for sign, state in ((-1, start[name]), (1, now[name])):
                if state.gas == gas:
                    room = sign * max(0.0, lot.limits_lb[name] - state.contents_lb)
                    holding += room
                    aboard += room if state.truck is not None else 0.0
        begun += _at_least(lot.planned_lb - holding, (room for room, name in lot.empty if name not in used))
        carried += _at_least(lot.planned_lb - aboard, (room for room, name in lot.ashore if name not in used))
    return begun, carried


def _at_least(left_lb: float, roomiest_lb: Iterable[float]) -> int:
    """How many of the roomiest, which come first, it takes to hold `left_lb`; all of them when they do not suffice."""
    count = 0
    for room in roomiest_lb:
        if left_lb <= ENOUGH_lb or room <= 0:
            break
        left_lb -= room
        count += 1
    return count


def _lift_floor(demand: Demand, usable: Chosen, state: State) -> int:
    """The least that this job's cylinders can weigh together at its end, hundredths of a pound."""
    count = max(1, _at_least(demand.need_lb, sorted((room for _, room in usable), reverse=True)))
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

    fewest = _at_least(need_lb, sorted((room for _, room in offers), reverse=True))
    for count in range(max(1, fewest), len(offers) + 1):
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
