"""A shop from an empty folder, and registers from a spreadsheet's CSV."""

import csv
import io
import os
import re
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from packet.shop.begin import begin_shop
from packet.shop.bring_in import KINDS, brought_in
from packet.shop.load import check, load_registers
from packet.shop.problems import WrongPathError
from packet.shop.wants import wants

DEMO = Path(__file__).parents[2] / "jobs"
TODAY = date(2026, 11, 26)


def test_every_blank_of_a_new_shop_is_told_and_nothing_else(tmp_path: Path) -> None:
    written = begin_shop(tmp_path / "jobs", TODAY)
    assert [path.name for path in written] == [
        "shop.yaml",
        "cylinders.yaml",
        "machines.yaml",
        "technicians.yaml",
        "J-001.yaml",
    ]
    problems = check([tmp_path / "jobs"])
    assert all("A value is missing after" in item.message for item in problems)
    assert all(item.suggestion for item in problems)
    for path in written:
        blanks = {
            number
            for number, line in enumerate(path.read_text("utf-8").splitlines(), 1)
            if re.match(r"\s*(- )?\w+:\s*#", line) and "(optional)" not in line and not line.lstrip().startswith("#")
        }
        assert {item.line for item in problems if item.file == str(path)} == blanks


def test_a_shop_is_never_begun_over_another(tmp_path: Path) -> None:
    begin_shop(tmp_path / "jobs", TODAY)
    before = (tmp_path / "jobs" / "shop.yaml").read_bytes()
    with pytest.raises(WrongPathError, match=r"holds shop\.yaml already"):
        begin_shop(tmp_path / "jobs", TODAY)
    assert (tmp_path / "jobs" / "shop.yaml").read_bytes() == before


def test_what_is_optional_may_be_used_by_taking_the_hash_away(tmp_path: Path) -> None:
    """Every commented key is a key: with all of them switched on nothing is unknown."""
    begin_shop(tmp_path / "jobs", TODAY)
    for name in ("shop.yaml", "machines.yaml", "cylinders.yaml", "technicians.yaml"):
        path = tmp_path / "jobs" / name
        head, _, body = path.read_text("utf-8").partition("\n\n")
        path.write_text(head + "\n\n" + re.sub(r"^(\s*)# ", r"\1", body, flags=re.MULTILINE), "utf-8")
    problems = check([tmp_path / "jobs"])
    assert not [item for item in problems if "is not a key here" in item.message]


def rows_of(items: list[dict[str, Any]]) -> str:
    """A list of a register as a spreadsheet would write it."""
    flat = []
    for item in items:
        row: dict[str, str] = {}
        for key, value in item.items():
            if isinstance(value, dict):
                row |= {f"{key}.{inner}": str(one) for inner, one in value.items()}
            else:
                row[key] = " ".join(map(str, value)) if isinstance(value, list) else str(value)
        flat.append(row)
    heads = list(dict.fromkeys(key for row in flat for key in row))
    out = io.StringIO()
    writer = csv.DictWriter(out, heads, delimiter=";")
    writer.writeheader()
    writer.writerows(flat)
    return out.getvalue()


def test_the_demo_goes_through_a_spreadsheet_and_comes_back_as_it_was(tmp_path: Path) -> None:
    shop = tmp_path / "jobs"
    begin_shop(shop, TODAY)
    shutil.copy(DEMO / "shop.yaml", shop)
    sources: dict[str, Any] = {}
    for name in ("cylinders", "technicians", "machines"):
        raw = yaml.load((DEMO / f"{name}.yaml").read_text("utf-8"), yaml.BaseLoader)
        sources |= {name: raw} if isinstance(raw, list) else raw | raw["kit"]
    for name in KINDS:
        if name in sources and isinstance(sources[name], list):
            (tmp_path / f"{name}.csv").write_text(rows_of(sources[name]), "utf-8-sig")
            made = brought_in(tmp_path / f"{name}.csv", shop)
            assert made.problems == ()
            assert made.value is not None
            register, text, count = made.value
            assert count == len(sources[name])
            register.write_text(text, "utf-8")
    ours, theirs = load_registers(shop), load_registers(DEMO)
    assert ours.problems == ()
    assert ours.value is not None
    assert theirs.value is not None
    # where each was typed differs, what it says does not
    came, went = ours.value.model_dump(), theirs.value.model_dump()
    assert came["cylinders"] == went["cylinders"]
    assert came["technicians"] == went["technicians"]
    for name in ("machines", "scales"):
        assert came["equipment"][name] == went["equipment"][name]
    for name in ("hoses", "manifolds", "filter_driers", "sight_glasses"):
        assert came["equipment"]["kit"][name] == went["equipment"]["kit"][name]
    # once is once
    assert "has entries already" in brought_in(tmp_path / "cylinders.csv", shop).problems[0].message


CYLINDERS = "id,spec,water_capacity_lb,tare_lb,tested,valves\nC-1,DOT-4BA400,47.6,27.5,2023-04,liquid vapor\n"


@pytest.mark.parametrize(
    "slip",
    [
        ("27.5", "heavy", 2, "column D (tare_lb)", "'heavy' is not a number"),
        ("tare_lb", "tare", 1, "column D (tare)", "Did you mean 'tare_lb'?"),
        ("47.6", "", 2, "column C (water_capacity_lb)", "is missing"),
        ("2023-04", "2023-13", 2, "column E (tested)", "There is no month 13"),
        ("liquid vapor", "liquid steam", 2, "column F (valves)", "'steam' is not one of the words"),
        ("vapor\n", "vapor\nC-1,DOT-4BA400,47.6,27.5,2023-04,vapor\n", 3, "column A (id)", "is used twice"),
        ("vapor\n", "vapor,stray\n", 2, "column G", "stands under no head"),
    ],
)
def test_a_slip_in_a_sheet_is_told_by_row_and_column(tmp_path: Path, slip: tuple[str, str, int, str, str]) -> None:
    old, new, line, column, says = slip
    begin_shop(tmp_path / "jobs", TODAY)
    path = tmp_path / "cylinders.csv"
    path.write_text(CYLINDERS.replace(old, new, 1), "utf-8")
    problems = brought_in(path, tmp_path / "jobs").problems
    assert [(item.line, item.field) for item in problems] == [(line, column)]
    assert says in str(problems[0])


def test_a_sheet_with_another_name_is_refused(tmp_path: Path) -> None:
    begin_shop(tmp_path / "jobs", TODAY)
    path = tmp_path / "cylinder.csv"
    path.write_text(CYLINDERS, "utf-8")
    assert "Did you mean 'cylinders'?" in str(brought_in(path, tmp_path / "jobs").problems[0])


def test_an_empty_register_is_no_slip_and_check_says_what_it_is_wanted_for(tmp_path: Path) -> None:
    shop = tmp_path / "jobs"
    shop.mkdir()
    shutil.copy(DEMO / "shop.yaml", shop)
    for name in ("cylinders.yaml", "machines.yaml", "technicians.yaml"):
        (shop / name).write_text("# none yet\n", "utf-8")
    loaded = load_registers(shop)
    assert loaded.problems == ()
    assert loaded.value is not None
    told = {(want.purpose, want.what) for want in wants(loaded.value)}
    assert ("any job", "a recovery cylinder in cylinders.yaml") in told
    assert ("any job", "a scale in machines.yaml") in told


def test_what_a_machine_lacks_is_told_with_what_it_is_for() -> None:
    registers = load_registers(DEMO).value
    assert registers is not None
    machine = registers.equipment.machines[0].model_copy(
        update={"rates_lb_per_min": type(registers.equipment.machines[0].rates_lb_per_min)()}
    )
    equipment = registers.equipment.model_copy(update={"machines": (machine,)})
    told = {(want.purpose, want.what) for want in wants(registers.model_copy(update={"equipment": equipment}))}
    assert ("liquid recovery", f"rates_lb_per_min: liquid of machine {machine.id}") in told
    assert ("flammable refrigerant", "a machine with flammable_rated: yes") in told


def test_a_register_that_cannot_be_read_is_left_as_it_is(tmp_path: Path) -> None:
    """Fifty cylinders and one slip: nobody knows which are there, so that bringing in would lose them all."""
    begin_shop(tmp_path / "jobs", TODAY)
    sheet = tmp_path / "cylinders.csv"
    sheet.write_text(CYLINDERS, "utf-8")
    register = tmp_path / "jobs" / "cylinders.yaml"
    for broken in (b"- id: C-7\n\tspec: DOT-4BA400\n", b"- id: C-7 # \xff\n", b"- id: C-7\n  id: C-8\n"):
        register.write_bytes(broken)
        found = brought_in(sheet, tmp_path / "jobs")
        assert found.value is None
        assert {item.file for item in found.problems} == {str(register)}
    register.write_bytes(b"")
    assert brought_in(sheet, tmp_path / "jobs").value is not None


def test_what_is_no_sheet_is_told(tmp_path: Path) -> None:
    begin_shop(tmp_path / "jobs", TODAY)
    path = tmp_path / "cylinders.csv"
    os.mkfifo(path)
    assert "no CSV of a register" in str(brought_in(path, tmp_path / "jobs").problems[0])
    path.unlink()
    path.write_text('id,spec\n"' + "C-1 " * 50_000, "utf-8")  # a quote that nobody closed
    assert "no CSV of a register" in str(brought_in(path, tmp_path / "jobs").problems[0])
