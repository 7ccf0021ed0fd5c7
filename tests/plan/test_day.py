"""What only the whole day shows. The rules are the shop's own (3-data.md); weights follow 49 CFR 173.6."""

from collections.abc import Mapping
from datetime import date, time
from typing import Any

import pytest

from packet.ledger.state import CylinderState, opening
from packet.plan.day import plan_day
from packet.plan.day_checks import clock
from packet.plan.day_model import Day
from packet.shop.records import (
    Appliance,
    Conditions,
    Cylinder,
    Equipment,
    Job,
    Machine,
    Month,
    Rates,
    Registers,
    Scale,
    Shop,
    Site,
    Technician,
    Truck,
    Way,
    Work,
)
from tests.plan.builders import kit

DAY = date(2026, 11, 26)


def cylinder(name: str, **fields: Any) -> Cylinder:
    return Cylinder(
        id=name,
        spec="DOT-4BA400",
        water_capacity_lb=47.6,
        tare_lb=28.0,
        tested=Month(year=2024, month=3),
        **fields,
    )


def machine(name: str, **fields: Any) -> Machine:
    classes = ("medium", "high", "very-high")
    rates = Rates(liquid=6, vapor=0.5, push_pull=15)
    return Machine(id=name, made=Month(year=2020, month=1), pressure_classes=classes, rates_lb_per_min=rates, **fields)


REGISTERS = Registers(
    shop=Shop(
        company="Quillback",
        phone="555-0140",
        emergency_phone="555-0141",
        records_url="https://records.example",
        trucks=(Truck(id="T1", standing_load_lb=100), Truck(id="T2")),
    ),
    cylinders=(cylinder("C-1"), cylinder("C-2"), cylinder("C-3", refrigerant="R-22", contents_lb=20.0)),
    equipment=Equipment(
        kit=kit(),
        machines=(machine("RM-1"), machine("RM-2"), machine("RM-3", last_refrigerant="R-134a")),
        scales=(
            Scale(id="SC-1", capacity_lb=220, resolution_lb=0.1),
            Scale(id="SC-2", capacity_lb=220, resolution_lb=0.1),
        ),
    ),
    technicians=(
        Technician(id="ada", name="Ada Wren", certification=("universal",)),
        Technician(id="bo", name="Bo Pell", certification=("universal",)),
        Technician(id="cy", name="Cy Vale", certification=("apprentice",)),
    ),
)


def job(name: str, start: str, **fields: Any) -> Job:
    refrigerant, charge = fields.pop("refrigerant", "R-22"), fields.pop("charge_lb", 10.0)
    given: dict[str, Any] = {
        "truck": "T1",
        "technician": "ada",
        "machine": "RM-1",
        "scale": "SC-1",
        "cylinders": ("C-1",),
    } | fields
    return Job(
        job=name,
        date=DAY,
        start=time.fromisoformat(start),
        site=Site(name="Yard", space="outdoors"),
        appliance=Appliance(description="Unit", kind="packaged", refrigerant=refrigerant, charge_lb=charge),
        work=Work(reason="repair"),
        conditions=Conditions(ambient_F=70, hottest_F=95),
        **given,
    )


def planned(*jobs: Job, **options: Any) -> Day:
    return plan_day(jobs, REGISTERS, opening(REGISTERS), **options)


def told(day: Day, job_name: str) -> dict[str, str]:
    return {item.code: item.message for item in day.plan_of(job_name).findings if item.severity != "note"}


OTHER = {"truck": "T2", "technician": "bo", "machine": "RM-2", "scale": "SC-2", "cylinders": ("C-2",)}


def test_two_trucks_apart_have_nothing_to_do_with_one_another() -> None:
    day = planned(job("A", "08:00"), job("B", "08:00", **OTHER))
    assert told(day, "A") == told(day, "B") == {}
    assert all(plan.may_go_out for plan in day.plans)


def test_jobs_stand_by_truck_then_start() -> None:
    day = planned(job("B", "07:00", **OTHER), job("Z", "12:00"), job("A", "08:00"))
    assert [plan.job.job for plan in day.plans] == ["A", "Z", "B"]


def test_one_cylinder_on_two_trucks_stops_both() -> None:
    day = planned(job("A", "08:00"), job("B", "13:00", **OTHER | {"cylinders": ("C-1",)}))
    assert told(day, "A")["cylinder-two-trucks"] == "Cylinder C-1 is on truck T1 for this job and on truck T2 for B."
    assert told(day, "B")["cylinder-two-trucks"] == "Cylinder C-1 is on truck T2 for this job and on truck T1 for A."


def test_two_refrigerants_for_one_cylinder_stop_both() -> None:
    day = planned(job("A", "08:00"), job("B", "13:00", refrigerant="R-134a"))
    assert "cylinder-two-refrigerants" in told(day, "A")
    assert told(day, "B")["cylinder-two-refrigerants"] == "Cylinder C-1 is assigned to R-134a here and to R-22 for A."


def test_the_second_job_starts_from_what_the_first_is_planned_to_leave() -> None:
    day = planned(job("B", "13:00", charge_lb=5.0), job("A", "08:00", charge_lb=12.0))
    second = day.plan_of("B").cylinders[0]
    assert second.start == CylinderState("C-1", "R-22", 12.0, "A", planned=True)
    assert second.expected_bare_gross_lb.value == 40.0
    assert told(day, "B") == {
        "cylinder-used-again": "Cylinder C-1 comes from A, which is planned to leave 12.0 lb R-22 in it."
    }
    assert told(day, "A") == {}


def test_a_stopped_job_leaves_nothing_behind() -> None:
    uncertified = job("A", "08:00", technician="cy")
    day = planned(uncertified, job("B", "13:00"))
    assert not day.plan_of("A").may_go_out
    assert day.plan_of("B").cylinders[0].contents_lb == 0.0
    assert told(day, "B") == {}


def test_a_job_stopped_by_a_conflict_leaves_nothing_behind_either() -> None:
    clash = job("X", "08:10", **OTHER | {"technician": "ada", "cylinders": ("C-2",)})
    day = planned(job("A", "08:00"), clash, job("B", "13:00"))
    assert "technician-two-places" in told(day, "A")
    assert day.plan_of("B").cylinders[0].contents_lb == 0.0


def test_a_job_that_the_hookup_stops_leaves_nothing_behind() -> None:
    jobs = (job("A", "08:00"), job("B", "13:00"))
    assert planned(*jobs).plan_of("B").cylinders[0].contents_lb == 10.0
    assert planned(*jobs, stopped=frozenset({"A"})).plan_of("B").cylinders[0].contents_lb == 0.0


def test_a_filed_job_leaves_what_the_ledger_says() -> None:
    tonight: Mapping[str, CylinderState] = {"C-1": CylinderState("C-1", "R-22", 8.4, "A")}
    day = planned(job("A", "08:00"), job("B", "13:00"), filed=frozenset({"A"}), tonight=tonight)
    assert day.plan_of("A").cylinders[0].contents_lb == 0.0
    assert day.plan_of("B").cylinders[0].start == tonight["C-1"]
    assert told(day, "B") == {}


@pytest.mark.parametrize(
    ("field", "code"),
    [("technician", "technician-two-places"), ("machine", "machine-two-places"), ("scale", "scale-two-places")],
)
def test_people_and_things_are_in_one_place_at_a_time(field: str, code: str) -> None:
    same = {field: getattr(job("A", "08:00"), field)}
    day = planned(job("A", "08:00"), job("B", "08:20", **OTHER | same))
    assert code in told(day, "A")
    assert told(day, "B")[code].endswith("is also on A (08:00) at that time.")
    later = planned(job("A", "08:00"), job("B", "15:00", **OTHER | same))
    assert code not in told(later, "A")
    assert code not in told(later, "B")


def test_what_is_not_chosen_yet_is_in_no_place() -> None:
    blank = {"machine": "auto", "scale": "auto", "cylinders": ()}
    day = planned(job("A", "08:00", **blank), job("B", "08:20", **OTHER | blank), job("C", "15:00", **OTHER | blank))
    for name in "ABC":
        assert {code for code in told(day, name) if code != "not-assigned"} == set()


def test_a_supervisor_counts_as_being_there() -> None:
    day = planned(job("A", "08:00"), job("B", "08:20", **OTHER | {"technician": "cy", "supervisor": "ada"}))
    assert told(day, "B") == {"technician-two-places": "Ada Wren is also on A (08:00) at that time."}


@pytest.mark.parametrize("typed", ["ada", "Ada Wren", "ada wren"])
def test_a_second_person_counts_as_being_there_by_id_or_by_name(typed: str) -> None:
    day = planned(job("A", "08:00"), job("B", "08:20", **OTHER | {"second": typed}))
    assert told(day, "B") == {"technician-two-places": "Ada Wren is also on A (08:00) at that time."}
    assert "Ada Wren is also on B (08:20)" in told(day, "A")["technician-two-places"]
    assert told(planned(job("A", "08:00"), job("B", "15:00", **OTHER | {"second": typed})), "B") == {}


def test_a_stranger_is_second_in_one_place_at_a_time_and_the_sites_own_anywhere() -> None:
    names = {"second": "Ottoline Marsh"}
    day = planned(job("A", "08:00", **names), job("B", "08:20", **OTHER | names))
    assert told(day, "B") == {"technician-two-places": "Ottoline Marsh is also on A (08:00) at that time."}
    on_site = {"second": "on-site"}
    assert told(planned(job("A", "08:00", **on_site), job("B", "08:20", **OTHER | on_site)), "B") == {}


def test_a_job_may_begin_when_the_one_before_ends() -> None:
    first = planned(job("A", "08:00")).spans[0]
    minutes = int(-(-first.end_min // 1))
    after = f"{minutes // 60:02}:{minutes % 60:02}"
    before = f"{(minutes - 2) // 60:02}:{(minutes - 2) % 60:02}"
    assert "technician-two-places" not in told(planned(job("A", "08:00"), job("B", after, cylinders=("C-2",))), "B")
    assert "technician-two-places" in told(planned(job("A", "08:00"), job("B", before, cylinders=("C-2",))), "B")


def test_a_cylinder_cannot_be_filled_by_two_jobs_of_a_truck_at_once() -> None:
    two = job("B", "08:20", technician="bo", machine="RM-2", scale="SC-2")
    day = planned(job("A", "08:00"), two)
    assert set(told(day, "A")) == {"cylinder-two-places"}


def test_a_machine_that_changes_refrigerant_must_be_cleared() -> None:
    day = planned(job("A", "08:00"), job("B", "13:00", refrigerant="R-134a", cylinders=("C-2",)), job("C", "16:00"))
    assert "machine-changes-refrigerant" not in told(day, "A")
    assert told(day, "B") == {
        "machine-changes-refrigerant": "Machine RM-1 comes from A with R-22: clear and evacuate it, new drier, before this job."
    }
    assert "with R-134a" in told(day, "C")["machine-changes-refrigerant"]
    # each plan's machine holds what the job before put through it: that is what the steps to clear it go by
    held = {plan.job.job: plan.machine.last_refrigerant for plan in day.plans if plan.machine}
    assert held == {"A": None, "B": "R-22", "C": "R-134a"}
    assert [item.id for item in day.loads[0].machines] == ["RM-1"]


def test_a_stopped_job_puts_nothing_through_its_machine() -> None:
    """Its technician has no certification for the gas: the job stays, and the machine comes to the next as it was."""
    stopped = job("A", "08:00", technician="cy")
    day = planned(stopped, job("B", "13:00", refrigerant="R-134a", cylinders=("C-2",)))
    assert not next(plan for plan in day.plans if plan.job.job == "A").may_go_out
    held = {plan.job.job: plan.machine.last_refrigerant for plan in day.plans if plan.machine}
    assert held == {"A": None, "B": None}
    # found later, by the hookup
    late = plan_day(
        (job("A", "08:00"), job("B", "13:00", refrigerant="R-134a", cylinders=("C-2",))),
        REGISTERS,
        opening(REGISTERS),
        stopped=frozenset({"A"}),
    )
    held = {plan.job.job: plan.machine.last_refrigerant for plan in late.plans if plan.machine}
    assert held == {"A": None, "B": None}


def test_the_register_says_what_a_machine_last_held() -> None:
    assert (
        "comes from the register with R-134a"
        in told(planned(job("A", "08:00", machine="RM-3")), "A")["machine-changes-refrigerant"]
    )
    quiet = planned(job("A", "08:00", machine="RM-3", refrigerant="R-134a"))
    assert told(quiet, "A") == {}


def test_a_machine_for_two_trucks_in_turn_is_handed_over() -> None:
    day = planned(job("A", "08:00"), job("B", "15:00", **OTHER | {"machine": "RM-1"}))
    free, place = clock(day.spans[0].end_min), day.plans[0].job.site.name
    assert told(day, "B") == {
        "handed-over": f"RM-1 comes from truck T1: free at about {free} at {place} (A), needed here at 15:00."
    }
    assert told(day, "A") == {
        "handed-on": f"RM-1 goes to truck T2 after this job, at about {free}: needed at 15:00 at {place} (B)."
    }


def at_site(one: Job, name: str) -> Job:
    return one.model_copy(update={"site": one.site.model_copy(update={"name": name})})


def test_a_truck_is_in_one_place_at_a_time_unless_it_is_one_site() -> None:
    # another technician with other equipment, on the same truck
    beside = job("B", "08:10", **OTHER | {"truck": "T1"})
    assert "truck-two-places" not in told(planned(job("A", "08:00"), beside), "A")
    day = planned(job("A", "08:00"), at_site(beside, "Elsewhere"))
    for name, other in (("A", "B (08:10)"), ("B", "A (08:00)")):
        assert told(day, name)["truck-two-places"] == (f"Truck T1 is also on {other} at that time, at another site.")


def test_the_way_between_two_sites_takes_time() -> None:
    end = planned(job("A", "08:00")).spans[0].end_min
    soon = f"{int(end + 10) // 60:02}:{int(end + 10) % 60:02}"
    elsewhere = at_site(job("B", soon, cylinders=("C-2",)), "Elsewhere")
    assert "travel-short" not in told(planned(job("A", "08:00"), job("B", soon, cylinders=("C-2",))), "B")
    said = told(planned(job("A", "08:00"), elsewhere), "B")["travel-short"]
    assert said.startswith(f"Truck T1 leaves A at about {clock(end)}: ")
    assert said.endswith("min to get here, and the way takes 20 min.")
    # the shop knows this way to be short, or all ways to be
    shop = REGISTERS.shop
    way = Way(between=(job("A", "08:00").site.name, "elsewhere"), minutes=5)
    for changed in (
        {"travel": (way,)},
        {"policy": shop.policy.model_copy(update={"travel_minutes": 5.0})},
    ):
        near = REGISTERS.model_copy(update={"shop": shop.model_copy(update=changed)})
        day = plan_day((job("A", "08:00"), elsewhere), near, opening(near))
        assert "travel-short" not in told(day, "B")


def test_a_truck_carries_everything_once() -> None:
    day = planned(job("A", "08:00"), job("B", "13:00", charge_lb=5.0, cylinders=("C-1", "C-3")))
    (load,) = day.loads
    assert [ride.cylinder.id for ride in load.rides] == ["C-1", "C-3"]
    assert [item.id for item in load.machines] == ["RM-1"]
    assert [item.id for item in load.technicians] == ["ada"]
    first, second = load.rides
    assert [(visit.job, visit.start_lb, visit.put_in_lb) for visit in first.visits] == [
        ("A", 0.0, 10.0),
        ("B", 10.0, 5.0),
    ]
    assert (first.out_gross_lb, first.back_gross_lb, second.out_gross_lb) == (28.0, 43.0, 48.0)
    # standing 100 + tare of 28 + 20 in C-3; C-1 goes out empty and evacuated, a weight and no material of trade
    assert (first.out_counts, first.back_counts) == ("weight", "trade")
    assert load.out_total_lb.value == pytest.approx(100 + 48)
    assert load.back_total_lb.value == pytest.approx(100 + 43 + 48)


def test_each_job_knows_what_its_truck_carries_after_it() -> None:
    day = planned(job("A", "08:00"), job("B", "13:00", cylinders=("C-3",)))
    totals = [plan.carrying.total_lb.value for plan in day.plans if plan.carrying]
    # the afternoon's cylinder rides along in the morning
    assert totals == [pytest.approx(100 + 38 + 48), pytest.approx(100 + 38 + 58)]


def test_a_truck_over_the_limit_of_materials_of_trade_is_told_from_the_job_that_passes_it() -> None:
    heavy = tuple(cylinder(f"K-{number}", max_gross_lb=70.0, flammable_rated=True) for number in range(11))
    registers = REGISTERS.model_copy(update={"cylinders": REGISTERS.cylinders + heavy})
    names = tuple(item.id for item in heavy)
    jobs = (
        job("A", "06:00", cylinders=names[:6], charge_lb=20.0),
        job("B", "15:00", cylinders=names[6:], charge_lb=20.0),
    )
    day = plan_day(jobs, registers, opening(registers))
    # kept for flammable gas, so the empty ones count; standing 100, eleven tares of 28: 408 in the morning; 428 after A, 448 after B (49 CFR 173.6: 440)
    assert "carry-truck-over" not in told(day, "A")
    assert "Truck T1 will carry 448.0 lb, above 440 lb" in told(day, "B")["carry-truck-over"]


def test_what_goes_back_into_the_same_appliance_is_not_carried_home() -> None:
    back = job("A", "08:00")
    back = back.model_copy(update={"work": back.work.model_copy(update={"disposition": "same-appliance"})})
    day = planned(back, job("B", "13:00", cylinders=("C-3",)))
    (load,) = day.loads
    assert [ride.back_lb for ride in load.rides] == [0.0, 30.0]
    # residue is left in C-1: its tare counts; 100 + 28 + 48 after A, 10 more in C-3 after B
    assert [plan.carrying.total_lb.value for plan in day.plans if plan.carrying] == [176.0, 186.0]
    assert load.back_total_lb.value == pytest.approx(186.0)
    assert "10.0 lb goes back into the same appliance" in next(
        item.message for item in day.plan_of("A").findings if item.code == "carry-stays"
    )


def test_a_day_has_one_date() -> None:
    with pytest.raises(ValueError, match="one date, not of 0"):
        planned()
    with pytest.raises(ValueError, match="one date, not of 2"):
        planned(job("A", "08:00"), job("B", "08:00").model_copy(update={"date": date(2026, 11, 27)}))


def test_the_day_of_the_same_jobs_is_the_same_whatever_their_order() -> None:
    jobs = [job("A", "08:00"), job("B", "13:00"), job("C", "08:00", **OTHER)]
    assert planned(*jobs) == planned(*reversed(jobs))
