"""What the register offers one job: the cylinders that are fit, contents aside, and how much each may hold there.

A large branch has twenty thousand cylinders of some dozens of kinds and sizes. They are put together once a day by what
fitness and weights look at, and each job looks at one of each group: a group costs a job what a cylinder costs.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import NamedTuple

from packet.assign.fill import Demand, ENOUGH_lb, Offer, Vessel
from packet.findings import Finding
from packet.ledger.state import CylinderState
from packet.plan.case import Case, look_up, site_barometer
from packet.plan.evacuation import classify, plan_evacuation
from packet.plan.fit import Kind, Looked, Stamp, kind_of, passes_on_paper, stamp_of
from packet.plan.job import gas_of
from packet.plan.setting import Ways
from packet.plan.space import plan_space
from packet.shop.records import Cylinder, Job, Registers

# Up to so many cylinders that a job could use it looks at all of them, and what is found can be proven the best; of more
# it looks at a short list.
ALL_LOOKED_AT = 400
# The short list has so many of each sort, and this many more for each other job that may want the same: how far a list
# must reach so that nobody misses what is not on it is common practice, no source.
SHORT, SHORT_A_JOB = 16, 2


@dataclass(frozen=True, slots=True)
class AlikeCylinders:
    """Cylinders alike for one job. limit_net_lb: the most each may hold there; fast: none stands in the way of push-pull."""

    limit_net_lb: float
    fast: bool
    cylinders: tuple[Cylinder, ...]


class Yard:
    """The register's cylinders that may be filled on a day, by kind and stamp; in and out of test is looked at once."""

    def __init__(self, registers: Registers, states: Mapping[str, CylinderState], day: date) -> None:
        """states: of the cylinders that may be offered."""
        self.registers, self.states = registers, states
        lots: dict[tuple[Kind, Stamp], list[Cylinder]] = {}
        self._found: dict[tuple[str, str, str], tuple[AlikeCylinders, ...]] = {}
        on_paper: dict[tuple[object, ...], bool] = {}
        for cylinder in registers.cylinders:
            if cylinder.id not in states:
                continue
            kind = kind_of(cylinder)
            paper = kind[:4]
            if paper not in on_paper:
                on_paper[paper] = passes_on_paper(cylinder, day)
            if on_paper[paper]:
                alike = kind._replace(tested=None, made=None)
                lots.setdefault((alike, stamp_of(cylinder)), []).append(cylinder)
        self._groups = {alike: tuple(lot) for alike, lot in lots.items()}

    def offered(self, job: Job) -> tuple[AlikeCylinders, ...]:
        """`_offered`, once for a job of the day with a machine and a scale."""
        asked = (job.job, job.machine, job.scale)
        if asked not in self._found:
            self._found[asked] = self._offered(job)
        return self._found[asked]

    def _offered(self, job: Job) -> tuple[AlikeCylinders, ...]:
        """The cylinders fit for the job, contents aside, and how much each may hold there at its stop weight.

        Fitness and weights are those that `plan_job` prints. A cylinder without both valves would turn a push-pull job to
        another method, and with it what has to be kept free for clearing.
        """
        gas = gas_of(job)
        if isinstance(gas, Finding):
            return ()
        bare = job.model_copy(update={"cylinders": ()})
        named, barometer = look_up(bare, self.registers, {}), site_barometer(job)
        case = Case(bare, self.registers, self.states, frozenset(), named, gas, barometer)
        if case.named.scale is None:
            return ()
        classified = classify(gas, job)
        low = plan_evacuation(case, classified)[0].pressure_class == "low"
        looked = Looked(Ways(case, case.named.scale, classified.classes, plan_space(case)[0], low), ())
        # what is in a cylinder is the search's business: as if all were empty. For unknown gas it decides what is fit.
        catalogued = gas.refrigerant is not None and not gas.refrigerant.own
        found = []
        fit: dict[Kind, bool] = {}
        for (kind, _), cylinders in self._groups.items():
            if not catalogued:
                for item in cylinders:
                    state = self.states[item.id]
                    found += _group(looked, (item,), state) if looked.fits(item, state, kind) else []
                continue
            empty = CylinderState(cylinders[0].id, None, 0.0)
            if kind not in fit:
                fit[kind] = looked.fits(cylinders[0], empty, kind)
            found += _group(looked, cylinders, empty) if fit[kind] else []
        return tuple(found)


def _group(looked: Looked, cylinders: tuple[Cylinder, ...], state: CylinderState) -> list[AlikeCylinders]:
    one = cylinders[0]
    limit_lb = looked.stop_gross_lb(one, state) - one.tare_lb
    return (
        [AlikeCylinders(limit_lb, "push-pull" in looked.setting(one, state).stages, cylinders)] if limit_lb > 0 else []
    )


def cylinders_needed(groups: tuple[AlikeCylinders, ...], need_lb: float) -> int | None:
    """How many of the roomiest cylinders hold it; None when all of them do not."""
    total, count = 0.0, 0
    for group in sorted(groups, key=lambda item: item.limit_net_lb, reverse=True):
        for _ in group.cylinders:
            total, count = total + group.limit_net_lb, count + 1
            if total + ENOUGH_lb >= need_lb:
                return count
    return None


def usual_kind(groups: tuple[AlikeCylinders, ...]) -> tuple[Cylinder, float] | None:
    """A cylinder of the kind that most of the fit ones are, with the room in it when empty; the smaller on a tie."""
    counts: Counter[tuple[str, float]] = Counter()
    for group in groups:
        counts[group.cylinders[0].spec, group.cylinders[0].water_capacity_lb] += len(group.cylinders)
    if not counts:
        return None
    usual = max(counts, key=lambda kind: (counts[kind], -kind[1], kind[0]))
    alike = [group for group in groups if (group.cylinders[0].spec, group.cylinders[0].water_capacity_lb) == usual]
    # the least of them: what is promised holds for any of the kind
    least = min(alike, key=lambda group: group.limit_net_lb)
    return least.cylinders[0], least.limit_net_lb


class Shelves:
    """The cylinders of a morning by what they hold: each lot of a register is sorted out once for a gas, not once a job."""

    def __init__(self, vessels: Mapping[str, Vessel]) -> None:
        self._vessels = vessels
        self._found: dict[tuple[str, int, str], tuple[Vessel, ...]] = {}

    def usable(self, lot: tuple[Cylinder, ...], gas: str) -> tuple[Vessel, ...]:
        """The empty ones of a lot and those that hold the gas. A cylinder is in one lot: its first tells which it is."""
        key = (lot[0].id, len(lot), gas)
        if key not in self._found:
            every = (self._vessels[item.id] for item in lot)
            self._found[key] = tuple(vessel for vessel in every if vessel.gas is None or vessel.gas == gas)
        return self._found[key]


class _Candidate(NamedTuple):
    """A cylinder that a job could use in the morning: what it weighs, its id, the room left, what it holds, its group.

    In order of their weights.
    """

    gross_lb: float
    cylinder: str
    room_lb: float
    heel_lb: float
    empty: bool
    group: AlikeCylinders

    def offer(self) -> Offer:
        """As the search sees it."""
        return Offer(self.cylinder, self.group.limit_net_lb, self.group.fast)


def short_list(
    groups: tuple[AlikeCylinders, ...], demand: Demand, shelves: Shelves, rivals: int
) -> tuple[tuple[Offer, ...], bool]:
    """The offers of a job that the search looks at, and whether no other could be of use.

    groups: what is fit. demand: the job, without offers yet. rivals: the other jobs of the day that may want the same.
    What holds another gas in the morning never comes into question. Of many others the short list has what the file
    names, the lightest that hold all of it alone (or their share, where one does not), the roomiest, and for push-pull the
    lightest of those empty enough.
    """
    usable = _usable(groups, demand, shelves)
    if len(usable) <= ALL_LOOKED_AT:
        return tuple(item.offer() for item in usable), True
    most = SHORT + SHORT_A_JOB * rivals
    chosen = {item.cylinder: item for item in usable if item.cylinder in demand.present}
    for empty in (False, True):
        sort = [item for item in usable if item.empty is empty]
        roomiest = sorted(sort, key=_roomiest)[:most]
        share_lb = demand.need_lb / _fewest(roomiest, demand.need_lb)
        alone = sorted(item for item in sort if item.room_lb + ENOUGH_lb >= share_lb)
        lists = [alone[:most], roomiest]
        if demand.fast_heel_lb is not None:
            fast = (item for item in alone if item.group.fast and item.heel_lb <= demand.fast_heel_lb)
            lists.append(list(islice(fast, most)))
        chosen |= {item.cylinder: item for some in lists for item in some}
    return tuple(item.offer() for item in chosen.values()), False


def _fewest(roomiest: list[_Candidate], need_lb: float) -> int:
    """How many of the roomiest hold it; at least 1, and all of them where they do not."""
    total = 0.0
    for count, item in enumerate(roomiest, 1):
        total += item.room_lb
        if total + ENOUGH_lb >= need_lb:
            return count
    return max(1, len(roomiest))


def _usable(groups: tuple[AlikeCylinders, ...], demand: Demand, shelves: Shelves) -> list[_Candidate]:
    return [
        _Candidate(
            vessel.tare_lb + vessel.contents_lb, vessel.id, room_lb, vessel.contents_lb, vessel.gas is None, group
        )
        for group in groups
        for vessel in shelves.usable(group.cylinders, demand.gas)
        if (room_lb := group.limit_net_lb - vessel.contents_lb) > ENOUGH_lb
    ]


def _roomiest(item: _Candidate) -> tuple[float, float, str]:
    return -item.room_lb, item.gross_lb, item.cylinder
