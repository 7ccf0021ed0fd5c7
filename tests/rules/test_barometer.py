"""Barometer by elevation."""

import psychrolib
import pytest

from packet.rules.barometer import barometer_inHg, barometer_psia
from packet.worked import given
from tests.rules.arithmetic import wrong


@pytest.mark.parametrize("elevation_ft", [-1000, -200, 0, 640, 1500, 3300, 5280, 7500, 10000, 14000, 20000])
def test_against_an_independent_implementation(elevation_ft: int) -> None:
    """psychrolib's GetStandardAtmPressure, ASHRAE Handbook - Fundamentals (2017) ch. 1 eqn 3, US units."""
    psychrolib.SetUnitSystem(psychrolib.IP)
    theirs = psychrolib.GetStandardAtmPressure(elevation_ft)
    ours = barometer_psia(given(elevation_ft, "ft", "test"))
    assert ours.value == pytest.approx(theirs, rel=1e-12)
    assert wrong(ours) == []


@pytest.mark.parametrize(("elevation_ft", "psia"), [(0, 14.696), (1000, 14.175), (5000, 12.228), (10000, 10.108)])
def test_against_the_handbook_table(elevation_ft: float, psia: float) -> None:
    """ASHRAE Handbook - Fundamentals ch. 1, table 1, standard atmospheric data by altitude; from memory."""
    assert barometer_psia(given(elevation_ft, "ft", "test")).value == pytest.approx(psia, abs=0.003)


def test_sea_level_is_29_92_inches_of_mercury() -> None:
    """29.921 inHg: the definition of the standard atmosphere."""
    number = barometer_inHg(barometer_psia(given(0.0, "ft", "test")))
    assert number.value == pytest.approx(29.921, abs=0.001)
    assert wrong(number) == []
