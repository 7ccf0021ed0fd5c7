"""What a filed record says under the keys that this program reads by name, held to its shape when it is read.

A record may end in its own digest and still have been written by another program, or by a version of this one that says
things otherwise. Keys that are not named here may hold anything.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from packet.document import Data, Shape, ShapeError
from packet.ledger import mass
from packet.words import t


@dataclass(frozen=True, slots=True)
class _Named:
    """Of a move: its cylinder; the rest is text, weights among it."""

    cylinder: str


@dataclass(frozen=True, slots=True)
class _Finding:
    """A question of the office's that was answered."""

    code: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class _Differs:
    """What a scan says otherwise than the form."""

    key: str
    typed: str
    page: str
    read: str


@dataclass(frozen=True, slots=True)
class _Scan:
    """What a form was held against."""

    differs: tuple[_Differs, ...] = ()


@dataclass(frozen=True, slots=True)
class _Body:
    """The keys; `packet.ledger.state` says what they mean."""

    date: dt.date | None = None
    time: dt.time | None = None
    moves: tuple[_Named, ...] = ()
    bought: tuple[Mapping[str, Any], ...] = ()
    evacuated: tuple[str, ...] = ()
    explained: tuple[str, ...] = ()
    accepts: tuple[str, ...] = ()
    tested: Mapping[str, str] = field(default_factory=dict)
    retired: Mapping[str, str] = field(default_factory=dict)
    away: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[_Finding, ...] = ()
    cylinders: Mapping[str, Any] | tuple[str, ...] = ()
    scan: _Scan | None = None
    charge_lb: Decimal | None = None
    recovered_by_scale_lb: Decimal | None = None


_SHAPE = Shape(_Body)


def check_shape(body: Data) -> None:
    """Raises ShapeError, which names the place, where a key holds something else than it can."""
    _SHAPE.back(body)
    for order, move in enumerate(body.get("moves", ())):
        for key, value in move.items():
            path = f"moves[{order}].{key}"
            if not isinstance(value, str):
                raise ShapeError(path, t("text is expected"))
            unit = key[-2:]
            if key.endswith(("_lb", "_kg")):
                try:
                    mass.kg_from(value, "lb" if unit == "lb" else "kg")
                except ValueError as error:
                    raise ShapeError(path, str(error)) from None
