"""JSON Schemas of the shop's files, made from the record classes, so that an editor completes and checks them.

`python -m packet.shop.schemas` writes them into templates/schemas; a test fails when they are not current. A schema is
a little wider than the loader (it knows no other file) and speaks of YAML 1.2 as editors read it: `2023-04` and `08:30`
are strings there, `yes` too. Blank optional keys are allowed.
"""

import json
from datetime import date, time
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt, MaxLen, MinLen
from pydantic import BeforeValidator

from packet.refrigerant.catalogue import everything
from packet.shop.build import BASIS
from packet.shop.checks import LEAST_SECRET, MOST_SECRET, RECORDS_URL_MAX, language, records_secret, records_url
from packet.shop.fields import BY_COMPOSITION, ID_PATTERN, Month, Quantity, contents, designation, identifier
from packet.shop.records import LIQUID_AND_VAPOR, Cylinder, Equipment, Job, Ports, Record, Shop, Technician
from packet.shop.shape import Key, bare, keys
from packet.shop.whole import write_if_new
from packet.words import N_, languages, t

FileKind = Literal["shop", "cylinders", "machines", "technicians", "job"]
KINDS: tuple[FileKind, ...] = ("shop", "cylinders", "machines", "technicians", "job")

_RECORDS: dict[FileKind, tuple[type[Record], bool]] = {
    "shop": (Shop, False),
    "cylinders": (Cylinder, True),
    "machines": (Equipment, False),
    "technicians": (Technician, True),
    "job": (Job, False),
}
_TITLES: dict[FileKind, str] = {
    "shop": N_("The shop: company, paper, policy, trucks"),
    "cylinders": N_("The register of recovery cylinders"),
    "machines": N_("Recovery machines, scales and kit"),
    "technicians": N_("The technicians and their certification"),
    "job": N_("One recovery job"),
}
Schema = dict[str, Any]


def json_schema(kind: FileKind) -> Schema:
    """The JSON Schema (draft 7, which YAML editors know best) of a kind of file, in the current language."""
    record, is_list = _RECORDS[kind]
    body: Schema = _block(record, None)
    if is_list:
        body = {"type": "array", "items": body}
    return {"$schema": "http://json-schema.org/draft-07/schema#", "title": t(_TITLES[kind]), **body}


def as_text(kind: FileKind) -> str:
    """The schema's file."""
    return json.dumps(json_schema(kind), indent=1, ensure_ascii=False) + "\n"


def write_schemas(folder: Path) -> None:
    """Write all schemas into `folder`, each whole or not at all, untouched where current. Raises OSError."""
    for kind in KINDS:
        write_if_new(folder / f"{kind}.json", as_text(kind).encode())


def _block(record: type[Record], quantity: Quantity | None) -> Schema:
    """A block of keys; quantity: the block holds SI figures of it (rates_kg_per_min)."""
    properties: dict[str, Schema] = {}
    required: list[str] = []
    rules: list[Schema] = []
    for key in keys(record).values():
        properties[key.name] = _described(key, quantity)
        if key.si_name is not None:
            properties[key.si_name] = _described(key, key.quantity)
            rules.append({"not": {"required": [key.name, key.si_name]}})
            if key.required:
                rules.append({"anyOf": [{"required": [key.name]}, {"required": [key.si_name]}]})
        elif key.required:
            required.append(key.name)
    block: Schema = {"type": "object", "additionalProperties": False, "properties": properties}
    if required:
        block["required"] = required
    if rules:
        block["allOf"] = rules
    return block


def _described(key: Key, quantity: Quantity | None) -> Schema:
    value = _value(key, quantity)
    if not key.required:
        value = {"anyOf": [value, {"type": "null"}]}
    described: Schema = {"description": t(key.description)} if key.description else {}
    if quantity is None and isinstance(key.default, (bool, int, float, str)) and key.default != "":
        described["default"] = key.default
    return {**described, **value}


def _value(key: Key, quantity: Quantity | None) -> Schema:
    if key.record is not None:
        block = _block(key.record, quantity)
        if key.record is Ports:  # their names alone leave the kinds unstated
            name: Schema = {"enum": list(LIQUID_AND_VAPOR)}
            return {"anyOf": [block, {"type": "array", "items": name, "uniqueItems": True, "minItems": 1}, name]}
        return {"type": "array", "items": block} if key.is_list else block
    if not key.is_list:
        return _scalar(key.annotation, key.marks, quantity)
    item, marks, _ = bare(get_args(key.annotation)[0])
    one = _scalar(item, marks, None)
    many: Schema = {"type": "array", "items": one, "uniqueItems": True}
    for mark in key.marks:
        if isinstance(mark, MinLen):
            many["minItems"] = mark.min_length
        elif isinstance(mark, MaxLen):
            many["maxItems"] = mark.max_length
    return {"anyOf": [many, one]}


def _scalar(annotation: Any, marks: tuple[Any, ...], quantity: Quantity | None) -> Schema:
    if get_origin(annotation) is Literal:
        return {"enum": list(get_args(annotation))}
    if annotation is bool:
        return {"enum": [True, False, "yes", "no", "Yes", "No", "YES", "NO"]}
    if annotation is Month:
        return {"type": "string", "pattern": "^(19|20)[0-9]{2}-(0[1-9]|1[0-2])$"}
    if annotation is date:
        return {"type": "string", "format": "date", "pattern": "^20[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"}
    if annotation is time:
        return {"type": "string", "pattern": "^([01]?[0-9]|2[0-3]):[0-5][0-9]$"}
    if annotation in {int, float}:
        return {"type": "integer" if annotation is int else "number", **_bounds(marks, quantity)}
    return _text(marks)


def _text(marks: tuple[Any, ...]) -> Schema:
    readers = [mark.func for mark in marks if isinstance(mark, BeforeValidator)]
    if identifier in readers:
        return {"type": ["string", "number"], "pattern": f"^{ID_PATTERN}$"}
    if language in readers:
        return {"enum": list(languages())}
    if records_url in readers:
        return {"type": "string", "pattern": "^https?://", "maxLength": RECORDS_URL_MAX + 1}
    if records_secret in readers:
        return {"type": ["string", "number"], "minLength": LEAST_SECRET, "maxLength": MOST_SECRET}
    if designation in readers or contents in readers:
        names = [item.name for item in everything()]
        first = ["empty", "mixed"] if contents in readers else ["unknown", "mixed"]
        # The names are there to be completed; other spellings of them are accepted too.
        spelled: list[Schema] = [{"enum": [*first, *names]}, {"type": ["string", "integer"]}]
        return {"anyOf": [*spelled, _composition(names)] if BY_COMPOSITION in marks else spelled}
    text: Schema = {"type": ["string", "number", "boolean"]}
    for mark in marks:
        if isinstance(mark, MinLen):
            text["minLength"] = max(mark.min_length, text.get("minLength", 0))
        elif isinstance(mark, MaxLen):
            text["maxLength"] = min(mark.max_length, text.get("maxLength", mark.max_length))
    return text


def _composition(names: list[str]) -> Schema:
    """Percent by part; the names are there to be completed, others are accepted too."""
    percent: Schema = {"type": ["number", "string"]}
    return {
        "type": "object",
        "minProperties": 1,
        "properties": {BASIS: {"enum": ["mass", "mole"]}, **dict.fromkeys(names, percent)},
        "additionalProperties": percent,
    }


def _bounds(marks: tuple[Any, ...], quantity: Quantity | None) -> Schema:
    """The tightest of the bounds, in the unit of the key."""
    lowest: list[tuple[float, str]] = []
    highest: list[tuple[float, str]] = []
    for mark in marks:
        if isinstance(mark, Ge):
            lowest.append((_bound(mark.ge, quantity), "minimum"))
        elif isinstance(mark, Gt):
            lowest.append((_bound(mark.gt, quantity), "exclusiveMinimum"))
        elif isinstance(mark, Le):
            highest.append((_bound(mark.le, quantity), "maximum"))
        elif isinstance(mark, Lt):
            highest.append((_bound(mark.lt, quantity), "exclusiveMaximum"))
    found: Schema = {}
    for value, name in [max(lowest)] if lowest else []:
        found[name] = value
    for value, name in [min(highest)] if highest else []:
        found[name] = value
    return found


def _bound(value: Any, quantity: Quantity | None) -> float:
    exact = quantity.to_si(float(value)) if quantity else float(value)
    rounded = round(exact, 6)
    return int(rounded) if rounded.is_integer() else rounded


if __name__ == "__main__":
    write_schemas(Path(str(files("packet.templates"))) / "schemas")
