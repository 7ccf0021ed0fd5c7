"""An editor never marks what the loader accepts: both come from the same classes, and are tried on the same files."""

import random
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft7Validator

from packet.shop.load import load_job, load_registers
from packet.shop.records import Job, Record, Registers
from packet.shop.schemas import json_schema
from packet.shop.shape import Key, choices, keys
from packet.shop.text import Node, read

JOBS = Path(__file__).parents[2] / "jobs"
FILES = sorted(JOBS.glob("2026-*/*.yaml"))


@cache
def registers() -> Registers:
    value = load_registers(JOBS).value
    assert value is not None
    return value


@cache
def validator() -> Draft7Validator:
    return Draft7Validator(json_schema("job"), format_checker=Draft7Validator.FORMAT_CHECKER)


def written(record: type[Record], choose: random.Random, depth: int = 0) -> list[str]:
    """A block of a record as somebody might type it: some keys left out, blank, in SI, and with values near a bound."""
    lines = []
    for key in keys(record).values():
        pad = "  " * depth
        if not key.required and choose.random() < 0.5:
            continue
        if key.record is not None:
            lines += [f"{pad}{key.name}:", *written(key.record, choose, depth + 1)]
            continue
        in_si = key.si_name is not None and choose.random() < 0.5
        lines.append(f"{pad}{key.si_name if in_si else key.name}: {typed(key, choose, in_si=in_si)}")
    return lines


def typed(key: Key, choose: random.Random, *, in_si: bool) -> str:
    fixed = {
        "job": "HP-1041",
        "date": "2026-11-26",
        "start": choose.choice(["8:30", "08:30", "23:59"]),
        "truck": "T1",
        "technician": "wren",
        "language": choose.choice(["en", "es"]),
        "languages": choose.choice(["es", "[en, es]", "[es, en]", "[]"]),
        "supervisor": "pell",
        "called_off": "the unit was sold",
        "machine": "RM-1",
        "scale": "SC-1",
        "cylinders": choose.choice(["[]", "C-118", "[C-118, C-119]"]),
        "refrigerant": choose.choice(["R-410A", "410a", "22", "mixed", "unknown"]),
        "ports": choose.choice(["vapor", "[liquid]", "[vapor, liquid]"]),
    }
    if key.name in fixed:
        return fixed[key.name]
    words = choices(key.annotation)
    if words:
        return choose.choice(words)
    if key.annotation is bool:
        return choose.choice(["yes", "No", "true", "FALSE"])
    if key.quantity is not None:
        bounds = [
            float(value)
            for mark in key.marks
            for value in [getattr(mark, "ge", None), getattr(mark, "le", None)]
            if value is not None
        ]
        span = max(bounds) - min(bounds)
        # not the bounds themselves: in SI they are typed rounded, on either side
        inside = [min(bounds) + span / 1000, max(bounds) - span / 1000, min(bounds) + span / 2, 70.0]
        value = choose.choice(inside if choose.random() < 0.95 else [min(bounds) - 1, max(bounds) + 1])
        return f"{key.quantity.to_si(value) if in_si else value:.6g}"
    return choose.choice(["A place", "12", "4.50", "yes", "<b>", "'it''s'"])


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.randoms(use_true_random=False))
def test_what_the_loader_accepts_an_editor_accepts(
    as_an_editor_reads: Callable[[Node], object], choose: random.Random
) -> None:
    text = "\n".join(written(Job, choose)) + "\n"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "2026-11-26" / "HP-1041.yaml"
        path.parent.mkdir()
        path.write_text(text, encoding="utf-8")
        loaded = load_job(path, registers())
        node = read(path).value
    assert node is not None
    marked = [
        f"{'.'.join(map(str, error.path))}: {error.message}"
        for error in validator().iter_errors(as_an_editor_reads(node))
    ]
    if loaded.value is not None:
        assert marked == [], text
    elif not marked:
        # What an editor cannot see is a value against another one, never a value on its own.
        among = (
            "below the ambient one",
            "more than the whole charge",
            "must be another person",
            "must be another than",
            "does not run",
            "'receiver: yes' is not said",
            "is not a major repair",
            "which is not one of these",
        )
        assert all(any(words in problem.message for words in among) for problem in loaded.problems), loaded.problems


@settings(max_examples=300, deadline=None)
@given(st.floats(min_value=-1e6, max_value=1e6))
def test_a_figure_comes_back_from_si_as_it_went(value: float) -> None:
    for record in (Job, *(key.record for key in keys(Job).values() if key.record)):
        for key in keys(record).values():
            if key.quantity is not None:
                there = key.quantity.to_si(value)
                assert abs(key.quantity.from_si(there) - value) <= 1e-9 * (1 + abs(value))
