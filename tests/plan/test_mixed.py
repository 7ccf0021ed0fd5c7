"""An unknown or mixed gas: bounds that no refrigerant of the catalogue passes, and a cylinder kept for mixed gas."""

from functools import cache

import pytest

from packet.plan.mixed import HIGHEST, LIGHTEST, Bounds
from packet.refrigerant.catalogue import Refrigerant, everything, find
from packet.refrigerant.properties import NoProperties, Properties, properties
from tests.plan.builders import codes, cylinder, job, machine, message, only, plan, registers

MIXED = cylinder("C-1", refrigerant="mixed", contents_lb=4.0)


@cache
def bounds() -> Bounds:
    return Bounds(
        light=tuple(properties(find(name)) for name in LIGHTEST), high=tuple(properties(find(name)) for name in HIGHEST)
    )


def recovered() -> list[tuple[Refrigerant, Properties]]:
    """Every refrigerant that is recovered and has a liquid at 131 °F."""
    found = []
    for item in everything():
        try:
            fluid = properties(item)
        except NoProperties:
            continue
        if fluid.highest_F >= 131.0 and not item.answer:
            found.append((item, fluid))
    return found


def test_no_refrigerant_is_lighter_or_stands_higher_than_the_bounds() -> None:
    """-20 to 131 °F, every refrigerant of the catalogue. That a mix lies within the bounds of its parts is ideal mixing:
    common practice, no source."""
    everyone = recovered()
    assert len(everyone) > 50
    for at in (-20.0, 32.0, 70.0, 77.0, 104.0, 131.0):
        for item, fluid in everyone:
            assert fluid.liquid_lb_per_ft3(at) >= bounds().liquid_lb_per_ft3(at), (item.name, at)
            # R-410A and R-32 are the highest; estimates may pass them by no more than their stated error
            slack = 1.0 + (fluid.pressure_error_percent or 0.0) / 100.0
            assert fluid.bubble_psia(at) <= bounds().bubble_psia(at) * slack, (item.name, at)


def test_a_density_fills_its_vessel_at_the_lowest_temperature_of_the_bounds() -> None:
    for density in (28.0, 30.0):
        at = bounds().liquid_temperature_F(density)
        assert bounds().liquid_lb_per_ft3(at) == pytest.approx(density, rel=1e-6)


@pytest.mark.parametrize("name", ["unknown", "mixed"])
def test_it_may_go_out_into_a_cylinder_kept_for_mixed_gas(name: str) -> None:
    planned = plan(job(name, 4.0), registers(MIXED))
    assert codes(planned) == []
    assert "unknown-gas" in codes(planned, "caution")
    assert planned.mixed_or_unknown
    assert planned.refrigerant is None
    assert planned.pressure_table == ()
    assert planned.t_co2e is None
    assert planned.times == ()
    assert any(item.what.code == "unknown-density-and-pressure" for item in planned.estimates)


def test_its_limit_is_that_of_the_lightest_liquid() -> None:
    """Propane and propylene: 0.80 × V × density at 95 °F, well below half of what the quick rule allows."""
    planned = only(plan(job("unknown", 4.0), registers(MIXED)))
    light = min(properties(find(name)).liquid_lb_per_ft3(95.0) for name in LIGHTEST)
    assert planned.limit_net_lb.value == pytest.approx(0.8 * planned.volume_ft3.value * light)
    assert planned.quick_rule_is_unsafe


def test_any_other_cylinder_is_refused() -> None:
    shop = registers(cylinder("C-1"), cylinder("C-2", refrigerant="mixed"))
    planned = plan(job("unknown", 4.0), shop)
    text, remedy = message(planned, "cylinder-not-mixed")
    assert "C-1 is not one" in text
    assert remedy == "Use one of these from the register: C-2."


def test_until_it_is_identified_it_may_burn() -> None:
    shop = registers(
        cylinder("C-1", refrigerant="mixed", flammable_rated=False), machines=(machine(flammable_rated=False),)
    )
    planned = plan(job("unknown", 4.0), shop)
    assert codes(planned).count("unknown-gas-may-burn") == 2


def test_the_deepest_plausible_target_and_certification() -> None:
    """Medium or high pressure in a split; in a chiller low pressure as well: Types II and III, or Universal."""
    split = plan(job("unknown", 4.0), registers(MIXED)).evacuation
    assert split is not None
    assert split.pressure_class is None
    assert split.target_inHg_vacuum is not None
    assert split.target_inHg_vacuum.value == 10.0
    chiller = plan(job("unknown", 4.0, appliance={"kind": "chiller"}), registers(MIXED)).evacuation
    assert chiller is not None
    assert chiller.pressure_class == "low"
    assert chiller.absolute_mmHg == 25.0


def test_indoors_the_strictest_concentration_limit_holds() -> None:
    planned = plan(job("unknown", 4.0, site={"space": "basement", "room_ft3": 2000.0}), registers(MIXED))
    assert planned.occupied_space is not None
    limits = [item.room_limit_lb_per_1000ft3 for item in everything() if not item.answer]
    strictest = min(limit for limit in limits if limit is not None)
    assert planned.occupied_space.limit_lb.value == pytest.approx(2.0 * strictest)
    assert "room-limit-exceeded" in codes(planned, "caution")
