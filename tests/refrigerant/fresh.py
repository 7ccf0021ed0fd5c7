"""A catalogue's refrigerant computed again with the installed library, once a test process."""

from functools import cache

from packet.refrigerant import boiling
from packet.refrigerant.boiling import BOILING_C, Pairs
from packet.refrigerant.build import compute, unknown_pairs
from packet.refrigerant.catalogue import find
from packet.refrigerant.computed import Computed
from packet.refrigerant.estimate import estimate_pair


@cache
def computed_again(name: str) -> Computed:
    """From the equations, whatever is kept."""
    return compute(name, find(name).composition)


@cache
def fitted_pairs(name: str) -> tuple[Pairs, Pairs]:
    """The pairs that a blend's bubble and dew points are solved with."""
    composition = find(name).composition
    unknown = unknown_pairs(composition)
    if name not in BOILING_C:
        same = Pairs({pair: estimate_pair(*pair).gamma for pair in unknown}, {})
        return same, same
    bubble_C, dew_C = BOILING_C[name]
    return boiling.fit_pairs(composition, boiling.start(composition, unknown), bubble_C + 273.15, dew_C + 273.15)
