"""The field card: it covers every job of the shop, and packets of a shop that keeps it in the trucks name its revision."""

from dataclasses import replace
from datetime import datetime, time
from functools import cache

import pytest

from packet.hookup.wrong import wrong
from packet.ledger.state import opening
from packet.plan.day import plan_day
from packet.plan.model import Plan
from packet.press.card import card_html
from packet.press.html import revision_of
from packet.press.job import what_changed
from packet.press.pdf import plain_pdf
from packet.press.printed import PrintRecord
from packet.sheets.card import FieldCard, field_card
from packet.sheets.model import Content, Front, Steps, SwapSheet, Wrong
from packet.sheets.packet import compose
from packet.sheets.runsheet import run_sheet
from packet.shop.load import load_day
from packet.shop.records import Shop
from packet.units import UnitSystem
from tests.hookup.variants import VARIANTS
from tests.plan.builders import DEMO
from tests.press.read_back import read, squeeze, type_sizes
from tests.sheets.demo import JOBS, boxes, composed, planned, registers, strings

GOES = tuple(name for name in JOBS if composed(name).may_go_out)


def with_policy(shop: Shop, where: str) -> Shop:
    return shop.model_copy(update={"policy": shop.policy.model_copy(update={"field_card": where})})


@cache
def for_trucks(name: str) -> tuple[Plan, Content]:
    plan, hookup = planned(name)
    shop = with_policy(plan.registers.shop, "truck")
    plan = replace(plan, registers=plan.registers.model_copy(update={"shop": shop}))
    return plan, compose(plan, hookup)


def actions(card: FieldCard) -> set[str]:
    return {row.value for part in card.parts for row in part.rows}


def test_the_card_says_what_to_do_on_every_kind_of_job() -> None:
    said = actions(field_card(registers().shop))
    for name in JOBS:
        assert {item.action for item in planned(name)[1].wrong} <= said, name
    for variant, request in VARIANTS.items():
        assert {item.action for item in wrong(request)} <= said, variant
    # and nothing that is seen on no job
    assert said == {item.action for request in VARIANTS.values() for item in wrong(request)}


def test_the_card_says_no_figure_of_one_job() -> None:
    words = " ".join(strings(field_card(registers().shop)))
    assert "{" not in words
    assert "psig" not in words
    assert "Discharge at “Stop and cool” (front)" in words


@pytest.mark.parametrize("name", GOES)
def test_with_cards_in_the_trucks_the_packet_names_the_card_and_leaves_its_sheet_out(name: str) -> None:
    plan, content = for_trucks(name)
    revision = field_card(plan.registers.shop).revision
    assert not any(isinstance(sheet, Wrong) for sheet in content.sheets)
    (front,) = (sheet for sheet in content.sheets if isinstance(sheet, Front))
    assert revision in front.card
    assert not front.first_aid
    assert front.emergency == next(s for s in composed(name).sheets if isinstance(s, Front)).emergency
    for sheet in content.sheets:
        if isinstance(sheet, Steps | SwapSheet):
            assert f"field card {revision}" in sheet.strips[-1].sentences[-1]
            assert len(sheet.strips) == 2
    # whatever is written, ticked and read by the scan desk is the same
    assert sorted(boxes(content.sheets)) == sorted(boxes(composed(name).sheets))


def test_without_cards_no_packet_speaks_of_one() -> None:
    for name in JOBS:
        assert not any("field card" in words for words in strings(composed(name)))


def test_new_facts_of_the_shop_give_a_new_card_and_new_packets_that_say_so() -> None:
    plan, before = for_trucks(GOES[0])
    shop = plan.registers.shop.model_copy(update={"emergency_phone": "555-0199"})
    moved = replace(plan, registers=plan.registers.model_copy(update={"shop": shop}))
    after = compose(moved, planned(GOES[0])[1])
    old, new = field_card(plan.registers.shop).revision, field_card(shop).revision
    assert old != new
    assert revision_of(before) != revision_of(after)
    printed = PrintRecord(
        job=before.job,
        revision=revision_of(before),
        date=before.on,
        printed_at=datetime.combine(before.on, time(6)),
        replaces="",
        changed=(),
        paper=before.paper,
        pages=(),
        boxes=(),
        facts=tuple((item.label, item.value) for item in before.facts),
    )
    assert f"Field card: now {new}, was {old}." in what_changed(printed, after)


def test_what_is_not_on_the_card_does_not_change_its_revision() -> None:
    shop = registers().shop
    for other in (
        shop.model_copy(update={"paper": "A4"}),
        shop.model_copy(update={"records_url": "https://elsewhere.example/r"}),
        with_policy(shop, "truck"),
        shop.model_copy(update={"units": "SI"}),
    ):
        assert field_card(other).revision == field_card(shop).revision


@pytest.mark.parametrize("units", ["US", "SI"])
def test_the_card_is_one_leaf_in_type_that_is_read_at_arms_length(units: UnitSystem) -> None:
    card = field_card(registers(units).shop)
    pdf = plain_pdf(card_html(card))
    pages = read(pdf).pages
    assert len(pages) == 2
    assert all(card.revision in page for page in pages)
    words = " ".join(pages)
    for part in card.parts:
        for row in part.rows:
            assert squeeze(row.value) in words
    sizes = type_sizes(pdf)
    assert min(sizes) >= 10.9
    assert sorted(sizes)[len(sizes) // 2] >= 14.9


def test_every_truck_ticks_the_card_that_its_packets_name() -> None:
    jobs = load_day(DEMO / "2026-11-26", registers())
    assert jobs.value
    for where, expected in (("truck", True), ("packet", False)):
        shop = with_policy(registers().shop, where)
        day = plan_day(jobs.value, registers().model_copy(update={"shop": shop}), opening(registers()))
        sheet = run_sheet(day, {plan.job.job: planned(plan.job.job)[1] for plan in day.plans}, shop)
        ticks = [" ".join(page.ticks) for page in sheet.trucks]
        assert [f"Field card, revision {field_card(shop).revision}" in words for words in ticks] == [expected] * 4
