"""What is written down on the Record sheet, in the order it stands there: one table.

The Record sheet draws these blanks, the readings form asks for them in the same order, and filing reads them under the
same keys. A key is dotted; `{cylinder}` stands for each assigned cylinder's id, and a quantity's key ends in its unit,
which follows the shop (`cylinders.C-118.bare_before_gross_lb`, in an SI shop `..._kg`).

Amounts, dates, names and where: 40 CFR 82.156(a)(3), kept three years; the rest is common practice, no source.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from packet.units import UnitSystem
from packet.words import N_, P_, t

Quantity = Literal[
    "text",
    "gas",
    "date",
    "time",
    "weight",
    "vacuum",
    "absolute",
    "pressure",
    "temperature",
    "minutes",
    "count",
    "yes-no",
    "initials",
    "choice",
]
# "steps": only where a step of the job says to write it; "second": only where the job needs a second person
Condition = Literal["always", "apprentice", "second", "not low", "low", "steps"]

# (US suffix and unit, SI suffix and unit) of a key and its blank
UNITS: dict[Quantity, tuple[tuple[str, str], tuple[str, str]]] = {
    "weight": (("_lb", "lb"), ("_kg", "kg")),
    "vacuum": (("_inHg_vacuum", "inHg vacuum"), ("_kPa_vacuum", "kPa vacuum")),
    "absolute": (("_mmHg_absolute", "mmHg absolute"), ("_kPa_absolute", "kPa absolute")),
    "pressure": (("_psig", "psig"), ("_barg", "barg")),
    "temperature": (("_F", "°F"), ("_C", "°C")),
    "minutes": (("_minutes", "min"), ("_minutes", "min")),
}


@dataclass(frozen=True, slots=True)
class Field:
    """A line of the table.

    key: without its unit. label: a marked message. group: the heading it stands under, a marked message. when: the
    jobs it is asked on. required: filing asks where it is blank. help: what to write, for the form's comment. choices:
    the words that may be typed.
    """

    key: str
    label: str
    quantity: Quantity
    group: str
    required: bool = False
    when: Condition = "always"
    help: str = ""
    choices: tuple[str, ...] = ()

    @property
    def per_cylinder(self) -> bool:
        """Whether the blank is drawn once for each cylinder."""
        return "{cylinder}" in self.key


@dataclass(frozen=True, slots=True)
class RecordBlank:
    """A blank of one job's Record sheet: the key typed in the form, and label, unit and heading in the current language."""

    key: str
    label: str
    unit: str
    group: str
    cylinder: str
    field: Field


WHO = N_("Who and when")
FOUND = N_("What was found")
WEIGHTS = N_("Cylinder weights, gross, hoses off (expected)")
DEPTH = N_("How deep it was drawn, and how it held")
DONE = N_("Tick what is so")
AFTER = N_("In words, and signed")
STATEMENTS = N_("Statements")

# where recovered gas may go (40 CFR 82.154(d), 82.156(h)): as `disposition` on a job

DESTINATION_WORDS = {
    "same-appliance": P_("where the gas goes", "same unit"),
    "same-owner": P_("where the gas goes", "same owner"),
    "reclaim": P_("where the gas goes", "reclaim"),
    "destruction": P_("where the gas goes", "destruction"),
}

FIELDS: tuple[Field, ...] = (
    Field("date", N_("Date of the work"), "date", WHO, required=True, help=N_("like 2026-11-26")),
    Field("technician", N_("Technician"), "text", WHO, required=True),
    Field("card", N_("Certification card"), "text", WHO, required=True),
    Field("supervisor", N_("Certified technician in charge"), "text", WHO, required=True, when="apprentice"),
    Field("second", N_("Second person"), "text", WHO, required=True, when="second"),
    Field("times.start", N_("Machine started"), "time", WHO, required=True, help=N_("like 08:45")),
    Field("times.end", N_("Machine off and cleared"), "time", WHO, required=True, help=N_("like 10:20")),
    Field(
        "refrigerant", N_("Refrigerant verified"), "gas", FOUND, required=True, help=N_("nameplate and pressure agree")
    ),
    Field("start.standing", N_("Standing pressure"), "pressure", FOUND, when="steps"),
    Field("start.standing", N_("Standing pressure"), "absolute", FOUND, when="steps"),
    Field("start.temperature", N_("Temperature at the coil"), "temperature", FOUND, when="steps"),
    Field("power.lock_number", N_("Number of the lock"), "text", FOUND, when="steps"),
    Field("ports.liquid_kind", N_("Liquid port found"), "text", FOUND, when="steps"),
    Field("ports.vapor_kind", N_("Suction port found"), "text", FOUND, when="steps"),
    Field("cylinders.{cylinder}.inspected", N_("Inspected before the fill"), "initials", WEIGHTS, required=True),
    Field("cylinders.{cylinder}.bare_before_gross", N_("Weight BEFORE"), "weight", WEIGHTS, required=True),
    Field("cylinders.{cylinder}.bare_after_gross", N_("Weight AFTER"), "weight", WEIGHTS, required=True),
    Field("cylinders.{cylinder}.put_in", N_("Net (after − before)"), "weight", WEIGHTS, required=True),
    Field(
        "cylinders.{cylinder}.pressure_after_standing",
        N_("Pressure after standing"),
        "pressure",
        WEIGHTS,
        when="not low",
    ),
    Field(
        "cylinders.{cylinder}.pressure_after_standing", N_("Pressure after standing"), "absolute", WEIGHTS, when="low"
    ),
    Field("cylinders.{cylinder}.wall_after_standing", N_("Surface temperature"), "temperature", WEIGHTS),
    Field("cylinders.{cylinder}.not_used", N_("Not used"), "yes-no", WEIGHTS),
    Field("recovered", N_("Total recovered"), "weight", WEIGHTS, required=True),
    Field("final.gauge", N_("Final gauge reading"), "vacuum", DEPTH, required=True, when="not low"),
    Field("final.gauge", N_("Final gauge, absolute"), "absolute", DEPTH, required=True, when="low"),
    Field("rise.waited", N_("Rise check: waited"), "minutes", DEPTH, required=True),
    Field("rise.gauge", N_("Rise check: gauge at the end"), "vacuum", DEPTH, required=True, when="not low"),
    Field("rise.gauge", N_("Rise check: gauge at the end"), "absolute", DEPTH, True, "low"),
    Field("cautions_initialled", N_("Front: every line initialed"), "yes-no", DONE, required=True),
    Field("hold_points_initialled", N_("Steps: every hold initialed"), "yes-no", DONE, required=True),
    Field("machine_cleared", N_("Machine cleared"), "yes-no", DONE, required=True),
    Field("valves_leak_checked", N_("Valves leak-checked, capped"), "yes-no", DONE, required=True),
    Field("tags_filled", N_("Tags filled in and tied on"), "yes-no", DONE, required=True),
    Field("exceptions.leak", N_("Leaks kept it from the level"), "yes-no", DONE),
    Field("exceptions.not_major", N_("Not major, none to the air"), "yes-no", DONE),
    Field("exceptions.other", N_("Other exception"), "text", AFTER),
    Field("supplies.oil", N_("Oil taken out, where it went"), "text", AFTER),
    Field("supplies.filter_driers", N_("Filter-driers used"), "count", AFTER),
    Field("supplies.nitrogen", N_("Nitrogen used"), "yes-no", AFTER),
    Field("gas_owner", N_("Owner of the refrigerant now"), "text", AFTER, required=True),
    Field("destination", N_("It goes to"), "choice", AFTER, required=True, choices=tuple(DESTINATION_WORDS)),
    Field("remarks", N_("Remarks"), "text", AFTER),
    Field("signatures.technician", N_("Technician"), "yes-no", AFTER, required=True),
    Field("signatures.supervisor", N_("Technician in charge"), "yes-no", AFTER, True, "apprentice"),
    Field("signatures.owner", N_("Owner or owner's representative"), "yes-no", AFTER),
)

# Ticks of the Record sheet's statements (40 CFR 82.154, 82.155, from memory); the others where an appliance is scrapped.
STATEMENT_FIELDS: tuple[Field, ...] = (
    Field("statement.disposition", N_("Owner told where the refrigerant goes, and agreed"), "yes-no", STATEMENTS),
    Field("statement.disposal", N_("All that had not leaked was recovered"), "yes-no", STATEMENTS),
    Field("statement.leaked", N_("All had leaked out before"), "yes-no", STATEMENTS),
)


def suffix(quantity: Quantity, units: UnitSystem) -> str:
    """What a key of that quantity ends in: '_lb', '_kg', ..., '' for what has no unit."""
    return _pair(quantity, units)[0]


def unit(quantity: Quantity, units: UnitSystem) -> str:
    """The unit printed beside a blank; empty for what has none."""
    return _pair(quantity, units)[1]


def key_parts(key: str) -> list[str]:
    """A dotted key in the parts that the form nests; a cylinder's id may hold dots itself."""
    if key.startswith("cylinders."):
        cylinder, _, last = key.removeprefix("cylinders.").rpartition(".")
        return ["cylinders", cylinder, last]
    return key.split(".")


def record_blanks(
    cylinders: tuple[str, ...],
    units: UnitSystem,
    *,
    apprentice: bool = False,
    second: bool = False,
    low_pressure: bool = False,
    steps: Collection[str] = (),
) -> tuple[RecordBlank, ...]:
    """The blanks of one job's Record sheet, in order: all of a cylinder's blanks together, cylinders as they are filled.

    cylinders: the ids assigned. apprentice: the technician works under another. second: the job needs a second person. low_pressure: the appliance is drawn to
    an absolute pressure (25 mmHg), read on an absolute gauge. steps: the keys that the job's steps write.
    """
    asked = [
        item
        for item in FIELDS
        if _applies(item, apprentice=apprentice, second=second, low_pressure=low_pressure)
        and (item.when != "steps" or item.key + suffix(item.quantity, units) in steps)
    ]
    first = next(index for index, item in enumerate(asked) if item.per_cylinder)
    before = [item for item in asked[:first] if not item.per_cylinder]
    after = [item for item in asked[first:] if not item.per_cylinder]
    each = [item for item in asked if item.per_cylinder]
    return tuple(
        [_blank(item, "", units) for item in before]
        + [_blank(item, cylinder, units) for cylinder in cylinders for item in each]
        + [_blank(item, "", units) for item in after]
    )


def statement_blanks(*, scrap: bool) -> tuple[RecordBlank, ...]:
    """The ticks of the Record sheet's statements, after its other blanks."""
    return tuple(_blank(item, "", "US") for item in STATEMENT_FIELDS[: 3 if scrap else 1])


def _pair(quantity: Quantity, units: UnitSystem) -> tuple[str, str]:
    pair = UNITS.get(quantity)
    if pair is None:
        return ("", "")
    return pair[0] if units == "US" else pair[1]


def _applies(item: Field, *, apprentice: bool, second: bool, low_pressure: bool) -> bool:
    if item.when == "apprentice":
        return apprentice
    if item.when == "second":
        return second
    if item.when == "low":
        return low_pressure
    if item.when == "not low":
        return not low_pressure
    return True


def _blank(item: Field, cylinder: str, units: UnitSystem) -> RecordBlank:
    key = item.key.replace("{cylinder}", cylinder) + suffix(item.quantity, units)
    return RecordBlank(key, t(item.label), unit(item.quantity, units), t(item.group), cylinder, item)
