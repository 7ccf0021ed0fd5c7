"""The record: what the law and the shop keep, every value written once, under the number the steps point at."""

from dataclasses import replace
from itertools import groupby
from typing import Literal

from packet.ledger.fields import DESTINATION_WORDS, RecordBlank
from packet.plan.duties import for_the_record
from packet.plan.model import Plan
from packet.sheets.model import Ask, CylinderAsks, Entry, Record, RecordPart, RiseGrid
from packet.sheets.show import KINDS, REASONS, Show, day, person, refrigerant_name
from packet.shop.records import PrintSize
from packet.words import N_, t

# columns of the cylinders' table that fit the page, where a weight has no more cells than these, by size of type
CYLINDERS_A_TABLE, CELLS_OF_THREE = 3, {"usual": 5, "large": 4}


# blanks side by side in a row, by size of type
THIRDS_A_ROW = {"usual": 3, "large": 2}


def record(plan: Plan, blanks: tuple[RecordBlank, ...], way: Show, size: PrintSize = "usual") -> Record:
    """Everything the law and the shop need, in the order in which it is typed in; blanks in the order of their numbers."""
    made = [_ask(blank, number, plan, way) for number, blank in enumerate(blanks, 1)]
    parts = [RecordPart("", _known(plan), ())]
    pairs = zip(blanks, made, strict=True)
    for group, items in groupby(pairs, key=lambda pair: pair[0].group):
        parts += (_headed(part, THIRDS_A_ROW[size]) for part in _part(group, list(items), plan, way, size))
    return Record(
        name=t("Record"),
        title=t("Record"),
        opening=t("Each value once, under its number, typed in this order. Kept three years (40 CFR 82.156)."),
        parts=tuple(parts),
    )


def _part(group: str, items: list[tuple[RecordBlank, Ask]], plan: Plan, way: Show, size: PrintSize) -> list[RecordPart]:
    each = [(blank, ask) for blank, ask in items if blank.cylinder]
    others = tuple(ask for blank, ask in items if not blank.cylinder)
    grid = _rise(plan, way) if any(ask.key.startswith("rise.") for ask in others) else None
    words = _statement_words(plan, way) if any(ask.key.startswith("statement.") for ask in others) else ()
    if not each:
        return [RecordPart(group, (), others, words, None, grid)]
    ids = tuple(dict.fromkeys(blank.cylinder for blank, _ in each))
    if len(ids) == 1:
        return [
            RecordPart(t("{group}: {cylinder}", group=group, cylinder=ids[0]), (), (*(ask for _, ask in each), *others))
        ]
    parts = []
    a_table = CYLINDERS_A_TABLE - (max(ask.cells for _, ask in each) > CELLS_OF_THREE[size])
    for at in range(0, len(ids), a_table):
        some = ids[at : at + a_table]
        last = at + a_table >= len(ids)
        parts.append(RecordPart(group, (), others if last else (), cylinders=_table(some, each)))
    return parts  # fmt: skip


def _headed(part: RecordPart, a_row: int) -> RecordPart:
    """The part with its title in the first row, where its blanks then take no row more."""
    thirds = all(ask.width == "third" for ask in part.asks)
    free = -len(part.asks) % a_row > 0
    fits = thirds and free and part.asks and not part.words and part.cylinders is None
    return replace(part, heads_row=bool(fits))


def _table(ids: tuple[str, ...], each: list[tuple[RecordBlank, Ask]]) -> CylinderAsks:
    rows: dict[str, list[Ask]] = {}
    for blank, ask in each:
        if blank.cylinder in ids:
            rows.setdefault(blank.label, []).append(ask)
    return CylinderAsks(ids, tuple((label, tuple(asks)) for label, asks in rows.items()))


def _ask(blank: RecordBlank, number: int, plan: Plan, way: Show) -> Ask:
    quantity = blank.field.quantity
    if blank.key.startswith("signatures."):
        return Ask(blank.key, blank.label, width="half", number=number)
    if quantity == "yes-no":
        return Ask(blank.key, blank.label, "", "check", number=number)
    if quantity == "initials":
        return Ask(blank.key, blank.label, "", "initial", number=number)
    return Ask(
        blank.key,
        blank.label,
        t(UNITS[blank.unit]) if blank.unit in UNITS else blank.unit,
        width=WIDTHS.get(blank.field.key, "half" if quantity == "text" else "third"),
        number=number,
        comb=comb(blank, plan, way),
        printed=_expected(blank, plan, way),
    )


# words that a third of a row takes, and those that want all of it
WIDTHS: dict[str, Literal["third", "half", "full"]] = {
    "technician": "third",
    "card": "third",
    "supervisor": "third",
    "second": "third",
    "power.lock_number": "third",
    "ports.liquid_kind": "third",
    "ports.vapor_kind": "third",
    "gas_owner": "third",
    "destination": "half",
    "remarks": "half",
}
# as short as they fit beside a comb
UNITS = {
    "inHg vacuum": N_("inHg vac."),
    "kPa vacuum": N_("kPa vac."),
    "mmHg absolute": N_("mmHg abs."),
    "kPa absolute": N_("kPa abs."),
}


def _expected(blank: RecordBlank, plan: Plan, way: Show) -> str:
    """What the plan expects, or the words of a choice, small beside the blank."""
    if blank.field.choices:
        return " / ".join(t(DESTINATION_WORDS[code]) for code in blank.field.choices)
    item = next((one for one in plan.cylinders if one.cylinder.id == blank.cylinder), None)
    if item is None:
        return ""
    known = {"bare_before_gross": item.expected_bare_gross_lb.value, "bare_after_gross": item.planned_gross_lb}
    weight = known.get(blank.field.key.rpartition(".")[2])
    return "" if weight is None else way.weight_value(weight)


def comb(blank: RecordBlank, plan: Plan, way: Show) -> str:
    """How a written number is laid out: 'd' a digit, '-' a sign; empty for words."""
    quantity = blank.field.quantity
    if quantity == "weight":
        heaviest = max((item.limit_gross_lb.value for item in plan.cylinders), default=999.0)
        most = len(way.weight_value(heaviest).partition(".")[0])
        return "d" * max(most, 2) + ("." + "d" * way.places if way.places else "")
    us = way.units == "US"
    # a depth lies far below the air's pressure, a pressure at rest on either side of it
    deep = blank.field.key.partition(".")[0] in {"final", "rise"}
    return {
        "time": "dd:dd",
        "vacuum": "dd.d",
        "absolute": ("ddd" if deep else "dddd") if us else ("dd.d" if deep else "ddd.d"),
        "pressure": "ddd" if us else "dd.d",
        "temperature": "-ddd" if us else "-dd.d",
        "minutes": "ddd",
        "count": "dd",
    }.get(quantity, "")


def _rise(plan: Plan, way: Show) -> RiseGrid | None:
    """The minutes at which the gauge is read, the last of them the number above; five minutes before the end among them."""
    total = plan.evacuation.rise_check_minutes if plan.evacuation else 0
    if not total:
        return None
    step = 1 if total <= 5 else 2 if total <= 10 else 5
    minutes = sorted({*range(0, total, step), max(0, total - 5)})
    unit = _gauge_unit(plan, way)
    return RiseGrid(
        t("Rise check: gauge in {unit} at minute", unit=unit),
        unit,
        tuple(str(minute) for minute in minutes),
    )


def _gauge_unit(plan: Plan, way: Show) -> str:
    low = plan.evacuation is not None and plan.evacuation.is_read_absolute
    if way.units == "US":
        return "mmHg" if low else "inHg"
    return "kPa"


def _known(plan: Plan) -> tuple[Entry, ...]:
    job, who = plan.job, plan.technician
    given = (
        (t("Job, date"), t("{job}, {day}", job=job.job, day=day(job.date))),
        (t("Site"), ", ".join(part for part in (job.site.name, job.site.address) if part)),
        (t("Appliance"), f"{job.appliance.description}, {t(KINDS[job.appliance.kind])}"),
        (t("Refrigerant, work"), f"{refrigerant_name(plan)}, {t(REASONS[job.work.reason])}"),
        (t("Technician, card"), f"{who.name}, {who.card}" if who and who.card else who.name if who else ""),
        (t("Supervisor"), f"{plan.supervisor.name}, {plan.supervisor.card}" if plan.supervisor else ""),
    )  # fmt: skip
    return tuple(Entry(label, value) for label, value in given if value)


def _statement_words(plan: Plan, way: Show) -> tuple[str, ...]:
    job, shop = plan.job, plan.registers.shop
    words = list(way.said(for_the_record(plan.duties)))
    if any(item.code == "scrap-statement" for item in plan.duties):
        words.append(
            t(
                "Statement (40 CFR 82.155), {person}, {company}, {address}, {date}; tick the one that is true:",
                person=person(plan),
                company=shop.company,
                address=shop.address or t("address: ____"),
                date=day(job.date),
            )
        )
    if plan.job.supervisor is not None:
        words.append(t("The work was done by an apprentice under the eyes of the certified technician named above."))
    return tuple(words)
