"""How much a cylinder may hold."""

import pytest

from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
from packet.rules import fill
from packet.rules.volume import cylinder_volume_ft3
from packet.worked import Worked, given
from tests.published import published
from tests.rules.arithmetic import wrong


def lb(value: float) -> Worked:
    return given(value, "lb", "test")


def density(value: float) -> Worked:
    return given(value, "lb/ft³", "test", places=4)


def percent(value: float) -> Worked:
    return given(value, "%", "test")


def test_volume_of_a_cylinder() -> None:
    """49 CFR 173.304a: 1 lb of water is 27.737 in³. 47.6 × 27.737 ÷ 1728 = 0.76405 ft³, by hand."""
    volume = cylinder_volume_ft3(lb(47.6))
    assert volume.value == pytest.approx(1320.2812 / 1728.0)
    assert volume.text() == "0.76405 ft³"
    assert wrong(volume) == []


@pytest.mark.parametrize("case", published()["fill_limit"], ids=lambda case: str(case["refrigerant"]))
def test_published_fill_limit(case: dict[str, float]) -> None:
    """The source stands in the file."""
    water, tare = lb(case["water_capacity_lb"]), case["tare_lb"]
    at_77F = density(properties(find(str(case["refrigerant"]))).liquid_lb_per_ft3(77.0))
    net = fill.by_volume_lb(percent(80.0), cylinder_volume_ft3(water), at_77F).value
    within = case["tolerance_percent"] / 100.0
    assert net == pytest.approx(case["net_limit_lb"], rel=within)
    assert net + tare == pytest.approx(case["gross_limit_lb"], rel=within)


def test_the_published_form_with_specific_gravity_is_the_same_rule() -> None:
    """0.80 × WC × SG = 0.80 × 1,000 × 1.197 = 957.6 lb, when SG counts water at 60 °F: 1728 ÷ 27.737 = 62.2995 lb/ft³."""
    at_77F = density(1.197 * 1728.0 / 27.737)
    assert fill.by_volume_lb(percent(80.0), cylinder_volume_ft3(lb(1000.0)), at_77F).value == pytest.approx(957.6)


@pytest.mark.parametrize(("ambient", "at"), [(20.0, 77.0), (77.0, 77.0), (77.5, 77.5), (110.0, 110.0)])
def test_the_fill_temperature_is_77_or_the_ambient_where_hotter(ambient: float, at: float) -> None:
    """AHRI Guideline K takes 77 °F; hotter ambients take their own: the project's rule."""
    found = fill.fill_temperature_F(given(ambient, "°F", "test", places=1))
    assert found.value == at
    assert wrong(found) == []


@pytest.mark.parametrize(("name", "expected"), [("R-22", 105.0), ("R-12", 119.0), ("R-290", 42.0), ("R-152a", 79.0)])
def test_listed_filling_densities(name: str, expected: float) -> None:
    """49 CFR 173.304a table 1; propane (d)(1). Of 100 lb of water."""
    listed = fill.filling_density_lb(name, lb(100.0))
    assert listed is not None
    assert listed.value == pytest.approx(expected)


def test_a_gas_that_is_not_listed_has_no_filling_density() -> None:
    assert fill.filling_density_lb("R-410A", lb(100.0)) is None


def test_level_by_hand() -> None:
    """50 lb in 1 ft³, liquid 80, vapor 5 lb/ft³: (50 − 5) ÷ (80 − 5) = 60 %. Mass balance, no source needed."""
    worked = fill.level_worked(
        lb(50.0), given(1.0, "ft³", "test"), density(80.0), given(5.0, "lb/ft³", "test", places=4)
    )
    assert worked.value == pytest.approx(60.0)
    assert wrong(worked) == []


@pytest.mark.parametrize(("net_lb", "level"), [(0.0, 0.0), (5.0, 0.0), (80.0, 100.0), (95.0, 120.0)])
def test_level_at_the_ends(net_lb: float, level: float) -> None:
    """All vapor is 0; a mean density of the liquid's is 100; more is above 100: liquid-full."""
    assert fill.level_percent(net_lb, 1.0, 80.0, 5.0) == pytest.approx(level)
