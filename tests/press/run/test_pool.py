"""Processes that die and runs that are interrupted: nothing half done, nothing lost, nobody left behind."""

import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import pytest
from pypdf import PdfReader

from packet.press.printed import records_of
from packet.press.run import pool as run_pool
from packet.press.run.pool import Workers, cores
from tests.cli.agree import disagreements
from tests.press.run.test_print_days import DAY, shop_with

RUN = """
import signal
import sys
from datetime import UTC, datetime
from pathlib import Path
from packet.office.form import empty_form
from packet.press.run.print_days import print_jobs
from packet.press.run.model import Options, PrintOrder

if __name__ == "__main__":
    # as in a terminal, even where the tests themselves run in the background and Ctrl-C is ignored
    signal.signal(signal.SIGINT, signal.default_int_handler)
    folder = Path(sys.argv[1])
    request = PrintOrder((folder / "jobs" / sys.argv[2],), folder / "out", datetime.now(UTC), empty_form, Options(workers=2))
    print_jobs(request, lambda event: print(event.kind, event.name, flush=True))
"""
ROOT = Path(__file__).parents[3]
JOBS = ("HP-1041", "HP-1044", "HP-1047")
SUMS = ["1+1", "2+2", "3+3"]


@pytest.mark.parametrize("count", [1, 2])
def test_work_comes_back_with_what_it_was_asked(count: int) -> None:
    with Workers(count, "en") as workers:
        assert sorted(workers.each(eval, SUMS)) == [("1+1", 2), ("2+2", 4), ("3+3", 6)]


@pytest.mark.parametrize("count", [1, 2])
def test_an_error_costs_its_own_task_only(count: int) -> None:
    with Workers(count, "en") as workers:
        found = dict(workers.each(eval, [*SUMS, "1/0"]))
    assert isinstance(found.pop("1/0"), ZeroDivisionError)
    assert found == {"1+1": 2, "2+2": 4, "3+3": 6}


def test_until_a_worker_has_begun_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """And as soon as one has, they do the rest; whoever dies here is told as by them."""
    begun = threading.Event()
    monkeypatch.setattr(run_pool, "_begun", lambda _pool: begun.wait())
    tasks = [f"__import__('os').getpid() + 0 * {number}" for number in range(20)] + ["1/0"]
    with Workers(2, "en") as workers:
        found = []
        for done in workers.each(eval, tasks, here_too=True):
            found.append(done)
            if len(found) == 3:
                begun.set()
                time.sleep(0.2)  # for whoever waited
    assert sorted(task for task, _ in found) == sorted(tasks)
    assert isinstance(dict(found)["1/0"], ZeroDivisionError)
    assert [task for task, done in found if done == os.getpid()] == tasks[-2:-4:-1]


def test_a_process_that_dies_costs_its_own_task_only() -> None:
    killed = "__import__('os')._exit(7)"
    with Workers(2, "en") as workers:
        found = dict(workers.each(eval, [*SUMS, killed]))
        assert "terminated abruptly" in str(found.pop(killed))
        assert found == {"1+1": 2, "2+2": 4, "3+3": 6}
        assert list(workers.each(eval, ["5+5"])) == [("5+5", 10)]


def test_workers_are_made_anew_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run_pool, "PACKETS_A_LIFE", 2)
    asked = [f"({number}, __import__('os').getpid())" for number in range(9)]
    with Workers(2, "en") as workers:
        found = [done for _, done in workers.each(eval, asked) if isinstance(done, tuple)]
    assert sorted(number for number, _ in found) == list(range(9))
    shares = [{pid for number, pid in found if number // 4 == share} for share in range(3)]
    assert not shares[0] & shares[1]
    assert not shares[1] & shares[2]


WHERE = """
import os
from packet.press.run.pool import Workers

if __name__ == "__main__":
    with Workers(2, "en") as workers:
        (_, done), = workers.each(eval, ["__import__('os').getpid()"])
    print(done != os.getpid())
"""


def test_there_are_workers_where_the_temporary_folder_has_a_long_name(tmp_path: Path) -> None:
    # 48 bytes are what macOS gives each user, where a socket's address has 103; here it has 107
    script = tmp_path / "where.py"
    script.write_text(WHERE, "utf-8")
    with tempfile.TemporaryDirectory(dir="/tmp") as base:
        long = Path(base, "x" * (52 - len(base) - 1))
        long.mkdir()
        environment = os.environ | {"TMPDIR": str(long), "PYTHONPATH": str(ROOT)}
        said = subprocess.check_output([sys.executable, str(script)], env=environment, text=True)
    assert said == "True\n"


def test_there_are_as_many_workers_as_cores() -> None:
    assert 1 <= cores() <= (os.cpu_count() or 1)


def started(folder: Path) -> subprocess.Popen[str]:
    script = folder / "run.py"
    script.write_text(RUN, "utf-8")
    return subprocess.Popen(
        [sys.executable, str(script), str(folder), DAY],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,
    )


def workers_of(session: int) -> list[int]:
    """The living processes of a session; a zombie is not one."""
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                state, _parent, _group, of = (entry / "stat").read_text().rsplit(")", 1)[1].split()[:4]
            except (FileNotFoundError, ProcessLookupError):
                continue
            if int(of) == session and state != "Z":
                found.append(int(entry.name))
    return found


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL])
def test_an_interrupted_run_leaves_whole_files_and_the_next_one_goes_on(tmp_path: Path, how: signal.Signals) -> None:
    shop = shop_with(tmp_path, DAY, JOBS)
    process = started(tmp_path)
    assert process.stdout is not None
    for line in process.stdout:
        if line.startswith("done"):
            break
    if how == signal.SIGINT:
        os.killpg(process.pid, how)  # as a terminal does: to all of them
    else:
        process.kill()
    process.wait(timeout=60)
    assert process.returncode != 0
    process.stdout.close()
    until = time.monotonic() + 60
    while workers_of(process.pid):
        assert time.monotonic() < until
        time.sleep(0.05)

    whole = [path for path in (tmp_path / "out").iterdir() if re.fullmatch(r"HP-\d+\.pdf", path.name)]
    assert whole
    for path in whole:
        assert len(PdfReader(path).pages) > 5
    for path in (tmp_path / "out").glob("*.yaml"):
        assert path.read_text("utf-8").endswith("correction:\n")

    again = started(tmp_path)
    out, _ = again.communicate(timeout=300)
    assert again.returncode == 0
    assert sorted(re.findall(r"done (\S+)", out)) == sorted(JOBS)
    assert {path.name for path in (tmp_path / "out").iterdir()} == {
        ".state",
        f"{DAY}-runsheet.pdf",
        *(f"{DAY}-{truck}.pdf" for truck in ("T1", "T2", "T3")),
        *(f"{job}{end}" for job in JOBS for end in (".pdf", ".readings.yaml")),
    }
    assert all(len(records_of(shop, job)) == 1 for job in JOBS)


def test_a_print_that_is_killed_leaves_papers_that_agree_with_the_files(tmp_path: Path) -> None:
    shop = shop_with(tmp_path, DAY, JOBS)
    started(tmp_path).communicate(timeout=300)
    assert disagreements(shop, tmp_path / "out", DAY, complete=True) == []
    for job in JOBS:
        path = shop / DAY / f"{job}.yaml"
        path.write_text(re.sub(r"hottest_F: .*", "hottest_F: 99", path.read_text("utf-8")), "utf-8")
    process = started(tmp_path)
    assert process.stdout is not None
    for line in process.stdout:
        if line.startswith("done"):
            os.killpg(process.pid, signal.SIGKILL)
            break
    process.wait(timeout=60)
    process.stdout.close()
    assert disagreements(shop, tmp_path / "out", DAY, complete=False) == []
    assert len(list((tmp_path / "out").glob("HP-*.pdf"))) < len(JOBS)
    started(tmp_path).communicate(timeout=300)
    assert disagreements(shop, tmp_path / "out", DAY, complete=True) == []


def test_without_what_workers_are_copied_from_the_work_is_done_all_the_same() -> None:
    from multiprocessing import forkserver

    with Workers(2, "en") as workers:
        assert sorted(workers.each(eval, SUMS)) == [("1+1", 2), ("2+2", 4), ("3+3", 6)]
        os.kill(forkserver._forkserver._forkserver_pid, signal.SIGKILL)  # type: ignore[attr-defined]
        assert dict(workers.each(eval, SUMS)) == {"1+1": 2, "2+2": 4, "3+3": 6}
    with Workers(2, "en") as workers:
        assert dict(workers.each(eval, SUMS)) == {"1+1": 2, "2+2": 4, "3+3": 6}


def test_a_worker_that_is_told_to_end_ends_at_once_whatever_swallows_what_is_raised() -> None:
    stubborn = (
        "[exec('try:\\n import os, signal\\n os.kill(os.getpid(), signal.SIGTERM)\\n "
        "while True: pass\\nexcept BaseException: pass')]"
    )
    with Workers(2, "en") as workers:
        found = dict(workers.each(eval, [*SUMS, stubborn]))
    assert "terminated abruptly" in str(found.pop(stubborn))
    assert found == {"1+1": 2, "2+2": 4, "3+3": 6}
