"""Room, crew, carriage, air, warming and duration."""

import math
from itertools import pairwise

import pytest

from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
from packet.rules import air, carriage, crew, duration, room, warming
from packet.shop.records import Certification, PressureClass
from packet.units import STANDARD_ATMOSPHERE_PSIA
from packet.worked import Worked, given
from tests.published import published
from tests.rules.arithmetic import wrong

PSI_PER_KG_CM2 = 14.2233  # 9.80665 N/cm² over 0.689476 N/cm²


def of(value: float, unit: str = "lb") -> Worked:
    return given(value, unit, "test", places=6)


def test_room_by_hand() -> None:
    """R-22, 13 lb per 1,000 ft³ (International Mechanical Code table 1103.1): 1,900 ft³ take 24.7 lb; half in a home."""
    limit = room.room_limit_lb(of(13.0, "lb/1000 ft³"), of(1900.0, "ft³"), institutional=False)
    assert limit.value == pytest.approx(24.7)
    half = room.room_limit_lb(of(13.0, "lb/1000 ft³"), of(1900.0, "ft³"), institutional=True)
    assert half.value == pytest.approx(12.35)
    assert "ASHRAE 15" in half.source
    assert wrong(limit) == wrong(half) == []


def test_the_cylinders_count_in_the_room() -> None:
    charge = room.charge_in_room_lb(of(20.0), of(6.5))
    assert charge.value == 26.5
    assert wrong(charge) == []


@pytest.mark.parametrize(
    ("classes", "small", "needed"),
    [
        (("high",), False, ("type-II",)),
        (("very-high",), False, ("type-II",)),
        (("medium",), False, ("type-II",)),
        (("low",), False, ("type-III",)),
        (("high",), True, ("type-I",)),
        (("low", "medium"), False, ("type-II", "type-III")),
    ],
)
def test_who_may(classes: tuple[PressureClass, ...], small: bool, needed: tuple[Certification, ...]) -> None:
    """40 CFR 82.161 (secondary source)."""
    assert crew.needed_types(classes, small) == needed
    assert crew.holds(("universal",), needed)
    assert crew.holds(needed, needed)
    assert not crew.holds(("apprentice",), needed)


def test_type_ii_does_not_cover_small_appliances() -> None:
    """40 CFR 82.161: Type II, small appliances not included."""
    assert not crew.holds(("type-II",), crew.needed_types(("high",), small_appliance=True))
    assert not crew.holds(("type-I",), crew.needed_types(("high",), small_appliance=False))


def test_all_that_is_needed_must_be_held() -> None:
    """An unknown gas may be of either kind: one of the two certifications is not enough. 40 CFR 82.161."""
    both = crew.needed_types(("low", "medium"), small_appliance=False)
    assert not crew.holds(("type-II",), both)
    assert not crew.holds(("type-III", "type-I"), both)
    assert crew.holds(("type-III", "type-II"), both)


def test_an_apprentice_is_one_who_holds_nothing_else() -> None:
    assert crew.is_apprentice(("apprentice",))
    assert not crew.is_apprentice(("apprentice", "type-I"))


def test_truck_total_by_hand() -> None:
    """49 CFR 173.6: all materials of trade aboard count: 48 + 61.4 + 27.5 = 136.9 lb; limits 220 and 440 lb."""
    total = carriage.truck_total_lb(of(48.0), (("first", of(61.4)), ("second", of(27.5))))
    assert total.value == pytest.approx(136.9)
    assert wrong(total) == []
    assert (carriage.per_cylinder_limit_lb().value, carriage.per_truck_limit_lb().value) == (220.0, 440.0)


@pytest.mark.parametrize(
    "table", published()["noncondensable_limit_kg_per_cm2_gauge"], ids=lambda t: str(t["refrigerant"])
)
def test_published_limits_for_air(table: dict[str, dict[float, float]]) -> None:
    """40 CFR 82 subpart B appendix A, table 1 (metric), R-12. Over R-12's saturation the rows allow 9.9 to 12.0 psi
    (they are not smooth): ours, 10 psi, must lie within 2.5 psi of each."""
    values = properties(find(str(table["refrigerant"])))
    for celsius, kg_cm2 in table["rows_C"].items():
        bubble = of(values.bubble_psia(celsius * 1.8 + 32.0) - STANDARD_ATMOSPHERE_PSIA, "psig")
        ours = air.suspect_above_psig(bubble, of(10.0, "psi"))
        assert ours.value == pytest.approx(kg_cm2 * PSI_PER_KG_CM2, abs=2.5)
        assert wrong(ours) == []


def test_low_pressure_takes_the_pressure_six_degrees_above() -> None:
    number = air.suspect_above_low_pressure_psig(of(1.3, "psig"))
    assert number.value == 1.3
    assert wrong(number) == []


def test_warming_by_hand() -> None:
    """22 lb = 9.97903 kg; R-410A half R-32 (675), half R-125 (3500): 2087.5; 20.83 t. 40 CFR part 84, from memory."""
    number = warming.tonnes_co2e(of(22.0), of(find("R-410A").gwp100, ""))
    assert number.value == pytest.approx(22 * 0.45359237 / 1000 * 2087.5, rel=1e-4)
    assert wrong(number) == []


def test_liquid_stage_by_hand() -> None:
    """30 lb in 3 ft³ with vapor at 2 lb/ft³: 24 lb of liquid; at 4 lb/min 6 min."""
    liquid = duration.liquid_lb(of(30.0), of(3.0, "ft³"), of(2.0, "lb/ft³"))
    minutes = duration.at_rate_minutes(liquid, of(4.0, "lb/min"))
    assert (liquid.value, minutes.value) == (24.0, 6.0)
    assert minutes.estimate_percent == 50.0
    assert wrong(minutes) == []


def test_vapor_stage_by_hand() -> None:
    """0.5 lb/min at 2.5 lb/ft³ displaces 0.2 ft³/min: 3 ft³ from 2.5 down to 0.25 lb/ft³ take 15 ln 10 = 34.5 min;
    5 lb boiling off at 2.5 lb/ft³ take 10 min."""
    displacement = duration.displacement_ft3_per_min(of(0.5, "lb/min"), of(2.5, "lb/ft³"))
    down = duration.pump_down_minutes(of(3.0, "ft³"), displacement, of(2.5, "lb/ft³"), of(0.25, "lb/ft³"))
    assert down.value == pytest.approx(15.0 * math.log(10.0))
    boil = duration.boil_off_minutes(of(5.0), displacement, of(2.5, "lb/ft³"))
    assert boil.value == pytest.approx(10.0)
    both = duration.sum_minutes((("boil_off", boil), ("pump_down", down)), "a rule")
    assert both.value == pytest.approx(10.0 + 15.0 * math.log(10.0))
    assert wrong(both) == []


def test_the_vapor_stage_takes_longer_the_deeper_the_target() -> None:
    """The rate falls with the density, so each further halving costs the same time again."""
    displacement = of(0.2, "ft³/min")
    times = [
        duration.pump_down_minutes(of(3.0, "ft³"), displacement, of(2.0, "lb/ft³"), of(2.0 / 2**n, "lb/ft³")).value
        for n in range(1, 5)
    ]
    steps = [after - before for before, after in pairwise(times)]
    assert steps == pytest.approx([times[0]] * 3)


def test_nothing_to_pump_takes_no_time() -> None:
    assert duration.pump_down_minutes(of(3.0), of(0.2), of(0.2), of(0.4)).value == 0.0
