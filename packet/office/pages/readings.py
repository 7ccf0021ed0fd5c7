"""What was filed for a job, as rows of its record page: readings under the Record sheet's headings, then totals."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from typing import Any

from packet.figures import gas_named, show_weight
from packet.ledger.fields import FIELDS, STATEMENT_FIELDS, WEIGHTS, Field, suffix, unit
from packet.ledger.mass import lb_from_kg, signed_field
from packet.office.promised import Promised
from packet.units import UnitSystem, plain
from packet.words import t

SYSTEMS: tuple[UnitSystem, ...] = ("US", "SI")


@dataclass(frozen=True, slots=True)
class Row:
    """A label and what stands beside it."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class RowGroup:
    """Rows under a heading."""

    title: str
    rows: tuple[Row, ...]


def readings(
    body: Mapping[str, Any], units: UnitSystem, fields: Iterable[Field] = (*FIELDS, *STATEMENT_FIELDS)
) -> tuple[RowGroup, ...]:
    """Everything typed in, in the order and under the headings of the Record sheet; blanks left empty are left out. Each
    cylinder's readings stand together, under its own heading.

    fields: those that may be shown. A reading is shown in the unit it was typed in, which is the shop's (`units`) unless
    the shop has changed since.
    """
    cylinders = body.get("cylinders") or {}
    found: dict[str, list[Row]] = {}
    for each_cylinder, group in groupby(fields, key=lambda item: item.per_cylinder):
        asked = tuple(group)
        for cylinder in cylinders if each_cylinder else ("",):
            for item in asked:
                value = _value(body, item, cylinder, units)
                title = _title(item.group, cylinder)
                if value and Row(t(item.label), value) not in found.setdefault(title, []):
                    found[title].append(Row(t(item.label), value))
    return tuple(RowGroup(title, tuple(rows)) for title, rows in found.items() if rows)


def _title(group: str, cylinder: str) -> str:
    """The heading of a group; the Record sheet's own of the weights says what is printed there and stands on no page."""
    if cylinder:
        return t("Cylinder {cylinder}, weights with hoses off", cylinder=cylinder)
    return t("All cylinders") if group == WEIGHTS else t(group)


def scan_says(body: Mapping[str, Any]) -> tuple[Row, ...]:
    """What the scan of the packet says otherwise than what was typed; each under the key of the form."""
    scan = body.get("scan") or {}
    return tuple(
        Row(
            str(item["key"]),
            t(
                "typed {typed}; the scan, page {page}: {read}",
                typed=item["typed"],
                page=item["page"],
                read=item["read"],
            ),
        )
        for item in scan.get("differs", ())
    )


def _value(body: Mapping[str, Any], item: Field, cylinder: str, units: UnitSystem) -> str:
    for system in (units, *SYSTEMS):
        found: Any = body
        for part in (item.key + suffix(item.quantity, system)).split("."):
            name = cylinder if part == "{cylinder}" else part
            found = found.get(name) if isinstance(found, Mapping) else None
        if isinstance(found, str) and found:
            return f"{found} {unit(item.quantity, system)}".strip()
    return ""


def totals(body: Mapping[str, Any], units: UnitSystem, its_print: Promised | None) -> tuple[Row, ...]:
    """What went into each cylinder, all of it, and its warming potential where the print recorded it per pound."""
    rows = []
    total_kg = Decimal(0)
    for entry in body.get("moves") or ():
        moved_kg = signed_field(entry, "moved")
        total_kg += moved_kg
        label = t(
            "Into {cylinder}, {refrigerant}",
            cylinder=entry["cylinder"],
            refrigerant=gas_named(str(entry.get("refrigerant", ""))),
        )
        rows.append(Row(label.rstrip(", "), show_weight(float(lb_from_kg(moved_kg)), units)))
    total_lb = float(lb_from_kg(total_kg))
    rows.append(Row(t("Recovered"), show_weight(total_lb, units)))
    per_lb = its_print.t_co2e_per_lb if its_print else None
    if per_lb is not None:
        rows.append(
            Row(
                t("Warming potential of what was recovered"),
                t("{value} t CO₂e", value=plain(total_lb * per_lb, 1)),
            )
        )
    return tuple(rows)
