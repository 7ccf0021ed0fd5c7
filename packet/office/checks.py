"""Whether what came back can be right: each check looks at one thing and says what it found, all of them at once.

A problem is something that would make the record or the ledger wrong and that whoever types can put right: it is
refused. A finding is something unusual that may be true: a caution needs the office's reason, a note does not.
"""

from collections.abc import Callable, Iterator

from packet.findings import Finding, finding
from packet.ledger.fields import DESTINATION_WORDS
from packet.office.case import Case
from packet.office.checks_amounts import air, amount, cylinder_by_cylinder, level, rise, totals
from packet.office.checks_weights import impossible_weights
from packet.office.reasons import too_thin
from packet.shop.problems import Problem, did_you_mean
from packet.words import t

RULE_RECORD = "40 CFR 82.156(a)(3)"
RULE_STATEMENT = "40 CFR 82.155(b)"
# work put off is done within days; further away a date is more likely a slip. Common practice, no source.
FAR_DAYS = 14


def problems(case: Case) -> tuple[Problem, ...]:
    """What must be put right before the form can be filed, by line."""
    found = [item for check in (_head, _cylinders, _weights, impossible_weights, _thin_reasons) for item in check(case)]
    return tuple(sorted(found))


def findings(case: Case) -> tuple[Finding, ...]:
    """Everything unusual about a form without problems, in the order of the Record sheet."""
    checks: tuple[Callable[[Case], Iterator[Finding]], ...] = (
        _print_and_day, _people, _supervisor, _times, _left_blank, _whose_and_where, _statement, _gas, cylinder_by_cylinder, totals, level, rise, amount, air,
    )  # fmt: skip
    return tuple(item for check in checks for item in check(case))


def _head(case: Case) -> Iterator[Problem]:
    readings = case.readings
    day = readings.day()
    for key in ("date", "technician", "refrigerant"):
        if key not in readings.values:
            yield case.problem(
                key, t("'{key}' is missing.", key=key), t("The law asks for it: {rule}.", rule=RULE_RECORD)
            )
    if day is not None and day > case.today:
        yield case.problem("date", t("{date} is in the future.", date=day.isoformat()))


def _cylinders(case: Case) -> Iterator[Problem]:
    known = [item.id for item in case.registers.cylinders]
    for one in case.readings.cylinders:
        key = f"cylinders.{one}"
        if one not in known:
            message = t("There is no cylinder '{id}' in cylinders.yaml.", id=one)
            yield case.problem(key, message, did_you_mean(one, known))
    for item in case.promised.plan.cylinders:
        if item.id not in case.readings.cylinders:
            yield case.problem(
                "cylinders",
                t("Cylinder {cylinder} of the job is missing.", cylinder=item.id),
                t("Write 'not_used: yes' under it when it stayed empty on the truck."),
            )


def _thin_reasons(case: Case) -> Iterator[Problem]:
    for code, reason in case.readings.reasons.items():
        thin = too_thin(reason)
        if thin is not None:
            yield case.problem(f"reasons.{code}", *thin)


def _weights(case: Case) -> Iterator[Problem]:
    readings = case.readings
    for one in readings.cylinders:
        before, after = f"cylinders.{one}.bare_before_gross", f"cylinders.{one}.bare_after_gross"
        there = [key for key in (before, after) if readings.weight(key) is not None]
        if there and readings.ticked(f"cylinders.{one}.not_used"):
            yield case.problem(there[0], t("Cylinder {cylinder} is marked as not used, and weighed.", cylinder=one))
        elif len(there) == 1:
            missing = before if there[0] == after else after
            yield case.problem(missing, t("The cylinder is weighed once only: this weight is missing."))
    for item in case.fillings():
        if item.kg < -case.step_kg() * 2:
            yield case.problem(
                f"cylinders.{item.cylinder}.bare_after_gross",
                t("Cylinder {cylinder} got lighter by {weight}.", cylinder=item.cylinder, weight=case.weight(-item.kg)),
                t("Are the two weights the wrong way round?"),
            )


def _print_and_day(case: Case) -> Iterator[Finding]:
    if case.promised.stops:
        yield finding("was-stopped", where=case.where("job"), codes=", ".join(dict.fromkeys(case.promised.stops)))
    day = case.readings.day()
    if day is not None and day != case.promised.date:
        planned, days = case.promised.date.isoformat(), abs((day - case.promised.date).days)
        if days > FAR_DAYS:
            yield finding("date-far", where=case.where("date"), date=day.isoformat(), planned=planned, count=days)
        else:
            yield finding("date-differs", where=case.where("date"), date=day.isoformat(), planned=planned)


def _people(case: Case) -> Iterator[Finding]:
    readings = case.readings
    name, card, technician = readings.words("technician"), readings.words("card"), case.technician()
    if technician is None:
        yield finding("technician-unknown", where=case.where("technician"), technician=name)
    elif technician.name != case.promised.technician.name:
        yield finding(
            "technician-differs",
            where=case.where("technician"),
            technician=technician.name,
            planned=case.promised.technician.name,
        )
    if not card:
        yield finding("card-missing", where=case.where("card"), source=RULE_RECORD)
    elif technician is not None and technician.card and _letters(card) != _letters(technician.card):
        yield finding(
            "card-differs", where=case.where("card"), card=card, technician=technician.name, known=technician.card
        )


def _supervisor(case: Case) -> Iterator[Finding]:
    """An apprentice works under a certified technician, who is somebody else and in the register."""
    name = case.readings.words("supervisor")
    if not name or not case.apprentice():
        return
    person = case.person(name)
    if person is None:
        yield finding("technician-unknown", where=case.where("supervisor"), technician=name)
    elif "apprentice" in person.certification:
        yield finding("supervisor-not-certified", where=case.where("supervisor"), technician=person.name)


def _letters(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())


def _times(case: Case) -> Iterator[Finding]:
    start, end = case.readings.clock("times.start"), case.readings.clock("times.end")
    if start is not None and start == end:
        yield finding("times-same", where=case.where("times.end"), start=f"{start:%H:%M}")
    elif start is not None and end is not None and end < start:
        yield finding("times-order", where=case.where("times.end"), start=f"{start:%H:%M}", end=f"{end:%H:%M}")


# what has a check of its own
_OWN = {"date", "technician", "refrigerant", "card", "final.gauge", "gas_owner", "destination"}


def _left_blank(case: Case) -> Iterator[Finding]:
    blank, unsigned = [], []
    for item in case.blanks():
        field = item.field
        name = field.key.replace("{cylinder}", item.cylinder)
        if not field.required or field.key in _OWN or "gross" in field.key:
            continue
        words = t("{label} ({key})", label=item.label, key=case.key(name))
        if field.quantity == "yes-no":
            unsigned += [] if case.readings.ticked(name) else [(name, words)]
        elif field.quantity == "initials":
            unsigned += [] if case.readings.words(name) else [(name, words)]
        elif name not in case.readings.values:
            blank.append((name, words))
    for code, items in (("blank-missing", blank), ("not-initialled", unsigned)):
        if items:
            yield finding(code, where=case.where(items[0][0]), labels="; ".join(words for _, words in items))


def _whose_and_where(case: Case) -> Iterator[Finding]:
    """Whose the refrigerant is now, and where it goes (40 CFR 82.156(a)(3), (h))."""
    if case.recovered_kg() <= 0:
        return
    if not case.readings.words("gas_owner"):
        yield finding("owner-missing", where=case.where("gas_owner"), key="gas_owner", source=RULE_RECORD)
    if not case.readings.words("destination"):
        choices = ", ".join(DESTINATION_WORDS)
        yield finding(
            "destination-missing",
            where=case.where("destination"),
            key="destination",
            choices=choices,
            source=RULE_RECORD,
        )


def _statement(case: Case) -> Iterator[Finding]:
    """What goes along with an appliance that is scrapped: that all was recovered, or that it had leaked out."""
    if not case.promised.scrap_statement:
        return
    keys = {"disposal": "statement.disposal", "leaked": "statement.leaked"}
    ticked = [name for name, key in keys.items() if case.readings.ticked(key)]
    where = case.where(keys[ticked[0]] if ticked else keys["disposal"])
    if not ticked:
        yield finding("statement-missing", where=where, source=RULE_STATEMENT, **keys)
    elif len(ticked) > 1:
        yield finding("statement-both", where=where, source=RULE_STATEMENT, **keys)
    elif ticked == ["leaked"] and case.recovered_kg() > case.step_kg():
        recovered = case.weight(case.recovered_kg())
        yield finding(
            "statement-leaked", where=where, source=RULE_STATEMENT, leaked=keys["leaked"], recovered=recovered
        )


def _gas(case: Case) -> Iterator[Finding]:
    found, planned = case.gas(), case.promised.plan.refrigerant
    if found != planned and not case.promised.plan.mixed_or_unknown:
        yield finding("refrigerant-differs", where=case.where("refrigerant"), found=found, planned=planned)
