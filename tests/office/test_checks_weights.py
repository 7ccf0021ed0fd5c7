"""Weights that cannot be are refused whatever reason stands beside them. Common practice, no source, unless named."""

from pathlib import Path

import pytest

from packet.ledger.records import read_records

from .returned import hand_in, print_it, typed


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    print_it(tmp_path)
    return tmp_path


def refused(shop: Path, form: str) -> list[tuple[str, str]]:
    """Keys and messages, and nothing is filed although every caution has its reason."""
    every = dict.fromkeys(("weight-differs", "over-limit-weight", "over-stop-weight"), "it was so, the office looked")
    filing = hand_in(shop, form, reasons=every)
    assert filing.filed is None
    assert read_records(shop).filed == ()
    return [(item.field, item.message) for item in filing.problems]


def test_kilograms_typed_as_pounds_are_told_once(shop: Path) -> None:
    # 29.5 lb = 13.38 kg, 27.5 lb = 12.47 kg (1 lb = 0.45359237 kg, 1959 agreement)
    form = typed(
        bare_before_gross="    bare_before_gross_lb: 13.4",
        bare_after_gross="    bare_after_gross_lb: 27.0",
        C2_bare_before_gross="    bare_before_gross_lb: 12.5",
        C2_bare_after_gross="    bare_after_gross_lb: 16.1",
    )
    ((key, said),) = refused(shop, form)
    assert key == "cylinders.C-1.bare_before_gross_lb"
    assert "kg typed as lb" in said


def test_pounds_typed_as_kilograms_are_told_too(shop: Path) -> None:
    form = typed(
        bare_before_gross="    bare_before_gross_kg: 29.5",
        bare_after_gross="    bare_after_gross_kg: 59.5",
        C2_bare_before_gross="    bare_before_gross_kg: 27.5",
        C2_bare_after_gross="    bare_after_gross_kg: 35.4",
    )
    ((key, said),) = refused(shop, form)
    assert (key, "lb typed as kg" in said) == ("cylinders.C-1.bare_before_gross_kg", True)


def test_one_cylinder_that_fits_as_typed_is_no_slip_of_units(shop: Path) -> None:
    form = typed(bare_before_gross="    bare_before_gross_lb: 13.4")  # C-2 is right in pounds
    assert [key for key, _ in refused(shop, form)] == ["cylinders.C-1.bare_before_gross_lb"]
    assert "below its tare" in refused(shop, form)[0][1]


@pytest.mark.parametrize(("when", "weight"), [("before", "26.9"), ("after", "26.9")])
def test_nothing_weighs_less_than_its_tare(shop: Path, when: str, weight: str) -> None:
    # tare 27.5 lb; 27.0 is within what the scale can explain, 26.9 is not
    form = typed(**{f"bare_{when}_gross": f"    bare_{when}_gross_lb: {weight}"})

    assert any(key == f"cylinders.C-1.bare_{when}_gross_lb" and "tare" in said for key, said in refused(shop, form))


def test_a_gross_that_no_such_cylinder_can_weigh(shop: Path) -> None:
    # 27.5 lb of tare and 1.6 times 47.6 lb of water: 103.66 lb at the very most
    said = dict(refused(shop, typed(bare_after_gross="    bare_after_gross_lb: 103.8")))
    assert "cannot weigh 103.8 lb" in said["cylinders.C-1.bare_after_gross_lb"]
    assert "103.7 lb" in said["cylinders.C-1.bare_after_gross_lb"]


@pytest.mark.parametrize("reason", ["x", ".", "ok", "123456"])
def test_a_letter_or_a_dot_is_no_reason(shop: Path, reason: str) -> None:
    form = typed(
        bare_after_gross="    bare_after_gross_lb: 59.9", put_in="    put_in_lb: 30.4", recovered="recovered_lb: 38.3"
    )
    filing = hand_in(shop, form, reasons={"over-stop-weight": reason})
    assert [item.field for item in filing.problems] == ["reasons.over-stop-weight"]
    assert hand_in(shop, form, reasons={"over-stop-weight": "seen late"}).filed is not None
