"""One form that came back, with everything a check may hold against it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from packet.figures import show_weight
from packet.ledger import mass
from packet.ledger.fields import RecordBlank, record_blanks
from packet.ledger.state import CylinderState
from packet.office.promised import Promised
from packet.office.readings import Readings, Weight
from packet.refrigerant.own import MIXED
from packet.rules.drawdown import is_read_absolute
from packet.shop.problems import Problem
from packet.shop.records import Registers, Technician
from packet.units import UnitSystem


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
    promised: Promised
    registers: Registers
    states: Mapping[str, CylinderState]
    today: date

    @property
    def units(self) -> UnitSystem:
        """The shop's units, for the sentences."""
        return self.registers.shop.units

    def key(self, name: str) -> str:
        """A reading's key as it stands in the form, with its unit: as typed, else as the shop's form has it."""
        typed = self.readings.values.get(name)
        if typed is not None:
            return typed.key
        return next((item.key for item in self.blanks() if item.key.startswith(f"{name}_")), name)

    def where(self, name: str) -> str:
        """'file:line key' of a reading."""
        return f"{self.readings.file}:{self.readings.line(name)} {self.key(name)}"

    def problem(self, name: str, message: str, suggestion: str = "") -> Problem:
        """A problem at a reading's line, under its key in the form."""
        return Problem(self.readings.file, self.readings.line(name), self.key(name), message, suggestion)

    def weight(self, kg: Decimal) -> str:
        """A mass as the sentences show it."""
        return show_weight(float(mass.lb_from_kg(kg)), self.units)

    def technician(self) -> Technician | None:
        """Who did the job, where the register knows them by id or name."""
        return self.person(self.readings.words("technician"))

    def person(self, words: str) -> Technician | None:
        """Somebody of the register, by id or name."""
        said = words.casefold()
        return next(
            (one for one in self.registers.technicians if said in {one.id.casefold(), one.name.casefold()}), None
        )

    def apprentice(self) -> bool:
        """Whether somebody else must have been in charge."""
        technician = self.technician()
        return self.promised.apprentice if technician is None else "apprentice" in technician.certification

    def blanks(self) -> tuple[RecordBlank, ...]:
        """The blanks of the Record sheet for the cylinders that were used."""
        used = tuple(one for one in self.readings.cylinders if not self.readings.ticked(f"cylinders.{one}.not_used"))
        low = is_read_absolute(self.promised.evacuation.pressure_class)
        asked = record_blanks(
            used, self.units, apprentice=self.apprentice(), second=self.promised.second_needed, low_pressure=low
        )
        if self.promised.evacuation.rise_check_minutes:
            return asked
        return tuple(item for item in asked if not item.field.key.startswith("rise."))

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

    def step_kg(self) -> Decimal:
        """One step of the job's scale."""
        return mass.kg_from_float_lb(self.promised.scale_step_lb)
