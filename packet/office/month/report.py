"""A month added up: what was recovered, from what and where, what was sent on and to whom, and what is still held.

40 CFR 82.156(a)(3), kept three years: for appliances of more than 5 and less than 50 lb opened for disposal the
company, the place, the day and the type recovered from each; the amount by type in the calendar month; the amount by
type sent for reclaim or destruction, to whom and when. The report gives it for every job, and these apart.

Everything is added up from the ledger's journal in exact decimals; nothing is rounded before it is shown.
"""

import calendar
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from pathlib import Path

from packet.ledger import mass, records
from packet.ledger.records import Records
from packet.ledger.state import HANDED_OVER, Ledger, Posting, ledger_from, opening
from packet.office.jobs import JobAt, jobs_in
from packet.office.month.notices import automatic_reason, notices_of, owners_of
from packet.refrigerant.catalogue import UnknownRefrigerant, find
from packet.refrigerant.own import parts_in
from packet.rules.warming import tonnes_co2e
from packet.shop.records import Registers
from packet.worked import given

# 40 CFR 82.156(a)(3): more than 5 and less than 50 lb
DISPOSAL_ABOVE_LB, DISPOSAL_BELOW_LB = Decimal(5), Decimal(50)


@dataclass(frozen=True, slots=True)
class Row:
    """One posting with its story. how: see `packet.ledger.state.How`; facts: the record's own fields."""

    date: str
    gas: str
    how: str
    kg: Decimal
    cylinder: str
    record: str
    subject: str
    facts: Mapping[str, str]

    @property
    def disposal(self) -> bool:
        """Recovered from an appliance that the regulation's record is about: opened for disposal, over 5, under 50 lb."""
        charge = Decimal(self.facts.get("charge_lb", "0"))
        between = DISPOSAL_ABOVE_LB < charge < DISPOSAL_BELOW_LB
        return self.how == "recovered" and self.facts.get("work") == "disposal" and between


@dataclass(frozen=True, slots=True)
class GasSum:
    """One gas over the month, kg: opening + recovered + bought − sent on + everything else = held.

    t_co2e: of what was recovered, tonnes of CO2 equivalent; None where the gas has no one figure.
    """

    gas: str
    opening_kg: Decimal
    recovered_kg: Decimal
    bought_kg: Decimal
    reclaim_kg: Decimal
    destruction_kg: Decimal
    returned_kg: Decimal
    adjusted_kg: Decimal
    renamed_kg: Decimal
    held_kg: Decimal
    t_co2e: float | None


@dataclass(frozen=True, slots=True)
class Held:
    """What a cylinder holds at the end of the month. discrepancy_lb: open, else None. owner: whose gas it is, as filed."""

    cylinder: str
    gas: str
    kg: Decimal
    discrepancy_lb: Decimal | None
    owner: str = ""


@dataclass(frozen=True, slots=True)
class Correction:
    """A record filed in the month that corrects or withdraws another."""

    record: str
    corrects: str
    reason: str


@dataclass(frozen=True, slots=True)
class Month:
    """The report's figures. newest: name and digest of the newest record it rests on, '' when there is none.

    notices: what a reader has to know before believing it, sentences.
    """

    year: int
    month: int
    registers: Registers
    gases: tuple[GasSum, ...]
    recovered: tuple[Row, ...]
    sent: tuple[Row, ...]
    other: tuple[Row, ...]
    held: tuple[Held, ...]
    not_filed: tuple[JobAt, ...]
    corrections: tuple[Correction, ...]
    newest: tuple[str, str]
    printed: date
    t_co2e: float
    notices: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """'2026-11'."""
        return f"{self.year:04d}-{self.month:02d}"


def month_of(registers: Registers, shop_folder: Path, year: int, month: int, *, today: date) -> Month:
    """The report of one calendar month. today: jobs are 'out' from their day on.

    Raises UnreadableRecordsError, OSError.
    """
    return month_from(registers, records.read_records(shop_folder), shop_folder, date(year, month, 1), today=today)


def month_from(registers: Registers, found: Records, shop_folder: Path, first: date, *, today: date) -> Month:
    """As `month_of`, from records already read. first: the month's first day."""
    year, month = first.year, first.month
    last = date(year, month, calendar.monthrange(year, month)[1])
    book = ledger_from(registers, found, last)
    prefix = f"{year:04d}-{month:02d}"
    rows = tuple(_row(item) for item in book.journal if item.date.startswith(prefix))
    gases = tuple(_gas_sums(book, rows, prefix))
    newest = found.filed[-1] if found.filed else None
    return Month(
        year=year,
        month=month,
        registers=registers,
        gases=gases,
        recovered=tuple(item for item in rows if item.how == "recovered"),
        sent=tuple(item for item in rows if item.how in HANDED_OVER),
        other=tuple(item for item in rows if item.how not in ("recovered", *HANDED_OVER)),
        held=tuple(_held(book)),
        not_filed=tuple(jobs_in(shop_folder, found, prefix, today)),
        corrections=tuple(_corrections(found.filed, prefix)),
        printed=today,
        newest=(newest.name, newest.digest) if newest else ("", ""),
        t_co2e=sum(item.t_co2e or 0.0 for item in gases),
        notices=tuple(notices_of(book, first, last, today)),
    )


# the questions whose answers say why the ledger was adjusted
ADJUSTED_FOR = ("amount-differs", "still-holds", "less-counted-since", "more-counted-since")
_FACTS = (
    "site", "address", "appliance", "appliance_kind", "serial", "owner", "charge_lb", "work", "technician", "card",
    "supervisor", "to", "reference", "reason", "gas_owner", "destination",
)  # fmt: skip


def _row(item: Posting) -> Row:
    record = item.source.record
    facts = {key: str(record.body[key]) for key in _FACTS if key in record.body}
    if item.source.corrected and item.how != "recovered":
        facts.pop("reason", None)  # why it was corrected stands with the corrections
    given_reasons = [
        str(noted["reason"])
        for noted in record.body.get("findings", ())
        if "reason" in noted and (item.how != "adjusted" or noted["code"] in ADJUSTED_FOR)
    ]
    if given_reasons and "reason" not in facts:
        facts["reason"] = "; ".join(dict.fromkeys(given_reasons))
    if item.how == "adjusted" and "reason" not in facts:
        facts["reason"] = automatic_reason(item)
    return Row(item.date, item.gas, item.how, item.kg, item.cylinder, record.name, record.subject, facts)


def _gas_sums(book: Ledger, rows: tuple[Row, ...], prefix: str) -> Iterable[GasSum]:
    start: dict[str, Decimal] = {}
    for state in opening(book.registers_opened).values():
        _add(start, state.refrigerant or "", state.ledger_kg)
    for item in book.journal:
        if item.date < prefix:
            _add(start, item.gas, item.kg)
    sums: dict[str, dict[str, Decimal]] = {gas: {} for gas in start}
    for row in rows:
        _add(sums.setdefault(row.gas, {}), row.how, row.kg)
    for gas in sorted(sums):
        how, begun = sums[gas], start.get(gas, Decimal(0))
        if not begun and not any(how.values()) and not how:
            continue
        ended = begun + sum(how.values(), Decimal(0))
        yield GasSum(
            gas=gas,
            opening_kg=begun,
            recovered_kg=how.get("recovered", Decimal(0)),
            bought_kg=how.get("bought", Decimal(0)),
            reclaim_kg=how.get("reclaim", Decimal(0)),
            destruction_kg=how.get("destruction", Decimal(0)),
            returned_kg=how.get("returned", Decimal(0)),
            adjusted_kg=how.get("adjusted", Decimal(0)) + how.get("moved", Decimal(0)),
            renamed_kg=how.get("renamed", Decimal(0)),
            held_kg=ended,
            t_co2e=co2e(gas, how.get("recovered", Decimal(0))),
        )


def by_type(row: Row) -> tuple[Row, ...]:
    """A posting as the law counts it, by type of refrigerant: a gas given by its composition is its parts."""
    parts = parts_in(row.gas)
    return tuple(replace(row, gas=part, kg=row.kg * Decimal(repr(share))) for part, share in parts) or (row,)


def _add(sums: dict[str, Decimal], key: str, kg: Decimal) -> None:
    sums[key] = sums.get(key, Decimal(0)) + kg


def co2e(gas: str, kg: Decimal) -> float | None:
    """Tonnes of CO2 equivalent; None for a mix and for what the catalogue does not know."""
    try:
        refrigerant = find(gas)
    except UnknownRefrigerant:
        return None
    pounds = given(float(mass.lb_from_kg(kg)), "lb", "")
    return tonnes_co2e(pounds, given(refrigerant.gwp100, "", refrigerant.gwp_source)).value


def _held(book: Ledger) -> Iterable[Held]:
    owners = owners_of(book)
    for name, state in sorted(book.states.items()):
        if state.ledger_kg or state.discrepancy_lb is not None:
            yield Held(
                name, state.refrigerant or "", state.ledger_kg, state.discrepancy_lb, ", ".join(owners.get(name, ()))
            )


def _corrections(filed: Iterable[records.Filed], prefix: str) -> Iterable[Correction]:
    names: dict[str, str] = {}
    for item in filed:
        names[item.digest] = item.name
        if item.kind == "correction" and str(item.body.get("filed_at", "")).startswith(prefix):
            corrected = names.get(str(item.body.get("corrects", "")), "")
            yield Correction(item.name, corrected, str(item.body.get("reason", "")))
