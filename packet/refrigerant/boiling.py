"""Blends with pairs the library lacks, made to boil where the handbook says they do.

A pair without mixture parameters is first estimated (`estimate`). Where the blend's bubble and dew points at one
atmosphere are published, the pairs are moved until it boils there: the more uncertain a pair is and the more of the
blend it makes up, the more it is moved (the least change for its likelihood, as in a Kalman filter with one observation;
common practice in data fitting, no source). Known pairs that rest on a reducing temperature alone move a little too:
R-408A holds so little of its unknown pair that it could not be brought to its boiling point otherwise.

Bubble and dew are fitted each for itself, because a pair's parameter moves both alike while the published glide differs
by a few tenths of a kelvin; bubble pressure and liquid are taken from the one fit, dew pressure and vapor from the other.
"""

import math
from collections.abc import Callable, Mapping
from itertools import combinations
from typing import NamedTuple

from packet.refrigerant.computed import Composition
from packet.refrigerant.estimate import estimate_pair
from packet.refrigerant.library import Pair, pair_gamma
from packet.refrigerant.saturation import BlendSolver, NotConverged

ATMOSPHERE_Pa = 101325.0
# Bubble and dew point at one atmosphere, degC: ASHRAE Handbook - Fundamentals 2021 (SI), ch. 29, table 2.
BOILING_C: dict[str, tuple[float, float]] = {
    "R-401A": (-34.4, -28.8),
    "R-401B": (-35.7, -30.8),
    "R-402A": (-49.2, -47.0),
    "R-402B": (-47.2, -44.9),
    "R-408A": (-45.5, -45.0),
    "R-409A": (-35.4, -27.5),
    "R-414B": (-34.4, -26.1),
}
# What such a fit leaves elsewhere from -20 to 131 degF, found by fitting known blends in the same way, each pair that
# could be as if the library lacked it: pressures up to 2.6 % (R-410A), the vapor's density up to 4.3 % and the liquid's
# up to 2.3 % (R-410A at 131 degF); tests/refrigerant/test_boiling.py.
PRESSURE_ERROR_PERCENT = 4.5
DENSITY_ERROR_PERCENT = 2.5
# By how much a known pair's reducing temperature is taken to be uncertain, when it rests on pressures alone: the
# standard deviation of known pairs of one family is two to three times as much (`estimate`).
KNOWN_UNCERTAINTY = 0.01
_CLOSE_ENOUGH = 1e-8  # of the logarithm of the pressure
_STEPS = 30


class Pairs(NamedTuple):
    """gamma_T by pair: `estimated` for those the library lacks, `moved` for known ones that keep all else."""

    estimated: Mapping[Pair, float]
    moved: Mapping[Pair, float]


class Start(NamedTuple):
    """Where a fit starts: gamma_T of unknown and of known pairs, and how uncertain each is."""

    unknown: Mapping[Pair, float]
    known: Mapping[Pair, float]
    uncertainty: Mapping[Pair, float]


def start(composition: Composition, unknown: list[Pair]) -> Start:
    """The estimates of `unknown` and the other pairs that may move. Raises LookupError where there is no estimate."""
    estimates = {pair: estimate_pair(*pair) for pair in unknown}
    known = {
        pair: gamma
        for pair in combinations([part for part, _ in composition], 2)
        if pair not in estimates and (gamma := pair_gamma(*pair)) is not None
    }
    return Start(
        {pair: found.gamma for pair, found in estimates.items()},
        known,
        {pair: found.uncertainty for pair, found in estimates.items()} | dict.fromkeys(known, KNOWN_UNCERTAINTY),
    )


def fit_pairs(composition: Composition, begin: Start, bubble_K: float, dew_K: float) -> tuple[Pairs, Pairs]:
    """The pairs with which the blend's bubble, and those with which its dew pressure is one atmosphere there.

    Raises ValueError when no such pairs are found.
    """
    parts = [part for part, _ in composition]
    moles = dict(zip(parts, BlendSolver(composition, begin.unknown).mole_fractions, strict=True))
    weight = {pair: width**2 * moles[pair[0]] * moles[pair[1]] for pair, width in begin.uncertainty.items()}

    def at(far: float) -> Pairs:
        return Pairs(
            {pair: gamma + far * weight[pair] for pair, gamma in begin.unknown.items()},
            {pair: gamma + far * weight[pair] for pair, gamma in begin.known.items()},
        )

    def bubble(far: float) -> float:
        return math.log(BlendSolver(composition, *at(far)).saturation(bubble_K).bubble_Pa / ATMOSPHERE_Pa)

    def dew(far: float) -> float:
        return math.log(BlendSolver(composition, *at(far)).saturation(dew_K).dew_Pa / ATMOSPHERE_Pa)

    return at(_root(bubble)), at(_root(dew))


def _root(function: Callable[[float], float]) -> float:
    """Where a nearly straight function is nothing, by secants from 0."""
    x, fx = 0.0, function(0.0)
    other = math.copysign(5.0, fx)  # a larger gamma_T lowers the pressures
    f_other = function(other)
    for _ in range(_STEPS):
        if abs(f_other) < _CLOSE_ENOUGH:
            return other
        if f_other == fx:
            break
        x, other, fx = other, other - f_other * (other - x) / (f_other - fx), f_other
        f_other = function(other)
    raise NotConverged("published boiling point")
