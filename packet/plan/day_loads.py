"""What each truck carries on its day: everything once, weights out and back against the carrying limits."""

from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from packet.plan.carrying import counts_of, hazardous_lb, stays_on_site, then_in, truck_findings
from packet.plan.day_checks import gas_of
from packet.plan.day_model import Ride, TruckLoad, Visit
from packet.plan.model import CarryItem, CylinderPlan, Plan
from packet.rules.carriage import truck_total_lb
from packet.shop.records import Machine, Scale, Technician
from packet.words import N_
from packet.worked import Worked, given

T = TypeVar("T", Technician, Machine, Scale)


def loads(plans: tuple[Plan, ...]) -> tuple[TruckLoad, ...]:
    """One load a truck, in the order of the plans (by truck and start)."""
    trucks = dict.fromkeys(plan.job.truck for plan in plans)
    return tuple(_load(truck, tuple(plan for plan in plans if plan.job.truck == truck)) for truck in trucks)


def with_running_totals(plans: tuple[Plan, ...]) -> tuple[Plan, ...]:
    """The plans with what their truck carries at the end of each: the day's other cylinders ride along too.

    A job by itself only knows its own cylinders. The total, and the cautions that come of it, are replaced.
    """
    by_truck = {load.truck_id: load for load in loads(plans)}
    return tuple(_with_total(plan, by_truck[plan.job.truck]) for plan in plans)


def _load(truck: str, plans: tuple[Plan, ...]) -> TruckLoad:
    rides = _rides(plans)
    record = next((plan.truck for plan in plans if plan.truck), None)
    standing = record.standing_load_lb if record else 0.0
    carrying = next((plan.carrying for plan in plans if plan.carrying), None)
    return TruckLoad(
        truck_id=truck,
        truck=record,
        jobs=tuple(plan.job.job for plan in plans),
        technicians=_once(person for plan in plans for person in (plan.technician, plan.supervisor)),
        machines=_once(plan.machine for plan in plans),
        scales=_once(plan.scale for plan in plans),
        rides=rides,
        standing_lb=standing,
        out_total_lb=_total(standing, {r.cylinder.id: r.out_gross_lb for r in rides if r.out_counts == "trade"}),
        back_total_lb=_total(standing, {r.cylinder.id: r.back_gross_lb for r in rides if r.back_counts == "trade"}),
        per_cylinder_limit_lb=carrying.per_cylinder_limit_lb if carrying else None,
        truck_limit_lb=carrying.truck_limit_lb if carrying else None,
    )


def _once(items: Iterable[T | None]) -> tuple[T, ...]:
    """Each thing once, by its id, in the order it is first used."""
    found: dict[str, T] = {}
    for item in items:
        if item is not None:
            found.setdefault(item.id, item)
    return tuple(found.values())


def _rides(plans: tuple[Plan, ...]) -> tuple[Ride, ...]:
    visits: dict[str, list[tuple[Plan, CylinderPlan]]] = {}
    for plan in plans:
        for item in plan.cylinders:
            visits.setdefault(item.cylinder.id, []).append((plan, item))
    return tuple(_ride(users) for users in visits.values())


def _ride(users: list[tuple[Plan, CylinderPlan]]) -> Ride:
    first = users[0][1]
    gas = first.start.refrigerant
    for plan, item in users:
        if item.planned_lb.value > 0:
            gas = then_in(item, gas_of(plan))
    ride = Ride(
        cylinder=first.cylinder,
        gas=gas,
        out_lb=first.contents_lb,
        visits=tuple(_visit(plan, item) for plan, item in users),
        out_counts=counts_of(first.cylinder, first.start.refrigerant, first.contents_lb),
    )
    return replace(ride, back_counts=counts_of(first.cylinder, gas, ride.back_lb))


def _visit(plan: Plan, item: CylinderPlan) -> Visit:
    put_in_lb = item.planned_lb.value if plan.may_go_out else 0.0
    return Visit(
        job=plan.job.job,
        start_lb=item.contents_lb,
        put_in_lb=put_in_lb,
        stop_net_lb=item.stop_gross_lb.value - item.cylinder.tare_lb,
        stays_lb=put_in_lb if stays_on_site(plan.job) else 0.0,
    )


def _total(standing_lb: float, gross_lb: dict[str, float]) -> Worked:
    weights = tuple(
        (
            f"cylinder_{number}",
            Worked(gross, "lb", N_("tare + contents"), f"{name}: the register and the ledger", places=1),
        )
        for number, (name, gross) in enumerate(gross_lb.items(), 1)
    )
    return truck_total_lb(given(standing_lb, "lb", "shop.yaml trucks: standing_load_lb", places=1), weights)


def _with_total(plan: Plan, load: TruckLoad) -> Plan:
    if plan.carrying is None:
        return plan
    done = load.jobs[: load.jobs.index(plan.job.job) + 1]
    aboard = tuple(_aboard(ride, done) for ride in load.rides)
    total = _total(load.standing_lb, {item.cylinder: item.gross_lb for item in aboard if item.counts == "trade"})
    over = truck_findings(plan.job, total.value, hazardous_lb(total.value, aboard), plan.registers.shop.units)
    kept = tuple(item for item in plan.findings if item.code not in {"carry-truck-over", "carry-placards"})
    return replace(plan, carrying=replace(plan.carrying, total_lb=total), findings=kept + over)


def _aboard(ride: Ride, done: tuple[str, ...]) -> CarryItem:
    """The cylinder as it rides after the jobs that are done."""
    visited = [visit for visit in ride.visits if visit.job in done]
    if not visited:
        return CarryItem(ride.cylinder.id, ride.out_gross_lb, ride.out_counts)
    net_lb = visited[-1].after_lb - sum(visit.stays_lb for visit in visited)
    used = any(visit.put_in_lb > 0 for visit in visited)
    counts = counts_of(ride.cylinder, ride.gas, net_lb) if used else ride.out_counts
    return CarryItem(ride.cylinder.id, ride.cylinder.tare_lb + net_lb, counts)
