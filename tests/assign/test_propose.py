"""What `packet assign` proposes passes the planning that prints the packet, and nothing better would."""

import shutil
from collections.abc import Iterator
from datetime import time
from itertools import permutations, product
from pathlib import Path
from typing import Any

import pytest

from packet.assign.propose import Assignment, assign_day
from packet.assign.words import assigned_files, assignment_lines
from packet.assign.write import write_assignment
from packet.ledger.state import CylinderState, opening
from packet.plan.day import plan_day
from packet.plan.day_model import Day
from packet.shop.checks import AUTO
from packet.shop.load import load_day, load_registers
from packet.shop.records import Job, Month, Registers, Scale, Truck
from tests.plan.builders import DEMO, cylinder, job, machine, registers

MIDDLE: dict[str, Any] = {"water_capacity_lb": 80.0, "tare_lb": 45.0}
SCALES = tuple(Scale(id=name, capacity_lb=220, resolution_lb=0.1) for name in ("SC-1", "SC-2"))
ABOUT_CYLINDERS = ("cylinder-", "cylinders-", "unknown-gas")
COLUMN = {"liquid_column": True}
TRUCKS = {"trucks": (Truck(id="T1"), Truck(id="T2"))}


def assigned(shop: Registers, *jobs: Job) -> Assignment:
    return assign_day(jobs, shop, opening(shop))


def cylinders_of(found: Assignment) -> dict[str, tuple[str, ...]]:
    return {item.job.job: item.cylinders for item in found.proposals}


def stops_about_cylinders(day: Day) -> list[str]:
    return [
        item.code for _, item in day.findings() if item.severity == "stop" and item.code.startswith(ABOUT_CYLINDERS)
    ]


def test_what_is_proposed_for_the_demo_days_passes(tmp_path: Path) -> None:
    for day in ("2026-11-26", "2026-11-27"):
        shop = load_registers(DEMO).value
        assert shop is not None
        jobs = load_day(DEMO / day, shop).value
        assert jobs
        found = assigned(shop, *jobs)
        assert found.proven
        assert found.fetch == ()
        assert stops_about_cylinders(found.day) == []


def test_written_into_the_files_it_is_what_was_proposed(tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "jobs")
    folder = tmp_path / "jobs" / "2026-11-27"
    shop = load_registers(tmp_path / "jobs").value
    assert shop is not None
    before = {path.name: path.read_text("utf-8") for path in folder.iterdir()}
    found = assigned(shop, *(load_day(folder, shop).value or ()))
    changes = assigned_files(found, {path.stem: path for path in folder.iterdir()})
    written = write_assignment(changes)
    assert len(written) == found.measure.changed > 0
    jobs = load_day(folder, shop).value or ()
    assert {item.job: (item.machine, item.cylinders) for item in jobs} == {
        item.job.job: (item.machine, item.cylinders) for item in found.proposals
    }
    for path in folder.iterdir():
        changed = [
            new
            for old, new in zip(before[path.name].splitlines(), path.read_text("utf-8").splitlines(), strict=True)
            if old != new
        ]
        assert all(line.startswith(("cylinders:", "machine:")) for line in changed)
        assert bool(changed) == (path in written)
    # what is there already is proposed again: a second time changes nothing
    assert assigned(shop, *jobs).measure.changed == 0
    assert write_assignment(changes) == ()


def every_assignment(jobs: tuple[Job, ...], shop: Registers) -> Iterator[Day]:
    """The day planned with every choice of cylinders in every order, for every job."""
    names = [item.id for item in shop.cylinders]
    ways = [way for count in range(1, len(names) + 1) for way in permutations(names, count)]
    for chosen in product(ways, repeat=len(jobs)):
        named = [item.model_copy(update={"cylinders": way}) for item, way in zip(jobs, chosen, strict=True)]
        yield plan_day(named, shop, opening(shop))


def measured(day: Day, shop: Registers) -> tuple[int, int, int, int]:
    """Jobs that lose push-pull, empty cylinders begun, cylinders carried, hundredths of a pound lifted: from the plans."""
    held = opening(shop)
    named = {name for plan in day.plans for name in plan.job.cylinders}
    lifted = [
        round((item.contents_lb + item.planned_lb.value + item.cylinder.tare_lb) * 100)
        for plan in day.plans
        for item in plan.cylinders
    ]
    slow = sum(plan.method is not None and plan.method.chosen != "push-pull" for plan in day.plans)
    return slow, sum(held[name].refrigerant is None for name in named), len(named), sum(lifted)


@pytest.mark.parametrize(
    ("shop", "jobs"),
    [
        (
            registers(
                cylinder("C-1", **MIDDLE),
                cylinder("C-2", **MIDDLE | {"tare_lb": 46.0}),
                cylinder("C-3", **MIDDLE, refrigerant="R-22", contents_lb=4.0),
                shop=TRUCKS,
            ),
            (
                job("R-22", 30.0, job="A", start=time(7), appliance=COLUMN),
                job("R-22", 25.0, job="B", start=time(14), appliance=COLUMN),
            ),
        ),
        (
            registers(
                cylinder("S-1"),
                cylinder("S-2", refrigerant="R-22", contents_lb=3.0),
                cylinder("C-1", **MIDDLE, valves=("vapor",)),
                shop=TRUCKS,
                scales=SCALES,
                machines=(machine("RM-1"), machine("RM-2")),
            ),
            (
                job("R-22", 22.0, job="A", start=time(8), appliance=COLUMN),
                job("R-22", 45.0, job="B", start=time(8), truck="T2", machine="RM-2", scale="SC-2", appliance=COLUMN),
            ),
        ),
    ],
)
def test_nothing_better_passes_on_a_small_day(shop: Registers, jobs: tuple[Job, ...]) -> None:
    found = assigned(shop, *jobs)
    assert found.proven
    assert found.measure.unserved == 0
    best = min(measured(day, shop) for day in every_assignment(jobs, shop) if not stops_about_cylinders(day))
    assert found.measure[1:5] == best == measured(found.day, shop)


def test_a_job_with_no_room_says_how_many_of_which_rating_to_fetch() -> None:
    shop = registers(cylinder("C-1"), cylinder("C-2", tested=Month(year=2019, month=1)))
    found = assigned(shop, job("R-410A", 100.0, job="A", cylinders=()))
    # 110 lb with the allowance; R-410A needs 4/5 of its 484 psig at 131 °F (49 CFR 173.301a): 388 psig
    ((name, sentence),) = found.fetch
    assert name == "A"
    room = found.day.plan_of("A").needs
    assert sentence.startswith(
        "Fetch 2 more cylinders empty and evacuated or with R-410A in it, service pressure 388 psig or more"
    )
    assert "Free already: C-1" in sentence
    assert room  # the packet's own sheet says what is missing, too


def test_flammable_gas_asks_for_cylinders_rated_for_it() -> None:
    shop = registers(cylinder("C-1", flammable_rated=False))
    ((_, sentence),) = assigned(shop, job("R-32", 5.0, cylinders=())).fetch
    assert "rated for flammable gas" in sentence
    assert "the register has none of a kind that is fit" in sentence


def test_a_burnouts_cylinder_begins_empty_and_is_not_used_again() -> None:
    shop = registers(cylinder("C-1", refrigerant="R-22", contents_lb=3.0), cylinder("C-2"), cylinder("C-3"))
    burnt = job("R-22", 9.0, job="A", start=time(8), work={"burnout": True})
    found = cylinders_of(assigned(shop, burnt, job("R-22", 9.0, job="B", start=time(13))))
    assert found == {"A": ("C-2",), "B": ("C-1",)}


def test_unknown_gas_goes_to_the_cylinder_kept_for_it() -> None:
    shop = registers(cylinder("C-1"), cylinder("M-1", refrigerant="mixed"))
    found = cylinders_of(assigned(shop, job("unknown", 5.0, job="A"), job("R-22", 5.0, job="B", start=time(14))))
    assert found == {"A": ("M-1",), "B": ("C-1",)}


def test_a_job_that_cannot_be_served_gives_up_what_another_needs() -> None:
    shop = registers(cylinder("C-1"), shop=TRUCKS)
    large = job("R-22", 90.0, job="A", cylinders=("C-1",))
    small = job("R-22", 9.0, job="B", cylinders=("C-1",), truck="T2", start=time(15))
    found = assigned(shop, large, small)
    assert cylinders_of(found) == {"A": (), "B": ("C-1",)}
    assert {name for name, _ in found.fetch} == {"A"}
    assert found.day.plan_of("B").may_go_out


def test_a_machine_that_is_not_fit_is_replaced_and_a_fit_one_stays() -> None:
    low = machine("RM-L", pressure_classes=("low",))
    shop = registers(machines=(low, machine("RM-1"), machine("RM-2")))
    found = assigned(
        shop, job("R-22", 9.0, job="A", machine="RM-L"), job("R-22", 9.0, job="B", start=time(13), machine="RM-2")
    )
    assert {item.job.job: item.machine for item in found.proposals} == {"A": "RM-2", "B": "RM-2"} or {
        item.job.job: item.machine for item in found.proposals
    } == {"A": "RM-1", "B": "RM-2"}
    assert found.machines.without == 0
    assert found.machines.changed == 1


def test_one_machine_is_not_on_two_trucks_at_once() -> None:
    shop = registers(cylinder("C-1"), cylinder("C-2"), machines=(machine("RM-1"), machine("RM-2")), shop=TRUCKS)
    found = assigned(shop, job("R-22", 9.0, job="A"), job("R-22", 9.0, job="B", truck="T2"))
    assert sorted(item.machine for item in found.proposals) == ["RM-1", "RM-2"]


def test_a_filed_job_keeps_its_cylinder_on_its_truck() -> None:
    shop = registers(cylinder("C-1"), cylinder("C-2", tare_lb=30.0), shop=TRUCKS)
    done = job("R-22", 9.0, job="A", start=time(7))
    there = job("R-22", 9.0, job="B", truck="T2", start=time(13), cylinders=())
    here = job("R-22", 9.0, job="C", truck="T1", start=time(15), cylinders=())
    tonight = dict(opening(shop)) | {"C-1": CylinderState("C-1", "R-22", 8.5, "A")}
    found = assign_day((done, there, here), shop, opening(shop), tonight=tonight, filed=frozenset({"A"}))
    assert cylinders_of(found) == {"B": ("C-2",), "C": ("C-1",)}
    assert found.day.plan_of("C").cylinders[0].contents_lb == 8.5


def test_the_terminal_hears_what_would_change_and_why() -> None:
    shop = registers(cylinder("C-1"), cylinder("C-2", refrigerant="R-22", contents_lb=3.0))
    found = assigned(shop, job("R-22", 9.0, job="A", cylinders=("C-1",)))
    lines = assignment_lines(found)
    room_lb = found.day.plan_of("A").cylinders[0].free_lb.value
    assert lines[:5] == [
        "A, truck T1 at 08:30",
        "  cylinders: C-2 (the file says C-1)",
        "  machine: RM-1, as in the file",
        "  scale: SC-1, as in the file",
        f"  C-2: 3.0 lb in it, 9.0 lb to come, room for {room_lb:.1f} lb",
    ]
    assert lines[-1] == "Nothing better exists."


def test_without_one_what_to_fetch_for_an_analyzed_gas_is_a_cylinder_kept_for_mixed_gas() -> None:
    own = job("R-22 62 % + R-134a 38 %", 10.0, cylinders=(), appliance={"analysis": "identifier, 2026-11-25"})
    ((_, sentence),) = assigned(registers(cylinder("C-1")), own).fetch
    assert "kept for mixed gas" in sentence
    assert "empty and evacuated" not in sentence


def test_an_analyzed_gas_is_given_a_cylinder_kept_for_mixed_gas() -> None:
    own = "R-22 62 % + R-134a 38 %"
    shop = registers(
        cylinder("C-1"), cylinder("C-2", refrigerant="R-22", contents_lb=2.0), cylinder("M-1", refrigerant="mixed")
    )
    found = assigned(shop, job(own, 10.0, cylinders=(), appliance={"analysis": "identifier, 2026-11-25"}))
    assert cylinders_of(found) == {"HP-1": ("M-1",)}
    assert stops_about_cylinders(found.day) == []


def test_blanks_are_filled_machine_scale_and_cylinders() -> None:
    shop = registers(cylinder("C-1"))
    blank = job("R-22", 9.0, job="A", machine=AUTO, scale=AUTO, cylinders=())
    (item,) = assigned(shop, blank).proposals
    assert (item.machine, item.scale, item.cylinders) == ("RM-1", "SC-1", ("C-1",))
    assert assigned(shop, blank).day.plan_of("A").may_go_out


def test_why_a_job_gets_no_machine_is_said() -> None:
    burns = job("R-290", 0.8, job="A", machine=AUTO, cylinders=())
    plain = registers(cylinder("C-1", flammable_rated=True), machines=(machine("RM-1", flammable_rated=False),))
    found = assigned(plain, burns)
    (said,) = (line for line in assignment_lines(found) if "No machine of the register will do" in line)
    assert "R-290 is flammable (A3) and machine RM-1 is not rated for flammable refrigerant." in said
    one = job("R-22", 9.0, job="A", machine=AUTO, cylinders=())
    other = one.model_copy(update={"job": "B", "truck": "T2", "technician": "bo"})
    shop = registers(cylinder("C-1"), cylinder("C-2"), shop=TRUCKS)
    assert [sentence for _, sentence in assigned(shop, one, other).without_machine] == [
        "Every machine that would do is in use at that time: start later, or hire one."
    ]
    assert assigned(shop, one).without_machine == ()


def test_two_jobs_at_once_get_two_scales_and_the_coarse_one_only_where_the_fine_are_out() -> None:
    scales = (
        Scale(id="SC-1", capacity_lb=220, resolution_lb=0.1),
        Scale(id="SC-9", capacity_lb=2500, resolution_lb=0.5),
    )
    shop = registers(
        cylinder("C-1"), cylinder("C-2"), shop=TRUCKS, scales=scales, machines=(machine("RM-1"), machine("RM-2"))
    )
    one = job("R-22", 9.0, job="A", scale=AUTO, cylinders=())
    assert assigned(shop, one).proposals[0].scale == "SC-1"
    other = one.model_copy(update={"job": "B", "truck": "T2", "technician": "bo", "machine": "RM-2"})
    assert {item.job.job: item.scale for item in assigned(shop, one, other).proposals} == {"A": "SC-1", "B": "SC-9"}


def test_a_scale_that_is_the_limit_is_named() -> None:
    scales = (
        Scale(id="SC-1", capacity_lb=40, resolution_lb=0.1),
        Scale(id="SC-9", capacity_lb=500, resolution_lb=0.1),
    )
    shop = registers(cylinder("C-1"), cylinder("C-2"), scales=scales)
    (item,) = assigned(shop, job("R-22", 15.0, job="A", cylinders=())).proposals
    assert (len(item.cylinders), item.better_scale) == (2, "SC-9")


def test_a_job_that_is_printed_stays_as_it_is_and_keeps_what_it_has() -> None:
    shop = registers(
        cylinder("C-1"),
        cylinder("C-2", refrigerant="R-22", contents_lb=3.0),
        shop=TRUCKS,
        machines=(machine("RM-1"), machine("RM-2")),
    )
    out = job("R-22", 9.0, job="A", cylinders=("C-1",))
    open_yet = job("R-22", 9.0, job="B", truck="T2", machine=AUTO, cylinders=())
    found = assign_day((out, open_yet), shop, opening(shop), kept=frozenset({"A"}))
    assert found.kept == ("A",)
    assert cylinders_of(found) == {"B": ("C-2",)}
    assert found.proposals[0].machine == "RM-2"  # RM-1 is out with A at that time
    assert found.day.plan_of("A").job == out
    # asked for, it gets the better cylinder
    assert cylinders_of(assign_day((out,), shop, opening(shop))) == {"A": ("C-2",)}
