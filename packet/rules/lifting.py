"""How a weight is moved: alone, by two, on a dolly, by a hoist. Source: common practice, no source."""

from typing import Literal

How = Literal["alone", "two", "dolly", "hoist"]

BY_TWO_LB = 150.0  # or with a hand truck
BY_DOLLY_LB = 400.0  # cylinder dolly and lift gate


def how_to_lift(weight_lb: float, alone_lb: float) -> How:
    """How a weight, lb, is lifted and carried.

    alone_lb: the most one person lifts by the shop's policy (50 lb where nothing else is said). Up to 150 lb two people
    or a hand truck; up to 400 lb a cylinder dolly and a lift gate; above it a hoist or a pallet jack.
    Source: common practice, no source.
    """
    if weight_lb <= alone_lb:
        return "alone"
    if weight_lb <= BY_TWO_LB:
        return "two"
    return "dolly" if weight_lb <= BY_DOLLY_LB else "hoist"
