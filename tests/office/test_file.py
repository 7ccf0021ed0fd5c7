"""What filing refuses, what it asks about, and what the record says in the end."""

from pathlib import Path

import pytest
import yaml

from packet.ledger.check import check_records
from packet.ledger.records import read_records
from packet.ledger.state import ledger
from packet.office import settle
from packet.office.enter import Office
from packet.press.printed import write_record

from .returned import AT, FORM, TODAY, as_other, hand_in, print_it, registers, typed


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    print_it(tmp_path)
    return tmp_path


def test_a_form_in_order_is_filed_and_the_ledger_knows(shop: Path) -> None:
    filing = hand_in(shop)
    assert (filing.problems, filing.findings, filing.unanswered) == ((), (), ())
    raw = yaml.safe_load((shop / "filed" / "000001-HP-1041.json").read_text())
    assert (raw["kind"], raw["appliance_kind"], raw["work"]) == ("job", "walk-in", "repair")
    assert raw["refrigerant"] == "R-404A"
    assert raw["site"] == "Corner grocery"
    assert (raw["technician"], raw["card"]) == ("A. Sample", "U-1234-5")
    assert raw["recovered_by_scale_lb"] == "37.9"  # 30.0 + 7.9, by the scale
    assert [item["moved_lb"] for item in raw["moves"]] == ["30.0", "7.9"]
    assert raw["cylinders"]["C-1"]["bare_after_gross_lb"] == "59.5"
    states = ledger(registers(), shop, TODAY).states
    assert {key: item.contents_lb for key, item in states.items()} == {"C-1": 32.0, "C-2": 7.9, "C-3": 0.0}
    assert states["C-2"].refrigerant == "R-404A"
    assert check_records(shop) == ()


def test_filing_the_same_form_again_changes_nothing(shop: Path) -> None:
    first, second = hand_in(shop), hand_in(shop)
    assert second.already
    assert second.filed == first.filed
    assert len(read_records(shop).filed) == 1


def test_another_form_of_a_filed_job_is_refused_unless_it_corrects(shop: Path) -> None:
    hand_in(shop)
    refused = hand_in(shop, typed(recovered="recovered_lb: 37.8"))
    assert [(item.line, item.field) for item in refused.problems] == [(2, "job")]
    assert "000001-HP-1041.json" in refused.problems[0].message
    fixed = FORM.replace("35.4", "36.4").replace("7.9", "8.9").replace("37.9", "38.9")
    done = hand_in(shop, fixed.replace("correction:", "correction: the 5 was a 6"))
    assert done.filed is not None
    assert (done.filed.kind, done.filed.body["reason"]) == ("correction", "the 5 was a 6")
    assert done.findings == ()  # the record it corrects does not stand in its own way
    assert ledger(registers(), shop, TODAY).states["C-2"].contents_lb == 8.9


def test_a_correction_of_nothing_is_refused(shop: Path) -> None:
    filing = hand_in(shop, FORM.replace("correction:", "correction: typo"))
    assert [item.field for item in filing.problems] == ["correction"]


@pytest.mark.parametrize(
    ("changes", "line", "field", "says"),
    [
        ({"job": "job: HP-1014"}, 2, "job", "never printed"),
        ({"revision": "revision: ZZZZ2345"}, 3, "revision", "no print"),
        ({"date": "date: 2026-11-31"}, 6, "date", "does not exist"),
        ({"date": "date: 2026-12-01"}, 6, "date", "in the future"),
        ({"date": "date:"}, 6, "date", "missing"),
        ({"technician": "technician:"}, 7, "technician", "missing"),
        ({"start": "  start: 25:10"}, 10, "times.start", "no time"),
        ({"refrigerant": "refrigerant: R-4O4A"}, 14, "refrigerant", "no refrigerant"),
        ({"card": "crad: U-1"}, 8, "crad", "not a key"),
        ({"bare_before_gross": "    bare_before_gross_lb: 29,5"}, 23, "cylinders.C-1.bare_before_gross_lb", "29,5"),
        ({"bare_before_gross": "    bare_before_gross_lb: -29.5"}, 23, "cylinders.C-1.bare_before_gross_lb", "no weight"),
        ({"bare_before_gross": "    bare_before_gross_lb:"}, 23, "cylinders.C-1.bare_before_gross_lb", "once only"),
        ({"bare_before_gross": "    bare_before_gross_lb: 89.5"}, 24, "cylinders.C-1.bare_after_gross_lb", "lighter by 30.0 lb"),
        ({"put_in": "    put_in_lb: 30.0\n    put_in_kg: 13.6"}, 26, "cylinders.C-1.put_in_kg", "both units"),
        ({"not_used": "    not_used: yes"}, 23, "cylinders.C-1.bare_before_gross_lb", "not used, and weighed"),
        ({"C-2": "  C-9:"}, 28, "cylinders.C-9", "no cylinder"),
        ({"waited": "  waited_minutes: ten"}, 39, "rise.waited_minutes", "ten"),
        ({"leak": "  leak: maybe"}, 43, "exceptions.leak", "neither yes nor no"),
        ({"gauge": "  gauge_psia: -1"}, 37, "final.gauge_psia", "perfect vacuum"),
        ({"destination": "destination: reclame"}, 55, "destination", "not one of: same-appliance"),
        ({"remarks": "remarks: [a, b]"}, 56, "remarks", "not a list"),
        ({"signatures": "signatures: yes\nx:"}, 57, "signatures", "block"),
    ],
)  # fmt: skip
def test_what_must_be_put_right_is_refused_with_its_line(
    shop: Path, *, changes: dict[str, str], line: int, field: str, says: str
) -> None:
    filing = hand_in(shop, typed(**changes))
    assert filing.filed is None
    assert (line, field) in [(item.line, item.field) for item in filing.problems]
    assert any(says in item.message for item in filing.problems)
    assert read_records(shop).filed == ()


def test_all_problems_are_told_at_once(shop: Path) -> None:
    form = typed(
        date="date: 26 Nov",
        technician="technician:",
        bare_before_gross="    bare_before_gross_lb: x",
        leak="  leak: perhaps",
    )
    filing = hand_in(shop, form)
    assert [item.line for item in filing.problems] == [6, 7, 23, 43]


def test_a_cylinder_of_the_job_that_the_form_leaves_out_is_missed(shop: Path) -> None:
    head, rest = FORM.split("  C-2:\n")
    form = head + rest[rest.index("recovered_lb") :]
    filing = hand_in(shop, form)
    assert [(item.field, "C-2" in item.message) for item in filing.problems] == [("cylinders", True)]


@pytest.mark.parametrize("content", ["", "# nothing\n", "- a\n- b\n", "a: [1\n", "job: HP-1041\njob: HP-1042\n"])
def test_a_file_that_is_no_form_is_a_problem_not_a_crash(shop: Path, content: str) -> None:
    filing = hand_in(shop, content)
    assert filing.problems
    assert filing.filed is None


CAUTIONS = [
    ({"end": "  end: 08:30"}, "times-order", "08:30"),
    ({"end": "  end: 08:45"}, "times-same", "08:45"),
    ({"date": "date: 2026-10-26"}, "date-far", "31 days from the 2026-11-26"),
    ({"gas_owner": "gas_owner:"}, "owner-missing", "'gas_owner' is blank"),
    ({"destination": "destination:"}, "destination-missing", "'destination' is blank"),
    ({"date": "date: 2026-11-27"}, "date-differs", "2026-11-26"),
    ({"technician": "technician: C. Stranger"}, "technician-unknown", "C. Stranger"),
    ({"card": "card:"}, "card-missing", "card"),
    ({"card": "card: U-9999-9"}, "card-differs", "U-1234-5"),
    ({"start": "  start:"}, "blank-missing", "Machine started"),
    ({"put_in": "    put_in_lb:"}, "blank-missing", "Net (after − before) (cylinders.C-1.put_in_lb)"),
    ({"hold_points_initialled": "hold_points_initialled: no"}, "not-initialled", "every hold"),
    ({"C2_inspected": "    inspected:"}, "not-initialled", "(cylinders.C-2.inspected)"),
    ({"refrigerant": "refrigerant: R-22"}, "refrigerant-differs", "R-22 was found"),
    ({"put_in": "    put_in_lb: 31.0"}, "balance-cylinder", "the scale says 30.0 lb"),
    ({"recovered": "recovered_lb: 38.9"}, "balance-job", "37.9 lb by the scale, 38.9 lb"),
    ({"gauge": "  gauge_inHg_vacuum:"}, "level-not-read", "No final gauge"),
    ({"gauge": "  gauge_inHg_vacuum: 10.3"}, "level-not-reached", "10.3 inHg vacuum; the level is 10.4 inHg vacuum"),
    ({"gauge": "  gauge_psig: 2"}, "level-not-reached", "2 psig"),
    ({"gauge": "  gauge_psia: 9.9"}, "level-not-reached", "9.9 psia"),
    ({"gauge": "  gauge_psig: 2", "leak": "  leak: yes"}, "exception-not-so-low", "2 psig"),
    ({"waited": "  waited_minutes: 4"}, "rise-check-short", "4 min; 10 min"),
]


@pytest.mark.parametrize(("changes", "code", "says"), CAUTIONS)
def test_what_is_unusual_waits_for_a_reason_and_is_filed_with_it(
    shop: Path, *, changes: dict[str, str], code: str, says: str
) -> None:
    form = typed(**changes)
    asked = hand_in(shop, form)
    assert (asked.problems, asked.filed) == ((), None)
    assert code in [item.code for item in asked.unanswered]
    assert any(says in item.message for item in asked.unanswered)
    assert read_records(shop).filed == ()
    reasons = {item.code: f"asked, {item.code}" for item in asked.unanswered}
    done = hand_in(shop, form, reasons=reasons)
    assert done.filed is not None
    noted = {item["code"]: item["reason"] for item in done.filed.body["findings"]}
    assert noted[code] == f"asked, {code}"


def test_the_reason_may_stand_in_the_form(shop: Path) -> None:
    form = typed(waited="  waited_minutes: 4").replace("reasons:", "reasons:\n  rise-check-short: held for the night")
    assert hand_in(shop, form).filed is not None


@pytest.mark.parametrize(
    ("reasons", "field", "says"),
    [
        ("reasons: held for the night", "reasons", "block"),
        ("reasons:\n  rise-chek-short: held for the night", "reasons.rise-chek-short", "rise-check-short"),
    ],
)
def test_a_reason_for_nothing_is_not_swallowed(shop: Path, *, reasons: str, field: str, says: str) -> None:
    filing = hand_in(shop, typed(waited="  waited_minutes: 4").replace("reasons:", reasons))
    assert [item.field for item in filing.problems] == [field]
    assert says in f"{filing.problems[0].message} {filing.problems[0].suggestion}"


def test_weights_on_the_printed_figures_pass_and_above_them_do_not(shop: Path) -> None:
    def filled_to(gross: str) -> list[str]:
        net = f"{float(gross) - 29.5:.1f}"
        form = typed(bare_after_gross=f"    bare_after_gross_lb: {gross}", put_in=f"    put_in_lb: {net}")
        return [item.code for item in hand_in(shop, form.replace("37.9", f"{float(net) + 7.9:.1f}")).unanswered]

    assert filled_to("59.7") == ["over-stop-weight"]
    assert filled_to("61.4") == ["over-stop-weight"]
    assert filled_to("61.5") == ["over-limit-weight"]
    assert filled_to("59.6") == []


@pytest.mark.parametrize(
    ("second", "put_in", "total", "code", "says"),
    [
        ("31.5", "4.0", "34.0", "amount-below-charge", "4.0 lb (11 %) is missing"),
        ("39.4", "11.9", "41.9", "amount-above-charge", "3.9 lb (10 %) more than 38.0 lb"),
        ("31.7", "4.2", "34.2", "", ""),  # 3.8 lb: ten percent, no more
        ("39.3", "11.8", "41.8", "", ""),
    ],
)
def test_an_amount_far_from_the_charge_says_by_how_much(
    shop: Path, *, second: str, put_in: str, total: str, code: str, says: str
) -> None:
    form = typed(
        C2_bare_after_gross=f"    bare_after_gross_lb: {second}",
        C2_put_in=f"    put_in_lb: {put_in}",
        recovered=f"recovered_lb: {total}",
    )
    asked = hand_in(shop, form).unanswered
    assert [item.code for item in asked] == ([code] if code else [])
    assert all(says in item.message for item in asked)


def test_a_known_leak_explains_a_short_amount_and_a_level_not_reached(shop: Path) -> None:
    form = typed(
        C2_bare_after_gross="    bare_after_gross_lb: 27.5",
        C2_put_in="    put_in_lb: 0",
        recovered="recovered_lb: 30.0",
        gauge="  gauge_psig: 0",
        leak="  leak: x",
    )
    filing = hand_in(shop, form)
    assert (filing.problems, filing.unanswered) == ((), ())
    assert filing.filed is not None


def test_a_cylinder_that_was_not_needed_is_marked_so(shop: Path) -> None:
    head, rest = FORM.split("  C-2:\n")
    unused = head + "  C-2:\n    not_used: yes\n" + rest[rest.index("recovered_lb") :]
    unused = unused.replace("59.5", "59.6").replace("30.0", "30.1").replace("37.9", "30.1")
    filing = hand_in(shop, unused, reasons={"amount-below-charge": "half had leaked"})
    assert filing.filed is not None
    assert [item["cylinder"] for item in filing.filed.body["moves"]] == ["C-1"]
    blank = unused.replace("not_used: yes", "not_used:")
    assert (
        "cylinder-not-weighed" in [item.code for item in hand_in(shop, blank).unanswered]
        or hand_in(shop, blank).problems
    )


def test_a_cylinder_off_the_truck_counts_and_is_asked_about(shop: Path) -> None:
    extra = "  C-3:\n    inspected: AS\n    bare_before_gross_lb: 27.5\n    bare_after_gross_lb: 28.5\n    put_in_lb: 1.0\nrecovered_lb: 38.9"
    form = FORM.replace("recovered_lb: 37.9", extra)
    asked = hand_in(shop, form)
    assert [item.code for item in asked.unanswered] == ["cylinder-not-on-job"]
    hand_in(shop, form, reasons={"cylinder-not-on-job": "borrowed from the other truck"})
    assert ledger(registers(), shop, TODAY).states["C-3"].contents_lb == 1.0


def test_another_gas_on_top_of_what_a_cylinder_holds_is_asked_about(tmp_path: Path) -> None:
    print_it(tmp_path, refrigerant="R-22")
    asked = hand_in(tmp_path, typed(refrigerant="refrigerant: R-22"))
    assert [item.code for item in asked.unanswered] == ["cylinder-became-mixed"]  # C-1 held R-404A, C-2 nothing
    assert "Cylinder C-1 held R-404A; R-22 was put on top" in asked.unanswered[0].message
    assert hand_in(
        tmp_path, typed(refrigerant="refrigerant: R-22"), reasons={"cylinder-became-mixed": "no other"}
    ).filed
    assert ledger(registers(), tmp_path, TODAY).states["C-1"].refrigerant == "mixed"


def test_a_job_that_was_not_to_go_out_is_asked_about(tmp_path: Path) -> None:
    print_it(tmp_path, stops=["cylinder-out-of-test", "cylinder-out-of-test"])
    asked = hand_in(tmp_path)
    assert [item.message for item in asked.unanswered] == [
        "The packet said DO NOT DISPATCH (cylinder-out-of-test), and the job was done all the same."
    ]


def test_an_older_print_is_checked_against_what_it_promised(shop: Path) -> None:
    print_it(shop, revision="NEWR2345", hour=7, to_recover_lb=20.0)
    asked = hand_in(shop)
    assert [item.code for item in asked.unanswered] == ["old-print"]
    assert "NEWR2345 was printed later" in asked.unanswered[0].message


def test_a_bare_weight_off_the_ledger_is_filed_and_stands_open_until_explained(shop: Path) -> None:
    form = typed(bare_before_gross="    bare_before_gross_lb: 31.5", bare_after_gross="    bare_after_gross_lb: 59.5",
                 put_in="    put_in_lb: 28.0", recovered="recovered_lb: 35.9")  # fmt: skip
    filing = hand_in(shop, form)
    assert [item.code for item in filing.findings] == ["weight-differs"]
    assert (
        "weighed 31.5 lb with hoses off; tare and ledger make 29.5 lb. 2.0 lb is unexplained"
        in filing.findings[0].message
    )
    state = ledger(registers(), shop, TODAY).states["C-1"]
    assert (str(state.discrepancy_lb), state.contents_lb) == ("2", 32.0)


def test_small_appliances_are_measured_by_the_part_recovered(tmp_path: Path) -> None:
    charge = {"description": "reach-in", "charge_lb": 40.0}
    print_it(
        tmp_path,
        appliance=charge,
        to_recover_lb=36.0,
        evacuation={"target_percent_of_charge": 90.0, "target_lb": 36.0, "gauge_at_site_inHg_vacuum": 4.0},
    )
    form = typed(gauge="  gauge_inHg_vacuum: 0")
    assert hand_in(tmp_path, form).filed is not None  # 37.9 of 40 is 95 percent
    short = tmp_path / "short"
    short.mkdir()
    print_it(
        short,
        appliance={"charge_lb": 43.0},
        evacuation={"target_percent_of_charge": 90.0, "gauge_at_site_inHg_vacuum": 4.0},
    )
    asked = hand_in(short, form)
    assert "37.9 lb of 43.0 lb is 88 %; 90 % is asked for" in asked.unanswered[0].message
    assert hand_in(short, typed(gauge="  gauge_inHg_vacuum: 4")).filed is not None


def test_kilograms_are_filed_as_typed_and_added_up_exactly(tmp_path: Path) -> None:
    print_it(tmp_path)
    form = (
        FORM.replace("gross_lb: 29.5", "gross_kg: 13.38")
        .replace("gross_lb: 59.5", "gross_kg: 26.98")
        .replace("put_in_lb: 30.0", "put_in_kg: 13.60")
    )
    form = form.replace("recovered_lb: 37.9", "recovered_kg: 17.18")
    filing = hand_in(tmp_path, form, registers=registers("SI"))
    assert (filing.problems, filing.unanswered) == ((), ())
    assert filing.filed is not None
    assert filing.filed.body["moves"][0]["moved_kg"] == "13.60"
    state = ledger(registers(), tmp_path, TODAY).states["C-1"]
    assert str(state.ledger_kg) == "14.50718474"  # 2 lb x 0.45359237 + 13.60


def test_work_past_midnight_is_a_reason_not_an_obstacle(shop: Path) -> None:
    done = hand_in(shop, typed(end="  end: 00:20"), reasons={"times-order": "ran past midnight"}, filed_at=AT)
    assert done.filed is not None
    assert (done.filed.body["time"], done.filed.body["times"]["end"]) == ("23:59", "00:20")


def test_air_in_a_cylinder_after_standing_is_asked_about(tmp_path: Path) -> None:
    # a row a temperature: 10 psi above the bubble point, between rows along the line; common practice, no source
    table = [{"temperature_F": 60.0, "suspect_air_psig": 130.0}, {"temperature_F": 80.0, "suspect_air_psig": 190.0}]
    print_it(tmp_path, pressure_table=table)
    (asked,) = hand_in(tmp_path, typed(pressure_after_standing="    pressure_after_standing_psig: 161")).unanswered
    assert (asked.code, "higher than 160 psig" in asked.message) == ("air-after-standing", True)
    assert "cylinders.C-1.pressure_after_standing_psig" in asked.where
    celsius = typed(
        pressure_after_standing="    pressure_after_standing_barg: 11.1",  # 160.99 psig
        wall_after_standing="    wall_after_standing_C: 21.1",  # 69.98 °F
    )
    assert [item.code for item in hand_in(tmp_path, celsius).unanswered] == ["air-after-standing"]
    assert hand_in(tmp_path, typed(pressure_after_standing="    pressure_after_standing_psig: 159")).filed is not None


def test_air_is_asked_about_on_an_absolute_gauge_too(tmp_path: Path) -> None:
    # 14.0 psia of air: 760 mmHg is 14.696 psia, so 10 psig are 24.0 psia, 1241 mmHg
    table = [{"temperature_F": 60.0, "suspect_air_psig": 9.0}, {"temperature_F": 80.0, "suspect_air_psig": 11.0}]
    print_it(tmp_path, pressure_table=table, barometer_psia=14.0)

    def asked(line: str) -> list[str]:
        form = typed(pressure_after_standing=f"    pressure_after_standing_{line}")
        return [item.code for item in hand_in(tmp_path, form).unanswered]

    assert asked("mmHg_absolute: 1245") == ["air-after-standing"]
    assert asked("kPa_absolute: 166") == ["air-after-standing"]  # 24.08 psia
    below = typed(pressure_after_standing="    pressure_after_standing_mmHg_absolute: 1237")
    assert hand_in(tmp_path, below).filed is not None


def test_an_apprentice_is_not_in_charge_of_another(shop: Path) -> None:
    form = typed(technician="technician: B. Young", card="card:\nsupervisor: young")
    codes = [item.code for item in hand_in(shop, form).unanswered]
    assert "supervisor-not-certified" in codes
    unknown = typed(technician="technician: B. Young", card="card:\nsupervisor: C. Nobody")
    assert "technician-unknown" in [item.code for item in hand_in(shop, unknown).unanswered]


def test_a_rise_check_is_asked_for_only_where_the_job_has_one(tmp_path: Path) -> None:
    blank = typed(waited="  waited_minutes:")
    print_it(tmp_path)
    assert ["rise" in item.message.lower() for item in hand_in(tmp_path, blank).unanswered] == [True]
    other = tmp_path / "small"
    other.mkdir()
    print_it(other, evacuation={"rise_check_minutes": 0})
    assert hand_in(other, blank).filed is not None


def _scrap(shop_folder: Path) -> None:
    """A print of a job whose statement goes along with scrap (40 CFR 82.155(b))."""
    record = print_it(shop_folder, reason="disposal")
    (shop_folder / "printed" / "HP-1041.ABCD2345.json").unlink()
    write_record(shop_folder, as_other(record, plan=dict(record.plan) | {"duties": [{"code": "scrap-statement"}]}))


@pytest.mark.parametrize(
    ("ticks", "code"),
    [
        ({}, "statement-missing"),
        ({"disposal": "yes", "leaked": "yes"}, "statement-both"),
        ({"leaked": "yes"}, "statement-leaked"),
        ({"disposal": "yes"}, None),
    ],
)
def test_what_is_scrapped_goes_with_one_statement_that_can_be_true(
    tmp_path: Path, ticks: dict[str, str], code: str | None
) -> None:
    _scrap(tmp_path)
    statement = "".join(f"  {name}: {value}\n" for name, value in ticks.items())
    filing = hand_in(tmp_path, FORM.replace("reasons:", f"statement:\n{statement}reasons:"))
    assert [item.code for item in filing.unanswered] == ([code] if code else [])
    assert all("statement.leaked" in item.message for item in filing.unanswered)


def test_a_statement_is_asked_for_only_where_something_is_scrapped(shop: Path) -> None:
    assert hand_in(shop).filed is not None


@pytest.mark.parametrize("second", [{"needed_for": ["room-limit"], "on_site": True}, {"needed_for": []}, None])
def test_a_second_person_is_asked_for_where_the_job_needs_one(tmp_path: Path, second: dict[str, object] | None) -> None:
    record = print_it(tmp_path)
    (tmp_path / "printed" / "HP-1041.ABCD2345.json").unlink()
    write_record(tmp_path, as_other(record, plan=dict(record.plan) | {"second": second}))
    filing = hand_in(tmp_path)
    needed = bool(second and second["needed_for"])
    assert [item.message for item in filing.unanswered] == (["Left blank: Second person (second)."] if needed else [])
    if needed:
        assert hand_in(tmp_path, FORM.replace("times:", "second: C. Neighbor\ntimes:")).filed is not None


def test_a_form_that_was_withdrawn_can_be_filed_again(shop: Path) -> None:
    """Withdrawn by mistake: the very same form counts again, once."""
    assert hand_in(shop).filed is not None
    desk = Office(shop, registers(), TODAY, AT, {})
    assert settle.withdraw(desk, "1", why="entered for another job").filed is not None
    again = hand_in(shop)
    assert (again.already, again.problems, again.filed is not None) == (False, (), True)
    assert hand_in(shop).already
    assert float(ledger(registers(), shop, TODAY).states["C-2"].contents_lb) == 7.9


def test_a_form_that_was_corrected_since_is_not_filed_a_second_time(shop: Path) -> None:
    assert hand_in(shop).filed is not None
    fixed = FORM.replace("remarks:", "remarks: windy").replace("correction:", "correction: a remark was forgotten")
    assert hand_in(shop, fixed).filed is not None
    assert hand_in(shop).already
    desk = Office(shop, registers(), TODAY, AT, {})
    assert settle.withdraw(desk, "2", why="entered for another job").filed is not None
    assert hand_in(shop).filed is not None
