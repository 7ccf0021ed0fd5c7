"""From real plans: every job of the demo shop's first day has a hookup without a finding."""

from dataclasses import replace
from pathlib import Path

import pytest

from packet.hookup.build import build_hookup
from packet.hookup.request import request_from
from packet.ledger.state import opening
from packet.plan.job import plan_job
from packet.plan.model import Plan
from packet.shop.load import load_job, load_registers

JOBS = Path(__file__).parents[2] / "jobs"
FIRST_DAY = sorted((JOBS / "2026-11-26").glob("*.yaml"))


def plan_of(path: Path) -> Plan:
    """A demo job's plan from the register's opening figures."""
    registers = load_registers(JOBS).value
    assert registers is not None
    job = load_job(path, registers).value
    assert job is not None
    return plan_job(job, registers, opening(registers))


@pytest.mark.parametrize("path", FIRST_DAY, ids=[path.stem for path in FIRST_DAY])
def test_a_demo_job_has_its_hookup(path: Path) -> None:
    plan = plan_of(path)
    hookup = build_hookup(plan)
    assert [item.message for item in hookup.findings if item.severity != "note"] == []
    assert plan.method is not None
    running = dict.fromkeys(stage.kind for stage in hookup.stages if stage.kind in {"vapor", "liquid", "push-pull"})
    low = plan.evacuation is not None and plan.evacuation.pressure_class == "low"
    assert list(running) == (["push-pull", "vapor"] if low else list(plan.method.stages))
    said = " ".join(step.text for stage in hookup.stages for step in stage.steps)
    assert all(item.cylinder.id in said for item in plan.cylinders)
    # one hookup, one cylinder: at most 45 lines; what burns or is unknown has a few more
    if len(hookup.layouts) == 1 and not (plan.refrigerant is None or plan.refrigerant.flammable):
        assert sum(len(stage.steps) for stage in hookup.stages) <= 45


def test_the_request_carries_the_plan_s_figures() -> None:
    plan = plan_of(JOBS / "2026-11-26" / "HP-1043.yaml")
    request = request_from(plan)
    assert request is not None
    assert [item.id for item in request.cylinders] == [item.cylinder.id for item in plan.cylinders]
    assert [item.stop_gross_lb for item in request.cylinders] == [item.stop_gross_lb.value for item in plan.cylinders]
    assert request.cylinders[-1].change_at_gross_lb is None
    assert all(item.change_at_gross_lb is not None for item in request.cylinders[:-1])
    assert request.pressure_psig >= max(item.stop_and_cool_psig.value for item in plan.cylinders)
    assert request.charge_lb == plan.job.appliance.charge_lb


def test_the_demo_shop_purges_by_vacuum() -> None:
    for name in ("HP-1042", "HP-1041"):
        request = request_from(plan_of(JOBS / "2026-11-26" / f"{name}.yaml"))
        assert request is not None
        assert request.vacuum_purge


def test_a_plan_without_a_method_has_no_hookup() -> None:
    plan = replace(plan_of(FIRST_DAY[0]), method=None)
    assert build_hookup(plan).stages == ()
    assert build_hookup(plan).findings == ()
    assert build_hookup(replace(plan_of(FIRST_DAY[0]), cylinders=())).stages == ()
