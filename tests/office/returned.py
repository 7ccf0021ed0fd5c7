"""A packet that came back: a small shop, what one job's print promised, and the form as somebody typed it."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from packet.office.file import Filing, file_form
from packet.press.printed import PrintRecord, write_record
from packet.press.printed_before import document
from packet.shop.records import Cylinder, Month, Registers, Shop, Technician

TODAY = date(2026, 11, 27)
AT = datetime(2026, 11, 27, 9, 5, tzinfo=UTC)
REVISION = "ABCD2345"


def registers(units: str = "US") -> Registers:
    """Three cylinders, a technician and an apprentice."""
    shop = Shop(
        company="Northside Cooling",
        phone="555-0100",
        emergency_phone="555-0101",
        records_url="https://records.example.com",
        units="SI" if units == "SI" else "US",
    )
    common = {"spec": "DOT-4BA400", "water_capacity_lb": 47.6, "tare_lb": 27.5, "tested": Month(year=2023, month=4)}
    return Registers(
        shop=shop,
        cylinders=(
            Cylinder(id="C-1", refrigerant="R-404A", contents_lb=2.0, **common),
            Cylinder(id="C-2", **common),
            Cylinder(id="C-3", **common),
        ),
        technicians=(
            Technician(id="sample", name="A. Sample", certification=("universal",), card="U-1234-5"),
            Technician(id="young", name="B. Young", certification=("apprentice",)),
        ),
    )


def plan(**changes: Any) -> dict[str, Any]:
    """What a print of HP-1041 keeps for filing: 38 lb of R-404A, two cylinders, the level 10.4 inHg at the site."""
    promised: dict[str, Any] = {
        "refrigerant": "R-404A",
        "mixed_or_unknown": False,
        "technician": "A. Sample",
        "technician_id": "sample",
        "card": "U-1234-5",
        "supervisor": "",
        "truck": "T2",
        "machine": "RM-3",
        "scale": "SC-1",
        "scale_step_lb": 0.1,
        "start": "08:30",
        "site": {"name": "Corner grocery", "address": "12 Mill Lane"},
        "appliance": {
            "description": "walk-in cooler",
            "kind": "walk-in",
            "charge_lb": 38.0,
            "serial": "W-77",
            "owner": "the grocery",
        },
        "reason": "repair",
        "leaking": False,
        "to_recover_lb": 38.0,
        "evacuation": {
            "pressure_class": "high",
            "gauge_at_site_inHg_vacuum": 10.4,
            "target_psia": 9.78,
            "absolute_mmHg": None,
            "target_percent_of_charge": None,
            "target_lb": None,
            "raise_to_atmosphere": False,
            "rise_check_minutes": 10,
        },
        "cylinders": [
            {"id": "C-1", "tare_lb": 27.5, "contents_lb": 2.0, "stop_gross_lb": 59.6, "limit_gross_lb": 61.4, "planned_lb": 30.1},
            {"id": "C-2", "tare_lb": 27.5, "contents_lb": 0.0, "stop_gross_lb": 59.6, "limit_gross_lb": 61.4, "planned_lb": 7.9},
        ],
        "cautions": [],
    }  # fmt: skip
    for key, value in changes.items():
        promised[key] = promised[key] | value if isinstance(value, Mapping) else value
    return promised


def print_it(
    shop_folder: Path,
    job: str = "HP-1041",
    *,
    revision: str = REVISION,
    hour: int = 6,
    pressure_table: Sequence[Mapping[str, float]] = (),
    barometer_psia: float | None = None,
    **changes: Any,
) -> PrintRecord:
    """Leave a print record in the shop's folder."""
    record = PrintRecord(
        job=job,
        revision=revision,
        date=date(2026, 11, 26),
        printed_at=datetime(2026, 11, 26, hour, tzinfo=UTC),
        replaces="",
        changed=(),
        paper="letter",
        pages=("Front", "Record"),
        boxes=(),
        facts=(("stop weight C-1", "59.6 lb"),),
        plan=document(plan(**changes)) | {"pressure_table": list(pressure_table), "barometer_psia": barometer_psia},
    )
    write_record(shop_folder, record)
    return record


# as the technician wrote it: 30.0 + 7.9 = 37.9 of 38 lb, drawn to 11 inHg
FORM = """\
# Readings of HP-1041
job: HP-1041
revision: ABCD2345

# Who and when
date: 2026-11-26
technician: A. Sample
card: U-1234-5
times:
  start: 08:45
  end: 10:20

# What was found
refrigerant: r404a
cautions_initialled: yes
hold_points_initialled: x

# Cylinders
cylinders:
  C-1:
    not_used:
    inspected: AS
    bare_before_gross_lb: 29.5
    bare_after_gross_lb: 59.5
    put_in_lb: 30.0
    pressure_after_standing_psig: 201
    wall_after_standing_F: 70
  C-2:
    not_used:
    inspected: AS
    bare_before_gross_lb: 27.5
    bare_after_gross_lb: 35.4
    put_in_lb: 7.9
recovered_lb: 37.9

final:
  gauge_inHg_vacuum: 11
rise:
  waited_minutes: 10
  gauge_inHg_vacuum: 10.5

exceptions:
  leak:
  not_major:
  other:

supplies:
  filter_driers: 1
  nitrogen: no
  oil:
machine_cleared: yes
valves_leak_checked: yes
tags_filled: yes
gas_owner: the shop
destination: reclaim
remarks:
signatures:
  technician: yes
  owner: yes
reasons:
correction:
"""


def typed(**lines: str) -> str:
    """FORM with the line that starts with a key (indent and unit left out) replaced by the text given, or dropped.

    A key that stands in both cylinders' blocks is changed in the first; `C2_` before it means the second.
    """
    form = FORM.split("\n")
    for name, line in lines.items():
        wanted, second = name.removeprefix("C2_"), name.startswith("C2_")
        places = [
            index for index, text in enumerate(form) if text.strip().startswith(f"{wanted}:") or _keyed(text, wanted)
        ]
        place = places[1 if second else 0]
        form[place] = line
    return "\n".join(form)


def _keyed(text: str, wanted: str) -> bool:
    key = text.strip().partition(":")[0]
    return any(key == wanted + ending for ending in ("_lb", "_kg", "_inHg_vacuum", "_minutes", "_psig", "_F"))


def hand_in(shop_folder: Path, form: str = FORM, *, name: str = "HP-1041", **options: Any) -> Filing:
    """Write the form and file it."""
    path = shop_folder / f"{name}.readings.yaml"
    path.write_text(form)
    return file_form(
        path, shop_folder, options.pop("registers", registers()), **{"today": TODAY, "filed_at": AT} | options
    )


def as_other(record: PrintRecord, **changes: Any) -> PrintRecord:
    """A print record with some fields changed."""
    return replace(record, **changes)
