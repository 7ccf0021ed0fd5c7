"""What of a job may stand on a page, by what the shop shows (`records_show`).

Always there: the job's number, its date, its state, its revisions and the refrigerant. They name nobody, and who holds
the paper needs them. All else is looked up here; what is not known to be harmless counts as a remark.
"""

from collections.abc import Mapping

from packet.figures import gas_named
from packet.ledger.fields import FIELDS, STATEMENT_FIELDS, Field
from packet.office.pages.model import Known
from packet.office.pages.readings import Row
from packet.press.printed import PrintRecord
from packet.shop.records import Shown
from packet.words import t

# filed readings that name somebody or something
_NEEDS: Mapping[str, Shown] = {
    "technician": "technician",
    "card": "technician",
    "supervisor": "technician",
    "second": "technician",
    "gas_owner": "site",
    "destination": "site",
    "power.lock_number": "access",
}
# of the facts on a print, those that name nobody, in English
_NUMBERS = ("Machine", "Scale", "Cylinders", "Full charge", "Method", "Required vacuum")
_STOP_WEIGHT = "Stop weight of "


def readable(shown: frozenset[Shown]) -> tuple[Field, ...]:
    """The lines of the Record sheet that may stand there once they are filed."""
    if "readings" not in shown:
        return ()
    return tuple(item for item in (*FIELDS, *STATEMENT_FIELDS) if _needs(item) in shown)


def _needs(item: Field) -> Shown:
    if item.key in _NEEDS:
        return _NEEDS[item.key]
    if item.quantity == "initials":
        return "technician"
    return "remarks" if item.quantity == "text" else "readings"


def place(known: Known, shown: frozenset[Shown]) -> str:
    """Where it is: the site's name, its address, both or neither."""
    said = (known.site if "site" in shown else "", known.address if "location" in shown else "")
    return ", ".join(part for part in said if part)


def about(known: Known, shown: frozenset[Shown]) -> tuple[Row, ...]:
    """The job, in rows."""
    contact = ", ".join(part for part in (known.contact, known.phone) if part)
    rows = (
        ("technician" in shown, t("Technician"), known.technician),
        ("appliance" in shown, t("Appliance"), known.appliance),
        (True, t("Refrigerant"), gas_named(known.refrigerant)),
        ("contact" in shown, t("Contact"), contact),
        ("access" in shown, t("Access"), known.access),
        ("access" in shown, t("Site notes"), known.notes),
    )
    return tuple(Row(label, value) for may, label, value in rows if may and value)


def numbers(current: PrintRecord | None, shown: frozenset[Shown]) -> tuple[Row, ...]:
    """The numbers on the print; of its other facts none."""
    if current is None or "numbers" not in shown:
        return ()
    return tuple(
        Row(label, value)
        # a print says them in its own language; one of the time before knew the shop's alone
        for (label, value), (in_english, _) in zip(current.facts, current.in_english or current.facts, strict=True)
        if in_english in _NUMBERS or in_english.startswith(_STOP_WEIGHT)
    )


def line(known: Known, shown: frozenset[Shown]) -> str:
    """The job in a list: date, start and truck, refrigerant, site."""
    parts = (
        f"{known.date} {known.start}".strip() if "truck" in shown else known.date,
        known.truck if "truck" in shown else "",
        gas_named(known.refrigerant),
        place(known, shown),
    )
    return " · ".join(part for part in parts if part)
