"""Against values published outside the project."""

import pytest

from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
from packet.units import STANDARD_ATMOSPHERE_PSIA

# Drawn from a chart made with NIST REFPROP, sea level, psig; the chart can be read to 0.3 psi.
BUBBLE_PSIG = [
    ("R-410A", {40: 118.8, 70: 201.7, 100: 318.5}),
    ("R-22", {40: 68.6, 70: 121.4, 100: 195.9}),
    ("R-134a", {40: 35.0, 70: 71.1, 100: 124.2}),
]


@pytest.mark.parametrize(("name", "rows"), BUBBLE_PSIG)
def test_bubble_pressure_agrees_with_a_chart_from_refprop(name: str, rows: dict[float, float]) -> None:
    values = properties(find(name))
    for temperature_F, psig in rows.items():
        assert values.bubble_psia(temperature_F) - STANDARD_ATMOSPHERE_PSIA == pytest.approx(psig, abs=0.3)
