"""A whole day comes back: the demo's first day filed job after job, turned in, and added up by an independent route."""

import csv
import io
import os
import random
import shutil
import signal
import time
from collections import defaultdict
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
import yaml

from packet.ledger import mass
from packet.ledger.check import check_records
from packet.ledger.records import Records, read_more, read_records
from packet.ledger.state import UnreadableRecordsError, ledger
from packet.office import events
from packet.office.cylinders import cylinder_list, cylinders_as_text
from packet.office.enter import Office
from packet.office.file import file_form, file_forms
from packet.office.find import find_jobs
from packet.office.month.csv import month_csv
from packet.office.month.report import month_of
from packet.office.settle import join_ends
from packet.plan.job import plan_job
from packet.sheets.blanks import blanks_of
from packet.sheets.model import RecordPart
from packet.sheets.record import record as record_sheet
from packet.sheets.show import show
from packet.shop.load import job_files, load_job
from packet.shop.records import Registers

from .returned import AT, FORM, TODAY, hand_in, print_it, registers, typed
from .test_form import DEMO, NO_STEPS, demo, field_work, leave_print

__all__ = ["demo"]  # the fixture

DAY = date(2026, 11, 26)
EVENING = datetime(2026, 11, 26, 18, tzinfo=UTC)


def file_the_day(shop: Path, own: Registers) -> dict[str, str]:
    """File every job of the day in the order of starting, each planned on what the ones before left; forms by job."""
    jobs = [load_job(path, own).value for path in job_files(DEMO / DAY.isoformat())]
    forms = {}
    for job in sorted((job for job in jobs if job is not None), key=lambda job: job.start):
        plan = plan_job(job, own, ledger(own, shop, DAY).states)
        assert plan.may_go_out, job.job
        leave_print(plan, shop)
        path = shop / f"{job.job}.readings.yaml"
        forms[job.job] = field_work(plan)
        path.write_text(forms[job.job])
        filing = file_form(path, shop, own, today=DAY, filed_at=EVENING)
        assert (filing.problems, filing.unanswered) == ((), ()), job.job
    return forms


def test_the_demo_day_is_filed_and_the_month_is_what_the_forms_add_up_to(demo: Registers, tmp_path: Path) -> None:
    forms = file_the_day(tmp_path, demo)
    assert len(forms) == 9
    assert check_records(tmp_path) == ()
    # by another route: what the forms themselves say, in fractions of a pound
    by_job, by_cylinder = defaultdict[str, Fraction](Fraction), defaultdict[str, Fraction](Fraction)
    for job, form in forms.items():
        for cylinder, blanks in yaml.load(form, yaml.BaseLoader)["cylinders"].items():
            put = Fraction(blanks["bare_after_gross_lb"]) - Fraction(blanks["bare_before_gross_lb"])
            by_job[job] += put
            by_cylinder[cylinder] += put
    month = month_of(demo, tmp_path, 2026, 11, today=DAY)
    filed = defaultdict[str, Fraction](Fraction)
    for row in csv.DictReader(io.StringIO(month_csv(month))):
        if row["how"] == "recovered":
            filed[row["job"]] += Fraction(row["lb"])
    assert filed == by_job
    states = ledger(demo, tmp_path, DAY).states
    for cylinder in demo.cylinders:
        expected = Fraction(str(cylinder.contents_lb)) + by_cylinder[cylinder.id]
        # one cylinder of the register is typed in kilograms, which end in pounds only after many digits
        assert abs(Fraction(mass.lb_from_kg(states[cylinder.id].ledger_kg)) - expected) < Fraction(1, 10**8)
    assert sum(Fraction(gas.recovered_kg) for gas in month.gases) == sum(by_job.values()) * Fraction(45359237, 10**8)
    assert month.not_filed == ()
    assert len(find_jobs(demo, tmp_path, "2026-11-26", today=DAY)) == 9
    text = cylinders_as_text(cylinder_list(ledger(demo, tmp_path, DAY), DAY), "US")
    assert all(f"\n{cylinder.id} " in text for cylinder in demo.cylinders)


def test_the_form_asks_for_all_that_the_record_sheet_has(demo: Registers) -> None:
    for path in job_files(DEMO / DAY.isoformat()):
        job = load_job(path, demo).value
        assert job is not None
        plan = plan_job(job, demo, ledger(demo, DEMO / "nothing-filed", DAY).states)
        sheet = record_sheet(plan, blanks_of(plan, NO_STEPS), show(plan))
        drawn = [key for part in sheet.parts for key in _drawn(part)]
        form = yaml.load(field_work(plan), yaml.BaseLoader)
        asked = [
            key for key in _flat(form) if key.partition(".")[0] not in {"job", "revision", "reasons", "correction"}
        ]
        assert sorted(drawn) == sorted(asked), job.job


def _drawn(part: RecordPart) -> list[str]:
    asks = [*part.asks]
    if part.cylinders is not None:
        asks += [ask for _, row in part.cylinders.rows for ask in row]
    return [ask.key for ask in asks]


def _flat(tree: object, before: str = "") -> list[str]:
    if not isinstance(tree, dict):
        return [before[:-1]]
    return [key for name, value in tree.items() for key in _flat(value, f"{before}{name}.")]


def test_a_stack_of_forms_is_filed_and_one_that_is_wrong_holds_up_no_other(tmp_path: Path) -> None:
    forms = []
    for number in range(1, 6):
        job = f"HP-{number}"
        print_it(tmp_path, job)
        forms.append(tmp_path / f"{job}.yaml")
        hour = 6 + 3 * number
        forms[-1].write_text(typed(job=f"job: {job}", start=f"  start: {hour}:00", end=f"  end: {hour + 1}:30"))
    forms[2].write_text(FORM.replace("2026-11-26", "26 Nov"))
    done = file_forms(forms, tmp_path, registers(), today=TODAY, filed_at=AT)
    # the second and later jobs weigh cylinders that the first filled by the ledger: noted, filed all the same
    assert [item.filed is not None for item in done] == [True, True, False, True, True]
    assert done[2].problems
    assert "weight-differs" in [item.code for item in done[1].findings]
    assert [item.subject for item in read_records(tmp_path).filed] == ["HP-1", "HP-2", "HP-4", "HP-5"]


@pytest.mark.parametrize("forms", [(FORM, FORM), (FORM, typed(waited="  waited_minutes: 12"))])
def test_two_people_filing_the_same_job_at_once_file_it_once(tmp_path: Path, forms: tuple[str, str]) -> None:
    print_it(tmp_path)
    for _ in range(10):
        children = []
        for number, form in enumerate(forms):
            path = tmp_path / f"form-{number}.yaml"
            path.write_text(form)
            child = os.fork()
            if child == 0:
                done = file_form(path, tmp_path, registers(), today=TODAY, filed_at=AT)
                os._exit(0 if done.filed is not None else 3)
            children.append(child)
        codes = sorted(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children)
        assert codes == (
            [0, 0] if forms[0] == forms[1] else [0, 3]
        )  # the same form is filed already; another is refused
        assert len(read_records(tmp_path).filed) == 1
        assert check_records(tmp_path) == ()
        for path in (tmp_path / "filed").glob("*.json"):
            path.unlink()
        (tmp_path / ".filed").unlink()


def test_killed_while_filing_a_stack_the_office_files_it_again_and_every_job_is_there_once(tmp_path: Path) -> None:
    chance = random.Random(1041)
    jobs = [f"HP-{number}" for number in range(1, 7)]
    forms = []
    for number, job in enumerate(jobs):
        print_it(tmp_path, job)
        forms.append(tmp_path / f"{job}.yaml")
        forms[-1].write_text(
            typed(job=f"job: {job}", start=f"  start: {2 + 3 * number}:00", end=f"  end: {3 + 3 * number}:30")
        )

    def file_them() -> bool:
        return all(item.filed for item in file_forms(forms, tmp_path, registers(), today=TODAY, filed_at=AT))

    deaths = 0
    for _ in range(60):
        child = os.fork()
        if child == 0:
            os._exit(0 if file_them() else 1)
        time.sleep(chance.uniform(0.0, 0.06))
        os.kill(child, signal.SIGKILL)
        deaths += os.WIFSIGNALED(os.waitpid(child, 0)[1])
        done = [item.subject for item in read_records(tmp_path).filed]
        assert done == jobs[: len(done)]
        if done == jobs:
            shutil.rmtree(tmp_path / "filed")
            (tmp_path / ".filed").unlink()
    assert deaths > 10
    assert file_them()
    assert [item.subject for item in read_records(tmp_path).filed] == jobs
    assert check_records(tmp_path) == ()
    # six times 37.9 lb on top of the register's 2 lb, none lost and none double
    assert sum(
        mass.lb_from_kg(state.ledger_kg) for state in ledger(registers(), tmp_path, TODAY).states.values()
    ) == Decimal("229.4")


def test_only_what_was_filed_since_is_read_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    print_it(tmp_path)
    print_it(tmp_path, "HP-1042")
    assert hand_in(tmp_path).filed
    known = read_records(tmp_path)
    assert hand_in(tmp_path, typed(job="job: HP-1042"), name="HP-1042").filed
    opened: list[str] = []
    real = os.open

    def watched(path: str, *more: int) -> int:
        opened.append(str(path))
        return real(path, *more)

    monkeypatch.setattr(os, "open", watched)
    both = read_more(tmp_path, known)
    assert [Path(path).name for path in opened] == ["000002-HP-1042.json", ".filed"]
    assert both == read_records(tmp_path)
    assert both.filed[0] is known.filed[0]


def test_a_note_in_the_folder_stops_nothing_and_half_a_record_stops_everything(tmp_path: Path) -> None:
    print_it(tmp_path)
    assert hand_in(tmp_path).filed
    (tmp_path / "filed" / "Thumbs.db").write_bytes(b"\0")
    assert ledger(registers(), tmp_path, TODAY).states["C-1"].contents_lb == 32.0
    print_it(tmp_path, "HP-1042")
    assert hand_in(tmp_path, typed(job="job: HP-1042"), name="HP-1042").filed
    (tmp_path / "filed" / "000002-HP-1042 (copy).json").write_text("record: 000002\n")
    with pytest.raises(UnreadableRecordsError):
        ledger(registers(), tmp_path, TODAY)


def test_on_an_edited_record_nothing_is_added_up_until_the_office_has_settled_it(tmp_path: Path) -> None:
    print_it(tmp_path)
    assert hand_in(tmp_path).filed
    print_it(tmp_path, "HP-1042")
    path = tmp_path / "filed" / "000001-HP-1041.json"
    path.write_text(path.read_text().replace("A. Sample", "B. Young"))
    said = "filed/000001-HP-1041.json was changed after it was filed."
    for added_up in (
        lambda: cylinder_list(ledger(registers(), tmp_path, TODAY), TODAY),
        lambda: month_of(registers(), tmp_path, 2026, 11, today=TODAY),
        lambda: hand_in(tmp_path, typed(job="job: HP-1042"), name="HP-1042"),
    ):
        with pytest.raises(UnreadableRecordsError, match=said):
            added_up()
    office = Office(tmp_path, registers(), TODAY, AT, {})
    assert join_ends(office, why="typed over by mistake, looked at").filed
    assert ledger(registers(), tmp_path, TODAY).states["C-1"].contents_lb == 32.0


@pytest.mark.parametrize("lost", ["000001-HP-1041.json", "000002-HP-1042.json", ""])
def test_on_a_lost_record_or_a_folder_that_is_not_there_nothing_is_planned(tmp_path: Path, lost: str) -> None:
    """The middle one, the last one, or the whole folder: a drive that is not mounted is an empty folder."""
    for job in ("HP-1041", "HP-1042"):
        print_it(tmp_path, job)
        assert hand_in(tmp_path, typed(job=f"job: {job}"), name=job).filed
    ledger(registers(), tmp_path, TODAY)
    if lost:
        (tmp_path / "filed" / lost).unlink()
    else:
        shutil.rmtree(tmp_path / "filed")
    with pytest.raises(UnreadableRecordsError, match="no longer there" if lost else "empty or not there"):
        ledger(registers(), tmp_path, TODAY)
    office = Office(tmp_path, registers(), TODAY, AT, {})
    assert join_ends(office, why="the laptop fell into the creek").filed
    ledger(registers(), tmp_path, TODAY)


def test_a_witness_that_cannot_be_read_stops_and_is_named(tmp_path: Path) -> None:
    print_it(tmp_path)
    assert hand_in(tmp_path).filed
    (tmp_path / ".filed").write_bytes(b"\0" * 40)
    with pytest.raises(UnreadableRecordsError, match=r"\.filed' cannot be read"):
        ledger(registers(), tmp_path, TODAY)
    assert [item.file for item in check_records(tmp_path)] == [".filed"]


def test_gas_of_the_day_goes_to_reclaim_and_the_ledger_is_empty_of_it(demo: Registers, tmp_path: Path) -> None:
    file_the_day(tmp_path, demo)
    states = ledger(demo, tmp_path, DAY).states
    full = [key for key, state in states.items() if state.ledger_kg > 0]
    office = Office(
        tmp_path,
        demo,
        DAY,
        EVENING,
        {"turn-in-others-cylinder": "the bakery gave it to us", "turn-in-same-owner": "the owner agreed"},
    )
    done = events.turn_in(office, [events.Load(key) for key in full], to="Basin Reclaim", purpose="reclaim", day=DAY)
    assert done.filed is not None
    assert all(state.ledger_kg == 0 for state in ledger(demo, tmp_path, DAY).states.values())
    month = month_of(demo, tmp_path, 2026, 11, today=DAY)
    assert all(gas.opening_kg + gas.recovered_kg == -gas.reclaim_kg for gas in month.gases)
    assert read_more(tmp_path, Records((), ())).edited == ()
