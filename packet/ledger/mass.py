"""Masses to the last digit typed: kept in kilograms as exact decimals, whatever unit was typed.

A pound is 0.45359237 kg by definition (international yard and pound, 1959), so pounds convert to kilograms with
nothing lost, while kilograms to pounds would not end. Sums therefore agree whatever order they are added in.
"""

import re
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from typing import Literal

MassUnit = Literal["lb", "kg"]
KG_IN_ONE_LB = Decimal("0.45359237")
_TYPED = re.compile(r"[-+]?\d{1,9}(\.\d{1,9})?", re.ASCII)
_PLACES = Decimal("1e-9")  # of a pound: finer than anything typed


def kg_from(text: str, unit: MassUnit) -> Decimal:
    """Kilograms, exact, from a typed weight ('61.40') in `unit`. Raises ValueError for what is no plain number."""
    if _TYPED.fullmatch(text) is None:
        raise ValueError(f"no plain weight: {text!r}")
    value = Decimal(text)
    return value * KG_IN_ONE_LB if unit == "lb" else value


def kg_from_float_lb(mass_lb: float) -> Decimal:
    """Kilograms from a register's figure, without the dust of binary fractions: whatever unit it was typed in, up to
    four decimals of a pound or nine of a kilogram come out exact."""
    return plain((Decimal(repr(mass_lb)) * KG_IN_ONE_LB).quantize(Decimal("1e-12"), rounding=ROUND_HALF_EVEN))


def lb_from_kg(mass_kg: Decimal) -> Decimal:
    """Pounds from kilograms, to a billionth, without trailing zeros: what was typed in pounds comes back as typed."""
    with localcontext() as context:
        context.prec = 40
        return plain((mass_kg / KG_IN_ONE_LB).quantize(_PLACES, rounding=ROUND_HALF_EVEN))


def plain(value: Decimal) -> Decimal:
    """The same number without trailing zeros and without an exponent."""
    short = value.normalize()
    exponent = short.as_tuple().exponent
    return short.quantize(Decimal(1)) if isinstance(exponent, int) and exponent > 0 else short


def signed_field(entry: dict[str, str], name: str) -> Decimal:
    """The mass under `name_lb` or `name_kg` of a record's entry, in kilograms. Raises KeyError when neither is there."""
    pounds = entry.get(f"{name}_lb")
    return kg_from(pounds, "lb") if pounds is not None else kg_from(entry[f"{name}_kg"], "kg")
