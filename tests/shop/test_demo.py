"""The demo shop is in order and holds what it promises: nine jobs that may go out, and a day of troubles."""

from collections import Counter
from pathlib import Path

from packet.ledger.state import opening
from packet.plan.day import plan_day
from packet.shop.load import check, day_folders, load_day, load_registers
from packet.shop.records import Job, Registers

JOBS = Path(__file__).parents[2] / "jobs"
FIRST, SECOND, THIRD = (JOBS / day for day in ("2026-11-26", "2026-11-27", "2026-12-01"))


def registers() -> Registers:
    value = load_registers(JOBS).value
    assert value is not None
    return value


def day(folder: Path) -> tuple[Job, ...]:
    loaded = load_day(folder, registers())
    assert loaded.value is not None
    assert loaded.problems == ()
    return loaded.value


def test_nothing_is_wrong_in_the_demo_files() -> None:
    assert check([JOBS]) == ()
    assert day_folders(JOBS) == (FIRST, SECOND, THIRD)


def test_the_first_day_is_the_one_that_was_asked_for() -> None:
    jobs = day(FIRST)
    assert [(job.appliance.refrigerant, job.appliance.kind) for job in jobs] == [
        ("R-410A", "packaged"),
        ("R-22", "walk-in"),
        ("R-404A", "rack"),
        ("R-410A", "heat-pump"),
        ("R-407C", "split"),
        ("R-454B", "split"),
        ("R-290", "small-appliance"),
        ("R-134a", "chiller"),
        ("R-123", "chiller"),
    ]
    by_id = {job.job: job for job in jobs}
    assert by_id["HP-1042"].site.space == "basement"
    assert by_id["HP-1042"].appliance.receiver
    assert by_id["HP-1042"].work.reason == "disposal"
    assert by_id["HP-1043"].appliance.charge_lb == 240
    assert len(by_id["HP-1043"].cylinders) > 2
    assert (by_id["HP-1044"].appliance.charge_lb, by_id["HP-1044"].appliance.reversing_valve) == (9, True)
    assert by_id["HP-1045"].work.burnout
    assert (by_id["HP-1048"].appliance.charge_lb, by_id["HP-1048"].site.elevation_ft) == (310, 5280)


def test_all_nine_may_go_out_and_the_second_day_shows_what_stops_a_job() -> None:
    the_shop = registers()
    codes = {}
    for folder in (FIRST, SECOND):
        for plan in plan_day(day(folder), the_shop, opening(the_shop)).plans:
            codes[plan.job.job] = {item.code for item in plan.findings if item.severity == "stop"}
    assert {job for job, stops in codes.items() if not stops} == {*(f"HP-104{n}" for n in range(1, 10)), "HP-1056"}
    assert codes["HP-1051"] >= {"cylinder-out-of-test", "cylinder-pressure-131F"}
    assert codes["HP-1052"] == {"technician-not-certified"}
    assert codes["HP-1053"] == {"forced-method-breaks-rule"}
    assert codes["HP-1054"] == codes["HP-1055"] == {"cylinder-two-trucks"}


def test_the_methods_are_the_ones_that_were_asked_for() -> None:
    the_shop = registers()
    plans = {plan.job.job: plan for plan in plan_day(day(FIRST), the_shop, opening(the_shop)).plans}
    chosen = {job: plan.method.chosen for job, plan in plans.items() if plan.method}
    assert chosen["HP-1042"] == "push-pull"
    assert set(chosen.values()) == {"push-pull", "liquid", "vapor"}
    heat_pump = plans["HP-1044"].method
    assert heat_pump is not None
    # common practice, no source: less than 10 lb, and a reversing valve
    assert [len(item.reasons) for item in heat_pump.rejected if item.method == "push-pull"] == [2]
    assert sum(item.planned_lb.value > 0 for item in plans["HP-1043"].cylinders) >= 3


def test_on_the_first_day_every_cylinder_goes_to_one_job() -> None:
    assigned = Counter(cylinder for job in day(FIRST) for cylinder in job.cylinders)
    assert max(assigned.values()) == 1


def test_the_register_holds_every_sort_of_cylinder() -> None:
    cylinders = registers().cylinders
    assert len(cylinders) >= 25
    assert any(item.spec == "DOT-39" for item in cylinders)
    assert any(item.out_of_service for item in cylinders)
    assert any(item.flammable_rated for item in cylinders)
    assert any(item.refrigerant == "mixed" for item in cylinders)
    assert any(item.valves == ("vapor",) for item in cylinders)
    assert any(item.float_switch for item in cylinders)
    assert any(item.owner for item in cylinders)
    assert any(item.typed_key("tare_lb") == "tare_kg" for item in cylinders)
    assert any(item.tested and (item.tested.year, item.tested.month) < (2021, 11) for item in cylinders)


def test_people_and_places_are_nobodys() -> None:
    # 555-0100 to 555-0199 is kept for fiction by the North American Numbering Plan; .example by RFC 2606.
    text = "\n".join(path.read_text(encoding="utf-8") for path in sorted(JOBS.rglob("*.yaml")))
    assert text.count("555-") == text.count("555-01")
    assert text.count("://") == text.count("://records.example")
