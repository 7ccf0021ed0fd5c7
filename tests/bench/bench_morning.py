"""A morning from nothing: an empty folder, twelve jobs, ten mistakes, eight phone calls; the wall time of each command.

    PYTHONPATH=. .venv/bin/python tests/bench/bench_morning.py

Registers come in as a spreadsheet's CSV, jobs are the demo's; after each print and each call run sheet, stacks and files
are compared (tests/cli/agree.py).
"""

import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import yaml

from tests.cli.agree import disagreements
from tests.shop.test_begin import rows_of

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "jobs"
DAY = "2026-12-01" if (DEMO / "2026-12-01").is_dir() else "2026-11-26"
LISTS = ("cylinders", "technicians", "machines", "scales", "hoses", "manifolds", "filter_driers", "sight_glasses")
# (job's place in the day, what stands there, what somebody types instead)
MISTAKES = (
    (0, "charge_lb:", "chrge_lb:"),
    (1, "truck: T", "truck: X"),
    (2, "start: ", "start: 99"),
    (3, "refrigerant: R-", "refrigerant: Q-"),
    (4, "technician: ", "technician: Mr "),
    (5, "date: 2026", "date: 2062"),
    (6, "space: ", "space: cellar-"),
    (7, "hottest_F: ", "hottest_F: hot "),
    (8, "kind: ", "kind: big-"),
    (9, "reason: ", "reason: because-"),
)


class Morning:
    """One shop in a folder of its own, and every command timed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.times: list[tuple[str, float, int]] = []
        self.wrong: list[str] = []

    def run(self, *words: str, expect: tuple[int, ...] = (0,)) -> str:
        """One command as a user types it."""
        started = time.perf_counter()
        packet = [sys.executable, "-c", "from packet.cli.main import main; raise SystemExit(main())"]
        done = subprocess.run([*packet, *words], cwd=self.folder, capture_output=True, text=True, check=False)
        said = " ".join(words)
        self.times.append((said, time.perf_counter() - started, done.returncode))
        if done.returncode not in expect:
            self.wrong.append(f"{said}: exit {done.returncode}: {(done.stderr or done.stdout)[-300:]}")
        return done.stdout + done.stderr

    def agree(self, *, complete: bool, unread: frozenset[str] = frozenset()) -> None:
        """Compare the papers with the files."""
        shop, out = self.folder / "jobs", self.folder / "out"
        self.wrong += disagreements(shop, out, DAY, complete=complete, unread=unread)


def fill_in_the_shop(morning: Morning) -> None:
    """What a person types, and what the spreadsheets hold."""
    shop = morning.folder / "jobs"
    shutil.copy(DEMO / "shop.yaml", shop)
    text = (shop / "shop.yaml").read_text("utf-8").replace("../templates/schemas/", ".schemas/")
    (shop / "shop.yaml").write_text(text, "utf-8")
    for name in ("cylinders", "technicians", "machines"):
        raw = yaml.load((DEMO / f"{name}.yaml").read_text("utf-8"), yaml.BaseLoader)
        lists = {name: raw} if isinstance(raw, list) else raw | raw["kit"]
        for one in LISTS:
            if isinstance(lists.get(one), list):
                (morning.folder / f"{one}.csv").write_text(rows_of(lists[one]), "utf-8-sig")
    morning.run("bring-in", *(f"{name}.csv" for name in LISTS))
    # the rest of the kit is counts: typed in
    shutil.copy(DEMO / "machines.yaml", shop)


def main() -> int:
    """The morning; 1 where something was not as it should be."""
    with tempfile.TemporaryDirectory() as place:
        morning = Morning(Path(place))
        shop = morning.folder / "jobs"
        morning.run("begin", "jobs")
        morning.run("check", "jobs", expect=(1,))
        fill_in_the_shop(morning)
        for path in shop.glob("*/J-001.yaml"):
            path.unlink()
        jobs = sorted((DEMO / DAY).glob("*.yaml"))[:12]
        (shop / DAY).mkdir(exist_ok=True)
        for path in jobs:
            shutil.copy(path, shop / DAY)
        morning.run("check", DAY)
        right = {path.name: path.read_text("utf-8") for path in (shop / DAY).glob("*.yaml")}
        for number, old, new in MISTAKES:
            if number < len(jobs):
                path = shop / DAY / jobs[number].name
                path.write_text(path.read_text("utf-8").replace(old, new, 1), "utf-8")
        told = morning.run("check", DAY, expect=(1,))
        missed = [
            jobs[number].name for number, _, _ in MISTAKES if number < len(jobs) and jobs[number].name not in told
        ]
        morning.wrong += [f"a mistake in {name} was not told" for name in missed]
        morning.run("print", DAY, expect=(1,))
        morning.agree(complete=True, unread=frozenset(path.stem for path in jobs[: len(MISTAKES)]))
        for name, text in right.items():
            (shop / DAY / name).write_text(text, "utf-8")
        morning.run("assign", DAY)
        morning.run("print", DAY)
        morning.agree(complete=True)
        first, second, third = (path.stem for path in jobs[:3])
        for words in (
            ("call-off", first, "--why", "customer sold the unit"),
            ("call-off", first, "--undo"),
            ("move", second, "--start", "16:45"),
            ("move", third, "--day", "2026-12-09"),
            ("move", third, "--day", DAY),
            ("cylinder", "out-of-service", "C-126", "--why", "valve leaks"),
            ("cylinder", "weighed", "C-118", "--gross", "34.1"),
            ("new", f"{DAY}/HP-1999", "--like", second, "--truck", "T2", "--start", "17:30", "--assign"),
        ):
            morning.run(*words, expect=(0, 1))
            morning.agree(complete=False)
        morning.run("print", DAY, "--changed", expect=(0, 1))
        morning.agree(complete=True)
        morning.run("print", DAY, expect=(0, 1))
        for said, seconds, status in morning.times:
            print(f"{seconds:7.2f} s  exit {status}  packet {said[:90]}")
        print(*(f"WRONG: {line}" for line in morning.wrong), sep="\n")
        print(f"{len(jobs)} jobs, {len(morning.times)} commands, {len(morning.wrong)} wrong")
        return 1 if morning.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
