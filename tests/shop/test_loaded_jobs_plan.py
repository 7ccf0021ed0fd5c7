"""Whatever the loader lets through, the plan answers with numbers and findings, never with an exception."""

import json
import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from packet.ledger.state import CylinderState, opening
from packet.plan.document import plan_document
from packet.plan.job import plan_job
from packet.refrigerant.catalogue import everything
from packet.shop.load import load_job, load_registers
from packet.shop.records import Registers

JOBS = Path(__file__).parents[2] / "jobs"


@cache
def shop() -> tuple[Registers, Mapping[str, CylinderState]]:
    registers = load_registers(JOBS).value
    assert registers is not None
    return registers, opening(registers)


REGISTERS, _ = shop()
JOB = """job: HP-1041
date: 2026-11-26
truck: T1
technician: {technician}
machine: {machine}
scale: {scale}
start: 00:00
cylinders: [{cylinders}]
site:
  name: A place
  space: {space}
  elevation_ft: {elevation}
  room_ft3: {room}
appliance:
  description: Something cold
  kind: {kind}
  refrigerant: {refrigerant}
  charge_lb: {charge}
  ports: [{ports}]
  system_volume_ft3: {volume}
  reversing_valve: {yes[0]}
  accumulator_between_ports: {yes[1]}
  liquid_column: {yes[2]}
  receiver: {yes[3]}
  factory_sealed: {yes[4]}
  compressor_runs: {yes[5]}
work:
  reason: {reason}
  method: {method}
  major: {yes[6]}
  leaking: {yes[7]}
  evacuation_to_atmosphere: {yes[8]}
  isolated_charge_lb: {isolated}
conditions:
  ambient_F: {ambient}
  hottest_F: {hottest}
"""
FIELDS = {
    "technician": st.sampled_from([item.id for item in REGISTERS.technicians]),
    "machine": st.sampled_from([item.id for item in REGISTERS.equipment.machines]),
    "scale": st.sampled_from([item.id for item in REGISTERS.equipment.scales]),
    "cylinders": st.lists(st.sampled_from([item.id for item in REGISTERS.cylinders]), unique=True, max_size=4).map(", ".join),
    "space": st.sampled_from(["basement", "machinery-room", "indoors", "rooftop", "outdoors"]),
    "elevation": st.sampled_from([-1500, 0, 5280, 20_000]),
    "room": st.sampled_from(["", "0.001", "1900", "5000000"]),
    "kind": st.sampled_from(["split", "heat-pump", "rack", "chiller", "small-appliance", "other"]),
    "refrigerant": st.sampled_from([*(item.name for item in everything()), "unknown", "mixed"]),
    "charge": st.sampled_from([0.001, 0.3, 5, 9.99, 49, 200, 1999, 50_000]),
    "ports": st.sampled_from(["liquid", "vapor", "liquid, vapor"]),
    "volume": st.sampled_from(["", "0.001", "1", "5000000"]),
    "reason": st.sampled_from(["repair", "disposal", "retrofit", "leak"]),
    "method": st.sampled_from(["auto", "vapor", "liquid", "push-pull"]),
    "isolated": st.sampled_from(["", "0.001"]),
    "ambient": st.sampled_from([-40, 20, 77]),
    "hottest": st.sampled_from([77, 95, 131, 140]),
    "yes": st.lists(st.sampled_from(["yes", "no"]), min_size=9, max_size=9),
}  # fmt: skip


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.fixed_dictionaries(FIELDS))
def test_every_job_that_loads_can_be_planned(fields: dict[str, object]) -> None:
    registers, states = shop()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "2026-11-26" / "HP-1041.yaml"
        path.parent.mkdir()
        path.write_text(JOB.format_map(fields), encoding="utf-8")
        loaded = load_job(path, registers)
    assert loaded.problems == ()
    assert loaded.value is not None
    plan = plan_job(loaded.value, registers, states)
    # numbers that are numbers: no infinity, no NaN
    json.dumps(plan_document(plan), allow_nan=False)
    assert all(item.message for item in plan.findings)
