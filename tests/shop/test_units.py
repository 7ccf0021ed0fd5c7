"""US and SI keys: what is typed in either comes out the same, in US units."""

import typing
from pathlib import Path
from typing import Protocol

import pytest

from packet.shop.fields import WATER
from packet.shop.load import load_job, load_registers
from packet.shop.records import Cylinder, Equipment, Job, Machine, Month, Policy, Record, Registers, Shop, Technician
from packet.shop.shape import keys


class Folder(Protocol):
    folder: Path
    job: Path


def test_a_shop_in_si_is_held_in_us_units(si: Folder) -> None:
    loaded = load_registers(si.folder)
    assert loaded.problems == ()
    registers = loaded.value
    assert registers is not None
    job = load_job(si.job, registers).value
    assert job is not None
    # NIST SP 811 appendix B.8 (from memory): 1 lb = 0.453 592 37 kg, 1 ft = 0.3048 m, 1 psi = 6894.757 Pa.
    assert job.appliance.charge_lb == pytest.approx(17.5 / 0.45359237)
    assert job.work.isolated_charge_lb == pytest.approx(6 / 0.45359237)
    assert job.site.elevation_ft == pytest.approx(5280.0)
    assert job.site.room_ft3 == pytest.approx(54 * 35.31467, rel=1e-6)
    assert job.appliance.system_volume_ft3 == pytest.approx(0.05 * 35.31467, rel=1e-6)
    assert job.conditions.ambient_F == pytest.approx(77.0)
    assert job.conditions.hottest_F == pytest.approx(109.4)
    policy = registers.shop.policy
    assert policy.van_hottest_F == pytest.approx(122.0)
    assert policy.lift_alone_lb == pytest.approx(44.092, abs=1e-3)
    assert policy.noncondensable_margin_psi == pytest.approx(0.7e5 / 6894.757, rel=1e-6)
    assert (policy.table_from_F, policy.table_to_F) == pytest.approx((14.0, 131.0))
    assert policy.table_step_F == pytest.approx(9.0)  # a difference, without the 32
    machine = registers.equipment.machines[0]
    assert machine.max_pressure_psig == pytest.approx(38e5 / 6894.757, rel=1e-6)
    assert machine.rates_lb_per_min.liquid == pytest.approx(2 / 0.45359237)
    assert machine.rates_lb_per_min.push_pull == pytest.approx(6 / 0.45359237)
    assert machine.hold_up_lb == pytest.approx(0.4 / 0.45359237)
    hose = registers.equipment.kit.hoses[0]
    assert (hose.length_ft, hose.bore_in) == pytest.approx((4.92126, 0.25), rel=1e-5)
    assert registers.equipment.kit.manifolds[0].valves == 4


def test_liters_of_water_are_pounds_of_water_at_60_F() -> None:
    # 49 CFR 173.304a, note on filling density: 27.737 in3 of water weigh 1 lb at 60 degF; 1 L is 61.023 74 in3.
    assert WATER.from_si(1.0) == pytest.approx(61.02374 / 27.737, rel=1e-6)
    # Water at 60 degF is 999.0 kg/m3 in vacuum and weighs 0.11 % less in air, which is how cylinders are weighed (both
    # from memory).
    assert WATER.from_si(1.0) == pytest.approx(0.9990 * 0.9989 / 0.45359237, rel=2e-4)


def test_a_records_place_names_the_key_that_was_typed(si: Folder) -> None:
    registers = load_registers(si.folder).value
    assert registers is not None
    job = load_job(si.job, registers).value
    assert job is not None
    assert job.appliance.where("charge_lb") == "2026-11-26/J-1.yaml:18 charge_kg"
    assert job.appliance.where("receiver") == "2026-11-26/J-1.yaml:20 receiver"
    assert job.where("cylinders[1]") == "2026-11-26/J-1.yaml:8 cylinders[1]"
    assert job.conditions.where() == "2026-11-26/J-1.yaml:24"
    assert registers.cylinders[1].where("water_capacity_lb") == "cylinders.yaml:2 water_capacity_l"
    assert registers.equipment.machines[0].rates_lb_per_min.where("vapor") == "machines.yaml:6 vapor"
    assert registers.equipment.scales[0].typed_key("resolution_lb") == "resolution_kg"
    assert registers.equipment.scales[0].line("resolution_lb") == 10


def test_a_default_does_not_stand_in_anybodys_file(si: Folder) -> None:
    registers = load_registers(si.folder).value
    assert registers is not None
    bare = Machine(id="RM-9", made=Month(year=2020, month=1))
    assert bare.where("hold_up_lb") == "hold_up_lb: not given, the default"
    assert bare.where("made") == "made"
    text = (si.folder / "cylinders.yaml").read_text("utf-8")
    assert "float_switch" not in text
    assert registers.cylinders[0].where("float_switch") == "cylinders.yaml:1 float_switch: not given, the default"
    assert registers.cylinders[0].where("owner") == "cylinders.yaml:1 owner: not given"
    assert not registers.cylinders[0].is_given("float_switch")
    assert registers.cylinders[0].is_given("tare_lb")
    assert Policy().where("fill_ceiling_percent") == "fill_ceiling_percent: not given, the default"


def all_records() -> set[type[Record]]:
    found: set[type[Record]] = set()
    todo: list[type[Record]] = [Shop, Cylinder, Equipment, Technician, Job, Registers]
    while todo:
        record = todo.pop()
        found.add(record)
        todo += [key.record for key in keys(record).values() if key.record and key.record not in found]
    return found


# 3-data.md: every quantity may be given in US or SI under the matching key.
US_ENDINGS = ("_lb", "_F", "_ft", "_ft3", "_psig", "_psi", "_in", "_lb_per_min")


def test_every_quantity_has_both_keys() -> None:
    for record in all_records():
        for key in keys(record).values():
            assert (key.quantity is not None) == key.name.endswith(US_ENDINGS), (record, key.name)


def test_every_key_is_described() -> None:
    for record in all_records() - {Registers}:
        for key in keys(record).values():
            assert key.description.endswith("."), (record, key.name)


def test_records_are_typed_as_their_annotations_say() -> None:
    # What a type checker sees of a field is what a record holds, marks aside.
    assert typing.get_type_hints(Job)["job"] is str
    assert typing.get_type_hints(Cylinder)["tare_lb"] is float
