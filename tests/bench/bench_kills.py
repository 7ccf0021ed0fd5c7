"""A print killed at any moment, then run again: it ends byte for byte where an uninterrupted one ends.

`PYTHONPATH=. .venv/bin/python tests/bench/bench_kills.py [COUNT] [SEED]`. Main process, a worker, the fork server or the
whole group; TERM, INT or KILL. Leftovers (parts, processes, temporary folders) and torn files count as failures. A
small day, one packet and one that may not go out; the prints are forked from this process, so that a kill costs a second.
`tests/press/run/test_kills.py` does a few.
"""

import multiprocessing.util
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

from packet.office.form import empty_form
from packet.press.run import warm
from packet.press.run.model import Options, PrintOrder
from packet.press.run.print_days import print_jobs
from packet.press.scratch import own_temporary_folder
from tests.children import forked
from tests.press.run.test_print_days import DAY, shop_with

JOBS = ("HP-1047", "HP-1044")
STOPPED = "HP-1044"
AT = datetime(2026, 11, 26, 5, tzinfo=UTC)
SIGNALS = (signal.SIGTERM, signal.SIGINT, signal.SIGKILL)
TARGETS = ("main", "worker", "forkserver", "group")
PATIENCE_SECONDS = 120

assert warm.run_work  # what every print is a copy of: loaded once, here


def shop_in(folder: Path) -> None:
    """The day, with one job to which no machine is assigned."""
    shop_with(folder, DAY, JOBS)
    path = folder / "jobs" / DAY / f"{STOPPED}.yaml"
    lines = path.read_text("utf-8").splitlines()
    path.write_text("\n".join("machine: auto" if line.startswith("machine:") else line for line in lines) + "\n")


def started(folder: Path, workers: int = 2) -> int:
    """A print of the day in a session of its own; its process."""
    return forked(lambda: _print(folder, workers), multiprocessing.util._exit_function)  # type: ignore[attr-defined]


def _print(folder: Path, workers: int) -> None:
    os.setsid()
    quiet = os.open(os.devnull, os.O_RDWR)
    for number in (1, 2):
        os.dup2(quiet, number)
    # what a process of its own does when it loads the typesetter, which this one has done for all
    own_temporary_folder.cache_clear()
    own_temporary_folder()
    # workers are not to load this bench as their main module; a test's main module has no file
    sys.modules["__main__"].__dict__.pop("__file__", None)
    print_jobs(PrintOrder((folder / "jobs" / DAY,), folder / "out", AT, empty_form, Options(workers=workers)))


def ended(pid: int) -> int:
    """Wait for a print; its status, below 0 where a signal ended it."""
    until = time.monotonic() + PATIENCE_SECONDS
    while True:
        found, status = os.waitpid(pid, os.WNOHANG)
        if found:
            break
        assert time.monotonic() < until, "a print hangs"
        time.sleep(0.005)
    while session(pid):
        assert time.monotonic() < until, "a process was left behind"
        time.sleep(0.005)
    return os.waitstatus_to_exitcode(status)


def session(leader: int) -> dict[int, int]:
    """The living processes of a session by their parents."""
    found = {}
    for path in Path("/proc").iterdir():
        if path.name.isdigit():
            try:
                fields = (path / "stat").read_text("utf-8").rpartition(")")[2].split()
            except OSError:
                continue
            if int(fields[3]) == leader and fields[0] not in "ZX":
                found[int(path.name)] = int(fields[1])
    return found


def target(leader: int, what: str) -> int | None:
    """The process to be hit, where there is one now."""
    if what in {"main", "group"}:
        return leader
    parents = session(leader)
    servers = [pid for pid, parent in parents.items() if parent == leader and _is_server(pid)]
    if what == "forkserver":
        return servers[0] if servers else None
    # what the server runs for a moment while it loads its libraries is no worker
    workers = [pid for pid, parent in parents.items() if parent in servers and _is_server(pid)]
    return random.choice(workers) if workers else None


def _is_server(pid: int) -> bool:
    try:
        return b"forkserver" in Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return False


def killed(folder: Path, what: str, how: signal.Signals, delay: float) -> bool:
    """Start a print and hit it `delay` seconds after there is something to hit; whether it was hit while it ran."""
    leader = started(folder)
    hit = False
    while not hit and os.waitid(os.P_PID, leader, os.WEXITED | os.WNOHANG | os.WNOWAIT) is None:
        if target(leader, what) is not None:
            time.sleep(delay)
            pid = target(leader, what)
            try:
                if pid is not None:
                    (os.killpg if what == "group" else os.kill)(pid, how)
                    hit = True
            except ProcessLookupError:
                pass
        time.sleep(0.002)
    ended(leader)
    return hit


def made(folder: Path) -> dict[str, bytes]:
    """Everything that a print leaves, by its path; locks are empty and stay."""
    places = (*(folder / "out").rglob("*"), *(folder / "jobs").rglob("*"))
    return {str(path.relative_to(folder)): path.read_bytes() for path in places if path.is_file()}


def run(count: int, seed: int = 20261126) -> tuple[Counter[str], int]:
    """So many kills that hit: how often each kind, and how many reruns did not end where they should."""
    chance, told, wrong = random.Random(seed), Counter[str](), 0
    random.seed(seed)
    temporary = os.environ.get("TMPDIR")
    with tempfile.TemporaryDirectory() as base:
        os.environ["TMPDIR"] = str(Path(base) / "tmp")
        Path(base, "tmp").mkdir()
        tempfile.tempdir = None
        try:
            whole = Path(base) / "whole"
            shop_in(whole)
            begun = time.monotonic()
            assert ended(started(whole)) == 0
            longest, wanted = time.monotonic() - begun, made(whole)
            while sum(told.values()) < count:
                folder = Path(base) / "killed"
                shop_in(folder)
                what, how = chance.choice(TARGETS), chance.choice(SIGNALS)
                delay = chance.uniform(0.0, longest * (1.0 if what in {"main", "group"} else 0.6))
                if not killed(folder, what, how, delay):
                    shutil.rmtree(folder)
                    continue
                told[f"{what} {how.name}"] += 1
                again = ended(started(folder, workers=1))
                found = made(folder)
                differ = sorted(name for name in wanted.keys() | found.keys() if wanted.get(name) != found.get(name))
                left = sorted(path.name for path in Path(base, "tmp").iterdir())
                if again or differ or left:
                    wrong += 1
                    print(f"{what} {how.name} after {delay:.3f} s: status {again}, {differ}, left {left}", flush=True)
                if sum(told.values()) % 50 == 0:
                    print(f"{sum(told.values())} so far: {dict(sorted(told.items()))}; {wrong} wrong", flush=True)
                shutil.rmtree(folder)
                for path in Path(base, "tmp").iterdir():
                    shutil.rmtree(path, ignore_errors=True)
        finally:
            tempfile.tempdir = None
            if temporary is None:
                del os.environ["TMPDIR"]
            else:
                os.environ["TMPDIR"] = temporary
    return told, wrong


def main() -> None:
    """Kill so many prints; every difference is printed, and ends the run with 1."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    begun = time.monotonic()
    told, wrong = run(count, int(sys.argv[2]) if len(sys.argv) > 2 else 20261126)
    each = (time.monotonic() - begun) / count
    print(
        f"{count} kills, {each:.1f} s each: {dict(sorted(told.items()))}; {wrong} did not end as an uninterrupted one"
    )
    missed = {what for what in TARGETS if not any(name.startswith(what) for name in told)}
    if missed:
        print(f"never hit: {sorted(missed)}")
    sys.exit(1 if wrong or missed else 0)


if __name__ == "__main__":
    main()
