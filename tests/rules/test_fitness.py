"""Whether a cylinder is fit."""

from datetime import date

import pytest

from packet.rules import fitness
from packet.rules.spec import Spec, read_spec
from packet.worked import Worked, given
from tests.published import published
from tests.rules.arithmetic import wrong


def psi(value: float) -> Worked:
    return given(value, "psig", "test")


@pytest.mark.parametrize(
    ("stamp", "family", "service_psig", "refillable"),
    [
        ("DOT-4BA400", "4BA", 400.0, True),
        ("DOT 4BW260", "4BW", 260.0, True),
        ("dot-4ba350", "4BA", 350.0, True),
        ("4BA-240", "4BA", 240.0, True),
        ("DOT-4B300", "4B", 300.0, True),
        ("DOT-3AA2400", "3AA", 2400.0, True),
        ("DOT-39", "39", None, False),
        ("DOT-39 NRC 260/325", "39", None, False),
    ],
)
def test_stamps(stamp: str, family: str, service_psig: float | None, refillable: bool) -> None:
    """49 CFR 178 subpart C: the number behind the family is the service pressure, psig; DOT-39 is 178.65 (memory)."""
    spec = read_spec(stamp)
    assert spec is not None
    assert (spec.family, spec.refillable) == (family, refillable)
    if refillable:
        assert spec.service_psig == service_psig


def test_a_canadian_stamp_is_in_bar() -> None:
    """TC-4BAM28: 28 bar, 406 psi. From memory."""
    spec = read_spec("TC-4BAM28")
    assert spec is not None
    assert spec.service_psig == pytest.approx(28.0 * 14.5038, abs=0.01)


@pytest.mark.parametrize("stamp", ["", "ACME-400", "400", "tank"])
def test_what_is_no_stamp(stamp: str) -> None:
    assert read_spec(stamp) is None


def test_a_stamp_without_pressure() -> None:
    assert read_spec("DOT-4BA") == Spec("4BA", None, refillable=True)


def test_five_quarters_of_the_service_pressure() -> None:
    """49 CFR 173.301a: 5/4 × 240 = 300 psig; a 400-psig cylinder allows 500."""
    assert fitness.allowed_at_131F_psig(psi(240.0)).value == 300.0
    allowed = fitness.allowed_at_131F_psig(psi(400.0))
    assert allowed.value == 500.0
    assert wrong(allowed) == []


def test_the_service_pressure_that_is_needed() -> None:
    """484.1 psig at 131 °F ÷ 1.25 = 387.3; a fluid that stands higher at 70 °F than that needs its 70 °F pressure."""
    assert fitness.needed_service_psig(484.1, 201.7, 240.0) == pytest.approx(387.28)
    assert fitness.needed_service_psig(250.0, 210.0, 0.0) == 210.0
    assert fitness.needed_service_psig(250.0, 210.0, 240.0) == 240.0


@pytest.mark.parametrize(("service", "allowed"), [(240.0, True), (300.0, True), (225.0, False)])
def test_r22_in_a_240_psig_cylinder_is_listed_by_name(service: float, allowed: bool) -> None:
    """49 CFR 173.304a table 1 lists 240-psig packagings for chlorodifluoromethane."""
    assert fitness.listed_packaging_allows("R-22", service) is allowed
    assert not fitness.listed_packaging_allows("R-410A", 400.0)


@pytest.mark.parametrize(
    ("year", "month", "last_day"),
    [(2020, 9, date(2025, 9, 30)), (2023, 4, date(2028, 4, 30)), (2019, 2, date(2024, 2, 29))],
)
def test_requalified_every_five_years(year: int, month: int, last_day: date) -> None:
    """49 CFR 180.209 table 1: five years, good through its month; five years for recovered gas from memory."""
    assert fitness.requalify_by(year, month) == last_day


@pytest.mark.parametrize(("service", "expected", "stop"), [(400.0, 297.0, 347.0), (240.0, 276.0, 240.0)])
def test_where_to_stop_and_cool(service: float, expected: float, stop: float) -> None:
    """Common practice, no source: the service pressure, or 50 psi above where it stands, whichever is first."""
    number = fitness.stop_and_cool_psig(psi(service), psi(expected), psi(50.0))
    assert number.value == stop
    assert wrong(number) == []


def test_least_packaging_by_name() -> None:
    """49 CFR 173.304a table 1; a Class 2 gas that it does not name 240 psig, what is no Class 2 gas none."""
    for name, least in published()["least_packaging_psig"][0].items():
        assert fitness.least_packaging_psig(name, "2.2") == least
    assert fitness.least_packaging_psig("R-134a", "2.2") == 240.0
    assert fitness.least_packaging_psig(None, None) == 240.0
    assert fitness.least_packaging_psig("R-123", None) == 0.0
