"""A year of an office's work, made up at random and added up by hand: what the month's report must say, in fractions.

`Year` files through the office's own commands: jobs in order and late, corrections, withdrawals, turn-ins by ledger and by
a receiver's scale, cylinders weighed, and emptied into others. `by_hand` goes through the same list with a pencil: it
knows what was put in and what was found, and nothing of how the program adds up.
"""

import random
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from pathlib import Path

from packet.findings import KINDS
from packet.ledger.state import ledger
from packet.office import events, settle
from packet.office.enter import Entered, Office
from packet.office.file import file_form
from packet.shop.records import Cylinder, Month, Registers

from .by_hand import POUND
from .returned import FORM, print_it, registers

YEAR = 2026
GASES = ("R-404A", "R-22", "R-410A")
TARE = Fraction("27.5")
# cylinders of each gas; what the register opens with, lb
CYLINDERS = {f"Y-{gas[2:]}-{n}": gas for gas in GASES for n in (1, 2)}
OPENING = {name: Fraction(n * 3, 10) for n, name in enumerate(CYLINDERS)}


WHY = {code: "made up for the test" for code, kind in KINDS.items() if kind.severity == "caution"}


@dataclass(frozen=True, slots=True)
class Happened:
    """One thing that counts in the end. what: 'job', 'turn-in', 'weighed' or 'into'; lb: put in, received, found, moved."""

    when: datetime
    order: int
    what: str
    cylinder: str
    lb: Fraction | None = None
    into: str = ""


@dataclass
class Year:
    """The shop, and everything that happened in it so far."""

    shop: Path
    chance: random.Random
    happened: dict[int, Happened] = field(default_factory=dict)
    jobs: int = 0
    records: int = 0

    @property
    def registers(self) -> Registers:
        every = registers()
        common = {
            "spec": "DOT-4BA400",
            "water_capacity_lb": 477.0,
            "tare_lb": 27.5,
            "tested": Month(year=2025, month=4),
        }
        own = tuple(
            Cylinder(id=name, refrigerant=gas, contents_lb=float(OPENING[name]), **common)
            for name, gas in CYLINDERS.items()
        )
        return every.model_copy(update={"cylinders": own})

    def office(self, day: date) -> Office:
        return Office(self.shop, self.registers, date(YEAR + 1, 1, 1), datetime.combine(day, time(18), UTC), WHY)

    def job(self, day: date, at: time, *, fix: bool = False) -> None:
        """A job that puts some gas into a cylinder; sometimes corrected afterwards, or withdrawn."""
        self.jobs += 1
        job, cylinder = f"HP-{self.jobs:04}", self.chance.choice(list(CYLINDERS))
        gas = CYLINDERS[cylinder]
        put = Fraction(self.chance.randrange(5, 250), 10)
        print_it(
            self.shop, job, refrigerant=gas, cylinders=[], to_recover_lb=float(put), appliance={"charge_lb": float(put)}
        )
        self._form(job, day, at, cylinder, put)
        mine = self.records
        self.happened[mine] = Happened(datetime.combine(day, at) + timedelta(minutes=30), mine, "job", cylinder, put)
        if fix and self.chance.random() < 0.3:
            done = settle.withdraw(self.office(day), str(mine), why="entered for another job")
            self._filed(done)
            del self.happened[mine]
        elif fix:
            less = put - Fraction(self.chance.randrange(1, 5), 10)
            self._form(job, day, at, cylinder, less, correction="a slip of the pen")
            self.happened[mine] = Happened(self.happened[mine].when, mine, "job", cylinder, less)

    def _form(self, job: str, day: date, at: time, cylinder: str, put: Fraction, correction: str = "") -> None:  # noqa: PLR0917
        head, rest = FORM.replace("HP-1041", job).replace("2026-11-26", day.isoformat()).split("  C-1:\n")
        until = (datetime.combine(day, at) + timedelta(minutes=30)).time()
        head = head.replace("08:45", f"{at:%H:%M}").replace("10:20", f"{until:%H:%M}")
        head = head.replace("refrigerant: r404a", f"refrigerant: {CYLINDERS[cylinder]}")
        before = Fraction(500)  # no cylinder of these holds so much: its weight before explains nothing, and is no slip
        block = (
            f"  {cylinder}:\n    inspected: AS\n    bare_before_gross_lb: {float(before):.1f}\n"
            f"    bare_after_gross_lb: {float(before + put):.1f}\n    put_in_lb: {float(put):.1f}\n"
        )
        rest = rest[rest.index("recovered_lb") :].replace("37.9", f"{float(put):.1f}")
        form = self.shop / f"{job}.readings.yaml"
        form.write_text((head + block + rest).replace("correction:", f"correction: {correction}"))
        at_night = datetime.combine(day, time(18), UTC)
        done = file_form(form, self.shop, self.registers, today=date(YEAR + 1, 1, 1), filed_at=at_night, reasons=WHY)
        assert done.filed is not None, (done.problems, done.unanswered)
        self.records = done.filed.seq

    def _filed(self, done: Entered) -> None:
        assert done.filed is not None, (done.problems, done.unanswered)
        self.records = done.filed.seq

    def turn_in(self, day: date, cylinder: str) -> None:
        """All of a cylinder, by the ledger or by the receiver's scale; the cylinder is drained there and then."""
        there = ledger(self.registers, self.shop, day).states[cylinder].ledger_kg > 0
        received = Fraction(self.chance.randrange(10, 600), 10) if there and self.chance.random() < 0.4 else None
        load = events.Load(cylinder, f"{float(received):.1f}" if received is not None else "")
        done = events.turn_in(
            self.office(day), [load], to="Basin", purpose="reclaim", day=day, reference="M", stays=True
        )
        if done.problems:  # nothing was in it
            return
        self._filed(done)
        self.happened[self.records] = Happened(
            datetime.combine(day, time(23, 58)), self.records, "turn-in", cylinder, received
        )

    def weighed(self, day: date, cylinder: str) -> None:
        """What the scale shows in the morning."""
        net = Fraction(self.chance.randrange(0, 900), 10)
        gross = f"{float(TARE + net):.1f}"
        self._filed(events.weighed(self.office(day), cylinder, day=day, gross=gross, refrigerant=CYLINDERS[cylinder]))
        self.happened[self.records] = Happened(datetime.combine(day, time(0)), self.records, "weighed", cylinder, net)

    def into(self, day: date, at: time, cylinder: str) -> None:
        """Emptied into the other cylinder of its gas."""
        gas = CYLINDERS[cylinder]
        other = next(name for name, its in CYLINDERS.items() if its == gas and name != cylinder)
        done = events.emptied(self.office(day), cylinder, day=day, at=at, into=other)
        self._filed(done)
        self.happened[self.records] = Happened(datetime.combine(day, at), self.records, "into", cylinder, None, other)

    def live(self, jobs_a_month: int = 12) -> None:
        """The year, with some jobs filed weeks late."""
        late: list[tuple[date, time]] = []
        for month in range(1, 13):
            days = sorted(self.chance.sample(range(1, 29), 14))
            for number in range(jobs_a_month):
                day, at = date(YEAR, month, days[number % 14]), time(8 + number % 9, self.chance.randrange(0, 29))
                if self.chance.random() < 0.15:
                    late.append((day, at))
                else:
                    self.job(day, at, fix=self.chance.random() < 0.2)
            self.turn_in(date(YEAR, month, 28), self.chance.choice(list(CYLINDERS)))
            self.weighed(date(YEAR, month, self.chance.randrange(1, 28)), self.chance.choice(list(CYLINDERS)))
            if month % 3 == 0:
                self.into(date(YEAR, month, 27), time(20), self.chance.choice(list(CYLINDERS)))
            for day, at in late[: len(late) // 2]:
                self.job(day, at)
            late = late[len(late) // 2 :]
        for day, at in late:
            self.job(day, at)


@dataclass
class Sums:
    """A gas in a month, kg."""

    opening: Fraction = Fraction(0)
    recovered: Fraction = Fraction(0)
    reclaimed: Fraction = Fraction(0)
    other: Fraction = Fraction(0)
    held: Fraction = Fraction(0)


def by_hand(year: Year) -> dict[tuple[int, str], Sums]:
    """(month, gas) → sums, from the list of what happened alone."""
    holds = {name: lb * POUND for name, lb in OPENING.items()}
    found: dict[tuple[int, str], Sums] = defaultdict(Sums)
    # a cylinder that was emptied forgets its gas until it takes some again; its name here is its gas all year
    todo = sorted(year.happened.values(), key=lambda item: (item.when, item.order))
    for month in range(1, 13):
        for gas in GASES:
            found[month, gas].opening = _total(holds, gas)
        for item in [one for one in todo if one.when.month == month]:
            sums, now = found[month, CYLINDERS[item.cylinder]], holds[item.cylinder]
            kg = None if item.lb is None else item.lb * POUND
            if item.what == "job":
                assert kg is not None
                holds[item.cylinder] = now + kg
                sums.recovered += kg
            elif item.what == "weighed":
                assert kg is not None
                holds[item.cylinder] = kg
                sums.other += kg - now
            elif item.what == "turn-in":
                sent = now if kg is None else kg
                holds[item.cylinder] = Fraction(0)
                sums.reclaimed += sent
                sums.other += sent - now
            else:
                holds[item.into] += now
                holds[item.cylinder] = Fraction(0)
        for gas in GASES:
            found[month, gas].held = _total(holds, gas)
    return dict(found)


def _total(holds: dict[str, Fraction], gas: str) -> Fraction:
    return sum((kg for name, kg in holds.items() if CYLINDERS[name] == gas), Fraction(0))
