"""What the README shows is what happens."""

import re
import shutil
from pathlib import Path

import pytest

from packet.cli.main import main

ROOT = Path(__file__).parents[2]


def test_the_job_in_the_readme_gives_the_packet_it_says(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    job = re.search(r"```yaml\n(.*?)```", text, re.DOTALL)
    assert job is not None
    shutil.copytree(
        ROOT / "jobs", tmp_path / "jobs", ignore=shutil.ignore_patterns("printed", "filed", "20*", "pictures")
    )
    (tmp_path / "jobs" / "2026-11-30").mkdir()
    (tmp_path / "jobs" / "2026-11-30" / "HP-1061.yaml").write_text(job[1], "utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(["plan", "jobs/2026-11-30/HP-1061.yaml"]) == 0
    plan = capsys.readouterr().out
    for figure in ("69.2 lb", "72.3 lb", "30.2 lb", "31.0 lb against a limit of 24.7 lb", "push-pull, then vapor"):
        assert figure in plan
        assert figure.removesuffix(" lb").replace("a limit of ", "") in text.replace("\n", " ")
    assert main(["print", "jobs/2026-11-30"]) == 0
    pages = re.search(r"`out/HP-1061.pdf`, (\d+) pages", text)
    assert pages is not None
    from pypdf import PdfReader

    assert len(PdfReader("out/HP-1061.pdf").pages) == int(pages[1])


def test_the_pictures_are_there() -> None:
    names = re.findall(r"\]\((jobs/pictures/[^)]+)\)", (ROOT / "README.md").read_text("utf-8"))
    assert len(names) == 3
    assert all((ROOT / name).stat().st_size > 10_000 for name in names)
