"""How far to draw down, in the words of the sheets."""

from typing import Any

import pytest

from packet.sheets.show import Show, target
from tests.plan.builders import job, plan

SMALL = {"kind": "small-appliance", "factory_sealed": True, "ports": ("liquid", "vapor")}


@pytest.mark.parametrize(
    ("job_", "words"),
    [
        # 40 CFR 82.156(b), from memory: 80 % without the compressor, or 4 inHg; 0.80 × 4.0 = 3.2 lb
        (job("R-134a", 4.0, appliance=SMALL), ("3.2 lb", "80 %", "4.0 inHg vacuum")),
        # 40 CFR 82.156 table 1: medium pressure, less than 200 lb, a machine made since 1993: 10 inHg
        (job("R-134a", 20.0), ("10.0 inHg vacuum",)),
        (job("R-22", 20.0), ("0 psig",)),
        (job("R-123", 300.0, appliance={"kind": "chiller"}), ("25 mmHg absolute",)),
        (
            job(
                "R-123", 300.0, appliance={"kind": "chiller"}, work={"major": False, "evacuation_to_atmosphere": False}
            ),
            ("raise to 0 psig at most",),
        ),
    ],
)
def test_the_target_reads_as_the_law_states_it(job_: Any, words: tuple[str, ...]) -> None:
    said = target(plan(job_).evacuation, Show("US", 1))
    assert [word for word in words if word not in said] == []
    assert ("%" in said) is ("80 %" in words)


def test_without_a_target_nothing_is_made_up() -> None:
    assert target(None, Show("US", 1)) == "not computed"
