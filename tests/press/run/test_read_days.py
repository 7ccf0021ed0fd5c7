"""Days are read once: those that are over cost their files and no more, and a job that did not change is built once."""

import shutil
from pathlib import Path
from typing import Any

import pytest

from packet.ledger.state import ledger_from
from packet.ledger.store import writing
from packet.press.run.day import folders, read_days
from packet.shop.build import build
from packet.shop.load import check
from tests.press.run.test_print_days import DAY, shop_with

OVER = "2026-11-25"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A day that is over (one job filed, one called off), and one with a job to come."""
    made = shop_with(tmp_path, DAY, ("HP-1041",))
    shop_with(tmp_path / "other", DAY, ("HP-1044", "HP-1045"))
    (made / OVER).mkdir()
    for job in ("HP-1044", "HP-1045"):
        text = (tmp_path / "other" / "jobs" / DAY / f"{job}.yaml").read_text("utf-8").replace(DAY, OVER)
        (made / OVER / f"{job}.yaml").write_text(text, "utf-8")
    with (made / OVER / "HP-1045.yaml").open("a", encoding="utf-8") as file:
        file.write("\ncalled_off: nobody home\n")
    with writing(made) as writer:
        writer.append("job", "HP-1044", {"date": OVER})
    return made


def test_a_day_that_is_over_adds_nothing_up(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    added_up: list[object] = []
    real = ledger_from

    def noted(*args: Any, **named: Any) -> Any:
        added_up.append(args[2])
        return real(*args, **named)

    monkeypatch.setattr("packet.press.run.day.ledger_from", noted)
    every, problems = read_days(folders([shop]))
    assert [item.folder_name for item in every] == [OVER, DAY]
    assert problems == ()
    # nothing is filed of the day to come: its evening is its morning
    assert [str(on) for on in added_up] == [OVER, OVER, DAY]
    added_up.clear()
    left, problems = read_days(folders([shop]), only_open=True)
    assert left == every[1:]
    assert problems == ()
    assert [str(on) for on in added_up] == [DAY]


def test_what_is_wrong_on_a_day_that_is_over_is_told_all_the_same(shop: Path) -> None:
    (shop / OVER / "notes.yml").write_text("a: b\n", "utf-8")
    left, problems = read_days(folders([shop]), only_open=True)
    assert [item.folder_name for item in left] == [DAY]
    assert [Path(item.file).name for item in problems] == ["notes.yml"]
    (shop / OVER / "HP-1044.yaml").write_text("job: HP-1044\n", "utf-8")
    left, problems = read_days(folders([shop]), only_open=True)
    assert [item.folder_name for item in left] == [OVER, DAY]
    assert [one.job for one in left[0].unread] == ["HP-1044"]
    assert "HP-1044.yaml" in {Path(item.file).name for item in problems}


def test_lost_records_are_told_when_every_day_is_over(shop: Path) -> None:
    shutil.rmtree(shop / "filed")
    left, problems = read_days(folders([shop / OVER]), only_open=True)
    assert left == ()
    assert "records settle" in str(problems[-1])


def test_a_job_is_built_once_as_long_as_its_text_the_registers_and_its_name_are_the_same(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    built: list[str] = []
    real = build

    def noted(record: type, node: Any, file: str, **named: Any) -> Any:
        if record.__name__ == "Job":
            built.append(Path(file).name)
        return real(record, node, file, **named)

    monkeypatch.setattr("packet.shop.load.build", noted)
    file, register = shop / DAY / "HP-1041.yaml", shop / "cylinders.yaml"
    assert check([shop / DAY]) == ()
    first, _ = read_days(folders([shop / DAY]))
    assert built == ["HP-1041.yaml"]
    file.write_text(file.read_text("utf-8") + "\n# looked at\n", "utf-8")
    again, _ = read_days(folders([shop / DAY]))
    assert built == ["HP-1041.yaml"] * 2
    assert again[0].jobs == first[0].jobs
    register.write_text(register.read_text("utf-8") + "\n# counted\n", "utf-8")
    read_days(folders([shop / DAY]))
    assert built == ["HP-1041.yaml"] * 3
    shutil.copy(file, shop / OVER)
    told = check([shop / DAY])
    assert built == ["HP-1041.yaml"] * 4
    assert OVER in told[0].message
