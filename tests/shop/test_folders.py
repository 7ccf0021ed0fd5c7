"""Shops, days and paths: what is found where, and what is said about what is not."""

from pathlib import Path
from typing import Protocol

import pytest

from packet.press import marks
from packet.shop.checks import RECORD_ADDRESS_MAX, RECORDS_URL_MAX
from packet.shop.load import check, find_shop, load_day, load_job, load_registers, targets
from packet.shop.problems import Problem, WrongPathError


class Shop(Protocol):
    folder: Path
    job: Path

    def change(self, name: str, old: str, new: str) -> None: ...

    def problems(self) -> tuple[Problem, ...]: ...


def copy_job(shop: Shop, day: str, name: str) -> Path:
    """The shop's job once more, under another id."""
    path = shop.folder / day / f"{name}.yaml"
    path.parent.mkdir(exist_ok=True)
    text = shop.job.read_text(encoding="utf-8").replace("job: J-1", f"job: {name}").replace("2026-11-26", day)
    path.write_text(text, encoding="utf-8")
    return path


def test_targets_of_a_file_a_day_and_a_shop(small: Shop) -> None:
    second = copy_job(small, "2026-11-26", "J-2")
    third = copy_job(small, "2026-11-27", "J-3")
    for other in ("printed", "filed", ".schemas"):
        (small.folder / other).mkdir()
        (small.folder / other / "J-1.yaml").write_text("not a job", encoding="utf-8")
    (small.folder / "2026-11-26" / "notes.txt").write_text("call the market", encoding="utf-8")
    (small.folder / "2026-11-26" / ".J-1.yaml.part").write_text("half", encoding="utf-8")
    assert targets([second]) == (second,)
    assert targets([small.folder / "2026-11-26"]) == (small.job, second)
    assert targets([small.folder]) == (small.job, second, third)
    assert targets([third, small.folder]) == (third, small.job, second)
    assert targets([small.job, small.folder / "2026-11-27" / ".." / "2026-11-26" / "J-1.yaml"]) == (small.job,)
    assert check([small.folder]) == ()


def test_paths_that_are_not_there_or_hold_no_job(small: Shop, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (small.folder / "2026-11-28").mkdir()
    for path, says in (
        (tmp_path / "nowhere", "There is no '"),
        (tmp_path / ("n" * 5000), "There is no '"),
        (small.folder / "2026-11-28", "There is no job in"),
        (small.folder / "cylinders.yaml", "is a register, not a job"),
    ):
        with pytest.raises(WrongPathError, match=says):
            targets([path])
    with pytest.raises(WrongPathError, match="There is no job in"):
        check([small.folder / "2026-11-28"])
    with pytest.raises(WrongPathError, match=r"There is no '.*nowhere'"):
        check([small.folder / "nowhere"])
    with pytest.raises(WrongPathError, match=r"no folder above it holds shop\.yaml"):
        check([tmp_path / "elsewhere"])


def test_the_shop_is_found_upward_and_named_as_the_user_would(small: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    assert find_shop(small.job) == small.folder
    assert find_shop(small.folder) == small.folder
    monkeypatch.chdir(small.folder.parent)
    assert find_shop(Path("small/2026-11-26")) == Path("small")
    assert [problem.file for problem in check([Path("small/2026-11-26/J-1.yaml")])] == []
    monkeypatch.chdir(small.folder / "2026-11-26")
    assert find_shop(Path("J-1.yaml")) == small.folder


def test_a_shop_that_lists_no_truck_takes_any(small: Shop) -> None:
    small.change("shop.yaml", "trucks:\n  - id: T1\n    standing_load_lb: 40\n", "")
    assert small.problems() == ()
    registers = load_registers(small.folder).value
    assert registers is not None
    assert load_job(small.job, registers).problems == ()


def test_a_day_that_is_not_there(small: Shop) -> None:
    registers = load_registers(small.folder).value
    assert registers is not None
    with pytest.raises(WrongPathError, match="There is no folder"):
        load_day(small.folder / "2026-12-24", registers)


def test_a_register_alone_can_be_checked(small: Shop) -> None:
    small.change("cylinders.yaml", "tested: 2023-04", "tested: 2023-13")
    small.change("2026-11-26/J-1.yaml", "start: 08:30", "start: 25:00")
    assert [item.field for item in check([small.folder / "cylinders.yaml"])] == ["[C-1].tested"]
    assert [item.field for item in check([small.job])] == ["start", "[C-1].tested"]


def test_a_day_keeps_the_jobs_that_are_in_order(small: Shop) -> None:
    second = copy_job(small, "2026-11-26", "J-2")
    small.change("2026-11-26/J-1.yaml", "start: 08:30", "start: 25:00")
    registers = load_registers(small.folder).value
    assert registers is not None
    day = load_day(second.parent, registers)
    assert day.value is not None
    assert [job.job for job in day.value] == ["J-2"]
    assert [problem.field for problem in day.problems] == ["start"]


def test_a_name_that_would_be_passed_over_is_told(small: Shop) -> None:
    small.job.with_name("J-2.yml").write_text("job: J-2", encoding="utf-8")
    (problem,) = small.problems()
    assert "does not end in '.yaml'" in problem.message


def test_two_jobs_may_not_differ_only_in_capitals(small: Shop) -> None:
    copy_job(small, "2026-11-26", "j-1")
    assert any("only in capitals" in problem.message for problem in small.problems())


def test_a_job_id_stands_once_in_a_shop(small: Shop) -> None:
    copy_job(small, "2026-11-27", "J-1")
    assert sorted((Path(item.file).parent.name, item.message) for item in small.problems()) == [
        ("2026-11-26", "There is a job of that id on 2026-11-27 too."),
        ("2026-11-27", "There is a job of that id on 2026-11-26 too."),
    ]


def test_the_address_fits_the_code_that_the_press_draws() -> None:
    # The press draws the code this large; what that holds is asked of the library that makes the code.
    qrcode = pytest.importorskip("qrcode")
    modules = int(marks.QR_SIDE_MM / marks.QR_SMALLEST_MODULE_MM) - 2 * marks.QR_QUIET_MODULES
    for length, fits in ((RECORD_ADDRESS_MAX, True), (RECORD_ADDRESS_MAX + 1, False)):
        code = qrcode.QRCode(error_correction=qrcode.constants.ERROR_CORRECT_M)
        code.add_data(b"a" * length)
        code.make(fit=True)
        assert (code.modules_count <= modules) == fits


def test_a_long_address_and_a_long_id_are_told_when_they_do_not_fit_together(small: Shop) -> None:
    url = "https://records.example/".ljust(RECORDS_URL_MAX, "a")
    small.change("shop.yaml", "https://records.example/small", url)
    assert small.problems() == ()
    copy_job(small, "2026-11-27", "J-1234567890")  # twelve: fits
    assert small.problems() == ()
    copy_job(small, "2026-11-27", "J-12345678901")
    (problem,) = small.problems()
    assert problem.field == "job"
    assert "1 characters too long" in problem.message
