"""Whether remembered curves can be those of a composition: a cheap look from outside, without the property library.

At two fixed temperatures the curves are held against ideal mixing of the parts' own curves, which come with the code.
Real blends depart from it by what the catalogue shows (tests/refrigerant/test_believe.py): liquids up to 7 %, pressures
from 4 % below to 58 % above Raoult's law (azeotropes). What lies farther off was not computed for this composition, or
was changed since, and is computed anew.
"""

import itertools
import math

from packet.refrigerant import packaged
from packet.refrigerant.computed import Composition, Computed
from packet.refrigerant.curve import Curve, nodes

LIQUID_DEPARTS = (-0.08, 0.06)
PRESSURE_DEPARTS = (0.90, 1.80)
COMPRESSIBILITY = (0.45, 1.0)
GAS_CONSTANT = 8.31446261815324
_LOWEST_K = (233.15, 240.0)
_HIGHEST_K = 333.15
_MOST_TERMS = 60


def believable(composition: Composition, kept: Computed) -> bool:
    """Whether `kept` is sound in itself and within known departures of ideal mixing. Never raises."""
    try:
        return _sound(kept) and all(_near_ideal(composition, kept, T_K) for T_K in _two_points(composition, kept))
    except (ArithmeticError, LookupError, TypeError, ValueError):
        return False


def _sound(kept: Computed) -> bool:
    series = (kept.ln_bubble, kept.ln_dew, kept.liquid, kept.ln_vapor)
    errors = (kept.density_error_percent, kept.pressure_error_percent)
    numbers = (
        kept.lowest_K,
        kept.highest_K,
        kept.critical_K,
        kept.molar_mass_kg,
        *errors,
        *(x for one in series for x in one),
    )
    if not all(type(number) is float and math.isfinite(number) for number in numbers):
        return False
    if not _LOWEST_K[0] <= kept.lowest_K <= _LOWEST_K[1] or not kept.lowest_K + 5.0 < kept.highest_K <= _HIGHEST_K:
        return False
    if any(error is None or not 0.0 < error < 100.0 for error in errors) or kept.critical_K <= kept.highest_K:
        return False
    if any(not 2 <= len(one) <= _MOST_TERMS for one in series):
        return False
    bubble, dew, liquid, vapor = (Curve(kept.lowest_K, kept.highest_K, one) for one in series)
    rows = [(bubble(at), dew(at), -liquid(at), vapor(at)) for at in nodes(kept.lowest_K, kept.highest_K, 12)]
    rising = all(a < b for low, high in itertools.pairwise(rows) for a, b in zip(low, high, strict=True))
    return rising and all(row[1] <= row[0] + 1e-6 and math.exp(row[3]) < -row[2] for row in rows)


def _two_points(composition: Composition, kept: Computed) -> tuple[float, float]:
    """Cold, and as warm as all parts have a liquid well below their critical points; within the curves."""
    critical = min(_part(part).critical_K for part, _ in composition)
    cold = max(243.15, kept.lowest_K)
    return cold, min(max(cold, min(293.15, 0.9 * critical)), kept.highest_K)


def _near_ideal(composition: Composition, kept: Computed, T_K: float) -> bool:
    parts = [(share, _part(part)) for part, share in composition]
    moles = [share / part.molar_mass_kg for share, part in parts]
    molar_mass_kg = 1.0 / sum(moles)
    if abs(kept.molar_mass_kg / molar_mass_kg - 1.0) > 1e-6:
        return False
    alone = [math.exp(_at(part, "ln_bubble", T_K)) for _, part in parts]
    raoult = sum(mole * pressure for mole, pressure in zip(moles, alone, strict=True)) * molar_mass_kg
    drop = 1.0 / (sum(mole / pressure for mole, pressure in zip(moles, alone, strict=True)) * molar_mass_kg)
    volume = sum(share / _at(part, "liquid", T_K) for share, part in parts)
    bubble, dew = math.exp(_at(kept, "ln_bubble", T_K)), math.exp(_at(kept, "ln_dew", T_K))
    compressibility = dew * molar_mass_kg / (GAS_CONSTANT * T_K * math.exp(_at(kept, "ln_vapor", T_K)))
    return (
        LIQUID_DEPARTS[0] <= _at(kept, "liquid", T_K) * volume - 1.0 <= LIQUID_DEPARTS[1]
        and PRESSURE_DEPARTS[0] <= bubble / raoult <= PRESSURE_DEPARTS[1]
        and PRESSURE_DEPARTS[0] <= dew / drop <= PRESSURE_DEPARTS[1]
        and COMPRESSIBILITY[0] <= compressibility <= COMPRESSIBILITY[1]
    )


def _part(name: str) -> Computed:
    found = packaged.curves(name, ((name, 1.0),))
    if found is None:
        raise LookupError(name)
    return found


def _at(kept: Computed, series: str, T_K: float) -> float:
    inside = min(max(T_K, kept.lowest_K), kept.highest_K)
    return Curve(kept.lowest_K, kept.highest_K, getattr(kept, series))(inside)
