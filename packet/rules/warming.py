"""Warming potential of a load."""

from packet.units import KG_PER_LB
from packet.words import N_
from packet.worked import Worked


def tonnes_co2e(mass_lb: Worked, gwp100: Worked) -> Worked:
    """Tonnes of CO2 equivalent of a mass of refrigerant. gwp100 names its own source (40 CFR part 84 or AR4)."""
    return Worked(
        mass_lb.value * KG_PER_LB / 1000.0 * gwp100.value,
        "t CO₂e",
        N_("mass in tonnes times the 100-year warming potential"),
        gwp100.source,
        "{mass} × 0.45359237 ÷ 1000 × {warming_potential}",
        (("mass", mass_lb), ("warming_potential", gwp100)),
        places=3,
    )
