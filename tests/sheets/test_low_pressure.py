"""A low-pressure machine is read on an absolute gauge, and everything that its readings are held against says the same unit."""

from typing import Literal

import pytest

from packet.hookup.build import build_hookup
from packet.hookup.model import Hookup
from packet.plan.job import plan_job
from packet.plan.model import Plan
from packet.sheets.blanks import blanks_of, written
from packet.sheets.model import Content, Fill, Record
from packet.sheets.packet import compose
from packet.units import UnitSystem

from .demo import JOBS, composed, planned, registers


def chiller(units: UnitSystem = "US", **work: bool) -> tuple[Plan, Hookup]:
    """The demo's R-123 chiller."""
    plan, _ = planned("HP-1049", units)
    job = plan.job.model_copy(update={"work": plan.job.work.model_copy(update=work)})
    made = plan_job(job, registers(units), {item.cylinder.id: item.start for item in plan.cylinders})
    return made, build_hookup(made)


def fill_of(content: Content) -> Fill:
    (sheet,) = [sheet for sheet in content.sheets if isinstance(sheet, Fill)]
    return sheet


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("raised", [False, True])
def test_what_the_steps_write_has_its_blank(units: Literal["US", "SI"], raised: bool) -> None:
    # raised: 40 CFR 82.156 lets a repair that is not major raise it to the air's pressure, as told in a summary
    plan, hookup = chiller(units, major=not raised, evacuation_to_atmosphere=False)
    assert plan.evacuation is not None
    assert plan.evacuation.raise_to_atmosphere is raised
    assert written(hookup) <= {blank.key for blank in blanks_of(plan, hookup)}


def test_no_demo_job_writes_where_no_blank_is() -> None:
    held = [planned(name) for name in JOBS]
    assert sum(len(written(hookup)) for _, hookup in held) > 100
    for plan, hookup in held:
        assert written(hookup) <= {blank.key for blank in blanks_of(plan, hookup)}, plan.job.job


def test_tables_steps_and_blanks_say_one_unit() -> None:
    plan, hookup = chiller()
    content = compose(plan, hookup)
    strip = fill_of(content).strip
    assert strip is not None
    assert "mmHg abs." in strip.title
    assert fill_of(content).sizes[0].table.heads[1] == "mmHg abs."
    steps = [step.text for layout in hookup.layouts for stage in layout.stages for step in stage.steps]
    (after,) = [text for text in steps if text.startswith("After standing")]
    assert "mmHg absolute" in after
    (record,) = [sheet for sheet in content.sheets if isinstance(sheet, Record)]
    asked = [ask for part in record.parts for ask in part.asks if "standing_mmHg" in ask.key]
    assert [(ask.unit, ask.comb) for ask in asked] == [("mmHg abs.", "dddd")] * 2


def test_the_strip_meets_the_boiling_point() -> None:
    # R-123 boils at 82.1 F (27.8 C) under 760 mmHg: ASHRAE 34, from memory; a row every 2 F, 15 mmHg a degree there
    strip = fill_of(composed("HP-1049")).strip
    assert strip is not None
    rows = {cells[0]: [int(cell) for cell in cells[1:]] for cells in strip.table.rows}
    assert rows["82"][0] == pytest.approx(760, abs=6)
    assert all(row[-1] > row[0] > 0 for row in rows.values())


def test_a_high_pressure_job_stays_on_its_gauge() -> None:
    strip = fill_of(composed("HP-1041")).strip
    assert strip is not None
    assert strip.title == "Today, psig"
