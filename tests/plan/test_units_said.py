"""A shop that works in SI reads SI in every sentence: in the tables of sentences, and in what plans say."""

import re
from dataclasses import replace

import pytest

from packet.findings import KINDS
from packet.plan.as_text import as_text
from packet.plan.job import plan_job
from packet.plan.model import Plan
from packet.shop.records import Registers
from packet.statements import STATEMENTS, sentences
from tests.plan.builders import DEMO, cylinder, demo_plans, job, plan, registers

US = re.compile(r"\d ?(lb|lbs|°F|psig|psi|psia|ft³|ft|in²|inHg|mmHg|gal|oz)\b")


def test_no_sentence_of_the_tables_has_a_us_quantity_of_its_own() -> None:
    """What the law says in pounds or degrees is a parameter, shown in the shop's units like any other."""
    kinds = {code: kind.message + kind.remedy for code, kind in KINDS.items()}
    said = {code: " ".join(words) if isinstance(words, tuple) else words for code, words in STATEMENTS.items()}
    assert {code for code, words in (kinds | said).items() if US.search(words)} == set()


def spoken(planned: Plan) -> list[str]:
    """Every sentence of a plan, as its shop reads it."""
    units = planned.registers.shop.units
    found = [text for item in planned.findings for text in (item.message, item.remedy)]
    parts = [planned.duties, planned.needs]
    if planned.method is not None:
        parts += [planned.method.reasons, *(item.reasons for item in planned.method.rejected)]
    if planned.evacuation is not None:
        parts.append(planned.evacuation.reasons)
    for statements in parts:
        found += sentences(statements, units)
    for item in planned.cylinders:
        found += [item.quick_rule.sentence(units), item.governing.sentence(units)]
    return [*found, *as_text(planned).splitlines()]


def in_si(shop: Registers) -> Registers:
    return shop.model_copy(update={"shop": shop.shop.model_copy(update={"units": "SI"})})


def foreign(planned: Plan) -> list[str]:
    return [text for text in spoken(planned) if US.search(text)]


@pytest.mark.parametrize("day", ["2026-11-26", "2026-11-27"])
def test_the_demo_days_in_si(day: str) -> None:
    assert (DEMO / day).is_dir()
    for planned in demo_plans(day):
        states = {item.cylinder.id: item.start for item in planned.cylinders}
        again = plan_job(planned.job, in_si(planned.registers), states)
        # what the shop itself typed stays as it was typed
        typed = replace(again, job=again.job.model_copy(update={"appliance": plain_appliance(again)}))
        assert foreign(typed) == []


def plain_appliance(planned: Plan) -> object:
    return planned.job.appliance.model_copy(update={"description": "an appliance"})


SMALL = {"kind": "small-appliance", "factory_sealed": True, "ports": ("vapor",)}
HARD = [
    job("R-22", 300.0, site={"space": "basement"}, work={"reason": "leak", "leaking": True}),
    job(
        "R-22",
        300.0,
        site={"space": "basement", "room_ft3": 900.0},
        appliance={"liquid_column": True, "receiver": True},
    ),
    job(
        "R-123", 300.0, work={"reason": "repair", "major": False, "evacuation_to_atmosphere": False, "oil_change": True}
    ),
    job("R-113", 300.0, work={"reason": "repair", "major": False, "evacuation_to_atmosphere": False}),
    job("R-134a", 1.0, appliance=SMALL, work={"reason": "disposal"}),
    job("R-134a", 4.0, appliance=SMALL, work={"reason": "disposal"}),
    job("R-290", 12.0, appliance={"kind": "chiller"}),
    job(
        "R-404A",
        60.0,
        appliance={"kind": "rack", "receiver": True},
        work={"reason": "repair", "isolated_charge_lb": 5.0},
    ),
    job(
        "R-404A",
        60.0,
        appliance={"kind": "rack", "receiver": True},
        work={"reason": "repair", "isolated_charge_lb": 5.0, "receiver_capacity_lb": 10.0},
    ),
    job("R-22", 20.0, work={"reason": "disposal"}),
    job("R-22", 900.0),
    job(
        "R-410A",
        9.0,
        appliance={"kind": "heat-pump", "reversing_valve": True},
        work={"reason": "repair", "method": "push-pull"},
    ),
    job("unknown", 10.0),
]


@pytest.mark.parametrize("spec", ["DOT-4BA400", "DOT-4BA225"])
@pytest.mark.parametrize("the_job", HARD, ids=lambda item: f"{item.appliance.refrigerant}-{item.appliance.charge_lb:g}")
def test_what_the_law_counts_in_pounds_is_said_in_kilograms(the_job: object, spec: str) -> None:
    shop = registers(cylinder(water_capacity_lb=500.0, tare_lb=200.0, spec=spec), cylinder("C-2"))
    assert foreign(plan(the_job, in_si(shop))) == []  # type: ignore[arg-type]
