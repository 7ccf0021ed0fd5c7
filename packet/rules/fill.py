"""How much refrigerant a cylinder may hold: each limit by itself; `packet.rules.stop` takes the smallest.

Densities handed in here already stand on the safe side of an estimate's error (see `packet.plan.gas`).
All limits are net lb of refrigerant.
"""

from packet.words import N_
from packet.worked import Worked, given

COLDEST_FILL_F = 77.0  # AHRI Guideline K takes the density at 77 °F; hotter fills take their own temperature
HOT_F = 131.0  # 55 °C, 49 CFR 173.304

SOURCE_K = N_("AHRI Guideline K, as told in a trade article; written for non-flammable gas, kept for flammable too")
SOURCE_HOT = N_("49 CFR 173.304 (not liquid-full at 131 °F); the ceiling is the shop's policy, common practice")
SOURCE_TABLE = N_("49 CFR 173.304a table 1")

# Percent of the water weight by ASHRAE name: 49 CFR 173.304a table 1, propane by its specific gravity in (d)(1).
FILLING_DENSITY_PERCENT: dict[str, tuple[float, str]] = {
    "R-22": (105.0, SOURCE_TABLE),
    "R-12": (119.0, SOURCE_TABLE),
    "R-142b": (100.0, SOURCE_TABLE),
    "R-115": (110.0, SOURCE_TABLE),
    "R-13": (100.0, SOURCE_TABLE),
    "R-13B1": (124.0, SOURCE_TABLE),
    "R-717": (54.0, SOURCE_TABLE),
    "R-744": (68.0, SOURCE_TABLE),
    "R-152a": (79.0, SOURCE_TABLE),
    "R-290": (42.0, "49 CFR 173.304a(d)(1)"),
}


def fill_temperature_F(hottest_F: Worked) -> Worked:
    """The temperature at which the 80 % limit is taken: the hottest while filling (or a row's), but at least 77 °F.

    Source: AHRI Guideline K takes 77 °F; a hotter fill takes its own temperature: common practice, no source.
    """
    return Worked(
        max(COLDEST_FILL_F, hottest_F.value),
        "°F",
        N_("the hotter of 77 °F and the temperature while filling"),
        SOURCE_K,
        "largest of (77, {temperature})",
        (("temperature", hottest_F),),
        places=1,
    )


def by_volume_lb(ceiling_percent: Worked, volume_ft3: Worked, liquid_lb_per_ft3: Worked) -> Worked:
    """Limit 1: the liquid takes at most 80 % of the volume at the fill temperature (saturated liquid, bubble point).

    Source: AHRI Guideline K, as told in a trade article. It is written for non-flammable gas; kept for flammable too.
    """
    return Worked(
        ceiling_percent.value / 100.0 * volume_ft3.value * liquid_lb_per_ft3.value,
        "lb",
        N_("liquid takes at most the fill ceiling of the volume at the fill temperature"),
        SOURCE_K,
        "{ceiling} ÷ 100 × {volume} × {density}",
        (("ceiling", ceiling_percent), ("volume", volume_ft3), ("density", liquid_lb_per_ft3)),
        estimate_percent=liquid_lb_per_ft3.estimate_percent,
    )


def hot_level_lb(ceiling_percent: Worked, volume_ft3: Worked, liquid_131F_lb_per_ft3: Worked) -> Worked:
    """Limit 2: even at 131 °F the liquid stays below the shop's ceiling of the volume.

    Source: 49 CFR 173.304: not liquid-full at any temperature up to 131 °F (55 °C). The law's ceiling is 100 %; the
    default of 95 % is common practice, no source: recovered gas carries oil and air.
    """
    return Worked(
        ceiling_percent.value / 100.0 * volume_ft3.value * liquid_131F_lb_per_ft3.value,
        "lb",
        N_("liquid takes at most the hot ceiling of the volume at 131 °F"),
        SOURCE_HOT,
        "{ceiling} ÷ 100 × {volume} × {density_at_131F}",
        (("ceiling", ceiling_percent), ("volume", volume_ft3), ("density_at_131F", liquid_131F_lb_per_ft3)),
        estimate_percent=liquid_131F_lb_per_ft3.estimate_percent,
    )


def filling_density_lb(refrigerant: str, water_capacity_lb: Worked) -> Worked | None:
    """Limit 3: the filling density that the law lists for this gas by name; None where it lists none.

    Source: 49 CFR 173.304a table 1 and (d)(1).
    """
    listed = FILLING_DENSITY_PERCENT.get(refrigerant)
    if listed is None:
        return None
    percent, source = listed
    return Worked(
        percent / 100.0 * water_capacity_lb.value,
        "lb",
        N_("filling density listed for this gas by name"),
        source,
        "{filling_density} ÷ 100 × {water_capacity}",
        (("filling_density", given(percent, "%", source, places=0)), ("water_capacity", water_capacity_lb)),
    )


def stamped_gross_lb(max_gross_lb: Worked, tare_lb: Worked) -> Worked:
    """Limit 4a: the maximum gross weight stamped on the cylinder, less its tare. Source: the cylinder's maker."""
    return Worked(
        max_gross_lb.value - tare_lb.value,
        "lb",
        N_("maximum gross weight stamped on the cylinder, less its tare"),
        N_("the cylinder's stamp"),
        "{max_gross} − {tare}",
        (("max_gross", max_gross_lb), ("tare", tare_lb)),
    )


def scale_capacity_lb(capacity_lb: Worked, tare_lb: Worked) -> Worked:
    """Limit 4b: what the scale can still weigh, less the cylinder's tare. Source: the scale's maker."""
    return Worked(
        capacity_lb.value - tare_lb.value,
        "lb",
        N_("capacity of the scale, less the cylinder's tare"),
        N_("the scale's maker"),
        "{capacity} − {tare}",
        (("capacity", capacity_lb), ("tare", tare_lb)),
    )


def level_percent(net_lb: float, volume_ft3: float, liquid_lb_per_ft3: float, vapor_lb_per_ft3: float) -> float:
    """Percent of the volume that is liquid when `net_lb` stands in `volume_ft3` at saturation; 0 when it is all vapor.

    liquid at the bubble point, vapor at the dew point, lb/ft³. Above 100 the cylinder is liquid-full.
    Source: mass balance of two phases, (m/V − ρv) ÷ (ρl − ρv).
    """
    filled = (net_lb / volume_ft3 - vapor_lb_per_ft3) / (liquid_lb_per_ft3 - vapor_lb_per_ft3)
    return max(0.0, 100.0 * filled)


def level_worked(net_lb: Worked, volume_ft3: Worked, liquid_lb_per_ft3: Worked, vapor_lb_per_ft3: Worked) -> Worked:
    """`level_percent` with its working."""
    return Worked(
        level_percent(net_lb.value, volume_ft3.value, liquid_lb_per_ft3.value, vapor_lb_per_ft3.value),
        "%",
        N_("liquid level from the mass in the cylinder's volume"),
        N_("mass balance of liquid and vapor at saturation"),
        "largest of (0, 100 × ({mass} ÷ {volume} − {vapor}) ÷ ({liquid} − {vapor}))",
        (
            ("mass", net_lb),
            ("volume", volume_ft3),
            ("liquid", liquid_lb_per_ft3),
            ("vapor", vapor_lb_per_ft3),
        ),
        places=1,
        estimate_percent=liquid_lb_per_ft3.estimate_percent,
    )
