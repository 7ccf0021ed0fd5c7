"""Whether what came back can be right: each check looks at one thing and says what it found, all of them at once.

A problem is something that would make the record or the ledger wrong and that whoever types can put right: it is
refused. A finding is something unusual that may be true: a caution needs the office's reason, a note does not.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from packet.figures import show_absolute, show_vacuum, show_weight
from packet.findings import Finding, finding
from packet.ledger import mass
from packet.ledger.fields import RecordBlank, record_blanks
from packet.ledger.state import MIXED, CylinderState, tolerance_kg
from packet.office.expected import Expected
from packet.office.readings import Gauge, Readings, Weight
from packet.shop.problems import Problem, did_you_mean
from packet.shop.records import Registers, Technician
from packet.units import PSI_PER_INHG, UnitSystem, plain
from packet.words import t

# How far the amount may be below the charge before a leak is suspected. Common practice, no source.
SHORT_PERCENT = 10.0
RULE_RECORD = "40 CFR 82.156(a)(3)"
RULE_LEVEL = "40 CFR 82.156(a)(1), (b)"
RULE_WEIGHT = "49 CFR 173.304a(c)"
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Filling:
    """What went into one cylinder by the scale: gross before and after, and the difference in kilograms, exact."""

    cylinder: str
    before: Weight
    after: Weight

    @property
    def kg(self) -> Decimal:
        """What went in."""
        return self.after.kg - self.before.kg


@dataclass(frozen=True, slots=True)
class Case:
    """Everything a check may look at. states: of the cylinders when the machine was started."""

    readings: Readings
    expected: Expected
    registers: Registers
    states: Mapping[str, CylinderState]
    today: date

    @property
    def units(self) -> UnitSystem:
        """The shop's units, for the sentences."""
        return self.registers.shop.units

    def where(self, key: str) -> str:
        """'file:line key' of a key of the form."""
        return f"{self.readings.file}:{self.readings.line(key)} {key}"

    def weight(self, kg: Decimal) -> str:
        """A mass as the sentences show it."""
        return show_weight(float(mass.lb_from_kg(kg)), self.units)

    def technician(self) -> Technician | None:
        """Who did the job, where the register knows them by id or name."""
        words = self.readings.words("technician").casefold()
        return next(
            (one for one in self.registers.technicians if words in {one.id.casefold(), one.name.casefold()}), None
        )

    def apprentice(self) -> bool:
        """Whether somebody else must have been in charge."""
        technician = self.technician()
        return self.expected.apprentice if technician is None else "apprentice" in technician.certification

    def blanks(self) -> tuple[RecordBlank, ...]:
        """The blanks of the Record sheet for the cylinders that were used."""
        used = tuple(one for one in self.readings.cylinders if not self.readings.ticked(f"cylinders.{one}.not_used"))
        low = self.expected.absolute_mmHg is not None
        return record_blanks(used, self.units, apprentice=self.apprentice(), low_pressure=low)

    def gas(self) -> str:
        """What was recovered: a designation, or 'mixed'."""
        found = self.readings.words("refrigerant")
        return MIXED if found in {MIXED, "unknown"} else found

    def fillings(self) -> tuple[Filling, ...]:
        """What the scale says went into each cylinder that was weighed before and after."""
        out = []
        for one in self.readings.cylinders:
            before, after = (self.readings.weight(f"cylinders.{one}.bare_{when}_gross") for when in ("before", "after"))
            if before is not None and after is not None:
                out.append(Filling(one, before, after))
        return tuple(out)

    def recovered_kg(self) -> Decimal:
        """All of it, by the scale."""
        return sum((item.kg for item in self.fillings()), Decimal(0))


def problems(case: Case) -> tuple[Problem, ...]:
    """What must be put right before the form can be filed, by line."""
    found = [item for check in (_head, _cylinders, _weights) for item in check(case)]
    return tuple(sorted(found))


def findings(case: Case) -> tuple[Finding, ...]:
    """Everything unusual about a form without problems, in the order of the Record sheet."""
    checks: tuple[Callable[[Case], Iterator[Finding]], ...] = (
        _print_and_day, _people, _times, _left_blank, _gas, _cylinder_by_cylinder, _totals, _level, _rise, _amount,
    )  # fmt: skip
    return tuple(item for check in checks for item in check(case))


def _problem(case: Case, key: str, message: str, suggestion: str = "") -> Problem:
    return Problem(case.readings.file, case.readings.line(key), key, message, suggestion)


def _head(case: Case) -> Iterator[Problem]:
    readings = case.readings
    day = readings.day()
    for key in ("date", "technician", "refrigerant"):
        if key not in readings.values:
            yield _problem(
                case, key, t("'{key}' is missing.", key=key), t("The law asks for it: {rule}.", rule=RULE_RECORD)
            )
    if day is not None and day > case.today:
        yield _problem(case, "date", t("{date} is in the future.", date=day.isoformat()))


def _cylinders(case: Case) -> Iterator[Problem]:
    known = [item.id for item in case.registers.cylinders]
    for one in case.readings.cylinders:
        key = f"cylinders.{one}"
        if one not in known:
            message = t("There is no cylinder '{id}' in cylinders.yaml.", id=one)
            yield _problem(case, key, message, did_you_mean(one, known))
    for item in case.expected.cylinders:
        if item.id not in case.readings.cylinders:
            yield _problem(
                case,
                "cylinders",
                t("Cylinder {cylinder} of the job is missing.", cylinder=item.id),
                t("Write 'not_used: yes' under it when it stayed empty on the truck."),
            )


def _weights(case: Case) -> Iterator[Problem]:
    readings = case.readings
    for one in readings.cylinders:
        before, after = f"cylinders.{one}.bare_before_gross", f"cylinders.{one}.bare_after_gross"
        there = [key for key in (before, after) if readings.weight(key) is not None]
        if there and readings.ticked(f"cylinders.{one}.not_used"):
            yield _problem(case, there[0], t("Cylinder {cylinder} is marked as not used, and weighed.", cylinder=one))
        elif len(there) == 1:
            missing = before if there[0] == after else after
            yield _problem(case, missing, t("The cylinder is weighed once only: this weight is missing."))
    for item in case.fillings():
        if item.kg < -_step_kg(case) * 2:
            yield _problem(
                case,
                f"cylinders.{item.cylinder}.bare_after_gross",
                t("Cylinder {cylinder} got lighter by {weight}.", cylinder=item.cylinder, weight=case.weight(-item.kg)),
                t("Are the two weights the wrong way round?"),
            )


def _step_kg(case: Case) -> Decimal:
    return mass.kg_from_float_lb(case.expected.scale_step_lb)


def _print_and_day(case: Case) -> Iterator[Finding]:
    day = case.readings.day()
    if day is not None and day != case.expected.date:
        planned = case.expected.date.isoformat()
        yield finding("date-differs", where=case.where("date"), date=day.isoformat(), planned=planned)


def _people(case: Case) -> Iterator[Finding]:
    readings = case.readings
    name, card, technician = readings.words("technician"), readings.words("card"), case.technician()
    if technician is None:
        yield finding("technician-unknown", where=case.where("technician"), technician=name)
    elif technician.name != case.expected.technician:
        yield finding(
            "technician-differs",
            where=case.where("technician"),
            technician=technician.name,
            planned=case.expected.technician,
        )
    if not card:
        yield finding("card-missing", where=case.where("card"), source=RULE_RECORD)
    elif technician is not None and technician.card and _letters(card) != _letters(technician.card):
        yield finding(
            "card-differs", where=case.where("card"), card=card, technician=technician.name, known=technician.card
        )


def _letters(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())


def _times(case: Case) -> Iterator[Finding]:
    start, end = case.readings.clock("times.start"), case.readings.clock("times.end")
    if start is not None and end is not None and end <= start:
        yield finding("times-order", where=case.where("times.end"), start=f"{start:%H:%M}", end=f"{end:%H:%M}")


# what has a check of its own
_OWN = {"date", "technician", "refrigerant", "card", "final.gauge"}


def _left_blank(case: Case) -> Iterator[Finding]:
    blank, unsigned = [], []
    for item in case.blanks():
        field = item.field
        name = field.key.replace("{cylinder}", item.cylinder)
        if not field.required or field.key in _OWN or "gross" in field.key:
            continue
        words = t("{label} ({cylinder})", label=item.label, cylinder=item.cylinder) if item.cylinder else item.label
        if field.quantity == "yes-no":
            unsigned += [] if case.readings.ticked(name) else [(name, words)]
        elif field.quantity == "initials":
            unsigned += [] if case.readings.words(name) else [(name, words)]
        elif name not in case.readings.values:
            blank.append((name, words))
    for code, items in (("blank-missing", blank), ("not-initialled", unsigned)):
        if items:
            yield finding(code, where=case.where(items[0][0]), labels="; ".join(words for _, words in items))


def _gas(case: Case) -> Iterator[Finding]:
    found, planned = case.gas(), case.expected.refrigerant
    if found != planned and not case.expected.mixed:
        yield finding("refrigerant-differs", where=case.where("refrigerant"), found=found, planned=planned)


def _cylinder_by_cylinder(case: Case) -> Iterator[Finding]:
    readings, weighed = case.readings, {item.cylinder: item for item in case.fillings()}
    for one in readings.cylinders:
        key = f"cylinders.{one}"
        planned, filling = case.expected.cylinder(one), weighed.get(one)
        if planned is None:
            yield finding("cylinder-not-on-job", where=case.where(key), cylinder=one)
        if filling is None:
            if not readings.ticked(f"{key}.not_used"):
                yield finding("cylinder-not-weighed", where=case.where(key), cylinder=one)
            continue
        yield from _bare(case, filling)
        if planned is not None:
            yield from _not_too_full(case, filling, planned.stop_gross_lb, planned.limit_gross_lb)
        put_in = readings.weight(f"{key}.put_in")
        if put_in is not None and abs(put_in.kg - filling.kg) > _step_kg(case):
            yield finding(
                "balance-cylinder",
                where=case.where(f"{key}.put_in"),
                cylinder=one,
                moved=case.weight(filling.kg),
                put_in=case.weight(put_in.kg),
            )


def _bare(case: Case, filling: Filling) -> Iterator[Finding]:
    state = case.states.get(filling.cylinder)
    tare = next((one.tare_lb for one in case.registers.cylinders if one.id == filling.cylinder), None)
    if state is None or tare is None:
        return
    expected = mass.kg_from_float_lb(tare) + state.ledger_kg
    if abs(filling.before.kg - expected) > tolerance_kg(Decimal(repr(case.expected.scale_step_lb))):
        yield finding(
            "weight-differs",
            source=PRACTICE,
            where=case.where(f"cylinders.{filling.cylinder}.bare_before_gross"),
            cylinder=filling.cylinder,
            found=case.weight(filling.before.kg),
            expected=case.weight(expected),
            gap=case.weight(abs(filling.before.kg - expected)),
        )


def _not_too_full(case: Case, filling: Filling, stop_lb: float, limit_lb: float) -> Iterator[Finding]:
    gross, where = (
        float(mass.lb_from_kg(filling.after.kg)),
        case.where(f"cylinders.{filling.cylinder}.bare_after_gross"),
    )
    # a weight typed as printed passes: what is printed was floored in the shop's units, this is binary dust
    if gross > limit_lb + 1e-6:
        limit = show_weight(limit_lb, case.units)
        code, weights = "over-limit-weight", {"limit": limit}
    elif gross > stop_lb + 1e-6:
        code, weights = "over-stop-weight", {"stop": show_weight(stop_lb, case.units)}
    else:
        return
    yield finding(
        code, where=where, source=RULE_WEIGHT, cylinder=filling.cylinder, gross=case.weight(filling.after.kg), **weights
    )


def _totals(case: Case) -> Iterator[Finding]:
    total, moved = case.readings.weight("recovered"), case.recovered_kg()
    if total is not None and abs(total.kg - moved) > _step_kg(case) * max(1, len(case.fillings())):
        yield finding(
            "balance-job", where=case.where("recovered"), moved=case.weight(moved), total=case.weight(total.kg)
        )


def reached(gauge: Gauge, expected: Expected) -> bool | None:
    """Whether a gauge reading is at or below the level; None where the print says no level for that kind of gauge."""
    if gauge.absolute:
        return None if expected.target_psia is None else gauge.psia <= expected.target_psia * 1.0005
    return None if expected.gauge_inHg is None else gauge.inHg_vacuum >= expected.gauge_inHg - 0.005


def _target(case: Case) -> str:
    expected = case.expected
    if expected.absolute_mmHg is not None and expected.target_psia is not None:
        return show_absolute(expected.target_psia, case.units)
    return show_vacuum(expected.gauge_inHg or 0.0, case.units)


def excepted(readings: Readings) -> bool:
    """Whether any exception is ticked or told."""
    ticked = any(readings.ticked(f"exceptions.{name}") for name in ("leak", "not_major"))
    return ticked or bool(readings.words("exceptions.other"))


def _level(case: Case) -> Iterator[Finding]:
    gauge, expected, where = case.readings.gauge("final.gauge"), case.expected, case.where("final.gauge")
    deep = reached(gauge, expected) if gauge is not None else None
    if expected.target_percent is not None:
        recovered = float(mass.lb_from_kg(case.recovered_kg()))
        percent = 100.0 * recovered / expected.charge_lb if expected.charge_lb else 100.0
        if not deep and percent < expected.target_percent - 1e-6:
            yield finding(
                "small-amount-short",
                where=case.where("recovered"),
                source=RULE_LEVEL,
                recovered=case.weight(case.recovered_kg()),
                charge=show_weight(expected.charge_lb, case.units),
                percent=plain(percent, 0),
                target=plain(expected.target_percent, 0),
                vacuum=_target(case),
            )
    elif gauge is None:
        yield finding("level-not-read", where=where, source=RULE_LEVEL)
    elif excepted(case.readings):
        if not gauge.absolute and gauge.inHg_vacuum < -PSI_PER_INHG * 0.1:
            yield finding("exception-not-so-low", where=where, source=RULE_LEVEL, read=gauge.text)
    elif deep is False:
        yield finding("level-not-reached", where=where, source=RULE_LEVEL, read=gauge.text, target=_target(case))


def _rise(case: Case) -> Iterator[Finding]:
    waited, gauge = case.readings.number("rise.waited"), case.readings.gauge("rise.gauge")
    if waited is not None and waited < case.expected.rise_minutes:
        yield finding(
            "rise-check-short",
            where=case.where("rise.waited"),
            source=PRACTICE,
            waited=waited,
            needed=case.expected.rise_minutes,
        )
    small = case.expected.target_percent is not None
    if gauge is not None and not small and not excepted(case.readings) and reached(gauge, case.expected) is False:
        yield finding(
            "rise-check-rose", where=case.where("rise.gauge"), source=PRACTICE, read=gauge.text, target=_target(case)
        )


def _amount(case: Case) -> Iterator[Finding]:
    planned_lb = case.expected.to_recover_lb or case.expected.charge_lb
    recovered_lb, where = float(mass.lb_from_kg(case.recovered_kg())), case.where("recovered")
    slack_lb = 2.0 * case.expected.scale_step_lb
    over_percent = case.registers.shop.policy.overcharge_allowance_percent
    short_lb = planned_lb - recovered_lb
    known_leak = case.expected.leaking or case.readings.ticked("exceptions.leak")
    small = case.expected.target_percent is not None  # what it may leave behind is checked with the level
    if short_lb > max(slack_lb, planned_lb * SHORT_PERCENT / 100.0) and not known_leak and not small:
        yield finding(
            "amount-below-charge",
            where=where,
            source=PRACTICE,
            recovered=case.weight(case.recovered_kg()),
            charge=show_weight(planned_lb, case.units),
            short=show_weight(short_lb, case.units),
            percent=plain(100.0 * short_lb / planned_lb, 0),
        )
    elif -short_lb > max(slack_lb, planned_lb * over_percent / 100.0):
        yield finding(
            "amount-above-charge",
            where=where,
            source=PRACTICE,
            recovered=case.weight(case.recovered_kg()),
            charge=show_weight(planned_lb, case.units),
            over=show_weight(-short_lb, case.units),
            percent=plain(-100.0 * short_lb / planned_lb, 0),
        )
