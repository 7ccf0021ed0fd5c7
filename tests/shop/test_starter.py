"""`packet new`: the starter asks for what only a person knows, and is a job once that is filled in."""

import contextlib
from pathlib import Path
from typing import Protocol

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from packet.shop.load import check, load_job, load_registers
from packet.shop.problems import Problem, WrongPathError
from packet.shop.starter import new_job

REQUIRED = {
    "truck": "T1",
    "technician": "ann",
    "site.name": "A shop",
    "site.space": "basement",
    "appliance.description": "A cooler",
    "appliance.kind": "walk-in",
    "appliance.refrigerant": "R-404A",
    "appliance.charge_lb": "20",
    "work.reason": "repair",
    "conditions.ambient_F": "70",
    "conditions.hottest_F": "90",
}


class Shop(Protocol):
    folder: Path
    job: Path

    def change(self, name: str, old: str, new: str) -> None: ...

    def problems(self) -> tuple[Problem, ...]: ...


def written(path: Path) -> Path:
    loaded = new_job(path)
    assert loaded.problems == ()
    assert loaded.value is not None
    return loaded.value


def fill(file: Path, problem: Problem, value: str) -> None:
    """Write a value where the problem says one is missing."""
    lines = file.read_text(encoding="utf-8").splitlines()
    key, _, comment = lines[problem.line - 1].partition(":")
    lines[problem.line - 1] = f"{key}: {value} {comment.lstrip()}"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")


def test_each_blank_is_told_and_filled_in_it_is_a_job(small: Shop) -> None:
    file = written(small.folder / "2026-11-28" / "J-7")
    assert file == small.folder / "2026-11-28" / "J-7.yaml"
    problems = check([file])
    assert {problem.field for problem in problems} == set(REQUIRED)
    assert all("A value is missing after" in problem.message for problem in problems)
    for problem in problems:
        fill(file, problem, REQUIRED[problem.field])
    assert check([file]) == ()
    registers = load_registers(small.folder).value
    assert registers is not None
    job = load_job(file, registers).value
    assert job is not None
    assert (job.job, job.date.isoformat(), job.work.method) == ("J-7", "2026-11-28", "auto")


def test_a_shop_in_si_is_offered_si_keys(si: Shop) -> None:
    file = written(si.folder / "2026-11-28" / "J-7.yaml")
    fields = {problem.field for problem in check([file])}
    assert fields == {field.replace("_lb", "_kg").replace("_F", "_C") for field in REQUIRED}


def test_the_choices_are_the_shops_own(small: Shop) -> None:
    text = written(small.folder / "2026-11-28" / "J-7").read_text(encoding="utf-8")
    assert "technician:                     # Id of the technician: ann | bob" in text
    assert "kind:                         # Kind of appliance: split | heat-pump | packaged" in text


def test_editors_find_the_schema(small: Shop) -> None:
    file = written(small.folder / "2026-11-28" / "J-7")
    target = file.read_text(encoding="utf-8").splitlines()[0].removeprefix("# yaml-language-server: $schema=")
    assert (file.parent / target).resolve() == (small.folder / ".schemas" / "job.json").resolve()
    assert (file.parent / target).is_file()


def test_editors_find_the_schema_where_the_shop_says(small: Shop) -> None:
    small.change("shop.yaml", "company:", "# yaml-language-server: $schema=../schemas/shop.json\ncompany:")
    file = written(small.folder / "2026-11-28" / "J-7")
    assert file.read_text(encoding="utf-8").startswith("# yaml-language-server: $schema=../../schemas/job.json\n")
    assert not (small.folder / ".schemas").exists()


def test_nothing_is_overwritten(small: Shop) -> None:
    before = small.job.read_bytes()
    with pytest.raises(WrongPathError, match="exists already"):
        new_job(small.job)
    assert small.job.read_bytes() == before


@pytest.mark.parametrize(
    "place", ["2026-11-28/..", "2026-11-28/a b", "2026-02-30/J-7", "J-7", "2026-11-28/deeper/2026-11-28/J-7", "x/J-7"]
)
def test_a_place_that_is_none_is_told_and_nothing_is_written(small: Shop, place: str) -> None:
    before = sorted(small.folder.rglob("*"))
    with pytest.raises(WrongPathError):
        new_job(small.folder / place)
    assert sorted(small.folder.rglob("*")) == before


def test_outside_a_shop_nothing_is_written(tmp_path: Path) -> None:
    with pytest.raises(WrongPathError, match=r"shop\.yaml"):
        new_job(tmp_path / "2026-11-28" / "J-7")
    assert list(tmp_path.iterdir()) == []


def test_a_broken_register_is_told_first(small: Shop) -> None:
    small.change("technicians.yaml", "- id: ann", "- id: bob")
    loaded = new_job(small.folder / "2026-11-28" / "J-7")
    assert loaded.value is None
    assert loaded.problems[0].field == "[bob].id"
    assert not (small.folder / "2026-11-28").exists()


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.lists(
        st.sampled_from(["..", ".", "2026-11-28", "2026-11-29", "a b", "J-7", "-x", "J-7.yaml", "x" * 300]),
        min_size=1,
        max_size=5,
    )
)
def test_whatever_place_is_asked_for_only_a_days_folder_is_written_to(small: Shop, parts: list[str]) -> None:
    before = {path: path.read_bytes() for path in small.folder.parent.rglob("*") if path.is_file()}
    with contextlib.suppress(WrongPathError):
        new_job(small.folder.joinpath(*parts))
    after = {path: path.read_bytes() for path in small.folder.parent.rglob("*") if path.is_file()}
    assert before.items() <= after.items()
    for path in after.keys() - before.keys():
        where = path.relative_to(small.folder).parts
        assert where[0] == ".schemas" or (len(where) == 2 and where[0] in {"2026-11-28", "2026-11-29"})
