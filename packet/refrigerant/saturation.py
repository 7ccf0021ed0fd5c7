"""Bubble and dew points of a blend, solved from the fugacities by successive substitution.

The library's own flash fails for some blends at 131 degF (R-407C, R-407F, R-452B, R-507A). Fixing the temperature and
the composition of one phase, and stepping pressure and the other phase's composition until every part's fugacity is
the same in both, converges for all of them; each temperature starts from its solved neighbour.
"""

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from packet.refrigerant.library import Pair, Phase, PureFluid

# Relative; the fugacities themselves are good to about 1e-10.
_TOLERANCE = 1e-9
_STEPS = 400
_HALVINGS = 3


class Saturated(NamedTuple):
    """Saturation of one temperature, SI: pressures in Pa, saturated densities in kg/m3."""

    bubble_Pa: float
    dew_Pa: float
    liquid: float
    vapor: float


class NotConverged(ValueError):  # noqa: N818 - what happened
    """The iteration did not settle."""


class _Point(NamedTuple):
    pressure_Pa: float
    other_phase: list[float]
    density: float  # of the phase that has the blend's own composition


class BlendSolver:
    """Solves one blend, given as designations with mass fractions.

    estimated: parameters of the pairs the library lacks (see `estimate`); moved: of known pairs (see `boiling`).
    Raises ValueError when one is lacking.
    """

    def __init__(
        self,
        composition: tuple[tuple[str, float], ...],
        estimated: Mapping[Pair, float] = MappingProxyType({}),
        moved: Mapping[Pair, float] = MappingProxyType({}),
    ) -> None:
        designations = tuple(name for name, _ in composition)
        self._pure = [PureFluid(name) for name in designations]
        self._liquid = Phase(designations, liquid=True, estimated=estimated, moved=moved)
        self._vapor = Phase(designations, liquid=False, estimated=estimated, moved=moved)
        moles = [share / fluid.molar_mass_kg for (_, share), fluid in zip(composition, self._pure, strict=True)]
        self.mole_fractions = [part / sum(moles) for part in moles]
        self.molar_mass_kg = 1.0 / sum(moles)
        self._last_K: float | None = None
        self._last_bubble: _Point | None = None
        self._last_dew: _Point | None = None

    def saturation(self, T_K: float) -> Saturated:
        """Bubble and dew point at T_K. Raises ValueError when there is no solution there.

        Starts from the temperature solved last; if that is too far, by way of the one halfway.
        """
        return self._step_to(T_K, _HALVINGS)

    def _step_to(self, T_K: float, halvings: int) -> Saturated:
        try:
            bubble, dew = self._bubble(T_K), self._dew(T_K)
        except ValueError:
            if self._last_K is None or halvings == 0:
                raise
            self._step_to((self._last_K + T_K) / 2.0, halvings - 1)
            return self._step_to(T_K, halvings - 1)
        self._last_K = T_K
        return Saturated(bubble.pressure_Pa, dew.pressure_Pa, bubble.density, dew.density)

    def bubble_densities(self, T_K: float) -> tuple[float, float]:
        """(liquid, first vapor) densities at the bubble point, kg/m3. Raises ValueError when there is no solution."""
        return self._bubble(T_K).density, self._vapor.density()

    @property
    def pseudo_critical_K(self) -> float:
        """The mole-weighted mean of the parts' critical temperatures."""
        return sum(share * fluid.critical_K for share, fluid in zip(self.mole_fractions, self._pure, strict=True))

    def _bubble(self, T_K: float) -> _Point:
        z = self.mole_fractions
        if self._last_bubble is None:
            volatile = self._vapor_pressures(T_K)
            pressure = sum(share * p for share, p in zip(z, volatile, strict=True))
            y = [share * p / pressure for share, p in zip(z, volatile, strict=True)]
        else:
            pressure, y, _ = self._last_bubble
        for _ in range(_STEPS):
            in_liquid = self._liquid.fugacity_coefficients(T_K, pressure, z)
            in_vapor = self._vapor.fugacity_coefficients(T_K, pressure, y)
            raw = [share * a / b for share, a, b in zip(z, in_liquid, in_vapor, strict=True)]
            pressure, y, change = _next(pressure, y, raw, rising=True)
            if change < _TOLERANCE:
                self._last_bubble = _Point(pressure, y, self._liquid.density())
                return self._last_bubble
        raise NotConverged(f"bubble point at {T_K} K")

    def _dew(self, T_K: float) -> _Point:
        z = self.mole_fractions
        if self._last_dew is None:
            volatile = self._vapor_pressures(T_K)
            pressure = 1.0 / sum(share / p for share, p in zip(z, volatile, strict=True))
            x = [share * pressure / p for share, p in zip(z, volatile, strict=True)]
        else:
            pressure, x, _ = self._last_dew
        for _ in range(_STEPS):
            in_liquid = self._liquid.fugacity_coefficients(T_K, pressure, x)
            in_vapor = self._vapor.fugacity_coefficients(T_K, pressure, z)
            raw = [share * b / a for share, a, b in zip(z, in_liquid, in_vapor, strict=True)]
            pressure, x, change = _next(pressure, x, raw, rising=False)
            if change < _TOLERANCE:
                self._last_dew = _Point(pressure, x, self._vapor.density())
                return self._last_dew
        raise NotConverged(f"dew point at {T_K} K")

    def _vapor_pressures(self, T_K: float) -> list[float]:
        """Each part's own vapor pressure; above its critical point Wilson's extrapolation. Only a first guess."""
        return [
            fluid.saturation(T_K)[0]
            if fluid.critical_K * 0.999 > T_K
            else fluid.critical_Pa * math.exp(5.373 * (1.0 + fluid.acentric) * (1.0 - fluid.critical_K / T_K))
            for fluid in self._pure
        ]


def _next(
    pressure: float, fractions: list[float], raw: list[float], *, rising: bool
) -> tuple[float, list[float], float]:
    """One substitution step: the new pressure, the other phase's new fractions, and how much they changed."""
    total = sum(raw)
    new = [part / total for part in raw]
    change = abs(total - 1.0) + max(abs(a - b) for a, b in zip(new, fractions, strict=True))
    return (pressure * total if rising else pressure / total), new, change


def blend_critical_K(solver: BlendSolver) -> float:
    """The blend's critical temperature, by following the bubble point up and extrapolating to where phases agree.

    Near a critical point the difference of the two densities goes as (Tc - T) to the power 0.36 (effective exponent
    over the last few percent), so T is close to a parabola in difference ** (1/0.36). Agrees with the library's own,
    much slower search within 2 K, on the low side (tests/refrigerant).

    Raises ValueError when fewer than three points could be solved.
    """
    pseudo_critical_K = solver.pseudo_critical_K
    points: list[tuple[float, float]] = []
    T_K = 0.86 * pseudo_critical_K
    hottest_K = 1.1 * pseudo_critical_K
    while hottest_K > T_K:
        try:
            liquid, vapor = solver.bubble_densities(T_K)
        except ValueError:
            break
        if liquid - vapor < 0.25 * liquid:
            break
        points.append(((liquid - vapor) ** (1.0 / 0.36), T_K))
        T_K += 0.01 * pseudo_critical_K
    if len(points) < 3:
        raise NotConverged("critical point")
    (x0, y0), (x1, y1), (x2, y2) = points[-3:]
    return (
        y0 * x1 * x2 / ((x0 - x1) * (x0 - x2))
        + y1 * x0 * x2 / ((x1 - x0) * (x1 - x2))
        + y2 * x0 * x1 / ((x2 - x0) * (x2 - x1))
    )
