"""Each weight on the front sheet and in the log's reminder is the plan's number of that name, in the shop's units."""

import re
from decimal import Decimal

import pytest

from packet.sheets.model import Entry, Fill, Front, Log
from packet.sheets.show import show
from packet.units import UnitSystem

from .demo import JOBS as DEMO_JOBS
from .demo import composed, planned, strings

# several cylinders; one that holds gas already
JOBS = ("HP-1043", "HP-1042")


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("name", JOBS)
def test_the_front_says_each_weight_of_each_cylinder(name: str, units: UnitSystem) -> None:
    plan = planned(name, units)[0]
    way = show(plan)
    (front,) = [sheet for sheet in composed(name, units).sheets if isinstance(sheet, Front)]
    assert [stop.cylinder for stop in front.stops] == [item.cylinder.id for item in plan.cylinders]
    for stop, item in zip(front.stops, plan.cylinders, strict=True):
        beside = {entry.label: entry.value for entry in stop.beside}
        assert stop.stop == way.weight_value(item.stop_gross_lb.value)
        assert beside["Never above"] == way.weight(item.limit_gross_lb.value)
        assert beside["Expected final"] == way.weight(item.planned_gross_lb)
        assert beside.get("Swap at") == (
            None if item.change_at_gross_lb is None else way.weight(item.change_at_gross_lb.value)
        )
        assert stop.before.value == way.weight(item.expected_bare_gross_lb.value)


def test_the_numbers_compared_are_not_the_same() -> None:
    """Else the test above could not tell one for another."""
    items = [item for name in JOBS for item in planned(name)[0].cylinders]
    assert any(item.contents_lb > 0.0 for item in items)
    assert any(item.planned_gross_lb < item.stop_gross_lb.value for item in items)
    assert all(item.stop_gross_lb.value < item.limit_gross_lb.value for item in items)


@pytest.mark.parametrize("name", JOBS)
def test_the_log_reminds_of_the_stop_weight(name: str) -> None:
    plan = planned(name)[0]
    way = show(plan)
    (log,) = [sheet for sheet in composed(name).sheets if isinstance(sheet, Log)]
    for item in plan.cylinders:
        weight, pressure = way.weight(item.stop_gross_lb.value), way.pressure_limit(item.stop_and_cool_psig.value)
        said = [line for line in log.reminder if line.startswith(item.cylinder.id)]
        assert [weight in line and pressure in line for line in said] == [True]


DECIMAL = re.compile(r"(\d+\.\d+) (lb|kg)\b")
every_job = pytest.mark.parametrize("name", [name for name in DEMO_JOBS if composed(name).may_go_out])
both = pytest.mark.parametrize("units", ["US", "SI"])


@both
@every_job
def test_no_weight_is_written_in_two_ways(name: str, units: UnitSystem) -> None:
    """144.0 on the front and 144.00 in the steps are one weight and look like two; what a truck carries is no weight of
    the job, and stands outside its revision."""
    content = composed(name, units)
    told = {figure for text in strings(content.sheets) for figure, _ in DECIMAL.findall(text)}
    twice = {
        (short, long)
        for short in told
        for long in told
        if len(short.partition(".")[2]) < len(long.partition(".")[2]) and Decimal(short) == Decimal(long)
    }
    assert len(told) > 5
    assert twice == set()


@both
@every_job
def test_no_net_of_the_table_brings_a_cylinder_above_its_limit(name: str, units: UnitSystem) -> None:
    """As printed: tare and net are added up by whoever reads them, and the front says what is never exceeded."""
    plan, content = planned(name, units)[0], composed(name, units)
    (front,) = [sheet for sheet in content.sheets if isinstance(sheet, Front)]
    (fill,) = [sheet for sheet in content.sheets if isinstance(sheet, Fill)]
    never = {stop.cylinder: Decimal(dict_of(stop.beside)["Never above"].split()[0]) for stop in front.stops}
    way, seen = show(plan), 0
    for item in plan.cylinders:
        tare = Decimal(way.weight_value(item.cylinder.tare_lb))
        (size,) = [size for size in fill.sizes if item.cylinder.id in size.title.split(", ")]
        at = 2 + 4 * size.title.split(", ").index(item.cylinder.id)
        for row in size.table.rows:
            seen += 1
            # a tare that is not stamped in the shop's unit is printed rounded
            assert Decimal(row[at]) + tare <= never[item.cylinder.id] + Decimal("0.06") * (units == "SI")
    assert seen > 10


@both
@every_job
def test_the_quick_rule_is_too_much_by_what_the_printed_weights_say(name: str, units: UnitSystem) -> None:
    plan, content = planned(name, units)[0], composed(name, units)
    (front,) = [sheet for sheet in content.sheets if isinstance(sheet, Front)]
    (fill,) = [sheet for sheet in content.sheets if isinstance(sheet, Fill)]
    words = " ".join(text for size in fill.sizes for text in size.words)
    for stop, item in zip(front.stops, plan.cylinders, strict=True):
        (quick,) = re.findall(rf"{item.cylinder.id} (\d+\.\d+) (?:lb|kg)", words)
        cautions = [tick.text for tick in front.go if "quick rule" in tick.text and item.cylinder.id in tick.text]
        assert bool(cautions) is item.quick_rule_is_unsafe
        for said in cautions:
            ((over, _),) = DECIMAL.findall(said)
            assert over in words
            assert Decimal(over) == Decimal(quick) - Decimal(dict_of(stop.beside)["Never above"].split()[0])


@every_job
def test_the_table_of_limits_has_round_temperatures_in_the_shops_unit(name: str) -> None:
    """An SI shop's steps are of 5 °C, from the first at or above the policy's 20 °F to the first at or above its 130 °F
    (54.4 °C): who stands between two rows takes the warmer. The job's own hottest is cut off, never rounded up."""
    plan, content = planned(name, "SI")[0], composed(name, "SI")
    (fill,) = [sheet for sheet in content.sheets if isinstance(sheet, Fill)]
    hottest = (plan.job.conditions.hottest_F - 32.0) / 1.8
    for size in fill.sizes:
        at = [row[0].replace("−", "-") for row in size.table.rows]
        assert [float(value) for value in at] == sorted({float(value) for value in at})
        others = [value for number, value in enumerate(at) if number != size.table.strong]
        assert set(others) <= {str(value) for value in range(-5, 60, 5)}
        assert size.table.strong is not None
        assert hottest - 0.1 < float(at[size.table.strong]) <= hottest + 1e-6
        if not plan.mixed_or_unknown and plan.refrigerant and plan.refrigerant.name in {"R-22", "R-134a", "R-410A"}:
            assert {"−5".replace("−", "-"), "55"} <= set(at)


def dict_of(entries: tuple[Entry, ...]) -> dict[str, str]:
    return {entry.label: entry.value for entry in entries}
