"""What is in each cylinder tonight: the register plus everything filed, added up by another route."""

import re
from collections.abc import Callable
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packet.ledger import mass, records, state
from packet.ledger.mass import lb_from_kg
from packet.ledger.records import Filed, Records
from packet.ledger.state import ledger, ledger_from
from packet.shop.records import Month, Registers

Append = Callable[..., Filed]
TODAY, TOMORROW = date(2026, 11, 26), date(2026, 11, 27)


def put_in(cylinder: str, weight: str, gas: str = "R-404A", **more: str) -> dict[str, str]:
    return {"cylinder": cylinder, "moved_lb": weight, "refrigerant": gas} | more


def test_without_records_the_register_stands(registers: Registers, tmp_path: Path) -> None:
    states = ledger(registers, tmp_path, TODAY).states
    assert {key: (item.refrigerant, item.contents_lb, item.came_from) for key, item in states.items()} == {
        "C-1": ("R-404A", 12.4, ""),
        "C-2": (None, 0.0, ""),
        "C-M": ("mixed", 3.0, ""),
    }


def test_a_filed_job_is_what_tomorrow_starts_from(registers: Registers, tmp_path: Path, append: Append) -> None:
    append("job", "HP-1", date="2026-11-26", time="10:20", moves=[put_in("C-1", "20.3"), put_in("C-2", "8.05")])
    states = ledger(registers, tmp_path, TODAY).states
    assert (states["C-1"].contents_lb, states["C-1"].came_from) == (32.7, "HP-1")
    assert (states["C-2"].refrigerant, states["C-2"].contents_lb) == ("R-404A", 8.05)


@pytest.mark.parametrize(
    ("asof", "before", "pounds"),
    [
        (date(2026, 11, 25), None, 12.4),
        (TODAY, None, 20.4),
        (TODAY, time(0, 0), 12.4),
        (TODAY, time(10, 0), 14.4),
        (TOMORROW, None, 24.4),
    ],
)
def test_as_of_a_day_or_a_moment_of_it(
    registers: Registers, tmp_path: Path, append: Append, *, asof: date, before: time | None, pounds: float
) -> None:
    append("job", "HP-3", date="2026-11-27", time="09:00", moves=[put_in("C-1", "4")])  # filed first, happened last
    append("job", "HP-1", date="2026-11-26", time="09:10", moves=[put_in("C-1", "2")])
    append("job", "HP-2", date="2026-11-26", time="15:00", moves=[put_in("C-1", "6")])
    assert ledger(registers, tmp_path, asof, before).states["C-1"].contents_lb == pounds


def test_other_gas_on_top_makes_it_mixed(registers: Registers, tmp_path: Path, append: Append) -> None:
    append("job", "HP-1", date="2026-11-26", time="10:20", moves=[put_in("C-1", "5", "R-22")])
    assert ledger(registers, tmp_path, TODAY).states["C-1"].refrigerant == "mixed"


def test_turned_in_then_emptied_it_takes_another_gas(registers: Registers, tmp_path: Path, append: Append) -> None:
    append(
        "turn-in", "C-1", date="2026-11-26", moves=[{"cylinder": "C-1", "moved_lb": "-12.4"}], away={"C-1": "Reclaimer"}
    )
    away = ledger(registers, tmp_path, TODAY)
    assert away.states["C-1"].contents_lb == 0
    assert away.states["C-1"].refrigerant == "R-404A"  # a heel of vapor is still that gas
    assert away.registers.cylinders[0].out_of_service == "away: Reclaimer"
    append("emptied", "C-1", date="2026-11-27", time="08:00", evacuated=["C-1"])
    append("job", "HP-2", date="2026-11-27", time="11:00", moves=[put_in("C-1", "7", "R-22")])
    back = ledger(registers, tmp_path, TOMORROW)
    assert (back.states["C-1"].refrigerant, back.states["C-1"].contents_lb) == ("R-22", 7.0)
    assert back.registers.cylinders[0].out_of_service is None


def test_a_correction_counts_instead_of_the_record_it_names(
    registers: Registers, tmp_path: Path, append: Append
) -> None:
    old = append("job", "HP-1", date="2026-11-26", time="10:20", moves=[put_in("C-1", "20.3")])
    new = [put_in("C-1", "2.03")]
    append(
        "correction", "HP-1", corrects=old.digest, of="job", reason="point", date="2026-11-26", time="10:20", moves=new
    )
    assert ledger(registers, tmp_path, TODAY).states["C-1"].contents_lb == 14.43


def test_retested_bought_and_retired_cylinders_are_in_the_registers_of_that_day(
    registers: Registers, tmp_path: Path, append: Append
) -> None:
    entry = {"id": "C-9", "spec": "DOT-4BA400", "water_capacity_lb": "47.6", "tare_lb": "27.1", "made": "2026-10"}
    append("bought", "C-9", date="2026-11-26", bought=[entry])
    append("retested", "C-1", date="2026-11-26", tested={"C-1": "2026-11"})
    append("retired", "C-2", date="2026-11-27", retired={"C-2": "dented"})
    today, later = ledger(registers, tmp_path, TODAY), ledger(registers, tmp_path, TOMORROW)
    cylinders = {item.id: item for item in later.registers.cylinders}
    assert cylinders["C-1"].tested == Month(year=2026, month=11)
    assert cylinders["C-9"].tare_lb == 27.1
    assert cylinders["C-2"].out_of_service == "retired: dented"
    assert today.registers.cylinders[1].out_of_service is None
    assert later.states["C-9"].refrigerant is None


def weighed(gross: str, moved: str = "5") -> dict[str, str]:
    return put_in("C-1", moved, bare_before_gross_lb=gross, scale_step_lb="0.1")


@pytest.mark.parametrize(
    ("gross", "gap", "pounds"),
    [
        ("39.9", None, 17.4),
        ("40.4", None, 17.4),  # half a pound: a good scale and a stamped tare may differ by that
        ("40.5", Decimal("0.6"), 18.0),  # the scale says more: plan with more
        ("37.9", Decimal(-2), 17.4),  # the scale says less: plan with the ledger
    ],
)
def test_a_bare_weight_that_differs_opens_a_discrepancy_and_the_greater_figure_is_planned_with(
    registers: Registers, tmp_path: Path, append: Append, *, gross: str, gap: Decimal | None, pounds: float
) -> None:
    append("job", "HP-1", date="2026-11-26", time="10:20", moves=[weighed(gross)])
    found = ledger(registers, tmp_path, TODAY).states["C-1"]
    assert (found.discrepancy_lb, found.contents_lb) == (gap, pounds)
    assert mass.lb_from_kg(found.ledger_kg) == Decimal("17.4")
    assert found.discrepancy_from == ("000001-HP-1.json" if gap else "")


def test_the_office_explains_a_discrepancy_and_a_later_agreeing_weight_closes_it_too(
    registers: Registers, tmp_path: Path, append: Append
) -> None:
    append("job", "HP-1", date="2026-11-26", time="10:20", moves=[weighed("41.9")])
    adjust = [{"cylinder": "C-1", "moved_lb": "2"}]
    append(
        "explained", "C-1", date="2026-11-26", time="17:00", explained=["C-1"], moves=adjust, reason="tare restamped"
    )
    explained = ledger(registers, tmp_path, TODAY).states["C-1"]
    assert (explained.discrepancy_lb, explained.contents_lb) == (None, 19.4)
    append("job", "HP-2", date="2026-11-27", time="10:20", moves=[weighed("44.0")])
    assert ledger(registers, tmp_path, TOMORROW).states["C-1"].discrepancy_lb == Decimal("-2.9")
    append("job", "HP-3", date="2026-11-27", time="12:00", moves=[weighed("52.1")])
    assert ledger(registers, tmp_path, TOMORROW).states["C-1"].discrepancy_lb is None


def test_a_file_that_cannot_be_read_stops_the_ledger(registers: Registers, tmp_path: Path, append: Append) -> None:
    append("job", "HP-1", date="2026-11-26", time="10:20", moves=[put_in("C-1", "5")])
    (tmp_path / "filed" / "000002-HP-2.json").write_text("half a rec")
    with pytest.raises(state.UnreadableRecordsError, match=r"000002-HP-2\.json"):
        ledger(registers, tmp_path, TODAY)


WEIGHTS = st.tuples(
    st.decimals(min_value=-400, max_value=400, places=2) | st.decimals(min_value=-400, max_value=400, places=3),
    st.sampled_from(["lb", "kg"]),
)


@settings(deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["C-1", "C-2", "C-M"]), WEIGHTS), max_size=25), st.randoms())
def test_balances_are_exact_in_whatever_unit_and_order_they_were_typed(moves: list[Any], chance: Any) -> None:
    registers = _registers()
    filed = []
    for seq, (cylinder, (weight, unit)) in enumerate(moves, 1):
        body = {"date": "2026-11-26", "moves": [{"cylinder": cylinder, f"moved_{unit}": f"{weight:f}"}]}
        item = records.parse(f"{seq:06}-HP-{seq}.json", records.compose(seq, "job", f"HP-{seq}", [], body))
        assert isinstance(item, Filed)
        filed.append(item)
    chance.shuffle(filed)
    states = ledger_from(registers, Records(tuple(filed), ()), TODAY).states
    # by another route: fractions of a pound
    pound = Fraction(45359237, 100000000)
    for own in registers.cylinders:
        expected = Fraction(str(own.contents_lb))
        for cylinder, (weight, unit) in moves:
            if cylinder == own.id:
                expected += Fraction(weight) / (1 if unit == "lb" else pound)
                # less than nothing by no more than two readings differ: nothing
                expected = Fraction(0) if Fraction(-1, 2) <= expected < 0 else expected
        assert Fraction(states[own.id].ledger_kg) / pound == expected
        assert abs(Fraction(mass.lb_from_kg(states[own.id].ledger_kg)) - expected) <= Fraction(1, 10**9)


def _registers() -> Registers:
    from packet.shop.records import Cylinder, Shop

    shop = Shop(
        company="Northside Cooling", phone="555-0100", emergency_phone="555-0101", records_url="HTTPS://R.EXAMPLE"
    )
    opened = {"C-1": 12.4, "C-2": 0.0, "C-M": 3.0}
    return Registers(
        shop=shop,
        cylinders=tuple(
            Cylinder(
                id=key, spec="DOT-4BA400", water_capacity_lb=47.6, tare_lb=27.5, refrigerant="R-22", contents_lb=pounds
            )
            for key, pounds in opened.items()
        ),
    )


def test_pounds_come_back_as_typed() -> None:
    for typed in ("61.40", "0.1", "0.05", "1337.6", "12.345"):
        assert mass.lb_from_kg(mass.kg_from(typed, "lb")) == Decimal(typed)
    assert mass.kg_from("12.5", "kg") == mass.kg_from_float_lb(12.5 / 0.45359237) == Decimal("12.5")


@pytest.mark.parametrize("typed", ["", "ten", "nan", "inf", "1e400", "٣", "1.2.3", "12,5", "1234567890123456"])
def test_what_is_no_plain_weight_is_refused(typed: str) -> None:
    with pytest.raises(ValueError, match=re.escape(repr(typed))):
        mass.kg_from(typed, "lb")


def test_records_as_written_keep_the_figures_as_typed() -> None:
    assert b'"moved_lb": "20.30"' in records.compose(1, "job", "HP-1", (), {"moves": [put_in("C-1", "20.30")]})


def test_compositions_add_up_in_a_mixed_cylinder(registers: Registers, append: Append, tmp_path: Path) -> None:
    """An empty mixed cylinder takes 10 lb of 62/38 R-22/R-134a, then 5 lb of R-22: 11.2 and 3.8 lb, by hand; turned in
    by half the proportion stays; something unknown on top ends it."""
    own = "R-22 62 % + R-134a 38 %"
    append("event", "C-M", date="2026-11-01", evacuated=["C-M"])
    move = {"cylinder": "C-M", "moved_lb": "10", "refrigerant": own}
    append("job", "HP-1", date="2026-11-02", moves=[move])
    one = ledger(registers, tmp_path, date(2026, 11, 2)).states["C-M"]
    assert (one.refrigerant, one.mixed_of) == (own, ())
    append("job", "HP-2", date="2026-11-03", moves=[{"cylinder": "C-M", "moved_lb": "5", "refrigerant": "R-22"}])
    two = ledger(registers, tmp_path, date(2026, 11, 3)).states["C-M"]
    assert two.refrigerant == "mixed"
    pounds = {part: float(lb_from_kg(kg)) for part, kg in two.mixed_of}
    assert pounds == {"R-134a": pytest.approx(3.8), "R-22": pytest.approx(11.2)}
    append("event", "C-M", date="2026-11-04", moves=[{"cylinder": "C-M", "moved_lb": "-7.5", "as": "reclaim"}])
    half = ledger(registers, tmp_path, date(2026, 11, 4)).states["C-M"]
    pounds = {part: float(lb_from_kg(kg)) for part, kg in half.mixed_of}
    assert pounds == {"R-134a": pytest.approx(1.9), "R-22": pytest.approx(5.6)}
    append("job", "HP-3", date="2026-11-05", moves=[{"cylinder": "C-M", "moved_lb": "1", "refrigerant": "mixed"}])
    assert ledger(registers, tmp_path, date(2026, 11, 5)).states["C-M"].mixed_of == ()


def test_what_a_mixed_cylinder_held_before_is_not_guessed(registers: Registers, append: Append, tmp_path: Path) -> None:
    """The register says 3 lb of 'mixed': whatever is known of what comes on top, the whole is not."""
    append("job", "HP-1", date="2026-11-02", moves=[{"cylinder": "C-M", "moved_lb": "10", "refrigerant": "R-22"}])
    state = ledger(registers, tmp_path, date(2026, 11, 2)).states["C-M"]
    assert (state.refrigerant, state.mixed_of) == ("mixed", ())
