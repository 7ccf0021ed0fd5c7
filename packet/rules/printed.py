"""Weights as printed: floored to what the scale can show, in the unit that is printed."""

from dataclasses import dataclass
from decimal import Decimal

from packet.units import KG_PER_LB, UnitSystem, ceil_to, floor_to, round_to
from packet.words import N_
from packet.worked import Worked, given

_NEAT = tuple(Decimal(digit).scaleb(power) for power in range(-3, 3) for digit in (1, 2, 5))


@dataclass(frozen=True, slots=True)
class PrintedWeight:
    """The unit a weight is printed in and the step it is floored to."""

    units: UnitSystem
    step: Decimal

    @property
    def places(self) -> int:
        """Decimals that the step needs."""
        exponent = self.step.normalize().as_tuple().exponent
        return max(0, -exponent) if isinstance(exponent, int) else 0

    @property
    def step_lb(self) -> float:
        """The step in lb."""
        return float(self.step) if self.units == "US" else float(self.step) / KG_PER_LB


def printed_weight(resolution_lb: float, units: UnitSystem) -> PrintedWeight:
    """How weights read on a scale of `resolution_lb` are printed.

    A resolution that is a round figure in the printed unit is the step; one that is not (a kilogram scale in a shop
    that prints pounds) is taken up to the next 1, 2 or 5: a coarser floor is always on the safe side.
    """
    step = resolution_lb if units == "US" else resolution_lb * KG_PER_LB
    three_places = Decimal(str(round(step, 3)))
    if three_places > 0 and abs(float(three_places) - step) < 1e-6 * step:
        return PrintedWeight(units, three_places)
    return PrintedWeight(units, next((neat for neat in _NEAT if float(neat) >= step * (1 - 1e-9)), _NEAT[-1]))


def floored(weight_lb: Worked, rule: str, how: PrintedWeight) -> Worked:
    """`weight_lb` floored to the printed step. In SI it is floored in kilograms and given back in lb.

    A weight a hair (1e-9) below a step, as binary fractions leave it, is that step.
    """
    source = N_("limits are rounded down to what the scale shows")
    if how.units == "US":
        value = float(floor_to(_unhair(weight_lb.value), how.step))
        formula = "{weight} rounded down to steps of {step}"
        step = given(float(how.step), "lb", N_("the scale's resolution"), how.places)
        places = how.places
    else:
        value = float(floor_to(_unhair(weight_lb.value * KG_PER_LB), how.step)) / KG_PER_LB
        formula = "({weight} × 0.45359237 rounded down to steps of {step}) ÷ 0.45359237"
        step = given(float(how.step), "kg", N_("the scale's resolution"), how.places)
        places = 4
    return Worked(
        value,
        "lb",
        rule,
        source,
        formula,
        (("weight", weight_lb), ("step", step)),
        places,
        weight_lb.estimate_percent,
    )


def raised(weight_lb: Worked, rule: str, how: PrintedWeight) -> Worked:
    """`weight_lb` rounded up to the printed step: for a minimum, which is never rounded down.

    A weight a hair (1e-9) above a step, as binary fractions leave it, is that step. In SI in kilograms, given back in lb.
    """
    source = N_("a minimum is rounded up to what the scale shows")
    step = given(float(how.step), "lb" if how.units == "US" else "kg", N_("the scale's resolution"), how.places)
    if how.units == "US":
        value = float(ceil_to(_unhair(weight_lb.value), how.step))
        formula, places = "{weight} rounded up to steps of {step}", how.places
    else:
        value = float(ceil_to(_unhair(weight_lb.value * KG_PER_LB), how.step)) / KG_PER_LB
        formula, places = "({weight} × 0.45359237 rounded up to steps of {step}) ÷ 0.45359237", 4
    return Worked(value, "lb", rule, source, formula, (("weight", weight_lb), ("step", step)), places)


def rounded(weight_lb: Worked, rule: str, how: PrintedWeight) -> Worked:
    """`weight_lb` rounded half up to the printed step: for a figure to compare with, never for a limit."""
    source = N_("rounded, not floored: it is not a limit")
    step = given(float(how.step), "lb" if how.units == "US" else "kg", N_("the scale's resolution"), how.places)
    inputs = (("weight", weight_lb), ("step", step))
    if how.units == "US":
        value = float(round_to(_unhair(weight_lb.value), how.step))
        return Worked(value, "lb", rule, source, "{weight} rounded to steps of {step}", inputs, how.places)
    value = float(round_to(_unhair(weight_lb.value * KG_PER_LB), how.step)) / KG_PER_LB
    formula = "({weight} × 0.45359237 rounded to steps of {step}) ÷ 0.45359237"
    return Worked(value, "lb", rule, source, formula, inputs, places=4)


def _unhair(value: float) -> Decimal:
    return Decimal(str(round(value, 9)))
