"""What is kept free for clearing. Common practice, no source: worked by hand."""

import math

import pytest

from packet.rules import clearing
from packet.worked import Worked, given
from tests.rules.arithmetic import wrong


def of(value: float, unit: str = "lb") -> Worked:
    return given(value, unit, "test", places=6)


def test_a_hose_of_five_feet_and_three_eighths() -> None:
    """π ÷ 4 × 0.375² × 60 in = 6.6268 in³ = 0.0038349 ft³; of liquid at 70 lb/ft³ it holds 0.2684 lb."""
    hose = clearing.hose_volume_ft3(of(5.0, "ft"), of(0.375, "in"))
    assert hose.value == pytest.approx(math.pi / 4 * 0.375**2 * 60 / 1728)
    liquid = clearing.hose_liquid_lb(hose, of(70.0, "lb/ft³"))
    assert liquid.value == pytest.approx(0.2684, abs=5e-5)
    assert wrong(liquid) == []


def test_push_pull_counts_the_whole_line() -> None:
    line = clearing.line_liquid_lb(of(0.002, "ft³"), of(0.003, "ft³"), of(70.0, "lb/ft³"))
    assert line.value == pytest.approx(0.35)
    assert wrong(line) == []


def test_flow_while_reacting() -> None:
    """14 lb/min for 10 s is 2.333 lb."""
    flow = clearing.reaction_flow_lb(of(14.0, "lb/min"), of(10.0, "s"))
    assert flow.value == pytest.approx(14.0 / 6.0)
    assert wrong(flow) == []


def test_all_of_it() -> None:
    """1.0 + 0.2684 + 0.1 = 1.3684; with push-pull's 2.333 lb 3.7017 lb."""
    plain = clearing.clearing_lb(of(1.0), of(0.2684), of(0.1), None)
    assert plain.value == pytest.approx(1.3684)
    fast = clearing.clearing_lb(of(1.0), of(0.2684), of(0.1), of(7.0 / 3.0))
    assert fast.value == pytest.approx(3.7017, abs=5e-5)
    assert wrong(plain) == wrong(fast) == []
