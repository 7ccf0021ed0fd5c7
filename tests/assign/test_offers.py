"""A large register: what is alike is looked at once, and a short list loses nothing that a job would take."""

import pytest

from packet.assign import offers
from packet.assign.propose import assign_day
from packet.ledger.state import opening
from packet.shop.records import Registers
from tests.plan.builders import cylinder, job, registers

MANY = 420


def large() -> Registers:
    """Empty cylinders of three sizes and many tares, some that hold R-22, some another gas."""
    sizes = ((26.2, 17.0), (47.6, 27.5), (123.0, 58.0))
    made = []
    for number in range(MANY + 60):
        water, tare = sizes[number % 3]
        held = {0: {"refrigerant": "R-22", "contents_lb": 2.0}, 1: {"refrigerant": "R-410A", "contents_lb": 3.0}}
        more = held.get(number % 9, {})
        made.append(
            cylinder(f"Y-{number:03}", water_capacity_lb=water, tare_lb=round(tare + number % 23 / 10, 1), **more)
        )
    return registers(*made)


@pytest.mark.parametrize("charge_lb", [8.0, 35.0])
def test_a_short_list_finds_what_all_of_them_would_give(charge_lb: float, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = large()
    days = (job("R-22", charge_lb, cylinders=()),)
    short = assign_day(days, shop, opening(shop))
    monkeypatch.setattr(offers, "ALL_LOOKED_AT", 10 * MANY)
    whole = assign_day(days, shop, opening(shop))
    assert short.measure == whole.measure
    assert not short.proven
    assert short.proposals[0].served
