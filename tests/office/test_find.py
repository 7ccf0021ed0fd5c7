"""Finding a job by any of the things somebody may remember of it, at every stage of its life."""

import tracemalloc
from datetime import date
from pathlib import Path

import pytest

from packet.office.find import find_jobs, found_as_text
from packet.office.jobs import is_called_off
from packet.press.printed import print_files, printed_folder
from packet.shop.places import targets

from .returned import TODAY, hand_in, print_it, registers, typed

PLANNED = """\
job: HP-1060
technician: young
cylinders: [C-3]
site: {name: Harbor chandlery, address: 1 Quay}
appliance: {description: ice machine, kind: ice-machine, refrigerant: R-290, serial: I-5}
charge_lb: not a job yet
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    print_it(tmp_path)
    print_it(tmp_path, "HP-1050", revision="QQQQ2345", site={"name": "Night owl diner"}, technician="C. Other")
    print_it(tmp_path, "HP-1050", revision="RRRR2345", hour=9, site={"name": "Night owl diner, rear"})
    assert hand_in(tmp_path).filed
    for day, job in (("2026-11-28", "HP-1060"), ("2026-11-26", "HP-1041")):
        (tmp_path / day).mkdir()
        (tmp_path / day / f"{job}.yaml").write_text(PLANNED.replace("HP-1060", job))
    return tmp_path


def find(shop: Path, wanted: str, today: date = TODAY) -> list[tuple[str, str]]:
    return [(item.job, item.state) for item in find_jobs(registers(), shop, wanted, today=today)]


@pytest.mark.parametrize(
    "wanted",
    ["HP-1041", "hp-1041", "corner", "12 mill", "C-2", "walk-in", "W-77", "the grocery", "a. sample", "U-1234", "2026-11-26 corner", "r-404a c-1 mill"],
)  # fmt: skip
def test_a_filed_job_is_found_by_whatever_is_remembered(shop: Path, wanted: str) -> None:
    assert ("HP-1041", "filed") in find(shop, wanted)


@pytest.mark.parametrize(
    "wanted", ["HP-1060", "harbor", "quay", "C-3", "ice machine", "I-5", "B. Young", "young", "2026-11-28", "r-290"]
)
def test_a_planned_job_is_found_even_with_a_mistake_in_its_file(shop: Path, wanted: str) -> None:
    assert find(shop, wanted) == [("HP-1060", "planned")]


def test_a_printed_job_is_found_by_its_newest_print_and_is_out_from_its_day_on(shop: Path) -> None:
    assert find(shop, "night owl") == [("HP-1050", "out")]
    assert find(shop, "night owl", today=date(2026, 11, 25)) == [("HP-1050", "printed")]
    assert find(shop, "owl rear") == [("HP-1050", "out")]
    assert find(shop, "C. Other") == []  # the older print


def test_a_corrected_job_says_so(shop: Path) -> None:
    fixed = typed(waited="  waited_minutes: 12").replace("correction:", "correction: misread")
    assert hand_in(shop, fixed).filed
    assert find(shop, "HP-1041") == [("HP-1041", "corrected")]


def test_newest_day_first_and_nothing_for_nothing(shop: Path) -> None:
    assert [job for job, _ in find(shop, "HP-10")] == ["HP-1060", "HP-1041", "HP-1050"]
    assert find(shop, "  ") == find(shop, "zeppelin") == []


def test_the_answer_reads_as_two_lines_a_job(shop: Path) -> None:
    text = found_as_text(find_jobs(registers(), shop, "HP-1041", today=TODAY))
    assert text == (
        "HP-1041  2026-11-26  filed  R-404A  37.9 lb  000001-HP-1041.json\n"
        "    Corner grocery  walk-in cooler  A. Sample  C-1, C-2\n"
    )
    assert found_as_text(()) == "No job fits.\n"


def test_a_jobs_prints_are_told_apart_by_name_alone(tmp_path: Path) -> None:
    (tmp_path / "printed").mkdir()
    for name in ("A.B.ABCD2345.json", "A.B.ABCD2345.2.yaml", "HP-1.23456723.yaml", "HP-1.ABCD2345.part", ".x.yaml"):
        (tmp_path / "printed" / name).touch()
    assert {job: len(paths) for job, paths in print_files(printed_folder(tmp_path)).items()} == {"A.B": 2, "HP-1": 1}


def test_a_job_is_found_although_its_print_record_cannot_be_read(shop: Path) -> None:
    print_it(shop, "HP-1060", revision="SSSS2345")
    (shop / "printed" / "HP-1060.SSSS2345.json").write_bytes(b"\xff")
    assert find(shop, "harbor") == [("HP-1060", "planned")]


def test_links_in_a_circle_stop_themselves_only(shop: Path) -> None:
    circle = shop / "2026-11-28" / "HP-1061.yaml"
    circle.symlink_to(circle.name)
    assert find(shop, "harbor") == [("HP-1060", "planned")]
    assert len(targets([shop / "2026-11-28"])) == 2


def test_a_job_file_that_never_ends_costs_no_memory(shop: Path) -> None:
    """2.5 GB that are not there: only the beginning of a job's file is looked through."""
    folder = shop / "2026-11-26"
    with (folder / "HP-1041.yaml").open("wb") as file:
        file.truncate(2_500_000_000)
    tracemalloc.start()
    try:
        assert find(shop, "HP-1041") == [("HP-1041", "filed")]
        assert not is_called_off(folder / "HP-1041.yaml")
        assert tracemalloc.get_traced_memory()[1] < 50_000_000
    finally:
        tracemalloc.stop()
