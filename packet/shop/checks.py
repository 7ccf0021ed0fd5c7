"""Checks that look at more than one value: fields of a record against each other, and a job against the registers.

Each is a pydantic validator: it returns the value or refuses it with a sentence. What lies outside the record (the
registers' ids, the file's name) comes in as the validation's context; without one, in code that builds records
itself, those checks are silent.
"""

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

from pydantic import ValidationInfo
from pydantic_core import PydanticKnownError

from packet.shop.fields import Month, refuse, text
from packet.shop.problems import did_you_mean, nearest, quoted
from packet.words import N_, languages, t

# The code on each page is 20 mm wide with its quiet zone, its modules at least 0.44 mm: that is 45 modules, 37 of them
# the symbol's, a version 5. At level M it holds 84 bytes (ISO/IEC 18004 table 7; from memory, tested with a library).
RECORD_ADDRESS_MAX = 84
# "{records_url}/{job}/?p=99&r=REVISION": what stands around the two.
_AROUND = len("/") + len("/?p=99&r=REVISION")
# The shop's address leaves room for an id of twelve; a longer id is met with a problem of its own where it does not fit.
RECORDS_URL_MAX = RECORD_ADDRESS_MAX - _AROUND - 12

# "~ABCDEFGHIJKL", which `records_secret` puts behind the job: the mark that no id has, and 60 bits in base32.
SUFFIX_MARK = "~"
SUFFIX_LETTERS = 12
SUFFIX_LENGTH = len(SUFFIX_MARK) + SUFFIX_LETTERS
# 20 letters of a chance text are about 100 bits: who knows the address of one job cannot try secrets until one fits.
LEAST_SECRET = 20
MOST_SECRET = 200

# R-113 at 77 degF has 1.56 times the weight of water, the heaviest a cylinder of ours will ever hold (from memory).
HEAVIEST_SPECIFIC_GRAVITY = 1.6

# What a job says in the place of a machine, a scale or cylinders that 'packet assign' shall choose.
AUTO = "auto"

# More rows than this do not fit a Fill page beside the cylinder's block.
MOST_TABLE_ROWS = 25


@dataclass(frozen=True, slots=True)
class Context:
    """What a job is checked against. ids: the registers' ids by list; a list that is not there is not checked."""

    ids: Mapping[str, Collection[str]]
    file_stem: str = ""
    folder: str = ""
    records_url: str = ""
    # what stands behind the job in its record's address, where the shop has a secret
    suffix_length: int = 0
    # full names by id's owner: a technician's name -> the id
    names: Mapping[str, str] = field(default_factory=dict)


_NOT_THERE = {
    "trucks": N_("There is no truck '{id}' in shop.yaml."),
    "technicians": N_("There is no technician '{id}' in technicians.yaml."),
    "machines": N_("There is no machine '{id}' in machines.yaml."),
    "scales": N_("There is no scale '{id}' in machines.yaml."),
    "cylinders": N_("There is no cylinder '{id}' in cylinders.yaml."),
}


def known(register: str) -> Callable[[Any, ValidationInfo], Any]:
    """A validator that refuses an id which is not in `register`."""

    def check(value: Any, info: ValidationInfo) -> Any:
        if isinstance(info.context, Context) and value is not None:
            ids = info.context.ids.get(register)
            open_yet = value == AUTO and register in {"machines", "scales"}
            if ids is not None and value not in ids and not open_yet:
                raise refuse(t(_NOT_THERE[register], id=value), _meant(value, ids, info.context.names))
        return value

    return check


def an_id_not_a_name(value: Any, info: ValidationInfo) -> Any:
    """A validator of a technician's id, before it is looked at as one: a full name is met with the id it belongs to."""
    if isinstance(value, str) and " " in value.strip() and isinstance(info.context, Context):
        full = nearest(value, info.context.names)
        if full is not None:
            said = t("'{value}' is a name; the technician's id belongs here.", value=quoted(value))
            raise refuse(said, t("Write the id: {id} ({name}).", id=info.context.names[full], name=full))
    return value


def _meant(value: str, ids: Collection[str], names: Mapping[str, str]) -> str:
    """The suggestion for an unknown id; a full name where the id belongs leads to the id."""
    full = nearest(value, names)
    if full is not None and names[full] in ids:
        return t("Write the id: {id} ({name}).", id=names[full], name=full)
    return did_you_mean(value, ids)


def none_yet(value: Any) -> Any:
    """Cylinders that are still to be chosen: 'auto' is no cylinder's id."""
    return () if value in (AUTO, [AUTO], (AUTO,)) else value


def no_more_than(most: int) -> Callable[[Any], Any]:
    """Refuse a list that is too long before each of its items is looked at, and for each the nearest known word."""

    def check(value: Any) -> Any:
        if isinstance(value, (list, tuple)) and len(value) > most:
            raise PydanticKnownError(
                "too_long", {"field_type": "List", "max_length": most, "actual_length": len(value)}
            )
        return value

    return check


def job_is_the_files_name(value: str, info: ValidationInfo) -> str:
    """A job lies in the file of its name, and its record's address fits the code."""
    context = info.context
    if not isinstance(context, Context):
        return value
    if context.file_stem and value != context.file_stem:
        raise refuse(
            t(
                "The job is '{job}' and its file is '{file}.yaml': they must agree.",
                job=value,
                file=quoted(context.file_stem),
            )
        )
    over = len(context.records_url) + len(value) + context.suffix_length + _AROUND - RECORD_ADDRESS_MAX
    if context.records_url and over > 0:
        raise refuse(
            t(
                "The record's address is {over} characters too long for the code on the page: shorten the job's id or records_url.",
                over=over,
            )
        )
    return value


def date_is_the_folders(value: Any, info: ValidationInfo) -> Any:
    """A job lies in the folder of its day."""
    if isinstance(info.context, Context) and info.context.folder and value.isoformat() != info.context.folder:
        raise refuse(
            t(
                "The job's date is {date} and its folder is '{folder}': they must agree.",
                date=value.isoformat(),
                folder=quoted(info.context.folder),
            )
        )
    return value


def supervisor_is_another(value: str | None, info: ValidationInfo) -> str | None:
    """Nobody supervises himself."""
    if value is not None and value == info.data.get("technician"):
        raise refuse(t("The supervisor must be another person than the technician."))
    return value


def second_is_another(value: str | None, info: ValidationInfo) -> str | None:
    """Nobody is his own second person."""
    if value is not None and value == info.data.get("technician"):
        raise refuse(t("The second person must be another than the technician."))
    return value


def oil_change_is_not_major(*, oil_change: bool, major: bool) -> None:
    """Refuse an oil change that is called a major repair: the law's 5 psig is for what is not (40 CFR 82.156(a)(1))."""
    if oil_change and major:
        raise refuse(t("Opened only to change the oil is not a major repair: write 'major: no'."), part="oil_change")


def receiver_is_there(capacity_lb: float | None, *, receiver: bool) -> None:
    """Refuse the capacity of a receiver that the appliance does not have."""
    if capacity_lb is not None and not receiver:
        raise refuse(
            t("A receiver's capacity is given and 'receiver: yes' is not said of the appliance."),
            part="receiver_capacity_lb",
        )


def burned_out_or_running(*, burnout: bool, compressor_runs: bool) -> None:
    """Refuse a compressor that burned out and runs: the steps would have it started."""
    if burnout and compressor_runs:
        raise refuse(t("A compressor that burned out does not run: 'compressor_runs' says it does."), part="burnout")


def isolated_within_charge(isolated_lb: float | None, charge_lb: float) -> None:
    """Refuse an isolated part that holds more than the whole charge."""
    # A hair of tolerance: one may have been typed in kilograms.
    if isolated_lb is not None and isolated_lb > charge_lb * 1.000001:
        raise refuse(t("The isolated part holds more than the whole charge."), part="isolated_charge_lb")


def hottest_not_below_ambient(value: float, info: ValidationInfo) -> float:
    """The cylinder gets at least as hot as the air."""
    ambient_F = info.data.get("ambient_F")
    # A hair of tolerance: one may have been typed in degrees Celsius.
    if ambient_F is not None and value < ambient_F - 0.001:
        raise refuse(t("The hottest temperature is below the ambient one."))
    return value


def composition_is_analyzed(refrigerant: str | None, analysis: str) -> None:
    """Refuse a composition that does not say whose analysis it is: the paper says it."""
    if refrigerant is not None and "%" in refrigerant and not analysis:
        raise refuse(
            t("A composition needs to say whose analysis it is."),
            t('Write analysis: "identifier ID-2, 2026-11-25".'),
            part="refrigerant",
        )


def made_before_tested(value: Month | None, info: ValidationInfo) -> Month | None:
    """A cylinder is made before it is requalified."""
    tested = info.data.get("tested")
    if value is not None and tested is not None and (tested.year, tested.month) < (value.year, value.month):
        raise refuse(t("Made in {made} but tested in {tested}, before that.", made=value, tested=tested))
    return value


def contents_can_be(value: float, info: ValidationInfo) -> float:
    """Contents need a name, and no refrigerant is heavy enough to pass the water's weight by far."""
    if value > 0 and info.data.get("refrigerant", "") is None:
        raise refuse(
            t("The cylinder is empty and evacuated, so it cannot hold anything: name the refrigerant, or 'mixed'.")
        )
    water_capacity_lb = info.data.get("water_capacity_lb")
    if water_capacity_lb is not None and value > HEAVIEST_SPECIFIC_GRAVITY * water_capacity_lb:
        raise refuse(t("No refrigerant is so heavy that a cylinder of this water capacity could hold that much."))
    return value


def max_gross_above_tare(value: float | None, info: ValidationInfo) -> float | None:
    """A cylinder's maximum gross weight includes its tare."""
    tare_lb = info.data.get("tare_lb")
    if value is not None and tare_lb is not None and value <= tare_lb:
        raise refuse(t("The maximum gross weight is not above the tare, which is part of it."))
    return value


def reason_out_of_service(value: Any) -> Any:
    """Why a cylinder may not be used: words, not yes or no, which could be read either way."""
    if isinstance(value, str) and value.strip().casefold() in {"", "yes", "no", "true", "false"}:
        raise refuse(t("Give the reason in words; leave the key out when the cylinder may be used."))
    return text(value)


def reason_called_off(value: Any) -> Any:
    """Why a job is called off: words, so that whoever reads the file later knows."""
    if isinstance(value, str) and value.strip().casefold() in {"", "yes", "no", "true", "false"}:
        raise refuse(t("Give the reason in words; leave the key out while the job stands."))
    return text(value)


def step_below_capacity(value: float, info: ValidationInfo) -> float:
    """A scale's step is a small part of what it weighs."""
    capacity_lb = info.data.get("capacity_lb")
    if capacity_lb is not None and value > capacity_lb / 10:
        raise refuse(t("The smallest step is more than a tenth of what the scale weighs."))
    return value


def table_ends_after_it_starts(value: float, info: ValidationInfo) -> float:
    """The fill table runs upward."""
    if value <= info.data.get("table_from_F", value - 1):
        raise refuse(t("The fill table must end above the temperature it starts from."))
    return value


def table_fits_the_page(value: float, info: ValidationInfo) -> float:
    """The fill table's rows fit its page."""
    first, last = info.data.get("table_from_F"), info.data.get("table_to_F")
    if first is not None and last is not None and (last - first) / value > MOST_TABLE_ROWS:
        raise refuse(t("That makes more than {rows} rows, which do not fit the page.", rows=MOST_TABLE_ROWS))
    return value


def apprentice_or_certified(value: tuple[str, ...]) -> tuple[str, ...]:
    """An apprentice holds nothing else."""
    if "apprentice" in value and len(value) > 1:
        raise refuse(t("Who holds a certification is not an apprentice: keep one of the two."))
    return value


def records_url(value: Any) -> Any:
    """An http(s) address that a code on paper can carry; a slash at its end is dropped."""
    if not isinstance(value, str):
        return value
    address = text(value).rstrip("/")
    try:
        parts = urlsplit(address)
        host = parts.hostname or ""
        _ = parts.port
    except ValueError:
        raise refuse(t("'{value}' is not a web address.", value=quoted(value))) from None
    if parts.scheme not in {"http", "https"} or not re.fullmatch(r"[A-Za-z0-9.-]+", host, re.ASCII):
        raise refuse(t("'{value}' is not a web address: write it as https://records.example.", value=quoted(value)))
    if parts.query or parts.fragment or parts.username or not re.fullmatch(r"[A-Za-z0-9._~:/%-]+", address, re.ASCII):
        raise refuse(
            t(
                "The address may hold a host and a path of plain letters, nothing else: no '?', no '#', no user, no spaces."
            )
        )
    if len(address) > RECORDS_URL_MAX:
        raise refuse(
            t(
                "The address has {length} characters; the code on each page has room for {most}.",
                length=len(address),
                most=RECORDS_URL_MAX,
            )
        )
    return address


def languages_hold_the_language(values: tuple[str, ...], info: ValidationInfo) -> tuple[str, ...]:
    """The language named beside them is one of the two."""
    main = info.data.get("language")
    if values and main is not None and main not in values:
        raise refuse(t("'language' is {language}, which is not one of these.", language=main))
    return values


def records_secret(value: Any) -> Any:
    """A text that nobody can guess. No complaint repeats it."""
    if not isinstance(value, str):
        return value
    secret = text(value)
    if not LEAST_SECRET <= len(secret) <= MOST_SECRET or len(set(secret)) < LEAST_SECRET // 2:
        raise refuse(
            t(
                "Nobody may be able to guess this: {least} to {most} letters, and not the same few again.",
                least=LEAST_SECRET,
                most=MOST_SECRET,
            ),
            t("Hit the keys at random, or let a password manager make one; keep it as long as the shop does."),
        )
    return secret


def address_leaves_room(address: str, *, secret: bool) -> None:
    """Refuse an address that leaves no room in the code for what the secret puts behind the job."""
    most = RECORDS_URL_MAX - SUFFIX_LENGTH
    if secret and len(address) > most:
        raise refuse(
            t(
                "The address has {length} characters; beside what records_secret adds, the code on each page has room for {most}.",
                length=len(address),
                most=most,
            ),
            part="records_url",
        )


def language(value: Any) -> Any:
    """A language the package has a catalogue for."""
    if not isinstance(value, str):
        return value
    there = languages()
    if value not in there:
        raise refuse(
            t(
                "There is no catalogue for the language '{value}'. Known: {names}.",
                value=quoted(value),
                names=", ".join(there),
            )
        )
    return value
