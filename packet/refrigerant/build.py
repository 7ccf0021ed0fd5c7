"""Computing a refrigerant's saturation curves from the property library, once; `curves/` or the memory keep the result.

Everything here is SI and needs the library; `properties.py` reads what comes out of here.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from packet.refrigerant import boiling
from packet.refrigerant.computed import Composition, Computed, NoProperties
from packet.refrigerant.curve import Curve, fit, nodes
from packet.refrigerant.estimate import estimate_pair
from packet.refrigerant.library import Pair, PureFluid, library_name, pair_gamma, pair_is_known
from packet.refrigerant.saturation import BlendSolver, Saturated, blend_critical_K
from packet.statements import statement

LOWEST_K = 233.15  # -40 degF
# The only catalogued fluid that freezes above -40 degF: triple point of its equation of state (236.93 K). Not asked of
# the library, which gives 273 K for R-114, a limit of the equation and no freezing point.
FREEZES_K = {"R-113": 237.0}
HIGHEST_K = 333.15  # 140 degF
# A mixture's or a gas's curves stop this much below its critical temperature, where they still can be trusted.
BELOW_CRITICAL = 0.985
NODES = 41
# Terms of the series left out add up to less than this (relative in density and pressure).
NEGLIGIBLE = 1e-8
# The series' last terms may not be larger than this: otherwise a point converged to something else.
TAIL_AT_MOST = 2e-5
# An estimated blend is never claimed to be better than this, whatever its few estimated pairs do to it: so far are
# blends of fully known pairs from published figures (R-500 and R-502, tests/refrigerant/test_published.py).
LEAST_PRESSURE_ERROR_PERCENT = 3.0
LEAST_DENSITY_ERROR_PERCENT = 1.0
# A composition that somebody analyzed is never claimed to be better than this: R-408A is of pairs that the library knows
# but for a trace, and comes out 6 % low (`boiling`); the liquid's density as for estimated blends of known boiling point.
OWN_PRESSURE_ERROR_PERCENT = 6.0
OWN_DENSITY_ERROR_PERCENT = 2.5
# A pair the library knows by gamma_T alone was fitted to pressures, not to densities. Where it departs this much from
# one, and makes up this much of the blend (moles, both parts), the blend counts as estimated, with the error seen on the
# classic azeotropes R-500 and R-502 (tests/refrigerant/test_published.py).
ROUGH_GAMMA = 0.03
ROUGH_SHARE = 0.1
ROUGH_PRESSURE_ERROR_PERCENT = 3.0
ROUGH_DENSITY_ERROR_PERCENT = 1.5
# Farther from ideal mixing of the liquids' volumes than this a blend's density is not believed beyond that difference:
# of the blends with equations of their own R-454A is farthest, 2.2 % (tests/refrigerant/test_estimate.py).
IDEAL_MIXING_AT_MOST = 0.025


def compute(name: str, composition: Composition) -> Computed:
    """The curves of one refrigerant, from the library.

    Raises NoProperties when the library has no equation for a part, lacks a pair, or finds no solution.
    """
    missing = [part for part, _ in composition if library_name(part) is None]
    if missing:
        raise NoProperties(statement("no-equation", parts=tuple(missing)))
    if len(composition) == 1:
        return _pure(name, composition[0][0])
    unknown = unknown_pairs(composition)
    if not unknown:
        return _known_blend(name, composition)
    if name in boiling.BOILING_C:
        return _boiling_blend(name, composition, unknown)
    return _estimated_blend(name, composition, unknown)


def compute_own(name: str, composition: Composition) -> Computed:
    """The curves of a gas given by its composition, nothing of which is published: never without an error.

    Raises NoProperties as `compute` does.
    """
    computed = compute(name, composition)
    return replace(
        computed,
        pressure_error_percent=max(OWN_PRESSURE_ERROR_PERCENT, computed.pressure_error_percent or 0.0),
        density_error_percent=max(OWN_DENSITY_ERROR_PERCENT, computed.density_error_percent or 0.0),
        way="own-estimated" if computed.way == "estimated" else "own",
    )


def unknown_pairs(composition: Composition) -> list[Pair]:
    """The pairs of parts for which the library has no mixture parameters."""
    return [pair for pair in combinations([part for part, _ in composition], 2) if not pair_is_known(*pair)]


def roughly_known_pairs(composition: Composition) -> list[Pair]:
    """The pairs that make up much of the blend, depart much from ideal, and were fitted to pressures alone."""
    moles = dict(zip((part for part, _ in composition), BlendSolver(composition).mole_fractions, strict=True))
    return [
        (first, second)
        for first, second in combinations(moles, 2)
        if min(moles[first], moles[second]) >= ROUGH_SHARE
        and abs((pair_gamma(first, second) or 1.0) - 1.0) > ROUGH_GAMMA
    ]


def _known_blend(name: str, composition: Composition) -> Computed:
    """A blend the library knows in full; marked as an estimate where its figures are not to be taken at their word."""
    computed = _blend(name, composition, {})
    departure = departure_from_ideal_mixing(composition, computed)
    rough = roughly_known_pairs(composition)
    if not rough and departure <= IDEAL_MIXING_AT_MOST:
        return computed
    return replace(
        computed,
        pressure_error_percent=ROUGH_PRESSURE_ERROR_PERCENT,
        density_error_percent=max(
            ROUGH_DENSITY_ERROR_PERCENT, _up(100.0 * departure) if departure > IDEAL_MIXING_AT_MOST else 0.0
        ),
        way="fitted" if rough else "strange",
        pairs=_named(rough or list(combinations([part for part, _ in composition], 2))),
    )


def departure_from_ideal_mixing(composition: Composition, computed: Computed) -> float:
    """The largest relative difference of the liquid's density from that of its parts side by side (ideal mixing of
    volumes), where all of them are well below their critical points (0.9 of it)."""
    fluids = [(share, PureFluid(part)) for part, share in composition]
    liquid = Curve(computed.lowest_K, computed.highest_K, computed.liquid)
    hottest_K = min(computed.highest_K, *(0.9 * fluid.critical_K for _, fluid in fluids))
    largest = 0.0
    for T_K in nodes(computed.lowest_K, hottest_K, 7):
        volume = sum(share / fluid.saturation(T_K)[1] for share, fluid in fluids)
        largest = max(largest, abs(liquid(T_K) * volume - 1.0))
    return largest


def _up(percent: float) -> float:
    """An error, rounded up to a hundredth."""
    return math.ceil(100.0 * percent) / 100.0


def _named(pairs: list[Pair]) -> tuple[str, ...]:
    return tuple(f"{first}/{second}" for first, second in pairs)


def _estimated_blend(name: str, composition: Composition, unknown: list[Pair]) -> Computed:
    """A blend some of whose pairs are estimated, with what their uncertainty makes of its pressures and densities.

    Each estimated pair is moved to both ends of its uncertainty while the others stay; the larger change counts, and
    the pairs' changes add as squares, their errors having nothing to do with each other.
    """
    names = _named(unknown)
    try:
        estimates = {pair: estimate_pair(*pair) for pair in unknown}
    except LookupError as error:
        raise NoProperties(statement("no-mixture-parameters", pairs=names)) from error
    gammas = {pair: found.gamma for pair, found in estimates.items()}
    middle = _blend(name, composition, gammas)
    pressure, density = moved_by_uncertainty(
        composition, gammas, {pair: found.uncertainty for pair, found in estimates.items()}, middle.highest_K
    )
    return replace(
        middle,
        pressure_error_percent=max(LEAST_PRESSURE_ERROR_PERCENT, _up(100.0 * pressure)),
        density_error_percent=max(LEAST_DENSITY_ERROR_PERCENT, _up(100.0 * density)),
        way="estimated",
        pairs=names,
    )


def _boiling_blend(name: str, composition: Composition, unknown: list[Pair]) -> Computed:
    """A blend with estimated pairs whose boiling point is published: it boils there (see `boiling`)."""
    bubble_C, dew_C = boiling.BOILING_C[name]
    try:
        begin = boiling.start(composition, unknown)
        bubble, dew = boiling.fit_pairs(composition, begin, bubble_C + 273.15, dew_C + 273.15)
        boils, condenses = BlendSolver(composition, *bubble), BlendSolver(composition, *dew)
        critical_K = round(blend_critical_K(boils), 4)
        span = LOWEST_K, _highest_K(critical_K)
        # solved anew, each from its coldest temperature upward
        boils, condenses = BlendSolver(composition, *bubble), BlendSolver(composition, *dew)
        rows = []
        for T_K in nodes(*span, NODES):
            below, above = boils.saturation(T_K), condenses.saturation(T_K)
            rows.append(Saturated(below.bubble_Pa, above.dew_Pa, below.liquid, above.vapor))
    except ValueError as error:
        raise NoProperties(statement("no-solution", error=str(error))) from error
    return replace(
        _curves(name, rows, span, critical_K, boils.molar_mass_kg),
        pressure_error_percent=boiling.PRESSURE_ERROR_PERCENT,
        density_error_percent=boiling.DENSITY_ERROR_PERCENT,
        way="boiling",
        pairs=_named(unknown),
    )


def moved_by_uncertainty(
    composition: Composition, gammas: Mapping[Pair, float], uncertainty: Mapping[Pair, float], highest_K: float
) -> tuple[float, float]:
    """How far the uncertainty of `gammas` moves (pressures and vapor density, liquid density), relative.

    Raises ValueError when an end cannot be solved.
    """
    temperatures = nodes(LOWEST_K, highest_K, 7)
    middle = _solve(composition, gammas, temperatures)
    pressure = density = 0.0
    for pair, width in uncertainty.items():
        ends = [
            _solve(composition, {**gammas, pair: gammas[pair] + side * width}, temperatures) for side in (-1.0, 1.0)
        ]
        gaps = [gap(row, other) for end in ends for row, other in zip(middle, end, strict=True)]
        pressure = math.hypot(pressure, max(item[0] for item in gaps))
        density = math.hypot(density, max(item[1] for item in gaps))
    return pressure, density


def gap(one: Saturated, other: Saturated) -> tuple[float, float]:
    """Relative difference of two solutions: (pressures and vapor density, the largest; liquid density)."""
    pressure = max(abs(b / a - 1.0) for a, b in zip(one, other, strict=True) if a != one.liquid)
    return pressure, abs(other.liquid / one.liquid - 1.0)


def _solve(composition: Composition, gammas: Mapping[Pair, float], temperatures: Sequence[float]) -> list[Saturated]:
    solver = BlendSolver(composition, gammas)
    return [solver.saturation(T_K) for T_K in temperatures]


def _pure(name: str, part: str) -> Computed:
    fluid = PureFluid(part)
    critical_K = round(fluid.critical_K, 4)
    lowest, highest = max(LOWEST_K, FREEZES_K.get(part, 0.0)), _highest_K(critical_K)
    rows = []
    for T_K in nodes(lowest, highest, NODES):
        pressure, liquid, vapor = fluid.saturation(T_K)
        rows.append(Saturated(pressure, pressure, liquid, vapor))
    return _curves(name, rows, (lowest, highest), critical_K, fluid.molar_mass_kg)


def _blend(name: str, composition: Composition, estimated: Mapping[Pair, float]) -> Computed:
    try:
        solver = BlendSolver(composition, estimated)
        critical_K = round(blend_critical_K(solver), 4)
        lowest, highest = LOWEST_K, _highest_K(critical_K)
        rows = _solve(composition, estimated, nodes(lowest, highest, NODES))
    except ValueError as error:
        raise NoProperties(statement("no-solution", error=str(error))) from error
    return _curves(name, rows, (lowest, highest), critical_K, solver.molar_mass_kg)


def _highest_K(critical_K: float) -> float:
    return min(HIGHEST_K, round(BELOW_CRITICAL * critical_K, 4))


def _curves(
    name: str, rows: list[Saturated], span: tuple[float, float], critical_K: float, molar_mass_kg: float
) -> Computed:
    _believe(name, rows)
    scale = max(row.liquid for row in rows)
    bubble = fit(*span, [math.log(row.bubble_Pa) for row in rows], NEGLIGIBLE).coefficients
    same = all(row.bubble_Pa == row.dew_Pa for row in rows)
    dew = bubble if same else fit(*span, [math.log(row.dew_Pa) for row in rows], NEGLIGIBLE).coefficients
    liquid = fit(*span, [row.liquid for row in rows], NEGLIGIBLE * scale).coefficients
    vapor = fit(*span, [math.log(row.vapor) for row in rows], NEGLIGIBLE).coefficients
    tails = [sum(map(abs, series[-3:])) / size for series, size in ((bubble, 1), (dew, 1), (liquid, scale), (vapor, 1))]
    if max(tails) > TAIL_AT_MOST:
        raise NoProperties(statement("no-smooth-curve", refrigerant=name))
    bubble, dew, liquid, vapor = (
        _rounded(series, places) for series, places in ((bubble, 10), (dew, 10), (liquid, 7), (vapor, 10))
    )
    return Computed(*span, critical_K, round(molar_mass_kg, 10), bubble, dew, liquid, vapor)


def _rounded(series: tuple[float, ...], places: int) -> tuple[float, ...]:
    """To 1e-10 of the quantity, about as far as the solver goes: so the files of two machines are the same."""
    return tuple(round(value, places) for value in series)


def _believe(name: str, rows: list[Saturated]) -> None:
    """A solver may settle on a root that is none: what every saturation curve keeps must hold.

    Pressures rise with temperature, liquid thins and vapor thickens; dew is not above bubble (1e-6 for azeotropes);
    the liquid is the denser phase.
    """
    for before, after in pairwise(rows):
        rising = before.bubble_Pa < after.bubble_Pa and before.dew_Pa < after.dew_Pa and before.vapor < after.vapor
        if not (rising and before.liquid > after.liquid):
            raise NoProperties(statement("not-monotonic", refrigerant=name))
    for row in rows:
        if row.dew_Pa > row.bubble_Pa * (1.0 + 1e-6) or row.vapor >= row.liquid:
            raise NoProperties(statement("phases-swapped", refrigerant=name))
