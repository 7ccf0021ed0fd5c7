"""Doing the printed arithmetic again, as a person with a pocket calculator would: from the figures as printed."""

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from packet.units import ceil_to, floor_to, plain, round_to
from packet.worked import Worked

_SIGNS = {
    "×": "*",
    "÷": "/",
    "−": "-",
    "^": "**",
    "largest of (": "max(",
    "smallest of (": "min(",
    "ln(": "log(",
}
_ROUNDING = re.compile(r"^(?P<what>.*) rounded (?P<way>down |up |)to steps of (?P<step>.*)$")
_ROUNDED_IN_SI = re.compile(r"^\((?P<inner>.* rounded .*)\) ÷ (?P<by>[0-9.]+)$")
_TO = {"down ": floor_to, "up ": ceil_to, "": round_to}


def again(number: Worked) -> float:
    """The result of a number's formula, from its inputs' figures as printed."""
    return _compute(
        number.formula.format(**{key: f"({plain(part.value, part.places)})" for key, part in number.inputs})
    )


def exactly(number: Worked) -> float:
    """The result of a number's formula, from its inputs' full figures."""
    return _compute(number.formula.format(**{key: f"({part.value:.15f})" for key, part in number.inputs}))


def _compute(text: str) -> float:
    in_si = _ROUNDED_IN_SI.match(text)
    if in_si:
        return _compute(in_si["inner"]) / float(in_si["by"])
    rounding = _ROUNDING.match(text)
    if rounding:
        step = Decimal(rounding["step"].strip("()"))
        return float(_TO[rounding["way"]](round(_compute(rounding["what"]), 9), step))
    for sign, python in _SIGNS.items():
        text = text.replace(sign, python)
    if not re.fullmatch(r"(?:[0-9.+*/(), \-]|max|min|log)*", text):
        raise ValueError(f"not arithmetic: {text}")
    return float(eval(text, {"__builtins__": {}}, {"max": max, "min": min, "log": math.log}))


def tree(number: Worked) -> Iterator[Worked]:
    """The number and everything that went into it."""
    yield number
    for _, part in number.inputs:
        yield from tree(part)


def wrong(number: Worked) -> list[str]:
    """Every number of the tree whose formula does not give its value: within 1 in 100,000 from the full figures (the
    constants in formulas are printed with six digits), within the last digit shown from the printed ones.

    A figure that is rounded to a step may jump by one step where its input lies within a printed digit of the edge.
    """
    found = []
    for item in tree(number):
        if not item.formula:
            continue
        exact, printed = exactly(item), again(item)
        step = 10.0**-item.places
        if abs(exact - item.value) > 1e-5 * max(1.0, abs(item.value)):
            found.append(f"{item.rule}: {item.formula}: is {item.value}, computed {exact}")
        elif abs(printed - item.value) > step + 1e-9 and not _at_an_edge(item):
            found.append(f"{item.rule}: {item.formula}: printed {item.text()}, computed {printed}")
    return found


def _at_an_edge(item: Worked) -> bool:
    if " rounded " not in item.formula:
        return False
    first = item.inputs[0][1]
    moved = (replace(first, value=first.value + side * 10.0**-first.places) for side in (-1, 1))
    ends = [exactly(replace(item, inputs=((item.inputs[0][0], part), *item.inputs[1:]))) for part in moved]
    return ends[0] != ends[1]
