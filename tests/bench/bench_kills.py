"""A print killed at any moment, then run again: it ends byte for byte where an uninterrupted one ends.

`PYTHONPATH=. .venv/bin/python tests/bench/bench_kills.py [COUNT] [SEED]`. Main process, a worker, the fork server or
the whole group; TERM, INT or KILL. Leftovers (parts, processes) and torn files count as failures.
"""

import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.press.run.test_pool import workers_of
from tests.press.run.test_print_days import DAY, shop_with

JOBS = ("HP-1041", "HP-1044", "HP-1047")
RUN = """
import signal
import sys
from datetime import UTC, datetime
from pathlib import Path
from packet.office.form import empty_form
from packet.press.run.print_days import print_jobs
from packet.press.run.model import Options, PrintOrder

if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)
    folder = Path(sys.argv[1])
    at = datetime(2026, 11, 26, 5, tzinfo=UTC)
    print_jobs(PrintOrder((folder / "jobs" / sys.argv[2],), folder / "out", at, empty_form, Options(workers=2)))
"""
SIGNALS = (signal.SIGTERM, signal.SIGINT, signal.SIGKILL)
PATIENCE_SECONDS = 120


def started(folder: Path) -> subprocess.Popen[bytes]:
    """A print of the day, in a session of its own."""
    script = folder / "run.py"
    script.write_text(RUN, "utf-8")
    quiet = subprocess.DEVNULL
    words = [sys.executable, str(script), str(folder), DAY]
    return subprocess.Popen(words, stdout=quiet, stderr=quiet, start_new_session=True)


def made(folder: Path) -> dict[str, bytes]:
    """Everything that a print leaves, by its path; locks are empty and stay."""
    places = (*(folder / "out").rglob("*"), *(folder / "jobs" / "printed").rglob("*"))
    return {str(path.relative_to(folder)): path.read_bytes() for path in places if path.is_file()}


def killed(folder: Path, chance: random.Random, longest: float) -> str:
    """Start a print and kill something of it at some moment; what was done."""
    process = started(folder)
    time.sleep(chance.uniform(0.0, longest))
    what, how = chance.choice(["main", "other", "group"]), chance.choice(SIGNALS)
    others = [pid for pid in workers_of(process.pid) if pid != process.pid]
    try:
        if what == "group":
            os.killpg(process.pid, how)
        else:
            os.kill(chance.choice(others) if what == "other" and others else process.pid, how)
    except ProcessLookupError:
        pass
    process.wait(PATIENCE_SECONDS)
    until = time.monotonic() + PATIENCE_SECONDS
    while workers_of(process.pid):
        assert time.monotonic() < until, "a process was left behind"
        time.sleep(0.05)
    return f"{what} {how.name}"


def main() -> None:
    """Kill so many prints; every difference is printed, and ends the run with 1."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    chance = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 20261126)
    told, wrong = Counter[str](), 0
    with tempfile.TemporaryDirectory() as base:
        shop_with(Path(base) / "whole", DAY, JOBS)
        begun = time.monotonic()
        assert started(Path(base) / "whole").wait(PATIENCE_SECONDS) == 0
        longest, wanted = time.monotonic() - begun, made(Path(base) / "whole")
        for number in range(count):
            folder = Path(base) / str(number)
            shop_with(folder, DAY, JOBS)
            done = killed(folder, chance, longest)
            told[done] += 1
            again = started(folder).wait(PATIENCE_SECONDS)
            found = made(folder)
            differ = sorted(name for name in wanted.keys() | found.keys() if wanted.get(name) != found.get(name))
            if again or differ:
                wrong += 1
                print(f"{number}: {done}: status {again}, {differ}", flush=True)
    print(f"{count} kills: {dict(told)}; {wrong} did not end where an uninterrupted print ends")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
