"""Room, crew, carrying, time, duties, estimates, pressures and refrigerants that are not planned."""

from datetime import date
from typing import Any

import pytest

from packet.refrigerant.catalogue import everything, find
from packet.refrigerant.properties import NoProperties, properties
from packet.shop.records import Job, Rates, Technician
from packet.statements import sentences
from tests.plan.builders import codes, cylinder, job, machine, message, plan, registers

BASEMENT = {"space": "basement", "room_ft3": 1000.0}


def test_room_check_counts_charge_and_cylinders() -> None:
    """R-22: 13 lb per 1,000 ft³ (International Mechanical Code table 1103.1)."""
    shop = registers(cylinder(refrigerant="R-22", contents_lb=4.0))
    planned = plan(job("R-22", 8.0, site=BASEMENT), shop)
    assert planned.occupied_space is not None
    assert planned.occupied_space.limit_lb.value == pytest.approx(13.0)
    assert planned.occupied_space.charge_lb.value == 12.0
    assert not planned.occupied_space.exceeds
    over = plan(job("R-22", 9.5, site=BASEMENT), shop)
    assert "room-limit-exceeded" in codes(over, "caution")
    assert codes(over) == []
    home = plan(job("R-22", 8.0, site=BASEMENT | {"institutional": True}), shop)
    assert home.occupied_space is not None
    assert home.occupied_space.limit_lb.value == pytest.approx(6.5)


def test_a_room_of_unknown_size_is_a_caution_and_open_air_is_none() -> None:
    planned = plan(job("R-22", 8.0, site={"space": "basement"}))
    assert planned.occupied_space is None
    text, _ = message(planned, "room-not-given")
    assert "13.00 lb for each 1,000 ft³" in text
    si, _ = message(
        plan(job("R-22", 8.0, site={"space": "basement"}), registers(shop={"units": "SI"})), "room-not-given"
    )
    # 13 lb per 1,000 ft³ = 5.897 kg per 28.317 m³
    assert "20.82 kg for each 100 m³" in si
    for space in ("rooftop", "outdoors"):
        open_air = plan(job("R-22", 8.0, site={"space": space}))
        assert open_air.occupied_space is None
        assert "room-not-given" not in codes(open_air, "caution")


def crew(*people: Technician, **changes: Any) -> list[str]:
    return codes(plan(job("R-22", 8.0, **changes), registers(technicians=people)))


def test_certification_of_who_works() -> None:
    """40 CFR 82.161 (secondary source)."""
    ada = Technician(id="ada", name="Ada Quill", certification=("type-I",))
    bob = Technician(id="bob", name="Bob Rill", certification=("type-II",))
    planned = plan(job("R-22", 8.0), registers(technicians=(ada, bob)))
    assert message(planned, "technician-not-certified") == (
        "Ada Quill holds Type I; this appliance needs Type II.",
        "Send a technician who holds Type II or Universal: Bob Rill.",
    )
    assert crew(ada, bob, technician="bob") == []
    low = plan(job("R-123", 8.0, technician="bob"), registers(technicians=(ada, bob)))
    assert codes(low) == ["technician-not-certified"]


def test_an_apprentice_works_under_someone_certified() -> None:
    learner = Technician(id="ada", name="Ada Quill", certification=("apprentice",))
    master = Technician(id="bob", name="Bob Rill", certification=("universal",))
    other = Technician(id="cay", name="Cay Moss", certification=("type-III",))
    assert crew(learner, master) == ["apprentice-needs-supervisor"]
    assert crew(learner, master, supervisor="bob") == []
    assert crew(learner, master, other, supervisor="cay") == ["technician-not-certified"]
    beginner = Technician(id="dot", name="Dot Fern", certification=("apprentice",))
    assert crew(learner, beginner, supervisor="dot") == ["apprentice-needs-supervisor"]


def test_carrying_against_the_limits_of_materials_of_trade() -> None:
    """49 CFR 173.6: 220 lb a cylinder, 440 lb a vehicle, standing load included."""
    shop = registers(cylinder(water_capacity_lb=239.0, tare_lb=99.0))
    planned = plan(job("R-22", 150.0), shop)
    assert planned.carrying is not None
    assert planned.carrying.total_lb.value == pytest.approx(100.0 + 99.0 + 150.0)
    assert "carry-cylinder-over" in codes(planned, "caution")
    assert "carry-truck-over" not in codes(planned, "caution")
    assert (planned.carrying.un_number, planned.carrying.hazard_class) == ("UN1018", "2.2")


@pytest.mark.parametrize(("charge_lb", "placards"), [(600.9, False), (601.0, True)])
def test_placards_from_1001_lb(charge_lb: float, placards: bool) -> None:
    """49 CFR 172.504(c): 'less than 1,001 lb aggregate gross weight' needs none."""
    heavy = registers(cylinder(water_capacity_lb=1000.0, tare_lb=300.0))
    told = codes(plan(job("R-22", charge_lb), heavy), "caution")
    assert "carry-truck-over" in told
    assert ("carry-placards" in told) == placards


def test_unknown_gas_is_no_material_of_trade() -> None:
    """49 CFR 173.6(a)(2), (a)(5): it cannot be shown to be of Division 2.1 or 2.2; for placards it counts."""
    shop = registers(cylinder(refrigerant="mixed", contents_lb=5.0), cylinder("C-2"))
    planned = plan(job("unknown", 10.0), shop)
    assert planned.carrying is not None
    assert [(item.cylinder, item.counts) for item in planned.carrying.items] == [("C-1", "not-trade")]
    assert planned.carrying.total_lb.value == 100.0
    assert "carry-not-trade" in codes(planned, "caution")


def test_what_is_no_class_2_gas() -> None:
    """R-123 boils above 68 °F: not a Class 2 gas (49 CFR 173.115), not in the sum of materials of trade."""
    planned = plan(job("R-123", 10.0))
    assert planned.carrying is not None
    assert planned.carrying.un_number == ""
    assert "safety data sheet" in planned.carrying.proper_shipping_name
    assert [item.counts for item in planned.carrying.items] == ["weight"]
    assert planned.carrying.total_lb.value == 100.0


@pytest.mark.parametrize(("flammable_rated", "counts"), [(False, "weight"), (True, "trade")])
def test_an_empty_evacuated_cylinder(flammable_rated: bool, counts: str) -> None:
    """49 CFR 173.29(b)(2)(iv)(B): a 2.2 residue below 29 psig is not regulated; what held 2.1 is."""
    shop = registers(cylinder(), cylinder("C-2", flammable_rated=flammable_rated))
    planned = plan(job("R-22", 5.0, cylinders=("C-1", "C-2")), shop)
    assert planned.carrying is not None
    assert [item.counts for item in planned.carrying.items] == ["trade", counts]


def test_two_generic_entries_are_a_question_for_the_shipper() -> None:
    text, _ = message(plan(job("R-410A", 5.0)), "carry-un-question")
    assert text == "R-410A has no entry of its own: UN1078 is printed, UN3163 is used too. Ask the shipper."
    assert "carry-un-question" not in codes(plan(job("R-404A", 5.0)), "note")
    assert "carry-un-question" not in codes(plan(job("R-454B", 5.0)), "note")


@pytest.mark.parametrize(
    ("tare_lb", "charge_lb", "how"),
    [
        (28.0, 22.0, "alone"),
        (28.0, 22.1, "two"),
        (60.0, 90.0, "two"),
        (60.0, 90.1, "dolly"),
        (200.0, 200.0, "dolly"),
        (200.0, 200.1, "hoist"),
    ],
)
def test_how_a_full_cylinder_is_lifted(tare_lb: float, charge_lb: float, how: str) -> None:
    """50, 150 and 400 lb: common practice, no source."""
    shop = registers(cylinder(water_capacity_lb=1000.0, tare_lb=tare_lb), machines=(machine(weight_lb=290.0),))
    planned = plan(job("R-22", charge_lb), shop)
    assert [(lift.what, lift.id, lift.how) for lift in planned.lifting] == [
        ("cylinder", "C-1", how),
        ("machine", "RM-1", "dolly"),
    ]
    assert ("lift-alone" in codes(planned, "note")) == (how != "alone")
    assert message(planned, "lift-machine")[0] == (
        "Machine RM-1 weighs 290.0 lb, more than 50 lb: a cylinder dolly and a lift gate."
    )


def test_the_shop_says_what_one_person_lifts() -> None:
    planned = plan(job("R-22", 10.0), registers(cylinder(), policy={"lift_alone_lb": 35.0}))
    assert [lift.how for lift in planned.lifting] == ["two"]


SECOND = {
    "push-pull": job("R-22", 101.0, appliance={"liquid_column": True, "receiver": True}),
    "room-limit": job("R-22", 20.0, site=BASEMENT),
    "toxic": job("R-123", 10.0),
    "unknown": job("unknown", 10.0),
    "roof-edge": job("R-22", 10.0, site={"roof_edge": True}),
    "permit-space": job("R-22", 10.0, site={"permit_space": True}),
}


@pytest.mark.parametrize("why", SECOND)
def test_what_asks_for_a_second_person(why: str) -> None:
    """Common practice, no source; the attendant of a permit space: 29 CFR 1910.146(d)(6)."""
    mixed = cylinder("C-M", refrigerant="mixed", contents_lb=1.0)
    big = cylinder(water_capacity_lb=400.0, tare_lb=100.0)
    used = SECOND[why].model_copy(update={"cylinders": ("C-M",)}) if why == "unknown" else SECOND[why]
    other = Technician(id="bob", name="Bob Rill", certification=("apprentice",))
    ada = Technician(id="ada", name="Ada Quill", certification=("universal",))
    shop = registers(big, mixed, technicians=(ada, other))
    alone = plan(used, shop)
    assert alone.second is not None
    assert alone.second.needed_for == (why,)
    assert alone.second.missing
    text, remedy = message(alone, "second-person-missing")
    assert "second person" in text
    assert "'second:'" in remedy
    for said, name, on_site in (("bob", "Bob Rill", False), ("Mr. Crane", "Mr. Crane", False), ("on-site", "", True)):
        named = plan(used.model_copy(update={"second": said}), shop)
        assert named.second is not None
        assert (named.second.name, named.second.on_site, named.second.missing) == (name, on_site, False)
        assert "second-person-missing" not in codes(named, "caution")


def test_most_jobs_need_no_second_person_and_a_supervisor_is_one() -> None:
    planned = plan(
        job("R-22", 100.0, appliance={"liquid_column": True, "receiver": True}),
        registers(cylinder(water_capacity_lb=400.0, tare_lb=100.0)),
    )
    assert planned.method is not None
    assert planned.method.chosen == "push-pull"
    assert planned.second is not None
    assert planned.second.needed_for == ()
    assert "second-person-missing" not in codes(planned, "caution")
    watched = plan(
        job("R-22", 10.0, site={"roof_edge": True}, supervisor="bob"),
        registers(
            technicians=(
                Technician(id="ada", name="Ada Quill", certification=("apprentice",)),
                Technician(id="bob", name="Bob Rill", certification=("universal",)),
            )
        ),
    )
    assert watched.second is not None
    assert (watched.second.name, watched.second.missing) == ("Bob Rill", False)


def test_times_of_each_stage() -> None:
    """R-22, 12 lb, 6 lb/min liquid, 0.5 lb/min vapor: liquid is out within 2 min; all is marked as estimate."""
    planned = plan(job("R-22", 12.0))
    times = {item.stage: item.minutes for item in planned.times}
    assert list(times) == ["set-up", "liquid", "vapor", "clear"]
    assert 1.0 < times["liquid"].value < 2.0
    assert times["vapor"].value > times["liquid"].value
    assert all(item.estimate_percent == 50.0 for item in times.values())
    assert times["clear"].value == 10.0 + 5.0


def test_the_vapor_of_a_low_pressure_chiller_takes_hours_and_the_log_has_room_for_it() -> None:
    """R-123, 300 lb, 1.2 lb/min at 70 °F. Common practice, no source: hours, not minutes.

    By hand, densities of R-123 from memory: 0.37 lb/ft³ at 70 °F gives 3.2 ft³/min; a tenth of 270 lb boiling at 36 °F
    (0.17 lb/ft³) takes 50 min; 83 ft³ from 0.37 down to 0.013 lb/ft³ takes 83 ÷ 3.2 × ln 28 = 86 min.
    """
    rates = Rates(liquid=20.0, vapor=1.2, push_pull=20.0)
    shop = registers(
        cylinder(spec="DOT-4BW260", water_capacity_lb=1000.0, tare_lb=380.0),
        machines=(machine(rates_lb_per_min=rates, pressure_classes=("low",)),),
    )
    chiller = plan(job("R-123", 300.0, appliance={"kind": "chiller"}), shop)
    minutes = {item.stage: item.minutes.value for item in chiller.times}
    assert 100.0 < minutes["vapor"] < 180.0
    last = [part for part in chiller.log if part.stage == "vapor"][-1]
    assert last.points[-1].minute >= minutes["vapor"]
    assert [item.how.code for item in chiller.estimates if item.what.code == "remaining-vapor"] == ["how-shell-volume"]


def test_vapor_alone_takes_longer_and_a_deeper_target_too() -> None:
    def vapor_minutes(name: str, charge: float, **changes: Any) -> float:
        times = plan(job(name, charge, **changes)).times
        return next(item.minutes.value for item in times if item.stage == "vapor")

    only_vapor = {"reason": "repair", "method": "vapor"}
    assert vapor_minutes("R-22", 12.0, work=only_vapor) > 3.0 * vapor_minutes("R-22", 12.0)
    minor = {"reason": "repair", "major": False, "evacuation_to_atmosphere": False}
    assert vapor_minutes("R-134a", 12.0) > vapor_minutes("R-134a", 12.0, work=minor)


def test_warming_of_the_load() -> None:
    """R-22, 1810 (AR4, from memory): 10 lb = 4.5359 kg, 8.21 t."""
    planned = plan(job("R-22", 10.0))
    assert planned.t_co2e is not None
    assert planned.t_co2e.value == pytest.approx(8.21, abs=0.01)


@pytest.mark.parametrize(
    ("name", "charge", "kind", "day", "notes"),
    [
        ("R-22", 49.0, "rack", date(2026, 11, 26), set()),
        ("R-22", 50.0, "split", date(2026, 11, 26), {"leak-rate-duty"}),
        ("R-404A", 14.9, "rack", date(2026, 11, 26), set()),
        ("R-404A", 15.0, "rack", date(2026, 11, 26), {"hfc-leak-duty"}),
        ("R-404A", 15.0, "rack", date(2025, 12, 31), set()),
        ("R-410A", 60.0, "split", date(2026, 11, 26), set()),
        ("R-410A", 60.0, "chiller", date(2026, 11, 26), {"hfc-leak-duty"}),
        ("R-1234yf", 60.0, "rack", date(2026, 11, 26), set()),
        ("R-408A", 60.0, "rack", date(2026, 11, 26), {"leak-rate-duty", "hfc-leak-duty"}),  # R-22 with two HFCs
        ("R-502", 60.0, "rack", date(2026, 11, 26), {"leak-rate-duty"}),  # two ozone-depleting parts
        ("R-414B", 60.0, "rack", date(2026, 11, 26), {"leak-rate-duty"}),  # its one substitute is isobutane
    ],
)
def test_duties_of_the_owner(name: str, charge: float, kind: str, day: date, notes: set[str]) -> None:
    """40 CFR 82.157(a) and 84.106(a)."""
    shop = registers(cylinder(water_capacity_lb=239.0, tare_lb=99.0))
    planned = plan(job(name, charge, date=day, appliance={"kind": kind}), shop)
    assert set(codes(planned, "note")) & {"leak-rate-duty", "hfc-leak-duty"} == notes


SMALL = {"kind": "small-appliance", "factory_sealed": True, "ports": ("vapor",)}


@pytest.mark.parametrize(
    ("the_job", "owed"),
    [
        (job("R-22", 20.0), {"same-owner-reuse", "sale-ban"}),
        (job("R-22", 20.0, work={"reason": "disposal"}), {"disposal-record", "same-owner-reuse", "sale-ban"}),
        (
            job("R-134a", 1.0, appliance=SMALL, work={"reason": "disposal"}),
            {"scrap-statement", "same-owner-reuse", "sale-ban"},
        ),
        (job("R-134a", 1.0, appliance=SMALL), {"same-owner-reuse", "sale-ban"}),
        (job("R-22", 20.0, work={"reason": "disposal", "disposition": "destruction"}), {"disposal-record"}),
        (job("R-290", 0.3, appliance=SMALL | {"use": "vending-machine"}, work={"reason": "disposal"}), set()),
        (
            job("R-290", 0.3, appliance=SMALL, work={"reason": "disposal"}),
            {"scrap-statement", "same-owner-reuse", "sale-ban"},
        ),
    ],
)
def test_duties_of_a_plan(the_job: Job, owed: set[str]) -> None:
    """40 CFR 82.156(a)(3), 82.155, 82.156(h), 82.154(d); what is kept of every job is the shop's policy."""
    duties = plan(the_job).duties
    assert {item.code for item in duties} == owed | {"keep-three-years"}
    assert "shop's policy" in duties[0].sentence("US")
    assert not any("from memory" in text for text in sentences(duties, "US"))


def test_venting_is_exempt_by_gas_and_use() -> None:
    """40 CFR 82.154(a)(1): a 12-lb propane chiller is recovered by law; a sealed vending machine by the shop's policy."""
    chiller = plan(job("R-290", 12.0, appliance={"kind": "chiller", "use": "comfort-cooling"}))
    assert chiller.evacuation is not None
    assert not chiller.evacuation.by_policy
    assert "policy-not-law" not in codes(chiller, "note")
    exempt = plan(job("R-290", 0.3, appliance=SMALL | {"use": "vending-machine"}))
    assert exempt.evacuation is not None
    assert exempt.evacuation.by_policy
    assert "policy-not-law" in codes(exempt, "note")
    text, remedy = message(plan(job("R-290", 0.3, appliance=SMALL)), "use-not-given")
    assert "recovered by law" in text
    assert "'use:'" in remedy


def test_scrapping_a_small_appliance_asks_for_no_card_by_law() -> None:
    """40 CFR 82.161(a)(1)(vii); servicing one needs Type I."""
    learner = (Technician(id="ada", name="Ada Quill", certification=("apprentice",)),)
    scrap = job("R-134a", 1.0, appliance=SMALL, work={"reason": "disposal"})
    assert codes(plan(scrap, registers(technicians=learner))) == []
    assert "scrap-certification-policy" not in codes(plan(scrap, registers(technicians=learner)), "caution")
    asking = registers(technicians=learner, policy={"scrap_certification": "type-I"})
    assert codes(plan(scrap, asking)) == []
    assert "scrap-certification-policy" in codes(plan(scrap, asking), "caution")
    service = job("R-134a", 1.0, appliance=SMALL)
    assert codes(plan(service, asking)) == ["apprentice-needs-supervisor"]


@pytest.mark.parametrize(("charge_lb", "stopped"), [(15.0, False), (15.1, True)])
def test_a_system_dependent_machine_is_not_for_more_than_15_lb(charge_lb: float, stopped: bool) -> None:
    """40 CFR 82.156: system-dependent equipment, full charge above 15 lb."""
    planned = plan(job("R-22", charge_lb), registers(machines=(machine(system_dependent=True),)))
    assert ("machine-system-dependent" in codes(planned)) == stopped


def estimated() -> list[str]:
    found = []
    for item in everything():
        try:
            fluid = properties(item)
        except NoProperties:
            continue
        if fluid.density_error_percent and fluid.highest_F >= 131.0 and not item.answer:
            found.append(item.name)
    return found


def test_an_estimate_is_a_caution_and_stands_on_the_safe_side() -> None:
    names = estimated()
    assert "R-408A" in names
    for name in names:
        planned = plan(job(name, 5.0))
        fluid = properties(find(name))
        assert "estimate" in codes(planned, "caution")
        assert any(item.percent == fluid.density_error_percent for item in planned.estimates)
        cylinder_plan = planned.cylinders[0]
        best = 0.8 * cylinder_plan.volume_ft3.value * fluid.liquid_lb_per_ft3(95.0)
        by_volume = cylinder_plan.limits[0]
        assert fluid.density_error_percent is not None
        assert by_volume.value == pytest.approx(best * (1.0 - fluid.density_error_percent / 100.0))
        assert by_volume.estimate_percent == fluid.density_error_percent


def test_fitness_counts_the_pressures_error() -> None:
    """R-408A, an estimate: 5/4 of the service pressure is compared with the pressure plus its stated error."""
    fluid = properties(find("R-408A"))
    assert fluid.pressure_error_percent is not None
    best = fluid.bubble_psia(131.0)
    high = best * (1.0 + fluid.pressure_error_percent / 100.0)
    # a cylinder that the best figure would just allow
    service = (best - 14.696) / 1.25 + 1.0
    shop = registers(cylinder(spec=f"DOT-4BA{service:.0f}"))
    text, remedy = message(plan(job("R-408A", 5.0), shop), "cylinder-pressure-131F")
    assert f"reaches {high - 14.696:.1f} psig" in text
    assert f"at least {-(-(high - 14.696) // 1.25):.0f} psig" in remedy


def test_pressures_are_the_sites_and_suspect_air_above_a_margin() -> None:
    """Sea level: R-22 at 70 °F 121.4 psig (chart drawn from NIST REFPROP), 131.4 with 10 psi; at 5,280 ft the gauge
    shows 2.6 psi more, because the air presses less."""
    sea = {row.temperature_F: row for row in plan(job("R-22", 10.0)).pressure_table}
    assert list(sea) == [float(at) for at in range(20, 131, 5)]
    assert sea[70.0].bubble_psig == pytest.approx(121.4, abs=0.3)
    assert sea[70.0].suspect_air_psig == pytest.approx(131.4, abs=0.3)
    high = {row.temperature_F: row for row in plan(job("R-22", 10.0, site={"elevation_ft": 5280.0})).pressure_table}
    assert high[70.0].bubble_psig - sea[70.0].bubble_psig == pytest.approx(14.696 - 12.100, abs=0.01)


def test_a_blend_has_two_pressures_and_a_low_pressure_gas_a_smaller_margin() -> None:
    glide = plan(job("R-407C", 10.0)).pressure_table
    assert all(row.dew_psig < row.bubble_psig < row.suspect_air_psig for row in glide)
    low = {row.temperature_F: row for row in plan(job("R-123", 10.0)).pressure_table}
    fluid = properties(find("R-123"))
    assert low[70.0].suspect_air_psig == pytest.approx(fluid.bubble_psia(76.0) - 14.696, abs=1e-6)
    assert low[70.0].suspect_air_psig - low[70.0].bubble_psig < 2.0
    assert low[20.0].bubble_psig < 0.0  # a vacuum


@pytest.mark.parametrize("name", ["R-744", "R-717"])
def test_what_is_not_recovered_is_told_what_to_do_instead(name: str) -> None:
    planned = plan(job(name, 5.0))
    assert codes(planned) == ["refrigerant-not-recovered"]
    _, remedy = message(planned, "refrigerant-not-recovered")
    assert len(remedy) > 60
    assert planned.cylinders == ()
    assert planned.method is None


@pytest.mark.parametrize("name", ["R-23", "R-13", "R-503"])
def test_what_has_no_liquid_at_131F_is_refused(name: str) -> None:
    assert codes(plan(job(name, 5.0))) == ["no-properties"]


def test_an_unknown_name_is_refused_with_near_ones() -> None:
    planned = plan(
        job("R-410A", 5.0).model_copy(
            update={"appliance": job().appliance.model_copy(update={"refrigerant": "R-411Z"})}
        )
    )
    text, _ = message(planned, "no-properties")
    assert "R-411Z" in text
    assert "did you mean" in text


def test_what_an_estimates_error_explains_is_no_sign_of_air() -> None:
    """R-408A, an estimate of ± 4.5 %: air is suspected 10 psi (common practice, no source) above the pressure plus that."""
    fluid = properties(find("R-408A"))
    error = (fluid.pressure_error_percent or 0.0) / 100.0
    row = next(item for item in plan(job("R-408A", 5.0)).pressure_table if item.temperature_F == 70.0)
    assert row.suspect_air_psig == pytest.approx(fluid.bubble_psia(70.0) * (1.0 + error) - 14.696 + 10.0, abs=0.01)
    assert row.bubble_psig == pytest.approx(fluid.bubble_psia(70.0) - 14.696, abs=0.01)
