"""What the sheets of the demo days say, before any ink: against the plan, the JSON and the table of the record."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from packet.figures import unbroken
from packet.findings import KINDS
from packet.hookup.build import build_hookup
from packet.ledger.state import CylinderState
from packet.plan.document import plan_document
from packet.plan.job import plan_job
from packet.press.html import revision_of, to_html
from packet.sheets.blanks import blanks_of
from packet.sheets.front import ON_SITE
from packet.sheets.load import TRUCK_CODES
from packet.sheets.model import (
    Ask,
    Content,
    Fill,
    Front,
    HookupSheet,
    Load,
    Log,
    Record,
    RecordPart,
    Sheet,
    Steps,
    Stop,
    SwapSheet,
    Tags,
    Wrong,
)
from packet.sheets.packet import compose
from packet.sheets.show import show
from packet.units import KG_PER_LB, UnitSystem
from packet.words import speaking

from .demo import JOBS, boxes, composed, planned, registers, strings

UNITS: tuple[UnitSystem, ...] = ("US", "SI")
GOING = tuple(name for name in JOBS if composed(name).may_go_out)
both = pytest.mark.parametrize("units", UNITS)


def sheets(content: Content, kind: type[Sheet]) -> Iterator[Sheet]:
    return (sheet for sheet in content.sheets if isinstance(sheet, kind))


def test_the_first_day_goes_out_whole_and_the_second_holds_some_back() -> None:
    assert [name for name in JOBS if name < "HP-1050"] == [name for name in GOING if name < "HP-1050"]
    assert {"HP-1051", "HP-1052", "HP-1053"} <= set(JOBS) - set(GOING)


@both
@pytest.mark.parametrize("name", GOING)
def test_every_sheet_is_there_in_the_order_it_is_needed(name: str, units: UnitSystem) -> None:
    content = composed(name, units)
    _, hookup = planned(name, units)
    kinds = [type(sheet) for sheet in content.sheets]
    # below the front stands what to do when it goes wrong, where there is room for it
    on_front = kinds[1] is Wrong
    del kinds[1 : 1 + on_front]
    # the front's back is the hookup, which faces its steps; what is cut comes last, so that its back stays blank
    assert kinds[:3] == [Front, HookupSheet, Steps]
    assert kinds[-1] is Tags
    later = kinds[3:-1]
    for number, kind in enumerate(later):
        if kind is HookupSheet:
            assert later[number + 1] is Steps
    again = [HookupSheet, Steps] * (len(hookup.layouts) - 1)
    swap = [SwapSheet] if hookup.swap else []
    assert Counter(later) == Counter([*again, *swap, *([] if on_front else [Wrong]), Fill, Log, Record, Load])


@pytest.mark.parametrize("name", [name for name in JOBS if name not in GOING])
def test_a_job_that_may_not_go_out_has_its_reasons_and_nothing_else(name: str) -> None:
    (sheet,) = composed(name).sheets
    assert isinstance(sheet, Stop)
    plan, hookup = planned(name)
    stops = [item for item in plan.findings + hookup.findings if item.severity == "stop"]
    # whoever is to do the job may read another language than the shop
    with speaking(composed(name).language):
        assert [reason.title for reason in sheet.reasons] == [item.message for item in stops]
        for reason, item in zip(sheet.reasons, stops, strict=True):
            assert not item.remedy or item.remedy in reason.sentences


@both
@pytest.mark.parametrize("name", GOING)
def test_weights_on_front_and_fill_are_those_of_the_json(name: str, units: UnitSystem) -> None:
    plan, hookup = planned(name, units)
    known = {item["id"]: item for item in plan_document(plan, hookup.findings)["cylinders"]}
    factor = 1.0 if units == "US" else KG_PER_LB
    content = composed(name, units)
    (front,) = sheets(content, Front)
    assert isinstance(front, Front)
    assert [item.cylinder for item in front.stops] == list(known)
    for item in front.stops:
        numbers = known[item.cylinder]
        assert float(item.stop) == pytest.approx(numbers["stop_gross_lb"] * factor, abs=1e-6)
        assert float(item.beside[0].value.split()[0]) == pytest.approx(numbers["limit_gross_lb"] * factor, abs=1e-6)
    (fill,) = sheets(content, Fill)
    assert isinstance(fill, Fill)
    assert sorted(item.label.partition(" ")[0] for size in fill.sizes for item in size.identity) == sorted(known)
    for size in fill.sizes:
        assert size.table.strong is not None
        ids = [item.label.partition(" ")[0] for item in size.identity]
        for at, cylinder in enumerate(ids):
            numbers = known[cylinder]
            stop = numbers["stop_gross_lb"] * factor
            assert len(size.table.rows) == len(numbers["fill_table"])
            for row, expected in zip(size.table.rows, numbers["fill_table"], strict=True):
                net, gross, room, _ = row[2 + 4 * at : 6 + 4 * at]
                assert float(net) <= expected["net_limit_lb"] * factor + 0.5
                assert float(gross) == pytest.approx(expected["stop_gross_lb"] * factor, abs=1e-6)
                half_a_digit = 0.51 * 10.0 ** -len(room.partition(".")[2])
                assert float(room) == pytest.approx(expected["free_lb"] * factor, abs=half_a_digit)
                assert float(gross) <= stop + 1e-6


@both
@pytest.mark.parametrize("name", GOING)
def test_the_strip_holds_the_day_and_agrees_with_the_table_of_the_json(name: str, units: UnitSystem) -> None:
    plan, hookup = planned(name, units)
    (fill,) = sheets(composed(name, units), Fill)
    assert isinstance(fill, Fill)
    if plan.mixed_or_unknown:
        assert fill.strip is None
        return
    assert fill.strip is not None
    at = [float(row[0]) for row in fill.strip.table.rows]
    ambient = plan.job.conditions.ambient_F if units == "US" else (plan.job.conditions.ambient_F - 32) / 1.8
    reach, step = (15, 2) if units == "US" else (8, 1)
    assert min(at) <= ambient - reach + step / 2
    assert max(at) >= ambient + reach - step / 2
    assert {round(b - a) for a, b in pairwise(at)} == {step}
    if units == "US":
        table = {
            row["temperature_F"]: row["bubble_psig"] for row in plan_document(plan, hookup.findings)["pressure_table"]
        }
        both_have = [row for row in fill.strip.table.rows if float(row[0]) in table]
        assert both_have
        absolute = "mmHg abs." in fill.strip.title
        for row in both_have:
            psia = table[float(row[0])] + plan.barometer_psia.value
            # 760 mmHg are 14.696 psi (by definition of both)
            shown, near = (psia * 760 / 14.696, 0.6) if absolute else (table[float(row[0])], 0.06)
            assert float(row[1]) == pytest.approx(shown, abs=near)


@both
@pytest.mark.parametrize("name", GOING)
def test_the_log_has_a_line_for_every_five_minutes_planned_and_never_expects_more_than_the_stop(
    name: str, units: UnitSystem
) -> None:
    plan, _ = planned(name, units)
    (log,) = sheets(composed(name, units), Log)
    assert isinstance(log, Log)
    rows = [row for column in log.columns for row in column]
    running = sum(item.minutes.value for item in plan.times if item.stage in {"liquid", "vapor", "push-pull"})
    assert len([row for row in rows if not row.mark]) >= running / 5
    limits = {item.cylinder.id: item.stop_gross_lb.value for item in plan.cylinders}
    for part in plan.log:
        weights = [point.gross_lb for point in part.points]
        assert weights == sorted(weights)
        assert weights[-1] <= limits[part.cylinder] + 1e-6
    if plan.log:
        # a packet for one cylinder ends where the plan says it ends, but for what the machine still holds
        last = plan.cylinders[[item.cylinder.id for item in plan.cylinders].index(plan.log[-1].cylinder)]
        assert plan.log[-1].points[-1].gross_lb == pytest.approx(
            last.planned_gross_lb, abs=0.05 * last.planned_gross_lb
        )


@pytest.mark.parametrize("name", GOING)
def test_every_caution_is_on_the_front_with_a_box_to_initial(name: str) -> None:
    plan, hookup = planned(name)
    front = composed(name).sheets[0]
    assert isinstance(front, Front)
    for item in plan.findings + hookup.findings:
        # a truck's sums change with its other jobs: they stand on the load sheet, outside the revision
        if item.severity == "caution" and item.code in TRUCK_CODES:
            assert item.message in composed(name).truck
        elif item.severity == "caution":
            said = item.said(show(plan).places)
            (line,) = (tick for tick in front.go if tick.text == said and item.code in tick.key)
            assert line.kind == "initial"
            assert line.detail == ON_SITE.get(item.code, item.remedy)


@pytest.mark.parametrize("name", GOING)
def test_every_note_stands_somewhere(name: str) -> None:
    plan, hookup = planned(name)
    words = " ".join(strings(composed(name)))
    for item in plan.findings + hookup.findings:
        if item.severity == "note" and item.code in {"leak-rate-duty", "hfc-leak-duty"}:
            assert re.search(r"82\.157|84\.106", words)
        elif item.severity == "note" and item.code == "policy-not-law":
            assert "shop's policy" in words
        elif item.severity == "note":
            assert item.message in words


@both
@pytest.mark.parametrize("name", GOING)
def test_the_record_asks_what_filing_asks_under_the_same_numbers(name: str, units: UnitSystem) -> None:
    plan, hookup = planned(name, units)
    (record,) = sheets(composed(name, units), Record)
    assert isinstance(record, Record)
    asks = [ask for part in record.parts for ask in _asks(part)]
    by_number = sorted(asks, key=lambda ask: ask.number)
    assert [ask.number for ask in by_number] == list(range(1, len(asks) + 1))
    assert [ask.key for ask in by_number] == [blank.key for blank in blanks_of(plan, hookup)]


def _asks(part: RecordPart) -> list[Ask]:
    table = [ask for _, row in part.cylinders.rows for ask in row] if part.cylinders else []
    return [*table, *part.asks]


@both
@pytest.mark.parametrize("name", GOING)
def test_a_step_points_at_the_number_of_the_blank_it_fills(name: str, units: UnitSystem) -> None:
    _, hookup = planned(name, units)
    content = composed(name, units)
    (record,) = sheets(content, Record)
    assert isinstance(record, Record)
    keys = {ask.number: ask.key for part in record.parts for ask in _asks(part)}
    printed = {step.number: step for sheet in sheets(content, Steps) for stage in sheet.stages for step in stage.steps}  # type: ignore[union-attr]
    for layout in hookup.layouts:
        for stage in layout.stages:
            for step in stage.steps:
                assert [keys[number] for number in printed[step.number].writes] == [blank.key for blank in step.blanks]


# what no single move fills: who and when, sums, what is ticked or said at the end
SUMMED_UP = re.compile(
    r"date|technician|card|supervisor|second|recovered_.*|cautions_.*|hold_points_.*|machine_cleared|valves_.*|tags_.*"
    r"|exceptions\..*|supplies\..*|gas_owner|destination|remarks|signatures\..*|statement\..*"
    r"|cylinders\..*\.(put_in_.*|not_used)"
)


@both
@pytest.mark.parametrize("name", GOING)
def test_every_reading_of_the_record_is_asked_for_by_a_step(name: str, units: UnitSystem) -> None:
    """Of every cylinder, not of the last alone: what no step asks for is forgotten on site."""
    plan, hookup = planned(name, units)
    asked = {blank.key for blank in blanks_of(plan, hookup)}
    pointed_at = {
        number
        for sheet in composed(name, units).sheets
        for number in (
            [no for stage in sheet.stages for step in stage.steps for no in step.writes]
            if isinstance(sheet, Steps)
            else [no for line in sheet.lines for column in line.writes for no in column]
            if isinstance(sheet, SwapSheet)
            else []
        )
    }
    (record,) = sheets(composed(name, units), Record)
    assert isinstance(record, Record)
    keys = {ask.key: ask.number for part in record.parts for ask in _asks(part)}
    assert asked <= keys.keys()
    assert {key for key in asked if keys[key] not in pointed_at and not SUMMED_UP.fullmatch(key)} == set()
    assert any(key.endswith("wall_after_standing" + ("_F" if units == "US" else "_C")) for key in asked)


@pytest.mark.parametrize("name", GOING)
def test_nothing_is_written_twice(name: str) -> None:
    """A numbered blank stands on the Record and nowhere else."""
    content = composed(name)
    (record,) = sheets(content, Record)
    on_record = set(boxes(record))
    for sheet in content.sheets:
        if sheet is not record:
            assert on_record.isdisjoint(boxes(sheet)), sheet.name


@pytest.mark.parametrize("name", GOING)
def test_one_disclaimer_on_the_front(name: str) -> None:
    front = composed(name).sheets[0]
    assert isinstance(front, Front)
    for part in ("maker", "safety data sheet", "local codes", "licensed technician's judgment", "come first"):
        assert part in front.deferral


@both
@pytest.mark.parametrize("name", JOBS)
def test_nothing_is_left_unsaid(name: str, units: UnitSystem) -> None:
    for words in strings(composed(name, units)):
        if words.startswith("<svg"):
            continue
        assert not re.search(r"[{}]|\bNone\b|\bnan\b|\binf\b|not computed|  +[a-z]", words), words


@both
@pytest.mark.parametrize("name", GOING)
def test_units_are_the_shops(name: str, units: UnitSystem) -> None:
    content = composed(name, units)
    words = [text for sheet in content.sheets for text in strings(sheet) if not text.startswith("<svg")]
    foreign = r"\d (lb|psig|°F|ft)\b" if units == "SI" else r"\d (kg|barg|°C|m|kPa)\b"
    # what the law says stays as the law says it, and the job's own words as they were typed
    law = r"CO2"
    given = {str(value) for value in planned(name, units)[0].job.site.model_dump().values()}
    found = [text for text in words if re.search(foreign, text) and text not in given]
    assert [text for text in found if not re.search(law, text)] == []


@pytest.mark.parametrize("name", GOING)
def test_keys_of_boxes_are_unique_on_a_sheet(name: str) -> None:
    for sheet in composed(name).sheets:
        keys = list(boxes(sheet))
        assert len(keys) == len(set(keys)), sheet.name


@pytest.mark.parametrize("name", GOING)
def test_facts_name_what_dispatch_would_ask_about(name: str) -> None:
    facts = {item.label: item.value for item in composed(name).facts}
    plan, _ = planned(name)
    assert facts["Technician"] == (plan.technician.name if plan.technician else "")
    for item in plan.cylinders:
        assert facts[f"Stop weight of {item.cylinder.id}"].startswith(f"{item.stop_gross_lb.value:.1f}"[:4])


def test_gas_nobody_has_identified_is_not_called_harmless() -> None:
    content = composed("HP-1056")
    (tags,) = sheets(content, Tags)
    assert isinstance(tags, Tags)
    for tag in tags.leaves[0]:
        assert tag.refrigerant == "unidentified gas, recovered"
        assert tag.shipping == (
            "Not identified: travels as flammable and toxic until a trained shipper has classed it",
        )
        assert tag.warning.startswith("May burn, may be toxic.")
    (fill,) = sheets(content, Fill)
    assert isinstance(fill, Fill)
    assert fill.strip is None


def test_what_is_not_a_class_2_gas_is_said_so() -> None:
    (tags,) = sheets(composed("HP-1049"), Tags)  # R-123 boils at 82 F; UN number from memory: none
    assert isinstance(tags, Tags)
    assert tags.leaves[0][0].shipping == ("Not a Class 2 gas: shipped as the safety data sheet says",)
    (listed,) = sheets(composed("HP-1042"), Tags)
    assert isinstance(listed, Tags)
    assert listed.leaves[0][0].shipping[0].startswith("UN1018, ")  # 49 CFR 172.101, R-22, from memory


def test_markup_from_jobs_and_registers_never_becomes_markup() -> None:
    plan, _ = planned("HP-1044")
    hostile = '<script>alert("1")</script> & <b>'
    machine = plan.job.machine
    machines = tuple(
        item.model_copy(
            update={
                "description": hostile,
                "controls": item.controls.model_copy(update=dict.fromkeys(type(item.controls).model_fields, hostile)),
            }
        )
        if item.id == machine
        else item
        for item in registers().equipment.machines
    )
    equipment = registers().equipment.model_copy(update={"machines": machines})
    site = plan.job.site.model_copy(update={"name": hostile, "notes": hostile, "access": hostile})
    appliance = plan.job.appliance.model_copy(update={"description": hostile})
    job = plan.job.model_copy(update={"site": site, "appliance": appliance})
    states = {item.cylinder.id: item.start for item in plan.cylinders}
    other = plan_job(job, registers().model_copy(update={"equipment": equipment}), states)
    html = to_html(compose(other, build_hookup(other)))
    assert html.count("&lt;script&gt;") > 5
    assert "<script" not in html
    assert "<b><" not in html


def test_an_apprentice_works_under_a_name() -> None:
    plan, _ = planned("HP-1044")
    people = registers().technicians
    (lead, *_) = (person for person in people if "universal" in person.certification)
    young = lead.model_copy(update={"id": "young", "name": "Pim Example", "certification": ("apprentice",), "card": ""})
    job = plan.job.model_copy(update={"technician": "young", "supervisor": lead.id})
    states = {item.cylinder.id: item.start for item in plan.cylinders}
    other = plan_job(job, registers().model_copy(update={"technicians": (*people, young)}), states)
    content = compose(other, build_hookup(other))
    assert content.may_go_out
    for kind in (Front, Record, Tags):
        (sheet,) = sheets(content, kind)
        words = " ".join(strings(sheet))
        assert "Pim Example" in words
        assert lead.name in words
    (record,) = sheets(content, Record)
    assert "signatures.supervisor" in set(boxes(record))
    assert "by an apprentice under the eyes of the certified technician" in " ".join(strings(record))


def test_a_cylinder_from_an_unfiled_job_is_weighed_with_care() -> None:
    plan, _ = planned("HP-1044")
    (item,) = plan.cylinders
    state = CylinderState(item.cylinder.id, plan.job.appliance.refrigerant, 2.0, came_from="HP-0999", planned=True)
    other = plan_job(plan.job, registers(), {item.cylinder.id: state})
    front = compose(other, build_hookup(other)).sheets[0]
    assert isinstance(front, Front)
    assert "planned by HP-0999, not filed" in " ".join(strings(front.stops))
    assert any("off by more than the scale explains" in words for words in front.stop_words)


def test_a_neighbors_load_changes_the_truck_and_no_revision() -> None:
    plan, hookup = planned("HP-1044")
    assert plan.carrying is not None
    total = plan.carrying.total_lb
    heavier = replace(plan, carrying=replace(plan.carrying, total_lb=replace(total, value=total.value + 300.0)))
    before, after = compose(plan, hookup), compose(heavier, hookup)
    assert before.truck != after.truck
    assert replace(before, truck=()) == replace(after, truck=())
    assert revision_of(before) == revision_of(after)
    assert unbroken(after.truck[0]) in to_html(after, "ABCDEFGH")
    (load,) = sheets(before, Load)
    assert isinstance(load, Load)


def test_scrap_gets_the_statement_the_law_asks_for() -> None:
    # 40 CFR 82.155: small appliances only; a walk-in gets none, and the bottle cooler's propane is exempt in its use
    for name in ("HP-1041", "HP-1042", "HP-1047"):
        (record,) = sheets(composed(name), Record)
        assert "statement.disposal" not in set(boxes(record))
    cooler, _ = planned("HP-1047")
    appliance = cooler.job.appliance.model_copy(update={"use": "other"})
    states = {item.cylinder.id: item.start for item in cooler.cylinders}
    scrapped = plan_job(cooler.job.model_copy(update={"appliance": appliance}), registers(), states)
    (record,) = sheets(compose(scrapped, build_hookup(scrapped)), Record)
    # both forms, with name and address
    assert {"statement.disposal", "statement.leaked"} <= set(boxes(record))
    words = " ".join(strings(record))
    assert "82.155" in words
    assert registers().shop.address in words
    assert "Ikenna Vale" in words
    assert "from memory" not in " ".join(strings(compose(scrapped, build_hookup(scrapped))))


@pytest.mark.parametrize("name", GOING)
def test_paper_that_is_signed_never_says_from_memory(name: str) -> None:
    assert [text for text in strings(composed(name)) if "from memory" in text] == []
    # nor with everything that a site can add
    plan, _ = planned(name)
    hard = {"permit_space": True, "roof_edge": True, "ladder": True, "space": "basement", "room_ft3": 900.0}
    site = plan.job.site.model_copy(update=hard)
    states = {item.cylinder.id: item.start for item in plan.cylinders}
    harder = plan_job(plan.job.model_copy(update={"site": site}), registers(), states)
    assert [text for text in strings(compose(harder, build_hookup(harder))) if "from memory" in text] == []


@both
@pytest.mark.parametrize("name", GOING)
def test_the_rise_check_names_no_other_minutes_than_the_records_grid(name: str, units: UnitSystem) -> None:
    """The step once said "every 5" where the grid asks every 1 or 2."""
    content = composed(name, units)
    for sheet in sheets(content, Steps):
        for stage in sheet.stages:  # type: ignore[union-attr]
            assert not [step.text for step in stage.steps if "Rise check" in step.text and "every" in step.text]


@pytest.mark.parametrize("name", GOING)
def test_a_cylinder_is_swapped_on_every_sheet(name: str) -> None:
    """One word for one thing: the drawing and the steps said "change", the front and the log "swap"."""
    said = " ".join(strings(composed(name)))
    assert "change at" not in said.lower()
    assert "change weight" not in said.lower()


def test_a_caution_on_paper_asks_for_no_edit_of_a_file() -> None:
    """Who initials it has no files: a remedy that is a key, a file or a command is said otherwise there, or not at all."""
    of_files = re.compile(r"'\w+:'|\.yaml|packet \w+ ")
    planned_ones = ("plan", "hookup", "rules", "assign")
    raised = "".join(
        path.read_text(encoding="utf-8") for folder in planned_ones for path in Path("packet", folder).rglob("*.py")
    )
    asks = {
        code
        for code, kind in KINDS.items()
        if kind.severity == "caution" and of_files.search(kind.remedy) and f'"{code}"' in raised
    }
    assert asks
    assert asks <= set(ON_SITE)
    assert not any(of_files.search(words) for words in ON_SITE.values())
    (front,) = sheets(composed("HP-1056"), Front)
    (tick,) = (tick for tick in front.go if "second-person-missing" in tick.key)  # type: ignore[union-attr]
    assert tick.detail == "Name one below, or no-go."
