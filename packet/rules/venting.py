"""Venting is exempt by gas and use together, never by gas alone.

Source: 40 CFR 82.154(a)(1): carbon dioxide in any use (i); ammonia in commercial or industrial process refrigeration
or in absorption units (iv); isobutane and propane in the uses of (viii) and (ix). The uses of hydrocarbons are
self-contained equipment throughout ('stand-alone units only', 'self-contained room air conditioners'): a system put
together on site is never among them, whatever it is used for. Paragraph numbers as published; the uses as listed in
79 FR 29682, 80 FR 19454 and 81 FR 86778. Hydrocarbons in the processing of hydrocarbons (vi) are left out: no work of ours.
"""

from collections.abc import Mapping

from packet.shop.records import ApplianceKind, Use

SOURCE = "40 CFR 82.154(a)(1)"

ANY_USE = "any"
EXEMPT_USES: Mapping[str, frozenset[str]] = {
    "R-744": frozenset({ANY_USE}),
    "R-717": frozenset({"process", "absorption"}),
    "R-290": frozenset(
        {
            "retail-food",
            "household-refrigerator",
            "room-air-conditioner",
            "vending-machine",
            "ice-machine",
            "very-low-temperature",
            "water-cooler",
        }
    ),
    "R-600a": frozenset({"retail-food", "household-refrigerator", "vending-machine"}),
}
HYDROCARBONS = frozenset({"R-290", "R-600a"})

# Kinds that may come charged and sealed from a factory; the others are put together where they stand.
MAY_STAND_ALONE: frozenset[ApplianceKind] = frozenset(
    {"small-appliance", "reach-in", "ice-machine", "packaged", "other"}
)
# Where the kind says the use of an appliance that was sealed in a factory.
USE_OF_SEALED_KIND: Mapping[ApplianceKind, Use] = {"reach-in": "retail-food", "ice-machine": "ice-machine"}


def use_of(kind: ApplianceKind, use: Use | None, factory_sealed: bool) -> Use | None:
    """What the appliance is used for: as stated, or as a factory-sealed kind says by itself; None when neither does."""
    return use or (USE_OF_SEALED_KIND.get(kind) if factory_sealed else None)


def venting_is_exempt(refrigerant: str, kind: ApplianceKind, use: Use | None, factory_sealed: bool) -> bool:
    """Whether the law lets this gas be vented from this appliance.

    refrigerant: a designation ('R-290'). A use that nobody states is not exempt: it is recovered by law.
    """
    exempt = EXEMPT_USES.get(refrigerant, frozenset())
    if ANY_USE in exempt:
        return True
    if refrigerant in HYDROCARBONS and kind not in MAY_STAND_ALONE:
        return False
    return use_of(kind, use, factory_sealed) in exempt


def use_would_decide(refrigerant: str, kind: ApplianceKind, use: Use | None, factory_sealed: bool) -> bool:
    """Whether stating the use could make venting exempt: it is not stated, and the gas has exempt uses in such a kind."""
    if use_of(kind, use, factory_sealed) is not None or ANY_USE in EXEMPT_USES.get(refrigerant, frozenset()):
        return False
    return refrigerant in EXEMPT_USES and (refrigerant not in HYDROCARBONS or kind in MAY_STAND_ALONE)
