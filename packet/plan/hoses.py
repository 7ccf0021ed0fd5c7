"""Which hoses of the kit are full of liquid when the stop weight is read, so that their contents can be kept free.

The hookup picks hoses by the same preference (shut-offs, then color, then length); a test holds the two together.
"""

from packet.shop.records import Hose, Kit
from packet.words import N_
from packet.worked import Worked, given

# Long enough for a cylinder on the scale beside the machine, or for an appliance's ports. Common practice, no source.
BESIDE_FT = 2.5
TO_APPLIANCE_FT = 4.5
# Where the kit has none that fits: 5 ft of 3/8 in, the larger of the usual bores. Common practice, no source.
USUAL_HOSE_FT = 5.0
USUAL_BORE_IN = 0.375


def discharge_hose(kit: Kit, least_psig: float, flammable: bool) -> Hose | None:
    """The hose from machine (or sight glass) to cylinder: shut-off at both ends, yellow, no longer than it must be."""
    fit = _fit(kit, least_psig, flammable, BESIDE_FT)
    return min(
        fit, key=lambda hose: (hose.shut_off != "both-ends", hose.color != "yellow", hose.length_ft), default=None
    )


def liquid_hose(kit: Kit, least_psig: float, flammable: bool) -> Hose | None:
    """The hose on the appliance's liquid side: shut-off at one end, red, no longer than it must be."""
    fit = _fit(kit, least_psig, flammable, TO_APPLIANCE_FT)
    return min(fit, key=lambda hose: (hose.shut_off != "one-end", hose.color != "red", hose.length_ft), default=None)


def length_and_bore(hose: Hose | None) -> tuple[Worked, Worked]:
    """Length, ft, and bore, in, of a hose, or of a usual one where the kit has none that fits."""
    if hose is None:
        usual = N_("the kit names no hose that fits: common practice, no source")
        return given(USUAL_HOSE_FT, "ft", usual, places=1), given(USUAL_BORE_IN, "in", usual)
    return given(hose.length_ft, "ft", hose.where("length_ft")), given(hose.bore_in, "in", hose.where("bore_in"), 4)


def _fit(kit: Kit, least_psig: float, flammable: bool, least_ft: float) -> list[Hose]:
    return [
        hose
        for hose in kit.hoses
        if hose.count
        and hose.length_ft >= least_ft
        and hose.rating_psig >= least_psig
        and hose.shut_off != "none"
        and (hose.flammable_rated or not flammable)
    ]
