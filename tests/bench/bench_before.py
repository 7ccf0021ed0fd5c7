"""A day of many jobs as a whole command, this code against an older one, turn about in one run.

    git worktree add /somewhere 63995fe     # the first edition; a virtual environment with the same libraries in .venv
    python tests/bench/bench_before.py /somewhere [--jobs 60] [--rounds 3]

Each prints its own demo day, over and over (`large_shop`), with two workers, into an empty folder. Nothing else should be
using the machine.
"""

import argparse
import os
import shutil
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parents[2]
DAY = "2026-11-26"
SHOP = "import sys; from pathlib import Path; from tests.bench.bench_day import large_shop; large_shop(Path(sys.argv[1]), int(sys.argv[2]))"
COMMAND = "import sys; from packet.cli.main import main; sys.exit(main())"


def python(tree: Path, code: str, *words: object) -> None:
    """Run `code` with a tree's own interpreter, in it."""
    command = [str(tree / ".venv/bin/python"), "-c", code, *map(str, words)]
    # as a user runs it: what was compiled once is kept
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(command, cwd=tree, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]


def printed(tree: Path, folder: Path) -> tuple[float, int, int]:
    """Seconds on the clock, sides and the bytes of the largest packet of a day printed from nothing."""
    for made in (folder / "out", folder / "jobs" / "printed"):
        shutil.rmtree(made, ignore_errors=True)
    started = time.perf_counter()
    python(tree, COMMAND, "print", folder / "jobs" / DAY, "--out", folder / "out", "--workers", 2)
    seconds = time.perf_counter() - started
    from pypdf import PdfReader

    packets = list((folder / "out").glob("HP-*.pdf"))
    return (
        seconds,
        sum(len(PdfReader(path).pages) for path in packets),
        max(path.stat().st_size for path in packets),
    )


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("before", type=Path)
    parser.add_argument("--jobs", type=int, default=60)
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        trees = {"before": asked.before.resolve(), "now": HERE}
        for which, tree in trees.items():
            (Path(name) / which).mkdir()
            python(tree, SHOP, Path(name) / which, asked.jobs)
            printed(tree, Path(name) / which)  # warms bytecode, templates and properties
        found: dict[str, list[tuple[float, int, int]]] = {"before": [], "now": []}
        for _ in range(asked.rounds):
            for which, tree in trees.items():
                found[which].append(printed(tree, Path(name) / which))
        for which, runs in found.items():
            seconds = statistics.median(run[0] for run in runs)
            print(f"{which:8} {seconds:7.2f} s, {runs[0][1]} sides, largest packet {runs[0][2] / 1000:.0f} kB")
        ratios = [now[0] / before[0] for before, now in zip(found["before"], found["now"], strict=True)]
        print(f"now over before: {statistics.median(ratios):.3f} ({', '.join(f'{one:.3f}' for one in ratios)})")


if __name__ == "__main__":
    main()
