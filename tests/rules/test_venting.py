"""Who may vent: by gas and use together. Source of every row: 40 CFR 82.154(a)(1)(i), (iv), (viii), (ix)."""

from typing import get_args

import pytest

from packet.rules.venting import use_would_decide, venting_is_exempt
from packet.shop.records import ApplianceKind, Use

PROPANE_USES = {
    "retail-food",
    "household-refrigerator",
    "room-air-conditioner",
    "vending-machine",
    "ice-machine",
    "very-low-temperature",
    "water-cooler",
}
ISOBUTANE_USES = {"retail-food", "household-refrigerator", "vending-machine"}
AMMONIA_USES = {"process", "absorption"}


@pytest.mark.parametrize("use", [*get_args(Use), None])
def test_each_use_of_a_self_contained_appliance(use: Use | None) -> None:
    assert venting_is_exempt("R-290", "small-appliance", use, False) == (use in PROPANE_USES)
    assert venting_is_exempt("R-600a", "small-appliance", use, False) == (use in ISOBUTANE_USES)
    assert venting_is_exempt("R-717", "other", use, False) == (use in AMMONIA_USES)
    assert venting_is_exempt("R-744", "rack", use, False)
    for name in ("R-1270", "R-600", "R-134a", "R-22", "R-32", "R-454B", "unknown"):
        assert not venting_is_exempt(name, "small-appliance", use, True)


@pytest.mark.parametrize("kind", ["split", "heat-pump", "walk-in", "rack", "chiller"])
@pytest.mark.parametrize("use", get_args(Use))
def test_a_system_put_together_on_site_is_never_exempt_for_a_hydrocarbon(kind: ApplianceKind, use: Use) -> None:
    """A 12-lb propane chiller is recovered by law ('stand-alone units only', 'self-contained')."""
    assert not venting_is_exempt("R-290", kind, use, True)
    assert not venting_is_exempt("R-600a", kind, use, True)


def test_a_sealed_kind_says_its_use_by_itself() -> None:
    assert venting_is_exempt("R-290", "ice-machine", None, True)
    assert venting_is_exempt("R-290", "reach-in", None, True)
    assert not venting_is_exempt("R-290", "ice-machine", None, False)  # it may have a remote condenser
    assert not venting_is_exempt("R-600a", "ice-machine", None, True)
    assert not venting_is_exempt("R-290", "reach-in", "comfort-cooling", True)  # what is stated goes before


@pytest.mark.parametrize(
    ("refrigerant", "kind", "use", "sealed", "asks"),
    [
        ("R-290", "small-appliance", None, True, True),
        ("R-290", "small-appliance", "other", True, False),
        ("R-290", "chiller", None, False, False),
        ("R-290", "ice-machine", None, True, False),
        ("R-717", "chiller", None, False, True),
        ("R-744", "rack", None, False, False),
        ("R-134a", "small-appliance", None, True, False),
    ],
)
def test_the_use_is_asked_only_where_it_could_decide(
    refrigerant: str, kind: ApplianceKind, use: Use | None, sealed: bool, asks: bool
) -> None:
    assert use_would_decide(refrigerant, kind, use, sealed) == asks
