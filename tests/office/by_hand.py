"""What the cylinders hold, added up by another route: from the bytes of the filed records, in fractions, no code shared.

The register is given; every record's file is read with the standard library alone. What is 'found' (weighed, handed over
whole, emptied into another) is worked out in the order of events, as a person with a ledger book would.
"""

import json
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

POUND = Fraction(45359237, 100000000)  # kg in a pound, by definition (1959)


def standing(shop: Path) -> list[dict[str, Any]]:
    """The records that count, in the order of events: a correction where the record stood that it corrects."""
    files = sorted((shop / "filed").glob("[0-9]*.json"))
    every = {body["digest"]: body for body in (json.loads(path.read_text()) for path in files)}
    first: dict[str, str] = {}
    newest: dict[str, dict[str, Any]] = {}
    for digest, body in every.items():
        start = first.get(body["corrects"], body["corrects"]) if body["kind"] == "correction" else digest
        first[digest] = start
        newest[start] = body
    counting = [
        (body["date"], body.get("time", "00:00"), int(every[start]["record"]), body)
        for start, body in newest.items()
        if body["kind"] != "merge" and body.get("of") != "nothing" and start in every
    ]
    return [item[3] for item in sorted(counting, key=lambda item: item[:3])]


def contents_kg(shop: Path, opening_lb: Mapping[str, str], tare_lb: Mapping[str, str]) -> dict[str, Fraction]:
    """What each cylinder holds after everything filed, kg, exact. opening_lb, tare_lb: the register's."""
    holds = {name: Fraction(value) * POUND for name, value in opening_lb.items()}
    for body in standing(shop):
        out: dict[str, Fraction] = {}
        for move in body.get("moves", ()):
            name = move["cylinder"]
            now = holds.get(name, Fraction(0))
            if move.get("whole") == "yes":
                out[name] = (
                    _kg(move, "weighed") if "weighed_lb" in move or "weighed_kg" in move else max(now, Fraction(0))
                )
                holds[name] = Fraction(0)
            elif "all_of" in move:
                holds[name] = now + out[move["all_of"]]
            elif "found_lb" in move or "found_kg" in move:
                holds[name] = _kg(move, "found")
            else:
                after = now + _kg(move, "moved")
                # less than nothing, by no more than two readings differ (half a pound): nothing
                holds[name] = Fraction(0) if -POUND / 2 <= after < 0 else after
        for name in body.get("evacuated", ()):
            holds[name] = Fraction(0)
    return holds


def _kg(move: Mapping[str, str], name: str) -> Fraction:
    return Fraction(move[f"{name}_lb"]) * POUND if f"{name}_lb" in move else Fraction(move[f"{name}_kg"])
