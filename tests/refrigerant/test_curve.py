"""The Chebyshev curves: how well they follow, and that a wrong point does not pass."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packet.refrigerant import build
from packet.refrigerant.build import LOWEST_K, NODES
from packet.refrigerant.catalogue import everything, find
from packet.refrigerant.computed import NoProperties
from packet.refrigerant.curve import Curve, fit, inverse, nodes
from packet.refrigerant.library import PureFluid
from packet.refrigerant.properties import properties
from packet.refrigerant.saturation import BlendSolver, Saturated
from packet.units import PA_PER_PSI, fahrenheit_from_kelvin
from tests.refrigerant.fresh import fitted_pairs

KG_M3_PER_LB_FT3 = 16.018463
COMPUTED = [item.name for item in everything() if item.name != "R-13B1"]


def test_a_polynomial_is_followed_exactly() -> None:
    """Chebyshev interpolation of a cubic is the cubic; terms that are nothing are left out."""
    points = nodes(-3.0, 5.0, 12)
    curve = fit(-3.0, 5.0, [x**3 - 2.0 * x + 1.0 for x in points], 1e-12)
    assert len(curve.coefficients) == 4
    for x in (-3.0, -1.234, 0.0, 4.9, 5.0):
        assert curve(x) == pytest.approx(x**3 - 2.0 * x + 1.0, abs=1e-11)


@settings(deadline=None)  # the first example may have to compute
@given(st.floats(0.2, 30.0), st.floats(0.1, 3.0))
def test_inverse_undoes_a_monotonic_function(target: float, power: float) -> None:
    def function(x: float) -> float:
        return math.exp(power * x)

    low, high = -20.0, 40.0
    assert function(inverse(function, target, low, high)) == pytest.approx(target, rel=1e-6)
    assert -inverse(lambda x: -function(-x), -target, -high, -low) == pytest.approx(math.log(target) / power, abs=1e-6)


def test_inverse_finds_the_ends_and_refuses_what_is_not_between_them() -> None:
    assert inverse(lambda x: x, 0.0, 0.0, 1.0) == 0.0
    assert inverse(lambda x: x, 1.0, 0.0, 1.0) == 1.0
    with pytest.raises(ValueError, match="not reached"):
        inverse(lambda x: x, 2.0, 0.0, 1.0)


@pytest.mark.parametrize("name", COMPUTED)
def test_curves_follow_the_equations_between_their_points(name: str) -> None:
    """Solved afresh at temperatures that are none of the curve's own: within 0.005 %, as promised."""
    item = find(name)
    values = properties(item)
    lowest, highest = values._liquid.lowest, values._liquid.highest
    temperatures = [lowest + (highest - lowest) * share for share in (0.013, 0.171, 0.389, 0.612, 0.843, 0.987)]
    if item.is_blend:
        bubble, dew = fitted_pairs(name)
        assert bool(bubble.estimated) == ("mixing rule" in values.estimate_how)
        boils, condenses = BlendSolver(item.composition, *bubble), BlendSolver(item.composition, *dew)
        rows = []
        for T_K in temperatures:
            below, above = boils.saturation(T_K), condenses.saturation(T_K)
            rows.append(Saturated(below.bubble_Pa, above.dew_Pa, below.liquid, above.vapor))
    else:
        fluid = PureFluid(name)
        alone = [fluid.saturation(T_K) for T_K in temperatures]
        rows = [Saturated(pressure, pressure, liquid, vapor) for pressure, liquid, vapor in alone]
    for T_K, row in zip(temperatures, rows, strict=True):
        T_F = fahrenheit_from_kelvin(T_K)
        assert values.bubble_psia(T_F) * PA_PER_PSI == pytest.approx(row.bubble_Pa, rel=5e-5)
        assert values.dew_psia(T_F) * PA_PER_PSI == pytest.approx(row.dew_Pa, rel=5e-5)
        assert values.liquid_lb_per_ft3(T_F) * KG_M3_PER_LB_FT3 == pytest.approx(row.liquid, rel=5e-5)
        assert values.vapor_lb_per_ft3(T_F) * KG_M3_PER_LB_FT3 == pytest.approx(row.vapor, rel=5e-5)


@pytest.mark.parametrize("name", COMPUTED)
def test_every_series_has_died_away_at_its_end(name: str) -> None:
    values = properties(find(name))
    for curve in (values._ln_bubble, values._ln_dew, values._liquid, values._ln_vapor):
        assert 5 < len(curve.coefficients) < NODES
        assert abs(curve.coefficients[-1]) < 1e-6 * abs(curve.coefficients[0])


def _rows() -> list[Saturated]:
    fluid = PureFluid("R-22")
    alone = [fluid.saturation(T_K) for T_K in nodes(LOWEST_K, build.HIGHEST_K, NODES)]
    return [Saturated(pressure, pressure, liquid, vapor) for pressure, liquid, vapor in alone]


def _curves(rows: list[Saturated]) -> None:
    build._curves("R-22", rows, (LOWEST_K, build.HIGHEST_K), 369.3, 0.0865)


@pytest.mark.parametrize(
    ("spoil", "reason"),
    [
        (lambda row: row._replace(liquid=row.liquid * 1.0005), "smooth"),
        (lambda row: row._replace(bubble_Pa=row.bubble_Pa * 1.0005), "smooth"),
        (lambda row: row._replace(liquid=row.liquid * 0.5), "monotonic"),
        (lambda row: row._replace(vapor=row.vapor * 3.0), "monotonic"),
        (lambda row: row._replace(dew_Pa=row.dew_Pa * 1.00001), "wrong way round"),
    ],
)
def test_one_point_that_converged_to_something_else_is_noticed(spoil: object, reason: str) -> None:
    rows = _rows()
    _curves(rows)
    assert callable(spoil)
    rows[20] = spoil(rows[20])
    with pytest.raises(NoProperties, match=reason):
        _curves(rows)


def test_the_lowest_and_highest_temperature_are_on_the_curve() -> None:
    curve = Curve(1.0, 2.0, (1.0, 0.5))
    assert curve(1.0) == 0.5
    assert curve(2.0) == 1.5
