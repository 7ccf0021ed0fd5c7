"""Phone calls: each one command that changes the file, keeps its comments, says what to pull back and how to undo it."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from packet.cli.main import main
from packet.press.run import state as run_state

ROOT = Path(__file__).parents[2]
DAY = "2026-11-26"
JOBS = ("HP-1041", "HP-1045", "HP-1047")  # trucks T1, T1, T3


def run(*words: object) -> int:
    try:
        return main([str(word) for word in words])
    except SystemExit as left:
        return int(left.code or 0)


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with three jobs, printed."""
    folder = tmp_path_factory.mktemp("calls")
    shop = folder / "jobs"
    (shop / DAY).mkdir(parents=True)
    for path in (ROOT / "jobs").glob("*.yaml"):
        shutil.copy(path, shop)
    for job in JOBS:
        shutil.copy(ROOT / "jobs" / DAY / f"{job}.yaml", shop / DAY)
    assert run("print", shop / DAY, "--out", folder / "out", "--workers", 1) == 0
    return folder


@pytest.fixture
def here(printed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy to change, and we stand in it."""
    folder = tmp_path / "here"
    shutil.copytree(printed, folder)
    monkeypatch.chdir(folder)
    return folder


def papers() -> set[str]:
    return {path.name for path in Path("out").glob("*.pdf")}


def undo(told: str) -> list[str]:
    return shlex.split(re.findall(r"^Undo: packet (.*)$", told, re.MULTILINE)[-1])


def test_a_job_called_off_leaves_the_paper_and_comes_back(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = Path("jobs", DAY, "HP-1047.yaml")
    before = path.read_bytes()
    assert run("call-off", "HP-1047", "--why", "customer sold the unit: no cooling") == 0
    told = capsys.readouterr().out
    assert "called_off: now customer sold the unit: no cooling, was blank" in told
    assert re.search(r"Pull back: HP-1047, revision [A-Z2-7]{8}", told)
    assert "Pull back: page of truck T3 of 2026-11-26, print 1" in told
    assert "Pull back: run sheet of 2026-11-26, print 1" in told
    assert papers() == {"HP-1041.pdf", "HP-1045.pdf", f"{DAY}-T1.pdf"}
    assert run("print", DAY, "--workers", 1) == 0
    assert "HP-1047.pdf" not in papers()
    assert run("check", DAY) == 0
    assert "3 read: 2 may go out, 0 stopped, 0 not read, 1 called off" in capsys.readouterr().out
    assert run("call-off", "HP-1047", "--undo") == 0
    assert path.read_bytes() == before


def test_where_the_paper_cannot_be_taken_away_it_is_told_all_the_same(
    here: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A drive that was made read-only, or is full: the job is called off and its truck must hear of it."""

    def refuse(_out: Path) -> None:
        raise OSError(30, "Read-only file system", "out/.state/lock")

    monkeypatch.setattr(run_state, "alone", refuse)
    assert run("call-off", "HP-1047", "--why", "no cooling") == 3
    told = capsys.readouterr()
    assert re.search(r"Pull back: HP-1047, revision [A-Z2-7]{8}", told.out)
    assert "Undo: packet call-off HP-1047 --undo" in told.out
    assert "Read-only file system: 'out/.state/lock'" in told.err
    assert "papers in 'out' may no longer be true" in told.err


def test_a_job_moves_to_another_truck_and_start_and_back_by_what_undo_says(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = Path("jobs", DAY, "HP-1045.yaml")
    before = path.read_bytes()
    assert run("move", "HP-1045", "--truck", "T2", "--start", "15:30") == 0
    told = capsys.readouterr().out
    assert "truck: now T2, was T1" in told
    assert "start: now 15:30, was 13:30" in told
    # the print lies on the truck that it was printed for
    assert re.search(r"Pull back: HP-1045, revision \w{8}, truck T1", told)
    assert "Print again: packet print 2026-11-26" in told
    changed = path.read_text("utf-8")
    assert [line for line in before.decode().splitlines() if "#" in line] == [
        line for line in changed.splitlines() if "#" in line
    ]
    assert run(*undo(told)) == 0
    assert path.read_bytes() == before
    assert re.search(r"Good again: HP-1045, revision \w{8}, truck T1", capsys.readouterr().out)


def test_paper_that_was_out_of_date_before_a_call_is_told_apart(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("move", "HP-1047", "--start", "16:10") == 0
    capsys.readouterr()
    assert run("move", "HP-1045", "--start", "16:10") == 0
    told = capsys.readouterr().out.splitlines()
    assert [line for line in told if line.startswith("Pull back: HP")] == [
        line for line in told if "HP-1045, revision" in line
    ]
    (before,) = (line for line in told if line.startswith("Out of date before this already"))
    assert "HP-1047, revision" in before
    assert "HP-1045" not in before


@pytest.mark.parametrize("typed", ["[]", "auto", "", "gone"])
def test_cylinders_that_were_not_chosen_yet_come_back_by_undo(
    here: Path, capsys: pytest.CaptureFixture[str], typed: str
) -> None:
    path = Path("jobs", DAY, "HP-1047.yaml")
    text = re.sub(
        r"^cylinders:.*$", f"cylinders: {typed}" if typed != "gone" else "", path.read_text("utf-8"), flags=re.MULTILINE
    )
    path.write_text(text, "utf-8")
    assert run("move", "HP-1047", "--cylinders", "F-202") == 0
    told = capsys.readouterr().out
    assert re.search(r"cylinders: now F-202, was (none|auto|blank) \(", told)
    assert run(*undo(told)) == 1  # a job without cylinders may not go out
    assert run("check", "HP-1047") == 1
    assert "A cylinder is not assigned yet" in capsys.readouterr().err


def test_a_conflict_that_a_call_brings_is_told_once(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("move", "HP-1045", "--truck", "T3", "--start", "11:30", "--machine", "RM-6") == 1
    told = [line for line in capsys.readouterr().err.splitlines() if "Machine RM-6 is also on" in line]
    assert told == ["HP-1045: Machine RM-6 is also on HP-1047 (11:30) at that time."]


def test_a_second_person_is_named_and_taken_off_again(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = Path("jobs", DAY, "HP-1045.yaml")
    before = path.read_bytes()
    assert run("move", "HP-1045", "--second", "on-site") == 0
    assert "second: on-site" in path.read_text("utf-8")
    assert run(*undo(capsys.readouterr().out)) == 0
    assert path.read_bytes() == before


def test_a_job_moves_to_another_day(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = Path("jobs", DAY, "HP-1047.yaml").read_bytes()
    assert run("move", "HP-1047", "--day", "2026-11-30") == 0
    told = capsys.readouterr().out
    assert not Path("jobs", DAY, "HP-1047.yaml").exists()
    assert "date: 2026-11-30" in Path("jobs", "2026-11-30", "HP-1047.yaml").read_text("utf-8")
    assert "HP-1047.pdf" not in papers()
    assert run(*undo(told)) == 0
    assert Path("jobs", DAY, "HP-1047.yaml").read_bytes() == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["move", "HP-1045", "--truck", "T9"], "There is no truck 'T9' in shop.yaml. Known: T1"),
        (["move", "HP-1045", "--technician", "Dunstan Pell"], "Write the id: pell (Dunstan Pell)."),
        (["move", "HP-1045", "--cylinders", "C-118", "C-999"], "There is no cylinder 'C-999'"),
        (["cylinder", "out-of-service", "C-999", "--why", "x"], "There is no cylinder 'C-999'"),
        (["cylinder", "weighed", "C-118", "--gross", "12.0"], "less than the tare"),
        (["cylinder", "weighed", "C-102", "--gross", "30.0"], "Say what is in it: --refrigerant"),
    ],
)
def test_a_call_that_cannot_be_carried_out_changes_nothing(
    here: Path, words: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path: path.read_bytes() for path in Path().rglob("*") if path.is_file() and ".writer" not in str(path)}
    assert run(*words) == 1
    assert says in capsys.readouterr().err
    after = {path: path.read_bytes() for path in before if path.is_file()}
    assert after == before


def test_wrong_use_of_a_call_ends_with_2(here: Path) -> None:
    assert run("move", "HP-1045") == 2
    assert run("move", "HP-9999", "--truck", "T1") == 2
    assert run("call-off", "HP-1045", "--why", " ") == 2


def test_a_cylinder_out_of_service_stops_its_job_and_back_in_it_goes(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = Path("jobs", "cylinders.yaml").read_bytes()
    assert run("cylinder", "out-of-service", "C-118", "--why", "valve leaks") == 1
    told = capsys.readouterr()
    assert "HP-1041: Cylinder C-118 is out of service: valve leaks." in told.err
    assert "Pull back: HP-1041" in told.out
    assert "HP-1041.pdf" not in papers()
    assert run(*undo(told.out)) == 0
    assert Path("jobs", "cylinders.yaml").read_bytes() == before


def test_a_cylinder_found_at_a_weight_is_what_the_day_begins_with(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # tare 27.5, and 6.0 lb by the register
    assert run("cylinder", "weighed", "C-118", "--gross", "36.5", "--on", DAY) == 0
    told = capsys.readouterr().out
    assert "Pull back: HP-1041" in told
    assert run("cylinders", "--asof", DAY) == 0
    line = next(line for line in capsys.readouterr().out.splitlines() if line.startswith("C-118"))
    assert "9.0 lb" in line
    assert run("plan", "HP-1041", "--why", "cylinders.C-118.contents_lb") == 0
    assert "9.0" in capsys.readouterr().out
    words = [part if part != "…" else "weighed the wrong one" for part in undo(told)]
    assert run(*words) == 0
    assert run("cylinders", "--asof", DAY) == 0
    line = next(line for line in capsys.readouterr().out.splitlines() if line.startswith("C-118"))
    assert "6.0 lb" in line


def test_an_emergency_is_put_in_by_one_command_and_leaves_the_others_alone(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # a neighbor that is not assigned yet stays so
    open_yet = Path("jobs", DAY, "HP-1048.yaml")
    text = (ROOT / open_yet).read_text("utf-8")
    open_yet.write_text(re.sub(r"^(machine|scale):.*$", r"\1: auto", text, flags=re.MULTILINE), "utf-8")
    before = {path: path.read_bytes() for path in Path("jobs", DAY).iterdir()}
    given = ("--truck", "T2", "--start", "16:30", "--technician", "pell", "--set", "site.name=The Gilded Ladle: bar")
    assert run("new", f"{DAY}/HP-1099", "--like", "HP-1045", *given, "--assign") == 0
    told = capsys.readouterr().out
    assert "Undo: packet call-off HP-1099" in told
    assert re.search(r"^  machine: RM-\d \(the file says blank\)$", told, re.MULTILINE)
    assert "HP-1048" not in told
    text = Path("jobs", DAY, "HP-1099.yaml").read_text("utf-8")
    assert "name: 'The Gilded Ladle: bar'" in text
    assert "auto" not in text
    assert {path: path.read_bytes() for path in before} == before
    open_yet.unlink()
    assert run("check", DAY) == 0
    # the packets of the others still lie there
    assert {"HP-1041.pdf", "HP-1047.pdf"} <= papers()


def test_a_slip_in_what_was_given_for_a_new_job_writes_nothing(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ("new", f"{DAY}/HP-1999", "--like", "HP-1045", "--start", "15:30", "--assign")
    assert run(*words, "--set", "appliance.charge_oz=52", "--set", "appliance.refrigerant=R410", "--truck", "T9") == 1
    told = capsys.readouterr()
    assert "packet new truck: There is no truck 'T9' in shop.yaml." in told.err
    assert "packet new appliance.charge_oz: 'charge_oz' is not a key here. Write 'charge_lb: 3.25'" in told.err
    assert "packet new appliance.refrigerant: There is no refrigerant 'R410'." in told.err
    assert "Nothing was written." in told.out
    assert not Path("jobs", DAY, "HP-1999.yaml").exists()
    # so that the same command goes with the slips put right
    assert run(*words, "--set", "appliance.charge_lb=3.25") == 0


@pytest.mark.parametrize("how", ["like a file with a slip", "a blank starter"])
def test_papers_that_lack_a_new_file_go_though_it_cannot_be_read_yet(
    here: Path, capsys: pytest.CaptureFixture[str], how: str
) -> None:
    """Found by a random sequence of calls: an emergency put in like a job whose file has a slip."""
    like = Path("jobs", DAY, "HP-1045.yaml")
    given: tuple[str, ...] = ()
    if how.startswith("like"):
        like.write_text(like.read_text("utf-8").replace("charge_lb:", "chrge_lb:"), "utf-8")
        assert run("print", f"jobs/{DAY}", "--workers", 1) == 1
        given = ("--like", str(like), "--truck", "T3", "--start", "17:10", "--assign")
    assert f"{DAY}-runsheet.pdf" in papers()
    assert run("new", f"{DAY}/HP-1999", *given) == (1 if given else 0)
    assert f"{DAY}-runsheet.pdf" not in papers()
    assert f"Pull back: run sheet of {DAY}" in capsys.readouterr().out
    # the truck that the job rides on has a stack without it
    assert (f"{DAY}-T3.pdf" in papers()) == (not given)
    assert "HP-1047.pdf" in papers()


@pytest.mark.parametrize("slip", ["chrge: ", "charge: '"])
def test_a_job_whose_file_has_a_slip_can_be_called_off(
    here: Path, capsys: pytest.CaptureFixture[str], slip: str
) -> None:
    """Found by a random sequence of calls: the second file is not even YAML, and is changed by hand."""
    path = Path("jobs", DAY, "HP-1047.yaml")
    text = re.sub(r"charge_(lb|kg): ", slip, path.read_text("utf-8"), count=1)
    path.write_text(text if slip.startswith("chrge") else f"{text}\ncalled_off: not today\n", "utf-8")
    if slip.startswith("chrge"):
        assert run("print", f"jobs/{DAY}", "--workers", 1) == 1
        assert {"HP-1047.pdf", f"{DAY}-T3.pdf"} <= papers()
        assert run("call-off", "HP-1047", "--why", "not today") == 0
    else:
        run("print", f"jobs/{DAY}", "--workers", 1)
    assert not {"HP-1047.pdf", f"{DAY}-T3.pdf"} & papers()
    run("print", f"jobs/{DAY}", "--workers", 1)
    assert not {"HP-1047.pdf", f"{DAY}-T3.pdf"} & papers()
    assert f"{DAY}-runsheet.pdf" in papers()
    run("check", f"jobs/{DAY}")
    assert "1 called off" in capsys.readouterr().out


@pytest.mark.parametrize("damaged", [False, True])
def test_what_was_remembered_of_the_paper_is_lost_and_the_next_print_makes_it_again(
    here: Path, damaged: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody can tell what lies there any more: it is taken away, said in one line that does not call it untrue."""
    before = papers()
    prints = {path.name for path in Path("jobs", "printed").glob("*.json")}
    if damaged:
        for path in Path("out", ".state").glob("*.json"):
            path.write_bytes(b"{")
    else:
        shutil.rmtree("out/.state")
    assert run("call-off", "HP-1047", "--why", "sold") == 0
    told = capsys.readouterr().out
    assert not papers()
    assert "no longer true" not in told
    lines = [line for line in told.splitlines() if "lost or damaged" in line]
    assert lines == [
        f"{Path('out', '.state')} is lost or damaged: nobody can say whether {len(before)} papers were still true. "
        "They were taken away; the next print makes again what is needed."
    ]
    assert f"Print again: packet print {DAY}" in told
    assert run("call-off", "HP-1047", "--undo") == 0
    capsys.readouterr()
    assert run("print", DAY, "--workers", 1) == 0
    assert papers() == before
    assert "lost" not in capsys.readouterr().out
    # no print in the field is voided by it
    assert {path.name for path in Path("jobs", "printed").glob("*.json")} == prints


def test_a_job_id_works_from_any_folder_of_the_shop(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for folder in ("jobs", f"jobs/{DAY}", "out"):
        monkeypatch.chdir(here / folder)
        assert run("check", "HP-1041") == 0
        assert run("check", DAY) == 0
    monkeypatch.chdir(here / "jobs" / DAY)
    assert run("print", "HP-1041", "--workers", 1) == 0
    assert not (here / "jobs" / DAY / "out").exists()
    assert not (here / "jobs" / "out").exists()


def test_without_the_filed_records_a_call_says_so_and_no_stack_looks_current(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What a change makes of the paper rests on the ledger."""
    Path("jobs", ".filed").write_text("[" * 10_000, "utf-8")
    assert run("call-off", "HP-1047", "--why", "customer sold the unit") == 1
    told = capsys.readouterr()
    assert "called_off: now customer sold the unit" in told.out
    assert "packet records check" in told.err
    assert papers() == {"HP-1041.pdf", "HP-1045.pdf", "HP-1047.pdf"}


@pytest.mark.parametrize("words", [("call-off", "HP-1047", "--why"), ("cylinder", "out-of-service", "C-129", "--why")])
def test_signs_that_cannot_be_seen_get_into_no_file(
    here: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    before = {path: path.read_bytes() for path in Path("jobs").rglob("*.yaml")}
    assert run(*words, "sold\x1b[31m") == 1
    told = capsys.readouterr()
    assert "A control character (U+001B) stands in this text" in told.err
    assert "\x1b" not in told.out + told.err
    assert {path: path.read_bytes() for path in Path("jobs").rglob("*.yaml")} == before
