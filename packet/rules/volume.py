"""A cylinder's inside volume from the water capacity stamped on it."""

from packet.units import IN3_PER_FT3, IN3_PER_LB_WATER_60F
from packet.words import N_
from packet.worked import Worked


def cylinder_volume_ft3(water_capacity_lb: Worked) -> Worked:
    """Inside volume, ft³, of a cylinder of the given water capacity, lb of water at 60 °F.

    Source: 49 CFR 173.304a, note on filling density: 1 lb of water is 27.737 in³ at 60 °F.
    """
    return Worked(
        water_capacity_lb.value * IN3_PER_LB_WATER_60F / IN3_PER_FT3,
        "ft³",
        N_("inside volume from the stamped water capacity"),
        N_("49 CFR 173.304a, note on filling density"),
        "{water_capacity} × 27.737 ÷ 1728",
        (("water_capacity", water_capacity_lb),),
        places=5,
    )
