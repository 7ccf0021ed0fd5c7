"""What a filing does to the ledger beyond its own lines: no cylinder goes below nothing, and what was counted since holds."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from packet.document import Data
from packet.figures import show_weight
from packet.findings import Finding, finding
from packet.ledger import mass, records
from packet.ledger.records import Filed, Records
from packet.ledger.state import HANDED_OVER, SCALE_EXPLAINS_LB, Below, Ledger, ledger_from
from packet.shop.records import Registers
from packet.words import t


@dataclass(frozen=True, slots=True)
class Effects:
    """Where the ledger goes below nothing with a record in it and does not without it, and what of that to ask."""

    below: tuple[Below, ...]
    findings: tuple[Finding, ...]


def effects_of(registers: Registers, found: Records, kind: str, subject: str, body: Mapping[str, Data]) -> Effects:
    """What filing this record would do. Nothing is written."""
    seq = max((item.seq for item in found.filed), default=0) + 1
    made = records.parse(records.name_of(seq, subject), records.compose(seq, kind, subject, (), body))
    if not isinstance(made, Filed):
        raise TypeError(made)
    with_it = ledger_from(registers, Records((*found.filed, made), found.unreadable), date.max)
    touched = _cylinders_of(made) | {
        name for item in found.filed if item.digest == body.get("corrects") for name in _cylinders_of(item)
    }
    handed_over = _handed_over(with_it, made, touched)
    if not with_it.below and not handed_over and not _adjusted(with_it, made):
        return Effects((), ())
    without = ledger_from(registers, found, date.max)
    already = {(item.cylinder, item.record) for item in without.below}
    below = tuple(item for item in with_it.below if (item.cylinder, item.record) not in already)
    differs = _differs(_adjusted(with_it, made), _adjusted(without, made), registers)
    anew = _anew(handed_over, _handed_over(without, made, touched), registers)
    return Effects(below, (*differs, *anew))


def sentence(item: Below, registers: Registers) -> tuple[str, str]:
    """What is told of one, and what to do."""
    return (
        t(
            "Cylinder {cylinder} would hold {weight} less than nothing after {record}.",
            cylinder=item.cylinder,
            weight=show_weight(float(mass.lb_from_kg(-item.kg)), registers.shop.units),
            record=item.record,
        ),
        t("Something filed for it is wrong or missing: look at 'packet cylinders {cylinder}'.", cylinder=item.cylinder),
    )


def _adjusted(book: Ledger, apart_from: Filed) -> dict[tuple[str, str], Decimal]:
    """By how much records other than this one had the ledger adjusted, kg, by cylinder and record."""
    found: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for item in book.journal:
        if item.how == "adjusted" and item.source.record.digest != apart_from.digest:
            found[item.cylinder, item.source.record.name] += item.kg
    return found


def _cylinders_of(item: Filed) -> set[str]:
    return {str(move["cylinder"]) for move in item.body.get("moves", ())}


def _handed_over(book: Ledger, apart_from: Filed, cylinders: set[str]) -> dict[tuple[str, str], Decimal]:
    """What other records had handed over of these cylinders, kg, by cylinder and record."""
    found: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for item in book.journal:
        if item.how in HANDED_OVER and item.cylinder in cylinders and item.source.record.digest != apart_from.digest:
            found[item.cylinder, item.source.record.name] -= item.kg
    return found


def _anew(
    now: Mapping[tuple[str, str], Decimal], before: Mapping[tuple[str, str], Decimal], registers: Registers
) -> Iterator[Finding]:
    """A note for each turn-in of all that was in a cylinder, where that is another amount with what would be filed."""

    def shown(kg: Decimal) -> str:
        return show_weight(float(mass.lb_from_kg(kg)), registers.shop.units)

    for (cylinder, record), kg in now.items():
        counted = before.get((cylinder, record), Decimal(0))
        if abs(kg - counted) > SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB:
            yield finding("handed-over-anew", cylinder=cylinder, record=record, now=shown(kg), before=shown(counted))


def _differs(
    now: Mapping[tuple[str, str], Decimal], before: Mapping[tuple[str, str], Decimal], registers: Registers
) -> Iterator[Finding]:
    """A question for each cylinder that was weighed or handed over since, and does not agree with what would be filed."""
    explained = SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB
    for (cylinder, record), kg in now.items():
        if abs(kg) > explained and abs(kg - before.get((cylinder, record), Decimal(0))) > explained:
            weight = show_weight(float(mass.lb_from_kg(abs(kg))), registers.shop.units)
            code = "less-counted-since" if kg < 0 else "more-counted-since"
            yield finding(code, cylinder=cylinder, record=record, weight=weight)
