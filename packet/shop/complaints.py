"""What the record classes complain about, in plain words; the library's own sentences never reach a user."""

from typing import Any

from pydantic_core import ErrorDetails

from packet.shop.fields import Quantity
from packet.shop.problems import nearest, quoted
from packet.shop.records import Record
from packet.shop.shape import Key, bare, choices, keys
from packet.units import plain
from packet.words import t

Location = tuple[str | int, ...]


def key_at(record: type[Record], at: Location) -> Key | None:
    """The key at a location of a record."""
    found: Key | None = None
    holder: type[Record] | None = record
    for part in at:
        if isinstance(part, int):
            continue
        if holder is None:
            return found
        found = keys(holder).get(part)
        holder = found.record if found else None
    return found


def in_plain_words(detail: ErrorDetails, si: Quantity | None, typed: str, record: type[Record]) -> tuple[str, str]:
    """The sentence and suggestion for one of pydantic's errors. si: the unit typed, when it was not the record's."""
    context: dict[str, Any] = detail.get("ctx", {})
    kind = detail["type"]
    if kind == "plain":
        return str(context["sentence"]), str(context["suggestion"])
    if kind in {"greater_than_equal", "less_than_equal"}:
        bound = float(context["ge" if kind == "greater_than_equal" else "le"])
        limit = _short(si.to_si(bound) if si else bound)
        value = quoted(typed or str(detail["input"]))
        if kind == "greater_than_equal" and bound >= 0 and value.startswith("-"):
            return t("{value} is negative, which this cannot be.", value=value), ""
        if kind == "greater_than_equal":
            return t("{value} is below {limit}, the least that can be meant.", value=value, limit=limit), ""
        return t("{value} is above {limit}, the most that can be meant.", value=value, limit=limit), ""
    if kind == "literal_error":
        key = key_at(record, tuple(detail["loc"]))
        words = choices(bare(key.annotation)[0]) if key and not key.is_list else ()
        if key is not None and key.is_list:
            words = choices(bare(key.annotation.__args__[0])[0])
        value = str(detail["input"])
        near = nearest(value, words)
        known = t("Use one of: {names}.", names=", ".join(words))
        return (
            t("'{value}' is not one of the words used here.", value=quoted(value)),
            t("Did you mean '{near}'? {known}", near=near, known=known) if near else known,
        )
    if kind in {"string_too_short", "too_short"}:
        return t("This may not be empty."), ""
    if kind in {"string_too_long", "too_long"} and isinstance(detail["input"], str):
        return t("This text is too long: at most {most} characters.", most=context["max_length"]), ""
    if kind == "too_long":
        return t("This list is too long: at most {most}.", most=context["max_length"]), ""
    return t("'{value}' does not fit here.", value=quoted(typed or str(detail["input"]))), ""


def _short(value: float) -> str:
    """A bound as people write it: no trailing zeros."""
    return plain(value, 2 if abs(value) >= 1 else 6).rstrip("0").rstrip(".")
