"""A day as planned: its jobs in order, what rides on each truck, and what no single job shows."""

from dataclasses import dataclass
from datetime import date

from packet.findings import Finding
from packet.plan.model import Plan
from packet.rules.carriage import Counts
from packet.shop.records import Cylinder, Machine, Scale, Technician, Truck
from packet.worked import Worked


@dataclass(frozen=True, slots=True)
class Span:
    """When a job is on, minutes after midnight. end_min equals start_min when its length could not be estimated."""

    job: str
    start_min: float
    end_min: float

    def overlaps(self, other: "Span") -> bool:
        """Whether both are on at some moment. One that only begins when the other ends does not overlap it."""
        same_start = self.start_min == other.start_min
        return same_start or (self.start_min < other.end_min and other.start_min < self.end_min)


@dataclass(frozen=True, slots=True)
class Visit:
    """A cylinder at one job, net lb: what it holds before, what goes in, what may be in it there (at its stop weight)."""

    job: str
    start_lb: float
    put_in_lb: float
    stop_net_lb: float
    stays_lb: float = 0.0  # of what is put in: goes back into the same appliance

    @property
    def after_lb(self) -> float:
        """What it is planned to hold after the job."""
        return self.start_lb + self.put_in_lb

    @property
    def left_lb(self) -> float:
        """The room left in it after the job; never below 0."""
        return max(0.0, self.stop_net_lb - self.after_lb)


@dataclass(frozen=True, slots=True)
class Ride:
    """A cylinder's day on a truck. gas: what it is planned to hold in the evening, None when it stays empty.

    out_counts, back_counts: what it is to the carrying rules on the way out and home (49 CFR 173.6).
    """

    cylinder: Cylinder
    gas: str | None
    out_lb: float
    visits: tuple[Visit, ...]
    out_counts: Counts = "trade"
    back_counts: Counts = "trade"

    @property
    def back_lb(self) -> float:
        """Net lb in the evening on the truck: what goes back into the same appliance is not carried home."""
        return self.visits[-1].after_lb - sum(visit.stays_lb for visit in self.visits)

    @property
    def out_gross_lb(self) -> float:
        """Gross in the morning."""
        return self.cylinder.tare_lb + self.out_lb

    @property
    def back_gross_lb(self) -> float:
        """Gross in the evening."""
        return self.cylinder.tare_lb + self.back_lb


@dataclass(frozen=True, slots=True)
class TruckLoad:
    """What a truck carries on its day, each thing once. totals: materials of trade, standing load included.

    per_cylinder_limit_lb, truck_limit_lb: None when no job of the truck could say.
    """

    truck_id: str
    truck: Truck | None
    jobs: tuple[str, ...]
    technicians: tuple[Technician, ...]
    machines: tuple[Machine, ...]
    scales: tuple[Scale, ...]
    rides: tuple[Ride, ...]
    standing_lb: float
    out_total_lb: Worked
    back_total_lb: Worked
    per_cylinder_limit_lb: Worked | None
    truck_limit_lb: Worked | None


@dataclass(frozen=True, slots=True)
class Day:
    """One day's jobs. plans: by truck and start, each with the findings that only the whole day shows.

    filed: jobs whose readings are in already; they are planned as in the morning and not printed again.
    """

    date: date
    plans: tuple[Plan, ...]
    spans: tuple[Span, ...]
    loads: tuple[TruckLoad, ...]
    filed: frozenset[str] = frozenset()

    def plan_of(self, job: str) -> Plan:
        """The plan of one job. Raises KeyError."""
        return {plan.job.job: plan for plan in self.plans}[job]

    def findings(self) -> tuple[tuple[str, Finding], ...]:
        """Every finding with its job, in the order of the plans."""
        return tuple((plan.job.job, item) for plan in self.plans for item in plan.findings)
