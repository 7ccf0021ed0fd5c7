"""What is the machine's fault is one line and status 3: no memory, a library half there, no folder for what is remembered."""

import os
import shutil
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from packet.cli import jobs
from packet.cli.main import main
from packet.refrigerant import library
from packet.refrigerant.properties import properties
from tests.press.run.test_print_days import DAY, shop_with

JOB = "HP-1041"
START = "import sys; from packet.cli.main import main; sys.exit(main())"


@pytest.fixture
def own_gas(tmp_path: Path) -> Path:
    """A job whose gas has to be computed: nobody has asked for it before."""
    path = shop_with(tmp_path, DAY, (JOB,)) / DAY / f"{JOB}.yaml"
    text = path.read_text("utf-8")
    old = next(line for line in text.splitlines() if line.strip().startswith("refrigerant:"))
    new = "  refrigerant: {R-22: 61.7, R-134a: 38.3}\n  analysis: identifier print-out, 2026-11-25"
    path.write_text(text.replace(old, new), "utf-8")
    return path


def only_line(capsys: pytest.CaptureFixture[str]) -> str:
    told = capsys.readouterr()
    assert told.out == ""
    (line,) = told.err.splitlines()
    return line


@pytest.mark.parametrize("there", [None, ModuleType("CoolProp")])
def test_a_library_that_is_half_there_is_one_line(
    own_gas: Path, there: ModuleType | None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for known in (properties, library._coolprop, library._functions):
        known.cache_clear()
    monkeypatch.setenv("PACKET_MEMORY", str(own_gas.parent / "memory"))
    monkeypatch.setitem(sys.modules, "CoolProp", there)
    assert main(["plan", str(own_gas)]) == 3
    assert only_line(capsys).startswith("A library that this needs cannot be loaded: CoolProp: ")


def test_no_memory_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(_words: object) -> int:
        raise MemoryError

    monkeypatch.setattr(jobs, "run_check", full)
    assert main(["check", str(tmp_path)]) == 3
    assert only_line(capsys).startswith("The machine has no memory left for this.")


def test_without_a_home_or_a_place_to_remember_everything_is_printed(own_gas: Path, tmp_path: Path) -> None:
    """A gas that has to be computed is computed again each time."""
    for name, environment in (
        ("none", {"PATH": os.environ["PATH"]}),
        ("no folder", {"PATH": os.environ["PATH"], "HOME": "/proc/none", "XDG_CACHE_HOME": "/proc/none"}),
    ):
        out = tmp_path / name
        words = [sys.executable, "-c", START, "print", str(own_gas), "--out", str(out), "--workers", "1"]
        done = subprocess.run(words, env=environment, capture_output=True, text=True, check=False)
        assert "Traceback" not in done.stderr + done.stdout
        assert (out / f"{JOB}.pdf").is_file(), done.stderr
        shutil.rmtree(own_gas.parents[1] / "printed")


def test_a_terminal_that_writes_no_accents_or_is_closed_ends_nothing(tmp_path: Path) -> None:
    job = shop_with(tmp_path, DAY, (JOB,)) / DAY / f"{JOB}.yaml"
    words = [sys.executable, "-c", START]
    plain = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run([*words, "plan", str(job)], env=plain, capture_output=True, text=True, check=True)
    assert "MAY GO OUT" in done.stdout
    closed = ["sh", "-c", 'exec "$@" >&- 2>&-', "sh", *words, "print", str(job), "--out", str(tmp_path / "out")]
    subprocess.run([*closed, "--workers", "1"], check=True)
    assert (tmp_path / "out" / f"{JOB}.pdf").is_file()
