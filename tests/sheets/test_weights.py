"""Each weight on the front sheet and in the log's reminder is the plan's number of that name, in the shop's units."""

import pytest

from packet.sheets.model import Front, Log
from packet.sheets.show import show
from packet.units import UnitSystem

from .demo import composed, planned

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
        weight, pressure = way.weight(item.stop_gross_lb.value), way.pressure(item.stop_and_cool_psig.value)
        said = [line for line in log.reminder if line.startswith(item.cylinder.id)]
        assert [weight in line and pressure in line for line in said] == [True]
