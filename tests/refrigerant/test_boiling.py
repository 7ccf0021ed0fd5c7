"""Estimated blends pass through their published boiling points, and what that leaves elsewhere is within what is stated.

The truth to compare with: blends that the library knows in full, fitted the same way as if it lacked their pairs.
"""

import math
from itertools import combinations

import pytest

from packet.refrigerant import boiling, build
from packet.refrigerant.boiling import BOILING_C, Pairs
from packet.refrigerant.catalogue import everything, find
from packet.refrigerant.computed import Composition
from packet.refrigerant.curve import inverse
from packet.refrigerant.estimate import LEARNED, LEAST_UNCERTAINTY, estimate_pair, family
from packet.refrigerant.library import Pair, pair_is_known
from packet.refrigerant.properties import properties
from packet.refrigerant.saturation import BlendSolver
from packet.units import kelvin_from_fahrenheit
from tests.published import published
from tests.refrigerant.fresh import fitted_pairs
from tests.refrigerant.test_estimate import FAMILIES_IN_USE

ATMOSPHERE_Pa = 101325.0
EVERY_10_F = (*range(-20, 131, 10), 131)


def test_the_table_is_the_handbooks() -> None:
    """ASHRAE Handbook - Fundamentals 2021 (SI), ch. 29, table 2, as in published.yaml."""
    table = published()["boiling_point_C"][0]
    assert {name: list(points) for name, points in BOILING_C.items()}.items() <= table.items()
    # and every blend of it that has to be estimated is brought to it
    lacking = {name for name in table if build.unknown_pairs(find(name).composition)}
    assert lacking == set(BOILING_C)


@pytest.mark.parametrize("name", BOILING_C)
def test_an_estimated_blend_boils_where_it_is_published_to(name: str) -> None:
    """Solved again from the equations: the published temperatures give one atmosphere."""
    bubble, dew = fitted_pairs(name)
    bubble_C, dew_C = BOILING_C[name]
    item = find(name)
    assert BlendSolver(item.composition, *bubble).saturation(bubble_C + 273.15).bubble_Pa == pytest.approx(
        ATMOSPHERE_Pa, rel=1e-6
    )
    assert BlendSolver(item.composition, *dew).saturation(dew_C + 273.15).dew_Pa == pytest.approx(
        ATMOSPHERE_Pa, rel=1e-6
    )
    values = properties(item)
    assert "published boiling point" in values.estimate_how
    assert values.pressure_error_percent == boiling.PRESSURE_ERROR_PERCENT
    assert values.density_error_percent == boiling.DENSITY_ERROR_PERCENT


def _could_be_estimated(composition: Composition) -> list[Pair]:
    found = []
    for pair in combinations([part for part, _ in composition], 2):
        if frozenset(map(family, pair)) in FAMILIES_IN_USE:
            try:
                estimate_pair(*pair)
            except LookupError:
                continue
            found.append(pair)
    return found


def _known_blends() -> list[str]:
    """Known in full, believed by the program, liquid at 131 degF, with pairs that could be estimated."""
    return [
        item.name
        for item in everything()
        if item.is_blend
        and all(pair_is_known(*pair) for pair in combinations([part for part, _ in item.composition], 2))
        and not properties(item).estimate_how
        and properties(item).highest_F >= 131.0
        and _could_be_estimated(item.composition)
    ]


def _boiling_K(composition: Composition, what: str, guess_K: float) -> float:
    solver = BlendSolver(composition)
    return inverse(
        lambda T_K: math.log(getattr(solver.saturation(T_K), what)), math.log(ATMOSPHERE_Pa), guess_K - 8, guess_K + 8
    )


@pytest.mark.parametrize("name", _known_blends())
def test_what_the_fit_leaves_elsewhere_is_within_the_stated_error(name: str) -> None:
    """Leave-one-out: every pair of a known blend that can be is estimated as if the library lacked it, the blend is
    brought to its true boiling points, and compared with the truth at every tenth degree from -20 to 131 degF."""
    composition = find(name).composition
    guess_K = kelvin_from_fahrenheit(properties(find(name)).boiling_F)
    begin = boiling.start(composition, _could_be_estimated(composition))
    bubble, dew = boiling.fit_pairs(
        composition,
        begin,
        _boiling_K(composition, "bubble_Pa", guess_K),
        _boiling_K(composition, "dew_Pa", guess_K + 2.0),
    )
    truth, boils, condenses = (
        BlendSolver(composition),
        BlendSolver(composition, *bubble),
        BlendSolver(composition, *dew),
    )
    for T_F in EVERY_10_F:
        T_K = kelvin_from_fahrenheit(T_F)
        true, below, above = truth.saturation(T_K), boils.saturation(T_K), condenses.saturation(T_K)
        pressure = boiling.PRESSURE_ERROR_PERCENT / 100.0
        assert below.bubble_Pa == pytest.approx(true.bubble_Pa, rel=pressure), T_F
        assert above.dew_Pa == pytest.approx(true.dew_Pa, rel=pressure), T_F
        assert above.vapor == pytest.approx(true.vapor, rel=pressure), T_F
        assert below.liquid == pytest.approx(true.liquid, rel=boiling.DENSITY_ERROR_PERCENT / 100.0), T_F


def test_there_are_enough_known_blends_to_judge_by() -> None:
    assert len(_known_blends()) >= 20


def test_what_was_learned_of_two_pairs_is_what_their_blends_agree_on() -> None:
    """Each blend of published boiling point that holds one of them in more than traces (5 % of the moles each), fitted:
    the learned value is the mean of their bubble and dew fits, rounded, and none is outside its uncertainty."""
    for learned, gamma in LEARNED.items():
        found = []
        for name in BOILING_C:
            moles = dict(
                zip(
                    (part for part, _ in find(name).composition),
                    BlendSolver(find(name).composition, fitted_pairs(name)[0].estimated).mole_fractions,
                    strict=True,
                )
            )
            for pairs in fitted_pairs(name):
                found += [
                    value
                    for pair, value in pairs.estimated.items()
                    if frozenset(pair) == learned and min(moles[part] for part in pair) > 0.1
                ]
        assert len(found) >= 4
        assert sum(found) / len(found) == pytest.approx(gamma, abs=0.004)
        assert max(abs(value - gamma) for value in found) <= LEAST_UNCERTAINTY


@pytest.mark.parametrize("name", sorted(set(BOILING_C) - {"R-408A"}))
def test_the_estimate_before_the_fit_is_within_its_own_uncertainty(name: str) -> None:
    """What pairs learned from the other blends make of this one. Not R-408A: the pair that decides there is a known one
    (R-22/R-143a), which the library has 6 % low."""
    composition = find(name).composition
    begin = boiling.start(composition, build.unknown_pairs(composition))
    pressure, _ = build.moved_by_uncertainty(
        composition, begin.unknown, {pair: begin.uncertainty[pair] for pair in begin.unknown}, 333.15
    )
    there = BlendSolver(composition, begin.unknown).saturation(BOILING_C[name][0] + 273.15).bubble_Pa
    assert there == pytest.approx(ATMOSPHERE_Pa, rel=max(0.03, pressure))


def test_a_fit_that_cannot_be_made_is_refused() -> None:
    composition = find("R-402A").composition
    begin = boiling.start(composition, build.unknown_pairs(composition))
    with pytest.raises(ValueError, match="point at 150"):
        boiling.fit_pairs(composition, begin, 150.0, 150.0)


def test_known_pairs_move_little() -> None:
    """By no more than 0.015, which is the least uncertainty of any estimate."""
    for name in BOILING_C:
        begin = boiling.start(find(name).composition, build.unknown_pairs(find(name).composition))
        for pairs in fitted_pairs(name):
            assert isinstance(pairs, Pairs)
            assert all(abs(gamma - begin.known[pair]) < LEAST_UNCERTAINTY for pair, gamma in pairs.moved.items())
