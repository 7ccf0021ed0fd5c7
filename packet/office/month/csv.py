"""The month as CSV: one line a posting, so that anybody can add it up again.

`lb`, `kg` and `charge_lb` are as the report prints them, two decimals; `exact_kg` has every digit: of each refrigerant its
opening line and all lines of the month add up to its 'held' lines there, to the last one.
"""

from collections.abc import Iterator
from decimal import Decimal

from packet.ledger import mass
from packet.office.month.report import Month, Row, co2e
from packet.office.spreadsheet import csv_text
from packet.units import plain

COLUMNS = (
    "how", "date", "refrigerant", "lb", "kg", "exact_kg", "t_CO2e", "record", "job", "cylinder", "site", "address", "appliance",
    "appliance_kind", "serial", "owner", "charge_lb", "work", "disposal_record", "technician", "card", "supervisor",
    "gas_owner", "destination", "to", "reference", "reason",
)  # fmt: skip


def month_csv(month: Month) -> str:
    """The CSV text."""
    return csv_text(COLUMNS, _lines(month))


def _lines(month: Month) -> Iterator[dict[str, str]]:
    for gas in month.gases:
        if gas.opening_kg:
            yield {"how": "opening", "date": f"{month.name}-01", "refrigerant": gas.gas, **_mass(gas.opening_kg)}
    for row in sorted((*month.recovered, *month.sent, *month.other), key=lambda item: (item.date, item.record)):
        yield _posting(row)
    for held in month.held:
        yield {
            "how": "held",
            "refrigerant": held.gas,
            "cylinder": held.cylinder,
            "gas_owner": held.owner,
            **_mass(held.kg),
        }
    for notice in month.notices:
        yield {"how": "notice", "reason": notice}
    for job in month.not_filed:
        yield {"how": "not filed", "date": job.day, "job": job.job, "reason": job.state}


def _posting(row: Row) -> dict[str, str]:
    facts = {key: row.facts[key] for key in COLUMNS if key in row.facts}
    if "charge_lb" in facts:
        facts["charge_lb"] = plain(Decimal(facts["charge_lb"]), 2)
    tonnes = co2e(row.gas, row.kg) if row.how == "recovered" else None
    return {
        **facts,
        "how": row.how,
        "date": row.date,
        "refrigerant": row.gas,
        **_mass(row.kg),
        "t_CO2e": "" if tonnes is None else plain(tonnes, 2),
        "record": row.record,
        "job": row.subject,
        "cylinder": row.cylinder,
        "disposal_record": "yes" if row.disposal else "",
    }


def _mass(kg: Decimal) -> dict[str, str]:
    return {"lb": plain(mass.lb_from_kg(kg), 2), "kg": plain(kg, 2), "exact_kg": f"{mass.plain(kg):f}"}
