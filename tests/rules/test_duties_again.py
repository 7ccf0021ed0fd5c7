"""Every duty's truth table against a second way of working it out; 20,000 jobs by hand: tests/bench/bench_duties.py."""

from collections import Counter

from packet.findings import Finding
from packet.plan.duties import plan_duties
from packet.plan.job import gas_of
from packet.plan.venting import is_exempt
from packet.rules.duties import DUTIES
from tests.rules.duties_again import duties_again, exempt_again, some_jobs


def compared(count: int, seed: int) -> tuple[list[str], Counter[str]]:
    """(where both ways differ, how many jobs are owed each duty)."""
    differ, owed = [], Counter[str]()
    for item in some_jobs(count, seed):
        gas = gas_of(item)
        if isinstance(gas, Finding):  # no properties: nothing is planned
            continue
        ours = {found.code for found in plan_duties(item, gas)[0]} - {"keep-three-years"}
        owed.update(ours)
        owed["compared"] += 1
        if ours != duties_again(item) or is_exempt(item, gas) != exempt_again(item):
            differ.append(f"{item.appliance} {item.work} {item.date}: {sorted(ours ^ duties_again(item))}")
    return differ, owed


def test_both_ways_agree_and_every_duty_is_met_and_not_met() -> None:
    """Sources: see `tests.rules.duties_again`."""
    differ, owed = compared(1500, seed=20261126)
    assert differ == []
    assert owed["compared"] > 1200
    for code in DUTIES:
        assert 0 < owed[code] < owed["compared"]
