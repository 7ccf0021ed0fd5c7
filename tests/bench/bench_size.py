"""A large branch: what each command takes, on the clock and of memory, and how the print of a day grows with its jobs.

    PYTHONPATH=. .venv/bin/python tests/bench/bench_size.py [--cylinders 20000 --filed 5000 --printed 5000 --jobs 300]
        [--keep FOLDER] [--only check] [--linear 25,50,100]

The shop is made once by `large_shop.made` and kept in --keep between runs; commands run in processes of their own, on a
copy where they write. Memory is the largest a process of the command had. The processor's time is that of the command's own
process, without workers: a command that has none takes as long on a machine that does nothing else, and a line is marked
where that, or the memory, is over the most that it may take.
"""

import argparse
import math
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from tests.bench.bench_day import DAY, large_shop
from tests.bench.large_shop import made, name_of

MONTH = DAY[:7]
# what may be taken of the processor, seconds, and of memory, MB
MOST = {
    "print one job, warm": (5.0, None),
    "assign the day": (60.0, 1000.0),
    "check the day": (20.0, None),
    "check the shop": (20.0, None),
    "month": (5.0, None),
    "cylinders": (5.0, None),
}


@dataclass(frozen=True, slots=True)
class Took:
    """What a command took: on the clock, of the processor (without workers), of memory in its largest process."""

    seconds: float
    busy_seconds: float
    memory_MB: float
    status: int
    said: str


def run(shop: Path, *words: str) -> Took:
    """One command in a process of its own, beside the shop."""
    packet = [sys.executable, "-c", "from packet.cli.main import main; raise SystemExit(main())", *words]
    with tempfile.TemporaryFile() as said:
        started = time.perf_counter()
        process = subprocess.Popen(packet, cwd=shop.parent, stdout=said, stderr=subprocess.STDOUT)
        _, status, used = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - started
        process.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        text = said.read().decode("utf-8", "replace")
    # a child's own largest includes that of the workers it waited for
    return Took(seconds, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, process.returncode, text)


def tell(name: str, took: Took) -> None:
    """A line of the table."""
    seconds, memory_MB = MOST.get(name, (None, None))
    over = (seconds is not None and took.busy_seconds > seconds) or (
        memory_MB is not None and took.memory_MB > memory_MB
    )
    most = "" if seconds is None else f"at most {seconds:g} s" + (f", {memory_MB:g} MB" if memory_MB else "")
    last = took.said.strip().splitlines()[-1:] or [""]
    mark = "OVER" if over else "    "
    print(
        f"{name:24}{took.seconds:8.2f} s {took.busy_seconds:8.2f} s {took.memory_MB:7.0f} MB  exit {took.status} {mark} {most:24} {last[0][:70]}"
    )
    sys.stdout.flush()


def commands(shop: Path, job: str) -> dict[str, tuple[str, ...]]:
    """The commands of the table, in order: those that write come last."""
    filed = name_of(1)
    form = str(shop.parent / "out" / f"{job}.readings.yaml")
    return {
        "cylinders": ("cylinders",),
        "month": ("month", MONTH),
        "find a cylinder": ("find", filed),
        "find a job": ("find", "HQ-00001"),
        "check the day": ("check", DAY),
        "check the shop": ("check", "jobs"),
        "plan one job": ("plan", str(shop / DAY / f"{job}.yaml")),
        "assign the day": ("assign", DAY),
        "print one job, cold": ("print", DAY, "--job", job),
        "print one job, warm": ("print", DAY, "--job", job),
        # as it lies there it is blank, and refused: what is read for that is what a good one takes
        "file one job": ("file", form),
        # its packet as it was printed, in the place of its scan
        "sort a packet": ("sort", str(shop.parent / "out" / f"{job}.pdf")),
        "turn in a cylinder": ("turn-in", filed, "--to", "Harrow Reclaim, Harrow Mesa", "--for", "reclaim"),
        "print the day": ("print", DAY),
        "print the day again": ("print", DAY),
    }


def linear(counts: tuple[int, ...]) -> None:
    """The print of days of several sizes, each in a shop of its own, and the order in which it grows."""
    taken: list[float] = []
    for count in counts:
        with tempfile.TemporaryDirectory() as place:
            shop = large_shop(Path(place), count)
            took = run(shop, "print", DAY)
            again = run(shop, "print", DAY)
        taken.append(took.seconds)
        print(
            f"print a day of {count:4} jobs {took.seconds:8.2f} s, {took.memory_MB:5.0f} MB; again, nothing changed "
            f"{again.seconds:6.2f} s"
        )
        sys.stdout.flush()
    if len(counts) > 1:
        order = math.log(taken[-1] / taken[0]) / math.log(counts[-1] / counts[0])
        print(f"order between {counts[0]} and {counts[-1]} jobs: jobs ^ {order:.2f}")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--cylinders", type=int, default=20_000)
    parser.add_argument("--filed", type=int, default=5_000)
    parser.add_argument("--printed", type=int, default=5_000)
    parser.add_argument("--jobs", type=int, default=300)
    parser.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()) / "bench_size")
    parser.add_argument("--only", default="", help="commands whose name holds this")
    parser.add_argument("--linear", default="", help="sizes of days, as in 25,50,100; no table then")
    asked = parser.parse_args()
    if asked.linear:
        linear(tuple(int(count) for count in asked.linear.split(",")))
        return
    started = time.perf_counter()
    kept = made(asked.keep, cylinders=asked.cylinders, filed=asked.filed, printed=asked.printed, jobs=asked.jobs)
    print(f"{kept}: made or found in {time.perf_counter() - started:.1f} s")
    shop = kept.parent / "run" / "jobs"
    shutil.rmtree(shop.parent, ignore_errors=True)
    # hard links: nothing that is there is ever written over in place
    shutil.copytree(kept, shop, copy_function=os.link)
    job = min(path.stem for path in (shop / DAY).glob("*.yaml"))
    for name, words in commands(shop, job).items():
        if asked.only in name:
            tell(name, run(shop, *words))


if __name__ == "__main__":
    main()
