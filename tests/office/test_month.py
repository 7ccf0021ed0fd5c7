"""A month added up: against fractions added by an independent route from the files themselves, in table, CSV and PDF."""

import csv
import io
import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, time
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pypdf
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from packet.ledger import mass, records
from packet.ledger.check import check_records
from packet.ledger.records import Filed, Records
from packet.ledger.state import UnreadableRecordsError, ledger_from
from packet.office import events, settle
from packet.office.enter import Office
from packet.office.events import Load
from packet.office.month.csv import month_csv
from packet.office.month.pdf import Column, Table, in_print, month_as_text, month_html, month_pdf, month_tables
from packet.office.month.report import Month, Row, by_type, co2e, month_from, month_of
from packet.shop.records import Month as RetestMonth

from .returned import AT, TODAY, hand_in, print_it, registers, typed

POUND = Fraction(45359237, 100000000)  # kg in a pound, by definition (1959)


def other_form(job: str, gas: str, gross: str, day: str = "2026-11-26", cylinder: str = "C-3") -> str:
    """A form of a job that put everything into one cylinder."""
    put = f"{float(gross) - 27.5:.1f}"
    form = typed(
        job=f"job: {job}",
        date=f"date: {day}",
        start="  start: 13:00",
        end="  end: 14:00",
        refrigerant=f"refrigerant: {gas}",
        bare_before_gross="    bare_before_gross_lb: 27.5",
        bare_after_gross=f"    bare_after_gross_lb: {gross}",
        put_in=f"    put_in_lb: {put}",
        recovered=f"recovered_lb: {put}",
    ).replace("  C-1:", f"  {cylinder}:")
    head, rest = form.split("  C-2:\n")
    return head + "  C-1:\n    not_used: yes\n  C-2:\n    not_used: yes\n" + rest[rest.index("recovered_lb") :]


class Every(dict[str, str]):
    """A reason for whatever is asked."""

    def __contains__(self, _: object) -> bool:
        return True

    def __getitem__(self, _: str) -> str:
        return "because"


def office(shop: Path) -> Office:
    return Office(shop, registers(), TODAY, AT, Every())


ALL_REASONS = dict.fromkeys(
    ("cylinder-not-on-job", "amount-below-charge", "date-differs", "date-far", "refrigerant-differs"), "because"
)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """November: 37.9 lb of R-404A from a repair, 11.4 lb of R-22 from a 12-lb appliance scrapped, gas sent on; October: a job."""
    print_it(tmp_path)
    print_it(
        tmp_path, "HP-1042", refrigerant="R-22", reason="disposal", appliance={"charge_lb": 12.0}, to_recover_lb=12.0
    )
    print_it(tmp_path, "HP-1001", refrigerant="R-22", to_recover_lb=1.0, appliance={"charge_lb": 1.0})
    print_it(tmp_path, "HP-1050", revision="QQQQ2345")
    (tmp_path / "2026-11-30").mkdir()
    (tmp_path / "2026-11-30" / "HP-1060.yaml").write_text("job: HP-1060\n")
    (tmp_path / "2026-12-01").mkdir()
    (tmp_path / "2026-12-01" / "HP-1070.yaml").write_text("job: HP-1070\n")
    assert hand_in(
        tmp_path, other_form("HP-1001", "R-22", "28.5", "2026-10-30"), name="HP-1001", reasons=ALL_REASONS
    ).filed
    assert hand_in(tmp_path).filed
    form = other_form("HP-1042", "R-22", "39.9").replace(
        "27.5\n    bare_after_gross_lb: 39.9\n    put_in_lb: 12.4",
        "28.5\n    bare_after_gross_lb: 39.9\n    put_in_lb: 11.4",
        1,
    )
    assert hand_in(
        tmp_path, form.replace("recovered_lb: 12.4", "recovered_lb: 11.4"), name="HP-1042", reasons=ALL_REASONS
    ).filed
    sent = events.turn_in(
        office(tmp_path), [Load("C-1", "31.2")], to="Basin Reclaim", purpose="reclaim", day=TODAY, reference="M-17"
    )
    assert sent.filed
    assert events.turn_in(
        office(tmp_path), [Load("C-3", "2.5", part=True)], to="the grocery", purpose="returned", day=TODAY
    ).filed
    return tmp_path


def november(shop: Path) -> Month:
    return month_of(registers(), shop, 2026, 11, today=TODAY)


def test_the_amounts_by_refrigerant(shop: Path) -> None:
    found = {
        gas.gas: [str(mass.lb_from_kg(kg)) for kg in (gas.opening_kg, gas.recovered_kg, gas.reclaim_kg, gas.returned_kg, gas.adjusted_kg, gas.held_kg)]
        for gas in november(shop).gases
    }  # fmt: skip
    assert found == {
        "R-22": ["1", "11.4", "0", "-2.5", "0", "9.9"],
        "R-404A": ["2", "37.9", "-31.2", "0", "-0.8", "7.9"],
    }


def test_what_the_regulation_asks_for_is_there(shop: Path) -> None:
    # 40 CFR 82.156(a)(3): company, place, day, type from each; amount by type in the month; sent on, to whom, when
    month = november(shop)
    html = month_html(month)
    for asked in ("Northside Cooling", "Corner grocery, 12 Mill Lane", "2026-11-26", "walk-in cooler, W-77", "A. Sample, U-1234-5",
                  "Basin Reclaim", "2026-11-27", "M-17", "reclaim"):  # fmt: skip
        assert asked in html
    disposed = [row for row in month.recovered if row.disposal]
    assert [(row.subject, row.gas, str(mass.lb_from_kg(row.kg))) for row in disposed] == [("HP-1042", "R-22", "11.4")]


@pytest.mark.parametrize(("charge", "counts"), [(5.0, False), (5.1, True), (49.9, True), (50.0, False)])
def test_more_than_5_and_less_than_50_lb_is_the_regulations_record(tmp_path: Path, charge: float, counts: bool) -> None:
    print_it(tmp_path, reason="disposal", appliance={"charge_lb": charge}, to_recover_lb=38.0)
    assert hand_in(tmp_path).filed
    assert all(row.disposal is counts for row in november(tmp_path).recovered)


def test_jobs_not_filed_are_listed_with_how_far_they_came(shop: Path) -> None:
    assert [(job.job, job.day, job.state) for job in november(shop).not_filed] == [
        ("HP-1050", "2026-11-26", "out"),
        ("HP-1060", "2026-11-30", "planned"),
    ]


def test_a_job_whose_packet_says_stop_is_not_out(tmp_path: Path) -> None:
    print_it(tmp_path, stops=["cylinder-out-of-test"])
    assert [(job.job, job.state) for job in november(tmp_path).not_filed] == [("HP-1041", "stopped")]
    print_it(tmp_path, revision="NEWR2345", hour=9)
    assert [(job.job, job.state) for job in november(tmp_path).not_filed] == [("HP-1041", "out")]


def test_warming_potential_of_what_was_recovered(shop: Path) -> None:
    # 1810 (2-rules, AR4, from memory). 11.4 lb x 0.45359237 / 1000 x 1810 = 9.359 t
    assert co2e("R-22", mass.kg_from("11.4", "lb")) == pytest.approx(11.4 * 0.45359237 / 1000 * 1810, rel=1e-9)
    # R-404A: 44 % R-125 at 3500, 52 % R-143a at 4470, 4 % R-134a at 1430: 3921.6
    r404a = 0.44 * 3500 + 0.52 * 4470 + 0.04 * 1430
    expected = (11.4 * 1810 + 37.9 * r404a) * 0.45359237 / 1000
    assert november(shop).t_co2e == pytest.approx(expected, rel=1e-6)
    assert co2e("mixed", mass.kg_from("1", "lb")) is None


def test_the_figures_agree_with_the_files_added_up_by_another_route(shop: Path) -> None:
    recovered: dict[str, Fraction] = defaultdict(Fraction)
    for path in (shop / "filed").glob("*.json"):
        raw = yaml.safe_load(path.read_text())
        if raw["kind"] == "job" and str(raw["date"]).startswith("2026-11"):
            for blank in raw["cylinders"].values():
                if "bare_after_gross_lb" in blank:
                    recovered[raw["refrigerant"]] += Fraction(str(blank["bare_after_gross_lb"])) - Fraction(
                        str(blank["bare_before_gross_lb"])
                    )
    assert recovered == {gas.gas: Fraction(gas.recovered_kg) / POUND for gas in november(shop).gases}


def add_up(text: str) -> tuple[dict[str, Fraction], dict[str, Fraction]]:
    """(opening and everything after it, held) by gas, in kg, from the CSV alone."""
    ran: dict[str, Fraction] = defaultdict(Fraction)
    held: dict[str, Fraction] = defaultdict(Fraction)
    for row in csv.DictReader(io.StringIO(text)):
        if row["how"] not in ("not filed", "notice"):
            (held if row["how"] == "held" else ran)[row["refrigerant"]] += Fraction(row["exact_kg"])
    return {gas: kg for gas, kg in ran.items() if kg}, {gas: kg for gas, kg in held.items() if kg}


def test_the_csv_adds_up_to_what_is_held(shop: Path) -> None:
    text = month_csv(november(shop))
    ran, held = add_up(text)
    assert ran == held == {"R-22": Fraction("9.9") * POUND, "R-404A": Fraction("7.9") * POUND}
    rows = list(csv.DictReader(io.StringIO(text)))
    assert {row["job"] for row in rows if row["how"] == "recovered"} == {"HP-1041", "HP-1042"}
    assert [row["to"] for row in rows if row["how"] == "reclaim"] == ["Basin Reclaim"]


def test_a_name_that_a_spreadsheet_would_run_is_made_harmless(tmp_path: Path) -> None:
    print_it(tmp_path, site={"name": "=cmd()", "address": "-2+3"})
    assert hand_in(tmp_path).filed
    rows = [row for row in csv.DictReader(io.StringIO(month_csv(november(tmp_path)))) if row["how"] == "recovered"]
    assert {(row["site"], row["address"]) for row in rows} == {("'=cmd()", "'-2+3")}
    html = month_html(november(tmp_path))
    assert "=cmd()" in html


def test_markup_in_a_name_is_just_text(tmp_path: Path) -> None:
    print_it(tmp_path, site={"name": "<script>x</script>"})
    assert hand_in(tmp_path).filed
    assert "<script>" not in month_html(november(tmp_path))


def test_the_pdf_reads_back_and_is_the_same_for_the_same_records(shop: Path) -> None:
    pdf = month_pdf(november(shop))
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    for shown in ("Refrigerant report for 2026-11", "37.90", "11.40", "31.20", "Basin Reclaim", "HP-1060"):
        assert shown in text
    assert "2026-11-2\n" not in text  # no date is broken by a narrow column
    assert month_pdf(november(shop)) == pdf


def test_a_correction_filed_later_changes_the_month_and_is_named(shop: Path) -> None:
    fixed = typed(
        C2_bare_after_gross="    bare_after_gross_lb: 34.4",
        C2_put_in="    put_in_lb: 6.9",
        recovered="recovered_lb: 36.9",
    )
    assert hand_in(shop, fixed.replace("correction:", "correction: misread")).filed
    month = november(shop)
    assert next(str(mass.lb_from_kg(gas.recovered_kg)) for gas in month.gases if gas.gas == "R-404A") == "36.9"
    assert [(item.corrects, item.reason) for item in month.corrections] == [("000002-HP-1041.json", "misread")]


def test_an_empty_month_says_so(tmp_path: Path) -> None:
    month = month_of(registers(), tmp_path, 2025, 1, today=TODAY)
    assert [gas.gas for gas in month.gases] == ["R-404A"]  # the register's opening figure
    html = month_html(month)
    assert "Nothing was recovered." in html
    assert "No record is filed yet." in html


def test_the_short_form_has_the_sums_and_what_is_open(shop: Path) -> None:
    text = month_as_text(november(shop))
    assert "R-404A" in text
    assert "Not yet filed: HP-1050 (out), HP-1060 (planned)." in text
    assert "Recovered in 2 jobs" in text


def test_in_kilograms_where_the_shop_reads_them(shop: Path) -> None:
    own = registers("SI")
    text = month_as_text(month_of(own, shop, 2026, 11, today=TODAY))
    assert "17.19" in text  # 37.9 lb x 0.45359237
    # 40 CFR 82.156(a)(3): 5 and 50 lb
    html = month_html(month_of(own, shop, 2026, 11, today=TODAY))
    assert "Opened for disposal, more than 2.3 and less than 22.7" in html
    assert re.search(r"\d\s*lb\b", html) is None


MOVES = st.tuples(
    st.sampled_from(["C-1", "C-2", "C-3"]),
    st.sampled_from(["R-22", "R-404A", "mixed"]),
    st.sampled_from(["recovered", "reclaim", "destruction", "returned", "adjusted", "moved"]),
    st.decimals(min_value=-40, max_value=40, places=2),
    st.sampled_from(["lb", "kg"]),
    st.dates(date(2026, 10, 1), date(2026, 12, 31)),
    st.booleans(),
)


@settings(deadline=None, max_examples=60)
@given(st.lists(MOVES, max_size=20), st.sampled_from([10, 11, 12]))
def test_whatever_is_filed_every_month_adds_up_to_the_ledger(moves: list[Any], number: int) -> None:
    filed = []
    for seq, (cylinder, gas, how, weight, unit, day, emptied) in enumerate(moves, 1):
        entry = {"cylinder": cylinder, f"moved_{unit}": f"{weight:f}", "as": how}
        if weight > 0:
            entry["refrigerant"] = gas
        body: Mapping[str, Any] = {"date": day.isoformat(), "moves": [entry]} | (
            {"evacuated": [cylinder]} if emptied else {}
        )
        item = records.parse(f"{seq:06}-HP-{seq}.json", records.compose(seq, "job", f"HP-{seq}", [], body))
        assert isinstance(item, Filed)
        filed.append(item)
    own, found = registers(), Records(tuple(filed), ())
    last = date(2026, number, {10: 31, 11: 30, 12: 31}[number])
    month = month_from(own, found, Path(__file__).parent, date(2026, number, 1), today=TODAY)
    ran, held = add_up(month_csv(month))
    assert ran == held
    states: dict[str, Fraction] = defaultdict(Fraction)
    for state in ledger_from(own, found, last).states.values():
        states[state.refrigerant or ""] += Fraction(state.ledger_kg)
    assert {gas: kg for gas, kg in states.items() if kg} == held
    assert {gas.gas: Fraction(gas.held_kg) for gas in month.gases if gas.held_kg} == held


def test_a_day_with_a_time_before_it_was_emptied(tmp_path: Path) -> None:
    print_it(tmp_path)
    assert hand_in(tmp_path).filed
    assert events.emptied(office(tmp_path), "C-2", day=date(2026, 11, 26), at=time(18, 0), into="C-1").filed
    month = november(tmp_path)
    assert add_up(month_csv(month))[1] == {"R-404A": Fraction("39.9") * POUND}


def test_a_gas_given_by_its_composition_is_counted_by_type() -> None:
    """40 CFR 82.156(a)(3)(ii) asks for amounts by type of refrigerant: 10 kg of 62/38 are 6.2 and 3.8 kg, by hand."""
    facts = {"work": "disposal", "charge_lb": "22"}
    row = Row("2026-11-26", "R-22 62 % + R-407C 38 %", "recovered", Decimal(10), "C-M", "0001", "HP-1", facts)
    assert [(part.gas, part.kg) for part in by_type(row)] == [("R-22", Decimal("6.20")), ("R-407C", Decimal("3.80"))]
    assert all(part.disposal for part in by_type(row))
    plain = Row("2026-11-26", "R-22", "recovered", Decimal(10), "C-1", "0001", "HP-1", facts)
    assert by_type(plain) == (plain,)


def test_the_law_s_table_of_the_month_has_the_parts(shop: Path) -> None:
    month = november(shop)
    mixed = replace(next(row for row in month.recovered if row.disposal), gas="R-22 50 % + R-134a 50 %", record="0099")
    table = next(
        item
        for item in month_tables(replace(month, recovered=(mixed,)))
        if item.title.startswith("Opened for disposal")
    )
    # 11.4 lb of R-22 were filed: half of it each
    assert [(row[0], row[2]) for row in table.rows] == [("R-134a", "5.70"), ("R-22", "5.70")]


def test_an_analyzed_gas_comes_back_as_it_was_printed_however_it_is_spelled(tmp_path: Path) -> None:
    """12.4 lb of 62/38 into the empty C-3, as typed in the form; what C-3 holds is then known by name and by part."""
    own = "R-22 62 % + R-134a 38 %"
    print_it(tmp_path, "HP-1042", refrigerant=own, reason="disposal", appliance={"charge_lb": 12.0}, to_recover_lb=12.0)
    form = other_form("HP-1042", "r22 62 % + 134A 38 %", "39.9")
    filing = hand_in(tmp_path, form, name="HP-1042", reasons=ALL_REASONS)
    assert filing.filed, filing
    assert "refrigerant-differs" not in [item.code for item in filing.findings]
    month = november(tmp_path)
    (row,) = month.recovered
    assert row.gas == own
    pounds = {part.gas: round(float(mass.lb_from_kg(part.kg)), 3) for part in by_type(row)}
    assert pounds == {"R-22": 7.688, "R-134a": 4.712}
    # IPCC AR4: 1810; 42 U.S.C. 7675(c)(1): 1430; 12.4 lb are 5.6245 kg
    assert month.t_co2e == pytest.approx(5.6245 / 1000 * (0.62 * 1810 + 0.38 * 1430), rel=1e-4)


def test_a_month_that_has_not_begun_or_is_not_over_says_so(shop: Path) -> None:
    assert month_of(registers(), shop, 2027, 1, today=TODAY).notices[0].startswith("This month has not begun")
    assert november(shop).notices[0] == "This month is not over: it is as of 2026-11-27."
    assert month_of(registers(), shop, 2026, 10, today=TODAY).notices == ()
    assert "This month is not over" in month_as_text(november(shop))


def test_a_clock_that_ran_backwards_is_told(shop: Path) -> None:
    early = datetime(2026, 11, 20, 9, tzinfo=UTC)
    desk = replace(office(shop), filed_at=early)
    done = events.turn_in(desk, [Load("C-2", "1", part=True)], to="Basin", purpose="returned", day=TODAY)
    assert done.filed is not None
    assert [item for item in november(shop).notices if "a clock was wrong" in item] == [
        f"{done.filed.name} says it was filed before 000005-turn-in-C-3.json, which it follows: a clock was wrong."
    ]


def test_a_serial_disposed_of_twice_and_a_turn_in_without_receipt_are_told(shop: Path) -> None:
    # HP-1042 scrapped W-77; so did another job
    print_it(shop, "HP-1043", refrigerant="R-22", reason="disposal", appliance={"charge_lb": 12.0}, to_recover_lb=12.0)
    again = other_form("HP-1043", "R-22", "39.9")
    why = dict.fromkeys((*ALL_REASONS, "weight-differs", "cylinder-became-mixed"), "because")
    assert hand_in(shop, again, name="HP-1043", reasons=why).filed
    events.turn_in(office(shop), [Load("C-2", "1", part=True)], to="Basin", purpose="reclaim", day=TODAY)
    said = november(shop).notices
    assert any(
        "Serial W-77 was disposed of more than once: HP-1042 (2026-11-26), HP-1043 (2026-11-26)." in item
        for item in said
    )
    assert any("No receipt number is on record for 1 turn-in" in item for item in said)


def test_whose_gas_is_held_who_was_in_charge_and_why_it_was_adjusted(shop: Path) -> None:
    assert {item.cylinder: item.owner for item in november(shop).held} == {"C-2": "the shop", "C-3": "the shop"}
    rows = list(csv.DictReader(io.StringIO(month_csv(november(shop)))))
    assert {row["supervisor"] for row in rows} == {""}
    assert [row["reason"] for row in rows if row["how"] == "adjusted"] == ["because"]
    assert [row["charge_lb"] for row in rows if row["job"] == "HP-1042"] == ["12.00"]
    assert "12.00" in month_html(november(shop))


def test_an_adjustment_nobody_explained_says_why_it_was_made(tmp_path: Path) -> None:
    print_it(tmp_path)
    assert hand_in(tmp_path).filed
    events.turn_in(office(tmp_path), [Load("C-1", "31.8")], to="Basin", purpose="reclaim", day=TODAY, reference="M-1")
    (adjusted,) = [row for row in november(tmp_path).other if row.how == "adjusted"]
    assert adjusted.facts["reason"] == "handed over whole: what weight and ledger differed by"


def test_the_csv_says_its_numbers_as_the_report_prints_them(tmp_path: Path) -> None:
    print_it(tmp_path, appliance={"charge_lb": 38.00000001})  # as a plate in kilograms comes out
    assert hand_in(tmp_path).filed
    rows = [row for row in csv.DictReader(io.StringIO(month_csv(november(tmp_path)))) if row["how"] == "recovered"]
    assert [(row["lb"], row["kg"], row["charge_lb"]) for row in rows] == [
        ("30.00", "13.61", "38.00"),
        ("7.90", "3.58", "38.00"),
    ]
    # 37.9 lb at GWP 3,943 (IPCC AR5, R-404A, from memory): the report's two decimals, line by line
    assert all(len(row["t_CO2e"].partition(".")[2]) == 2 for row in rows)


def test_owners_go_along_when_gas_is_put_into_another_cylinder(tmp_path: Path) -> None:
    print_it(tmp_path)
    assert hand_in(tmp_path).filed
    assert events.emptied(office(tmp_path), "C-2", day=TODAY, at=time(8), into="C-3").filed
    assert {item.cylinder: item.owner for item in november(tmp_path).held} == {"C-1": "the shop", "C-3": "the shop"}


def test_a_cylinder_that_was_weighed_says_why_it_was_adjusted(tmp_path: Path) -> None:
    print_it(tmp_path)
    assert hand_in(tmp_path).filed
    assert events.weighed(office(tmp_path), "C-2", day=TODAY, gross="35.0").filed
    (adjusted,) = [row for row in november(tmp_path).other if row.how == "adjusted"]
    assert adjusted.facts["reason"] == "weighed: the ledger follows the scale"


def test_why_a_record_was_corrected_is_not_why_gas_was_adjusted(tmp_path: Path) -> None:
    print_it(tmp_path)
    assert hand_in(tmp_path).filed
    assert events.turn_in(office(tmp_path), [Load("C-1", "31.8")], to="Basin", purpose="reclaim", day=TODAY).filed
    assert settle.receipt(office(tmp_path), "2", number="M-1").filed
    (adjusted,) = [row for row in november(tmp_path).other if row.how == "adjusted"]
    assert adjusted.facts["reason"] == "handed over whole: what weight and ledger differed by"


def test_a_job_whose_withdrawal_is_lost_counts_twice_and_is_told_until_one_is_withdrawn(tmp_path: Path) -> None:
    print_it(tmp_path)
    assert hand_in(tmp_path).filed
    assert settle.withdraw(office(tmp_path), "1", why="typed from the wrong sheet").filed
    assert hand_in(tmp_path).filed
    (tmp_path / "filed" / "000002-HP-1041.json").unlink()
    settled = settle.join_ends(office(tmp_path), why="the disk was damaged")
    assert settled.filed is not None
    assert any("HP-1041 is filed here and in 000003-HP-1041.json" in line for line in settled.told)
    again = settle.join_ends(office(tmp_path), why="the disk was damaged")
    assert again.filed is None
    assert "packet records withdraw" in again.problems[0].suggestion
    twice = "Job HP-1041 counts more than once: 000001-HP-1041.json, 000003-HP-1041.json."
    assert any(item.startswith(twice) for item in november(tmp_path).notices)
    assert settle.withdraw(office(tmp_path), "1", why="its withdrawal was lost").filed
    assert not any("more than once" in item for item in november(tmp_path).notices)
    assert [item.kind for item in check_records(tmp_path) if not item.settled] == []


def test_a_record_that_is_lost_and_settled_is_told_wherever_it_would_have_counted(tmp_path: Path) -> None:
    """On screen, on the PDF's pages and in the CSV; the record that settles it says which number is gone."""
    print_it(tmp_path)
    print_it(tmp_path, "HP-1042", revision="BBBB2345")
    assert hand_in(tmp_path).filed
    second = typed(job="job: HP-1042", revision="revision: BBBB2345", start="  start: 13:00", end="  end: 14:00")
    assert hand_in(tmp_path, second, name="HP-1042", reasons=Every()).filed
    assert events.retested(office(tmp_path), "C-3", day=TODAY, tested=RetestMonth(year=2026, month=11)).filed
    (tmp_path / "filed" / "000002-HP-1042.json").unlink()
    with pytest.raises(UnreadableRecordsError):
        november(tmp_path)
    settled = settle.join_ends(office(tmp_path), why="the disk was damaged")
    assert settled.filed is not None
    assert "Record 000002 is lost; it was filed after 000001-HP-1041.json" in settled.told[0]
    assert any("HP-1042" in line for line in settled.told)
    again = settle.join_ends(office(tmp_path), why="the disk was damaged")
    assert (again.filed, len(again.problems)) == (None, 1)
    said = november(tmp_path)
    assert any("lost (settled by 000004-merge.json)" in item and "000002" in item for item in said.notices)
    for text in (month_csv(said), month_html(said), month_as_text(said)):
        assert "lost (settled by 000004-merge.json)" in text
    # the job it was of waits again, and is filed again
    assert [job.job for job in said.not_filed] == ["HP-1042"]
    assert hand_in(tmp_path, second, name="HP-1042", reasons=Every()).filed


def test_what_was_sent_is_summed_by_type_too(shop: Path) -> None:
    """40 CFR 82.156(a)(3)(iii): the quantity by type that was sent; 32.0 lb of a half-and-half mix are 16.0 and 16.0."""
    month = november(shop)
    sent = next(row for row in month.sent if row.how == "reclaim")
    mixed = replace(sent, gas="R-22 50 % + R-134a 50 %", kg=Decimal(-32) * mass.KG_IN_ONE_LB)
    table = next(item for item in month_tables(replace(month, sent=(mixed,))) if item.title == "Sent on")
    assert [(row[0], row[-1]) for row in table.rows] == [("R-22 50 % + R-134a 50 %", "32.00")]
    assert [(row[0], row[-1]) for row in table.sums] == [("R-134a", "16.00"), ("R-22", "16.00")]


def test_thousands_of_lines_stand_in_the_csv_and_their_sums_on_paper() -> None:
    columns = (Column("refrigerant", 50), Column("lb", 50, number=True))
    rows = tuple(("R-22", f"{number}.00") for number in range(301))
    summed = in_print(Table("Still held", "A note.", columns, rows, (("R-22", "45150.00"),), "None."), "month.csv")
    assert summed.rows == (("R-22", "45150.00"),)
    assert summed.sums == ()
    assert (
        summed.note == "301 lines, all of them in month.csv, kept with this report; here what they add up to. A note."
    )
    first = in_print(Table("Jobs not yet filed", "", columns, rows, (), "None."), "month.csv")
    assert first.rows == rows[:300]
    assert first.note == "The first 300 of 301 lines; all of them are in month.csv, kept with this report."
    assert in_print(replace(first, rows=rows[:300], note=""), "month.csv").note == ""
