"""How deep to draw."""

from typing import Literal

import pytest

from packet.rules import drawdown
from packet.rules.barometer import barometer_inHg, barometer_psia
from packet.shop.records import PressureClass
from packet.worked import Worked, given
from tests.rules.arithmetic import wrong


def site(elevation_ft: float) -> Worked:
    return barometer_inHg(barometer_psia(given(elevation_ft, "ft", "test", places=0)))


@pytest.mark.parametrize(
    ("psia", "name"),
    [
        (356.0, "very-high"),
        (355.0, "high"),
        (170.0, "high"),
        (169.9, "medium"),
        (45.0, "medium"),
        (44.9, "low"),
        (None, "very-high"),
    ],
)
def test_class_boundaries(psia: float | None, name: PressureClass) -> None:
    """40 CFR 82.152: 45, 170 and 355 psia at 104 °F; a critical temperature below 104 °F is very high."""
    assert drawdown.pressure_class(psia) == name


@pytest.mark.parametrize(
    ("psia", "error", "classes"),
    [
        (351.8, 0.0, ("high",)),
        (351.8, 2.0, ("high", "very-high")),
        (168.0, 2.0, ("medium", "high")),
        (45.2, 1.0, ("low", "medium")),
        (100.0, 5.0, ("medium",)),
    ],
)
def test_an_estimate_across_a_boundary_names_the_deeper_class_first(
    psia: float, error: float, classes: tuple[PressureClass, ...]
) -> None:
    assert drawdown.possible_classes(psia, error) == classes


# 40 CFR 82.156 table 1: appliance, full charge, inHg for machines made before / on or after 15 Nov 1993
TABLE_1: list[tuple[PressureClass, float, float, float]] = [
    ("very-high", 10.0, 0.0, 0.0),
    ("very-high", 500.0, 0.0, 0.0),
    ("high", 199.9, 0.0, 0.0),
    ("high", 200.0, 4.0, 10.0),
    ("medium", 199.9, 4.0, 10.0),
    ("medium", 200.0, 4.0, 15.0),
]


@pytest.mark.parametrize(("name", "charge", "before", "since"), TABLE_1)
def test_table_1(name: PressureClass, charge: float, before: float, since: float) -> None:
    assert drawdown.table_inHg(name, charge, made_since_1993=False) == before
    assert drawdown.table_inHg(name, charge, made_since_1993=True) == since


@pytest.mark.parametrize("strict", [True, False])
def test_low_pressure_is_25_mmHg_absolute(strict: bool) -> None:
    """40 CFR 82.156 table 1. 29.9 − 25 ÷ 25.4 = 28.916 inHg; 25 mmHg is 0.483 psia."""
    assert drawdown.table_inHg("low", 300.0, strict) is None
    vacuum = drawdown.low_pressure_vacuum_inHg()
    assert vacuum.value == pytest.approx(28.9157, abs=1e-4)
    target = drawdown.target_psia(vacuum)
    assert target.value == pytest.approx(0.4834, abs=1e-4)
    assert wrong(target) == []


@pytest.mark.parametrize(
    ("vacuum", "elevation_ft", "gauge"),
    [
        # by hand: barometer − (29.9 − vacuum), less the 0.022 inHg by which the law's 29.9 is rounded, then up to 0.1
        (10.0, 0.0, 10.0),  # at sea level the gauge reads what the law says
        (15.0, 5280.0, 9.8),  # barometer 24.638: 24.638 − 14.9 − 0.022 = 9.716
        (10.0, 5280.0, 4.8),
        (4.0, 5280.0, 0.0),  # 24.638 − 25.9 is below 0: never above 0 psig at the site
        (0.0, 0.0, 0.0),
        (0.0, 7000.0, 0.0),
        (0.0, -500.0, 0.6),  # below the sea the air presses more than the law's standard: 30.466 − 29.921 = 0.545
    ],
)
def test_gauge_at_the_site(vacuum: float, elevation_ft: float, gauge: float) -> None:
    """40 CFR 82.156 table 1 is absolute at heart; barometer from ASHRAE Handbook - Fundamentals ch. 1 eq. 3."""
    number = drawdown.gauge_at_site_inHg(given(vacuum, "inHg", "test"), site(elevation_ft))
    assert number.value == gauge
    assert wrong(number) == []


@pytest.mark.parametrize("elevation_ft", range(0, 12001, 500))
@pytest.mark.parametrize("vacuum", [0.0, 4.0, 10.0, 15.0, 28.9157])
def test_the_gauge_target_is_never_shallower_than_the_law(vacuum: float, elevation_ft: float) -> None:
    """Reaching the printed gauge reading means standing at or below the absolute target, within the law's rounding."""
    barometer = site(elevation_ft)
    gauge = drawdown.gauge_at_site_inHg(given(vacuum, "inHg", "test", places=4), barometer).value
    assert 0.0 <= gauge < barometer.value
    assert barometer.value - gauge <= 29.921 - vacuum + 2e-3


@pytest.mark.parametrize(
    ("running", "since", "percent"),
    [(True, True, 90.0), (False, True, 80.0), (True, False, 80.0), (False, False, 80.0)],
)
def test_small_appliances(running: bool, since: bool, percent: float) -> None:
    """40 CFR 82.156(b), from memory."""
    assert drawdown.small_appliance_percent(running, since) == percent


def test_small_appliance_target_by_hand() -> None:
    """90 % of 1.2 lb is 1.08 lb."""
    target = drawdown.small_appliance_target_lb(given(90.0, "%", "test"), given(1.2, "lb", "test"))
    assert target.value == pytest.approx(1.08)
    assert wrong(target) == []


@pytest.mark.parametrize(
    ("charge", "chiller", "minutes"),
    [(0.5, False, 5), (15.0, False, 5), (15.1, False, 10), (200.0, False, 10), (200.1, False, 30), (10.0, True, 30)],
)
def test_rise_check(charge: float, chiller: bool, minutes: Literal[5, 10, 30]) -> None:
    """Common practice, no source; TM 5-3810-307-24 waits five minutes."""
    assert drawdown.rise_check_minutes(charge, chiller) == minutes


def test_remaining_vapor_by_hand() -> None:
    """A third of the system is liquid: 3 × 20 ÷ 60 = 1 ft³; of vapor at 0.25 lb/ft³ remains 0.25 lb, an estimate."""
    volume = drawdown.system_volume_ft3(given(20.0, "lb", "test"), given(60.0, "lb/ft³", "test"))
    left = drawdown.remaining_vapor_lb(volume, given(0.25, "lb/ft³", "test"))
    assert (volume.value, left.value) == (1.0, 0.25)
    assert left.estimate_percent == 50.0
    assert wrong(left) == []


def test_the_shells_of_a_low_pressure_chiller_by_hand() -> None:
    """Common practice, no source: 25 × 300 ÷ 90 = 83.33 ft³, wide shells around little liquid."""
    volume = drawdown.system_volume_ft3(given(300.0, "lb", "test"), given(90.0, "lb/ft³", "test"), low_pressure=True)
    assert volume.value == pytest.approx(83.333, abs=0.001)
    assert wrong(volume) == []
