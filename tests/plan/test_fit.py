"""Fitness of cylinders and machines: each refusal with what would do. Sources stand at the rules."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from packet.ledger.state import opening
from packet.plan.job import plan_job
from packet.shop.records import Month, Scale
from packet.statements import shown
from tests.plan.builders import codes, cylinder, job, machine, message, only, plan, registers


def test_out_of_test_is_refused_and_names_what_would_do() -> None:
    """49 CFR 180.209: tested 2020-09, good through September 2025."""
    old = Month(year=2020, month=9)
    shop = registers(cylinder("C-1", tested=old), cylinder("C-2"), cylinder("C-3", tested=old))
    planned = plan(job("R-22"), shop)
    text, remedy = message(planned, "cylinder-out-of-test")
    assert "due for requalification in 2025-09" in text
    assert remedy == "Use one of these from the register: C-2."
    assert not only(planned).fit


@pytest.mark.parametrize(("day", "stopped"), [(date(2025, 9, 30), False), (date(2025, 10, 1), True)])
def test_a_cylinder_is_good_through_its_month(day: date, stopped: bool) -> None:
    shop = registers(cylinder("C-1", tested=Month(year=2020, month=9)))
    planned = plan(job("R-22", date=day), shop)
    assert ("cylinder-out-of-test" in codes(planned)) is stopped
    assert only(planned).requalify_by == date(2025, 9, 30)


def test_manufacture_starts_the_clock_of_a_new_cylinder() -> None:
    shop = registers(cylinder("C-1", tested=None, made=Month(year=2024, month=5)))
    planned = plan(job("R-22"), shop)
    assert only(planned).requalify_by == date(2029, 5, 31)
    assert codes(planned) == []


def test_no_month_at_all_is_refused() -> None:
    assert codes(plan(job("R-22"), registers(cylinder("C-1", tested=None)))) == [
        "cylinder-test-unknown",
        "cylinders-do-not-suffice",
    ]


def test_r410a_needs_a_400_psig_cylinder() -> None:
    """49 CFR 173.301a: R-410A stands near 484 psig at 131 °F, so that 5/4 × 240 = 300 psig is passed; 484 ÷ 1.25 = 388."""
    shop = registers(cylinder("C-1", spec="DOT-4BA240"), cylinder("C-2"))
    text, remedy = message(plan(job("R-410A"), shop), "cylinder-pressure-131F")
    assert "(300.0 psig)" in text
    assert "at least 388 psig: C-2" in remedy


def test_a_cylinder_rated_below_the_pressure_at_70F_is_refused_for_that_too() -> None:
    """49 CFR 173.301a: R-410A stands near 201.7 psig at 70 °F (chart drawn from NIST REFPROP), above 150."""
    planned = plan(job("R-410A"), registers(cylinder("C-1", spec="DOT-4BA150")))
    assert {"cylinder-pressure-131F", "cylinder-pressure-70F"} <= set(codes(planned))
    text, _ = message(planned, "cylinder-pressure-70F")
    assert "stands at 20" in text
    assert "(150.0 psig)" in text
    between = plan(job("R-410A"), registers(cylinder("C-1", spec="DOT-4BA240")))
    assert "cylinder-pressure-70F" not in codes(between)


def test_r22_in_a_240_psig_cylinder_is_a_caution() -> None:
    """49 CFR 173.304a table 1 lists it by name: 300.8 psig at 131 °F is a hair above 300."""
    planned = plan(job("R-22"), registers(cylinder("C-1", spec="DOT-4BA240")))
    assert codes(planned) == []
    assert "cylinder-pressure-131F-listed" in codes(planned, "caution")


@pytest.mark.parametrize(
    ("name", "spec", "stopped"),
    [
        ("R-22", "DOT-4BA225", True),
        ("R-12", "DOT-4BA225", False),
        ("R-134a", "DOT-4BA225", True),  # its pressures would allow it; the table does not name it
        ("R-134a", "DOT-4BA240", False),
        ("R-123", "DOT-4BA200", False),  # no Class 2 gas
    ],
)
def test_the_least_packaging_for_a_gas(name: str, spec: str, stopped: bool) -> None:
    """49 CFR 173.304a table 1: by name; 240 psig for a gas that it does not name."""
    planned = plan(job(name, 5.0), registers(cylinder("C-1", spec=spec), cylinder("C-2")))
    assert ("cylinder-packaging" in codes(planned)) == stopped
    if stopped:
        text, remedy = message(planned, "cylinder-packaging")
        assert "least packaging" in text
        assert "C-2" in remedy


@pytest.mark.parametrize("name", ["R-134a", "R-404A", "R-407C", "R-32", "R-454B", "R-290", "R-123"])
def test_a_400_psig_cylinder_takes_the_usual_gases(name: str) -> None:
    """All stay at or below 500 psig at 131 °F."""
    assert codes(plan(job(name, 5.0), registers())) == []


def test_a_non_refillable_cylinder_is_never_refilled() -> None:
    planned = plan(job("R-22"), registers(cylinder("C-1", spec="DOT-39")))
    assert "cylinder-non-refillable" in codes(planned)


def test_a_stamp_that_cannot_be_read_is_refused() -> None:
    assert "cylinder-spec-unknown" in codes(plan(job("R-22"), registers(cylinder("C-1", spec="DOT-4BA"))))


def test_another_gas_in_the_cylinder_is_refused() -> None:
    shop = registers(
        cylinder("C-1", refrigerant="R-134a", contents_lb=8.0),
        cylinder("C-2", refrigerant="R-22", contents_lb=3.0),
        cylinder("C-M", refrigerant="mixed", contents_lb=3.0),
    )
    text, remedy = message(plan(job("R-22"), shop), "cylinder-other-contents")
    assert text == "Cylinder C-1 holds R-134a, not R-22."
    assert remedy.endswith("holds R-22: C-2.")


def test_the_mixed_gas_cylinder_takes_no_known_gas() -> None:
    shop = registers(cylinder("C-1", refrigerant="mixed"))
    assert "cylinder-other-contents" in codes(plan(job("R-22"), shop))


def test_the_same_gas_and_an_empty_cylinder_are_welcome() -> None:
    shop = registers(cylinder("C-1", refrigerant="R-22", contents_lb=5.0), cylinder("C-2"))
    assert codes(plan(job("R-22", cylinders=("C-1", "C-2")), shop)) == []


def test_a_burnout_gets_a_cylinder_of_its_own() -> None:
    shop = registers(cylinder("C-1", refrigerant="R-22", contents_lb=5.0), cylinder("C-2"))
    planned = plan(job("R-22", work={"reason": "repair", "burnout": True}), shop)
    _, remedy = message(planned, "cylinder-burnout")
    assert remedy == "Use one of these from the register: C-2."


def test_flammable_gas_needs_a_rated_cylinder_and_machine() -> None:
    shop = registers(
        cylinder("C-1", flammable_rated=False),
        cylinder("C-2"),
        machines=(machine(flammable_rated=False), machine("RM-2")),
    )
    planned = plan(job("R-454B", 5.0), shop)
    assert {"cylinder-not-flammable-rated", "machine-not-flammable-rated"} <= set(codes(planned))
    text, remedy = message(planned, "cylinder-not-flammable-rated")
    assert "(A2L)" in text
    assert remedy.endswith("C-2.")


def test_flammable_rated_cylinders_are_spared_for_flammable_gas() -> None:
    shop = registers(
        cylinder("C-1", out_of_service="dented"),
        cylinder("C-2", tare_lb=20.0),
        cylinder("C-3", tare_lb=40.0, flammable_rated=False),
    )
    planned = plan(job("R-22"), shop)
    (stop,) = [item for item in planned.findings if item.code == "cylinder-out-of-service"]
    assert dict(stop.params)["candidates"] == "C-3, C-2"


def test_candidates_that_take_it_all_come_first_and_only_six_are_named() -> None:
    small = [cylinder(f"S-{number}", water_capacity_lb=26.2, tare_lb=17.0) for number in range(8)]
    shop = registers(cylinder("C-1", out_of_service="dented"), *small, cylinder("C-2"))
    planned = plan(job("R-22", 30.0), shop)
    (stop,) = [item for item in planned.findings if item.code == "cylinder-out-of-service"]
    assert shown(stop.params, "US")["candidates"] == "C-2, S-0, S-1, S-2, S-3, S-4 and 3 more"


@pytest.mark.parametrize(
    ("classes", "refrigerants", "stopped"),
    [(("high",), (), False), ((), ("R-22",), False), (("medium",), (), True), ((), ("R-12",), True), ((), (), True)],
)
def test_a_machine_is_certified_by_class_or_by_name(
    classes: tuple[str, ...], refrigerants: tuple[str, ...], stopped: bool
) -> None:
    shop = registers(machines=(machine(pressure_classes=classes, refrigerants=refrigerants),))
    assert ("machine-not-for-refrigerant" in codes(plan(job("R-22"), shop))) is stopped


def test_a_machine_that_cuts_out_too_early() -> None:
    """R-410A at 120 °F stands near 418 psig."""
    shop = registers(machines=(machine(max_pressure_psig=400.0),))
    hot = job("R-410A", conditions={"ambient_F": 90.0, "hottest_F": 120.0})
    text, _ = message(plan(hot, shop), "machine-pressure-too-low")
    assert "at 120 °F" in text
    assert codes(plan(job("R-134a"), shop)) == []


def test_only_machines_that_would_do_are_named() -> None:
    """Certified, rated for flammable gas where it is, and for the pressure."""
    machines = (
        machine("RM-1", flammable_rated=False),
        machine("RM-2", flammable_rated=False),
        machine("RM-3", pressure_classes=("low",)),
        machine("RM-4", max_pressure_psig=200.0),
        machine("RM-5"),
    )
    _, remedy = message(plan(job("R-454B", 5.0), registers(machines=machines)), "machine-not-flammable-rated")
    assert remedy == "Send a machine that is: RM-5."
    _, remedy = message(plan(job("R-454B", 5.0), registers(machines=machines[:4])), "machine-not-flammable-rated")
    assert remedy == "Send a machine that is: none in the register."
    not_flammable = plan(job("R-22", 5.0, machine="RM-3"), registers(machines=machines))
    _, remedy = message(not_flammable, "machine-not-for-refrigerant")
    assert remedy == "Send a machine that is: RM-1, RM-2, RM-5."


def test_an_unknown_gas_needs_a_machine_for_every_class_it_may_be_in() -> None:
    mixed = cylinder("C-1", refrigerant="mixed")
    for classes, stopped in ((("high",), True), (("medium",), True), (("medium", "high"), False)):
        shop = registers(mixed, machines=(machine(pressure_classes=classes),))
        assert ("machine-not-for-refrigerant" in codes(plan(job("unknown", 4.0), shop))) is stopped


def test_a_cylinder_that_stands_above_its_service_pressure_is_a_caution() -> None:
    """R-404A at 120 °F stands near 311 psig: a 300-psig cylinder may hold it (375 at 131 °F), but must be kept cooler."""
    shop = registers(cylinder("C-1", spec="DOT-4BA300"))
    hot = job("R-404A", conditions={"ambient_F": 90.0, "hottest_F": 120.0})
    planned = plan(hot, shop)
    assert codes(planned) == []
    assert "cylinder-stands-high" in codes(planned, "caution")
    assert only(planned).stop_and_cool_psig.value == 300.0


def test_the_scale_limits_what_it_can_weigh() -> None:
    scales = (Scale(id="SC-1", capacity_lb=60.0, resolution_lb=0.1),)
    planned = plan(job("R-22"), registers(scales=scales))
    assert only(planned).limit_gross_lb.value == 60.0
    assert only(planned).governing_limit == "by_scale"
    heavy = registers(cylinder("C-1", tare_lb=70.0), scales=scales)
    assert "over-scale-capacity" in codes(plan(job("R-22"), heavy))


def test_the_sentence_of_a_ceiling_says_the_shops_own() -> None:
    """60 % of the volume at the fill temperature, or 70 % at 131 °F, where the shop has decided so."""
    low = plan(job("R-22"), registers(policy={"fill_ceiling_percent": 60.0}))
    assert only(low).governing.sentence("US") == "60 % liquid by volume at the fill temperature"
    hot = plan(job("R-22"), registers(policy={"hot_level_ceiling_percent": 70.0}))
    assert only(hot).governing.sentence("US") == "70 % liquid by volume at 131 °F"
    assert only(hot).governing.sentence("SI") == "70 % liquid by volume at 55 °C"


def test_the_stamp_limits_the_gross_weight() -> None:
    planned = plan(job("R-22"), registers(cylinder("C-1", max_gross_lb=55.0)))
    assert only(planned).limit_gross_lb.value == 55.0
    assert only(planned).governing_limit == "by_stamp"


def test_what_the_registers_lack_is_a_finding() -> None:
    lost = job("R-22", technician="bob", machine="RM-9", scale="SC-9", truck="T9", cylinders=("C-9",))
    planned = plan(lost, registers())
    assert codes(planned).count("not-in-register") == 5
    assert planned.cylinders == ()
    assert not planned.may_go_out


def test_an_open_discrepancy_is_a_caution_until_it_is_explained() -> None:
    """Common practice, no source: a cylinder whose weight nobody can explain may hold another gas."""
    shop = registers(cylinder("C-1", refrigerant="R-22", contents_lb=5.0))
    known = opening(shop)
    assert "cylinder-discrepancy" not in codes(plan_job(job("R-22"), shop, known))
    doubtful = {"C-1": replace(known["C-1"], discrepancy_lb=Decimal("1.4"), discrepancy_from="000007-HP-1030.json")}
    planned = plan_job(job("R-22"), shop, doubtful)
    text, remedy = message(planned, "cylinder-discrepancy")
    assert "differ by 1.4 lb since 000007-HP-1030.json" in text
    assert "packet cylinder explained C-1" in remedy
    assert planned.may_go_out
