"""The job's air, the hottest while filling and a table's row: each brought into the computed range in one place."""

from dataclasses import dataclass

import pytest

from packet.ledger.state import opening
from packet.plan.case import Case, look_up, site_barometer, temperature_findings
from packet.plan.gas import Gas
from packet.plan.hoses import plan_hoses
from packet.plan.setting import fill_setting
from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import Properties, properties
from tests.plan.builders import job, plan, registers


@dataclass(frozen=True)
class Narrow:
    """R-22 as if it could be computed from 60 to 135 °F only."""

    whole: Properties
    lowest_F: float = 60.0
    highest_F: float = 135.0

    def __getattr__(self, name: str) -> object:
        return getattr(self.whole, name)


def narrow(ambient_F: float, hottest_F: float) -> Case:
    the_job = job("R-22", 10.0, conditions={"ambient_F": ambient_F, "hottest_F": hottest_F})
    shop = registers()
    states = opening(shop)
    refrigerant = find("R-22")
    gas = Gas("R-22", Narrow(properties(refrigerant)), refrigerant)  # type: ignore[arg-type]
    named = look_up(the_job, shop, states)
    return Case(the_job, shop, states, frozenset(), named, gas, site_barometer(the_job))


@pytest.mark.parametrize(
    ("ambient_F", "hottest_F", "used", "told"),
    [
        (75.0, 95.0, (75.0, 95.0), []),
        (50.0, 95.0, (60.0, 95.0), ["50.0 °F lies outside what can be computed for R-22: 60.0 °F is counted with."]),
        (
            75.0,
            140.0,
            (75.0, 135.0),
            ["140.0 °F lies outside what can be computed for R-22: 135.0 °F is counted with."],
        ),
    ],
)
def test_each_is_clamped_once_and_said(
    ambient_F: float, hottest_F: float, used: tuple[float, float], told: list[str]
) -> None:
    """Common practice, no source: a figure that cannot be computed is not guessed at, and the paper says which is used."""
    case = narrow(ambient_F, hottest_F)
    assert (case.ambient_F.value, case.hottest_F().value) == used
    assert [item.message for item in temperature_findings(case)] == told
    assert case.named.scale is not None
    setting = fill_setting(case, case.named.scale, plan_hoses(case, ("vapor",), None, False), ("vapor",))
    assert setting.fill_F.value == max(77.0, used[1])
    assert any(row.value == used[1] for row in setting.rows_F)
    assert all(60.0 <= row.value <= 135.0 for row in setting.rows_F)


def test_the_usual_job_says_nothing() -> None:
    assert not any(item.code == "temperature-out-of-range" for item in plan(job("R-22", 10.0)).findings)
