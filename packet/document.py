"""Frozen records to plain data and back by one walk over their fields: what a record holds is what its document says.

A record becomes an object with the record's own field names, a tuple a list, named pairs an object, a date its ISO
text, a number with its working (`Worked`) its value alone. `Shape(T).out(value)` gives data ready for JSON,
`Shape(T).back(data)` the same record, or a ShapeError that names the place. Fields are found on the records
themselves: a new one is in every document from then on, and one with a default may be absent from an older document.
"""

import base64
import contextlib
import dataclasses
import json
import re
import types
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal, InvalidOperation
from functools import cache
from hashlib import sha256
from math import isfinite
from operator import attrgetter
from typing import Annotated, Any, Generic, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from pydantic import BaseModel
from pydantic_core import PydanticUndefined

from packet.words import t
from packet.worked import Worked

Data = Any  # None, bool, int, float, str, a list or a dict with text keys, all the way down
T = TypeVar("T")

# Where a record that was typed in a file says so; no field of a record has this name.
TYPED_AT = "typed_at"
REVISION_LETTERS = 8


class ShapeError(ValueError):
    """Data that is not of the expected shape. path: where, as in 'cylinders[0].tare_lb'; what: a sentence's rest."""

    def __init__(self, path: str, what: str) -> None:
        self.path = path
        self.what = what
        super().__init__(f"{path}: {what}" if path else what)


@dataclass
class Beside:
    """What stands beside a document: the workings of its numbers, and the records that it names by id.

    steps: each step of a working once; numbers: which number ends at which step. known: by class, the records by id.
    filled: values of the fields that a document leaves out.
    """

    steps: list[dict[str, Data]] = field(default_factory=list)
    numbers: dict[str, int] = field(default_factory=dict)
    known: Mapping[type, Mapping[str, Any]] = field(default_factory=dict)
    filled: Mapping[tuple[type, str], Any] = field(default_factory=dict)
    _by_step: dict[tuple[Any, ...], int] = field(default_factory=dict, repr=False)
    _by_identity: dict[int, tuple[Worked, int]] = field(default_factory=dict, repr=False)
    _read: dict[int, Worked] = field(default_factory=dict, repr=False)

    def add(self, path: str, number: Worked) -> None:
        """Keep the working of the number at `path`."""
        self.numbers[path] = self._step(number)

    def _step(self, number: Worked) -> int:
        known = self._by_identity.get(id(number))
        if known is not None:
            return known[1]
        inputs = tuple((name, self._step(part)) for name, part in number.inputs)
        key = (_OWN(number), inputs)
        order = self._by_step.setdefault(key, len(self.steps))
        if order == len(self.steps):
            step = {name: value for name, value in _STEP.out(number).items() if value != _USUAL.get(name, self)}
            self.steps.append(step | ({"inputs": dict(inputs)} if inputs else {}))
        self._by_identity[id(number)] = (number, order)  # kept alive, so that its id stays its own
        return order

    def get(self, path: str) -> Worked | None:
        """The number with its working, None when the document has none for this path. Raises ShapeError."""
        order = self.numbers.get(path)
        return None if order is None else self._number(order)

    def _number(self, order: int) -> Worked:
        if order not in self._read:
            if not 0 <= order < len(self.steps):
                raise ShapeError(f"workings.steps[{order}]", t("there is no such step"))
            step, path = self.steps[order], f"workings.steps[{order}]"
            whole = _STEP.back(step, path)
            below = _INPUTS.back(step.get("inputs", {}), _under(path, "inputs"))
            # a step rests only on steps before it: what somebody bent into a circle is refused, not followed
            if any(part >= order for part in below.values()):
                raise ShapeError(path, t("it rests on a later step"))
            inputs = tuple((name, self._number(part)) for name, part in below.items())
            self._read[order] = dataclasses.replace(whole, inputs=inputs)
        return self._read[order]


@dataclass(frozen=True, slots=True)
class _Rule:
    """The two directions of one type. plain: what it holds is its own data, wherever it stands."""

    out: Callable[[Any, str, Beside | None], Data]
    back: Callable[[Data, str, Beside | None], Any]
    plain: bool = False


class Shape(Generic[T]):
    """A type's document.

    by_id: record classes written as the value of that field alone, and found again in `Beside.known`. names: other keys
    for fields; None leaves the field out, to be filled from `Beside.filled`. derived: further keys of a record, written
    and never read.
    """

    def __init__(
        self,
        of: type[T],
        *,
        by_id: Mapping[type, str] | None = None,
        names: Mapping[tuple[type, str], str | None] | None = None,
        derived: Mapping[type, Callable[[Any], dict[str, Data]]] | None = None,
    ) -> None:
        self._by_id = dict(by_id or {})
        self._names = dict(names or {})
        self._derived = dict(derived or {})
        self._rules: dict[Any, _Rule] = {}
        # a step of a working is the one place where a Worked is more than its value
        self._rule = self._record(of) if of is Worked else self._of(of)

    def out(self, value: T, beside: Beside | None = None, path: str = "") -> Data:
        """The data. workings: where numbers leave theirs."""
        return self._rule.out(value, path, beside)

    def back(self, data: Data, path: str = "", beside: Beside | None = None) -> T:
        """The record. Raises ShapeError."""
        value: T = self._rule.back(data, path, beside)
        return value

    def _of(self, annotation: Any) -> _Rule:
        while get_origin(annotation) is Annotated:
            annotation = get_args(annotation)[0]
        if annotation not in self._rules:
            self._rules[annotation] = self._later(annotation)
            self._rules[annotation] = self._made(annotation)
        return self._rules[annotation]

    def _later(self, annotation: Any) -> _Rule:
        """What a record that may hold its own kind finds while its rule is being made."""

        def out(value: Any, path: str, beside: Beside | None) -> Data:
            return self._rules[annotation].out(value, path, beside)

        def back(data: Data, path: str, beside: Beside | None) -> Any:
            return self._rules[annotation].back(data, path, beside)

        return _Rule(out, back)

    def _made(self, annotation: Any) -> _Rule:
        origin = get_origin(annotation)
        if annotation in self._by_id:
            return _named(annotation, self._by_id[annotation])
        if annotation is Worked:
            return _Rule(_worked_out, _worked_back)
        if annotation in _SCALARS:
            return _SCALARS[annotation]
        if annotation is Any:
            return _Rule(lambda value, _path, _w: value, lambda data, _path, _w: data)
        if origin is Literal:
            return _literal(get_args(annotation))
        if origin in {Union, types.UnionType}:
            return self._union(get_args(annotation))
        if origin is tuple:
            return self._tuple(get_args(annotation))
        if origin is frozenset:
            return self._frozenset(get_args(annotation)[0])
        if isinstance(origin, type) and issubclass(origin, Mapping):
            return self._mapping(get_args(annotation)[1])
        if isinstance(annotation, type) and (dataclasses.is_dataclass(annotation) or issubclass(annotation, BaseModel)):
            return self._record(annotation)
        raise TypeError(f"no document for {annotation}")

    def _union(self, members: tuple[Any, ...]) -> _Rule:
        rules = [(item, self._of(item)) for item in members if item is not type(None)]
        optional = len(rules) < len(members)

        def out(value: Any, path: str, beside: Beside | None) -> Data:
            if value is None and optional:
                return None
            for item, rule in rules:
                if len(rules) == 1 or _is_a(value, item):
                    return rule.out(value, path, beside)
            raise TypeError(f"{path}: {value!r}")

        def back(data: Data, path: str, beside: Beside | None) -> Any:
            if data is None and optional:
                return None
            problem = ShapeError(path, t("a value is expected"))
            for _, rule in rules:
                try:
                    return rule.back(data, path, beside)
                except ShapeError as error:
                    problem = error
            raise problem

        return _Rule(out, back, plain=len(rules) == 1 and rules[0][1].plain)

    def _tuple(self, parts: tuple[Any, ...]) -> _Rule:
        if len(parts) == 2 and parts[1] is Ellipsis:
            pair = get_args(parts[0])
            if get_origin(parts[0]) is tuple and len(pair) == 2 and pair[0] is str:
                return self._pairs(pair[1])
            item = self._of(parts[0])
            return _Rule(
                (lambda value, _path, _w: list(value))
                if item.plain
                else (lambda value, path, w: [item.out(one, f"{path}[{order}]", w) for order, one in enumerate(value)]),
                lambda data, path, w: tuple(
                    item.back(one, f"{path}[{order}]", w) for order, one in enumerate(_list(data, path))
                ),
            )
        rules = tuple(self._of(part) for part in parts)

        def back(data: Data, path: str, beside: Beside | None) -> Any:
            if len(_list(data, path)) != len(rules):
                raise ShapeError(path, t("{count} values are expected", count=len(rules)))
            both = zip(rules, data, strict=True)
            return tuple(rule.back(one, f"{path}[{order}]", beside) for order, (rule, one) in enumerate(both))

        return _Rule(
            lambda value, path, w: [
                rule.out(one, f"{path}[{order}]", w) for order, (rule, one) in enumerate(zip(rules, value, strict=True))
            ],
            back,
        )

    def _pairs(self, of: Any) -> _Rule:
        """Named pairs: an object whose keys keep their order. A name that stands twice is a slip of the program's."""
        rule = self._mapping(of)

        def out(value: Any, path: str, beside: Beside | None) -> Data:
            if len(dict(value)) != len(value):
                raise ValueError(f"{path}: a name stands twice")
            return rule.out(dict(value), path, beside)

        return _Rule(out, lambda data, path, w: tuple(rule.back(data, path, w).items()))

    def _mapping(self, of: Any) -> _Rule:
        rule = self._of(of)
        return _Rule(
            (lambda value, _path, _w: {str(key): one for key, one in value.items()})
            if rule.plain
            else (
                lambda value, path, w: {
                    str(key): rule.out(one, _under(path, str(key)), w) for key, one in value.items()
                }
            ),
            lambda data, path, w: {
                key: rule.back(one, _under(path, key), w) for key, one in _object(data, path).items()
            },
        )

    def _frozenset(self, of: Any) -> _Rule:
        rule = self._of(of)
        return _Rule(
            lambda value, path, w: sorted(rule.out(one, path, w) for one in value),
            lambda data, path, w: frozenset(rule.back(one, path, w) for one in _list(data, path)),
        )

    def _record(self, record: type) -> _Rule:
        made: list[tuple[_Field, str, _Rule]] = []
        left_out: list[str] = []
        for item in _fields(record):
            key = self._names.get((record, item.name), item.name)
            if key is None:
                left_out.append(item.name)
            else:
                made.append((item, key, self._of(item.annotation)))
        derived = self._derived.get(record)
        written = [(item.name, key, None if rule.plain else rule.out) for item, key, rule in made]

        def out(value: Any, path: str, beside: Beside | None) -> Data:
            data: dict[str, Data] = {}
            for name, key, as_data in written:
                held = getattr(value, name)
                data[key] = held if as_data is None else as_data(held, _under(path, key), beside)
            if isinstance(value, BaseModel):
                data |= _typed_at(value)
            return data | derived(value) if derived else data

        def back(data: Data, path: str, beside: Beside | None) -> Any:
            found = _object(data, path)
            values = {}
            for item, key, rule in made:
                if key in found:
                    values[item.name] = rule.back(found[key], _under(path, key), beside)
                elif item.required:
                    raise ShapeError(_under(path, key), t("it is missing"))
            if left_out and beside is not None:
                values |= {name: beside.filled[(record, name)] for name in left_out if (record, name) in beside.filled}
            return _construct(record, values, found, path)

        return _Rule(out, back)


@dataclass(frozen=True, slots=True)
class _Field:
    """A field of a record. required: it has no default, so that a document must have it."""

    name: str
    annotation: Any
    required: bool


@cache
def _fields(record: type) -> tuple[_Field, ...]:
    if issubclass(record, BaseModel):
        return tuple(
            _Field(name, info.annotation, info.default is PydanticUndefined and info.default_factory is None)
            for name, info in record.model_fields.items()
        )
    hints, missing = get_type_hints(record), dataclasses.MISSING
    return tuple(
        _Field(item.name, hints[item.name], item.default is missing and item.default_factory is missing)
        for item in dataclasses.fields(cast(Any, record))
        if item.init
    )


def _construct(record: type, values: dict[str, Any], data: Mapping[str, Data], path: str) -> Any:
    if not issubclass(record, BaseModel):
        return record(**values)
    # what was checked when it was typed is not checked again: its checks know the file it was typed in
    at = data.get(TYPED_AT)
    place = _PLACE.back(at, _under(path, TYPED_AT)) if at is not None else _Place("", {})
    made = record.model_construct(_fields_set={name for name in place.lines if name in values}, **values)
    if place.file:
        for name, value in (("_file", place.file), ("_lines", dict(place.lines)), ("_typed", dict(place.typed))):
            setattr(made, name, value)
    return made


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a record was typed: its file, the line of each field, and the key where it was not the record's own.

    A record that comes from no file has the names of the fields that were given, at line 0.
    """

    file: str
    lines: Mapping[str, int]
    typed: Mapping[str, str] = field(default_factory=dict)


def _typed_at(value: BaseModel) -> dict[str, Data]:
    file = getattr(value, "_file", "")
    if file:
        return {TYPED_AT: _PLACE.out(_Place(file, value._lines, value._typed))}  # type: ignore[attr-defined]
    given = {name: 0 for name in type(value).model_fields if name in value.model_fields_set}
    return {TYPED_AT: _PLACE.out(_Place("", given))} if given else {}


def _under(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _object(data: Data, path: str) -> Mapping[str, Data]:
    if not isinstance(data, dict):
        raise ShapeError(path, t("named values are expected"))
    return data


def _list(data: Data, path: str) -> list[Data]:
    if not isinstance(data, list):
        raise ShapeError(path, t("a list is expected"))
    return data


def _is_a(value: Any, annotation: Any) -> bool:
    origin = get_origin(annotation)
    if origin is Literal:
        return value in get_args(annotation)
    wanted = origin or annotation
    return isinstance(value, wanted) and not (isinstance(value, bool) and wanted is not bool)


def _named(record: type, id_field: str) -> _Rule:
    def back(data: Data, path: str, beside: Beside | None) -> Any:
        known = beside.known.get(record, {}) if beside is not None else {}
        if not isinstance(data, str) or data not in known:
            raise ShapeError(path, t("nothing of that id stands among the inputs"))
        return known[data]

    return _Rule(lambda value, _path, _b: getattr(value, id_field), back)


def _worked_out(value: Worked, path: str, beside: Beside | None) -> Data:
    if beside is not None:
        beside.add(path, value)
    return _float_out(value.value, path, None)


def _worked_back(data: Data, path: str, beside: Beside | None) -> Worked:
    value = _float_back(data, path, None)
    found = beside.get(path) if beside is not None else None
    if found is None or found.value != value:
        raise ShapeError(path, t("its working is missing, or gives another number"))
    return found


def _float_out(value: float, path: str, _beside: Beside | None) -> float:
    if not isfinite(value):
        raise ValueError(f"{path}: not a number: {value}")
    return float(value)


def _float_back(data: Data, path: str, _beside: Beside | None) -> float:
    if isinstance(data, int | float) and not isinstance(data, bool):
        with contextlib.suppress(OverflowError):  # an integer of four hundred digits
            value = float(data)
            if isfinite(value):
                return value
    raise ShapeError(path, t("a number is expected"))


def _literal(allowed: tuple[Any, ...]) -> _Rule:
    def back(data: Data, path: str, _beside: Beside | None) -> Any:
        # True equals 1: the type must be the same, too
        if not any(data == one and type(data) is type(one) for one in allowed):
            raise ShapeError(path, t("one of {choices} is expected", choices=", ".join(map(str, allowed))))
        return data

    return _Rule(lambda value, _path, _w: value, back, plain=True)


def _exactly(kind: type, what: str) -> _Rule:
    def back(data: Data, path: str, _beside: Beside | None) -> Any:
        if type(data) is not kind:
            raise ShapeError(path, t(what))
        return data

    return _Rule(lambda value, _path, _w: value, back, plain=True)


def _as_text(out: Callable[[Any], str], read: Callable[[str], Any], what: str) -> _Rule:
    def back(data: Data, path: str, _beside: Beside | None) -> Any:
        try:
            if isinstance(data, str):
                return read(data)
        except (ValueError, InvalidOperation):
            pass
        raise ShapeError(path, t(what))

    return _Rule(lambda value, _path, _w: out(value), back)


def _moment(text: str) -> datetime:
    """A time of some place: without one it cannot be put in an order with others."""
    found = datetime.fromisoformat(text)
    if found.tzinfo is None:
        raise ValueError(text)
    return found


def _decimal(text: str) -> Decimal:
    """A number that can be added up: no 'NaN', and no 1E+999999, which written out takes a megabyte."""
    found = Decimal(text)
    if not found.is_finite() or len(text) > 60 or abs(found.adjusted()) > 30:
        raise ValueError(text)
    return found


_SCALARS: dict[Any, _Rule] = {
    str: _exactly(str, "text is expected"),
    bool: _exactly(bool, "yes or no is expected"),
    int: _exactly(int, "a whole number is expected"),
    float: _Rule(_float_out, _float_back),
    date: _as_text(date.isoformat, date.fromisoformat, "a date is expected"),
    datetime: _as_text(datetime.isoformat, _moment, "a date with a time is expected"),
    time: _as_text(lambda value: value.isoformat("minutes"), time.fromisoformat, "a time is expected"),
    Decimal: _as_text(str, _decimal, "a number is expected"),
}


def revision_letters(text: str) -> str:
    """The name that a text's words give it: the first eight base32 letters of its SHA-256."""
    return base64.b32encode(sha256(text.encode()).digest()).decode()[:REVISION_LETTERS]


# half of a sign, as it stands for a byte of a file's name that is no text
_HALF = re.compile("[\ud800-\udfff]")


def text_of(data: Data, broken: int = 3) -> str:
    """The one text of some data: JSON in the order of its records, a line for each value down to `broken` levels."""
    return _lines(data, broken, "") + "\n"


def _lines(data: Data, broken: int, pad: str) -> str:
    if broken and isinstance(data, dict) and data:
        inside = (f"{pad} {_compact(key)}: {_lines(value, broken - 1, pad + ' ')}" for key, value in data.items())
        return "{\n" + ",\n".join(inside) + f"\n{pad}}}"
    if broken and isinstance(data, list) and any(isinstance(item, dict | list) for item in data):
        return "[\n" + ",\n".join(f"{pad} {_lines(item, broken - 1, pad + ' ')}" for item in data) + f"\n{pad}]"
    return _compact(data)


def _compact(data: Data) -> str:
    return _HALF.sub(lambda found: f"\\u{ord(found[0]):04x}", json.dumps(data, ensure_ascii=False, allow_nan=False))


def data_of(text: str | bytes) -> Data:
    """What stands in a JSON text. Raises ShapeError for what is none: cut, too deep, a key twice, a number without end."""
    try:
        return json.loads(text, parse_constant=_no_number, object_pairs_hook=_once)
    except (ValueError, RecursionError) as error:
        why = t("it is nested too deep") if isinstance(error, RecursionError) else str(error)
        raise ShapeError("", why) from None


def _no_number(_name: str) -> None:
    raise ValueError(t("a number is expected"))


def _once(pairs: list[tuple[str, Data]]) -> dict[str, Data]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError(t("a key stands twice"))
    return found


_PLACE = Shape(_Place)
_STEP = Shape(Worked, names={(Worked, "inputs"): None})
_INPUTS = Shape[Mapping[str, int]](Mapping[str, int])  # type: ignore[type-abstract]
_OWN = attrgetter(*(item.name for item in dataclasses.fields(Worked) if item.name != "inputs"))
_USUAL = {item.name: item.default for item in dataclasses.fields(Worked) if item.default is not dataclasses.MISSING}


# The last line of a file that must not be changed: the digest of everything above it.
_SEAL = re.compile(rb',\n "digest": "([0-9a-f]{64})"\n\}\n')
_SEAL_START = b',\n "digest": "'


def sealed(data: dict[str, Data], broken: int = 3) -> bytes:
    """The bytes of a file that ends in the digest of everything above that line."""
    body = text_of(data, broken).removesuffix("\n}\n").encode()
    return body + _SEAL_START + sha256(body).hexdigest().encode() + b'"\n}\n'


@dataclass(frozen=True, slots=True)
class Unsealed:
    """What a sealed file holds. digest: as it says; found_digest: of what it holds now."""

    data: dict[str, Data]
    digest: str
    found_digest: str

    @property
    def sound(self) -> bool:
        """Whether it still says what was written."""
        return self.digest == self.found_digest


def unsealed(content: bytes) -> Unsealed:
    """The data of a sealed file, and whether anybody changed it. Raises ShapeError."""
    cut = content.rfind(_SEAL_START)
    seal = _SEAL.fullmatch(content, max(cut, 0))
    if seal is None:
        raise ShapeError("", t("it does not end with its digest"))
    data = data_of(content)
    if not isinstance(data, dict):
        raise ShapeError("", t("named values are expected"))
    del data["digest"]
    return Unsealed(data, seal[1].decode(), sha256(content[:cut]).hexdigest())
