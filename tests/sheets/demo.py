"""The demo days composed: each job's plan, hookup and content, in US and in SI."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from packet.hookup.build import build_hookup
from packet.hookup.model import Hookup
from packet.ledger.state import opening
from packet.plan.job import plan_job
from packet.plan.model import Plan
from packet.sheets.model import Content
from packet.sheets.packet import compose
from packet.shop.load import load_job, load_registers
from packet.shop.records import Registers
from packet.units import UnitSystem
from tests.plan.builders import DEMO

JOBS = tuple(sorted(path.stem for day in ("2026-11-26", "2026-11-27") for path in (DEMO / day).glob("*.yaml")))


@cache
def registers(units: UnitSystem = "US") -> Registers:
    loaded = load_registers(DEMO).value
    assert loaded is not None
    paper = "letter" if units == "US" else "A4"
    return loaded.model_copy(update={"shop": loaded.shop.model_copy(update={"units": units, "paper": paper})})


@cache
def planned(name: str, units: UnitSystem = "US") -> tuple[Plan, Hookup]:
    path = next(DEMO.glob(f"2026-*/{name}.yaml"))
    job = load_job(path, registers()).value
    assert job is not None
    plan = plan_job(job, registers(units), opening(registers(units)))
    return plan, build_hookup(plan)


@cache
def composed(name: str, units: UnitSystem = "US") -> Content:
    return compose(*planned(name, units))


def strings(value: Any) -> Iterator[str]:
    """Every string in a record, however deep."""
    if isinstance(value, str):
        yield value
    elif is_dataclass(value) and not isinstance(value, type):
        for item in fields(value):
            yield from strings(getattr(value, item.name))
    elif isinstance(value, tuple):
        for part in value:
            yield from strings(part)


def boxes(value: Any) -> Iterator[str]:
    """The key of every box and blank in a record, in order."""
    if is_dataclass(value) and not isinstance(value, type):
        names = {item.name for item in fields(value)}
        if "box" in names:
            yield value.box  # type: ignore[attr-defined]
        elif "key" in names:
            yield value.key  # type: ignore[attr-defined]
        for name in names:
            yield from boxes(getattr(value, name))
    elif isinstance(value, tuple):
        for part in value:
            yield from boxes(part)
