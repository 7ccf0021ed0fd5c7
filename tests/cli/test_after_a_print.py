"""What a print has worked out is not worked out again by whoever asks about the same files; and believed of no others."""

import shutil
from pathlib import Path

import pytest

from packet.cli import jobs
from packet.cli.main import main
from packet.hookup.build import build_hookup
from packet.hookup.model import Hookup
from packet.plan.model import Plan
from packet.press.run import work

ROOT = Path(__file__).parents[2]
DAY = "2026-11-26"
JOB = Path("jobs", DAY, "HP-1047.yaml")


@pytest.fixture
def built(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A printed day of two jobs, in which we stand; the jobs whose hookup is built from here on."""
    shutil.copytree(ROOT / "jobs", tmp_path / "jobs")
    for path in (tmp_path / "jobs" / DAY).iterdir():
        if path.stem not in {"HP-1044", "HP-1047"}:
            path.unlink()
    monkeypatch.chdir(tmp_path)
    assert main(["print", f"jobs/{DAY}", "--workers", "1"]) == 0
    made: list[str] = []

    def building(plan: Plan) -> Hookup:
        made.append(plan.job.job)
        return build_hookup(plan)

    monkeypatch.setattr(work, "build_hookup", building)
    monkeypatch.setattr(jobs, "proved_hookup", building)
    return made


@pytest.mark.parametrize("words", [("check", f"jobs/{DAY}"), ("plan", str(JOB)), ("plan", str(JOB), "--json")])
def test_a_day_as_it_was_printed_is_answered_from_its_print(
    built: list[str], words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    status, said = main(list(words)), capsys.readouterr()
    assert built == []
    shutil.rmtree("out")
    assert (main(list(words)), capsys.readouterr()) == (status, said)
    assert sorted(built) == ["HP-1044", "HP-1047"]


def test_of_a_job_that_was_changed_since_nothing_is_believed(
    built: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    JOB.write_text(JOB.read_text().replace("charge_kg: 0.150", "charge_kg: 0.140"))
    main(["check", f"jobs/{DAY}"])
    assert built == ["HP-1047"]
    told = capsys.readouterr()
    shutil.rmtree("out")
    main(["check", f"jobs/{DAY}"])
    assert capsys.readouterr() == told
