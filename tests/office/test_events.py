"""What happens to cylinders outside of jobs: entered once, checked against the ledger, added up by it."""

from datetime import date, time
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from packet.ledger import mass, store
from packet.ledger.check import check_records
from packet.ledger.records import read_records
from packet.ledger.state import Ledger, Purpose, ledger
from packet.office import events, settle
from packet.office.enter import Entered, Office
from packet.office.events import Load
from packet.office.file import Filing
from packet.office.find import find_jobs
from packet.office.month.report import month_of
from packet.press import printed
from packet.shop.records import Cylinder, Month

from .returned import AT, FORM, TODAY, hand_in, print_it, registers, typed

DAY = date(2026, 11, 27)


def office(shop: Path, **reasons: str) -> Office:
    return Office(shop, registers(), TODAY, AT, {key.replace("_", "-"): value for key, value in reasons.items()})


def book(shop: Path) -> Ledger:
    return ledger(registers(), shop, TODAY)


def pounds(shop: Path) -> dict[str, Decimal]:
    return {key: mass.lb_from_kg(item.ledger_kg) for key, item in book(shop).states.items()}


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """After the job of 2026-11-26: 32.0 lb in C-1, 7.9 lb in C-2."""
    print_it(tmp_path)
    assert hand_in(tmp_path).filed is not None
    return tmp_path


def gone(shop: Path) -> list[tuple[str, str, Decimal]]:
    """What left the cylinders, lb: how, from which."""
    return [(item.how, item.cylinder, mass.lb_from_kg(item.kg)) for item in book(shop).journal if item.kg < 0]


def test_turned_in_for_reclaim_everything_by_the_ledger(shop: Path) -> None:
    done = events.turn_in(
        office(shop), [Load("C-1"), Load("C-2")], to="Basin Reclaim", purpose="reclaim", day=DAY, reference="M-17"
    )
    assert done.filed is not None
    assert done.filed.name == "000002-turn-in-C-1.json"
    assert (done.filed.body["to"], done.filed.body["purpose"], done.filed.body["reference"]) == (
        "Basin Reclaim",
        "reclaim",
        "M-17",
    )
    assert gone(shop) == [("reclaim", "C-1", Decimal(-32)), ("reclaim", "C-2", Decimal("-7.9"))]
    assert pounds(shop) == {"C-1": 0, "C-2": 0, "C-3": 0}
    assert book(shop).states["C-1"].out_of_service == "away: Basin Reclaim"


def test_the_same_turn_in_entered_twice_is_one(shop: Path) -> None:
    def send() -> Entered:
        return events.turn_in(
            office(shop), [Load("C-1", "10", part=True)], to="Basin Reclaim", purpose="reclaim", day=DAY, stays=True
        )

    first, second = send(), send()
    assert (second.already, second.filed) == (True, first.filed)
    assert pounds(shop)["C-1"] == 22


def test_a_turn_in_that_counts_otherwise_after_a_withdrawal_is_told(shop: Path) -> None:
    sent = events.turn_in(office(shop), [Load("C-1")], to="Basin Reclaim", purpose="reclaim", day=DAY, reference="M-1")
    assert sent.filed is not None
    done = settle.withdraw(office(shop), "1", why="entered for the wrong job")
    assert done.filed is not None
    assert [item.message for item in done.findings] == [
        "With this, 000002-turn-in-C-1.json handed over 2.0 lb from cylinder C-1; until now it counted 32.0 lb."
    ]
    assert pounds(shop)["C-1"] == 0


def test_the_newest_record_and_its_note_both_gone_are_told_where_gas_is_added_up(shop: Path) -> None:
    def told() -> tuple[str, ...]:
        return book(shop).records.missing_told

    for cylinder, number in (("C-1", "M-1"), ("C-2", "M-2")):
        sent = [Load(cylinder)]
        events.turn_in(office(shop), sent, to="Basin Reclaim", purpose="reclaim", day=DAY, reference=number)
    assert told() == ()
    (shop / "filed" / "000003-turn-in-C-2.json").unlink()
    (shop / ".filed").unlink()
    (sentence,) = told()
    assert sentence.startswith("'.filed' is gone")
    assert "is 000002-turn-in-C-1.json the last that was filed?" in sentence
    assert sentence in month_of(registers(), shop, 2026, 11, today=TODAY).notices
    events.retired(office(shop), "C-3", day=DAY, why="valve is stuck")
    assert told() == ()


@pytest.mark.parametrize("what", ["turn-in", "weighed", "emptied"])
def test_more_than_the_cylinder_can_hold_is_refused_whatever_the_reason(shop: Path, what: str) -> None:
    answered = office(shop, amount_differs="their scale says so", still_holds="their scale says so")
    if what == "turn-in":
        done = events.turn_in(answered, [Load("C-1", "320")], to="Basin Reclaim", purpose="reclaim", day=DAY)
    elif what == "weighed":
        done = events.weighed(answered, "C-1", day=DAY, gross="347.5", at=time(17, 0))
    else:
        done = events.emptied(answered, "C-1", day=DAY, at=time(17, 0), into="C-3", weight="320")
    # 47.6 lb of water, and nothing that a recovery cylinder takes is 1.6 times as heavy
    assert [item.message for item in done.problems] == [
        "Cylinder C-1 cannot hold 320.0 lb: the most that it can is 76.2 lb."
    ]
    assert done.filed is None
    assert pounds(shop)["C-1"] == 32


def test_a_receipt_that_differs_from_the_ledger_needs_a_reason_and_is_adjusted_in_plain_sight(shop: Path) -> None:
    def send(**reasons: str) -> Entered:
        return events.turn_in(
            office(shop, **reasons), [Load("C-1", "31.2")], to="Basin Reclaim", purpose="destruction", day=DAY
        )

    assert [item.code for item in send().unanswered] == ["amount-differs"]
    assert "32.0 lb in cylinder C-1; 31.2 lb" in send().unanswered[0].message
    done = send(amount_differs="their scale")
    assert done.filed is not None
    assert gone(shop) == [("destruction", "C-1", Decimal("-31.2")), ("adjusted", "C-1", Decimal("-0.8"))]
    assert pounds(shop)["C-1"] == 0


def test_a_small_difference_is_adjusted_without_asking(shop: Path) -> None:
    done = events.turn_in(
        office(shop), [Load("C-1", "31.6")], to="Basin Reclaim", purpose="reclaim", day=DAY, reference="M-17"
    )
    assert done.filed is not None
    assert pounds(shop)["C-1"] == 0
    assert done.findings == ()


@pytest.mark.parametrize(
    ("loads", "to", "day", "field"),
    [
        ([Load("C-9")], "Basin Reclaim", DAY, "cylinder"),
        ([Load("C-3")], "Basin Reclaim", DAY, "C-3"),
        ([Load("C-1", "ten")], "Basin Reclaim", DAY, "weight"),
        ([Load("C-1", "-3")], "Basin Reclaim", DAY, "weight"),
        ([Load("C-1")], " ", DAY, "to"),
        ([], "Basin Reclaim", DAY, "cylinders"),
        ([Load("C-1")], "Basin Reclaim", date(2026, 11, 28), "date"),
        ([Load("C-1")], "Basin\nReclaim", DAY, ""),
    ],
)  # fmt: skip
def test_a_turn_in_that_cannot_be_is_refused_and_nothing_is_filed(
    shop: Path, *, loads: list[Load], to: str, day: date, field: str
) -> None:
    done = events.turn_in(office(shop), loads, to=to, purpose="reclaim", day=day)
    assert [item.field for item in done.problems] == [field]
    assert done.problems[0].message
    assert len(read_records(shop).filed) == 1


def test_emptied_into_another_cylinder_moves_the_gas_and_frees_this_one(shop: Path) -> None:
    done = events.emptied(office(shop), "C-2", day=DAY, at=time(8, 0), into="C-1", weight="7.7")
    assert done.filed is not None
    states = book(shop).states
    assert pounds(shop) == {"C-1": Decimal("39.7"), "C-2": 0, "C-3": 0}
    assert (states["C-2"].refrigerant, states["C-1"].refrigerant) == (None, "R-404A")
    # what the scales could not account for is adjusted, so that the gas still adds up
    assert [(item.how, item.gas, mass.lb_from_kg(item.kg)) for item in book(shop).journal[2:]] == [
        ("moved", "R-404A", Decimal("-7.7")),
        ("adjusted", "R-404A", Decimal("-0.2")),
        ("moved", "R-404A", Decimal("7.7")),
    ]


def test_emptying_to_nowhere_needs_a_reason(shop: Path) -> None:
    asked = events.emptied(office(shop), "C-2", day=DAY, at=time(8, 0))
    assert [item.code for item in asked.unanswered] == ["still-holds"]
    assert events.emptied(office(shop, still_holds="burst disc"), "C-2", day=DAY, at=time(8, 0)).filed is not None


def test_a_cylinder_comes_back_from_the_reclaimer_empty(shop: Path) -> None:
    events.turn_in(office(shop), [Load("C-1")], to="Basin Reclaim", purpose="reclaim", day=date(2026, 11, 26))
    assert events.emptied(office(shop), "C-1", day=DAY, at=time(7, 0)).filed is not None
    state = book(shop).states["C-1"]
    assert (state.refrigerant, state.out_of_service, state.contents_lb) == (None, "", 0.0)


def test_gas_is_not_moved_onto_another_gas(shop: Path) -> None:
    events.emptied(office(shop), "C-2", day=DAY, at=time(8, 0), into="C-1")
    assert events.emptied(office(shop), "C-1", day=DAY, at=time(9, 0), into="C-1").problems
    print_it(shop, "HP-1042", refrigerant="R-22")
    form = typed(job="job: HP-1042", refrigerant="refrigerant: R-22", date="date: 2026-11-27", start="  start: 10:00", end="  end: 11:00",
                 bare_before_gross="    bare_before_gross_lb: 27.5", bare_after_gross="    bare_after_gross_lb: 57.5")  # fmt: skip
    form = form.replace("  C-1:", "  C-3:")
    form = form.replace("recovered_lb", "  C-1:\n    not_used: yes\nrecovered_lb")
    reasons = {"date-differs": "next day", "cylinder-not-on-job": "swapped"}
    assert hand_in(shop, form, name="HP-1042", reasons=reasons).filed is not None
    refused = events.emptied(office(shop), "C-3", day=DAY, at=time(12, 0), into="C-1")
    assert [item.field for item in refused.problems] == ["into"]


def test_retested_bought_retired(shop: Path) -> None:
    new = Cylinder(
        id="C-9",
        spec="DOT-4BA400",
        water_capacity_lb=95.0,
        tare_lb=47.3,
        made=Month(year=2026, month=9),
        flammable_rated=True,
    )
    assert (
        events.retested(office(shop), "C-1", day=DAY, tested=Month(year=2026, month=11), by="Gauge House").filed
        is not None
    )
    assert events.bought(office(shop), new, day=DAY).filed is not None
    assert events.bought(
        office(shop), new.model_copy(update={"tare_lb": 47.4}), day=DAY
    ).problems  # there is one already
    assert events.retired(office(shop), "C-3", day=DAY, why="dented").filed is not None
    assert [item.code for item in events.retired(office(shop), "C-2", day=DAY, why="dented").unanswered] == [
        "still-holds"
    ]
    later = events.retested(office(shop), "C-1", day=DAY, tested=Month(year=2026, month=12))
    assert "in the future" in later.problems[0].message
    cylinders = {item.id: item for item in book(shop).registers.cylinders}
    assert cylinders["C-9"] == new
    assert cylinders["C-1"].tested == Month(year=2026, month=11)
    assert cylinders["C-3"].out_of_service == "retired: dented"


@pytest.fixture
def disputed(tmp_path: Path) -> Path:
    """C-1 weighed 2 lb more than tare and ledger make."""
    print_it(tmp_path)
    form = typed(
        bare_before_gross="    bare_before_gross_lb: 31.5", put_in="    put_in_lb: 28.0", recovered="recovered_lb: 35.9"
    )
    assert hand_in(tmp_path, form).filed is not None
    return tmp_path


@pytest.mark.parametrize(("follow_scale", "left"), [(True, Decimal(32)), (False, Decimal(30))])
def test_a_discrepancy_stands_open_until_the_office_explains_it(
    disputed: Path, *, follow_scale: bool, left: Decimal
) -> None:
    assert book(disputed).states["C-1"].discrepancy_lb == 2
    done = events.explained(office(disputed), "C-1", day=DAY, why="tare was restamped", follow_scale=follow_scale)
    assert done.filed is not None
    assert done.filed.body["about"] == "000001-HP-1041.json"
    state = book(disputed).states["C-1"]
    assert (state.discrepancy_lb, mass.lb_from_kg(state.ledger_kg)) == (None, left)
    again = events.explained(office(disputed), "C-1", day=DAY, why="once more", follow_scale=False)
    assert "no open discrepancy" in again.problems[0].message


def test_an_explanation_given_with_the_form_closes_it_at_once(tmp_path: Path) -> None:
    print_it(tmp_path)
    form = typed(
        bare_before_gross="    bare_before_gross_lb: 31.5", put_in="    put_in_lb: 28.0", recovered="recovered_lb: 35.9"
    )
    hand_in(tmp_path, form, reasons={"weight-differs": "ice on the cylinder"})
    assert book(tmp_path).states["C-1"].discrepancy_lb is None


def test_a_record_of_something_that_did_not_happen_is_withdrawn(shop: Path) -> None:
    events.turn_in(office(shop), [Load("C-1")], to="Basin Reclaim", purpose="reclaim", day=DAY)
    assert settle.withdraw(office(shop), "9", why="wrong").problems
    assert settle.withdraw(office(shop), "2", why=" ").problems
    assert settle.withdraw(office(shop), "000002-turn-in-C-1.json", why="the van came back").filed is not None
    assert pounds(shop)["C-1"] == 32
    assert book(shop).states["C-1"].out_of_service == ""
    assert settle.withdraw(office(shop), "2", why="twice").problems
    # and after that the same turn-in may really happen
    assert not events.turn_in(office(shop), [Load("C-1")], to="Basin Reclaim", purpose="reclaim", day=DAY).already


def test_what_the_check_found_is_settled_with_a_reason_on_the_record(shop: Path) -> None:
    assert settle.join_ends(office(shop), why="nothing").problems
    path = shop / "filed" / "000001-HP-1041.json"
    path.write_text(path.read_text().replace("59.5", "59.4"))
    assert [item.kind for item in check_records(shop)] == ["edited"]
    assert settle.join_ends(office(shop), why="").problems
    done = settle.join_ends(office(shop), why="a slip of the editor; the paper says 59.4")
    assert done.filed is not None
    assert "000001-HP-1041.json" in done.filed.body["found"][0]
    assert [(item.kind, item.settled) for item in check_records(shop)] == [("edited", True)]
    (shop / "filed" / "x.yaml").write_text("a: 1\n")
    assert "x.yaml" in settle.join_ends(office(shop), why="stray").problems[0].message


def test_a_job_that_was_called_off_no_longer_waits(shop: Path) -> None:
    print_it(shop, "HP-1050")
    assert [job.job for job in month_of(registers(), shop, 2026, 11, today=TODAY).not_filed] == ["HP-1050"]
    for job, why in (("HP-1041", "filed already"), ("HP-1055", "never there"), ("HP-1050", " ")):
        assert events.not_done(office(shop), job, day=DAY, why=why).problems
    done = events.not_done(office(shop), "HP-1050", day=DAY, why="customer sold the shop")
    assert done.filed is not None
    assert done.filed.name == "000002-not-done-HP-1050.json"
    assert month_of(registers(), shop, 2026, 11, today=TODAY).not_filed == ()
    assert [item.state for item in find_jobs(registers(), shop, "HP-1050", today=TODAY)] == ["not done"]
    assert hand_in(shop, typed(job="job: HP-1050"), name="HP-1050").filed  # it was done after all
    assert [item.state for item in find_jobs(registers(), shop, "HP-1050", today=TODAY)] == ["filed"]


def test_a_turn_in_is_worked_out_anew_when_a_job_before_it_is_corrected(shop: Path) -> None:
    # 40 CFR 82.156(a)(3): the amount sent; nothing counted twice, nothing left in a cylinder that went away whole
    events.turn_in(office(shop), [Load("C-1"), Load("C-2", "7.9")], to="Basin Reclaim", purpose="reclaim", day=DAY)
    fixed = (
        FORM.replace("59.5", "58.5").replace("30.0", "29.0").replace("35.4", "36.0").replace("in_lb: 7.9", "in_lb: 8.5")
    )
    fixed = fixed.replace("recovered_lb: 37.9", "recovered_lb: 37.5").replace("correction:", "correction: a 9 was an 8")
    asked = hand_in(shop, fixed)
    assert [item.code for item in asked.unanswered] == ["less-counted-since"]
    assert asked.unanswered[0].message == (
        "With this, 000002-turn-in-C-1.json counted 0.60 lb less in cylinder C-2 than had gone in."
    )
    assert "cylinders.C-2" in asked.unanswered[0].where
    done = hand_in(shop, fixed, reasons={"less-counted-since": "their scale shows half pounds"})
    assert done.filed is not None
    answered, noted = done.filed.body["findings"][-2:]
    assert answered["reason"] == "their scale shows half pounds"
    assert noted == {
        "code": "handed-over-anew",
        "said": "With this, 000002-turn-in-C-1.json handed over 31.0 lb from cylinder C-1; until now it counted 32.0 lb.",
    }
    assert pounds(shop) == {"C-1": 0, "C-2": 0, "C-3": 0}
    assert gone(shop) == [
        ("reclaim", "C-1", Decimal(-31)),  # everything that was in it: a pound less than was thought
        ("reclaim", "C-2", Decimal("-7.9")),  # as the receiver weighed it
        ("adjusted", "C-2", Decimal("-0.6")),  # what the two scales differ by now
    ]


def test_no_more_leaves_a_cylinder_than_is_in_it(shop: Path) -> None:
    refused = events.turn_in(office(shop), [Load("C-1", "33", part=True)], to="Basin", purpose="reclaim", day=DAY)
    assert [item.field for item in refused.problems] == ["C-1"]
    assert "holds 32.0 lb; 33.0 lb cannot leave it" in refused.problems[0].message
    # and nothing filed later takes away what has left already
    drawn = [Load("C-1", "31", part=True)]
    assert events.turn_in(office(shop), drawn, to="Basin", purpose="reclaim", day=DAY, stays=True).filed
    less = FORM.replace("59.5", "49.5").replace("30.0", "20.0").replace("recovered_lb: 37.9", "recovered_lb: 27.9")
    filing = hand_in(
        shop, less.replace("correction:", "correction: a 5 was a 4"), reasons={"amount-below-charge": "it had leaked"}
    )
    assert [item.field for item in filing.problems] == ["cylinders.C-1"]
    assert "9.0 lb less than nothing after 000002-turn-in-C-1.json" in filing.problems[0].message
    taken_back = settle.withdraw(office(shop), "000001-HP-1041.json", why="wrong job")
    assert [item.field for item in taken_back.problems] == ["C-1"]
    assert len(read_records(shop).filed) == 2


def test_gas_handed_over_that_never_came_in_by_a_correction_is_asked_about(shop: Path) -> None:
    # 32.0 lb went away by weight; then the job is said to have brought 20.0 lb of them, not 30.0
    assert events.turn_in(office(shop), [Load("C-1", "32")], to="Basin", purpose="reclaim", day=DAY).filed
    less = FORM.replace("59.5", "49.5").replace("30.0", "20.0").replace("recovered_lb: 37.9", "recovered_lb: 27.9")
    less = less.replace("correction:", "correction: a 5 was a 4")
    asked = hand_in(shop, less, reasons={"amount-below-charge": "it had leaked"})
    assert [item.code for item in asked.unanswered] == ["more-counted-since"]
    assert "counted 10.0 lb more in cylinder C-1 than had gone in" in asked.unanswered[0].message
    assert len(read_records(shop).filed) == 2


def test_a_job_filed_after_its_cylinder_was_handed_over_by_weight_is_asked_about(shop: Path) -> None:
    assert events.turn_in(office(shop), [Load("C-2", "7.9")], to="Basin", purpose="reclaim", day=DAY).filed
    assert [item.code for item in late(shop).unanswered] == ["less-counted-since"]
    assert pounds(shop)["C-2"] == 0


def test_withdrawing_the_job_behind_what_was_handed_over_is_asked_about(shop: Path) -> None:
    assert events.turn_in(office(shop), [Load("C-2", "7.9")], to="Basin", purpose="reclaim", day=DAY).filed
    asked = settle.withdraw(office(shop), "1", why="filed for another shop")
    assert [item.code for item in asked.unanswered] == ["more-counted-since"]
    known = office(shop, more_counted_since="it came from a cylinder of theirs")
    assert settle.withdraw(known, "1", why="filed for another shop").filed is not None


def test_a_cylinder_that_goes_along_with_a_rest_in_it_is_asked_about(shop: Path) -> None:
    drawn = [Load("C-1", "20", part=True)]
    asked = events.turn_in(office(shop), drawn, to="Basin", purpose="reclaim", day=DAY)
    assert [item.code for item in asked.unanswered] == ["turn-in-part-goes-along"]
    assert asked.unanswered[0].message == "12.0 lb stays in cylinder C-1, and it goes along to Basin."
    assert events.turn_in(office(shop), drawn, to="Basin", purpose="reclaim", day=DAY, stays=True).filed is not None
    assert book(shop).states["C-1"].out_of_service == ""


@pytest.mark.parametrize("why", ["x", "12.", " - "])
def test_a_letter_is_no_reason(shop: Path, why: str) -> None:
    print_it(shop, "HP-1050")
    (shop / "filed" / "000001-HP-1041.json").rename(shop / "away.json")
    assert [item.field for item in settle.join_ends(office(shop), why=why).problems] == ["why"]
    (shop / "away.json").rename(shop / "filed" / "000001-HP-1041.json")
    for entered in (
        settle.withdraw(office(shop), "1", why=why),
        events.retired(office(shop), "C-3", day=DAY, why=why),
        events.not_done(office(shop), "HP-1050", day=DAY, why=why),
        events.weighed(office(shop), "C-2", day=DAY, gross="40.4", why=why),
    ):
        assert [item.field for item in entered.problems] == ["why"]


def test_before_a_turn_in_the_jobs_not_filed_on_that_cylinder_are_named(shop: Path) -> None:
    print_it(shop, "HP-1042", revision="BBBB2345")
    print_it(shop, "HP-1043", revision="CCCC2345", cylinders=[])
    asked = events.turn_in(office(shop), [Load("C-1")], to="Basin Reclaim", purpose="reclaim", day=DAY)
    assert [item.code for item in asked.unanswered] == ["turn-in-jobs-not-filed"]
    assert "C-1: HP-1042." in asked.unanswered[0].message
    known = office(shop, turn_in_jobs_not_filed="HP-1042 never used it")
    assert events.turn_in(known, [Load("C-1")], to="Basin Reclaim", purpose="reclaim", day=DAY).filed is not None


def test_however_many_jobs_wait_a_turn_in_reads_each_print_once(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A hundred jobs that wait took 24 s, as all 5,000 names of prints were looked through for each."""
    looked: list[str] = []

    def watched(name: str) -> Any:
        whole = getattr(printed, name)

        def watching(path: Path, *rest: Any) -> Any:
            looked.append(path.name)
            return whole(path, *rest)

        return watching

    for name in ("_unsorted", "_read"):
        monkeypatch.setattr(printed, name, watched(name))
    for number in range(5):
        print_it(shop, f"HP-20{number}", revision="BBBB2345")
    looked.clear()
    events.turn_in(office(shop), [Load("C-1")], to="Basin Reclaim", purpose="reclaim", day=DAY)
    assert looked == ["printed", *(f"HP-20{number}.BBBB2345.json" for number in range(5))]


def test_what_is_somebody_elses_is_asked_about_before_it_goes_for_reclaim(tmp_path: Path) -> None:
    print_it(tmp_path)
    hand_in(tmp_path, typed(destination="destination: same owner"))
    every = registers()
    theirs = tuple(
        item.model_copy(update={"owner": "the grocery"}) if item.id == "C-2" else item for item in every.cylinders
    )
    desk = Office(tmp_path, every.model_copy(update={"cylinders": theirs}), TODAY, AT, {})

    def codes(cylinder: str, purpose: Purpose) -> list[str]:
        done = events.turn_in(desk, [Load(cylinder)], to="Basin Reclaim", purpose=purpose, day=DAY)
        return [item.code for item in done.unanswered]

    assert codes("C-1", "reclaim") == ["turn-in-same-owner"]
    assert codes("C-2", "reclaim") == ["turn-in-others-cylinder", "turn-in-same-owner"]
    assert codes("C-2", "returned") == []


def test_what_is_known_of_a_mixed_gas_goes_along_into_another_cylinder(tmp_path: Path) -> None:
    """10 lb of 62/38 and 5 lb of R-22 in C-2 are 'mixed' and known; emptied into C-3, C-3 holds them by name."""
    with store.writing(tmp_path) as writer:
        for job, pounds_in, gas in (("HP-1", "10", "R-22 62 % + R-134a 38 %"), ("HP-2", "5", "R-22")):
            move = {"cylinder": "C-2", "moved_lb": pounds_in, "refrigerant": gas}
            writer.append("job", job, {"date": "2026-11-20", "time": f"1{job[-1]}:00", "moves": [move]})
    shop = office(tmp_path)
    done = events.emptied(shop, "C-2", day=DAY, at=time(15, 0), into="C-3")
    assert done.filed is not None
    state = ledger(registers(), tmp_path, DAY).states["C-3"]
    # 11.2 lb of R-22 and 3.8 lb of R-134a, by hand
    assert state.refrigerant == "R-22 74.7 % + R-134a 25.3 %"
    assert float(mass.lb_from_kg(state.ledger_kg)) == pytest.approx(15.0)


MORE = (
    FORM.replace("job: HP-1041", "job: HP-1042")
    .replace("  start: 08:45", "  start: 13:00")
    .replace("end: 10:20", "end: 14:00")
)


def late(shop: Path) -> Filing:
    """HP-1042 put 5.0 lb into C-2 on top of 7.9 lb, and comes back when everything else is filed."""
    print_it(shop, "HP-1042", revision="BBBB2345", to_recover_lb=5.0, appliance={"charge_lb": 5.0})
    form = (
        MORE.replace("ABCD2345", "BBBB2345")
        .replace("bare_before_gross_lb: 29.5", "bare_before_gross_lb:")
        .replace("bare_after_gross_lb: 59.5", "bare_after_gross_lb:")
        .replace("put_in_lb: 30.0", "put_in_lb:")
        .replace("not_used:", "not_used: yes", 1)
        .replace("inspected: AS", "inspected:", 1)
        .replace("bare_before_gross_lb: 27.5", "bare_before_gross_lb: 35.4")
        .replace("bare_after_gross_lb: 35.4", "bare_after_gross_lb: 40.4")
        .replace("put_in_lb: 7.9", "put_in_lb: 5.0")
        .replace("recovered_lb: 37.9", "recovered_lb: 5.0")
    )
    return hand_in(shop, form, name="HP-1042")


def test_a_receivers_scale_may_show_more_than_the_ledger(shop: Path) -> None:
    known = office(shop, amount_differs="the receiver's scale is the certified one")
    done = events.turn_in(known, [Load("C-1", "33.0")], to="Basin Reclaim", purpose="reclaim", day=DAY)
    assert done.filed is not None, done.problems
    assert pounds(shop)["C-1"] == 0
    assert [(item.how, mass.lb_from_kg(item.kg)) for item in book(shop).journal if item.cylinder == "C-1"] == [
        ("recovered", Decimal(30)),
        ("reclaim", Decimal(-33)),
        ("adjusted", Decimal(1)),
    ]


def test_a_job_filed_after_its_cylinder_was_weighed_is_not_counted_twice(shop: Path) -> None:
    found = events.weighed(office(shop), "C-2", day=DAY, gross="40.4", why="before the rack job")
    assert found.filed is not None
    assert pounds(shop)["C-2"] == Decimal("12.9")
    assert late(shop).filed is not None
    assert pounds(shop)["C-2"] == Decimal("12.9")
    assert not [item for item in book(shop).journal if item.how == "adjusted"]  # the job says where it came from


def test_a_job_filed_after_its_cylinder_was_emptied_into_another_goes_along(shop: Path) -> None:
    assert events.emptied(office(shop), "C-2", day=DAY, at=time(7), into="C-3").filed is not None
    assert pounds(shop) == {"C-1": 32, "C-2": 0, "C-3": Decimal("7.9")}
    assert late(shop).filed is not None
    assert pounds(shop) == {"C-1": 32, "C-2": 0, "C-3": Decimal("12.9")}
    assert book(shop).states["C-3"].refrigerant == "R-404A"


def test_a_job_filed_after_a_discrepancy_was_explained_is_not_counted_twice(tmp_path: Path) -> None:
    """C-2 weighed 5 lb more than the ledger had; the ledger followed the scale; then the job that brought them is filed."""
    print_it(tmp_path)
    assert hand_in(tmp_path).filed is not None
    print_it(tmp_path, "HP-1043", revision="CCCC2345", to_recover_lb=2.0, appliance={"charge_lb": 2.0})
    form = (
        MORE.replace("HP-1042", "HP-1043").replace("ABCD2345", "CCCC2345").replace("2026-11-26", "2026-11-27")
        .replace("bare_before_gross_lb: 29.5", "bare_before_gross_lb:")
        .replace("bare_after_gross_lb: 59.5", "bare_after_gross_lb:")
        .replace("put_in_lb: 30.0", "put_in_lb:")
        .replace("not_used:", "not_used: yes", 1)
        .replace("bare_before_gross_lb: 27.5", "bare_before_gross_lb: 40.4")
        .replace("bare_after_gross_lb: 35.4", "bare_after_gross_lb: 42.4")
        .replace("put_in_lb: 7.9", "put_in_lb: 2.0").replace("recovered_lb: 37.9", "recovered_lb: 2.0")
    )  # fmt: skip
    assert hand_in(tmp_path, form, name="HP-1043", reasons={"date-differs": "it was put off"}).filed is not None
    assert events.explained(office(tmp_path), "C-2", day=DAY, why="a job not filed", follow_scale=True).filed
    assert pounds(tmp_path)["C-2"] == Decimal("14.9")
    assert late(tmp_path).filed is not None
    assert pounds(tmp_path)["C-2"] == Decimal("14.9")


def test_a_receipt_that_comes_later_is_added_and_the_turn_in_stays_one(shop: Path) -> None:
    sent = events.turn_in(office(shop), [Load("C-1")], to="Basin Reclaim", purpose="reclaim", day=DAY)
    assert sent.filed is not None
    assert [item.code for item in sent.findings] == ["turn-in-no-receipt"]
    added = settle.receipt(office(shop), "2", number="M-17")
    assert added.filed is not None
    assert settle.receipt(office(shop), added.filed.name, number="M-17").already
    assert "M-17 already" in settle.receipt(office(shop), added.filed.name, number="M-18").problems[0].message
    assert "no turn-in" in settle.receipt(office(shop), "1", number="M-18").problems[0].message
    assert settle.receipt(office(shop), "99", number="M-18").problems
    assert gone(shop) == [("reclaim", "C-1", Decimal(-32))]
    assert [row.facts.get("reference") for row in month_of(registers(), shop, 2026, 11, today=TODAY).sent] == ["M-17"]
    again = events.turn_in(office(shop), [Load("C-1")], to="Basin Reclaim", purpose="reclaim", day=DAY)
    assert again.already


def test_what_is_left_is_never_less_than_nothing(shop: Path) -> None:
    """7.9 lb by the ledger and 8.2 by the receiver: nothing is left, and the 0.3 lb are adjusted in plain sight."""
    done = events.turn_in(
        office(shop), [Load("C-2", "8.2", part=True)], to="Basin", purpose="reclaim", day=DAY, reference="M-1"
    )
    assert done.filed is not None, done.problems
    assert pounds(shop)["C-2"] == 0
    assert [(item.how, mass.lb_from_kg(item.kg)) for item in book(shop).journal if item.cylinder == "C-2"] == [
        ("recovered", Decimal("7.9")),
        ("reclaim", Decimal("-8.2")),
        ("adjusted", Decimal("0.3")),
    ]
    (adjusted,) = [row for row in month_of(registers(), shop, 2026, 11, today=TODAY).other if row.how == "adjusted"]
    assert "by no more than two scales differ" in adjusted.facts["reason"]
