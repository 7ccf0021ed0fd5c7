"""The list of cylinders: room left against published figures, and a warning for everything that needs a look."""

from datetime import date
from pathlib import Path

import pytest

from packet.ledger import store
from packet.ledger.state import ledger
from packet.office.cylinders import CylinderLine, cylinder_list, cylinders_as_text, sorted_by
from packet.rules import fill, stop
from packet.shop.records import Cylinder, Month, Registers
from packet.worked import given

from .returned import TODAY, hand_in, print_it, registers, typed


def lines(shop: Path, own: Registers | None = None, asof: date = TODAY) -> dict[str, CylinderLine]:
    book = ledger(own or registers(), shop, asof)
    return {item.id: item for item in cylinder_list(book, asof).lines}


def with_cylinder(**fields: object) -> Registers:
    base = {
        "id": "C-1",
        "spec": "DOT-4BA400",
        "water_capacity_lb": 47.6,
        "tare_lb": 27.5,
        "tested": Month(year=2023, month=4),
    }
    return registers().model_copy(update={"cylinders": (Cylinder(**base | fields),)})


def test_room_at_77F_of_the_published_cylinder(tmp_path: Path) -> None:
    # trade article on AHRI Guideline K: R-22, WC 1,000 lb, 957.6 lb net at 77 degF, within 0.5 percent (published.yaml)
    own = with_cylinder(water_capacity_lb=1000.0, tare_lb=380.0, refrigerant="R-22", contents_lb=100.0)
    room = lines(tmp_path, own)["C-1"].room
    assert room is not None
    assert room.at_77F_lb == pytest.approx(957.6 - 100.0, rel=0.005)
    assert room.at_hottest_lb < room.at_77F_lb


def test_sorted_by_room_the_large_empty_one_is_first_and_what_may_not_be_filled_last(tmp_path: Path) -> None:
    def one(name: str, size_lb: float, **fields: object) -> Cylinder:
        return with_cylinder(id=name, water_capacity_lb=size_lb, **fields).cylinders[0]

    own = registers().model_copy(
        update={
            "cylinders": (
                one("C-1", 47.6, refrigerant="R-22", contents_lb=2.0),
                one("C-2", 1000.0, out_of_service="dented"),
                one("C-3", 26.2),
                one("C-4", 240.0),
            )
        }
    )
    found = cylinder_list(ledger(own, tmp_path, TODAY), TODAY)
    assert [line.id for line in sorted_by(found, "room").lines] == ["C-4", "C-1", "C-3", "C-2"]


def test_a_stamped_maximum_is_a_limit_here_too(tmp_path: Path) -> None:
    room = lines(tmp_path, with_cylinder(refrigerant="R-22", contents_lb=2.0, max_gross_lb=50.0))["C-1"].room
    assert room is not None
    assert room.at_77F_lb == pytest.approx(50.0 - 27.5 - 2.0)


def test_the_listed_filling_density_is_a_limit_here_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the usual ceilings no listed density of 49 CFR 173.304a governs: 40 % of the water weight stands in for one."""
    monkeypatch.setitem(fill.FILLING_DENSITY_PERCENT, "R-22", (40.0, "test"))
    room = lines(tmp_path, with_cylinder(refrigerant="R-22", contents_lb=2.0))["C-1"].room
    assert room is not None
    assert room.at_77F_lb == room.at_hottest_lb == pytest.approx(0.40 * 47.6 - 2.0)


def test_the_list_of_cylinders_knows_every_limit_of_a_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A limit that is entered where all stand is asked for here too."""
    monkeypatch.setitem(stop.LIMITS, "by_stamp", lambda *_: given(7.0, "lb", "test"))
    room = lines(tmp_path, with_cylinder(refrigerant="R-22", contents_lb=2.0))["C-1"].room
    assert room is not None
    assert room.at_77F_lb == pytest.approx(5.0)


def test_a_mix_has_no_more_room_than_any_gas_it_may_be(tmp_path: Path) -> None:
    rooms = [
        lines(tmp_path, with_cylinder(refrigerant=gas, contents_lb=2.0))["C-1"].room
        for gas in ("mixed", "R-290", "R-22")
    ]
    assert all(room is not None for room in rooms)
    at_77F = [room.at_77F_lb for room in rooms if room is not None]
    assert 0 < at_77F[0] <= min(at_77F[1:])


@pytest.mark.parametrize("gas", [None, "R-744"])
def test_room_is_not_guessed_for_what_cannot_be_computed(tmp_path: Path, gas: str | None) -> None:
    own = with_cylinder(refrigerant=gas, contents_lb=1.0 if gas else 0.0)
    assert lines(tmp_path, own)["C-1"].room is None


@pytest.mark.parametrize(
    "fields",
    [{"spec": "DOT-39"}, {"tested": Month(year=2021, month=10)}, {"tested": None}, {"out_of_service": "dented"}],
)
def test_what_may_not_be_filled_has_no_room(tmp_path: Path, fields: dict[str, object]) -> None:
    own = with_cylinder(**{"refrigerant": "R-22", "contents_lb": 2.0} | fields)
    assert lines(tmp_path, own)["C-1"].room is None
    assert lines(tmp_path, with_cylinder(refrigerant="R-22", contents_lb=2.0))["C-1"].room is not None


def test_after_a_job_the_cylinders_are_on_its_truck(tmp_path: Path) -> None:
    print_it(tmp_path)
    hand_in(tmp_path)
    found = lines(tmp_path)
    assert {key: (item.where, item.gas, str(item.contents_lb)) for key, item in found.items()} == {
        "C-1": ("truck T2, HP-1041", "R-404A", "32"),
        "C-2": ("truck T2, HP-1041", "R-404A", "7.9"),
        "C-3": ("shop", "", "0"),
    }
    assert all(item.warnings == () for item in found.values())
    assert lines(tmp_path, asof=date(2026, 11, 25))["C-1"].where == "shop"


@pytest.mark.parametrize(
    ("fields", "warning"),
    [
        ({"tested": Month(year=2021, month=11)}, "Retest due by 2026-11-30."),
        ({"tested": Month(year=2021, month=10)}, "Retest overdue since 2026-10-31"),
        ({"tested": None}, "No retest month"),
        ({"spec": "DOT-39NRC", "tested": Month(year=2026, month=1)}, "Not refillable (DOT-39NRC)"),
        ({"out_of_service": "valve leaks"}, "Out of service: valve leaks."),
        ({"refrigerant": "R-22", "contents_lb": 60.0}, "Full."),
        ({"refrigerant": "R-404A", "contents_lb": 36.0}, "Full at the hottest"),
    ],
)
def test_what_needs_a_look_is_said(tmp_path: Path, fields: dict[str, object], warning: str) -> None:
    found = lines(tmp_path, with_cylinder(**fields))["C-1"].warnings
    assert any(warning in item for item in found), found


def test_a_discrepancy_a_mix_a_debt_and_a_stranger_are_said(tmp_path: Path) -> None:
    print_it(tmp_path)
    hand_in(
        tmp_path,
        typed(
            bare_before_gross="    bare_before_gross_lb: 31.5",
            put_in="    put_in_lb: 28.0",
            recovered="recovered_lb: 35.9",
        ),
    )
    moves = [
        {"cylinder": "C-2", "moved_lb": "1", "refrigerant": "R-22"},
        {"cylinder": "C-3", "moved_lb": "-4"},
        {"cylinder": "C-77", "moved_lb": "5", "refrigerant": "R-22"},
    ]
    with store.writing(tmp_path) as writer:
        writer.append("job", "HP-1042", {"date": "2026-11-27", "time": "12:00", "moves": moves})
    found = lines(tmp_path)
    assert (
        "The scale found 2.0 lb more than tare and ledger (000001-HP-1041.json): explain it." in found["C-1"].warnings
    )
    assert "More than one gas went in: it counts as mixed." in found["C-2"].warnings
    assert "More went out than ever came in: a record is missing or wrong." in found["C-3"].warnings
    assert found["C-77"].where == "not in the register"
    assert found["C-77"].warnings == ("Filed records name it, and cylinders.yaml does not.",)


def test_the_list_reads_in_the_shops_units_and_never_rounds_room_up(tmp_path: Path) -> None:
    own = with_cylinder(refrigerant="R-404A", contents_lb=10.0, tested=Month(year=2021, month=11))
    book = ledger(own, tmp_path, TODAY)
    room = cylinder_list(book, TODAY).lines[0].room
    assert room is not None
    us, si = (cylinders_as_text(cylinder_list(book, TODAY), units) for units in ("US", "SI"))
    row_us, row_si = us.split("\n")[3].split(), si.split("\n")[3].split()
    assert row_us[:5] == ["C-1", "shop", "R-404A", "10.0", "lb"]
    assert room.at_77F_lb - 0.1 < float(row_us[5]) <= room.at_77F_lb
    assert row_si[3:5] == ["4.54", "kg"]  # 10 lb x 0.45359237
    assert room.at_77F_lb * 0.45359237 - 0.01 < float(row_si[5]) <= room.at_77F_lb * 0.45359237
    assert "room at 77 °F" in us
    assert "room at 54 °C" in si  # 130 degF is 54.4 degC
    assert us.split("\n")[4].strip() == "Retest due by 2026-11-30."
