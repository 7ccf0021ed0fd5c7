"""Something else in the place of every file that a command opens: a folder, a pipe, a loop, 2.5 GB, bytes that are no text.

Each command ends with 0, 1, 2 or 3, in time, without a traceback, in few lines that a terminal can show. And after
it, with the right file back in its place, the day is what it was.

`PYTHONPATH=. .venv/bin/python tests/bench/bench_hostile.py [COUNT] [SEED]`; `tests/test_hostile.py` does a few.
"""

import contextlib
import io
import os
import random
import shutil
import signal
import socket
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from importlib import import_module
from pathlib import Path
from unittest.mock import patch

from packet.cli.main import main
from packet.visible import visible
from tests.cli.test_commands import _filled

ROOT = Path(__file__).parents[2]
DAY = "2026-11-26"
AT = datetime.fromisoformat(f"{DAY}T18:00:00+00:00")
JOBS = ("HP-1041", "HP-1047")
CLOCKS = ("talk", "assign", "calls", "cylinders", "filing", "jobs", "printing", "scans", "shop_today", "begin")
PATIENCE_SECONDS = 120
MOST_LINES = 250
MOST_BYTES = 60_000
Put = Callable[[Path], None]


def _sparse(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(2_500_000_000)


def _bytes(content: bytes) -> Put:
    def put(path: Path) -> None:
        path.write_bytes(content)

    return put


def _listening(path: Path) -> None:
    before = Path.cwd()
    os.chdir(path.parent)  # a socket's path is short
    try:
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(path.name)
    finally:
        os.chdir(before)


INSTEAD: dict[str, Put] = {
    "nothing": lambda _path: None,
    "folder": lambda path: path.mkdir(),
    "pipe": os.mkfifo,
    "loop": lambda path: path.symlink_to(path.name),
    "zeros": lambda path: path.symlink_to("/dev/zero"),
    "dead link": lambda path: path.symlink_to("nowhere"),
    "2.5 GB": _sparse,
    "socket": _listening,
    "empty": _bytes(b""),
    "NUL": _bytes(b"\0" * 300),
    "no text": _bytes(b"\xff\xfe\xc3\x28\x80" * 40),
    "orders": _bytes(b'job: "\x1b[31m\\e]0;x\\a"\n\x9b31m: 1\n'),
    "deep": _bytes(b"[" * 100_000),
    "deeper": _bytes(b'{"a":' * 50_000),
    "long": _bytes(b"job: " + b"x" * 400_000),
    "long key": _bytes(b"x" * 400_000 + b": 1"),
    "many": _bytes(b"cylinders: [" + b"C-1, " * 150_000 + b"C-1]\n"),
    "many keys": _bytes(b"".join(b"k%d: 1\n" % number for number in range(100_000))),
    "a list": _bytes(b"- 1\n- 2\n"),
    "a number": _bytes(b"1e999999\n"),
    "aliases": _bytes(b"a: &a [x]\nb: &b [*a,*a]\nc: [*b,*b]\n"),
}


@contextmanager
def clock() -> Iterator[None]:
    """Six in the evening of the day, on every clock that a command looks at."""
    with contextlib.ExitStack() as stack:
        for name in CLOCKS:
            module = import_module(f"packet.cli.{name}")
            for what, value in (("now", lambda: AT), ("today", AT.date)):
                if hasattr(module, what):
                    stack.enter_context(patch.object(module, what, value))
        yield


def shop_in(folder: Path) -> None:
    """A shop with a day of two jobs, one of which is printed and one filed."""
    shutil.copytree(ROOT / "jobs", folder / "jobs", ignore=shutil.ignore_patterns("pictures", "2026-1[12]-[!2]*"))
    for path in (folder / "jobs" / DAY).glob("*.yaml"):
        if path.stem not in JOBS:
            path.unlink()
    for path in (folder / "jobs").glob("2026-*"):
        if path.name != DAY:
            shutil.rmtree(path)
    assert said(folder, "print", f"jobs/{DAY}", "--workers", "1")[0] == 0
    form = folder / "out" / "HP-1047.readings.yaml"
    status, words = said(folder, "plan", f"jobs/{DAY}/HP-1047.yaml", "--json")
    assert status == 0, words
    form.write_text(_filled(form.read_text("utf-8"), *_weights(words)), "utf-8")
    status, words = said(folder, "file", "out/HP-1047.readings.yaml", "--reason", "card-differs=read off the card")
    assert status == 0, words


def _weights(document: str) -> tuple[float, float]:
    import json

    cylinder = json.loads(document)["cylinders"][0]
    return cylinder["expected_bare_gross_lb"], cylinder["planned_lb"]


COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check", f"jobs/{DAY}"),
    ("check", "jobs"),
    ("plan", f"jobs/{DAY}/HP-1041.yaml"),
    ("plan", f"jobs/{DAY}/HP-1041.yaml", "--why", "method"),
    ("print", f"jobs/{DAY}", "--workers", "1"),
    ("assign", f"jobs/{DAY}"),
    ("call-off", "HP-1041", "--why", "rain"),
    ("move", "HP-1041", "--start", "11:00"),
    ("new", "jobs/2026-11-30/HP-1060"),
    ("file", "out/HP-1041.readings.yaml"),
    ("file", "out/HP-1047.readings.yaml"),
    ("not-done", "HP-1041", "--why", "rain"),
    ("cylinders",),
    ("cylinder", "weighed", "C-129", "--gross", "30"),
    ("month", "2026-11"),
    ("find", "HP-1041"),
    ("records", "check"),
    ("card",),
    (),
)


def said(folder: Path, *words: str) -> tuple[int, str]:
    """A command's status and all it said; 70 is an exception that reached its end, 124 one that took too long."""
    out = io.StringIO()
    before = Path.cwd()
    os.chdir(folder)
    signal.signal(signal.SIGALRM, _too_long)
    signal.alarm(PATIENCE_SECONDS)
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out), clock():
            status = main(words)
    except SystemExit as left:
        status = left.code if isinstance(left.code, int) else 0
    except TooLong:
        return 124, out.getvalue() + traceback.format_exc()
    except BaseException:
        return 70, out.getvalue() + traceback.format_exc()
    finally:
        signal.alarm(0)
        os.chdir(before)
    return status, out.getvalue()


class TooLong(BaseException):  # it ends a command, whatever that catches
    """A command takes too long. No TimeoutError: that is what the machine says, and a command has an answer to it."""


def _too_long(_number: int, _frame: object) -> None:
    raise TooLong


def places(folder: Path) -> list[Path]:
    """Every file and folder of the shop and its output, and the two folders themselves' children."""
    return sorted(path for part in ("jobs", "out") for path in (folder / part).rglob("*"))


def wrong_with(status: int, words: str) -> str:
    """What a command may not do; '' where it did nothing of the kind."""
    if status not in {0, 1, 2, 3}:
        return f"status {status}"
    if "Traceback" in words:
        return "a traceback"
    if visible(words) != words:
        return "signs that cannot be seen"
    if words.count("\n") > MOST_LINES or len(words) > MOST_BYTES:
        return "too much said"
    return ""


def run(count: int, seed: int = 20261126, *, watch: bool = False) -> Counter[str]:
    """So many commands, each on a shop with one thing out of place; how they ended. Slips are told and counted."""
    chance, told = random.Random(seed), Counter[str]()
    with tempfile.TemporaryDirectory() as base:
        whole = Path(base) / "whole"
        whole.mkdir()
        shop_in(whole)
        for number in range(count):
            folder = Path(base) / "bent"
            shutil.copytree(whole, folder, symlinks=True)
            path = chance.choice(places(folder))
            kind = chance.choice(list(INSTEAD))
            command = chance.choice(COMMANDS)
            if path.is_dir():
                shutil.rmtree(path)
            else:
                path.unlink()
            INSTEAD[kind](path)
            begun = time.monotonic()
            status, words = said(folder, *command)
            took = time.monotonic() - begun
            wrong = wrong_with(status, words)
            told[wrong or f"status {status}"] += 1
            case = f"{number}: {kind} for {path.relative_to(folder)}: packet {' '.join(command)}"
            if wrong:
                print(f"{case}: {wrong}\n{visible(words[-3000:])}", flush=True)
            elif watch:
                print(f"{case}: {status}, {took:.1f} s, {visible(words.strip()[:200])!r}", flush=True)
            shutil.rmtree(folder)
    return told


def main_() -> None:
    """Do so many and print how they ended; 1 where one was wrong."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000
    told = run(count, int(sys.argv[2]) if len(sys.argv) > 2 else 20261126, watch="--watch" in sys.argv)
    print(f"{count} commands: {dict(sorted(told.items()))}")
    sys.exit(0 if all(name.startswith("status ") and name[7:] in "0123" for name in told) else 1)


if __name__ == "__main__":
    main_()
