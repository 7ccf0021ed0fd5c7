"""Mixture parameters for pairs of fluids that the library has no data for, with their uncertainty.

In the library's mixture model a pair is described by how its reducing temperature departs from the geometric mean:
gamma_T (Kunz and Wagner, J. Chem. Eng. Data 57 (2012) 3032; from memory). Fitted values depend above all on the two
families the fluids belong to: two fluids with both hydrogen and halogens lie near 1.00, an HFC with an alkane near
0.90. So a pair without data gets the mean of the known pairs most like it, and two and a half times their standard
deviation as uncertainty. Tried on every known pair of such families, left out in turn, that covers more than 19 in 20
(tests/refrigerant/test_estimate.py). What the uncertainty does to pressures and densities is computed blend by blend in
`estimated_blend`.
"""

from functools import cache
from itertools import combinations
from statistics import fmean, stdev
from typing import NamedTuple

from packet.refrigerant.library import library_name, pair_gamma
from packet.refrigerant.pure import PURE

# No estimate is trusted more than this, however much its few analogs agree.
LEAST_UNCERTAINTY = 0.015
# Pairs without data on which blends with published boiling points agree (`boiling`): R-401A, R-401B, R-409A and R-414B
# on the first, R-402A and R-402B on the second, all within the uncertainty (tests/refrigerant/test_boiling.py).
LEARNED = {frozenset(("R-22", "R-124")): 0.979, frozenset(("R-22", "R-125")): 0.977}
# Standard deviations of the analogs that count as uncertainty.
SPREAD = 2.5


class PairEstimate(NamedTuple):
    """gamma_T of a pair without data, its uncertainty (plus or minus), and how many known pairs it rests on (0: on boiling points)."""

    gamma: float
    uncertainty: float
    analogs: int


def family(designation: str) -> str:
    """The family of a fluid for the likeness of mixtures."""
    kind = PURE[designation].kind
    if kind == "HC":
        return "alkene" if designation == "R-1270" else "alkane"
    return kind


@cache
def known_gammas() -> dict[frozenset[str], float]:
    """gamma_T of every pair of catalogued fluids that the library describes by it alone."""
    fluids = [name for name in PURE if library_name(name) is not None]
    found = {frozenset(pair): pair_gamma(*pair) for pair in combinations(fluids, 2)}
    return {pair: gamma for pair, gamma in found.items() if gamma is not None}


def estimate_pair(first: str, second: str) -> PairEstimate:
    """The estimate for a pair, not using the library's own value if there is one.

    Raises LookupError when the families have no known pairs in common.
    """
    learned = LEARNED.get(frozenset((first, second)))
    if learned is not None:
        return PairEstimate(learned, LEAST_UNCERTAINTY, 0)
    analogs, least = _analogs(first, second), LEAST_UNCERTAINTY
    if len(analogs) < 2:
        # an olefin mixes much like the HFC it was made to replace: pairs of either with one of the two
        analogs, least = _sharing(frozenset((first, second)), olefins_too=True), 2.0 * LEAST_UNCERTAINTY
    if len(analogs) < 2:
        raise LookupError(f"{first}/{second}")
    return PairEstimate(fmean(analogs), max(least, SPREAD * stdev(analogs)), len(analogs))


def _families(pair: frozenset[str], *, olefins_too: bool = False) -> tuple[str, ...]:
    """The families of a pair, sorted. Among themselves HFCs and HCFCs are one: both carry hydrogen and halogens."""
    both = sorted(family(item) for item in pair)
    alike = {"HFC", "HCFC", "HFO"} if olefins_too else {"HFC", "HCFC"}
    return ("hydrogenated", "hydrogenated") if set(both) <= alike else tuple(both)


def _sharing(wanted: frozenset[str], *, olefins_too: bool = False) -> list[float]:
    """Known pairs that share one fluid with the wanted one, and the other's family."""
    families = _families(wanted, olefins_too=olefins_too)
    return [
        gamma
        for pair, gamma in known_gammas().items()
        if len(pair & wanted) == 1 and _families(pair, olefins_too=olefins_too) == families
    ]


def _analogs(first: str, second: str) -> list[float]:
    """Known pairs that share one fluid and the other's family; failing two such, all pairs of the two families."""
    wanted = frozenset((first, second))
    near = _sharing(wanted)
    if len(near) >= 2:
        return near
    return [gamma for pair, gamma in known_gammas().items() if pair != wanted and _families(pair) == _families(wanted)]
