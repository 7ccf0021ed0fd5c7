"""The kinds of values that stand in the shop's files: how each is read from text, and what is refused, in plain words.

A value that is already typed (a record built in code) passes through; only text is read. Quantities name their US and
SI endings, so that `charge_lb` may be typed as `charge_kg`; bounds are those beyond which a value can only be a slip.
"""

import re
import unicodedata
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError

from packet.shop.problems import quoted
from packet.units import (
    IN3_PER_FT3,
    IN3_PER_LB_WATER_60F,
    KG_PER_LB,
    L_PER_FT3,
    M3_PER_FT3,
    M_PER_FT,
    PA_PER_BAR,
    PA_PER_PSI,
)
from packet.words import t


@dataclass(frozen=True, slots=True)
class Quantity:
    """A pair of endings: `_us` as the record holds it, `_si` as it may be typed instead. US = SI × scale + offset."""

    us: str
    si: str
    scale: float
    offset: float = 0.0

    def from_si(self, value: float) -> float:
        """The US figure of an SI one."""
        return value * self.scale + self.offset

    def to_si(self, value: float) -> float:
        """The SI figure of a US one."""
        return (value - self.offset) / self.scale


MASS = Quantity("lb", "kg", 1.0 / KG_PER_LB)
# 49 CFR 173.304a, note on filling density: a pound of water at 60 degF is 27.737 in3; 1 L is a volume, not a kilogram.
WATER = Quantity("lb", "l", IN3_PER_FT3 / L_PER_FT3 / IN3_PER_LB_WATER_60F)
TEMPERATURE = Quantity("F", "C", 1.8, 32.0)
TEMPERATURE_STEP = Quantity("F", "C", 1.8)
LENGTH = Quantity("ft", "m", 1.0 / M_PER_FT)
BORE = Quantity("in", "mm", 1.0 / 25.4)
VOLUME = Quantity("ft3", "m3", 1.0 / M3_PER_FT3)
GAUGE = Quantity("psig", "barg", PA_PER_BAR / PA_PER_PSI)
PRESSURE_DIFFERENCE = Quantity("psi", "bar", PA_PER_BAR / PA_PER_PSI)
RATE = Quantity("lb_per_min", "kg_per_min", 1.0 / KG_PER_LB)


class Month(BaseModel):
    """A month as typed: 2023-04."""

    model_config = ConfigDict(frozen=True)
    year: int
    month: int

    def __str__(self) -> str:
        return f"{self.year:04d}-{self.month:02d}"


def refuse(message: str, suggestion: str = "", *, part: str = "") -> PydanticCustomError:
    """The exception that says why a value is refused; both are finished sentences in the current language.

    part: the field of the refused record that it is about.
    """
    # The sentence is not a template to pydantic: it goes in as a value, braces and all.
    context = {"sentence": message, "suggestion": suggestion, "part": part}
    return PydanticCustomError("plain", "{sentence}", context)


NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", re.ASCII)


def number(value: Any) -> Any:
    """A number from text. Dot for the decimal, no thousands mark, no unit, finite."""
    if not isinstance(value, str):
        return value
    typed = value.strip()
    if not NUMBER.fullmatch(typed):
        if re.fullmatch(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?", typed, re.ASCII):
            raise refuse(
                t(
                    "'{value}' is not a number: write {plain} without the comma.",
                    value=typed,
                    plain=typed.replace(",", ""),
                )
            )
        if re.fullmatch(r"[+-]?\d+,\d+", typed, re.ASCII):
            raise refuse(
                t(
                    "'{value}' is not a number: write a dot for the decimal, {plain}.",
                    value=typed,
                    plain=typed.replace(",", "."),
                )
            )
        ounces = re.fullmatch(
            r"(\d{1,5}) *(?:lb|lbs|#) *(\d{1,2}(?:\.\d{1,2})?) *(?:oz)?", typed, re.ASCII | re.IGNORECASE
        )
        if ounces:
            exact = (int(ounces[1]) * 16 + Decimal(ounces[2])) / 16
            raise refuse(
                t("'{value}' is not a number: write {plain}; 16 oz make 1 lb.", value=typed, plain=f"{exact:f}")
            )
        if re.fullmatch(r"[+-]?\d[\d.]* *[A-Za-z°%'\"]+\d?", typed, re.ASCII):
            raise refuse(
                t("'{value}' is not a number: write it without the unit, which the key says.", value=quoted(typed))
            )
        raise refuse(t("'{value}' is not a number.", value=quoted(value)))
    read = float(typed)
    if read in (float("inf"), float("-inf")):
        raise refuse(t("'{value}' is too large a number.", value=quoted(typed)))
    return read


def whole(value: Any) -> Any:
    """A whole number from text."""
    if not isinstance(value, str):
        return value
    if not re.fullmatch(r"[+-]?\d{1,18}", value.strip(), re.ASCII):
        raise refuse(t("'{value}' is not a whole number.", value=quoted(value)))
    return int(value)


_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


def yes_no(value: Any) -> Any:
    """True or false from yes, no, true or false, whatever the capitals."""
    if not isinstance(value, str):
        return value
    if value.strip().casefold() not in _YES_NO:
        raise refuse(t("'{value}' is neither yes nor no.", value=quoted(value)))
    return _YES_NO[value.strip().casefold()]


def month(value: Any) -> Any:
    """A Month from 2023-04."""
    if not isinstance(value, str):
        return value
    found = re.fullmatch(r"(\d{4})-(\d{2})", value.strip(), re.ASCII)
    if not found:
        raise refuse(t("'{value}' is not a month: write year and month as 2023-04.", value=quoted(value)))
    year, number_of_month = int(found[1]), int(found[2])
    if not 1 <= number_of_month <= 12:
        raise refuse(t("There is no month {month} ('{value}').", month=found[2], value=value))
    if not 1900 <= year <= 2100:
        raise refuse(t("The year {year} cannot be meant.", year=year))
    return Month(year=year, month=number_of_month)


def day(value: Any) -> Any:
    """A date from 2026-11-26."""
    if not isinstance(value, str):
        return value
    typed = value.strip()
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", typed, re.ASCII):
        raise refuse(t("'{value}' is not a date: write year, month and day as 2026-11-26.", value=quoted(value)))
    try:
        read = date.fromisoformat(typed)
    except ValueError:
        raise refuse(t("The date {value} does not exist.", value=typed)) from None
    if not 2000 <= read.year <= 2100:
        raise refuse(t("The year {year} cannot be meant.", year=read.year))
    return read


def clock(value: Any) -> Any:
    """A time of day from 08:30, on the 24-hour clock."""
    if not isinstance(value, str):
        return value
    found = re.fullmatch(r"(\d{1,2}):(\d{2})", value.strip(), re.ASCII)
    if not found:
        raise refuse(t("'{value}' is not a time: write it on the 24-hour clock, as 08:30.", value=quoted(value)))
    hours, minutes = int(found[1]), int(found[2])
    if hours > 23 or minutes > 59:
        raise refuse(t("There is no time {value} on the 24-hour clock.", value=value.strip()))
    return time(hours, minutes)


# An id becomes a file name, a folder name, a part of an address and of a code: nothing that means something there.
ID_PATTERN = r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}"
_DEVICE = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)


def identifier(value: Any) -> Any:
    """An id: letters, digits, dot, underscore and dash, starting with a letter or digit, at most 40."""
    if not isinstance(value, str):
        return value
    if not re.fullmatch(ID_PATTERN, value, re.ASCII) or value.endswith("."):
        raise refuse(
            t(
                "'{value}' cannot be an id: use letters, digits, '.', '_' and '-', starting with a letter or digit and not ending with a dot, at most 40 of them.",
                value=quoted(value),
            )
        )
    if _DEVICE.fullmatch(value):
        raise refuse(t("'{value}' cannot be an id: some computers keep that name for a device.", value=value))
    return value


def text(value: Any) -> Any:
    """One line of text: no control or direction characters; markup is just text."""
    if not isinstance(value, str):
        return value
    read = value.strip()
    if "\n" in read:
        raise refuse(t("This must be one line."))
    no_hidden(read)
    return read


def lines_of_text(value: Any) -> Any:
    """Text that may run over lines."""
    if not isinstance(value, str):
        return value
    no_hidden(value.replace("\n", ""))
    return value.strip()


def no_hidden(value: str) -> None:
    """Raise the refusal of a text that has signs in it which cannot be seen."""
    if value.isascii() and value.isprintable():
        return
    for letter in value:
        # Cc: control. Cs, Cn: not characters. The direction marks could make a line on paper read as another one.
        if (
            unicodedata.category(letter) in {"Cc", "Cs", "Cn", "Zl", "Zp"}
            or letter in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
        ):
            raise refuse(
                t("A control character (U+{code}) stands in this text: take it out.", code=f"{ord(letter):04X}")
            )


def designation(value: Any) -> Any:
    """A refrigerant's designation, from any spelling people type; 'mixed' and 'unknown' stay as they are."""
    if not isinstance(value, str) or value in {"mixed", "unknown"}:
        return value
    # Looked up late: most records have no refrigerant in them, and the catalogue is read from a file.
    from packet.refrigerant.catalogue import UnknownRefrigerant, find

    if value.strip().casefold() in {"mixed", "unknown"}:
        return value.strip().casefold()
    try:
        return find(text(value)).name
    except UnknownRefrigerant as unknown:
        names = tuple(unknown.suggestions)
        if names:
            raise refuse(
                t(
                    "There is no refrigerant '{value}'. Did you mean {names}?",
                    value=quoted(value),
                    names=", ".join(names),
                )
            ) from None
        raise refuse(
            t("There is no refrigerant '{value}'.", value=quoted(value)),
            t("Write its designation as on the plate, as R-410A; 'unknown' or 'mixed' where it is not known."),
        ) from None


def contents(value: Any) -> Any:
    """What a cylinder holds: a designation, 'mixed', or None for 'empty'."""
    if isinstance(value, str) and value.strip().casefold() in {"empty", ""}:
        return None
    return designation(value)


Number = Annotated[float, BeforeValidator(number), Field(allow_inf_nan=False)]
Whole = Annotated[int, BeforeValidator(whole)]
YesNo = Annotated[bool, BeforeValidator(yes_no)]
AMonth = Annotated[Month, BeforeValidator(month)]
Day = Annotated[date, BeforeValidator(day)]
Clock = Annotated[time, BeforeValidator(clock)]
Id = Annotated[str, BeforeValidator(identifier)]
Name = Annotated[str, BeforeValidator(text), Field(min_length=1, max_length=80)]
Line = Annotated[str, BeforeValidator(text), Field(max_length=160)]
Paragraph = Annotated[str, BeforeValidator(lines_of_text), Field(max_length=600)]
Designation = Annotated[str, BeforeValidator(designation)]
# A gas may be given by what it holds, {R-22: 62, R-407C: 38}; the record keeps the name that `refrigerant.own` gives it.
BY_COMPOSITION = "by composition"
Gas = Annotated[str, BeforeValidator(designation), BY_COMPOSITION]
Contents = Annotated[str | None, BeforeValidator(contents), BY_COMPOSITION]

# The least that can be meant keeps a slip like 1e-300 away from the arithmetic; 0.001 lb is half a gram.
Lb = Annotated[Number, MASS, Field(ge=0, le=50_000)]
PositiveLb = Annotated[Number, MASS, Field(ge=0.001, le=50_000)]
WaterLb = Annotated[Number, WATER, Field(ge=0.5, le=10_000)]
# From the coldest morning to what a cylinder may never be warmed to; 131 degF is the law's own hottest (49 CFR 173.304).
AirF = Annotated[Number, TEMPERATURE, Field(ge=-40, le=140)]
StepF = Annotated[Number, TEMPERATURE_STEP, Field(ge=1, le=50)]
ElevationFt = Annotated[Number, LENGTH, Field(ge=-1_500, le=20_000)]  # Dead Sea shore to above the highest town
HoseFt = Annotated[Number, LENGTH, Field(ge=0.1, le=300)]
BoreIn = Annotated[Number, BORE, Field(ge=0.01, le=3)]
Ft3 = Annotated[Number, VOLUME, Field(ge=0.001, le=5_000_000)]
RatingPsig = Annotated[Number, GAUGE, Field(ge=1, le=10_000)]
MarginPsi = Annotated[Number, PRESSURE_DIFFERENCE, Field(ge=0, le=200)]
LbPerMin = Annotated[Number, Field(ge=0.001, le=1_000)]
Percent = Annotated[Number, Field(ge=0, le=100)]
Count = Annotated[Whole, Field(ge=0, le=999)]
