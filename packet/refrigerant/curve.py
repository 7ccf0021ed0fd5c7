"""A smooth curve through computed points: a Chebyshev series in temperature.

The points stand at the series' own nodes, so that the coefficients of a smooth function fall off like a geometric
series. That makes the last coefficients a check of the points themselves: one point that converged to something else
shows as a tail that does not fall.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Curve:
    """A Chebyshev series on [lowest, highest]; callable. coefficients: from the constant term upward."""

    lowest: float
    highest: float
    coefficients: tuple[float, ...]

    def __call__(self, x: float) -> float:
        """The value at x (Clenshaw's recurrence). The caller keeps x inside the range."""
        u = (2.0 * x - self.lowest - self.highest) / (self.highest - self.lowest)
        twice = 2.0 * u
        above = above_that = 0.0
        for coefficient in self.coefficients[:0:-1]:
            above, above_that = coefficient + twice * above - above_that, above
        return self.coefficients[0] + u * above - above_that


def nodes(lowest: float, highest: float, count: int) -> tuple[float, ...]:
    """The `count` Chebyshev points (extrema, both ends included) on [lowest, highest], ascending."""
    middle, half = (lowest + highest) / 2.0, (highest - lowest) / 2.0
    inner = [middle - half * math.cos(math.pi * k / (count - 1)) for k in range(count)]
    return (lowest, *inner[1:-1], highest)


def fit(lowest: float, highest: float, values: Sequence[float], drop_below: float) -> Curve:
    """The series through `values` at `nodes(lowest, highest, len(values))`, its negligible tail cut off.

    drop_below: terms at the end whose sizes add up to less than this are left out.
    """
    last = len(values) - 1
    coefficients = []
    for order in range(last + 1):
        total = 0.0
        for k, value in enumerate(values):
            ends = 0.5 if k in {0, last} else 1.0
            total += ends * value * math.cos(math.pi * order * (last - k) / last)
        coefficients.append(total * (1.0 if order in {0, last} else 2.0) / last)
    dropped = 0.0
    while len(coefficients) > 2 and dropped + abs(coefficients[-1]) < drop_below:
        dropped += abs(coefficients.pop())
    return Curve(lowest, highest, tuple(coefficients))


def inverse(
    function: Callable[[float], float], target: float, low: float, high: float, tolerance: float = 1e-9
) -> float:
    """x in [low, high], to `tolerance`, where the monotonic `function` takes the value `target`.

    Ridders' method (IEEE Trans. Circuits Syst. 26 (1979) 979; from memory). A target that is beyond an end by no more
    than rounding (1e-12 of its size) is that end. Raises ValueError when it is farther out.
    """
    f_low, f_high = function(low) - target, function(high) - target
    if (f_low > 0.0) == (f_high > 0.0):
        if min(abs(f_low), abs(f_high)) < 1e-12 * max(1.0, abs(target)):
            return low if abs(f_low) < abs(f_high) else high
        raise ValueError(f"{target} is not reached between {low} and {high}")
    rising = f_high > 0.0
    x = math.inf
    while high - low > tolerance:
        middle = (low + high) / 2.0
        f_middle = function(middle) - target
        step = (middle - low) * f_middle / math.sqrt(f_middle * f_middle - f_low * f_high)
        before, x = x, middle - step if rising else middle + step
        if abs(x - before) <= tolerance or not low < x < high:
            return x
        f_x = function(x) - target
        for point, value in ((middle, f_middle), (x, f_x)):
            if low < point < high:
                if (value > 0.0) == rising:
                    high, f_high = point, value
                else:
                    low, f_low = point, value
    return (low + high) / 2.0
