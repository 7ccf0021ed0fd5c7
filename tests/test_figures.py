"""Figures as they are shown: a limit never up, a temperature at which something holds not rounded."""

import pytest

from packet.figures import show_ambient, show_pressure_limit, unbroken
from packet.units import PA_PER_BAR, PA_PER_PSI, UnitSystem


@pytest.mark.parametrize(
    ("psig", "units", "shown"),
    [
        (10.0, "SI", "0.6 barg"),  # 0.689 bar
        (15.0, "SI", "1.0 barg"),  # 1.034 bar
        (203.9, "US", "203 psig"),
        (203.0, "US", "203 psig"),
        # what was converted from a round figure is that figure, whatever dust is on it
        (14.0 * PA_PER_BAR / PA_PER_PSI, "SI", "14.0 barg"),
    ],
)
def test_a_limit_of_pressure_is_rounded_down(psig: float, units: UnitSystem, shown: str) -> None:
    assert show_pressure_limit(psig, units) == shown


@pytest.mark.parametrize("units", ["US", "SI"])
def test_a_limit_of_pressure_is_never_above_itself(units: UnitSystem) -> None:
    in_psi = 1.0 if units == "US" else PA_PER_BAR / PA_PER_PSI
    for psig in (number / 7 for number in range(4_000)):
        printed = float(show_pressure_limit(psig, units).split()[0]) * in_psi
        assert psig - in_psi < printed <= psig + 1e-6


@pytest.mark.parametrize(
    ("temperature_F", "units", "shown"),
    [
        (60.0, "US", "60 °F"),
        (60.0, "SI", "15.5 °C"),
        (59.0, "SI", "15 °C"),
        (60.8, "US", "60.8 °F"),
        (131.0, "SI", "55 °C"),
    ],
)
def test_a_temperature_that_is_no_whole_degree_says_so(temperature_F: float, units: UnitSystem, shown: str) -> None:
    assert show_ambient(temperature_F, units) == shown


def test_a_figure_is_kept_in_one_line_with_its_unit() -> None:
    assert unbroken("at 17.75 kg, 80 % of 12 min") == "at 17.75\u00a0kg, 80\u00a0% of 12\u00a0min"
    assert unbroken("1 × hose 3 minus 2 barges, 5 maids") == "1 × hose 3 minus 2 barges, 5 maids"
