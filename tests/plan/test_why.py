"""Asking why: paths, brackets, and what there is when a path is wrong; and what the JSON and text say of a stopped job."""

from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po

from packet import words
from packet.figures import show_weight
from packet.findings import finding
from packet.ledger.state import CylinderState
from packet.plan.as_text import as_text
from packet.plan.document import plan_document
from packet.plan.job import plan_job
from packet.plan.why import UnknownNumberError, listed, numbers, why
from packet.rules.duties import SOURCES
from packet.rules.symbols import SYMBOLS
from packet.shop.records import Scale
from packet.units import KG_PER_LB
from tests.plan.builders import cylinder, job, machine, only, plan, registers
from tests.plan.test_demo import demo
from tests.rules.arithmetic import tree, wrong


def test_a_stop_weight_is_traced_down_to_what_was_typed() -> None:
    lines = why(plan(), "cylinders.C-1.stop_gross_lb")
    text = "\n".join(lines)
    assert lines[0] == f"cylinders[0].stop_gross_lb = {only(plan()).stop_gross_lb.text()}"
    for word in (
        "water capacity = 47.600 lb",
        "tare = 27.500 lb",
        "machine hold up",
        "173.304a",
        "temperature = 95.0 °F",
    ):
        assert word in text


@pytest.mark.parametrize(
    ("state", "source"),
    [
        (CylinderState("C-1", "R-410A", 3.0), "contents_lb"),
        (CylinderState("C-1", "R-410A", 3.0, "HP-9"), "HP-9: what this job left, as filed"),
        (
            CylinderState("C-1", "R-410A", 3.0, "HP-9", planned=True),
            "HP-9: what this job is planned to leave, not yet filed",
        ),
    ],
)
def test_contents_say_where_they_are_known_from(state: CylinderState, source: str) -> None:
    planned = plan_job(job(), registers(cylinder(refrigerant="R-410A", contents_lb=3.0)), {"C-1": state})
    assert only(planned).contents_lb == 3.0
    assert f"  source: {source}" in why(planned, "cylinders.C-1.contents_lb")


def test_a_default_is_said_to_be_one() -> None:
    """The machine of the register names no hold-up."""
    found = why(plan(), "cylinders.C-1.clearing_lb")
    assert "    source: hold_up_lb: not given, the default" in found
    told = why(plan(job(), registers(machines=(machine(hold_up_lb=2.0),))), "cylinders.C-1.clearing_lb")
    assert "    source: hold_up_lb" in told


def test_without_a_ledger_the_registers_figures_hold() -> None:
    planned = plan_job(job(), registers(cylinder(refrigerant="R-410A", contents_lb=4.0)), {})
    assert only(planned).contents_lb == 4.0
    assert only(planned).start.refrigerant == "R-410A"


def test_brackets_and_names_are_the_same_number() -> None:
    planned = plan()
    assert why(planned, "cylinders[0].stop_gross_lb") == why(planned, "cylinders.C-1.stop_gross_lb")
    assert why(planned, "cylinders[0].fill_table[3].free_lb") == why(planned, "cylinders.C-1.fill_table.50.free_lb")
    hottest = why(planned, "cylinders.C-1.fill_table.hottest.free_lb")
    assert hottest[1:] == why(planned, "cylinders.C-1.fill_table.95.free_lb")[1:]


def test_a_wrong_path_lists_near_ones() -> None:
    with pytest.raises(UnknownNumberError, match=r"cylinders\[0\]\.stop_gross_lb"):
        why(plan(), "cylinders.C-1.stop_gros_lb")
    with pytest.raises(UnknownNumberError) as found:
        why(plan(), "cylinders.C-1")
    assert "cylinders[0].free_lb" in found.value.near
    with pytest.raises(UnknownNumberError, match="has no number 'qqqq'"):
        why(plan(), "qqqq")
    with pytest.raises(UnknownNumberError):
        why(plan(), "cylinders[7].free_lb")


def test_without_a_number_all_are_listed_with_what_they_are() -> None:
    planned = plan()
    found = listed(planned)
    assert f"cylinders[0].stop_gross_lb = {only(planned).stop_gross_lb.value:g}" in found
    assert f"inputs.job.appliance.charge_lb = {planned.job.appliance.charge_lb:g}" in found
    assert "method.chosen" in found
    for line in found:
        assert why(planned, line.partition(" = ")[0])


def test_what_was_typed_says_where() -> None:
    lines = why(demo()["HP-1041"], "inputs.job.appliance.charge_lb")
    assert lines[0].startswith("inputs.job.appliance.charge_lb = ")
    assert "HP-1041.yaml:" in lines[-1]


def test_a_decision_gives_its_reasons() -> None:
    lines = why(plan(), "method")
    assert lines[0] == "liquid"
    assert any(line.startswith("not push-pull: ") for line in lines)
    assert why(plan(), "cylinders.C-1.fit") == ["Nothing speaks against this cylinder."]
    refused = plan(job("R-22"), registers(cylinder(out_of_service="dented")))
    assert why(refused, "cylinders.C-1.fit") == ["Cylinder C-1 is out of service: dented."]


def test_a_job_without_numbers_still_answers() -> None:
    stopped = plan(job("R-744", 5.0))
    assert [path for path in numbers(stopped) if not path.startswith("inputs.")] == ["barometer_psia"]
    data = plan_document(stopped)
    assert data["cylinders"] == []
    assert data["method"] is data["evacuation"] is data["occupied_space"] is None
    assert data["may_go_out"] is False
    text = as_text(stopped)
    assert "DO NOT DISPATCH" in text
    assert "STOP" in text


def test_findings_of_the_hookup_come_on_top() -> None:
    planned = plan()
    on_top = (finding("walk-failed", stage="vapor", step="3.4", why="discharge shut"),)
    assert planned.may_go_out
    data = plan_document(planned, on_top)
    assert data["may_go_out"] is False
    assert data["findings"][-1]["code"] == "walk-failed"
    assert "DO NOT DISPATCH" in as_text(planned, on_top)


def test_a_shop_in_si_floors_in_kilograms_and_gives_lb_to_programs() -> None:
    """3-data: limits are floored in the unit printed; JSON is in lb of what is printed."""
    shop = registers(
        scales=(Scale(id="SC-1", capacity_lb=250.0, resolution_lb=0.02 / KG_PER_LB),), shop={"units": "SI"}
    )
    planned = plan(job("R-410A", 12.0), shop)
    stop = only(planned).stop_gross_lb.value
    kg = stop * KG_PER_LB
    assert round(kg / 0.02, 6) == round(kg / 0.02)
    assert plan_document(planned)["cylinders"][0]["stop_gross_lb"] == stop
    assert show_weight(stop, "SI", 2) in as_text(planned)
    bad = {path: problems for path, made in numbers(planned).items() if (problems := wrong(made()))}
    assert bad == {}


def test_a_working_is_told_in_another_language(tmp_path: Path) -> None:
    catalogue = Catalog(locale="es")
    for context, english, spanish in (
        ("quantity", "water capacity", "capacidad de agua"),
        ("formula", "smallest of", "el menor de"),
        ("formula", "rounded down to steps of", "hacia abajo en pasos de"),
        (None, "rule: {rule}", "regla: {rule}"),
    ):
        catalogue.add(english, spanish, context=context)
    folder = tmp_path / "es" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    with (folder / "packet.po").open("wb") as file:
        write_po(file, catalogue)
    planned = plan()
    try:
        words.use("es", tmp_path)
        text = "\n".join(why(planned, "cylinders.C-1.stop_gross_lb"))
    finally:
        words.use("en")
    assert "capacidad de agua = 47.600 lb" in text
    assert "(0, el menor de (" in text
    assert "lb hacia abajo en pasos de 0.1 lb" in text
    assert "regla: " in text
    assert "largest of (77," in text  # what the catalogue lacks stays English


def test_a_program_that_sorts_by_row_gets_plain_floats() -> None:
    rows = plan_document(plan())["cylinders"][0]["fill_table"]
    assert [row["hottest"] for row in rows].count(True) == 1
    assert all(isinstance(value, (float, bool)) for row in rows for value in row.values())


def test_every_name_in_a_working_can_be_translated() -> None:
    """A formula's inputs are named from `packet.rules.symbols`; only a cylinder is named by its own id."""
    used = set()
    for name in ("R-22", "R-408A", "R-123", "R-290"):
        for appliance in ({}, {"liquid_column": True}, {"kind": "small-appliance", "factory_sealed": True}):
            planned = plan(job(name, 25.0 if appliance.get("liquid_column") else 4.0, appliance=appliance))
            used |= {key for made in numbers(planned).values() for item in tree(made()) for key, _ in item.inputs}
    named = {key.replace("_", " ") for key in used if not key.startswith("cylinder_")}
    assert len(named) > 60
    assert named - {words.english(symbol) for symbol in SYMBOLS} == set()


def test_each_duty_says_its_section_and_its_conditions() -> None:
    """Owed or not, by its name; sections as in `packet.rules.duties`."""
    planned = plan(job("R-22", 60.0), registers(cylinder(water_capacity_lb=239.0, tare_lb=99.0)))
    for code, source in SOURCES.items():
        first, *conditions = why(planned, f"duties.{code}")
        assert source in first
        assert first.startswith("owed") == all(line.startswith("yes: ") for line in conditions)
        assert first.startswith("owed") == any(item.code == code for item in planned.duties)
        assert all(line.startswith(("yes: ", "no: ")) for line in conditions)
    assert why(planned, "duties.service-record") == [
        "owed (40 CFR 82.157)",
        "yes: the refrigerant is, or holds, an ozone-depleting one",
        "yes: the full charge is 50 lb or more",
    ]
