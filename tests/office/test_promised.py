"""What the office reads of a print's plan: of today's document, and of what was kept before there was one."""

from dataclasses import replace
from pathlib import Path

import pytest

from packet.document import ShapeError
from packet.office.promised import promised, promised_or_none
from packet.plan.document import plan_document
from packet.press.printed import read_record, records_of
from tests.plan.test_demo import demo

from .returned import print_it

BEFORE = Path(__file__).parents[1] / "before" / "printed"


def test_of_a_document(tmp_path: Path) -> None:
    plan = demo()["HP-1041"]
    record = print_it(tmp_path)
    found = promised(replace(record, plan=plan_document(plan)))
    assert found.plan.refrigerant == "R-410A"
    assert found.technician.name == "Marisol Wren"
    assert found.appliance.charge_lb == plan.job.appliance.charge_lb
    assert plan.scale is not None
    assert found.scale_step_lb == plan.scale.resolution_lb
    for planned, own in zip(found.plan.cylinders, plan.cylinders, strict=True):
        assert (planned.id, planned.stop_gross_lb) == (own.cylinder.id, own.stop_gross_lb.value)
    assert plan.evacuation is not None
    assert plan.evacuation.gauge_at_site_inHg_vacuum is not None
    assert found.evacuation.gauge_at_site_inHg_vacuum == plan.evacuation.gauge_at_site_inHg_vacuum.value
    assert plan.t_co2e is not None
    assert plan.to_recover_lb is not None
    assert found.t_co2e_per_lb == pytest.approx(plan.t_co2e.value / plan.to_recover_lb.value)
    assert found.facts["site"] == plan.job.site.name


def test_of_a_print_from_before() -> None:
    found = promised(read_record(BEFORE / "HP-1041.AAAA2222.yaml"))
    assert (found.technician.id, found.technician.name, found.supervisor) == ("wren", "Marisol Wren", "")
    assert found.facts["address"] == "220 Harness Street, Harrow Mesa"
    assert found.t_co2e_per_lb == pytest.approx(0.9468740723750002)
    assert found.scale_step_lb == 0.1
    assert found.plan.cylinders[0].stop_gross_lb > 0.0
    assert not found.apprentice
    assert found.stops == ()
    assert promised(read_record(BEFORE / "HP-1042.CCCC4444.yaml")).stops == ("cylinder-full",)


def test_a_print_without_a_plan_promises_nothing(tmp_path: Path) -> None:
    print_it(tmp_path)
    (record,) = records_of(tmp_path, "HP-1041")
    bare = replace(record, plan={})
    assert promised_or_none(bare) is None
    with pytest.raises(ShapeError, match="is missing"):
        promised(bare)
