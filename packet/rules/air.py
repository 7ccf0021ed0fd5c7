"""Air and other gas that does not condense: the pressure above which to suspect it."""

from packet.words import N_
from packet.worked import Worked

SOURCE = N_("common practice, no source; 40 CFR 82 subpart B appendix A allows about that for R-12")
LOW_PRESSURE_RISE_F = 6.0


def suspect_above_psig(bubble_psig: Worked, margin_psi: Worked) -> Worked:
    """The gauge pressure above which a rested cylinder is suspected to hold air, at its wall temperature.

    Bubble-point pressure plus a margin, 10 psi by default. Source: common practice, no source; the R-12 table of 40 CFR
    82 subpart B appendix A allows about that.
    """
    return Worked(
        bubble_psig.value + margin_psi.value,
        "psig",
        N_("suspect air above the bubble-point pressure plus a margin"),
        SOURCE,
        "{bubble} + {margin}",
        (("bubble", bubble_psig), ("margin", margin_psi)),
        places=2,
        estimate_percent=bubble_psig.estimate_percent,
    )


def suspect_above_low_pressure_psig(bubble_6F_above_psig: Worked) -> Worked:
    """The same for a low-pressure refrigerant, where 10 psi means nothing: the bubble pressure 6 °F above.

    Source: common practice, no source.
    """
    return Worked(
        bubble_6F_above_psig.value,
        "psig",
        N_("low pressure: suspect air above the bubble-point pressure 6 °F above the surface temperature"),
        N_("common practice, no source"),
        "{bubble_6F_above}",
        (("bubble_6F_above", bubble_6F_above_psig),),
        places=2,
        estimate_percent=bubble_6F_above_psig.estimate_percent,
    )
