"""The checker of printed arithmetic itself: it must notice a formula that does not give its figure."""

import pytest

from packet.worked import Worked, given, lines
from tests.rules.arithmetic import again, tree, wrong


def number(value: float, formula: str, **inputs: float) -> Worked:
    parts = tuple((key, given(part, "lb", "typed", places=2)) for key, part in inputs.items())
    return Worked(value, "lb", "a rule", "a source", formula, parts, places=2)


@pytest.mark.parametrize(
    ("formula", "inputs", "result"),
    [
        ("{a} + {b} − {c}", {"a": 1.5, "b": 2.25, "c": 0.75}, 3.0),
        ("{a} × ({b} ÷ {c})", {"a": 2.0, "b": 9.0, "c": 3.0}, 6.0),
        ("{a}^2 × 10^−1", {"a": 3.0}, 0.9),
        ("largest of (0, smallest of ({a}, {b}))", {"a": 4.0, "b": -5.0}, 0.0),
        ("{a} rounded down to steps of {b}", {"a": 1.39, "b": 0.2}, 1.2),
        ("{a} − {b} rounded up to steps of 0.1", {"a": 1.31, "b": 0.3}, 1.1),
        ("{a} rounded to steps of 0.1", {"a": 65.58}, 65.6),
        ("({a} × 2 rounded down to steps of {b}) ÷ 2", {"a": 1.39, "b": 0.2}, 1.3),
        ("ln({a})", {"a": 1.0}, 0.0),
    ],
)
def test_it_reads_the_formulas_that_are_printed(formula: str, inputs: dict[str, float], result: float) -> None:
    assert again(number(result, formula, **inputs)) == pytest.approx(result, abs=1e-12)
    assert wrong(number(result, formula, **inputs)) == []


def test_it_notices_a_wrong_result_deep_in_the_tree() -> None:
    bad = number(4.0, "{a} + {b}", a=1.0, b=2.0)
    top = Worked(8.0, "lb", "twice", "a source", "2 × {inner}", (("inner", bad),), places=2)
    assert len(wrong(top)) == 1
    assert "printed 4.00" in wrong(bad)[0] or "computed 3.0" in wrong(bad)[0]


def test_it_refuses_what_is_not_arithmetic() -> None:
    with pytest.raises(ValueError, match="not arithmetic"):
        again(number(1.0, "__import__('os') or {a}", a=1.0))


def test_working_is_printed_result_first_then_formula_in_names_and_figures() -> None:
    top = number(3.5, "{first_part} + {second}", first_part=1.5, second=2.0)
    assert list(lines(top, "sum")) == [
        "sum = 3.50 lb",
        "  = first part + second",
        "  = 1.50 lb + 2.00 lb",
        "  rule: a rule",
        "  source: a source",
        "  first part = 1.50 lb",
        "    rule: input",
        "    source: typed",
        "  second = 2.00 lb",
        "    rule: input",
        "    source: typed",
    ]
    assert len(list(tree(top))) == 3


def test_an_estimate_says_how_far_off_it_may_be() -> None:
    estimate = Worked(3.0, "lb", "a rule", "a source", estimate_percent=2.5)
    assert "  estimate ± 2.5 %" in list(lines(estimate, "mass"))
