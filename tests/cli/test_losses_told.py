"""A record that is gone is told by every command that adds up: before anybody has settled it, and afterwards."""

import shutil
from pathlib import Path

import pytest

from packet.cli.main import main
from packet.ledger import records
from tests.office.returned import hand_in, print_it

ROOT = Path(__file__).parents[2]
WORDS: tuple[tuple[str, ...], ...] = (("cylinders",), ("month", "2026-11"), ("find", "HP-1041"), ())


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
    both_gone = "Records 000001 to 000002 are lost"
    lost = {"the first": "Record 000001 is lost", "the newest": "Record 000002 is lost", "the folder": both_gone}[gone]
    assert lost in capsys.readouterr().err
    told = ("Filed records are" if gone == "the folder" else "A filed record is") + " lost (settled by"
    for words in WORDS:
        main(list(words))
        both = capsys.readouterr()
        assert told in both.err + both.out, words
        assert lost in both.err + both.out, words
    assert told in next(Path("out").glob("month-*.csv")).read_text()


def test_a_second_loss_is_told_without_the_first(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shop / "filed" / "000001-HP-1041.json").unlink()
    assert main(["records", "settle", "--why", "the disk was damaged"]) == 0
    (shop / "filed" / "000002-HP-1042.json").unlink()
    capsys.readouterr()
    assert main(["records", "settle", "--why", "and once more"]) == 0
    told = capsys.readouterr().err
    assert "000002 is lost" in told
    assert "000001" not in told
    main(["cylinders"])
    told = capsys.readouterr().err
    assert "Record 000001 is lost" in told
    assert "Record 000002 is lost" in told


def test_what_was_filed_about_one_cylinder(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert (shop / "filed").is_dir()
    assert main(["cylinders", "C-999"]) == 1
    assert "There is no cylinder 'C-999'" in capsys.readouterr().err
    main(["cylinders", "C-118"])
    told = capsys.readouterr().out
    assert [line.split()[0] for line in told.splitlines()[3:4]] == ["C-118"]
    assert "6.0 lb by the register, to begin with" in told
    assert "C-119" not in told


def test_a_print_reads_each_filed_record_once(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its record pages once read all of them again: a second for 5,000."""
    read: list[str] = []
    whole = records.read_one

    def watching(path: Path) -> records.Filed | records.Unreadable:
        read.append(path.name)
        return whole(path)

    monkeypatch.setattr(records, "read_one", watching)
    shutil.copytree(ROOT / "jobs" / "2026-11-26", shop / "2026-11-26", ignore=shutil.ignore_patterns("HP-104[0-57-9]*"))
    assert main(["print", "jobs/2026-11-26", "--workers", "1"]) in {0, 1}
    assert read == ["000001-HP-1041.json", "000002-HP-1042.json"]
