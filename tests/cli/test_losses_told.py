"""A record that is gone is told by every command that adds up: before anybody has settled it, and afterwards."""

import shutil
from pathlib import Path

import pytest

from packet.cli.main import main
from tests.office.returned import hand_in, print_it

ROOT = Path(__file__).parents[2]
WORDS = (("cylinders",), ("month", "2026-11"), ("find", "HP-1041"))


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop with two filed jobs, in which we stand."""
    shop = tmp_path / "jobs"
    shop.mkdir()
    for path in (ROOT / "jobs").glob("*.yaml"):
        shutil.copy(path, shop)
    for job in ("HP-1041", "HP-1042"):
        print_it(shop, job)
    assert hand_in(shop).filed is not None
    again = Path(shop, "HP-1041.readings.yaml").read_text().replace("HP-1041", "HP-1042")
    assert hand_in(shop, again, name="HP-1042", reasons=dict.fromkeys(("weight-differs", "over-limit-weight"), "so be it")).filed is not None  # fmt: skip
    monkeypatch.chdir(tmp_path)
    return shop


@pytest.mark.parametrize("gone", ["the first", "the newest", "the folder"])
def test_told_by_every_command_that_adds_up(shop: Path, gone: str, capsys: pytest.CaptureFixture[str]) -> None:
    filed = shop / "filed"
    if gone == "the folder":
        shutil.rmtree(filed)
    else:
        (filed / ("000001-HP-1041.json" if gone == "the first" else "000002-HP-1042.json")).unlink()
    for words in WORDS:
        main(list(words))
        told = capsys.readouterr().err
        assert "no longer there" in told or "empty or not there" in told, words
    assert main(["records", "settle", "--why", "the disk was damaged"]) == 0
    assert "is lost" in capsys.readouterr().err
    for words in WORDS:
        main(list(words))
        both = capsys.readouterr()
        assert "A filed record is lost (settled by" in both.err + both.out, words
    assert "A filed record is lost (settled by" in next(Path("out").glob("month-*.csv")).read_text()
