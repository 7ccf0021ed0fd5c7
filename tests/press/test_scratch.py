"""What a process laid aside goes with it; what a killed one left is swept, and nobody else's is touched."""

import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from packet.press import scratch
from packet.press.scratch import LOCK, PREFIX, YOUNG_SECONDS, sweep
from packet.shop.whole import locked

OWN = """
import sys, tempfile
from packet.press.assets import weasyprint
weasyprint()
tempfile.mkdtemp(prefix="weasyprint-")
print(tempfile.gettempdir(), flush=True)
sys.stdin.read()
"""


def started(folder: Path) -> "subprocess.Popen[str]":
    pipe = subprocess.PIPE
    return subprocess.Popen(
        [sys.executable, "-c", OWN], env=os.environ | {"TMPDIR": str(folder)}, stdin=pipe, stdout=pipe, text=True
    )


def where(process: "subprocess.Popen[str]") -> Path:
    assert process.stdout is not None
    return Path(process.stdout.readline().strip())


def test_what_was_laid_aside_goes_with_its_process(tmp_path: Path) -> None:
    process = started(tmp_path)
    assert where(process).parent == tmp_path
    process.communicate()
    assert process.returncode == 0
    assert list(tmp_path.iterdir()) == []


def test_what_a_killed_process_left_is_swept_and_a_living_one_keeps_its_own(tmp_path: Path) -> None:
    dead, alive = started(tmp_path), started(tmp_path)
    left, kept = where(dead), where(alive)
    dead.send_signal(signal.SIGKILL)
    dead.communicate()
    assert {path.parent for path in (left, kept)} == {tmp_path}
    assert list(left.glob("weasyprint-*"))
    sweep(tmp_path)
    assert list(tmp_path.iterdir()) == [kept]
    assert list(kept.glob("weasyprint-*"))
    alive.communicate()
    assert list(tmp_path.iterdir()) == []


def test_only_what_is_ours_is_swept(tmp_path: Path) -> None:
    other = tmp_path / "weasyprint-abc"
    other.mkdir()
    file = tmp_path / f"{PREFIX}thefile1"
    file.write_text("")
    link = tmp_path / f"{PREFIX}thelink1"
    link.symlink_to(other)
    held = tmp_path / f"{PREFIX}held1234"
    young, old, full, named = (tmp_path / f"{PREFIX}{name}" for name in ("young123", "old12345", "full1234", "of-2025"))
    for folder in (held, young, old, full, named):
        folder.mkdir()
    # what somebody else calls by such a name
    for folder in (full, named):
        (folder / "kept.txt").write_text("")
    (named / LOCK).write_text("")
    for folder in (old, full, named):
        os.utime(folder, (time.time() - 2 * YOUNG_SECONDS,) * 2)
    os.utime(young, (time.time() + 60,) * 2)  # however slow the machine is
    with locked(held / LOCK):
        sweep(tmp_path)
    assert set(tmp_path.iterdir()) == {other, file, link, held, young, full, named}


def test_an_interrupted_beginning_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(_path: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(scratch, "hold", interrupted)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with pytest.raises(KeyboardInterrupt):
        scratch.own_temporary_folder.__wrapped__()
    assert not list(tmp_path.iterdir())
