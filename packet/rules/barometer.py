"""Barometric pressure at a site."""

from packet.units import PSI_PER_INHG
from packet.words import N_
from packet.worked import Worked

_FACTOR_PER_FT = 6.8754e-6


def barometer_psia(elevation_ft: Worked) -> Worked:
    """Standard atmospheric pressure at an elevation, psia.

    elevation_ft: site's height above sea level, ft (below sea level: negative).

    Source: ASHRAE Handbook - Fundamentals, chapter 1, equation 3 (from memory; checked against psychrolib).
    """
    value = 14.696 * (1.0 - _FACTOR_PER_FT * elevation_ft.value) ** 5.2559
    return Worked(
        value,
        "psia",
        N_("standard atmosphere at the site's elevation"),
        N_("ASHRAE Handbook - Fundamentals, ch. 1, eq. 3"),
        "14.696 × (1 − 6.8754 × 10^−6 × {elevation})^5.2559",
        (("elevation", elevation_ft),),
    )


def barometer_inHg(barometer: Worked) -> Worked:
    """The barometer in inches of mercury, from psia."""
    return Worked(
        barometer.value / PSI_PER_INHG,
        "inHg",
        N_("barometer in inches of mercury"),
        N_("conversion of units"),
        "{barometer} ÷ 0.491154",
        (("barometer", barometer),),
    )
