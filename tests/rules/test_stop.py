"""Limits, the governing limit and the stop weight, worked by hand."""

from dataclasses import replace

import pytest

from packet.rules.printed import printed_weight
from packet.rules.stop import LIMITS, Stamped, Terms, limits, stop_of
from packet.rules.volume import cylinder_volume_ft3
from packet.statements import STATEMENTS
from packet.worked import Worked, given
from tests.rules.arithmetic import wrong


def lb(value: float) -> Worked:
    return given(value, "lb", "test")


def density(value: float) -> Worked:
    return given(value, "lb/ft³", "test", places=4)


def percent(value: float) -> Worked:
    return given(value, "%", "test")


# V = 1 ft³ (62.2995 lb of water, 49 CFR 173.304a: 27.737 in³ a pound)
WATER = lb(1728.0 / 27.737)
VESSEL = Stamped(WATER, lb(27.5), cylinder_volume_ft3(WATER), lb(80.0))
TERMS = Terms("R-22", percent(80.0), percent(95.0), density(60.0), density(50.0), lb(220.0))


def test_limits_worked_by_hand() -> None:
    """0.80 × 60 = 48; 0.95 × 50 = 47.5; 105 % × 62.2995 = 65.414; 80 − 27.5 = 52.5; 220 − 27.5 = 192.5."""
    found = limits(VESSEL, TERMS)
    assert {name: limit.value for name, limit in found.all} == pytest.approx(
        {"by_volume": 48.0, "by_hot_level": 47.5, "by_filling_density": 65.4145, "by_stamp": 52.5, "by_scale": 192.5},
        abs=1e-4,
    )
    assert found.governing == "by_hot_level"
    assert found.net_lb.value == pytest.approx(47.5)
    assert wrong(found.net_lb) == []


@pytest.mark.parametrize(
    ("governing", "vessel", "terms", "net_lb"),
    [
        ("by_volume", VESSEL, replace(TERMS, ceiling_percent=percent(60.0)), 36.0),
        ("by_hot_level", VESSEL, TERMS, 47.5),
        (
            "by_filling_density",
            VESSEL,
            replace(TERMS, refrigerant="R-290"),
            26.1658,
        ),  # 42 % × 62.2995, 49 CFR 173.304a(d)(1)
        ("by_stamp", replace(VESSEL, max_gross_lb=lb(60.0)), TERMS, 32.5),
        ("by_scale", VESSEL, replace(TERMS, scale_capacity_lb=lb(70.0)), 42.5),
    ],
)
def test_each_limit_can_govern(governing: str, vessel: Stamped, terms: Terms, net_lb: float) -> None:
    found = limits(vessel, terms)
    assert found.governing == governing
    assert found.net_lb.value == pytest.approx(net_lb, abs=1e-4)


def test_every_limit_has_its_sentence() -> None:
    assert set(LIMITS) <= set(STATEMENTS)


def test_what_does_not_apply_is_left_out() -> None:
    bare = replace(TERMS, refrigerant=None, scale_capacity_lb=None)
    assert [name for name, _ in limits(replace(VESSEL, max_gross_lb=None), bare).all] == ["by_volume", "by_hot_level"]
    unlisted = limits(VESSEL, replace(TERMS, refrigerant="R-410A"))
    assert "by_filling_density" not in dict(unlisted.all)


def test_a_limit_is_never_below_nothing() -> None:
    found = limits(replace(VESSEL, max_gross_lb=lb(20.0)), TERMS)
    assert found.net_lb.value == 0.0
    assert found.governing == "by_stamp"


def test_the_stop_is_the_limit_less_clearing_both_rounded_down() -> None:
    """47.5 + 27.5 = 75.0; on a scale of 0.2 lb: 75.0 − 1.33 = 73.67 → 73.6."""
    found = stop_of(VESSEL, TERMS, lb(1.33), printed_weight(0.2, "US"))
    assert found.limit_gross_lb.value == 75.0
    assert found.stop_gross_lb.value == 73.6
    assert wrong(found.stop_gross_lb) == []
    odd = stop_of(VESSEL, replace(TERMS, hot_liquid_lb_per_ft3=density(50.2)), lb(1.33), printed_weight(0.2, "US"))
    # 0.95 × 50.2 = 47.69; + 27.5 = 75.19 → 75.0
    assert odd.limit_gross_lb.value == 75.0
