"""What a readings form says: every value typed for its kind, each knowing its line."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from packet.ledger import mass
from packet.units import PA_PER_BAR, PA_PER_INHG, PA_PER_PSI, fahrenheit_from_celsius


@dataclass(frozen=True, slots=True)
class Gauge:
    """A gauge reading. pa: pascal, absolute, or relative to the site's barometer (negative below it)."""

    text: str
    pa: float
    absolute: bool

    @property
    def inHg_vacuum(self) -> float:
        """Inches of mercury below the site's barometer; only for a gauge that is not absolute."""
        return -self.pa / PA_PER_INHG

    @property
    def psia(self) -> float:
        """Absolute pressure; only for an absolute gauge."""
        return self.pa / PA_PER_PSI


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight as typed, and in kilograms, exact."""

    text: str
    unit: mass.MassUnit
    kg: Decimal


Value = str | bool | date | time | Weight | Gauge | Decimal


@dataclass(frozen=True, slots=True)
class Reading:
    """One value of the form: the key as typed (dotted), its line, and what it means."""

    key: str
    line: int
    value: Value


@dataclass(frozen=True, slots=True)
class Readings:
    """A whole form. values: by the field table's key with the cylinder's id put in, blanks left out.

    lines: the line of every key that is there, blank or not. reasons: why the office accepts a caution, by its code.
    correction: why an earlier record is put right; empty for a first filing.
    """

    file: str
    job: str
    revision: str
    cylinders: tuple[str, ...]
    values: Mapping[str, Reading]
    lines: Mapping[str, int]
    reasons: Mapping[str, str]
    correction: str
    filled_in_from: str = ""
    confirmed_by: str = ""

    def line(self, key: str) -> int:
        """The line a key stands on, or the nearest block above it; 1 when nothing of it is there."""
        while key:
            if key in self.lines:
                return self.lines[key]
            key = key.rpartition(".")[0]
        return 1

    def weight(self, key: str) -> Weight | None:
        """The weight under a key, None when it is blank."""
        item = self.values.get(key)
        return item.value if item is not None and isinstance(item.value, Weight) else None

    def gauge(self, key: str) -> Gauge | None:
        """The gauge reading under a key, None when it is blank."""
        item = self.values.get(key)
        return item.value if item is not None and isinstance(item.value, Gauge) else None

    def number(self, key: str) -> Decimal | None:
        """The number under a key, None when it is blank."""
        item = self.values.get(key)
        return item.value if item is not None and isinstance(item.value, Decimal) else None

    def pressure_psig(self, key: str) -> float | None:
        """The pressure under a key, psig, whichever unit it was typed in; None when it is blank."""
        number = self.number(key)
        if number is None:
            return None
        return float(number) * (PA_PER_BAR / PA_PER_PSI if self.values[key].key.endswith("_barg") else 1.0)

    def temperature_F(self, key: str) -> float | None:
        """The temperature under a key, °F, whichever unit it was typed in; None when it is blank."""
        number = self.number(key)
        if number is None:
            return None
        return fahrenheit_from_celsius(float(number)) if self.values[key].key.endswith("_C") else float(number)

    def words(self, key: str) -> str:
        """The text under a key, empty when it is blank."""
        item = self.values.get(key)
        return item.value if item is not None and isinstance(item.value, str) else ""

    def day(self) -> date | None:
        """The day of the work."""
        item = self.values.get("date")
        return item.value if item is not None and isinstance(item.value, date) else None

    def clock(self, key: str) -> time | None:
        """The time under a key."""
        item = self.values.get(key)
        return item.value if item is not None and isinstance(item.value, time) else None

    def ticked(self, key: str) -> bool | None:
        """Yes or no under a key, None when it is blank."""
        item = self.values.get(key)
        return item.value if item is not None and isinstance(item.value, bool) else None
