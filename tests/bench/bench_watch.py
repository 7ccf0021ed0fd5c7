"""From saving a job's file to its paper lying there, with `packet print DAY --watch` running: the demo's twelve jobs.

    PYTHONPATH=. .venv/bin/python tests/bench/bench_watch.py [CHANGES]

For each change: seconds until the packet, its stack and the run sheet are written anew (the line that counts is printed
last), then seconds until the bell after a save that stops a job, as many times.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
DAY = "2026-12-01"
COUNTS = re.compile(rb"\d+ printed, \d+ unchanged")
PACKET = [sys.executable, "-c", "from packet.cli.main import main; raise SystemExit(main())"]


class Watched:
    """A running watch; what it says is read as it comes."""

    def __init__(self, folder: Path) -> None:
        self.process = subprocess.Popen(
            [*PACKET, "print", DAY, "--watch"],
            cwd=folder,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            env=os.environ | {"PYTHONUNBUFFERED": "1"},
        )
        self.said = b""

    def until(self, wanted: re.Pattern[bytes]) -> float:
        """Seconds until it says this, from now on."""
        started, self.said = time.perf_counter(), b""
        assert self.process.stdout is not None
        while not wanted.search(self.said):
            more = os.read(self.process.stdout.fileno(), 65536)
            if not more:
                raise SystemExit(f"the watch ended: {self.said.decode()}")
            self.said += more
        return time.perf_counter() - started


def main(changes: int) -> None:
    """Print the seconds of each change, and of a stop."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        shutil.copytree(ROOT / "jobs", folder / "jobs", ignore=shutil.ignore_patterns("printed", "filed", "pictures"))
        job = folder / "jobs" / DAY / "HP-1204.yaml"
        text = job.read_text("utf-8")
        watched = Watched(folder)
        try:
            print(f"first print of the day {watched.until(re.compile(rb'Watching')):.2f} s")
            seconds = []
            for number in range(changes):
                time.sleep(1.0)
                job.write_text(re.sub(r"hottest_F: .*", f"hottest_F: {81 + number}", text), "utf-8")
                seconds.append(watched.until(COUNTS))
                if b"HP-1204 printed" not in watched.said:
                    raise SystemExit(f"HP-1204 was not printed: {watched.said.decode()}")
                print(f"saved to paper {seconds[-1]:.2f} s")
            bells = []
            for number in range(changes):
                time.sleep(1.0)
                job.write_text(re.sub(r"start: .*", f"start: noon {number}", text), "utf-8")
                bells.append(watched.until(re.compile(b"\a")))
                watched.until(COUNTS)
                print(f"saved to bell {bells[-1]:.2f} s")
            for name, times in (("paper", seconds), ("bell", bells)):
                print(f"{name}: median of {changes} {median(times):.2f} s, worst {max(times):.2f} s")
        finally:
            watched.process.terminate()
            watched.process.wait()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
