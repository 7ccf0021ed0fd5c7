"""A day's cylinders while jobs fill them: what a job needs, which cylinders it can still use, what filling them adds.

It knows nothing of YAML or thermodynamics: each job comes as a `Demand` with the cylinders that are fit for it and how
much each may hold there.
"""

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

ENOUGH_lb = 1e-9  # room is compared with this much slack for floating point
HUNDREDTHS = 100  # weights are added up in whole hundredths of a pound, so that equal sums are equal


@dataclass(frozen=True, slots=True)
class Vessel:
    """A cylinder before the day's first job. gas: what it holds, None when empty and evacuated.

    truck: where it rides already, because a job that is done had it; None when it is free.
    """

    id: str
    tare_lb: float
    gas: str | None
    contents_lb: float
    truck: str | None = None


@dataclass(frozen=True, slots=True)
class Offer:
    """A cylinder fit for a job. limit_net_lb: the most it may hold there. fast: it does not stand in the way of push-pull."""

    cylinder: str
    limit_net_lb: float
    fast: bool = True


@dataclass(frozen=True, slots=True)
class Demand:
    """A job as the search sees it, minutes of the day for start and end.

    need_lb: the room it must find, its over-charge allowance included; planned_lb: what is planned to go in. alone:
    its gas (a burnout's) goes into cylinders that begin empty and that no later job uses. present: the cylinders
    the job file names today. fast_heel_lb: push-pull needs cylinders with no more than this in them; None when the job is
    not for push-pull anyway.
    """

    job: str
    truck: str
    gas: str
    need_lb: float
    planned_lb: float
    start_min: float
    end_min: float
    offers: tuple[Offer, ...]
    alone: bool = False
    present: tuple[str, ...] = ()
    fast_heel_lb: float | None = None


class Measure(NamedTuple):
    """What is made small, the first part first.

    unserved: jobs without enough room. slow: jobs that lose push-pull. begun: empty cylinders that get their first gas
    (so that a cylinder with the same refrigerant comes first). carried: cylinders taken along. lifted: the sum over jobs
    of what each cylinder used there weighs at its end, hundredths of a pound. changed: jobs whose file would change.
    """

    unserved: int
    slow: int
    begun: int
    carried: int
    lifted: int
    changed: int

    def plus(self, other: "Measure") -> "Measure":
        """Part by part."""
        return Measure(*(a + b for a, b in zip(self, other, strict=True)))


NOTHING = Measure(0, 0, 0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Share:
    """What goes into one cylinder on one job. start_lb: net before the job; room_lb: up to the limit."""

    cylinder: str
    start_lb: float
    put_in_lb: float
    room_lb: float


@dataclass(frozen=True, slots=True)
class CylinderNow:
    """A cylinder at some moment of the day."""

    vessel: Vessel
    gas: str | None
    contents_lb: float
    truck: str | None = None
    busy_until_min: float = -math.inf
    closed: bool = False  # holds a burnout's gas: nothing more today


State = dict[str, CylinderNow]
Chosen = tuple[tuple[Offer, float], ...]  # the cylinders of one job with the room in each


def morning(vessels: tuple[Vessel, ...]) -> State:
    """Every cylinder before the first job."""
    return {item.id: CylinderNow(item, item.gas, item.contents_lb, item.truck) for item in vessels}


def in_running_order(demands: tuple[Demand, ...]) -> tuple[Demand, ...]:
    """By start, then job: the order in which gas goes into cylinders."""
    return tuple(sorted(demands, key=lambda item: (item.start_min, item.job)))


def rooms(demand: Demand, state: State) -> Chosen:
    """The offers this job can still use and the room in each, lb, in the order they would be filled.

    Cylinders that hold the gas come first, fullest first; then empty ones, the smaller room first, so that the last,
    part-filled one keeps most room.
    """
    usable = []
    for offer in demand.offers:
        now = state[offer.cylinder]
        room = offer.limit_net_lb - now.contents_lb
        wrong_gas = now.gas not in ({None} if demand.alone else {None, demand.gas})
        elsewhere = now.truck not in {None, demand.truck} or now.busy_until_min > demand.start_min
        if room > ENOUGH_lb and not (wrong_gas or elsewhere or now.closed):
            usable.append((offer, room))
    return tuple(sorted(usable, key=lambda pair: _filling_order(state[pair[0].cylinder], pair[1])))


def _filling_order(now: CylinderNow, room_lb: float) -> tuple[bool, float, float, str]:
    return now.gas is None, -now.contents_lb, room_lb, now.vessel.id


def suffices(chosen: Chosen, need_lb: float) -> bool:
    """Whether these hold what is needed and none of them is more than needed."""
    total = sum(room for _, room in chosen)
    if total + ENOUGH_lb < need_lb or not chosen:
        return False
    return total - min(room for _, room in chosen) + ENOUGH_lb < need_lb


def serve(demand: Demand, chosen: Chosen, state: State) -> tuple[State, Measure, tuple[Share, ...]]:
    """The cylinders that are other once the job has filled `chosen` in order, what that adds to the measure, and the fills."""
    after: State = {}
    fills = []
    left_lb, begun, carried, lifted, slow = demand.planned_lb, 0, 0, 0, False
    for offer, room in chosen:
        now = state[offer.cylinder]
        put_in = min(room, left_lb)
        left_lb -= put_in
        fills.append(Share(offer.cylinder, now.contents_lb, put_in, room))
        begun += now.gas is None
        carried += now.truck is None
        lifted += round((now.vessel.tare_lb + now.contents_lb + put_in) * HUNDREDTHS)
        if demand.fast_heel_lb is not None:
            slow = slow or not offer.fast or now.contents_lb > demand.fast_heel_lb
        after[offer.cylinder] = replace(
            now,
            gas=demand.gas,
            contents_lb=now.contents_lb + put_in,
            truck=demand.truck,
            busy_until_min=demand.end_min,
            closed=demand.alone,
        )
    changed = tuple(fill.cylinder for fill in fills) != demand.present
    return after, Measure(0, int(slow), begun, carried, lifted, int(changed)), tuple(fills)
