"""A whole morning printed: what comes out, what is left alone, and what one job's trouble does to the others."""

import errno
import os
import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import yaml
from pypdf import PdfReader

from packet.ledger.store import writing
from packet.ledger.witness import Witness, write_witness
from packet.office.form import empty_form
from packet.press import job as press_job
from packet.press import printed as printed_records
from packet.press.job import print_packet
from packet.press.leaves import different, in_the_field
from packet.press.printed import records_of
from packet.press.run import work as run_work
from packet.press.run.model import Event, Options, PrintOrder, Summary
from packet.press.run.print_days import print_jobs
from packet.press.run.progress import event_lines, shown, summary_lines
from packet.press.run.stale import Truth, printed_now
from packet.press.run.state import BusyError, alone
from packet.shop.problems import WrongPathError

DEMO = Path(__file__).parents[3] / "jobs"
DAY = "2026-11-26"
JOBS = ("HP-1041", "HP-1045", "HP-1047")  # trucks T1, T1, T3
NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def shop_with(folder: Path, day: str, jobs: tuple[str, ...]) -> Path:
    """A copy of the demo shop with some of its jobs."""
    shop = folder / "jobs"
    (shop / day).mkdir(parents=True)
    for path in DEMO.glob("*.yaml"):
        shutil.copy(path, shop)
    for job in jobs:
        shutil.copy(DEMO / day / f"{job}.yaml", shop / day)
    return shop


def run(folder: Path, listener: Callable[[Event], None] | None = None, day: str = DAY, **options: Any) -> Summary:
    # a minute later each time, as the newest print is the one that was printed last
    printed_at = NOON + timedelta(minutes=len(list((folder / "jobs").glob("printed/*"))))
    request = PrintOrder(
        (folder / "jobs" / day,), folder / "out", printed_at, empty_form, Options(**{"workers": 1} | options)
    )
    return print_jobs(request, listener) if listener else print_jobs(request)


@pytest.fixture(scope="module")
def first_run(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Summary, list[Event]]:
    folder = tmp_path_factory.mktemp("morning")
    shop_with(folder, DAY, JOBS)
    events: list[Event] = []
    return folder, run(folder, events.append, workers=2), events


@pytest.fixture
def printed(first_run: tuple[Path, Summary, list[Event]], tmp_path: Path) -> Path:
    """A copy of the printed morning that a test may change."""
    folder = tmp_path / "morning"
    shutil.copytree(first_run[0], folder)
    return folder


def edit(folder: Path, job: str, old: str, new: str) -> None:
    path = folder / "jobs" / DAY / f"{job}.yaml"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def files(folder: Path) -> dict[str, bytes]:
    out = folder / "out"
    return {path.name: path.read_bytes() for path in out.iterdir() if path.is_file()}


def words(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def outcomes(summary: Summary) -> dict[str, str]:
    return {item.job: item.outcome for item in summary.results}


def test_a_morning_leaves_a_packet_and_a_form_a_job_a_stack_a_truck_and_the_run_sheet(
    first_run: tuple[Path, Summary, list[Event]],
) -> None:
    folder, summary, _ = first_run
    assert set(files(folder)) == (
        {f"{job}.pdf" for job in JOBS}
        | {f"{job}.readings.yaml" for job in JOBS}
        | {f"{DAY}-{truck}.pdf" for truck in ("T1", "T3")}
        | {f"{DAY}-runsheet.pdf"}
    )
    assert outcomes(summary) == dict.fromkeys(JOBS, "printed")
    assert summary.exit_status == 0
    printed = folder / "jobs" / "printed"
    assert {path.name for path in printed.glob("[!.]*") if path.is_file()} == {
        f"{item.job}.{item.revision}.json" for item in summary.results
    }
    assert {path.name for path in (printed / "runsheets" / DAY).iterdir()} == {
        "runsheet.1.json",
        "T1.1.json",
        "T3.1.json",
    }


def test_the_stack_holds_the_trucks_packets_in_running_order_each_from_a_front_side(
    first_run: tuple[Path, Summary, list[Event]],
) -> None:
    out = first_run[0] / "out"
    stacked = [page.extract_text() for page in PdfReader(out / f"{DAY}-T1.pdf").pages]
    (page,) = PdfReader(out / ".state" / "parts" / f"{DAY}-T1.pdf").pages
    expected = [page.extract_text(), ""]
    for job in ("HP-1041", "HP-1045"):
        pages = [page.extract_text() for page in PdfReader(out / f"{job}.pdf").pages]
        expected += pages + [""] * (len(pages) % 2)
    assert stacked == expected


def test_a_stack_has_a_bookmark_a_paper_and_below_it_one_a_sheet(
    first_run: tuple[Path, Summary, list[Event]],
) -> None:
    folder, summary, _ = first_run
    top, first, sheets, *_ = PdfReader(folder / "out" / f"{DAY}-T1.pdf").outline
    assert (str(top.title), str(first.title)) == ("Truck T1", "HP-1041")  # type: ignore[union-attr]
    pages = next(item.pages for item in summary.results if item.job == "HP-1041")
    titles = [str(item.title) for item in sheets]  # type: ignore[union-attr]
    assert titles == list(dict.fromkeys(name for names in pages for name in names.split(", ") if name))


def test_the_run_sheet_lists_every_job_and_every_cylinder(first_run: tuple[Path, Summary, list[Event]]) -> None:
    text = words(first_run[0] / "out" / f"{DAY}-runsheet.pdf")
    for name in (*JOBS, "C-118", "C-102", "F-202", "Truck T1", "Truck T3"):
        assert name in text
    assert "3 jobs may go out, 0 may not; 2 trucks" in text


def test_the_listener_hears_of_every_job_once(first_run: tuple[Path, Summary, list[Event]]) -> None:
    _, _, events = first_run
    done = [event for event in events if event.kind == "done"]
    assert sorted(event.name for event in done) == sorted(JOBS)
    assert [event.done for event in done] == [1, 2, 3]
    assert {event.total for event in done} == {3}
    assert {event.kind for event in events} == {"planning", "planned", "done", "stack", "runsheet"}


def test_nothing_changed_nothing_done(printed: Path) -> None:
    before = {path: path.stat().st_mtime_ns for path in printed.rglob("*") if path.is_file()}
    events: list[Event] = []
    summary = run(printed, events.append)
    assert outcomes(summary) == dict.fromkeys(JOBS, "unchanged")
    assert summary.cautions > 0
    assert "taken" not in {event.kind for event in events}
    assert {path: path.stat().st_mtime_ns for path in printed.rglob("*") if path.is_file()} == before


def test_fresh_prints_all_to_the_same_bytes_with_one_worker_as_with_two_and_adds_no_record(printed: Path) -> None:
    before = files(printed)
    assert outcomes(run(printed, fresh=True, workers=1)) == dict.fromkeys(JOBS, "printed")
    assert files(printed) == before
    assert all(len(records_of(printed / "jobs", job)) == 1 for job in JOBS)


def test_only_the_changed_job_is_printed_and_its_front_says_what_changed(printed: Path) -> None:
    before = files(printed)
    edit(printed, "HP-1047", "start: 11:30", "start: 11:45")
    summary = run(printed)
    assert outcomes(summary) == dict.fromkeys(JOBS, "unchanged") | {"HP-1047": "printed"}
    result = next(item for item in summary.results if item.job == "HP-1047")
    older, newer = records_of(printed / "jobs", "HP-1047")
    assert (result.replaces, result.revision) == (older.revision, newer.revision)
    front = PdfReader(printed / "out" / "HP-1047.pdf").pages[0].extract_text()
    assert f"Replaces revision {older.revision}" in " ".join(front.split())
    changed = {name for name, content in files(printed).items() if content != before[name]}
    assert changed == {"HP-1047.pdf", "HP-1047.readings.yaml", f"{DAY}-T3.pdf", f"{DAY}-runsheet.pdf"}


def test_a_register_that_no_packet_uses_prints_nothing(printed: Path) -> None:
    path = printed / "jobs" / "technicians.yaml"
    path.write_text(path.read_text("utf-8") + "\n# a comment\n", "utf-8")
    assert outcomes(run(printed)) == dict.fromkeys(JOBS, "unchanged")


def test_a_packet_that_was_touched_or_lost_is_printed_again(printed: Path) -> None:
    before = files(printed)
    (printed / "out" / "HP-1041.pdf").write_bytes(b"%PDF-1.7 cut off")
    (printed / "out" / "HP-1047.pdf").unlink()
    assert outcomes(run(printed)) == {"HP-1041": "printed", "HP-1045": "unchanged", "HP-1047": "printed"}
    assert files(printed) == before


def test_a_print_whose_record_is_lost_is_recorded_again(printed: Path) -> None:
    (record,) = (printed / "jobs" / "printed").glob("HP-1047.*")
    record.unlink()
    assert outcomes(run(printed)) == dict.fromkeys(JOBS, "unchanged") | {"HP-1047": "printed"}
    assert record.is_file()


def test_a_job_cannot_have_the_name_of_the_run_sheet_or_a_stack(printed: Path) -> None:
    folder = printed / "jobs" / DAY
    for name in (f"{DAY}-runsheet", f"{DAY}-T3"):
        text = (folder / "HP-1047.yaml").read_text("utf-8")
        (folder / f"{name}.yaml").write_text(text.replace("job: HP-1047", f"job: {name}"), "utf-8")
    summary = run(printed)
    assert outcomes(summary) == dict.fromkeys(JOBS, "unchanged") | {
        f"{DAY}-T3": "not-read",
        f"{DAY}-runsheet": "not-read",
    }
    assert [problem.message for problem in summary.problems] == [
        f"'{DAY}-T3' is the name of another paper in the output folder.",
        f"'{DAY}-runsheet' is the name of another paper in the output folder.",
    ]
    # they are told on the run sheet, and neither lies over it nor over a stack
    board = words(printed / "out" / f"{DAY}-runsheet.pdf").replace(" ", "")  # a narrow column breaks at its dashes
    assert f"'{DAY}-T3'isthenameofanotherpaper" in board
    assert "DO NOT DISPATCH" not in words(printed / "out" / f"{DAY}-runsheet.pdf")


def test_a_form_somebody_typed_into_is_kept(printed: Path) -> None:
    form = printed / "out" / "HP-1047.readings.yaml"
    typed = form.read_text("utf-8") + "# half done\n"
    form.write_text(typed, "utf-8")
    edit(printed, "HP-1047", "start: 11:30", "start: 11:45")
    result = next(item for item in run(printed).results if item.job == "HP-1047")
    assert form.read_text("utf-8") == typed
    assert result.form == printed / "out" / f"HP-1047.{result.revision}.readings.yaml"
    assert yaml.safe_load(result.form.read_text("utf-8"))["revision"] == result.revision
    assert "has been typed into and was kept" in result.words[0]


def test_a_job_that_may_not_go_out_gets_its_stop_sheet_over_the_old_packet(printed: Path) -> None:
    edit(printed, "HP-1041", "cylinders: [C-118]", "cylinders: [C-125]")
    summary = run(printed)
    assert outcomes(summary)["HP-1041"] == "stopped"
    assert summary.exit_status == 1
    assert "DO NOT DISPATCH" in words(printed / "out" / "HP-1041.pdf")
    assert not (printed / "out" / "HP-1041.readings.yaml").exists()
    assert "DO NOT DISPATCH" in words(printed / "out" / f"{DAY}-T1.pdf")
    again = run(printed)
    assert outcomes(again)["HP-1041"] == "stopped"
    assert again.exit_status == 1


def test_one_truck_is_printed_alone(tmp_path: Path) -> None:
    shop_with(tmp_path, DAY, JOBS)
    assert outcomes(run(tmp_path, trucks=("T3",))) == {"HP-1047": "printed"}
    assert set(files(tmp_path)) == {"HP-1047.pdf", "HP-1047.readings.yaml", f"{DAY}-T3.pdf", f"{DAY}-runsheet.pdf"}
    with pytest.raises(WrongPathError, match="no job for truck 'T9'"):
        run(tmp_path, trucks=("T9",))


def test_one_job_is_printed_alone_and_a_stack_that_would_be_wrong_is_taken_away(printed: Path) -> None:
    edit(printed, "HP-1041", "start: 07:30", "start: 07:45")
    edit(printed, "HP-1045", "start: 13:30", "start: 13:45")
    summary = run(printed, jobs=("HP-1041",))
    assert outcomes(summary) == {"HP-1041": "printed"}
    assert {path.name for path in summary.taken} == {"HP-1045.pdf", f"{DAY}-T1.pdf"}
    assert not {"HP-1045.pdf", "HP-1045.readings.yaml", f"{DAY}-T1.pdf"} & files(printed).keys()
    assert outcomes(run(printed, jobs=("HP-1045",))) == {"HP-1045": "printed"}
    assert (printed / "out" / f"{DAY}-T1.pdf").exists()
    with pytest.raises(WrongPathError, match="no job 'HP-9'"):
        run(printed, jobs=("HP-9",))


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), RuntimeError("a slip of ours")])
def test_what_befalls_one_job_never_stops_the_others(
    printed: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def failing(plan: Any, hookup: Any, **kwargs: Any) -> Any:
        if plan.job.job == "HP-1041":
            raise error
        return print_packet(plan, hookup, **kwargs)

    edit(printed, "HP-1041", "start: 07:30", "start: 07:45")
    edit(printed, "HP-1047", "start: 11:30", "start: 11:45")
    monkeypatch.setattr(run_work, "print_packet", failing)
    summary = run(printed)
    assert outcomes(summary) == {"HP-1041": "failed", "HP-1045": "unchanged", "HP-1047": "printed"}
    assert summary.exit_status == 3
    assert str(error) in " ".join(summary.results[0].words)
    # a stack with the old packet in it would look current
    assert f"{DAY}-T1.pdf" not in files(printed)
    monkeypatch.undo()
    assert outcomes(run(printed)) == {"HP-1041": "printed", "HP-1045": "unchanged", "HP-1047": "unchanged"}


def test_a_hookup_that_cannot_be_made_is_never_printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shop_with(tmp_path, DAY, ("HP-1047",))

    def failing(plan: Any) -> Any:
        raise RuntimeError("a slip of ours")

    monkeypatch.setattr(run_work, "build_hookup", failing)
    assert outcomes(run(tmp_path)) == {"HP-1047": "failed"}
    assert set(files(tmp_path)) == {f"{DAY}-runsheet.pdf"}


def test_problems_in_one_file_are_told_and_the_other_jobs_printed(printed: Path) -> None:
    edit(printed, "HP-1045", "start: 13:30", "start: half past one")
    summary = run(printed)
    assert outcomes(summary) == {"HP-1041": "unchanged", "HP-1045": "not-read", "HP-1047": "unchanged"}
    assert [problem.field for problem in summary.problems] == ["start"]
    assert summary.exit_status == 1
    assert "1 problem in the input" in summary_lines(summary)[-1]


def test_a_print_record_that_was_changed_stops_its_own_job_and_is_no_fault_of_the_machines(printed: Path) -> None:
    (record,) = (printed / "jobs" / "printed").glob("HP-1047.*.json")
    record.write_bytes(record.read_bytes()[:-9])
    summary = run(printed)
    assert outcomes(summary) == {"HP-1041": "unchanged", "HP-1045": "unchanged", "HP-1047": "failed"}
    (failed,) = (item for item in summary.results if item.job == "HP-1047")
    assert failed.words[0].startswith(f"'{record}' is no print record")
    assert summary.exit_status == 1
    assert not (printed / "out" / "HP-1047.pdf").exists()


def test_a_packet_whose_print_record_cannot_be_written_does_not_lie_there(
    printed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full or read-only folder of records: neither the new packet nor the old one may be taken along."""
    edit(printed, "HP-1047", "start: ", "start: 06:01 # ")

    def full(*_arguments: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(press_job, "write_record", full)
    summary = run(printed)
    assert outcomes(summary)["HP-1047"] == "failed"
    assert summary.exit_status == 3
    assert not (printed / "out" / "HP-1047.pdf").exists()
    truck = next(item.truck for item in summary.results if item.job == "HP-1047")
    assert not (printed / "out" / f"{DAY}-{truck}.pdf").exists()
    monkeypatch.undo()
    assert outcomes(run(printed))["HP-1047"] == "printed"


def test_what_is_edited_while_a_run_prints_is_said_and_printed_next_time(printed: Path) -> None:
    def editing(event: Event) -> None:
        if event.kind == "planned":
            edit(printed, "HP-1047", "start: ", "start: 06:01 # ")

    summary = run(printed, editing)
    assert [(Path(item.file).name, item.message) for item in summary.problems] == [
        ("HP-1047.yaml", "The file was changed while the packets were being printed.")
    ]
    assert summary.exit_status == 1
    again = run(printed)
    assert outcomes(again)["HP-1047"] == "printed"
    assert again.problems == ()


def test_a_filed_job_is_not_printed_again(printed: Path) -> None:
    with writing(printed / "jobs") as writer:
        writer.append("job", "HP-1047", {"date": DAY, "time": "14:20"})
    before = files(printed)
    edit(printed, "HP-1047", "start: 11:30", "start: 11:45")
    summary = run(printed)
    assert outcomes(summary) == dict.fromkeys(JOBS, "unchanged") | {"HP-1047": "filed"}
    assert files(printed)["HP-1047.pdf"] == before["HP-1047.pdf"]


def test_two_runs_do_not_print_into_one_folder_at_once(printed: Path) -> None:
    with alone(printed / "out"), pytest.raises(BusyError):
        run(printed)


def test_what_an_interrupted_run_left_is_swept(printed: Path) -> None:
    left = printed / "out" / ".HP-1041.pdf.0badc0de.part"
    left.write_bytes(b"%PDF")
    run(printed)
    assert not left.exists()


def test_plain_lines_say_where_each_packet_went(first_run: tuple[Path, Summary, list[Event]]) -> None:
    folder, summary, events = first_run
    lines = [line for event in events for line in event_lines(event)]
    assert f"HP-1047 printed: {folder / 'out' / 'HP-1047.pdf'}" in lines
    assert f"run sheet: {folder / 'out' / f'{DAY}-runsheet.pdf'}" in lines
    assert summary_lines(summary)[-1].startswith("3 printed, 0 unchanged, 0 stopped, ")
    unread = replace(summary.results[0], outcome="not-read", words=("Line 7.",))
    assert "1 not read" in summary_lines(replace(summary, results=(unread,)))[-1]


def test_jobs_are_told_in_the_order_of_the_trucks(first_run: tuple[Path, Summary, list[Event]]) -> None:
    stream = StringIO()
    planned = next(event for event in first_run[2] if event.kind == "planned")
    assert planned.order == ("HP-1041", "HP-1045", "HP-1047")
    done = sorted((event for event in first_run[2] if event.kind == "done"), key=lambda event: event.name, reverse=True)
    with shown(stream) as listener:
        for event in (planned, *done):
            listener(event)
    told = [line.split()[0] for line in stream.getvalue().splitlines() if " printed: " in line]
    assert told == list(planned.order)


def test_whoever_stops_reading_does_not_stop_the_print() -> None:
    class Gone(StringIO):
        def write(self, _text: str) -> int:
            raise BrokenPipeError

        def fileno(self) -> int:
            return os.open(os.devnull, os.O_WRONLY)

    with shown(Gone()) as listener:
        listener(Event("stack", 1, 1, "x", Path("x.pdf")))


class Terminal(StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_a_terminal_gets_a_bar_with_the_jobs_and_a_pipe_plain_lines(
    first_run: tuple[Path, Summary, list[Event]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "100")
    for stream in (Terminal(), StringIO()):
        with shown(stream) as listener:
            for event in first_run[2]:
                listener(event)
        seen = stream.getvalue()
        assert all(f"{job} printed: " in seen for job in JOBS)
        assert ("3/3" in seen) == stream.isatty()
        assert ("\x1b[" in seen) == stream.isatty()


def test_a_job_that_cannot_be_read_is_not_read_on_the_run_sheet_and_in_the_stack(printed: Path) -> None:
    edit(printed, "HP-1045", "truck: T1", "truck: T1\ntypo_here: 1")
    summary = run(printed)
    assert summary.exit_status == 1
    assert "1 NOT READ" in words(printed / "out" / f"{DAY}-runsheet.pdf")
    sheet = words(printed / "out" / "HP-1045.pdf")
    assert "DO NOT DISPATCH" in sheet
    assert "'typo_here' is not a key here" in sheet
    assert "'typo_here' is not a key here" in words(printed / "out" / f"{DAY}-T1.pdf")
    assert not (printed / "out" / "HP-1045.readings.yaml").exists()
    # put right, it is a packet again
    edit(printed, "HP-1045", "typo_here: 1\n", "")
    assert outcomes(run(printed))["HP-1045"] == "printed"
    assert "NOT READ" not in words(printed / "out" / f"{DAY}-runsheet.pdf")


def test_where_even_the_truck_cannot_be_read_the_sheet_is_in_the_run_sheet(printed: Path) -> None:
    (printed / "jobs" / DAY / "HP-1047.yaml").write_text("a: [\n", "utf-8")
    run(printed)
    assert "DO NOT DISPATCH" in words(printed / "out" / f"{DAY}-runsheet.pdf")
    assert f"{DAY}-T3.pdf" not in files(printed)


def test_a_fifo_and_a_folder_with_a_jobs_name_stop_themselves_and_not_the_day(printed: Path) -> None:
    os.mkfifo(printed / "jobs" / DAY / "HP-1.yaml")
    (printed / "jobs" / DAY / "HP-2.yaml").mkdir()
    found = outcomes(run(printed))
    assert found == dict.fromkeys(JOBS, "unchanged") | {"HP-1": "not-read", "HP-2": "not-read"}


def test_what_is_no_longer_true_is_taken_away(printed: Path) -> None:
    folder = printed / "jobs" / DAY
    # one job is called off, another moves to another truck, by hand
    edit(printed, "HP-1047", "truck: T3", "truck: T3\ncalled_off: customer sold the unit")
    edit(printed, "HP-1045", "truck: T1", "truck: T2")
    summary = run(printed)
    assert {path.name for path in summary.taken} >= {"HP-1047.pdf", f"{DAY}-T3.pdf"}
    assert "HP-1047.readings.yaml" not in files(printed)
    told = words(printed / "out" / f"{DAY}-runsheet.pdf")
    assert "HP-1047" not in told
    marks = [
        str(item.title) for item in PdfReader(printed / "out" / f"{DAY}-T1.pdf").outline if not isinstance(item, list)
    ]
    assert marks == ["Truck T1", "HP-1041"]
    # and one is deleted altogether
    (folder / "HP-1045.yaml").unlink()
    run(printed)
    assert not {"HP-1045.pdf", "HP-1045.readings.yaml", f"{DAY}-T2.pdf"} & files(printed).keys()


def test_the_papers_of_another_day_are_looked_at_too(printed: Path) -> None:
    shop, other = printed / "jobs", "2026-11-27"
    (shop / other).mkdir()
    shutil.copy(DEMO / other / "HP-1056.yaml", shop / other)
    run(printed, day=other)
    assert f"{other}-T4.pdf" in files(printed)
    register = shop / "shop.yaml"
    register.write_text(register.read_text("utf-8").replace("phone: 555-0140", "phone: 555-0149"), "utf-8")
    summary = run(printed)
    assert outcomes(summary).keys() == set(JOBS)
    # HP-1056 has the office's phone on its paper
    assert {path.name for path in summary.taken} >= {"HP-1056.pdf", f"{other}-T4.pdf"}
    assert f"{other}-T4.pdf" not in files(printed)


def test_without_a_shop_that_can_be_read_no_stack_looks_current(printed: Path) -> None:
    (printed / "jobs" / "shop.yaml").write_text("company: [\n", "utf-8")
    summary = run(printed)
    assert summary.exit_status == 1
    assert not [name for name in files(printed) if name.startswith(DAY)]


def test_only_the_leaves_that_differ(printed: Path) -> None:
    edit(printed, "HP-1047", "start: 11:30", "start: 11:45")
    summary = run(printed, changed=True)
    (leaves,) = summary.leaves
    assert leaves.name == f"{DAY}-T3.changed.pdf"
    pages = PdfReader(leaves).pages
    whole = PdfReader(printed / "out" / "HP-1047.pdf").pages
    assert 2 <= len(pages) < len(whole)
    assert len(pages) % 2 == 0
    result = next(item for item in summary.results if item.job == "HP-1047")
    assert all(result.revision in page.extract_text() for page in pages if page.extract_text())


def test_changed_leaves_go_when_the_packets_they_were_cut_from_are_printed_anew(printed: Path) -> None:
    edit(printed, "HP-1047", "start: 11:30", "start: 11:45")
    (leaves,) = run(printed, changed=True).leaves
    assert run(printed).taken == ()
    assert leaves.is_file()
    edit(printed, "HP-1047", "start: 11:45", "start: 12:00")
    assert leaves in run(printed).taken
    assert not leaves.exists()
    assert (printed / "out" / f"{DAY}-T3.pdf").is_file()


def test_what_lies_there_goes_when_nothing_says_any_more_what_it_is(printed: Path) -> None:
    shutil.rmtree(printed / "out" / ".state")
    # only one truck is asked for: whatever else lies there may be anything
    summary = run(printed, trucks=("T3",))
    assert {path.name for path in (printed / "out").glob("*.pdf")} == {
        f"{DAY}-runsheet.pdf",
        f"{DAY}-T3.pdf",
        "HP-1047.pdf",
    }
    assert {path.name for path in summary.unknown} >= {"HP-1041.pdf", f"{DAY}-T1.pdf"}
    assert summary.taken == ()
    # the same words have the same revision: no print in the field is voided by it
    assert not run(printed).count("failed")
    assert len(list((printed / "jobs" / "printed").glob("HP-1041.*.json"))) == 1


def test_the_leaves_that_differ_from_the_print_in_the_field_though_it_was_printed_twice_since(printed: Path) -> None:
    """The truck left with the first print. What only the second one changed is not in the field either."""
    shop = printed / "jobs"
    (first,) = records_of(shop, "HP-1047")
    edit(printed, "HP-1047", "ambient_F: 72", "ambient_F: 60")
    run(printed)
    edit(printed, "HP-1047", "start: 11:30", "start: 11:45")
    summary = run(printed, changed=True)
    prints = records_of(shop, "HP-1047")
    assert len(prints) == 3
    now = prints[-1]
    leaves = [now.reads[at : at + 2] for at in range(0, len(now.reads), 2)]
    have = [[item.reads[at : at + 2] for at in range(0, len(item.reads), 2)] for item in (first, prints[1])]
    wanted = [leaf for number, leaf in enumerate(leaves) if not number or not all(leaf in items for items in have)]
    assert 1 < len(wanted) < len(leaves)
    # against the second print alone it would be fewer: they would leave the truck without them
    assert len([leaf for leaf in leaves if leaf not in have[1]]) < len(wanted)
    assert len(PdfReader(summary.leaves[0]).pages) == 2 * len(wanted)
    # a truck that was loaded after the second print lacks only what the third one changed
    at = (prints[1].printed_at + timedelta(seconds=1)).time()
    moved = [replace(item, date=now.date) for item in prints]
    few = different(in_the_field(moved, datetime.combine(prints[1].printed_at.date(), at, UTC)), now, len(now.reads))
    assert len(few) == len([leaf for leaf in leaves if leaf not in have[1]])


def test_a_sheet_that_moved_on_by_a_line_is_a_leaf_that_differs(printed: Path) -> None:
    """The same sheets with the same words on the same pages, and yet another break between two leaves."""
    (record,) = records_of(printed / "jobs", "HP-1047")
    moved = replace(record, revision="MOVEDONN", reads=(*record.reads[:2], "other111", *record.reads[3:]))
    count = len(record.reads)
    assert different([record], moved, count) == [[0, 1], [2, 3]]
    # a leaf lies elsewhere in the packet, and is the same leaf
    grown = replace(record, reads=("front111", "more1111", *record.reads))
    assert different([record], grown, count + 2) == [[0, 1]]
    # of a print of the time before digests nothing is known
    assert different([replace(record, reads=())], moved, count) == [
        list(range(at, min(at + 2, count))) for at in range(0, count, 2)
    ]


def test_names_that_are_no_text_and_what_is_no_file_stop_themselves_not_the_day(tmp_path: Path) -> None:
    day = shop_with(tmp_path, DAY, ("HP-1047",)) / DAY
    shutil.copy(day / "HP-1047.yaml", os.fsdecode(bytes(day) + b"/HP-\xff.yaml"))
    shutil.copy(day / "HP-1047.yaml", day / "\x1b[31mHP.yaml")
    (day / "F.yaml").mkdir()
    os.mkfifo(day / "P.yaml")
    (day / "L.yaml").symlink_to("L.yaml")
    (day / "Z.yaml").symlink_to("/dev/zero")
    summary = run(tmp_path)
    outcomes = {item.job: item.outcome for item in summary.results}
    assert outcomes.pop("HP-1047") == "printed"
    assert set(outcomes) == {"HP-\udcff", "\x1b[31mHP", "F", "P", "L", "Z"}
    assert set(outcomes.values()) == {"not-read"}
    assert [path.name for path in summary.runsheets] == [f"{DAY}-runsheet.pdf"]
    assert {item.outcome for item in run(tmp_path).results} == {"unchanged", "not-read"}


@pytest.mark.parametrize("narrowed", [{"jobs": ("HP-1047",)}, {"trucks": ("T3",)}])
def test_a_print_of_one_job_or_truck_says_why_nothing_may_be_planned(printed: Path, narrowed: dict[str, Any]) -> None:
    """With the filed records lost it once said that there is no such job, and left stack and run sheet lying there."""
    write_witness(printed / "jobs", Witness(1, "0" * 64))
    summary = run(printed, **narrowed)
    assert "records were filed in it" in summary.problems[0].message
    assert summary.results == ()
    assert not list((printed / "out").glob(f"{DAY}-*.pdf"))


def test_a_job_that_is_on_no_day_is_not_there_even_where_nothing_may_be_planned(printed: Path) -> None:
    write_witness(printed / "jobs", Witness(1, "0" * 64))
    with pytest.raises(WrongPathError, match="There is no job 'HP-1'"):
        run(printed, jobs=("HP-1",))


def test_what_is_out_of_date_is_known_from_one_look_at_the_prints(
    printed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Once all their names, of five thousand prints, were listed for each job of the day."""
    names, listed = printed_records._unsorted, list[Path]()

    def listing(folder: Path) -> list[str]:
        listed.append(folder)
        return names(folder)

    monkeypatch.setattr(printed_records, "_unsorted", listing)
    revisions = dict.fromkeys((*JOBS, "HP-9"), "ABCD2345")
    truth = Truth(DAY, revisions=revisions, pages={}, jobs={}, filed=frozenset(), cards={})
    assert [item.what for item in printed_now(printed / "jobs", truth) if item.what in JOBS] == list(JOBS)
    assert listed == [printed / "jobs" / "printed"]
