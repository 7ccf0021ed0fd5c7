"""Weights as printed: floored in decimal, in the printed unit, to the scale's step."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given as over
from hypothesis import strategies as st

from packet.rules import quick
from packet.rules.printed import PrintedWeight, floored, printed_weight, rounded
from packet.units import KG_PER_LB, UnitSystem
from packet.worked import Worked, given
from tests.published import published
from tests.rules.arithmetic import wrong


def lb(value: float) -> Worked:
    return given(value, "lb", "test", places=6)


@pytest.mark.parametrize(
    ("resolution_lb", "units", "step"),
    [
        (0.1, "US", "0.1"),
        (0.05, "US", "0.05"),
        (0.5, "US", "0.5"),
        (1.0, "US", "1"),
        (0.02 / KG_PER_LB, "SI", "0.02"),
        (0.005 / KG_PER_LB, "SI", "0.005"),
        # a kilogram scale in a shop that prints pounds, and the other way round: the next 1, 2 or 5 up
        (0.02 / KG_PER_LB, "US", "0.05"),
        (0.1, "SI", "0.05"),
        (0.05, "SI", "0.05"),
    ],
)
def test_the_step_is_the_scales_in_the_printed_unit(resolution_lb: float, units: UnitSystem, step: str) -> None:
    assert printed_weight(resolution_lb, units).step == Decimal(step)


@pytest.mark.parametrize(
    ("value", "step", "shown"),
    [(65.58, "0.1", "65.5"), (65.6, "0.1", "65.6"), (61.4999999999999, "0.5", "61.5"), (61.49, "0.5", "61.0")],
)
def test_floored_by_hand(value: float, step: str, shown: str) -> None:
    """Decimal, not binary: 65.6 is 656 tenths, although the binary fraction lies a hair below."""
    number = floored(lb(value), "a rule", PrintedWeight("US", Decimal(step)))
    assert number.text() == f"{shown} lb"
    assert wrong(number) == []


def test_floored_in_kilograms_by_hand() -> None:
    """61.43 lb × 0.45359237 = 27.8642 kg, floored to 20 g: 27.86 kg = 61.4208 lb."""
    number = floored(lb(61.43), "a rule", PrintedWeight("SI", Decimal("0.02")))
    assert number.value * KG_PER_LB == pytest.approx(27.86, abs=1e-12)
    assert number.text() == "61.4208 lb"
    assert wrong(number) == []


@over(
    st.floats(0.0, 2000.0),
    st.sampled_from(["0.01", "0.02", "0.05", "0.1", "0.2", "0.5", "1", "2"]),
    st.sampled_from(["US", "SI"]),
)
def test_a_floored_weight_is_whole_steps_and_never_above(value: float, step: str, units: UnitSystem) -> None:
    """At most the value (plus the hair of 1e-9 that binary fractions leave), less than one step below, whole steps."""
    how = PrintedWeight(units, Decimal(step))
    number = floored(lb(value), "a rule", how).value
    assert number <= value + 3e-9
    assert number > value - how.step_lb - 3e-9
    steps = Fraction(str(round(number * (1.0 if units == "US" else KG_PER_LB), 9))) / Fraction(step)
    assert steps.denominator == 1


@pytest.mark.parametrize("case", published()["quick_rule"])
def test_published_quick_rule(case: dict[str, float]) -> None:
    """The source stands in the file. Rounded, not floored: 65.58 reads 65.6."""
    number = quick.quick_rule_gross_lb(
        lb(case["water_capacity_lb"]), lb(case["tare_lb"]), PrintedWeight("US", Decimal("0.1"))
    )
    assert number.value == pytest.approx(case["gross_limit_lb"], abs=case["tolerance_lb"])
    assert number.text() == "65.6 lb"
    assert wrong(number) == []


def test_quick_rule_in_kilograms() -> None:
    """65.58 lb is 29.7466 kg and reads 29.75 kg."""
    number = quick.quick_rule_gross_lb(lb(47.6), lb(27.5), PrintedWeight("SI", Decimal("0.05")))
    assert number.value * KG_PER_LB == pytest.approx(29.75)
    assert wrong(number) == []


def test_rounding_is_half_up() -> None:
    assert rounded(lb(10.25), "a rule", PrintedWeight("US", Decimal("0.1"))).value == 10.3
