"""A job called off, not done or withdrawn: its record page and the index say so at once, whichever command did it."""

import shutil
from pathlib import Path

import pytest

from packet.cli.main import main

ROOT = Path(__file__).parents[2]
DAY, JOB = "2026-11-26", "HP-1047"


def run(*words: object) -> int:
    return main([str(word) for word in words])


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with one job, printed."""
    folder = tmp_path_factory.mktemp("follow")
    shop = folder / "jobs"
    (shop / DAY).mkdir(parents=True)
    for path in (ROOT / "jobs").glob("*.yaml"):
        shutil.copy(path, shop)
    shutil.copy(ROOT / "jobs" / DAY / f"{JOB}.yaml", shop / DAY)
    assert run("print", shop / DAY, "--out", folder / "out", "--workers", 1) == 0
    return folder


@pytest.fixture
def here(printed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "here"
    shutil.copytree(printed, folder)
    monkeypatch.chdir(folder)
    return folder


def says() -> tuple[str, str]:
    """The job's page, and the month's list of jobs."""
    (page,) = Path("out").rglob(f"{JOB}*/index.html")
    (month,) = Path("out").rglob("month-2026-11.html")
    return page.read_text("utf-8"), month.read_text("utf-8")


def test_called_off_and_back(here: Path) -> None:
    assert run("call-off", JOB, "--why", "customer sold the unit") == 0
    page, month = says()
    assert "Called off" in page
    assert "Called off" in month
    assert "No print of this job may be used" in page
    assert run("call-off", JOB, "--undo") == 0
    assert "Called off" not in "".join(says())


def test_not_done_and_withdrawn(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("not-done", JOB, "--why", "nobody let us in") == 0
    page, month = says()
    assert "Not done" in page
    assert "Not done" in month
    assert not list(Path("out").glob(f"{DAY}-T*.pdf"))  # no stack with it in it
    assert run("records", "withdraw", "1", "--why", "they did let us in") == 0
    assert "Not done" not in "".join(says())
    capsys.readouterr()
    assert run("records", "withdraw", "1", "--why", "again") == 1
