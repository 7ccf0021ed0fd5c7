"""What is remembered of hookups spares building them, and never changes what a packet is found to be."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from packet.document import sealed, unsealed
from packet.hookup.model import Hookup
from packet.plan.model import Plan
from packet.press.run import ready
from packet.press.run.day import DayInput, folders, read_days
from packet.press.run.known import plan_digest, recall
from packet.press.run.pool import Workers
from packet.press.run.ready import PlannedDay, plan_with_hookups
from packet.press.run.stale import truth_of
from packet.press.run.work import hook
from tests.press.run.test_print_days import DAY, run, shop_with

JOBS = ("HP-1041", "HP-1044", "HP-1045", "HP-1047")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A day of which one job was printed."""
    shop_with(tmp_path, DAY, JOBS)
    run(tmp_path, jobs=("HP-1041",))
    return tmp_path


def read(folder: Path) -> DayInput:
    (item,) = read_days(folders([folder / "jobs" / DAY]))[0]
    return item


def remembered(folder: Path) -> PlannedDay:
    return plan_with_hookups(read(folder), Workers(1, "en"), recall(folder / "out", DAY))


def change(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / "jobs" / name
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def test_a_day_that_did_not_change_builds_no_hookup(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    built: list[str] = []

    def noted(plan: Plan) -> Hookup:
        built.append(plan.job.job)
        return hook(plan)

    monkeypatch.setattr(ready, "hook", noted)
    assert remembered(folder).light == frozenset(JOBS)
    assert built == []
    run(folder, jobs=("HP-1045",))
    assert built == ["HP-1045"]


# what is typed elsewhere than in a job: everything that stands on other jobs' paper by way of it
CHANGES: tuple[tuple[str, str, str], ...] = (
    ("shop.yaml", "emergency_phone: 555-0141", "emergency_phone: 555-0149"),
    ("shop.yaml", "van_hottest_F: 130", "van_hottest_F: 120"),
    ("shop.yaml", "14 Tinker's Yard", "15 Tinker's Yard"),
    ("shop.yaml", "units: US ", "units: SI "),
    ("shop.yaml", "standing_load_lb: 48", "standing_load_lb: 58"),
    ("machines.yaml", "hold_up_lb: 1.0", "hold_up_lb: 1.5"),
    ("machines.yaml", "clear_to: 15 inHg", "clear_to: 12 inHg"),
    ("machines.yaml", "id: H-B60, count: 6", "id: H-B60, count: 1"),
    ("machines.yaml", "id: FD-163, count: 16", "id: FD-163, count: 1"),
    ("machines.yaml", "capacity_lb: 220", "capacity_lb: 150"),
    ("cylinders.yaml", "tare_lb: 27.5", "tare_lb: 28.5"),
    ("technicians.yaml", "card: ", "card: 9"),
    (f"{DAY}/HP-1045.yaml", "start: ", "called_off: weather\nstart: "),
    (f"{DAY}/HP-1041.yaml", "date: ", "# another line\ndate: "),
)


@pytest.mark.parametrize(("name", "old", "new"), CHANGES)
def test_a_change_anywhere_is_found_as_if_nothing_were_remembered(folder: Path, name: str, old: str, new: str) -> None:
    change(folder, name, old, new)
    with_memory = remembered(folder)
    without = plan_with_hookups(read(folder), Workers(1, "en"))
    assert truth_of(with_memory) == truth_of(without)
    assert {job: item.findings for job, item in with_memory.hookups.items()} == {
        job: item.findings for job, item in without.hookups.items()
    }


def test_what_is_made_of_the_very_same_is_not_written_out_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan's document takes as long as the plan: of three hundred unchanged jobs none is needed."""
    written: list[str] = []

    def noted(plan: Plan) -> str:
        written.append(plan.job.job)
        return plan_digest(plan)

    monkeypatch.setattr(ready, "plan_digest", noted)
    unchanged = remembered(folder)
    assert written == []
    assert {job: made for job, (made, _) in unchanged.digests.items()} == {
        plan.job.job: plan_digest(plan) for plan in read(folder).planned().plans
    }
    change(folder, f"{DAY}/HP-1041.yaml", "date: ", "# another line\ndate: ")
    assert remembered(folder).light == frozenset(JOBS) - {"HP-1041"}
    assert sorted(written) == sorted(JOBS)


@pytest.mark.parametrize(("name", "old", "new"), [item for item in CHANGES if "count: 1" in item[2]])
def test_what_was_made_again_with_what_is_left_is_made_so_again(folder: Path, name: str, old: str, new: str) -> None:
    change(folder, name, old, new)
    run(folder, jobs=("HP-1041",))
    with_memory, without = remembered(folder), plan_with_hookups(read(folder), Workers(1, "en"))
    assert truth_of(with_memory) == truth_of(without)
    assert {job: item.findings for job, item in with_memory.hookups.items()} == {
        job: item.findings for job, item in without.hookups.items()
    }


def test_a_record_that_was_filed_since_makes_the_day_another_one(folder: Path) -> None:
    before = read(folder)
    (folder / "jobs" / "filed").mkdir()
    (folder / "jobs" / "filed" / "note.txt").write_text("a stray is no record, and counts")
    assert before.made_of != read(folder).made_of != ""


def _cut(raw: bytes) -> bytes:
    return raw[: len(raw) // 2]


def _bent(raw: bytes) -> bytes:
    return raw.replace(b'"revision": "', b'"revision": "A', 1)


@pytest.mark.parametrize("bend", [_cut, _bent, lambda _raw: b"", lambda _raw: b"[" * 5000])
def test_a_damaged_memory_is_made_anew(folder: Path, bend: Callable[[bytes], bytes]) -> None:
    file = folder / "out" / ".state" / f"hookups-{DAY}.json"
    good = file.read_bytes()
    file.write_bytes(bend(good))
    assert recall(folder / "out", DAY).jobs == {}
    run(folder, jobs=("HP-1041",))
    assert file.read_bytes() == good


@pytest.mark.parametrize(
    "bend",
    [
        lambda one: one["findings"].append({"code": "1e999"}),
        lambda one: one["findings"].append({"code": "technician-not-certified", "params": {"needed": "Universal"}}),
        lambda one: one["kit_list"].append([{"code": "no-such-thing"}, 1]),
        lambda one: one["kit_list"].append([{"code": "kit-drier"}, 1]),
    ],
)
def test_a_memory_of_what_nobody_can_say_is_none(folder: Path, bend: Callable[[Any], None]) -> None:
    """A code without a sentence, under a seal that fits: the day's print ended in a traceback."""
    file = folder / "out" / ".state" / f"hookups-{DAY}.json"
    data = unsealed(file.read_bytes()).data
    bend(data["jobs"]["HP-1041"])
    file.write_bytes(sealed(data))
    assert recall(folder / "out", DAY).jobs == {}
