"""A job whose gas is given by its composition: which cylinder, which limits, what the ledger then knows."""

from datetime import time
from decimal import Decimal
from typing import Any

import pytest

from packet.findings import Finding
from packet.ledger.state import CylinderState, after_putting, holds, opening
from packet.plan.day import left_behind, plan_day
from packet.plan.job import gas_of
from packet.plan.mixed import Bounds, gas_in, unknown_bounds
from packet.plan.model import Plan
from packet.refrigerant.catalogue import find
from packet.refrigerant.own import name_from
from packet.refrigerant.properties import properties
from packet.sheets.show import show
from packet.sheets.tags import tags
from packet.shop.records import Registers
from tests.plan.builders import codes, cylinder, job, plan, registers

OWN = name_from([("R-22", 62), ("R-134a", 38)])
BURNS = name_from([("R-22", 62), ("R-407C", 38)])
ANALYSIS = {"analysis": "identifier print-out, 2026-11-25"}
MIXED = registers(cylinder(refrigerant="mixed"))


def planned(gas: str = OWN, charge: float = 10.0, shop: Registers = MIXED) -> Plan:
    return plan(job(gas, charge, appliance=ANALYSIS), shop)


def test_it_goes_into_a_cylinder_for_mixed_gas_and_into_no_other() -> None:
    assert "cylinder-not-mixed" not in codes(planned())
    assert "cylinder-not-mixed" in codes(planned(shop=registers(cylinder())))
    assert "cylinder-not-mixed" in codes(planned(shop=registers(cylinder(refrigerant="R-22", contents_lb=2.0))))
    same = registers(cylinder(refrigerant=OWN, contents_lb=2.0, **ANALYSIS))
    assert "cylinder-not-mixed" not in codes(planned(shop=same))


def test_a_cylinder_of_a_composition_takes_no_catalogued_gas() -> None:
    shop = registers(cylinder(refrigerant=OWN, contents_lb=2.0, **ANALYSIS))
    assert "cylinder-other-contents" in codes(plan(job("R-22", 10.0), shop))
    assert "cylinder-other-contents" not in codes(plan(job("unknown", 5.0), shop))


def test_its_numbers_are_its_own_on_the_safe_side() -> None:
    found = planned()
    assert found.refrigerant is not None
    assert found.refrigerant.name == OWN
    values = properties(find(OWN))
    # 80 % of 47.6 lb x 27.737 in3 of liquid at 110 °F or the job's hottest, 2.5 % lighter than computed
    (item,) = found.cylinders
    volume_ft3 = 47.6 * 27.737 / 1728.0
    hottest = max(77.0, found.job.conditions.hottest_F)
    limit = 0.80 * volume_ft3 * values.liquid_lb_per_ft3(hottest) * (1.0 - 0.025)
    assert item.governing_limit == "by_volume"
    assert item.limit_net_lb.value == pytest.approx(limit)
    assert codes(found, "caution").count("estimate") == 2
    assert [item.percent for item in found.estimates][:2] == [2.5, 6.0]


def test_what_burns_in_it_asks_for_machine_and_cylinder_for_flammable_gas() -> None:
    shop = registers(cylinder(refrigerant="mixed", flammable_rated=False))
    assert "cylinder-not-flammable-rated" in codes(planned(BURNS, shop=shop))
    assert "cylinder-not-flammable-rated" not in codes(planned(OWN, shop=shop))


def test_a_composition_of_the_catalogue_is_planned_as_the_catalogues() -> None:
    gas = name_from([("R-32", 50), ("R-125", 50)])
    shop = registers(cylinder())
    one, other = plan(job(gas, 10.0), shop), plan(job("R-410A", 10.0), shop)
    assert one == other


def _state(name: str | None, lb: float, **changes: object) -> CylinderState:
    kg = Decimal(repr(lb)) * Decimal("0.45359237")
    return CylinderState("C-1", name, lb, ledger_kg=kg, **changes)  # type: ignore[arg-type]


def test_what_a_mixed_cylinder_holds_adds_up_by_mass() -> None:
    """10 lb of 62/38 R-22/R-134a on 5 lb of R-22: 11.2 lb of R-22 and 3.8 lb of R-134a, by hand."""
    start = _state("R-22", 5.0)
    name, parts = after_putting(start, OWN, Decimal("4.5359237"))
    assert name == "mixed"
    pounds = {part: float(kg) / 0.45359237 for part, kg in parts}
    assert pounds == {"R-22": pytest.approx(11.2), "R-134a": pytest.approx(3.8)}
    # half of it drawn off again: in proportion
    mixed = CylinderState("C-1", name, 15.0, ledger_kg=Decimal("6.80388555"), mixed_of=parts)
    _, left = after_putting(mixed, "mixed", Decimal("-3.401942775"))
    assert {part: float(kg) / 0.45359237 for part, kg in left} == {
        "R-22": pytest.approx(5.6),
        "R-134a": pytest.approx(1.9),
    }
    # something unknown on top: nobody knows any more
    assert after_putting(mixed, "mixed", Decimal(1)) == ("mixed", ())
    assert after_putting(mixed, None, Decimal(1)) == ("mixed", ())


def test_what_is_known_of_what_a_cylinder_holds() -> None:
    assert holds(_state(None, 0.0)) == {}
    assert holds(_state("mixed", 0.0)) == {}
    assert holds(_state("mixed", 3.0)) is None
    known = holds(_state("R-410A", 2.0))
    assert known is not None
    assert {part: float(kg) for part, kg in known.items()} == {"R-32": 0.45359237, "R-125": 0.45359237}


def test_limits_of_a_mixed_cylinder_are_the_worst_of_what_is_then_in_it() -> None:
    gas = gas_of(job(OWN, 10.0, appliance=ANALYSIS))
    assert not isinstance(gas, Finding)
    empty = gas_in(gas, _state("mixed", 0.0), 10.0)
    assert empty is gas
    propane = gas_in(gas, _state("R-290", 5.0), 10.0)
    fluid = propane.fluid
    assert fluid.liquid_lb_per_ft3(77.0) == properties(find("R-290")).liquid_lb_per_ft3(77.0)
    # a vessel of R-290 is full at its own temperature, whatever the heavier one does
    assert fluid.liquid_temperature_F(30.0) == properties(find("R-290")).liquid_temperature_F(30.0)
    # propane and R-22 boil together below either: higher than both alone
    assert fluid.bubble_psia(77.0) >= max(properties(find(name)).bubble_psia(77.0) for name in ("R-290", OWN))
    unknown = gas_in(gas, _state("mixed", 5.0), 10.0)
    assert unknown.fluid.liquid_lb_per_ft3(77.0) <= unknown_bounds().liquid_lb_per_ft3(77.0)
    assert unknown.fluid.bubble_psia(77.0) >= unknown_bounds().bubble_psia(77.0)
    same = gas_in(gas, _state(OWN, 5.0), 10.0)
    assert same is gas


def test_a_fuller_cylinder_of_lighter_gas_stops_lower() -> None:
    """The same job: into an empty mixed cylinder, and onto 5 lb of propane, whose liquid is half as heavy."""
    light = registers(cylinder(refrigerant=name_from([("R-290", 90), ("R-600a", 10)]), contents_lb=5.0, **ANALYSIS))
    empty, on_top = planned(), planned(shop=light)
    assert on_top.cylinders[0].stop_gross_lb.value < empty.cylinders[0].stop_gross_lb.value - 10.0


def test_a_later_job_of_the_day_starts_from_the_sum() -> None:
    found = planned(charge=10.0)
    (state,) = left_behind(found).values()
    assert state.refrigerant == "mixed"
    known = holds(state)
    assert known is not None
    assert {part: round(float(kg) / 0.45359237, 6) for part, kg in known.items()} == {"R-134a": 3.8, "R-22": 6.2}


def test_a_mix_that_cannot_be_computed_says_what_to_do_instead() -> None:
    """The library has no parameters for R-12 with R-1234yf, nor for pairs like it."""
    found = planned(name_from([("R-12", 50), ("R-1234yf", 50)]))
    assert codes(found) == ["no-properties"]
    assert "Write 'refrigerant: mixed'" in found.findings[-1].message
    ammonia = planned(name_from([("R-22", 50), ("R-717", 50)]))
    assert codes(ammonia) == ["refrigerant-not-recovered"]


def test_the_error_of_what_comes_is_not_put_on_what_is_known_exactly() -> None:
    """Onto 2 lb of unknown gas in a 400-psig cylinder: R-32 at 131 °F, 496 psig (the library), is within 5/4 of 400."""
    shop = registers(cylinder(refrigerant="mixed", contents_lb=2.0))
    assert codes(planned(shop=shop)) == []


def test_onto_unknown_gas_it_is_unknown_on_the_way_home() -> None:
    """49 CFR 173.6(a) admits classed gases only: what was analyzed does not make known what was in there before."""
    known = planned(shop=registers(cylinder(refrigerant="mixed")))
    assert known.carrying is not None
    assert [item.counts for item in known.carrying.items] == ["trade"]
    onto = planned(shop=registers(cylinder(refrigerant="mixed", contents_lb=2.0)))
    assert onto.carrying is not None
    assert [item.counts for item in onto.carrying.items] == ["not-trade"]


def test_the_tag_says_what_is_then_in_the_cylinder() -> None:
    def tag(contents: dict[str, Any]) -> tuple[str, str, str]:
        found = planned(shop=registers(cylinder(**({"refrigerant": "mixed"} | contents))))
        (one,) = tags(found, show(found)).leaves[0]
        return one.refrigerant, one.shipping[0], one.warning

    assert tag({}) == (
        f"{OWN}, recovered",
        "UN1078, Refrigerant gases, n.o.s. (chlorodifluoromethane, 1,1,1,2-tetrafluoroethane), 2.2",
        "Under pressure; pushes out air. Upright, valves closed and capped, out of the sun.",
    )
    # 10 lb of it on 10 lb of 20/80 R-32/R-134a, by hand: what burns decides
    known = tag({"refrigerant": name_from([("R-32", 20), ("R-134a", 80)]), "contents_lb": 10.0, **ANALYSIS})
    assert known[0] == "R-134a 59 % + R-22 31 % + R-32 10 %, recovered"
    assert known[1].startswith("UN3161, Liquefied gas, flammable, n.o.s. (difluoromethane, ")
    assert known[2].startswith("Flammable gas.")
    unknown = tag({"contents_lb": 2.0})
    assert unknown[0] == "mixed gas, recovered"
    assert unknown[1].startswith("Not identified")
    assert unknown[2].startswith("May burn")


def test_two_analyzed_gases_of_a_day_may_meet_in_a_mixed_cylinder() -> None:
    """The second job's paper starts from the sum: 10 lb of 62/38 R-22/R-134a, by hand 6.2 and 3.8 lb."""
    shop = registers(cylinder(refrigerant="mixed"), cylinder("C-2"))
    first = job(OWN, 10.0, appliance=ANALYSIS)
    second = job("R-134a 90 % + R-22 10 %", 5.0, appliance=ANALYSIS, job="HP-2", start=time(11, 0))
    known = job("R-134a", 5.0, job="HP-3", start=time(14, 0))
    day = plan_day((first, second), shop, opening(shop))
    assert "cylinder-two-refrigerants" not in [item.code for _, item in day.findings()]
    (item,) = day.plan_of("HP-2").cylinders
    assert item.contents_lb == pytest.approx(10.0)
    held = {part: round(float(kg) / 0.45359237, 3) for part, kg in item.start.mixed_of}
    assert held == {"R-134a": 3.8, "R-22": 6.2}
    together = plan_day((first, known), shop, opening(shop))
    assert "cylinder-two-refrigerants" in [item.code for _, item in together.findings()]


def test_bounds_take_each_gass_own_error_to_the_safe_side() -> None:
    """Pressures up by 6 %, liquid down by 2.5 % (build.OWN_...): what a composition is computed with."""
    values = properties(find(OWN))
    bounds = Bounds((values,), (values,))
    assert bounds.bubble_psia(77.0) == pytest.approx(1.06 * values.bubble_psia(77.0))
    assert bounds.liquid_lb_per_ft3(77.0) == pytest.approx(0.975 * values.liquid_lb_per_ft3(77.0))
    # full where its liquid may be as light as that
    full_at = bounds.liquid_temperature_F(0.975 * values.liquid_lb_per_ft3(110.0))
    assert full_at == pytest.approx(110.0, abs=1e-3)
