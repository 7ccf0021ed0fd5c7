"""What the scale should show every few minutes: the log's expected weights, from the planned times and the cylinders.

An estimate, as the times are (± 50 %): it tells a flow that does its work from one that has stopped.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from packet.plan.case import Case
from packet.plan.evacuation import lowest_psia, system_volume
from packet.plan.model import CylinderPlan, Evacuation, LogPart, LogPoint, Method, StageTime
from packet.rules import duration

STEP_MIN = 5
# a log of five hours in steps of 5 minutes; longer ones get wider steps
MOST_POINTS = 60


@dataclass(frozen=True, slots=True)
class Flow:
    """What one stage moves: first_lb evenly within first_minutes, then falling_lb, the rate falling to `ratio` of it."""

    stage: str
    first_lb: float
    first_minutes: float
    falling_lb: float = 0.0
    falling_minutes: float = 0.0
    ratio: float = 1.0

    @property
    def minutes(self) -> float:
        """How long it takes."""
        return self.first_minutes + self.falling_minutes

    def moved_lb(self, minute: float) -> float:
        """What has been moved that many minutes after the stage began."""
        even = self.first_lb * min(1.0, minute / self.first_minutes) if self.first_minutes > 0 else self.first_lb
        late = min(max(0.0, minute - self.first_minutes), self.falling_minutes)
        if self.falling_minutes <= 0:
            return even + (self.falling_lb if minute >= self.first_minutes else 0.0)
        # density falls evenly in its logarithm while the pump's displacement stays
        thinner: float = self.ratio ** (late / self.falling_minutes)
        return even + self.falling_lb * (1 - thinner) / max(1e-9, 1 - self.ratio)


def flows(case: Case, method: Method, evacuation: Evacuation, times: Sequence[StageTime]) -> tuple[Flow, ...]:
    """What each recovering stage moves; empty where no times were estimated."""
    minutes = {item.stage: item.minutes.value for item in times}
    if not minutes:
        return ()
    vapor, system = case.gas.vapor(case.ambient_F), system_volume(case)
    liquid = duration.liquid_lb(case.charge_lb, system, vapor).value
    end = case.gas.thin_vapor(case.ambient_F, lowest_psia(case, evacuation.target_psia))
    ratio = min(1.0, end.value / vapor.value)
    rest = max(0.0, case.charge_lb.value - liquid) * (1 - ratio)
    work = next(item.minutes for item in times if item.stage == "vapor")
    parts = {name: part.value for name, part in work.inputs}
    if method.chosen == "vapor":
        return (Flow("vapor", liquid, parts["boil_off"], rest, parts["pump_down"], ratio),)
    first = minutes[method.chosen] - (duration.REHOSE_MIN if method.chosen == "push-pull" else 0.0)
    left = duration.LEFT_IN_SHELLS * liquid if "boil_off" in parts else 0.0
    return (
        Flow(method.chosen, liquid - left, first),
        Flow("vapor", left, parts.get("boil_off", 0.0), rest, parts["pump_down"], ratio),
    )


def expected_log(moving: Sequence[Flow], cylinders: Sequence[CylinderPlan]) -> tuple[LogPart, ...]:
    """The parts of the log in order: a stage on one cylinder each, its minutes counted from when that part starts."""
    if not cylinders:
        return ()
    step = STEP_MIN
    while sum(flow.minutes for flow in moving) / step > MOST_POINTS:
        step *= 2
    parts: list[LogPart] = []
    on, weight = 0, cylinders[0].expected_bare_gross_lb.value
    for flow in moving:
        done, start = 0.0, 0.0
        while True:
            item, last = cylinders[on], on == len(cylinders) - 1
            full = item.planned_gross_lb if last or item.change_at_gross_lb is None else item.change_at_gross_lb.value
            until = flow.minutes if last else _minute(flow, done + full - weight)
            parts.append(
                LogPart(flow.stage, item.cylinder.id, tuple(_points(flow, (start, until), (weight, done), full, step)))
            )
            if until >= flow.minutes:
                weight = min(full, weight + flow.moved_lb(flow.minutes) - done)
                break
            start, done = until, done + full - weight
            on += 1
            weight = cylinders[on].expected_bare_gross_lb.value
    return tuple(parts)


def _points(
    flow: Flow, span: tuple[float, float], before: tuple[float, float], full: float, step: int
) -> Iterator[LogPoint]:
    start, until = span
    weight, done = before
    # one line past the planned end, as the plan is an estimate
    for count in range(int((until - start) // step) + 2):
        yield LogPoint(count * step, min(full, weight + flow.moved_lb(min(until, start + count * step)) - done))


def _minute(flow: Flow, lb: float) -> float:
    """When so much has been moved; the flow's whole time where it moves no more than that."""
    if flow.moved_lb(flow.minutes) <= lb:
        return flow.minutes
    low, high = 0.0, flow.minutes
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if flow.moved_lb(middle) < lb else (low, middle)
    return high
