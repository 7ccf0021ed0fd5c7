"""The README's commands, as they stand there, from top to bottom, in a copy of what the repository holds."""

import json
import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "README.md").read_text("utf-8")
# the whole test command: this test is in it
NOT_AGAIN = "sh .ci/test"


@dataclass(frozen=True)
class Reader:
    """Somebody who does what the README says, in a folder of their own. printed: what a command said."""

    folder: Path
    printed: dict[str, str]


def tracked() -> list[str]:
    """What a clone holds: the files that git knows, as they are now."""
    found = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True)
    return [name for name in found.stdout.split("\0") if name and (ROOT / name).is_file()]


def clone(to: Path) -> None:
    """A copy of the repository, with `packet` installed in its .venv as .ci/install would."""
    for name in tracked():
        (to / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, to / name)
    # this environment has what .ci/install installs; running it would point that at the copy
    (to / ".ci" / "install").write_text("exit 0\n", "utf-8")
    command = to / ".venv" / "bin" / "packet"
    command.parent.mkdir(parents=True)
    start = "from packet.cli.main import main; raise SystemExit(main())"
    command.write_text(f'#!/bin/sh\nPYTHONPATH="{to}" exec "{sys.executable}" -c "{start}" "$@"\n', "utf-8")
    command.chmod(0o755)


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    """The README done: each file saved that it says to save, each command run, in its order."""
    folder = tmp_path_factory.mktemp("clone")
    clone(folder)
    path = f"{folder / '.venv' / 'bin'}{os.pathsep}{os.environ['PATH']}"
    printed: dict[str, str] = {}
    for save, content, command in re.findall(
        r"Save it as `([^`]+)`.*?```yaml\n(.*?)```|^    ((?:sh|packet|\.venv/bin/packet) [^\n]+)$",
        TEXT,
        re.DOTALL | re.MULTILINE,
    ):
        if save:
            (folder / save).parent.mkdir(parents=True, exist_ok=True)
            (folder / save).write_text(content, "utf-8")
        elif command != NOT_AGAIN:
            done = subprocess.run(
                command,
                check=False,
                shell=True,
                cwd=folder,
                env=os.environ | {"PATH": path},
                capture_output=True,
                text=True,
            )
            assert done.returncode == 0, (command, done.stdout, done.stderr)
            printed[command] = done.stdout
    return Reader(folder, printed)


def test_every_command_was_run(reader: Reader) -> None:
    blocks = re.findall(r"^    ((?:\S*/)?(?:sh|packet) .+)$", TEXT, re.MULTILINE)
    assert set(reader.printed) == set(blocks) - {NOT_AGAIN}
    assert NOT_AGAIN in blocks
    assert len(reader.printed) >= 2


def test_the_files_it_names_are_there(reader: Reader) -> None:
    named = set(re.findall(r"`(out/[^`]+)`", TEXT)) - {"out/"}
    assert len(named) >= 5
    assert [name for name in sorted(named) if not (reader.folder / name).exists()] == []


def test_the_job_gives_the_figures_it_says(reader: Reader) -> None:
    (job,) = re.findall(r"Save it as `([^`]+)`", TEXT)

    def planned(*options: str) -> str:
        command = [reader.folder / ".venv" / "bin" / "packet", "plan", job, *options]
        return subprocess.run(command, cwd=reader.folder, capture_output=True, text=True, check=True).stdout

    held = json.loads(planned("--json"))["cylinders"][0]["contents_lb"]
    plan = planned() + f"\nholds {held:.1f} lb\n"
    said = " ".join(TEXT[TEXT.index("checks it against the registers") : TEXT.index("## Commands")].split())
    figures = re.findall(r"\d+\.\d (?:lb|psig|inHg)", said)
    assert len(figures) >= 5
    assert [figure for figure in figures if figure not in plan] == []
    assert "push-pull, then vapor" in said
    assert "push-pull, then vapor" in plan
    assert "31.0 lb against 24.7 lb in 1,900 ft³" in said
    assert "1,900 ft³: 31.0 lb against a limit of 24.7 lb" in plan


def test_the_pictures_are_there() -> None:
    names = re.findall(r"\]\((jobs/pictures/[^)]+)\)", TEXT)
    assert len(names) >= 3
    assert all((ROOT / name).stat().st_size > 10_000 for name in names)
