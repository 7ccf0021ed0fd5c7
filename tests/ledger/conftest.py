"""A small shop to keep a ledger for."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from packet.ledger import store
from packet.ledger.records import Filed
from packet.shop.records import Cylinder, Month, Registers, Shop

Append = Callable[..., Filed]


@pytest.fixture
def registers() -> Registers:
    """Three cylinders: one with a heel, one empty, one for mixed gas."""
    shop = Shop(
        company="Northside Cooling", phone="555-0100", emergency_phone="555-0101", records_url="HTTPS://R.EXAMPLE"
    )
    common = {"spec": "DOT-4BA400", "water_capacity_lb": 47.6, "tare_lb": 27.5, "tested": Month(year=2023, month=4)}
    return Registers(
        shop=shop,
        cylinders=(
            Cylinder(id="C-1", refrigerant="R-404A", contents_lb=12.4, **common),
            Cylinder(id="C-2", **common),
            Cylinder(id="C-M", refrigerant="mixed", contents_lb=3.0, **common),
        ),
    )


@pytest.fixture
def append(tmp_path: Path) -> Append:
    """File one record in a shop at tmp_path."""

    def run(kind: str, subject: str, **body: Any) -> Filed:
        with store.writing(tmp_path) as writer:
            return writer.append(kind, subject, body)

    return run
