"""The draw-down target of a job: 40 CFR 82.156 table 1 and its exceptions (82.152, 82.156; what is from memory says so)."""

from typing import Any

import pytest

from packet.plan.model import Evacuation, Plan
from packet.shop.records import Month, Registers, Scale
from packet.statements import sentences
from tests.plan.builders import codes, cylinder, job, machine, message, plan, registers

LARGE = registers(cylinder(spec="DOT-4BW400", water_capacity_lb=1000.0, tare_lb=400.0))
OLD = registers(
    cylinder(spec="DOT-4BW400", water_capacity_lb=1000.0, tare_lb=400.0),
    machines=(machine(made=Month(year=1993, month=10)),),
)


def deep(planned: Plan) -> Evacuation:
    assert planned.evacuation is not None
    return planned.evacuation


def target(planned: Plan) -> float:
    found = deep(planned).target_inHg_vacuum
    assert found is not None
    return found.value


def gauge(planned: Plan) -> float:
    found = deep(planned).gauge_at_site_inHg_vacuum
    assert found is not None
    return found.value


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("R-123", "low"),
        ("R-11", "low"),
        ("R-134a", "medium"),
        ("R-12", "medium"),
        ("R-22", "high"),
        ("R-404A", "high"),
        ("R-410A", "high"),  # just below the line
        ("R-32", "very-high"),
    ],
)
def test_classes_are_computed(name: str, expected: str) -> None:
    """Examples named in 40 CFR 82.152, others computed: R-11, R-123 low; R-12, R-134a medium; R-22, R-404A, R-410A high. R-32 by 82.152."""
    assert deep(plan(job(name, 5.0))).pressure_class == expected


@pytest.mark.parametrize(
    ("name", "charge", "before", "since"),
    [
        ("R-32", 300.0, 0.0, 0.0),
        ("R-22", 30.0, 0.0, 0.0),
        ("R-22", 300.0, 4.0, 10.0),
        ("R-134a", 30.0, 4.0, 10.0),
        ("R-134a", 300.0, 4.0, 15.0),
    ],
)
def test_table_1_by_charge_and_machine(name: str, charge: float, before: float, since: float) -> None:
    the_job = job(name, charge)
    assert (target(plan(the_job, OLD)), target(plan(the_job, LARGE))) == (before, since)
    assert gauge(plan(the_job, LARGE)) == since  # at sea level the gauge shows the table's figure


def test_a_machine_of_november_1993_counts_as_newer() -> None:
    """The line is 15 November 1993; a month cannot tell, so the deeper target holds."""
    shop = registers(machines=(machine(made=Month(year=1993, month=11)),))
    assert target(plan(job("R-134a", 30.0), shop)) == 10.0


@pytest.mark.parametrize(
    ("elevation_ft", "reads"),
    # barometer by ASHRAE ch. 1 eq. 3: 24.64 inHg at 5,280 ft; 10 inHg below 29.92 is 19.92 absolute
    [(0.0, 10.0), (640.0, 9.4), (5280.0, 4.8), (10000.0, 0.7), (11000.0, 0.0)],
)
def test_the_gauge_at_the_sites_elevation(elevation_ft: float, reads: float) -> None:
    assert gauge(plan(job("R-134a", 30.0, site={"elevation_ft": elevation_ft}))) == reads


def test_low_pressure_is_absolute_whatever_the_elevation() -> None:
    """25 mmHg absolute, 0.483 psia."""
    for elevation_ft in (0.0, 5280.0):
        found = deep(plan(job("R-123", 100.0, site={"elevation_ft": elevation_ft}), LARGE))
        assert found.absolute_mmHg == 25.0
        assert found.target_psia is not None
        assert found.target_psia.value == pytest.approx(0.4834, abs=1e-4)
    assert gauge(plan(job("R-123", 100.0), LARGE)) == 29.0
    assert gauge(plan(job("R-123", 100.0, site={"elevation_ft": 5280.0}), LARGE)) == 23.7


MINOR: dict[str, Any] = {"reason": "repair", "major": False, "evacuation_to_atmosphere": False}


def test_a_repair_that_is_not_major_goes_no_higher_than_0_psig() -> None:
    planned = plan(job("R-134a", 300.0, work=MINOR), LARGE)
    assert target(planned) == gauge(planned) == 0.0
    assert "no higher than 0 psig" in " ".join(sentences(deep(planned).reasons, "US"))
    assert not deep(planned).raise_to_atmosphere


@pytest.mark.parametrize("changes", [{"evacuation_to_atmosphere": True}, {"major": True}, {"reason": "disposal"}])
def test_the_exception_needs_all_its_conditions(changes: dict[str, Any]) -> None:
    assert target(plan(job("R-134a", 300.0, work=MINOR | changes), LARGE)) == 15.0


def test_low_pressure_not_major_is_raised_with_heat() -> None:
    """82.156(a)(1)(ii): R-123 boils at 82 °F, below 85: controlled heat, not nitrogen. R-113 boils at 118 °F."""
    found = deep(plan(job("R-123", 300.0, work=MINOR), LARGE))
    assert found.raise_to_atmosphere
    assert found.absolute_mmHg is None
    assert "not with nitrogen" in " ".join(sentences(found.reasons, "US"))
    other = deep(plan(job("R-113", 300.0, work=MINOR), LARGE))
    assert other.raise_to_atmosphere
    assert "above 85 °F" in " ".join(sentences(other.reasons, "US"))
    assert "the rest with nitrogen" in " ".join(sentences(other.reasons, "US"))


RECEIVER = {"receiver": True}
PART = {"reason": "repair", "isolated_charge_lb": 30.0}


@pytest.mark.parametrize(
    ("appliance", "work", "planned_lb", "told"),
    [
        # 210 lb stay: a receiver of 262.5 lb takes exactly that at 80 %
        (RECEIVER, {"receiver_capacity_lb": 262.5}, 30.0, None),
        (RECEIVER, {"receiver_capacity_lb": 262.0}, 240.0, "receiver-too-small"),
        (RECEIVER, {}, 240.0, "receiver-capacity-asked"),
        ({}, {}, 240.0, "isolation-needs-receiver"),
        ({}, {"isolated_by": "valves"}, 30.0, None),
        (RECEIVER, {"isolated_by": "valves"}, 30.0, None),
    ],
)
def test_an_isolated_part_follows_its_own_charge(
    appliance: dict[str, Any], work: dict[str, Any], planned_lb: float, told: str | None
) -> None:
    """240 lb of R-22 asks for 10 inHg; its isolated 30 lb for 0. Something must hold the rest (82.152, 82.156(a))."""
    planned = plan(job("R-22", 240.0, appliance=appliance, work=PART | work), LARGE)
    assert target(planned) == (0.0 if planned_lb == 30.0 else 10.0)
    assert planned.to_recover_lb is not None
    assert planned.to_recover_lb.value == planned_lb
    asked = {"isolation-needs-receiver", "receiver-capacity-asked", "receiver-too-small"}
    assert asked & set(codes(planned, "caution")) == ({told} if told else set())
    assert (planned.isolated is not None) == (planned_lb == 30.0)
    if planned.isolated is not None:
        assert (planned.isolated.charge_lb, planned.isolated.rest_lb) == (30.0, 210.0)
        assert planned.isolated.by == work.get("isolated_by", "receiver")
        assert "Only the isolated part of 30.0 lb" in " ".join(sentences(deep(planned).reasons, "US"))


def test_what_is_missing_for_an_isolated_part_says_what_to_write() -> None:
    _, remedy = message(plan(job("R-22", 240.0, appliance=RECEIVER, work=PART), LARGE), "receiver-capacity-asked")
    assert "'receiver_capacity_lb:'" in remedy
    assert "under 'work:'" in remedy


def test_an_oil_change_is_told_the_laws_own_figure() -> None:
    """40 CFR 82.156(a)(1)(iii), from memory: 5 psig; never is more than 0 psig planned."""
    planned = plan(job("R-123", 300.0, work=MINOR | {"oil_change": True}), LARGE)
    assert "up to 5 psig" in " ".join(sentences(deep(planned).reasons, "US"))
    assert target(planned) == 0.0
    evacuated = plan(job("R-123", 300.0, work=MINOR | {"oil_change": True, "evacuation_to_atmosphere": True}), LARGE)
    assert "5 psig" not in " ".join(sentences(deep(evacuated).reasons, "US"))


SMALL = {"kind": "small-appliance", "factory_sealed": True, "ports": ("vapor",)}


def with_scale(step_lb: float) -> Registers:
    return registers(scales=(Scale(id="SC-1", capacity_lb=100.0, resolution_lb=step_lb),))


def test_a_small_appliance_by_percent_of_its_charge() -> None:
    """40 CFR 82.156(b), from memory: 90 % with the compressor running, 80 % without; an older machine 80 %."""
    fine = with_scale(0.02)
    running = deep(plan(job("R-134a", 1.0, appliance=SMALL | {"compressor_runs": True}), fine))
    assert running.target_percent_of_charge == 90.0
    assert running.target_lb == pytest.approx(0.9)
    assert running.target_psia is None
    assert running.small_criterion == "percent-or-vacuum"
    assert running.rise_check_minutes == 0  # a weight decides: no rise check is promised
    assert "judged after clearing" in " ".join(sentences(running.reasons, "US"))
    assert running.target_inHg_vacuum is not None
    assert running.target_inHg_vacuum.value == 4.0
    still = deep(plan(job("R-134a", 1.0, appliance=SMALL), fine))
    assert still.target_percent_of_charge == 80.0
    old = registers(machines=(machine(made=Month(year=1990, month=1)),), scales=fine.equipment.scales)
    found = deep(plan(job("R-134a", 1.0, appliance=SMALL | {"compressor_runs": True}), old))
    assert found.target_percent_of_charge == 80


@pytest.mark.parametrize(("charge_lb", "by_percent"), [(2.0, False), (2.49, False), (2.5, True), (3.0, True)])
def test_a_percent_is_asked_only_of_a_scale_that_can_show_it(charge_lb: float, by_percent: bool) -> None:
    """80 % of 2.5 lb is 20 steps of 0.1 lb: common practice, no source. Below it 4 inHg alone (40 CFR 82.156(b))."""
    found = deep(plan(job("R-134a", charge_lb, appliance=SMALL), with_scale(0.1)))
    assert found.small_criterion == ("percent-or-vacuum" if by_percent else "vacuum")
    assert (found.target_percent_of_charge == 80.0) == by_percent
    assert (found.target_lb is not None) == by_percent
    assert (found.rise_check_minutes == 0) == by_percent
    assert found.target_inHg_vacuum is not None
    assert found.target_inHg_vacuum.value == 4.0
    assert (found.target_psia is None) == by_percent


@pytest.mark.parametrize(("charge_lb", "target_lb"), [(3.0, 2.4), (3.01, 2.5), (3.1, 2.5), (3.13, 2.6)])
def test_a_minimum_is_rounded_up_to_the_scales_step(charge_lb: float, target_lb: float) -> None:
    """80 % of 3.01 lb is 2.408: 2.5 on a scale of 0.1 lb, never 2.4."""
    found = deep(plan(job("R-134a", charge_lb, appliance=SMALL), with_scale(0.1)))
    assert found.target_lb == pytest.approx(target_lb)


@pytest.mark.parametrize(
    ("appliance", "charge"),
    [({"kind": "split"}, 4.0), ({"kind": "ice-machine"}, 4.0), ({"kind": "reach-in", "factory_sealed": True}, 5.5)],
)
def test_what_is_no_small_appliance(appliance: dict[str, Any], charge: float) -> None:
    """82.152: up to 5 lb, fully made, charged and sealed in a factory; a 4-lb split is not one."""
    assert deep(plan(job("R-134a", charge, appliance=appliance))).target_percent_of_charge is None


def test_a_sealed_reach_in_is_a_small_appliance() -> None:
    found = deep(plan(job("R-134a", 4.0, appliance={"kind": "reach-in", "factory_sealed": True})))
    assert found.target_percent_of_charge == 80.0


@pytest.mark.parametrize("work", [{"reason": "leak"}, {"reason": "repair", "leaking": True}])
def test_a_leak_is_a_caution_and_never_as_low_as_it_will_go(work: dict[str, Any]) -> None:
    """82.156(a)(2): at most 0 psig, to a level that does not contaminate the refrigerant."""
    planned = plan(job("R-22", 30.0, work=work))
    assert "leak-exception" in codes(planned, "caution")
    assert "does not substantially contaminate the refrigerant, and no higher than 0 psig" in " ".join(
        sentences(deep(planned).reasons, "US")
    )


def test_propane_is_recovered_by_policy() -> None:
    """40 CFR 82.154(a)(1)(viii), (ix): exempt in a stand-alone retail food unit."""
    small = {"kind": "small-appliance", "use": "retail-food", "factory_sealed": True, "ports": ("vapor",)}
    planned = plan(job("R-290", 0.3, appliance=small))
    assert deep(planned).by_policy
    assert "policy" in deep(planned).source
    assert "policy-not-law" in codes(planned, "note")


def test_remaining_vapor_by_hand() -> None:
    """1 ft³ of R-22 at 75 °F and sea-level pressure, as an ideal gas: 14.696 × 86.47 ÷ (10.7316 × 534.67) = 0.2215
    lb/ft³; the real vapor is about 2 % denser."""
    found = deep(plan(job("R-22", 10.0, appliance={"system_volume_ft3": 1.0})))
    assert found.remaining_vapor_lb is not None
    assert found.remaining_vapor_lb.value == pytest.approx(0.2215, rel=0.03)
    assert found.remaining_vapor_lb.estimate_percent is None


def test_remaining_vapor_with_an_estimated_volume_is_marked() -> None:
    planned = plan(job("R-22", 10.0))
    found = deep(planned).remaining_vapor_lb
    assert found is not None
    assert found.estimate_percent == 50.0
    assert any(item.what.code == "remaining-vapor" for item in planned.estimates)


def test_at_elevation_no_more_than_the_barometer_remains() -> None:
    """The law's 0 psig lies above the air's pressure at 7,000 ft: the site's barometer is what remains."""
    high = deep(plan(job("R-22", 10.0, site={"elevation_ft": 7000.0}, appliance={"system_volume_ft3": 1.0})))
    low = deep(plan(job("R-22", 10.0, appliance={"system_volume_ft3": 1.0})))
    assert high.remaining_vapor_lb is not None
    assert low.remaining_vapor_lb is not None
    assert high.remaining_vapor_lb.value < 0.8 * low.remaining_vapor_lb.value


def test_a_class_that_the_rule_names_is_not_left_to_an_estimate() -> None:
    """40 CFR 82.152 names R-500 as medium pressure (published.yaml); its computed 166 psia at 104 °F, 3 % either way,
    would leave high pressure open."""
    found = deep(plan(job("R-500", 300.0), LARGE))
    assert found.pressure_class == "medium"
    assert target(plan(job("R-500", 300.0), LARGE)) == 15.0
    assert "40 CFR 82.152 itself calls R-500 medium pressure." in [item.sentence("US") for item in found.reasons]
    # where the estimate and the rule agree nothing need be said
    assert not any("itself calls" in item.sentence("US") for item in deep(plan(job("R-502", 5.0))).reasons)
