"""A plan written out as its document and read back is the same plan; what it keeps suffices to make it again."""

import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from packet import words
from packet.document import ShapeError, data_of, text_of
from packet.findings import finding
from packet.plan.document import UnknownFormatError, own_registers, plan_back, plan_document, planned_again
from packet.plan.model import Plan
from packet.statements import STATEMENTS
from tests.plan.builders import cylinder, job, only, plan, registers
from tests.plan.test_demo import demo
from tests.plan.test_invariants import planned

DAYS = tuple(sorted(demo()))


def through_a_file(document: dict[str, Any]) -> Any:
    return data_of(text_of(document))


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(planned())
def test_a_generated_plan_is_read_back_the_same(found: Plan) -> None:
    document = plan_document(found)
    back = plan_back(through_a_file(document))
    assert back == replace(found, registers=own_registers(found))
    assert plan_document(back) == document


@pytest.mark.parametrize("name", DAYS)
def test_a_plan_of_the_demo_is_read_back_the_same(name: str) -> None:
    found = demo()[name]
    back = plan_back(through_a_file(plan_document(found)))
    assert back == replace(found, registers=own_registers(found))
    assert back.job.where("appliance") == found.job.where("appliance")


@pytest.mark.parametrize("kind", ["R-744", "unknown"])
def test_a_job_without_numbers_is_read_back_the_same(kind: str) -> None:
    found = plan(job(kind, 5.0))
    document = plan_document(found)
    assert document["refrigerant"] == kind
    assert plan_back(through_a_file(document)) == replace(found, registers=own_registers(found))


def test_stop_weights_are_worked_out_again_when_the_registers_have_changed() -> None:
    """The document keeps water capacity, tare, temperatures, kit and limits: today's register is not asked."""
    found = plan(job("R-410A", 20.0), registers(cylinder(max_gross_lb=60.0)))
    changed = plan(job("R-410A", 20.0), registers(cylinder(tare_lb=20.0)))
    again = planned_again(plan_back(through_a_file(plan_document(found))))
    assert only(again) == only(found)
    assert only(changed).stop_gross_lb != only(found).stop_gross_lb


def test_keys_of_the_document_that_other_programs_use() -> None:
    """Published keys keep their names and meaning."""
    found = plan()
    document = plan_document(found, [finding("walk-failed", stage="vapor", step="3.4", why="discharge shut")])
    assert document["format"] == 1
    assert document["job"] == found.job.job
    assert document["date"] == "2026-11-26"
    assert document["refrigerant"] == "R-410A"
    assert document["cylinders"][0]["id"] == "C-1"
    assert document["cylinders"][0]["governing_limit"] in STATEMENTS
    assert document["may_go_out"] is False
    stopped = document["findings"][-1]
    assert {"severity": "stop", "code": "walk-failed", "message": "Stage vapor, step 3.4: discharge shut"}.items() <= (
        stopped.items()
    )


def test_a_document_is_the_same_in_every_language(tmp_path: Any) -> None:
    from babel.messages.catalog import Catalog
    from babel.messages.pofile import write_po

    catalogue = Catalog(locale="es")
    for message in STATEMENTS.values():
        forms = message if isinstance(message, tuple) else (message,)
        catalogue.add(message, tuple("¡" + form for form in forms) if len(forms) > 1 else "¡" + forms[0])
    folder = tmp_path / "es" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    with (folder / "packet.po").open("wb") as file:
        write_po(file, catalogue)
    english = plan_document(plan())
    try:
        words.use("es", tmp_path)
        there = plan()
        assert there.duties[0].sentence("US").startswith("¡")
        assert plan_document(there) == english
    finally:
        words.use("en")


@pytest.mark.parametrize("found", [None, 0, 2, "1", True])
def test_an_unknown_format_is_refused_by_name(found: Any) -> None:
    document = plan_document(plan()) | {"format": found}
    with pytest.raises(UnknownFormatError, match=f"format {found} is not known"):
        plan_back(document)


def test_a_number_without_its_working_is_refused() -> None:
    document = through_a_file(plan_document(plan()))
    document["cylinders"][0]["stop_gross_lb"] += 1.0
    with pytest.raises(ShapeError, match=r"cylinders\[0\]\.stop_gross_lb: its working"):
        plan_back(document)


def test_a_working_in_a_circle_is_refused() -> None:
    document = through_a_file(plan_document(plan()))
    for step in document["workings"]["steps"]:
        if step.get("inputs"):
            step["inputs"] = dict.fromkeys(step["inputs"], len(document["workings"]["steps"]) - 1)
    with pytest.raises(ShapeError, match="rests on a later step"):
        plan_back(document)


def test_a_field_with_a_default_may_be_absent_from_an_older_document() -> None:
    document = json.loads(json.dumps(plan_document(plan())))
    del document["needs"]  # it has a default
    assert plan_back(document).needs == ()
    del document["duties"]  # it has none
    with pytest.raises(ShapeError, match="duties: it is missing"):
        plan_back(document)
