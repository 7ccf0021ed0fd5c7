"""A plan is kept without words: its document is the same whatever language it was planned in, and is said in any."""

import ast
import json
from pathlib import Path

import pytest

from packet import figures
from packet.document import Data
from packet.findings import KINDS, Finding, finding
from packet.hookup.build import build_hookup
from packet.ledger.state import opening
from packet.plan.day import plan_day
from packet.plan.document import plan_back, plan_document
from packet.shop.records import Hose, Job, Registers, Technician
from packet.statements import Amount, Word, statement
from tests.made_up import in_made_up_language
from tests.plan.builders import cylinder, demo_plans, job, kit, machine, plan, registers
from tests.plan.test_own_gas import ANALYSIS
from tests.plan.test_units_said import HARD, in_si

# what is said when somebody reads, not when it is planned; `document`: what is wrong with a document
SAYING = {
    "t",
    "tn",
    "pt",
    "said",
    "sentence",
    "sentences",
    *(name for name in dir(figures) if name.startswith("show_")),
}
SPEAKERS = {"as_text.py", "why.py", "document.py"}


def test_nothing_is_said_while_it_is_planned() -> None:
    folder = Path(__file__).parents[2] / "packet" / "plan"
    files = [path for path in folder.glob("*.py") if path.name not in SPEAKERS]
    assert len(files) > 20
    calls = {
        f"{path.name}:{node.lineno} {called}"
        for path in files
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call) and (called := _name(node.func)) in SAYING
    }
    assert calls == set()


def _name(called: ast.expr) -> str:
    match called:
        case ast.Name():
            return called.id
        case ast.Attribute():
            return called.attr
        case _:
            return ""


def shops() -> list[tuple[Job, Registers]]:
    """Jobs and shops that make as many findings as can be had."""
    poor = kit(
        hoses=(Hose(id="H-1", count=3, length_ft=3, bore_in=0.25, rating_psig=100, shut_off="none", color="red"),)
    )
    weak = machine(
        pressure_classes=("low",), flammable_rated=False, max_pressure_psig=100.0, system_dependent=True, weight_lb=90.0
    )
    bad = (
        cylinder(
            "C-1", spec="DOT-39", tested=None, made=None, flammable_rated=False, refrigerant="R-12", contents_lb=9.0
        ),
        cylinder("C-2", spec="DOT-4BA240", refrigerant="mixed", out_of_service="dented"),
    )
    nobody = (Technician(id="ada", name="Ada Quill", certification=("apprentice",)),)
    forced = {"reason": "repair", "method": "push-pull", "burnout": True}
    small = {"kind": "small-appliance", "ports": {"vapor": "piercing"}}
    inside = {"space": "basement", "room_ft3": 300.0, "roof_edge": True, "permit_space": True}
    both = ("C-1", "C-2")
    return [
        *((item, registers(cylinder(), cylinder("C-2", flammable_rated=False))) for item in HARD),
        (job("R-410A", 30.0, cylinders=both, work=forced, site=inside), registers(*bad, machines=(weak,), kit=poor)),
        (
            job("R-290", 30.0, cylinders=both, site=inside),
            registers(*bad, machines=(weak,), technicians=nobody, kit=poor),
        ),
        (job("mixed", 9.0, cylinders=both, site={"space": "basement"}), registers(*bad, machines=(weak,), kit=poor)),
        (job("R-12", 30.0, work={"reason": "repair", "burnout": True}, appliance=small), registers(bad[0])),
        (job("R-23", 9.0), registers()),
        (job("R-744", 9.0), registers()),
        (job("R-22", 9.0, technician="bob", machine="auto", cylinders=("X",), truck="T9", scale="auto"), registers()),
        (job("R-410A", 9.0, conditions={"ambient_F": -40.0, "hottest_F": 140.0}), registers()),
        (job("R-409A", 60.0, work={"reason": "leak", "disposition": "same-appliance"}), registers()),
        (
            job("R-22 62 % + R-407C 38 %", 9.0, appliance=ANALYSIS),
            registers(cylinder(refrigerant="mixed", contents_lb=3.0)),
        ),
    ]


def documents(*, si: bool = False) -> list[Data]:
    """The documents of all, each with what the hookup finds."""
    made = []
    for item, shop in shops():
        planned = plan(item, in_si(shop) if si else shop)
        made.append(plan_document(planned, build_hookup(planned).findings))
    for day in ("2026-11-26", "2026-11-27"):
        plans = tuple(demo_plans(day))
        states = opening(plans[0].registers)
        jobs = tuple(item.job for item in plans)
        # all at once, and twice: what the jobs of a day take from each other
        crowd = tuple(item.model_copy(update={"start": jobs[0].start}) for item in jobs)
        for several in (jobs, crowd):
            made += [plan_document(item) for item in plan_day(several, plans[0].registers, states).plans]
    return made


def same(one: Data, other: Data) -> None:
    assert json.dumps(one, indent=1, ensure_ascii=False).splitlines() == (
        json.dumps(other, indent=1, ensure_ascii=False).splitlines()
    )


def test_a_document_does_not_depend_on_the_language(tmp_path: Path) -> None:
    plainly = documents()
    with in_made_up_language(tmp_path):
        for one, other in zip(documents(), plainly, strict=True):
            same(one, other)
    found = {item["code"] for one in plainly for item in one["findings"]}
    assert len(found) > 45, sorted(set(KINDS) - found)


@pytest.mark.parametrize("si", [False, True])
def test_a_document_read_back_is_said_in_the_readers_language_and_the_shops_units(tmp_path: Path, si: bool) -> None:
    made = documents(si=si)
    back = [plan_back(json.loads(json.dumps(one))) for one in made]
    for one, planned in zip(made, back, strict=True):
        assert [item.message for item in planned.findings] == [item["message"] for item in one["findings"]]
    plainly = {item.message for planned in back for item in planned.findings}
    with in_made_up_language(tmp_path):
        assert plainly & {item.message for planned in back for item in planned.findings} == set()


def test_a_document_printed_before_still_says_its_findings() -> None:
    """Its parameters are text, in the units of its shop."""
    before = plan_document(plan())
    before["findings"] = [
        {
            "code": "lift-alone",
            "params": {"cylinder": "C-1", "gross": "61.4 lb", "limit": "50 lb", "how": "two people or a hand truck"},
            "source": "common practice, no source",
            "where": "cylinders.yaml:4",
            "severity": "note",
            "message": "",
            "remedy": "",
        }
    ]
    (found,) = plan_back(before).findings
    assert found.message == "Cylinder C-1 will weigh 61.4 lb, more than 50 lb: two people or a hand truck."


def test_a_quantity_needs_the_shop_s_units() -> None:
    with pytest.raises(ValueError, match="in which units"):
        finding("carry-stays", weight=Amount(3.0, "weight"))
    with pytest.raises(ValueError, match="in which units"):
        finding("kit-missing", what=statement("rated-at-least", pressure=Amount(3.0, "pressure")), remedy="")
    assert finding("carry-stays", "SI", weight=Amount(3.0, "weight")).message.startswith("1.36 kg goes back")
    assert Finding("estimate", (("how", Word("mixing rule")), ("what", ""), ("percent", "1"))).units == "US"
