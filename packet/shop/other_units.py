"""Keys typed with a unit that the files do not use: `charge_oz` is answered with the key and the figure to write."""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from packet.shop.fields import GAUGE, LENGTH, MASS, NUMBER, VOLUME, WATER, Quantity
from packet.shop.shape import Key
from packet.words import t

# By quantity: the ending people type, the unit it is turned into, and how many of the one make one of the other. All
# exact by definition; a liter of water weighs a kilogram only nearly, so that no weight is turned into liters here.
OTHERS: Mapping[Quantity, tuple[tuple[str, str, int], ...]] = {
    MASS: (("oz", "lb", 16), ("g", "kg", 1000)),
    WATER: (("oz", "lb", 16), ("ml", "l", 1000)),
    LENGTH: (("in", "ft", 12), ("cm", "m", 100), ("mm", "m", 1000)),
    VOLUME: (("in3", "ft3", 1728), ("l", "m3", 1000)),
    GAUGE: (("psi", "psig", 1), ("bar", "barg", 1), ("kPa", "barg", 100)),
}


def in_our_unit(typed: str, value: str, keys: Iterable[Key]) -> tuple[Key, str] | None:
    """The key that was meant by `typed` and the sentence that says what to write; None where it is no such key."""
    for key in keys:
        if key.quantity is None:
            continue
        base = key.name.removesuffix(key.quantity.us)
        for other, ours, many in OTHERS.get(key.quantity, ()):
            if typed.casefold() == f"{base}{other}".casefold():
                return key, _said(f"{base}{ours}", other, ours, many, value.strip())
    return None


def _said(name: str, other: str, ours: str, many: int, value: str) -> str:
    if not NUMBER.fullmatch(value) or len(value) > 12:
        if many == 1:
            return t("Write '{key}:'.", key=name)
        return t("Write '{key}:'; {many} {other} make 1 {ours}.", key=name, many=many, other=other, ours=ours)
    exact = Decimal(value) / many
    figure = f"{exact:.6f}".rstrip("0").rstrip(".")
    if many == 1:
        return t("Write '{key}: {figure}'.", key=name, figure=figure)
    return t(
        "Write '{key}: {figure}'; {many} {other} make 1 {ours}.",
        key=name,
        figure=figure,
        many=many,
        other=other,
        ours=ours,
    )
