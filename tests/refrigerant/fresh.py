"""A catalogue's refrigerant computed again with the installed library, once a test process."""

from functools import cache

from packet.refrigerant.build import compute
from packet.refrigerant.catalogue import find
from packet.refrigerant.computed import Computed


@cache
def computed_again(name: str) -> Computed:
    """From the equations, whatever is kept."""
    return compute(name, find(name).composition)
