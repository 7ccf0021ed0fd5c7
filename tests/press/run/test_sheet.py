"""The run sheet says of a day what dispatch must know, and the kit is counted. Rules of the shop (1-job), no source."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, time
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from packet.findings import Finding
from packet.hookup.build import build_hookup
from packet.hookup.kit import hose_name
from packet.hookup.model import Hookup
from packet.ledger.state import opening
from packet.plan.day import plan_day
from packet.plan.day_checks import clock
from packet.plan.day_model import Day
from packet.plan.model import Plan
from packet.press.run.sheet import newest_part, part_html, print_part
from packet.sheets.model import Entry, Table
from packet.sheets.runsheet import RunSheet, TruckPage, run_sheet
from packet.sheets.runsheet_kit import PLAIN, kit_findings, stock, truck_kit
from packet.shop.load import load_day, load_registers
from packet.shop.problems import Problem
from packet.shop.records import Fitting, Hose, Job, Kit, Manifold, Registers, Scale, Truck
from packet.shop.unread import UnreadJob
from packet.statements import Statement, statement, thing
from tests.plan.builders import DEMO, cylinder, job, kit, machine, registers

TRUCKS = {"trucks": (Truck(id="T1", standing_load_lb=100.0, standing_load="nitrogen"), Truck(id="T2"))}
SCALES = tuple(Scale(id=name, capacity_lb=220, resolution_lb=0.1) for name in ("SC-1", "SC-2"))
DRIER = statement("kit-drier", id="FD")


def shop(**changes: int) -> Registers:
    parts: dict[str, Any] = {
        # ports of no stated kind are purged by vacuum, whatever the shop's way
        "tees": (Fitting(id="TEE", count=2, rating_psig=800),),
        "vacuum_pumps": 2,
        "micron_gauges": 2,
        "nitrogen": 2,
        "filter_driers": (Fitting(id="FD", count=3, rating_psig=600),),
        "manifolds": (Manifold(id="MG", count=2, rating_psig=800),),
    }
    own: Kit = kit(**parts).model_copy(update=changes)
    machines = (machine("RM-1"), machine("RM-2"), machine("RM-3"))
    of = registers(
        cylinder("C-1"),
        cylinder("C-2"),
        cylinder("C-3"),
        policy={"purge_hoses": "vapor"},
        shop=TRUCKS,
        scales=SCALES,
        machines=machines,
        kit=own,
    )
    others = tuple(of.technicians[0].model_copy(update={"id": name}) for name in ("bo", "cy"))
    return of.model_copy(update={"technicians": (*of.technicians, *others)})


def first(start: int = 8) -> Job:
    return job("R-22", 9.0, job="A", start=time(start))


def second(start: int = 8) -> Job:
    return job(
        "R-22",
        9.0,
        job="B",
        start=time(start),
        truck="T2",
        technician="bo",
        machine="RM-2",
        scale="SC-2",
        cylinders=("C-2",),
    )


def third() -> Job:
    changes = {"job": "C", "truck": "T3", "technician": "cy", "machine": "RM-3", "scale": "SC-3", "cylinders": ("C-3",)}
    return second().model_copy(update=changes)


def planned(of: Registers, *jobs: Job) -> Day:
    return plan_day(jobs, of, opening(of))


def takes(**kits: Mapping[Statement, int]) -> dict[str, Hookup]:
    return {name: Hookup((), tuple(items.items()), ()) for name, items in kits.items()}


def codes(day: Day, hookups: Mapping[str, Hookup]) -> dict[str, list[str]]:
    return {name: [item.code for item in items] for name, items in found_in(day, hookups).items()}


def found_in(day: Day, hookups: Mapping[str, Hookup]) -> dict[str, tuple[Finding, ...]]:
    # the first of the day finds the kit whole
    first_of_all = min(day.plans, key=lambda plan: plan.job.start)
    return kit_findings(day, hookups, first_of_all.registers)


PUMP = {thing("vacuum pump"): 1}


def test_enough_for_all_is_not_told() -> None:
    day = planned(shop(vacuum_pumps=2), first(), second())
    assert codes(day, takes(A=PUMP, B=PUMP)) == {}


def test_a_second_pump_that_is_not_there_stops_the_last_job_and_says_what_would_do() -> None:
    day = planned(shop(vacuum_pumps=1), first(), second())
    kits = takes(A=PUMP, B=PUMP)
    assert codes(day, kits) == {"B": ["kit-short-today"]}
    told = found_in(day, kits)["B"][0]
    assert told.message == "The shop has 1 × vacuum pump; with this job the trucks need 2: A (T1 08:00), B (T2 08:00)."
    end = next(span.end_min for span in day.spans if span.job == "A")
    assert told.remedy == f"Fetch 1 more, or start at {clock(end)} or later."
    # at that hour it goes, and both trucks are told where the pump changes over
    later = second().model_copy(update={"start": time(round(end + 1) // 60, round(end + 1) % 60)})
    assert codes(planned(shop(vacuum_pumps=1), first(), later), kits) == {"B": ["handed-over"], "A": ["handed-on"]}


def test_a_job_that_stays_at_home_takes_nothing_from_one_that_goes() -> None:
    unassigned = first().model_copy(update={"cylinders": ()})
    day = planned(shop(vacuum_pumps=1), unassigned, second())
    assert codes(day, takes(A=PUMP, B=PUMP)) == {"A": ["kit-short-today"]}


def with_hoses(*hoses: Hose) -> Registers:
    of = shop()
    equipment = of.equipment.model_copy(update={"kit": of.equipment.kit.model_copy(update={"hoses": hoses})})
    return of.model_copy(update={"equipment": equipment})


def hose(name: str, count: int, length_ft: float, bore_in: float = 0.25) -> Hose:
    return Hose(
        id=name, count=count, length_ft=length_ft, bore_in=bore_in, rating_psig=800, shut_off="both-ends", color="red"
    )


def test_other_hoses_are_taken_where_those_of_choice_are_out_and_the_numbers_follow() -> None:
    best, other = hose("H-1", 5, 5), hose("H-2", 5, 10)
    day = planned(with_hoses(best, other), first(), second())
    hookups = {plan.job.job: build_hookup(plan) for plan in day.plans}
    assert [item.hose.id for item in day.plan_of("A").hoses.picked] == ["H-1"] * 5  # type: ignore[union-attr]
    assert {item.hose.id for item in day.plan_of("B").hoses.picked} == {"H-2"}  # type: ignore[union-attr]
    assert codes(day, hookups) == {}
    # twice the length clears twice as much
    (short,), (long,) = (day.plan_of(name).cylinders for name in ("A", "B"))
    assert long.stop_gross_lb.value < short.stop_gross_lb.value
    assert hookups["B"].kit_list
    assert hose_name(other) in dict(hookups["B"].kit_list)
    # alone, or after the other, it has the hoses of choice
    assert {item.hose.id for item in planned(with_hoses(best, other), first(), second(15)).plan_of("B").hoses.picked} == {"H-1"}  # type: ignore[union-attr]  # fmt: skip


def test_where_no_hose_that_is_left_does_it_is_said_what_would() -> None:
    day = planned(with_hoses(hose("H-1", 5, 5), hose("H-3", 9, 2)), first(), second())
    hookups = {plan.job.job: build_hookup(plan) for plan in day.plans}
    assert codes(day, hookups) == {"B": ["kit-short-today"]}
    remedy = found_in(day, hookups)["B"][0].remedy
    assert "hose A, appliance liquid side: 4.5 ft or longer, rated" in remedy
    assert "or start at" in remedy


def with_kit(**parts: Any) -> Registers:
    of = shop()
    equipment = of.equipment.model_copy(update={"kit": of.equipment.kit.model_copy(update=parts)})
    return of.model_copy(update={"equipment": equipment})


def test_a_pump_rated_for_flammable_gas_is_one_of_the_pumps() -> None:
    """Two pumps, one of them rated: a job that needs a rated one and two others need three."""
    day = planned(
        with_kit(vacuum_pumps=2, flammable_rated_vacuum_pumps=1),
        first(),
        second(),
        third(),
    )
    rated = {thing("vacuum pump, rated for flammable refrigerant"): 1}
    assert codes(day, takes(A=rated, B=PUMP, C={})) == {}
    told = found_in(day, takes(A=rated, B=PUMP, C=PUMP))["C"]
    assert [item.message for item in told] == [
        "The shop has 2 × vacuum pump; with this job the trucks need 3: A (T1 08:00), B (T2 08:00), C (T3 08:00)."
    ]
    # the plain job may have the rated one, which is then not there for the other
    told = found_in(day, takes(A=PUMP, B=rated, C=rated))["C"]
    assert "has 1 × vacuum pump, rated for flammable refrigerant; with this job the trucks need 2" in told[0].message


def test_a_tee_that_does_not_stand_the_pressure_is_no_tee_for_the_job() -> None:
    """One tee of 800 psig and nine of 300: two jobs that need 500 find one."""
    tee = {thing("tee with a valve"): 1}
    day = planned(
        with_kit(tees=(Fitting(id="T-3", count=9, rating_psig=300), Fitting(id="T-8", count=1, rating_psig=800))),
        first(),
        second(),
    )
    strong = replace(day, plans=tuple(stands(plan, 500.0) for plan in day.plans))
    told = found_in(strong, takes(A=tee, B=tee))["B"]
    assert told[0].message.startswith("The shop has 1 × tee with a valve, rated 500 psig or more; with this job")
    # a job that a weak one serves takes a weak one
    mixed = replace(day, plans=(stands(day.plan_of("A"), 200.0), stands(day.plan_of("B"), 500.0)))
    assert codes(mixed, takes(A={thing("tee with a valve"): 9}, B=tee)) == {}
    assert codes(mixed, takes(A={thing("tee with a valve"): 10}, B=tee)) == {"B": ["kit-short-today"]}


def stands(plan: Plan, least_psig: float) -> Plan:
    assert plan.hoses is not None
    return replace(plan, hoses=replace(plan.hoses, least_psig=least_psig))


def test_one_pump_on_two_trucks_in_turn_is_handed_over_and_both_are_told_where_and_when() -> None:
    day = planned(shop(vacuum_pumps=1), first(8), second(15))
    kits = takes(A=PUMP, B=PUMP)
    assert codes(day, kits) == {"B": ["handed-over"], "A": ["handed-on"]}
    found = found_in(day, kits)
    end = clock(next(span.end_min for span in day.spans if span.job == "A"))
    assert found["B"][0].message.startswith(f"vacuum pump comes from truck T1: free at about {end} at ")
    assert found["B"][0].message.endswith("(A), needed here at 15:00.")
    assert found["A"][0].message.startswith(
        f"vacuum pump goes to truck T2 after this job, at about {end}: needed at 15:00"
    )


def test_one_truck_uses_its_pump_all_day() -> None:
    later = first(15).model_copy(update={"job": "C"})
    day = planned(shop(vacuum_pumps=1), first(8), later)
    assert codes(day, takes(A=PUMP, C=PUMP)) == {}
    assert truck_kit(day, takes(A=PUMP, C=PUMP)) == {"T1": ((thing("vacuum pump"), 1),)}


def test_filter_driers_are_used_up() -> None:
    later = first(15).model_copy(update={"job": "C"})
    day = planned(shop(), first(8), later)
    assert truck_kit(day, takes(A={DRIER: 1}, C={DRIER: 1})) == {"T1": ((DRIER, 2),)}
    assert codes(day, takes(A={DRIER: 2}, C={DRIER: 1})) == {}
    assert codes(day, takes(A={DRIER: 2}, C={DRIER: 2})) == {"C": ["kit-short-today"]}


class Looked(dict[str, Hookup]):
    """Hookups, and how often one was looked at."""

    looks = 0

    def __getitem__(self, job: str) -> Hookup:
        self.looks += 1
        return super().__getitem__(job)


def looks_at_hookups(jobs: int) -> int:
    """How often the count of the kit looks at a hookup on a day of so many jobs at once, each on a truck of its own."""
    of = shop(vacuum_pumps=1000)
    day = planned(of, first())
    names = [f"J{number}" for number in range(jobs)]
    plans = tuple(
        replace(plan, job=plan.job.model_copy(update={"job": name, "truck": name}))
        for name in names for plan in day.plans
    )  # fmt: skip
    spans = tuple(replace(span, job=name) for name in names for span in day.spans)
    hookups = Looked(takes(**dict.fromkeys(names, PUMP)))
    assert kit_findings(replace(day, plans=plans, spans=spans), hookups, of, lambda _plan, _kit: True) == {}
    return hookups.looks


def test_the_kit_of_a_day_is_counted_in_a_look_or_so_a_job_not_one_a_pair_of_jobs() -> None:
    """Three hundred jobs took a third of a print in which nothing had changed."""
    assert looks_at_hookups(80) <= 2.1 * looks_at_hookups(40)


def test_what_the_register_does_not_count_is_left_to_the_hookup() -> None:
    day = planned(shop(), first(), second())
    assert codes(day, takes(A={thing("face shield"): 5}, B={thing("face shield"): 5})) == {}


@pytest.mark.parametrize("date", ["2026-11-26", "2026-11-27"])
def test_every_piece_of_kit_in_a_hookup_is_counted_in_the_register(date: str) -> None:
    of = load_registers(DEMO).value
    assert of is not None
    day = planned(of, *(load_day(DEMO / date, of).value or ()))
    kinds = (
        "hose",
        "manifold",
        "filter-drier",
        "sight glass",
        "tee",
        "piercing",
        "vacuum",
        "micron",
        "absolute",
        "refrigerant det",
        "oxygen-free",
    )
    named = {
        name for plan in day.plans for name, _ in build_hookup(plan).kit_list if name.sentence("US").startswith(kinds)
    }
    assert named
    assert {PLAIN.get(name, name) for name in named} - stock(of.equipment.kit).keys() == set()


def sheet_of(day: Day, *unread: UnreadJob) -> RunSheet:
    hookups = {plan.job.job: build_hookup(plan) for plan in day.plans}
    return run_sheet(day, hookups, day.plans[0].registers.shop, unread)


def rows(table: Table) -> dict[str, tuple[str, ...]]:
    return {row[0]: row[1:] for row in table.rows}


@pytest.fixture
def truck() -> TruckPage:
    afternoon = job("R-22", 6.0, job="C", start=time(15), cylinders=("C-1", "C-3"))
    return sheet_of(planned(shop(), first(), afternoon)).trucks[0]


def test_jobs_stand_in_running_order(truck: TruckPage) -> None:
    assert [row[1] for row in truck.jobs.rows] == ["A", "C"]
    assert truck.jobs.rows[0][0].startswith("08:00–")


def test_a_cylinder_is_on_the_load_once_with_how_it_is_lifted_and_its_room(truck: TruckPage) -> None:
    cylinder = rows(truck.cylinders)["C-1: DOT-4BA400, WC 47.6 lb"]
    assert cylinder[:3] == ("empty", "A 9.0 lb; C 6.0 lb", "one person")
    assert cylinder[3:5] == ("27.5 lb", "42.5 lb")
    assert [row[0][:3] for row in truck.cylinders.rows] == ["C-1", "C-3"]


def test_machines_are_ticked_with_weight_and_how_they_are_lifted() -> None:
    heavy = machine("RM-1").model_copy(update={"weight_lb": 118.0, "description": "Cart machine"})
    of = shop()
    of = of.model_copy(update={"equipment": of.equipment.model_copy(update={"machines": (heavy,)})})
    assert sheet_of(planned(of, first())).trucks[0].ticks == (
        "Machine RM-1: Cart machine, 118 lb, two people or a hand truck",
        "Scale SC-1",
    )


def test_weights_stand_against_the_limit_of_materials_of_trade(truck: TruckPage) -> None:
    # 100 standing, two tares of 27.5 out (kept for flammable gas, so they count); 15 lb of gas more on the way back;
    # 49 CFR 173.6: 440 lb
    assert "155.0 lb out, 170.0 lb back" in truck.weights
    assert "Within 440 lb for materials of trade (49 CFR 173.6); 270.0 lb may be added." in truck.weights


def test_what_is_missing_is_told() -> None:
    sheet = sheet_of(planned(shop(), job("R-22", 60.0, job="A")))
    (missing,) = sheet.trucks[0].missing
    assert missing.label == "A"
    assert "is left over" in missing.value
    assert "C-2" in missing.value
    assert sheet.trucks[0].jobs.rows[0][-1].startswith("DO NOT DISPATCH")
    assert [(row.job, row.verdict, row.tone) for row in sheet.board.rows] == [("A", "DO NOT DISPATCH", "stop")]


def test_the_board_has_phone_access_crew_and_what_the_cautions_are() -> None:
    at = first().site.model_copy(update={"phone": "555-0161", "contact": "Pru", "access": "Roof hatch."})
    one = first().model_copy(update={"site": at, "second": "bo"})
    later = job("R-134a", 9.0, job="C", start=time(15), cylinders=("C-2",))
    board = sheet_of(planned(shop(), one, later)).board
    assert board.rows[0].reach == ("555-0161 · Pru", "Roof hatch.")
    assert board.rows[0].crew[1].startswith("second: ")
    assert "clear machine" in board.rows[1].words
    assert board.counts == "2 jobs may go out, 0 may not; 1 truck."


def test_a_job_that_cannot_be_read_is_on_the_board_with_its_reason_and_has_a_sheet() -> None:
    problem = Problem("jobs/2026-11-26/Z.yaml", 7, "truck", "There is no truck 'T9'.")
    unread = UnreadJob("Z", Path("jobs/2026-11-26/Z.yaml"), (problem,), truck="T1", start="09:30")
    sheet = sheet_of(planned(shop(), first()), unread)
    assert [(row.job, row.verdict) for row in sheet.board.rows][1] == ("Z", "NOT READ")
    assert "There is no truck 'T9'." in sheet.board.rows[1].words
    assert sheet.board.counts == "1 job may go out, 0 may not, 1 NOT READ; 1 truck."
    assert [row[1] for row in sheet.trucks[0].jobs.rows] == ["A", "Z"]
    assert sheet.unread[0].reasons == ("Line 7, truck: There is no truck 'T9'.",)


def test_conflicts_stand_on_the_board_each_once() -> None:
    clash = second().model_copy(update={"cylinders": ("C-1",)})
    found = sheet_of(planned(shop(), first(), clash)).board
    assert [(entry.label, entry.value[:25]) for entry in found.across] == [
        ("A", "Cylinder C-1 is on truck "),
        ("B", "Cylinder C-1 is on truck "),
    ]
    assert found.counts == "0 jobs may go out, 2 may not; 2 trucks."


def test_a_machine_that_changes_refrigerant_gets_the_step_that_clears_it() -> None:
    later = job("R-134a", 9.0, job="C", start=time(15), cylinders=("C-2",))
    day = planned(shop(), first(), later)
    steps = {
        plan.job.job: " ".join(step.text for stage in build_hookup(plan).stages for step in stage.steps)
        for plan in day.plans
    }
    assert "cleared and evacuated since R-22, screen clean, new filter-drier" in steps["C"]
    assert "evacuated since" not in steps["A"]


def set_part(sheet: RunSheet, number: int, folder: Path, tools: str = "tools") -> Path:
    part = sheet.trucks[number - 1] if number else sheet.board
    at = datetime(2026, 11, 26, 6, 12, tzinfo=UTC)
    return print_part(
        part, shop_folder=folder / "jobs", out=folder / "out", day="2026-11-26", printed_at=at, tools=tools
    ).path


def test_on_paper_nothing_runs_over_and_the_same_is_left_alone(tmp_path: Path) -> None:
    of = load_registers(DEMO).value
    assert of is not None
    day = planned(of, *(load_day(DEMO / "2026-11-26", of).value or ()))
    sheet = sheet_of(day)
    for number, truck in enumerate(sheet.trucks, 1):
        path = set_part(sheet, number, tmp_path)
        pages = PdfReader(BytesIO(path.read_bytes())).pages
        assert len(pages) == 1
        text = " ".join(pages[0].extract_text().split())
        assert truck.title in text
        assert "Print 1, Nov 26, 2026 06:12." in text
        for ride in truck.cylinders.rows:
            assert text.count(f"{ride[0]} {ride[1]}") == 1
    path = set_part(sheet, 0, tmp_path)
    first_print, modified = path.read_bytes(), path.stat().st_mtime_ns
    assert set_part(sheet, 0, tmp_path).stat().st_mtime_ns == modified
    assert set_part(sheet, 0, tmp_path, "newer tools").stat().st_mtime_ns != modified
    assert path.read_bytes() == first_print


@pytest.mark.parametrize("paper", ["letter", "A4"])
def test_the_board_of_twelve_jobs_is_one_page_and_so_is_each_truck(tmp_path: Path, paper: str) -> None:
    of = load_registers(DEMO).value
    assert of is not None
    of = of.model_copy(update={"shop": of.shop.model_copy(update={"paper": paper})})
    access = "Roof hatch in the stock room, key at the till. Hoist point at the north parapet."
    jobs = tuple(
        one.model_copy(update={"site": one.site.model_copy(update={"access": access})})
        for one in load_day(DEMO / "2026-12-01", of).value or ()
    )
    assert len(jobs) == 12
    # one machine goes over to another truck in the middle of the day, which both are told
    jobs = tuple(one.model_copy(update={"machine": "RM-1"}) if one.job == "HP-1205" else one for one in jobs)
    sheet = sheet_of(planned(of, *jobs))
    assert sheet.board.across
    for number in range(len(sheet.trucks) + 1):
        pages = PdfReader(set_part(sheet, number, tmp_path)).pages
        assert len(pages) == 1
    text = " ".join(PdfReader(set_part(sheet, 0, tmp_path)).pages[0].extract_text().split())
    assert sheet.board.across[-1].value in text
    assert text.count("key at the till") == 12


@pytest.mark.parametrize("paper", ["letter", "A4"])
def test_the_board_is_one_page_with_eight_hand_overs_too(tmp_path: Path, paper: str) -> None:
    """Where nothing is said of the access, the sites have the room: an address is not broken into three lines."""
    of = load_registers(DEMO).value
    assert of is not None
    of = of.model_copy(update={"shop": of.shop.model_copy(update={"paper": paper})})
    jobs = tuple(
        one.model_copy(update={"site": one.site.model_copy(update={"access": ""})})
        for one in load_day(DEMO / "2026-12-01", of).value or ()
    )
    sheet = sheet_of(planned(of, *jobs))
    handed = Entry(
        "HP-1206", "SC-3 comes from truck T4: free at about 08:16 at Northgate Cold Store, needed here at 10:00."
    )
    sheet = replace(sheet, board=replace(sheet.board, across=(*sheet.board.across, *[handed] * 8)))
    assert len(PdfReader(set_part(sheet, 0, tmp_path)).pages) == 1


def test_a_page_that_reads_otherwise_is_the_next_print_of_the_day(tmp_path: Path) -> None:
    sheet = sheet_of(planned(shop(), first()))
    set_part(sheet, 1, tmp_path)
    later = sheet_of(planned(shop(), first(9)))
    text = PdfReader(set_part(later, 1, tmp_path)).pages[0].extract_text()
    assert "Print 2, Nov 26, 2026" in " ".join(text.split())
    newest = newest_part(tmp_path / "jobs", "2026-11-26", "T1")
    assert newest is not None
    assert newest.number == 2


def test_the_number_of_a_print_that_cannot_be_read_is_not_given_again(tmp_path: Path) -> None:
    """It is on paper: two pages 'Print 2' that say different things could not be told apart."""

    def number_after(start: int | None = None) -> int:
        if start is not None:
            set_part(sheet_of(planned(shop(), first(start))), 1, tmp_path)
        made = newest_part(tmp_path / "jobs", "2026-11-26", "T1")
        assert made is not None
        return made.number

    assert [number_after(8), number_after(9)] == [1, 2]
    newest = tmp_path / "jobs" / "printed" / "runsheets" / "2026-11-26" / "T1.2.json"
    written = newest.read_bytes()
    whole = b'{"print": %s, "printed_at": "%s", "reads": "x"}'
    for damaged in (
        b"",
        whole % (b"1e999", b"2026-11-26T06:00:00+00:00"),
        whole % (b"2", b"2026-11-26T06:00:00"),
        whole % (b"7", b"2026-11-26T06:00:00+00:00"),
        written[:-40],
    ):
        newest.write_bytes(damaged)
        assert number_after() == 1
    # and what a writer that was killed had begun goes
    part = newest.with_name(".T1.3.json.0badc0de.part")
    part.write_bytes(b"{")
    assert number_after(8) == 3
    assert not part.exists()
    # a truck whose name begins with another's is another truck
    (newest.parent / "T1.2.9.json").write_bytes(whole % (b"9", b"2026-11-26T06:00:00+00:00"))
    assert number_after() == 3


def test_markup_in_a_name_stays_text() -> None:
    board = replace(sheet_of(planned(shop(), first())).board, company="<b>Quillback</b>")
    assert "&lt;b&gt;Quillback" in part_html(board)
