"""Who gets each duty and who does not. The source of a table stands in its docstring."""

from dataclasses import replace
from datetime import date

import pytest

from packet.rules.duties import (
    DUTIES,
    SOURCES,
    Facts,
    comfort_subsector,
    disposal_record,
    hfc_leak_repair,
    owed,
    sale_ban,
    same_owner_reuse,
    scrap_statement,
    service_record,
)
from packet.shop.records import ApplianceKind, Disposition, Reason, Use
from packet.statements import STATEMENTS

R22 = Facts(
    on=date(2026, 11, 26),
    reason="repair",
    charge_lb=20.0,
    kind="walk-in",
    use=None,
    small=False,
    exempt=False,
    ozone_depleting=True,
    only_ozone_depleting=True,
    hfc=False,
    substitute_gwp=1810.0,
    disposition="open",
)
R404A = replace(R22, ozone_depleting=False, only_ozone_depleting=False, hfc=True, substitute_gwp=3922.0)


@pytest.mark.parametrize(
    ("reason", "charge_lb", "exempt", "owes"),
    [
        ("disposal", 5.0, False, False),  # 'more than 5'
        ("disposal", 5.01, False, True),
        ("disposal", 49.99, False, True),
        ("disposal", 50.0, False, False),  # 'less than 50'
        ("repair", 20.0, False, False),
        ("leak", 20.0, False, False),
        ("retrofit", 20.0, False, False),
        ("disposal", 20.0, True, False),
    ],
)
def test_disposal_record(reason: Reason, charge_lb: float, exempt: bool, owes: bool) -> None:
    """40 CFR 82.156(a)(3)."""
    assert owed(disposal_record(replace(R22, reason=reason, charge_lb=charge_lb, exempt=exempt))) == owes


@pytest.mark.parametrize(
    ("reason", "small", "exempt", "owes"),
    [
        ("disposal", True, False, True),
        ("disposal", False, False, False),  # a 4-lb split is no small appliance
        ("repair", True, False, False),
        ("disposal", True, True, False),
    ],
)
def test_scrap_statement(reason: Reason, small: bool, exempt: bool, owes: bool) -> None:
    """40 CFR 82.155."""
    assert owed(scrap_statement(replace(R404A, reason=reason, small=small, exempt=exempt, charge_lb=1.0))) == owes


@pytest.mark.parametrize(
    ("facts", "charge_lb", "owes"),
    [
        (R22, 49.99, False),
        (R22, 50.0, True),
        (R404A, 400.0, False),  # substitutes are out since 10 April 2020
        (replace(R404A, ozone_depleting=True), 50.0, True),  # a blend that holds a class II substance
    ],
)
def test_service_record(facts: Facts, charge_lb: float, owes: bool) -> None:
    """40 CFR 82.157(a), (l)(2)."""
    assert owed(service_record(replace(facts, charge_lb=charge_lb))) == owes


@pytest.mark.parametrize(
    ("changes", "owes"),
    [
        ({"charge_lb": 14.99}, False),
        ({"charge_lb": 15.0}, True),
        ({"charge_lb": 15.0, "on": date(2025, 12, 31)}, False),
        ({"charge_lb": 15.0, "on": date(2026, 1, 1)}, True),
        ({"hfc": False, "substitute_gwp": 53.0}, False),  # a substitute of 53 is not above 53
        ({"hfc": False, "substitute_gwp": 53.1}, True),
        ({"hfc": True, "substitute_gwp": 20.0}, True),  # a blend that holds a regulated HFC, whatever its own potential
        ({"only_ozone_depleting": True, "ozone_depleting": True, "hfc": False}, False),
        ({"ozone_depleting": True}, True),  # a blend of an HCFC and an HFC is not ozone-depleting alone
        ({"substitute_gwp": None, "ozone_depleting": True}, True),  # unknown: it may be one
        ({"kind": "split"}, False),
        ({"kind": "heat-pump"}, False),
        ({"kind": "packaged"}, False),
        ({"kind": "split", "use": "retail-food"}, True),
        ({"kind": "packaged", "use": "process"}, True),
        ({"kind": "other", "use": "comfort-cooling"}, False),
        ({"kind": "other"}, True),
        ({"kind": "chiller"}, True),
        ({"kind": "chiller", "use": "comfort-cooling"}, True),  # chillers are inside, whatever they cool
        ({"kind": "rack"}, True),
        ({"kind": "walk-in"}, True),
    ],
)
def test_hfc_leak_repair(changes: dict[str, object], owes: bool) -> None:
    """40 CFR 84.106(a); kinds of the exempt subsector: 89 FR 82682."""
    assert owed(hfc_leak_repair(replace(R404A, **changes))) == owes  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "use", "inside"),
    [
        ("split", None, True),
        ("chiller", "comfort-cooling", False),
        ("ice-machine", None, False),
        ("other", None, False),
    ],
)
def test_comfort_subsector(kind: ApplianceKind, use: Use | None, inside: bool) -> None:
    """40 CFR 84.106(a)(3)(ii), 89 FR 82682."""
    assert comfort_subsector(replace(R404A, kind=kind, use=use)) == inside


@pytest.mark.parametrize(
    ("disposition", "reuse", "ban"),
    [
        ("open", True, True),
        ("same-appliance", True, False),
        ("same-owner", True, True),
        ("reclaim", False, True),
        ("destruction", False, False),
    ],
)
def test_where_the_gas_goes(disposition: Disposition, reuse: bool, ban: bool) -> None:
    """40 CFR 82.156(h), 82.154(d)."""
    facts = replace(R22, disposition=disposition)
    assert (owed(same_owner_reuse(facts)), owed(sale_ban(facts))) == (reuse, ban)
    exempt = replace(facts, exempt=True)
    assert not owed(same_owner_reuse(exempt))
    assert not owed(sale_ban(exempt))


def test_every_duty_has_its_section_and_every_condition_its_words() -> None:
    assert set(DUTIES) == set(SOURCES)
    asked = {code for duty in DUTIES.values() for code, _ in duty(R22)}
    assert asked == {code for code in STATEMENTS if code.startswith("if-")}
    assert set(DUTIES) <= set(STATEMENTS)
