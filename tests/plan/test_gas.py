"""What planning asks of a refrigerant, on the safe side; the liquid-full temperature against the equations of state."""

import pytest
from CoolProp.CoolProp import PropsSI

from packet.plan.gas import Gas
from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
from packet.units import kelvin_from_fahrenheit, lb_per_ft3_from_kg_per_m3
from packet.worked import Worked, given


def gas(name: str) -> Gas:
    refrigerant = find(name)
    return Gas(name, properties(refrigerant), refrigerant)


def at(temperature_F: float) -> Worked:
    return given(temperature_F, "°F", "test", places=1)


def density(value: float) -> Worked:
    return given(value, "lb/ft³", "test", places=4)


LIBRARY = {
    "R-22": "R22",
    "R-32": "R32",
    "R-134a": "R134a",
    "R-125": "R125",
    "R-143a": "R143a",
    "R-152a": "R152A",
    "R-290": "R290",
    "R-600a": "R600a",
    "R-1234yf": "R1234yf",
    "R-123": "R123",
    "R-11": "R11",
    "R-404A": "R404A",
    "R-410A": "R410A",
    "R-507A": "R507A",
}


@pytest.mark.parametrize("name", LIBRARY)
def test_liquid_full_above_the_computed_range_is_low_by_little(name: str) -> None:
    """Against the saturated liquid of the property library, asked directly at 142 to 180 °F, as far as 97 % of the
    critical temperature (pseudo-pure forms for the blends): never high, at most 2.5 °F low."""
    fluid = gas(name)
    critical_K = kelvin_from_fahrenheit(fluid.fluid.critical_F)
    asked = 0
    for temperature_F in (142.0, 145.0, 150.0, 160.0, 170.0, 180.0):
        kelvin = kelvin_from_fahrenheit(temperature_F)
        if kelvin > 0.985 * critical_K:
            continue
        liquid = lb_per_ft3_from_kg_per_m3(PropsSI("D", "T", kelvin, "Q", 0, LIBRARY[name]))
        found, beyond = fluid.liquid_full(density(liquid))
        if beyond:
            assert found.value == pytest.approx(180.0, abs=2.5)
        else:
            # pseudo-pure forms and ours differ by a few thousandths of the density
            assert -2.5 < found.value - temperature_F < (0.25 if name in {"R-404A", "R-410A", "R-507A"} else 1e-3)
        asked += 1
    assert asked >= 1 or critical_K < kelvin_from_fahrenheit(165.0)


@pytest.mark.parametrize("name", ["R-22", "R-410A", "R-408A", "R-290"])
def test_liquid_full_is_where_the_safe_density_is_the_mean_density(name: str) -> None:
    fluid = gas(name)
    for temperature_F in (0.0, 77.0, 131.0, 139.0):
        found, beyond = fluid.liquid_full(fluid.liquid(at(temperature_F)))
        assert not beyond
        assert found.value == pytest.approx(temperature_F, abs=1e-4)


def test_the_estimate_joins_the_computed_range_without_a_step() -> None:
    fluid = gas("R-22")
    end = fluid.fluid.liquid_lb_per_ft3(fluid.fluid.highest_F)
    below, above = (fluid.liquid_full(density(end * factor))[0].value for factor in (1.000001, 0.999999))
    assert below == pytest.approx(140.0, abs=1e-3)
    assert above == pytest.approx(140.0, abs=1e-3)
    assert above > below


def test_thin_filling_is_never_liquid_full() -> None:
    """10 lb/ft³ of R-22 is less than its critical density: the liquid is gone before it could fill the cylinder."""
    found, beyond = gas("R-22").liquid_full(density(10.0))
    assert beyond
    assert found.value == 180.0
    found, beyond = gas("R-410A").liquid_full(density(10.0))
    assert beyond
    assert found.value == pytest.approx(gas("R-410A").fluid.critical_F)


def test_estimates_are_moved_to_the_safe_side() -> None:
    """R-408A: an estimate. Limits from a lighter liquid, clearing from a heavier one, fitness from a higher pressure."""
    fluid = gas("R-408A")
    best = properties(find("R-408A"))
    error, off = best.density_error_percent, best.pressure_error_percent
    assert error is not None
    assert off is not None
    assert fluid.liquid(at(77.0)).value == pytest.approx(best.liquid_lb_per_ft3(77.0) * (1 - error / 100))
    assert fluid.liquid_high(at(77.0)).value == pytest.approx(best.liquid_lb_per_ft3(77.0) * (1 + error / 100))
    assert fluid.bubble_high(at(131.0)).value == pytest.approx(best.bubble_psia(131.0) * (1 + off / 100))
    assert fluid.bubble(at(131.0)).value == pytest.approx(best.bubble_psia(131.0))
    assert fluid.vapor(at(77.0)).value < best.vapor_lb_per_ft3(77.0)
    assert fluid.source == best.estimate_how


def test_what_is_exact_stays_as_it_is() -> None:
    fluid, best = gas("R-22"), properties(find("R-22"))
    assert fluid.liquid(at(77.0)).value == fluid.liquid_high(at(77.0)).value == best.liquid_lb_per_ft3(77.0)
    assert fluid.bubble_high(at(131.0)).value == best.bubble_psia(131.0)
    assert fluid.liquid(at(77.0)) is fluid.liquid(at(77.0))
