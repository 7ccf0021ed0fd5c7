"""Random sequences of phone calls, slips of the keyboard and prints, as a day at dispatch brings them."""

import random
import re
import shutil
from collections.abc import Callable
from pathlib import Path

from packet.cli.main import main
from tests.cli.agree import disagreements, in_files

ROOT = Path(__file__).parents[2]
DAY, NEXT = "2026-11-26", "2026-11-30"
JOBS = ("HP-1044", "HP-1045", "HP-1046", "HP-1047")


def new_shop(folder: Path) -> Path:
    """A shop with four small jobs on three trucks."""
    shop = folder / "jobs"
    (shop / DAY).mkdir(parents=True)
    for path in (ROOT / "jobs").glob("*.yaml"):
        shutil.copy(path, shop)
    for job in JOBS:
        shutil.copy(ROOT / "jobs" / DAY / f"{job}.yaml", shop / DAY)
    return shop


class Dispatcher:
    """One sequence: each act is a command or an edit by hand, after which papers and files are compared."""

    def __init__(self, shop: Path, out: Path, seed: int) -> None:
        self.shop, self.out = shop, out
        self.choose = random.Random(seed)
        self.count = 0
        self.told: list[str] = []

    def run(self, *given: object) -> int:
        """One command in this process."""
        words = [str(word) for word in given]
        self.told.append(" ".join(words))
        try:
            return main([*words, "--out", str(self.out)] if words[0] not in {"cylinder", "assign"} else words)
        except SystemExit as left:
            return int(left.code or 0)

    def job(self) -> str:
        """A job that has a file on the day."""
        names = sorted(path.stem for path in (self.shop / DAY).glob("*.yaml"))
        return self.choose.choice(names) if names else JOBS[0]

    def file(self, job: str) -> Path:
        """Its file."""
        return next(iter(self.shop.glob(f"2026-*/{job}.yaml")), self.shop / DAY / f"{job}.yaml")

    def call_off(self) -> None:
        """A job is called off, or stands again."""
        job = self.file(self.job())
        if job.is_file() and "called_off" in job.read_text("utf-8"):
            self.run("call-off", job, "--undo")
        else:
            self.run("call-off", job, "--why", "customer: not today")

    def move(self) -> None:
        """To another truck, hour or person."""
        what = self.choose.choice(["--truck", "--start", "--technician"])
        value = {
            "--truck": self.choose.choice(["T1", "T2", "T3", "T4"]),
            "--start": self.choose.choice(["07:15", "09:40", "12:05", "16:20"]),
            "--technician": self.choose.choice(["wren", "pell", "vale"]),
        }[what]
        self.run("move", self.file(self.job()), what, value)

    def to_another_day(self) -> None:
        """To the next day and back."""
        there = sorted((self.shop / NEXT).glob("*.yaml")) if (self.shop / NEXT).is_dir() else []
        if there:
            self.run("move", there[0], "--day", DAY)
        else:
            self.run("move", self.file(self.job()), "--day", NEXT)

    def service(self) -> None:
        """A cylinder out of service, and back."""
        event = self.choose.choice([("out-of-service", "--why", "valve leaks"), ("in-service",)])
        name = self.choose.choice(["C-101", "C-102", "F-201", "F-202"])
        self.run("cylinder", event[0], name, *event[1:], "--out", self.out, "--shop", self.shop)

    def put_in(self) -> None:
        """An emergency."""
        self.count += 1
        job = f"HP-2{self.count:03}"
        like = self.file(self.job())
        if like.is_file():
            truck = self.choose.choice(["T1", "T2", "T4"])
            self.run("new", self.shop / DAY / job, "--like", like, "--truck", truck, "--start", "17:10", "--assign")

    def typo(self) -> None:
        """A slip in a file, by hand; or the slip is mended. Nobody runs a command for it."""
        path = self.file(self.job())
        if not path.is_file():
            return
        text = path.read_text("utf-8")
        path.write_text(
            text.replace("chrge_lb:", "charge_lb:") if "chrge_lb:" in text else text.replace("charge_lb:", "chrge_lb:"),
            "utf-8",
        )
        self.print()

    def delete(self) -> None:
        """A file is deleted by hand, and what is left printed."""
        path = self.file(self.job())
        if len(in_files(self.shop, DAY)) > 2 and path.is_file():
            path.unlink()
            self.print()

    def weighed(self) -> None:
        """A cylinder stands on the scale, and is found lighter or heavier than the ledger has it."""
        name = self.choose.choice(["C-101", "C-118", "F-201"])
        gross = self.choose.choice(["31.5", "34.2", "36.5"])
        self.run("cylinder", "weighed", name, "--gross", gross, "--on", DAY, "--shop", self.shop)

    def assigned(self) -> None:
        """A job loses its machine, scale and cylinders by hand, and gets others."""
        path = self.file(self.job())
        if path.is_file() and path.parent.name == DAY:
            text = path.read_text("utf-8")
            for key in ("machine", "scale", "cylinders"):
                text = re.sub(rf"^{key}:.*$", f"{key}: auto", text, count=1, flags=re.MULTILINE)
            path.write_text(text, "utf-8")
            self.run("assign", self.shop / DAY, "--job", path.stem, "--write")
            self.print_part()

    def forgotten(self) -> None:
        """What the printer remembers is thrown away, and a call comes."""
        shutil.rmtree(self.out / ".state", ignore_errors=True)
        self.told.append("(.state is lost)")
        self.move()

    def lost(self) -> None:
        """A file is changed by hand, somebody deletes a paper, and a part is printed."""
        path = self.file(self.job())
        if path.is_file() and path.parent.name == DAY:
            text = path.read_text("utf-8")
            path.write_text(re.sub(r"^  notes:.*$\n", "", text, flags=re.MULTILINE) + "# seen\n", "utf-8")
        for lost in self.choose.sample(sorted(self.out.glob("*.pdf")), k=1 if list(self.out.glob("*.pdf")) else 0):
            lost.unlink()
            self.told.append(f"({lost.name} is lost)")
        self.print_part()

    def print(self) -> None:
        """The whole day."""
        if list((self.shop / DAY).glob("*.yaml")):
            self.run("print", self.shop / DAY, "--workers", 1)

    def print_part(self) -> None:
        """One truck or one job, with the changed leaves or without."""
        jobs = in_files(self.shop, DAY)
        if jobs:
            job = self.choose.choice(sorted(jobs))
            what = ["--job", job] if jobs[job] == "?" or self.choose.random() < 0.5 else ["--truck", jobs[job]]
            leaves = ["--changed"] if self.choose.random() < 0.4 else []
            self.run("print", self.shop / DAY, "--workers", 1, *what, *leaves)

    def acts(self) -> list[Callable[[], None]]:
        """What may come."""
        return [
            self.call_off,
            self.move,
            self.move,
            self.to_another_day,
            self.service,
            self.put_in,
            self.typo,
            self.delete,
            self.print_part,
            self.weighed,
            self.assigned,
            self.forgotten,
            self.lost,
        ]

    def compared(self, *, complete: bool) -> list[str]:
        """What disagrees now."""
        slips = frozenset(
            path.stem for path in (self.shop / DAY).glob("*.yaml") if "chrge_lb" in path.read_text("utf-8")
        )
        return disagreements(self.shop, self.out, DAY, complete=complete, unread=slips)

    def sequence(self, length: int) -> list[str]:
        """Some acts, the papers compared after each; then a print of the day, after which all must be there."""
        for _ in range(length):
            self.choose.choice(self.acts())()
            found = self.compared(complete=False)
            if found:
                return [*self.told, *found]
        self.print()
        found = self.compared(complete=True)
        return [*self.told, *found] if found else []
