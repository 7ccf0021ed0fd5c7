"""The command line as a user meets it: what each command answers, with which exit status, and what it leaves behind."""

import argparse
import json
import re
import shlex
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml

from packet.cli.main import main
from packet.cli.options import build_parser, commands
from packet.cli.printing import BELL, saved_files
from packet.ledger import store
from packet.press.assets import MissingLibrary
from packet.press.run import print_days
from packet.press.run.state import alone
from packet.words import use

ROOT = Path(__file__).parents[2]
DAY, WRONG_DAY = "2026-11-26", "2026-11-27"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A copy of the demo shop, without what an earlier run printed or filed."""
    copy = tmp_path / "jobs"
    shutil.copytree(ROOT / "jobs", copy, ignore=shutil.ignore_patterns("printed", "filed"))
    return copy


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> datetime:
    """The evening of the demo day on every clock the commands look at."""
    evening = datetime.fromisoformat(f"{DAY}T18:00:00+00:00")
    for module in ("cylinders", "filing", "printing"):
        for name, value in (("now", evening), ("today", evening.date())):
            monkeypatch.setattr(f"packet.cli.{module}.{name}", lambda value=value: value, raising=False)
    return evening


def run(*words: object) -> int:
    """One command; argparse leaves by SystemExit."""
    try:
        return main([str(word) for word in words])
    except SystemExit as left:
        return int(left.code or 0)


def test_check_plans_the_whole_day_and_counts(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("check", shop / DAY) == 0
    assert capsys.readouterr().out == f"{DAY}: 9 read: 9 may go out, 0 stopped, 0 not read.\n"
    assert run("check", shop / WRONG_DAY) == 1
    told = capsys.readouterr()
    assert f"{WRONG_DAY}: 6 read: 1 may go out, 5 stopped, 0 not read." in told.out
    # a conflict between two jobs is told once
    assert told.err.count("Cylinder C-122 is on truck") == 1
    assert "HP-1054: Cylinder C-122 is on truck" in told.err
    assert run("check", shop) == 1


def test_a_plan_as_it_was_printed_is_asked_after_the_registers_changed(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The print record keeps what it was worked out from: it answers as on the day it was printed."""
    job = shop / DAY / "HP-1041.yaml"
    assert run("print", job, "--workers", 1, "--out", tmp_path / "out") == 0
    (printed,) = (shop / "printed").glob("HP-1041.*.json")
    capsys.readouterr()
    assert run("plan", printed, "--json") == 0
    then = json.loads(capsys.readouterr().out)["cylinders"][0]
    register = shop / "cylinders.yaml"
    register.write_text(
        re.sub(rf"(id: {then['id']}\b.*?tare_lb:) [\d.]+", r"\1 21.0", register.read_text(), flags=re.DOTALL)
    )
    assert run("plan", job, "--json") == 0
    assert json.loads(capsys.readouterr().out)["cylinders"][0]["stop_gross_lb"] < then["stop_gross_lb"]
    assert run("plan", printed) == 0
    assert "Worked out again from what it was printed with: the same stop weights." in capsys.readouterr().out
    assert run("plan", printed, "--why", "cylinders[0].stop_gross_lb") == 0
    assert capsys.readouterr().out.startswith(f"cylinders[0].stop_gross_lb = {then['stop_gross_lb']:g} lb")
    assert run("plan", shop / "printed" / "HP-1041.AAAA2222.json") == 1
    assert "'HP-1041.AAAA2222.json'" in capsys.readouterr().err.replace(f"{shop}/printed/", "")


@pytest.mark.parametrize(
    "words",
    [
        ("check", DAY),
        ("plan", f"{DAY}/HP-1041.yaml"),
        ("assign", DAY),
        ("print", DAY),
        ("cylinders",),
        ("month", "2026-11"),
    ],
)
def test_without_the_filed_records_nothing_is_planned_or_added_up(
    shop: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A drive that is not mounted is an empty folder: a cylinder with 9 lb in it must not count as empty."""
    with store.writing(shop) as writer:
        moved = {"cylinder": "C-118", "moved_lb": "9", "refrigerant": "R-410A", "as": "recovered"}
        writer.append("job", "HP-1000", {"date": "2026-11-25", "moves": [moved]})
    shutil.rmtree(shop / "filed")
    monkeypatch.chdir(tmp_path)
    command, *more = words
    paths = [shop / word if word.startswith(DAY) else word for word in more]
    assert run(command, *paths) == 1
    assert "records were filed in it" in capsys.readouterr().err
    assert not list(tmp_path.glob("out/*.pdf"))


def test_a_conflict_is_told_once_and_what_is_not_assigned_in_one_line(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("check", shop / WRONG_DAY) == 1
    told = capsys.readouterr().err.splitlines()
    (line,) = (line for line in told if "C-122" in line)
    assert line == "HP-1054: Cylinder C-122 is on truck T1 for this job and on truck T2 for HP-1055."
    path = shop / DAY / "HP-1041.yaml"
    path.write_text(re.sub(r"^(machine|scale|cylinders):.*$", r"\1: auto", path.read_text("utf-8"), flags=re.MULTILINE))
    assert run("check", path) == 1
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(
        "HP-1041: Machine is not assigned yet. Scale is not assigned yet. A cylinder is not assigned"
    )


def test_check_finds_what_would_be_left_out(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shop / DAY / "HP-1041.yaml").rename(shop / DAY / "HP-1041.yaml.txt")
    (shop / "Dec1").mkdir()
    shutil.copy(shop / DAY / "HP-1042.yaml", shop / "Dec1" / "HP-1099.yaml")
    assert run("check", shop) == 1
    told = capsys.readouterr().err
    assert f"{shop / DAY / 'HP-1041.yaml.txt'}: The file's name does not end in '.yaml'" in told
    assert f"{shop / 'Dec1'}: The folder is not named after a day" in told


def test_check_stops_what_cannot_be_and_what_is_not_assigned(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = shop / DAY / "HP-1044.yaml"
    text = path.read_text("utf-8")
    kind = re.search(r"  kind: \S+", text)
    charge = re.search(r"  charge_lb: \S+", text)
    assert kind is not None
    assert charge is not None
    path.write_text(text.replace(kind[0], "  kind: split").replace(charge[0], "  charge_lb: 4000"), "utf-8")
    assert run("check", path) == 1
    assert "HP-1044: The charge of 4000.0 lb is more than an appliance of kind split holds" in capsys.readouterr().err
    path.write_text(re.sub(r"cylinders: .*", "cylinders: []", re.sub(r"machine: .*", "machine: auto", text)), "utf-8")
    assert run("check", path) == 1
    told = capsys.readouterr().err
    assert "HP-1044: Machine is not assigned yet." in told
    assert "A cylinder is not assigned yet. Name it" in told


def test_check_names_every_problem_with_file_line_and_field(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = shop / DAY / "HP-1041.yaml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("charge_lb: ", "charge_lb: -").replace("truck: T1", "truck: T9"), "utf-8")
    lines = path.read_text("utf-8").splitlines()
    assert run("check", path) == 1
    told = capsys.readouterr().err
    for start, field in (("charge_lb", "appliance.charge_lb"), ("truck", "truck")):
        line = next(number for number, line in enumerate(lines, 1) if line.strip().startswith(start))
        assert f"{path}:{line} {field}:" in told
    assert "2 problems." in told


@pytest.mark.parametrize(
    "words",
    [
        ["print"],
        ["frobnicate"],
        ["check", "no/such/path"],
        ["print", "no/such/path"],
        ["plan", "no/such/path"],
        ["month", "2026-13"],
        ["sort", "no-such-scan.pdf"],
    ],
    ids=" ".join,
)
def test_wrong_use_and_missing_paths_end_with_2(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(*words) == 2


def test_plan_prints_json_with_what_it_promises(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("plan", shop / DAY / "HP-1042.yaml", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    promised = {"job", "date", "refrigerant", "method", "evacuation", "occupied_space", "cylinders", "pressure_table"}
    assert promised | {"findings", "estimates"} <= set(told)
    assert told["method"]["chosen"] == "push-pull"
    cylinder = told["cylinders"][0]
    assert cylinder["stop_gross_lb"] <= cylinder["limit_gross_lb"]


def test_why_works_a_number_out_and_names_near_ones(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = shop / DAY / "HP-1042.yaml"
    assert run("plan", job, "--why", "cylinders.C-120.stop_gross_lb") == 0
    told = capsys.readouterr().out
    assert "water capacity = 47.600 lb" in told
    assert "49 CFR 173.304" in told
    assert run("plan", job, "--why", "cylinders.C-120.stop_gros_lb") == 2
    assert "stop_gross_lb" in capsys.readouterr().err


def test_a_plan_that_may_not_go_out_ends_with_1_and_says_what_would_do(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("plan", shop / WRONG_DAY / "HP-1051.yaml") == 1
    told = capsys.readouterr().out
    assert "C-125" in told
    assert "C-104" in told


def test_new_writes_a_starter_and_never_over_a_file(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("new", shop / "2026-11-28" / "HP-1060") == 0
    text = (shop / "2026-11-28" / "HP-1060.yaml").read_text("utf-8")
    assert "# yaml-language-server" in text
    assert run("new", shop / "2026-11-28" / "HP-1060") == 2
    assert (shop / "2026-11-28" / "HP-1060.yaml").read_text("utf-8") == text
    assert run("new", shop / ".." / "HP-1060") == 2


def test_assign_writes_what_it_says_and_check_agrees(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (shop / DAY / "HP-1041.yaml").read_bytes()
    assert run("assign", shop / DAY) == 0
    assert (shop / DAY / "HP-1041.yaml").read_bytes() == before
    assert run("assign", shop / DAY, "--write") == 0
    capsys.readouterr()
    assert run("check", shop / DAY) == 0
    # asked again, nothing is left to change
    assert run("assign", shop / DAY, "--write") == 0
    assert "wrote" not in capsys.readouterr().out


def test_a_job_goes_round_printed_filed_in_the_ledger_in_the_month(
    shop: Path, tmp_path: Path, clock: datetime, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    job = shop / DAY / "HP-1047.yaml"
    assert run("print", job, "--out", out, "--workers", 1, "--html") == 0
    form = out / "HP-1047.readings.yaml"
    assert {"HP-1047.pdf", "HP-1047.html", form.name, "records"} <= {path.name for path in out.iterdir()}
    assert "asset:" not in (out / "HP-1047.html").read_text("utf-8")
    assert "HP-1047" in (out / "records" / "HP-1047" / "index.html").read_text("utf-8")

    capsys.readouterr()
    assert run("plan", job, "--json") == 0
    planned = json.loads(capsys.readouterr().out)
    cylinder = planned["cylinders"][0]
    before = yaml.safe_load((shop / "cylinders.yaml").read_text("utf-8"))
    tare = next(item["tare_lb"] for item in before if item["id"] == cylinder["id"])
    bare = round(tare + cylinder["contents_lb"], 1)
    put_in = 0.3
    form.write_text(_filled(form.read_text("utf-8"), bare, put_in), "utf-8")
    filing = ("file", form, "--shop", shop, "--out", out)
    assert run(*filing) == 1
    assert "[card-differs]" in capsys.readouterr().err
    accepted = ("--reason", "card-differs=renewed last week; the register is behind")
    assert run(*filing, *accepted) == 0, capsys.readouterr().err
    assert run(*filing) == 0
    assert "filed before" in capsys.readouterr().out

    assert run("cylinders", "--shop", shop, "--asof", DAY) == 0
    line = next(line for line in capsys.readouterr().out.splitlines() if line.startswith(cylinder["id"]))
    assert f"{cylinder['contents_lb'] + put_in:.1f} lb" in line
    assert run("month", "2026-11", "--shop", shop, "--out", out) == 0
    assert "Recovered in 1 job" in capsys.readouterr().out
    assert {"month-2026-11.pdf", "month-2026-11.csv"} <= {path.name for path in out.iterdir()}
    assert run("find", "HP-1047", "--shop", shop) == 0
    assert "filed" in capsys.readouterr().out
    assert run("find", "nothing-of-that-name", "--shop", shop) == 1
    assert run("records", "check", "--shop", shop) == 0
    # a filed job is not printed again
    assert run("print", job, "--out", out, "--workers", 1) == 0

    # filed; and 1, as a job of another day names the cylinder and may not go out with it now
    assert (
        run("turn-in", cylinder["id"], "--to", "Harrow Reclaim", "--for", "reclaim", "--on", DAY, "--shop", shop) == 1
    )
    assert list((shop / "filed").glob("000002-turn-in-*.json"))
    assert run("cylinders", "--shop", shop, "--asof", DAY) == 0
    record = next((shop / "filed").glob("*HP-1047*.json"))
    record.write_text(record.read_text("utf-8").replace("0.3", "0.2"), "utf-8")
    assert run("records", "check", "--shop", shop) == 1


def _filled(form: str, bare: float, put_in: float) -> str:
    """The form as the office would type it in, by the keys of its lines."""
    typed = {
        "date": DAY, "technician": "Ikenna Vale", "card": "U-0000", "start": "11:45", "end": "12:20",
        "refrigerant": "R-290", "cautions_initialled": "yes", "hold_points_initialled": "yes",
        "inspected": "yes", "bare_before_gross_lb": f"{bare:.1f}", "bare_after_gross_lb": f"{bare + put_in:.1f}",
        "put_in_lb": f"{put_in:.1f}", "recovered_lb": f"{put_in:.1f}", "gauge_inHg_vacuum": "5",
        "waited_minutes": "5", "machine_cleared": "yes", "valves_leak_checked": "yes", "tags_filled": "yes",
        "gas_owner": "the shop", "destination": "reclaim", "pressure_after_standing_psig": "110",
        "wall_after_standing_F": "70",
    }  # fmt: skip
    lines = []
    for line in form.splitlines():
        key = line.strip().partition(":")[0]
        nested = line.startswith("  ") and key in {"technician", "owner", "disposition"}
        value = "yes" if nested else typed.get(key, "")
        head = line.partition(":")[0]
        # 'start' is also the block of what is read before the machine starts
        blank = line.partition("#")[0].rstrip().endswith(":") and line != "start:"
        lines.append(f"{head}: {value}" if value and blank and not line.startswith("#") else line)
    return "\n".join(lines) + "\n"


def test_a_day_that_may_not_go_out_prints_why_and_ends_with_1(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("print", shop / WRONG_DAY / "HP-1051.yaml", "--out", tmp_path / "out", "--workers", 1) == 1
    told = capsys.readouterr().out
    assert "DO NOT DISPATCH" in told
    assert "requalification" in told
    assert not (tmp_path / "out" / "HP-1051.readings.yaml").exists()


def test_a_problem_in_one_job_does_not_keep_the_others_from_print(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for path in (shop / DAY).glob("*.yaml"):
        if path.stem not in {"HP-1046", "HP-1047"}:
            path.unlink()
    bad = shop / DAY / "HP-1046.yaml"
    bad.write_text(bad.read_text("utf-8").replace("start: ", "start: 99"), "utf-8")
    assert run("print", shop / DAY, "--out", tmp_path / "out", "--workers", 1) == 1
    told = capsys.readouterr()
    assert f"{bad}:" in told.err
    assert (tmp_path / "out" / "HP-1047.pdf").is_file()
    assert not list((tmp_path / "out").glob("*.part"))


def test_help_needs_no_library(tmp_path: Path) -> None:
    """`--help` answers at once, and a command loads only what it needs: the library of properties takes seconds."""
    code = "import sys; from packet.cli.options import build_parser; build_parser(); print(sorted(sys.modules))"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=tmp_path
    ).stdout
    assert not {name for name in ("CoolProp", "weasyprint", "pydantic", "jinja2") if f"'{name}'" in loaded}


def test_a_missing_library_is_one_line_and_status_3(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def missing() -> None:
        raise MissingLibrary("install it with: apt-get install libpango-1.0-0")

    monkeypatch.setattr("packet.press.layout._tree_class", missing)
    job = shop / DAY / "HP-1047.yaml"
    assert run("print", job, "--out", tmp_path / "out", "--workers", 1) == 3
    told = capsys.readouterr()
    assert told.err == "install it with: apt-get install libpango-1.0-0\n"
    assert not list((tmp_path / "out").glob("*.pdf"))


def pages_of(parser: argparse.ArgumentParser) -> Iterator[argparse.ArgumentParser]:
    """Every page of help below the first."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for below in action.choices.values():
                yield below
                yield from pages_of(below)


def test_every_page_of_help_has_an_example_that_can_be_typed() -> None:
    for page in pages_of(build_parser()):
        assert page.epilog, page.prog
        words = shlex.split(page.epilog.partition(": ")[2])
        if "…" not in words:
            assert build_parser().parse_args(words[1:]).run


def test_the_states_of_todays_jobs_agree_with_their_number(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("packet.cli.shop_today.today", lambda: date(2026, 11, 26))
    monkeypatch.chdir(shop)
    (shop / "shop.yaml").write_text((shop / "shop.yaml").read_text("utf-8") + "language: es\n", "utf-8")
    try:
        assert run() == 0
    finally:
        use("en")
    assert "9 trabajos hoy: 9 planeados" in capsys.readouterr().out


def test_packet_alone_shows_the_commands_and_how_the_shop_stands(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("packet.cli.shop_today.today", lambda: date(2026, 11, 26))
    monkeypatch.chdir(shop / DAY)
    assert run() == 0
    told = capsys.readouterr().out
    assert all(name in told for name in commands())
    assert "9 jobs today: 9 planned" in told
    assert "to come: 2026-11-27 (6)" in told
    monkeypatch.chdir(tmp_path.parent)
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path / "empty")
    assert run("--version") == 0
    assert re.match(r"packet[ ,]", capsys.readouterr().out)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["prnt"], "Did you mean 'print'?"),
        (["print", "2026-11-26", "--truk", "T1"], "Did you mean '--truck'?"),
        (["check", "HP-10411"], "Did you mean 'HP-1041'?"),
        (["month", "november"], "'november' is not a month"),
        # the page of help named is that of the command that was typed, and so is the option
        (["move", "HP-1041", "--trck", "T2"], "'--truck'?\nMore: packet move --help"),
        (["cylinder", "weighd", "C-118", "--gross", "3"], "'weighed'?\nMore: packet cylinder --help"),
        (["cylinder", "weighed", "C-118", "--grss", "3"], "'--gross'?\nMore: packet cylinder weighed --help"),
        (["records", "publish", "--too", "x"], "'--to'?\nMore: packet records publish --help"),
        (["assign", DAY, "T1"], "'T1' is one word too many here.\nMore: packet assign --help"),
        (["move", "HP-1041", "--start", "9"], "--start: '9' is not a time"),
        (["cylinders", "--asof", "monday"], "--asof: 'monday' is not a date"),
    ],
)
def test_a_slip_names_the_nearest_word(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: list[str], says: str
) -> None:
    monkeypatch.chdir(shop)
    assert run(*words) == 2
    assert says in capsys.readouterr().err


def test_tomorrow_is_a_day_wherever_one_is_asked_for() -> None:
    now = build_parser().parse_args(["move", "HP-1041", "--day", "today"]).day
    assert build_parser().parse_args(["move", "HP-1041", "--day", "tomorrow"]).day - now == timedelta(days=1)


def test_cylinders_are_sorted_as_asked_and_say_to_whom_they_are_promised(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("cylinders", "--shop", shop, "--asof", DAY, "--sort", "size") == 0
    lines = [line for line in capsys.readouterr().out.splitlines() if re.match(r"[A-Z]-\d", line)]
    sizes = [float(found[1].replace(",", "")) for line in lines if (found := re.search(r"([\d.]+) lb(?:  HP|$)", line))]
    assert len(sizes) > 10
    assert sizes == sorted(sizes)
    assert any(line.startswith("C-118") and "HP-1041 2026-11-26" in line for line in lines)


def test_a_job_is_found_by_phone_truck_and_start(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words in ("555-0161", "5550161", "T1 07:30"):
        assert run("find", words, "--shop", shop) == 0
        assert "HP-1041  2026-11-26  07:30  T1  planned" in capsys.readouterr().out


def only(shop: Path, job: str) -> Path:
    """The day with this job alone; its file."""
    for path in (shop / DAY).glob("*.yaml"):
        if path.stem != job:
            path.unlink()
    return shop / DAY / f"{job}.yaml"


def test_watching_prints_what_changes_and_rings_when_something_stops(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    job = only(shop, "HP-1047")

    def saved(*_places: object, **_options: object) -> Iterator[set[tuple[int, str]]]:
        text = job.read_text("utf-8")
        job.write_text(text.replace("start: 11:30", "start: 11:45"), "utf-8")
        yield {(2, str(job))}
        job.write_text(text.replace("start: 11:30", "start: noon"), "utf-8")
        yield {(2, str(job))}
        job.write_text(text, "utf-8")
        yield {(2, str(job))}
        job.write_text(re.sub(r"cylinders: .*", "cylinders: []", text), "utf-8")
        yield {(2, str(job))}

    monkeypatch.setattr("watchfiles.watch", saved)
    assert run("print", shop / DAY, "--out", tmp_path / "out", "--workers", 1, "--watch") == 0
    told = capsys.readouterr().out
    # the bell comes before any paper of that run: whoever saved the slip hears it at once
    assert re.findall(f"HP-1047 printed|HP-1047 NOT READ|HP-1047 DO NOT|{BELL}", told) == [
        "HP-1047 printed",
        "HP-1047 printed",
        BELL,
        "HP-1047 NOT READ",
        "HP-1047 printed",
        BELL,
        "HP-1047 DO NOT",
    ]


def test_a_file_saved_again_while_it_is_printed_rings_no_bell(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is printed next: nothing stops."""
    job = only(shop, "HP-1047")
    text = job.read_text("utf-8")

    def saved(*_places: object, **_options: object) -> Iterator[set[tuple[int, str]]]:
        job.write_text(text.replace("start: 11:30", "start: 11:45"), "utf-8")
        monkeypatch.setattr(print_days, "_print_shop", meanwhile)
        yield {(2, str(job))}

    def meanwhile(*given: Any) -> None:
        print_shop(*given)
        job.write_text(text.replace("start: 11:30", "start: 12:00"), "utf-8")

    print_shop = print_days._print_shop
    monkeypatch.setattr("watchfiles.watch", saved)
    assert run("print", shop / DAY, "--out", tmp_path / "out", "--workers", 1, "--watch") == 0
    told = capsys.readouterr()
    assert "The file was changed while the packets were being printed." in told.err
    assert BELL not in told.out


def test_a_watch_waits_for_whoever_prints_beside_it(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A phone call holds the output folder for a moment; that is no reason to stop watching."""
    job, out = only(shop, "HP-1047"), tmp_path / "out"
    with ExitStack() as other:

        def saved(*_places: object, **_options: object) -> Iterator[set[tuple[int, str]]]:
            job.write_text(job.read_text("utf-8").replace("start: 11:30", "start: 11:45"), "utf-8")
            other.enter_context(alone(out))
            yield {(2, str(job))}

        monkeypatch.setattr("watchfiles.watch", saved)
        monkeypatch.setattr("packet.cli.printing.time.sleep", lambda _seconds: other.close())
        assert run("print", shop / DAY, "--out", out, "--workers", 1, "--watch") == 0
    told = capsys.readouterr()
    assert told.out.count("HP-1047 printed") == 2
    assert told.err.count("Another run is printing") == 1


@pytest.mark.parametrize(
    ("asked", "saved"),
    [
        (DAY, f"{DAY}/HP-1041.yaml"),
        ("", f"{DAY}/HP-1041.yaml"),
        (DAY, "cylinders.yaml"),
        (DAY, "filed/000001-HP-1041.json"),
        (DAY, ".filed"),
    ],
)
def test_a_saved_file_is_heard_within_two_seconds(shop: Path, asked: str, saved: str) -> None:
    (shop / "filed").mkdir()
    heard = saved_files((shop / asked,))
    timer = threading.Timer(0.5, lambda: (shop / saved).write_text("job: x\n", "utf-8"))
    timer.start()
    started = time.monotonic()
    assert next(heard)
    assert time.monotonic() - started < 2.5


def test_the_card_for_the_trucks_is_printed_and_an_older_one_is_taken_away(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With 'field_card: truck' packets name the card; one that lies ready and says something else must not be used."""
    out, settings = tmp_path / "out", shop / "shop.yaml"
    job = shop / DAY / "HP-1041.yaml"
    assert run("card", shop, "--out", out) == 0
    told = capsys.readouterr().out
    assert "Packets carry this sheet themselves" in told
    assert (out / "field-card.pdf").is_file()
    settings.write_text(settings.read_text().replace("policy:\n", "policy:\n  field_card: truck\n"))
    assert run("print", job, "--workers", 1, "--out", out) == 0
    # the card that lies ready is the one that the packets name
    assert "name field card" not in capsys.readouterr().out
    settings.write_text(settings.read_text().replace("555-0141", "555-0199"))
    assert run("print", job, "--workers", 1, "--out", out) == 0
    assert "packet card prints it for the trucks" in capsys.readouterr().out
    assert not (out / "field-card.pdf").exists()
    assert run("card", shop, "--out", out) == 0
    assert run("print", job, "--workers", 1, "--out", out) == 0
    assert "name field card" not in capsys.readouterr().out.rsplit("field-card.pdf", 1)[-1]
    assert run("check", job) == 0


def test_a_card_lies_ready_in_each_language_that_is_read(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, settings, people = tmp_path / "out", shop / "shop.yaml", shop / "technicians.yaml"
    settings.write_text(settings.read_text().replace("policy:\n", "policy:\n  field_card: truck\n"))
    people.write_text(people.read_text().replace("  language: es\n", ""))  # the demo's own reader of Spanish
    job = shop / DAY / "HP-1041.yaml"
    job.write_text(job.read_text().replace("truck:", "languages: [en, es]\ntruck:", 1))
    assert run("card", shop, "--out", out) == 0
    assert [path.name for path in out.glob("*.pdf")] == ["field-card.pdf"]
    capsys.readouterr()
    assert run("print", job, "--workers", 1, "--out", out) == 0
    # this job is read in a second language, whose card is missing; the truck's page asks for both
    assert capsys.readouterr().out.count("packet card prints it for the trucks") == 1
    assert run("card", shop, "--out", out, "--language", "es") == 0
    assert {path.name for path in out.glob("field-card*.pdf")} == {"field-card.pdf", "field-card.es.pdf"}
    capsys.readouterr()
    assert run("print", job, "--workers", 1, "--out", out) == 0
    assert "packet card prints it" not in capsys.readouterr().out
    # whoever reads Spanish always has one
    (out / "field-card.es.pdf").unlink()
    people.write_text(re.sub(r"(?m)^  name:", "  language: es\n  name:", people.read_text(), count=1))
    assert run("card", shop, "--out", out) == 0
    assert (out / "field-card.es.pdf").is_file()
    settings.write_text(settings.read_text().replace("555-0141", "555-0199"))
    assert run("print", job, "--workers", 1, "--out", out) == 0
    assert not list(out.glob("field-card*.pdf"))


def test_no_job_may_have_the_name_of_the_card(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = shop / DAY / "HP-1041.yaml"
    taken = file.with_name("field-card.yaml")
    taken.write_text(file.read_text().replace("HP-1041", "field-card"))
    assert run("check", taken) == 1
    assert "'field-card' is the name of another paper in the output folder." in capsys.readouterr().err
