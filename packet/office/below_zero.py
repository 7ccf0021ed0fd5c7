"""No filing may leave a cylinder with less than nothing in it, today or after what was filed for later."""

from collections.abc import Mapping
from datetime import date

from packet.document import Data
from packet.figures import show_weight
from packet.ledger import mass, records
from packet.ledger.records import Filed, Records
from packet.ledger.state import Below, ledger_from
from packet.shop.records import Registers
from packet.words import t


def would_go_below(
    registers: Registers, found: Records, kind: str, subject: str, body: Mapping[str, Data]
) -> tuple[Below, ...]:
    """Where the ledger would go below nothing with this record in it and does not without it. Nothing is written."""
    seq = max((item.seq for item in found.filed), default=0) + 1
    made = records.parse(records.name_of(seq, subject), records.compose(seq, kind, subject, (), body))
    if not isinstance(made, Filed):
        raise TypeError(made)
    with_it = ledger_from(registers, Records((*found.filed, made), found.unreadable), date.max).below
    if not with_it:
        return ()
    already = {(item.cylinder, item.record) for item in ledger_from(registers, found, date.max).below}
    return tuple(item for item in with_it if (item.cylinder, item.record) not in already)


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
