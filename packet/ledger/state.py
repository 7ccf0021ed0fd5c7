"""The state of every cylinder at a moment: the register's opening figure plus everything filed since.

What a record says about cylinders stands in a few keys that every kind of record may use:

- `moves`: a list of `cylinder`, `moved_lb` (or `_kg`; negative when it left), `as` (how, see `How`; a job's moves are
  'recovered'), for gas put in `refrigerant`, and for a cylinder weighed bare before joining `bare_before_gross_lb` (or
  `_kg`) with `scale_step_lb`;
  What was found out about a cylinder is kept as it was found, and worked out anew each time, so that a job filed or
  corrected afterwards is never counted twice: `whole: yes` instead of `moved_lb` where all that is in it left, with
  `weighed_lb` (or `_kg`) where that was weighed; `all_of` a cylinder that was emptied into this one by the same record;
  `found_lb` (or `_kg`), what the scale shows to be in it; `follow: scale`, the ledger takes over an open discrepancy;
- `evacuated`: cylinders that are empty and under vacuum from then on;
- `tested`: new retest month by cylinder; `retired`: reason by cylinder; `away`: to whom, by cylinder;
- `bought`: register entries of new cylinders, by id; `explained`: cylinders whose discrepancy the office explained.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, time
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal, cast, get_args

from packet.collector import without_collecting
from packet.ledger import mass, records
from packet.ledger.records import Records, Standing
from packet.refrigerant.catalogue import UnknownRefrigerant, find
from packet.refrigerant.own import MIXED, name_of_masses
from packet.shop.records import Cylinder, Month, Registers
from packet.words import t

# what gas is handed over for
Purpose = Literal["reclaim", "destruction", "returned"]
HANDED_OVER: tuple[Purpose, ...] = get_args(Purpose)
How = Literal["recovered", Purpose, "moved", "bought", "adjusted", "renamed"]
# What two readings of a good scale and a stamped tare may differ by, beyond two steps of the scale.
# Common practice, no source.
SCALE_EXPLAINS_LB = Decimal("0.5")


@dataclass(frozen=True, slots=True)
class CylinderState:
    """What a cylinder holds, and where that is known from.

    refrigerant: designation as typed, 'mixed', or None when empty and evacuated. contents_lb: while a discrepancy is
    open, the greater of ledger and scale, as the safe side for filling. came_from: the job (filed, or planned
    earlier the same day) that left it so; empty when it is the register's opening figure. planned: it rests on a plan
    that has not been filed yet. ledger_kg: what register and records add up to, exact. discrepancy_lb: how much more
    (less: negative) the scale last found than that, None unless it is open. tested: the newest retest, where one was
    filed. out_of_service: why it cannot be filled (retired, away), empty otherwise. mixed_of: kg of each pure part
    in a cylinder of 'mixed' gas, where all that went in was known; empty where it was not.
    """

    id: str
    refrigerant: str | None
    contents_lb: float
    came_from: str = ""
    planned: bool = False
    ledger_kg: Decimal = Decimal(0)
    discrepancy_lb: Decimal | None = None
    discrepancy_from: str = ""
    tested: Month | None = None
    out_of_service: str = ""
    mixed_of: tuple[tuple[str, Decimal], ...] = ()


@dataclass(frozen=True, slots=True)
class Posting:
    """A line of the journal: so much of a gas came (or, negative, went), how, in which cylinder, by which record.

    gas: a designation, 'mixed', or '' where nobody knows. how: 'moved' between cylinders; 'adjusted' is what the office
    explained; 'renamed' is gas that became 'mixed' as another was put on top: it adds up to nothing over all gases.
    """

    date: str
    gas: str
    how: How
    kg: Decimal
    cylinder: str
    source: Standing


@dataclass(frozen=True, slots=True)
class Below:
    """More went out of a cylinder than ever came in: after which record, and what it then held, kg (negative)."""

    cylinder: str
    record: str
    kg: Decimal


@dataclass(frozen=True, slots=True)
class Ledger:
    """The shop's cylinders at a moment.

    registers: as they stand then (retests, bought and retired cylinders worked in); registers_opened: as typed. states: by cylinder id, for every
    cylinder of the register and every one bought. counted: the records that went in, in the order of events.
    records: everything in the folder, whatever the date. journal: every change, in the order of events: for each gas,
    the register's opening figures and the journal add up to what the cylinders of that gas hold. below: where that went
    below nothing by more than a scale can explain (by less, it is adjusted to nothing in plain sight).
    """

    registers: Registers
    registers_opened: Registers
    states: Mapping[str, CylinderState]
    counted: tuple[Standing, ...]
    records: Records
    journal: tuple[Posting, ...]
    below: tuple[Below, ...] = ()


def holds(state: CylinderState) -> Mapping[str, Decimal] | None:
    """Kg of each pure part that a cylinder holds; None where nobody knows what is in it."""
    kg = state.ledger_kg if not state.planned else mass.kg_from_float_lb(state.contents_lb)
    if state.refrigerant is None or kg <= 0:
        return {}
    if state.refrigerant == MIXED:
        return dict(state.mixed_of) or None
    return _parts(state.refrigerant, kg)


def gas_in(state: CylinderState) -> str | None:
    """What is in a cylinder by name: a mix by its composition, where all that went in was known."""
    return name_of_masses({part: float(kg) for part, kg in state.mixed_of}) if state.mixed_of else state.refrigerant


def after_putting(
    state: CylinderState, gas: str | None, kg: Decimal
) -> tuple[str | None, tuple[tuple[str, Decimal], ...]]:
    """What a cylinder is said to hold when so much of a gas has gone in (negative: out): its name, and `mixed_of`.

    What leaves a mixed cylinder leaves in the proportion of what is in it: common practice, no source (vapor drawn off
    is richer in the part that boils first; the gas of a mixed cylinder goes to reclaim as a whole).
    """
    name = gas if state.refrigerant in (None, gas) else MIXED
    if name != MIXED:
        return name, ()
    before = holds(state)
    if before is None:
        return name, ()
    if kg <= 0:
        total = sum(before.values(), Decimal(0))
        left = max(Decimal(0), total + kg)
        return name, tuple((part, held * left / total) for part, held in before.items()) if total and left else ()
    coming = None if gas is None or gas == MIXED else _parts(gas, kg)
    if coming is None:
        return name, ()
    whole = {part: before.get(part, Decimal(0)) + coming.get(part, Decimal(0)) for part in {**before, **coming}}
    return name, tuple(sorted(whole.items()))


def gas_after_putting(state: CylinderState, gas: str | None, kg: Decimal) -> str | None:
    """What is then in it by name (`gas_in`)."""
    name, mixed_of = after_putting(state, gas, kg)
    return gas_in(replace(state, refrigerant=name, mixed_of=mixed_of))


def _parts(gas: str, kg: Decimal) -> dict[str, Decimal] | None:
    try:
        return {part: kg * Decimal(repr(share)) for part, share in find(gas).composition}
    except UnknownRefrigerant:
        return None


def opening(registers: Registers) -> dict[str, CylinderState]:
    """The register's own figures, by cylinder id."""
    return {item.id: _opened(item) for item in registers.cylinders}


class UnreadableRecordsError(Exception):
    """A record cannot be read, was changed or is lost. Nothing may be filled, and nothing added up, on such a ledger."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(why)

    def __str__(self) -> str:
        return t(
            "{why} Nobody knows then what is in the cylinders: bring the record back, or run 'packet records check' and"
            " 'packet records settle'.",
            why=self.why,
        )


def ledger(registers: Registers, shop_folder: Path, asof: date, before: time | None = None) -> Ledger:
    """Every cylinder's state at the end of `asof`, or at the time `before` on that day, and what it rests on.

    Tomorrow's packets start from the end of today; a job of a day whose earlier jobs are filed starts from its own
    start time. Raises OSError; UnreadableRecordsError when a record cannot be read, as nobody knows then what is in a
    cylinder.
    """
    return ledger_from(registers, records.read_records(shop_folder), asof, before)


def ledger_from(
    registers: Registers,
    found: Records,
    asof: date,
    before: time | None = None,
    *,
    without: frozenset[str] = frozenset(),
) -> Ledger:
    """As `ledger`, from records already read. without: digests of records that are left out, as they are being corrected."""
    if found.trouble:
        raise UnreadableRecordsError(found.trouble)
    book = _Book(registers)
    with without_collecting():
        counted = tuple(
            sorted(
                _until(records.standing(item for item in found.filed if item.digest not in without), asof, before),
                key=_moment,
            )
        )
        for item in counted:
            try:
                book.enter(item)
            except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as error:
                # sound, but by another program or version: what it says about cylinders is not said as we say it
                why = t("{file} is no record: {why}.", file=f"{records.FOLDER}/{item.record.name}", why=error)
                raise UnreadableRecordsError(why) from error
    return Ledger(book.registers(), registers, book.states, counted, found, tuple(book.journal), tuple(book.below))


def tolerance_kg(scale_step_lb: Decimal) -> Decimal:
    """How far a bare weight may stand from tare plus ledger before it is a discrepancy, kg.

    Two steps of the scale, at least half a pound. Common practice, no source.
    """
    return max(2 * scale_step_lb, SCALE_EXPLAINS_LB) * mass.KG_IN_ONE_LB


def _until(standing: Iterable[Standing], asof: date, before: time | None) -> Iterable[Standing]:
    day = asof.isoformat()
    clock = before.isoformat("minutes") if before else None
    for item in standing:
        when = item.record.date
        # what was weighed before the day's jobs is what they begin with
        if item.kind == "weighed" and when == day and str(item.record.body.get("time")) == "00:00":
            yield item
            continue
        if when < day or (when == day and (clock is None or str(item.record.body.get("time", "00:00")) < clock)):
            yield item


def _moment(item: Standing) -> tuple[str, str, int]:
    # a correction stands where the record stood that it corrects
    return (item.record.date, str(item.record.body.get("time", "00:00")), item.first.seq)


def _opened(item: Cylinder) -> CylinderState:
    gas = None if item.refrigerant in (None, "empty") else item.refrigerant
    return CylinderState(item.id, gas, item.contents_lb, ledger_kg=mass.kg_from_float_lb(item.contents_lb))


class _Book:
    """The states while records are entered one after the other."""

    def __init__(self, registers: Registers) -> None:
        self.opened_with = registers
        self.states = opening(registers)
        self.tare_kg = {item.id: mass.kg_from_float_lb(item.tare_lb) for item in registers.cylinders}
        self.bought: dict[str, Cylinder] = {}
        self.journal: list[Posting] = []
        self.below: list[Below] = []
        # what left each cylinder that the record at hand says was emptied whole: its gas, kg
        self.emptied: dict[str, tuple[str | None, Decimal]] = {}

    def enter(self, item: Standing) -> None:
        body, subject = item.record.body, item.record.subject
        self.emptied = {}
        for entry in body.get("bought", ()):
            self._buy(dict(entry), item)
        for entry in body.get("moves", ()):
            self._move(entry, item, subject)
        for key in ("tested", "retired", "away"):
            for cylinder, word in body.get(key, {}).items():
                self._mark(cylinder, key, str(word))
        for cylinder in body.get("evacuated", ()):
            self._empty(cylinder, item)
        for cylinder in body.get("explained", ()):
            state = self._at(cylinder)
            self._change(cylinder, discrepancy_lb=None, discrepancy_from="", contents_lb=_shown(state.ledger_kg, None))

    def registers(self) -> Registers:
        """The registers with what was filed about the cylinders themselves worked in."""
        every = self.opened_with.cylinders + tuple(self.bought.values())
        return self.opened_with.model_copy(update={"cylinders": tuple(self._as_of(item) for item in every)})

    def _as_of(self, item: Cylinder) -> Cylinder:
        state = self.states[item.id]
        update: dict[str, Any] = {}
        if state.tested is not None:
            update["tested"] = state.tested
        if state.out_of_service:
            update["out_of_service"] = state.out_of_service
        return item.model_copy(update=update) if update else item

    def _at(self, cylinder: str) -> CylinderState:
        # a cylinder that has left the register keeps its place: its gas must not drop out of the sums
        return self.states.get(cylinder) or CylinderState(cylinder, None, 0.0)

    def _change(self, cylinder: str, **changes: Any) -> None:
        self.states[cylinder] = replace(self._at(cylinder), **changes)

    def _move(self, entry: dict[str, str], item: Standing, subject: str) -> None:
        cylinder = entry["cylinder"]
        state = self._at(cylinder)
        gap, gap_from = self._gap(state, entry, item)
        whole = entry.get("whole") == "yes"
        moved, put = self._moved(entry, state)
        gas, mixed_of = after_putting(state, put, moved)
        how = entry.get("as", "recovered" if item.kind == "job" else "adjusted")
        self._post(put, cast(How, how), moved, item, cylinder)
        self._rename(put, gas, moved, item, cylinder)
        self._rename(state.refrigerant, gas, state.ledger_kg, item, cylinder)
        kg = state.ledger_kg + moved
        if not whole and kg < -SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB:
            self.below.append(Below(cylinder, item.record.name, kg))
        elif not whole and kg < 0:
            # two readings differ by so much: it holds nothing, never less
            self._post(gas, "adjusted", -kg, item, cylinder)
            kg = Decimal(0)
        if whole:
            # nothing is left of what was handed over whole; the rest is adjusted in plain sight
            self._post(gas, "adjusted", -kg, item, cylinder)
            kg, gap, gap_from = Decimal(0), None, ""
            self.emptied[cylinder] = (gas_in(state), -moved)
        self._change(
            cylinder,
            ledger_kg=kg,
            contents_lb=_shown(kg, gap),
            refrigerant=gas,
            mixed_of=mixed_of,
            came_from=subject,
            discrepancy_lb=gap,
            discrepancy_from=gap_from,
        )

    def _moved(self, entry: dict[str, str], state: CylinderState) -> tuple[Decimal, str | None]:
        """How much an entry moves into a cylinder (negative: out of it), kg, and of which gas."""
        gas = entry.get("refrigerant") or state.refrigerant
        if entry.get("whole") == "yes":
            return self._handed_over(entry, state), gas
        if "all_of" in entry:
            inside, kg = self.emptied.get(entry["all_of"], (None, Decimal(0)))
            return kg, inside or gas
        if "found_lb" in entry or "found_kg" in entry:
            return mass.signed_field(entry, "found") - state.ledger_kg, gas
        if entry.get("follow") == "scale":
            return (state.discrepancy_lb or Decimal(0)) * mass.KG_IN_ONE_LB, gas
        return mass.signed_field(entry, "moved"), gas

    @staticmethod
    def _handed_over(entry: dict[str, str], state: CylinderState) -> Decimal:
        """What left with a cylinder that was handed over whole: as weighed there, else all that is in it by then.

        It is worked out anew each time, so that a job filed or corrected afterwards changes it as it should.
        """
        weighed = "weighed_lb" in entry or "weighed_kg" in entry
        return -(mass.signed_field(entry, "weighed") if weighed else max(state.ledger_kg, Decimal(0)))

    def _empty(self, cylinder: str, item: Standing) -> None:
        """Empty and under vacuum: nothing is in it, whatever the sums say; the rest is adjusted away in plain sight."""
        state = self._at(cylinder)
        self._post(state.refrigerant, "adjusted", -state.ledger_kg, item, cylinder)
        self._change(
            cylinder, refrigerant=None, ledger_kg=Decimal(0), contents_lb=0.0, discrepancy_lb=None, discrepancy_from="",
            came_from=item.record.subject, out_of_service="", mixed_of=(),
        )  # fmt: skip

    def _post(self, gas: str | None, how: How, kg: Decimal, item: Standing, cylinder: str) -> None:
        if kg:
            self.journal.append(Posting(item.record.date, gas or "", how, kg, cylinder, item))

    def _rename(self, old: str | None, new: str | None, kg: Decimal, item: Standing, cylinder: str) -> None:
        if old != new:
            self._post(old, "renamed", -kg, item, cylinder)
            self._post(new, "renamed", kg, item, cylinder)

    def _gap(self, state: CylinderState, entry: dict[str, str], item: Standing) -> tuple[Decimal | None, str]:
        """What the scale found beyond the ledger, when that is more than it can explain."""
        if not ("bare_before_gross_lb" in entry or "bare_before_gross_kg" in entry) or state.id not in self.tare_kg:
            return state.discrepancy_lb, state.discrepancy_from
        found_kg = mass.signed_field(entry, "bare_before_gross") - self.tare_kg[state.id]
        over_kg = found_kg - state.ledger_kg
        if abs(over_kg) <= tolerance_kg(Decimal(entry.get("scale_step_lb", "0"))):
            return None, ""
        return mass.lb_from_kg(over_kg), item.record.name

    def _mark(self, cylinder: str, key: str, word: str) -> None:
        if key == "tested":
            year, month = word.split("-")
            self._change(cylinder, tested=Month(year=int(year), month=int(month)))
        else:
            self._change(cylinder, out_of_service=f"{key}: {word}")

    def _buy(self, entry: dict[str, Any], item: Standing) -> None:
        new = Cylinder.model_validate(entry)
        if new.id in self.states:  # the register has it by now, and says more
            return
        self.bought[new.id] = new
        self.states[new.id] = replace(_opened(new))
        self.tare_kg[new.id] = mass.kg_from_float_lb(new.tare_lb)
        self._post(new.refrigerant, "bought", self.states[new.id].ledger_kg, item, new.id)


def _shown(ledger_kg: Decimal, gap_lb: Decimal | None) -> float:
    """Pounds to plan with: never below 0, and the greater of ledger and scale while they disagree."""
    pounds = mass.lb_from_kg(ledger_kg)
    return float(max(Decimal(0), pounds, pounds + (gap_lb or 0)))
