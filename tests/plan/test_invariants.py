"""What must hold of the fill numbers for every refrigerant, cylinder, content, temperature and elevation.

The invariants are the project's own rules (2-rules, 3-data, 7-sequences); the levels are computed here again from the
refrigerant's properties, taken at the bad end of an estimate's error.
"""

from decimal import Decimal
from functools import cache
from itertools import pairwise

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from packet.plan.model import CylinderPlan, Plan
from packet.refrigerant.catalogue import Refrigerant, everything
from packet.refrigerant.properties import NoProperties, Properties, properties
from packet.shop.records import Scale
from packet.units import KG_PER_LB
from tests.plan.builders import cylinder, job, plan, registers

HAIR = 1e-6
WATER_FT3_PER_LB = 27.737 / 1728.0  # 49 CFR 173.304a


@cache
def computable() -> tuple[str, ...]:
    """Every refrigerant of the catalogue that is recovered and has a liquid at 131 °F."""
    found = []
    for item in everything():
        try:
            fluid = properties(item)
        except NoProperties:
            continue
        if fluid.highest_F >= 131.0 and not item.answer:
            found.append(item.name)
    return tuple(found)


@st.composite
def planned(draw: st.DrawFn) -> Plan:
    """A job anywhere in the space, with one to three cylinders of one shape."""
    units = draw(st.sampled_from(["US", "SI"]))
    step = draw(st.sampled_from([0.02, 0.05, 0.1, 0.2, 0.5, 1.0]))
    resolution = step if units == "US" else step / KG_PER_LB
    water = draw(st.floats(5.0, 1200.0).map(lambda value: round(value, 1)))
    tare = round(water * draw(st.floats(0.3, 1.0)) + 4.0, 1)
    names = tuple(f"C-{number}" for number in range(draw(st.integers(1, 3))))
    name = draw(st.sampled_from(computable()))
    made = [
        cylinder(
            each,
            water_capacity_lb=water,
            tare_lb=tare,
            refrigerant=name,
            contents_lb=round(water * draw(st.sampled_from([0.0, 0.05, 0.3, 0.7, 0.95])), 1),
            max_gross_lb=draw(st.none() | st.floats(0.6, 1.5).map(lambda share: round(tare + water * share, 1))),
        )
        for each in names
    ]
    shop = registers(
        *made,
        scales=(Scale(id="SC-1", capacity_lb=draw(st.sampled_from([220.0, 3000.0])), resolution_lb=resolution),),
        shop={"units": units},
        policy={
            "hot_level_ceiling_percent": draw(st.sampled_from([70.0, 90.0, 95.0, 100.0])),
            "fill_ceiling_percent": draw(st.sampled_from([60.0, 80.0])),
        },
    )
    ambient = draw(st.floats(-30.0, 125.0))
    the_job = job(
        name,
        round(water * draw(st.floats(0.05, 3.0)), 1),
        cylinders=names,
        site={"elevation_ft": draw(st.floats(-1000.0, 14000.0))},
        appliance={"liquid_column": draw(st.booleans())},
        conditions={"ambient_F": ambient, "hottest_F": draw(st.floats(ambient, 140.0))},
    )
    return plan(the_job, shop)


def fluid_of(planned: Plan) -> tuple[Refrigerant, Properties]:
    assert planned.refrigerant is not None
    return planned.refrigerant, properties(planned.refrigerant)


def worst_level(fluid: Properties, item: CylinderPlan, net_lb: float, at_F: float) -> float:
    """Level, percent, with the liquid as light as the estimate's error allows and no vapor counted."""
    light = fluid.liquid_lb_per_ft3(at_F) * (1.0 - (fluid.density_error_percent or 0.0) / 100.0)
    return 100.0 * net_lb / (item.cylinder.water_capacity_lb * WATER_FT3_PER_LB * light)


everywhere = settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@everywhere
@given(planned())
def test_no_row_allows_more_than_the_sheet_and_none_rises_with_temperature(found: Plan) -> None:
    for item in found.cylinders:
        stops = [row.stop_gross_lb for row in item.fill_table]
        assert [row.ambient_F for row in item.fill_table] == sorted({row.ambient_F for row in item.fill_table})
        assert all(stop <= item.stop_gross_lb.value for stop in stops)
        assert stops == sorted(stops, reverse=True)
        limits = [row.net_limit_lb for row in item.fill_table]
        assert limits == sorted(limits, reverse=True)
        hottest = [row for row in item.fill_table if row.hottest]
        assert len(hottest) == 1
        assert hottest[0].stop_gross_lb == item.stop_gross_lb.value


@everywhere
@given(planned())
def test_after_clearing_no_cylinder_is_too_full_at_131F_or_at_its_own_temperature(found: Plan) -> None:
    policy = found.registers.shop.policy
    _, fluid = fluid_of(found)
    for item in found.cylinders:
        tare, clearing = item.cylinder.tare_lb, item.clearing_lb.value
        for row in item.fill_table:
            after = row.stop_gross_lb + clearing - tare
            hot = worst_level(fluid, item, after, 131.0)
            own = worst_level(fluid, item, after, row.ambient_F)
            assert hot <= policy.hot_level_ceiling_percent + HAIR
            assert own <= policy.fill_ceiling_percent + HAIR
        assert item.liquid_full_at_F.value >= 131.0 - HAIR


@everywhere
@given(planned())
def test_stop_limit_and_what_is_planned_agree(found: Plan) -> None:
    step = found.scale.resolution_lb if found.scale else 0.0
    units = found.registers.shop.units
    for item in found.cylinders:
        limit, stop = item.limit_gross_lb.value, item.stop_gross_lb.value
        net = item.limit_net_lb.value
        assert stop <= limit - item.clearing_lb.value + HAIR
        assert stop > limit - item.clearing_lb.value - step - HAIR
        assert net + item.cylinder.tare_lb - step - HAIR < limit <= net + item.cylinder.tare_lb + HAIR
        assert net <= min(each.value for each in item.limits) + HAIR or net == 0.0
        factor = 1.0 if units == "US" else KG_PER_LB
        for weight in (limit, stop):
            steps = Decimal(str(round(weight * factor, 9))) / Decimal(str(round(step * factor, 9)))
            assert steps == steps.to_integral_value()
        free = max(0.0, stop - item.cylinder.tare_lb - item.contents_lb)
        assert abs(item.free_lb.value - free) < HAIR
        assert 0.0 <= item.planned_lb.value <= item.free_lb.value + HAIR
        if item.planned_lb.value > 0.0:
            assert item.planned_gross_lb <= stop
        assert item.clearing_lb.value > step


@everywhere
@given(planned())
def test_cylinders_are_filled_in_order_and_nothing_is_lost(found: Plan) -> None:
    assert found.to_recover_lb is not None
    assert found.expected_max_lb is not None
    fit = [item for item in found.cylinders if item.planned_lb.value > 0.0 or item.fit]
    planned_in = sum(item.planned_lb.value for item in found.cylinders)
    room = sum(item.free_lb.value for item in fit)
    assert planned_in <= found.to_recover_lb.value + HAIR
    enough = room >= found.expected_max_lb.value - HAIR
    short = any(item.code == "cylinders-do-not-suffice" for item in found.findings)
    assert short is not enough
    if enough:
        assert abs(planned_in - found.to_recover_lb.value) < HAIR
    for earlier, later in pairwise(fit):
        if later.planned_lb.value > 0.0:
            assert abs(earlier.planned_lb.value - earlier.free_lb.value) < HAIR


@everywhere
@given(planned())
def test_the_quick_rule_is_called_unsafe_when_it_is(found: Plan) -> None:
    for item in found.cylinders:
        over = 0.8 * item.cylinder.water_capacity_lb - item.limit_net_lb.value
        assert item.quick_rule_is_unsafe is (over > 0.0)
        cautioned = [entry for entry in found.findings if entry.code == "quick-rule-unsafe"]
        assert any(("cylinder", item.cylinder.id) in entry.params for entry in cautioned) is (over > 0.0)


@everywhere
@given(planned())
def test_levels_and_pressures_are_those_of_the_plan(found: Plan) -> None:
    _, fluid = fluid_of(found)
    for item in found.cylinders:
        assume(item.planned_lb.value > 0.0)
        net = item.contents_lb + item.planned_lb.value
        for row in item.fill_table:
            assert row.level_percent <= worst_level(fluid, item, net, row.ambient_F) + HAIR
            assert row.level_percent >= 0.0
            bubble = fluid.bubble_psia(row.ambient_F) - found.barometer_psia.value
            assert abs(row.pressure_psig - bubble) < HAIR
        pressures = [row.pressure_psig for row in item.fill_table]
        assert pressures == sorted(pressures)


@everywhere
@given(planned())
def test_the_draw_down_is_between_nothing_and_the_barometer(found: Plan) -> None:
    deep = found.evacuation
    assert deep is not None
    assert deep.gauge_at_site_inHg_vacuum is not None
    assert deep.target_inHg_vacuum is not None
    barometer = found.barometer_psia.value / 0.491154
    gauge = deep.gauge_at_site_inHg_vacuum.value
    assert 0.0 <= gauge < barometer
    # standing at the gauge's target is standing at or below the law's absolute pressure, within its rounding
    assert barometer - gauge <= 29.921 - deep.target_inHg_vacuum.value + 2e-3
    if deep.remaining_vapor_lb is not None:
        assert deep.remaining_vapor_lb.value >= 0.0


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(["US", "SI"]), st.floats(40.0, 120.0))
def test_a_hotter_job_never_gets_a_higher_stop(units: str, hottest: float) -> None:
    for name in ("R-410A", "R-32", "R-290", "R-22", "R-123"):
        shop = registers(cylinder(refrigerant=name), shop={"units": units})
        cooler, hotter = (
            plan(job(name, 10.0, conditions={"ambient_F": 40.0, "hottest_F": at}), shop).cylinders[0]
            for at in (hottest, hottest + 10.0)
        )
        assert hotter.stop_gross_lb.value <= cooler.stop_gross_lb.value
