"""From nodes to a record: unknown keys, both units at once and wrong values, all found in one pass, in plain words."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from packet.refrigerant.own import WrongPartError, name_from, part_of
from packet.shop.checks import Context
from packet.shop.complaints import Location, in_plain_words, key_at
from packet.shop.fields import BY_COMPOSITION, Quantity, number
from packet.shop.other_units import in_our_unit
from packet.shop.problems import MOST_PROBLEMS, Loaded, Problem, at_most, did_you_mean, nearest, quoted
from packet.shop.records import Ports, Record
from packet.shop.shape import Key, homes, keys, typed_names
from packet.shop.text import KeyValue, Map, Node, Seq, Text
from packet.words import t

R = TypeVar("R", bound=Record)
# The one line of a composition that is no part.
BASIS = "basis"


class _Place(NamedTuple):
    """Where a value was typed: the line, the key as typed, and in which unit where that was not the record's."""

    line: int
    typed: str
    si: Quantity | None = None
    value: str = ""


@dataclass
class _Reading:
    """One file being typed: what was met where, and the problems so far."""

    file: str
    record: type[Record]  # the file's own
    problems: list[Problem] = field(default_factory=list)
    places: dict[Location, _Place] = field(default_factory=dict)
    done: set[Location] = field(default_factory=set)  # a problem was told; the record's own complaint is not wanted

    @property
    def full(self) -> bool:
        """Whether there are more problems than will be told."""
        return len(self.problems) > MOST_PROBLEMS

    def tell(self, line: int, where: str, message: str, suggestion: str = "", *, about: Location = ()) -> None:
        """Note a problem. about: the place of the record it silences."""
        if self.full:
            return
        self.problems.append(Problem(self.file, line, where, message, suggestion))
        if about:
            self.done.add(about)


def build(
    record: type[R], node: Node, file: str, *, recorded_as: str = "", context: Context | None = None, prefix: str = ""
) -> Loaded[R]:
    """A record of the given class from a node.

    file: the name in the problems. recorded_as: the name the record keeps (`Record.where`), by default the same.
    context: what a job is checked against. prefix: what stands before the field's name in the problems.
    """
    reading = _Reading(file, record)
    if not isinstance(node, Map):
        return Loaded(None, (Problem(file, node.line, prefix, *_not_a_block(record)),))
    typed = _block(record, node, (), prefix, reading)
    try:
        value = record.model_validate(typed, context=context)
    except ValidationError as error:
        details = error.errors(include_url=False)
        for detail in details:
            if reading.full:
                break
            if not _only_a_consequence(detail, details):
                _complaint(record, detail, node, prefix, reading)
        return Loaded(None, tuple(at_most(reading.problems)))
    if reading.problems:
        return Loaded(None, tuple(at_most(reading.problems)))
    _remember(value, (), node.line, reading, recorded_as or file)
    return Loaded(value)


def _not_a_block(record: type[Record]) -> tuple[str, str]:
    first = next(iter(keys(record)))
    return t("A block of 'key: value' lines is expected here."), t("Start with '{key}:'.", key=first)


def _block(record: type[Record], node: Map, at: Location, path: str, reading: _Reading) -> dict[str, Any]:
    """The values of a block by field name, as text or as typed numbers."""
    names = typed_names(record)
    typed: dict[str, Any] = {}
    first: dict[str, KeyValue] = {}
    for entry in node.entries:
        word = entry.key if entry.key in names else quoted(entry.key)
        where = f"{path}.{word}" if path else word
        if reading.full:
            break
        if entry.key not in names:
            _not_a_key(entry, names, reading, at=at, where=where)
            continue
        key, is_si = names[entry.key]
        if key.name in first:
            other = first[key.name]
            reading.tell(
                entry.line,
                where,
                t("Given in both units: '{other}' is on line {line}.", other=other.key, line=other.line),
                t("Keep one of them."),
                about=(*at, key.name),
            )
            continue
        first[key.name] = entry
        value = entry.node
        reading.places[(*at, key.name)] = _Place(
            entry.line, where, key.quantity if is_si else None, value.value if isinstance(value, Text) else ""
        )
        if isinstance(value, Text) and value.blank:
            continue
        _value(key, value, typed, reading, is_si=is_si, at=(*at, key.name), where=where)
    return typed


def _not_a_key(
    entry: KeyValue, names: Mapping[str, tuple[Key, bool]], reading: _Reading, *, at: Location, where: str
) -> None:
    """Tell about a key that is none here: misplaced, misspelled, or a piece of a text with a comma in it.

    A slip in a key is one problem: the key that was meant is not told to be missing as well.
    """
    typed = entry.node.value if isinstance(entry.node, Text) else ""
    other = in_our_unit(entry.key, typed, (key for key, is_si in names.values() if not is_si))
    near = nearest(entry.key, names)
    home = homes(reading.record).get(entry.key)
    meant: Location = (*at, names[near][0].name) if near else ()
    if other is not None:
        suggestion, meant = other[1], (*at, other[0].name)
    elif home is not None:
        suggestion, meant = t("It belongs under '{block}:'.", block=".".join(home[:-1])), home
    elif near is None and isinstance(entry.node, Text) and entry.node.blank:
        # a comma inside braces makes keys that nobody meant
        suggestion = t("If it belongs to the text before the comma, put that text in quotes.")
    else:
        suggestion = did_you_mean(entry.key, names)
    reading.tell(entry.line, where, t("'{key}' is not a key here.", key=quoted(entry.key)), suggestion, about=meant)


def _value(
    key: Key, node: Node, typed: dict[str, Any], reading: _Reading, *, is_si: bool, at: Location, where: str
) -> None:
    """Put the value of one key into `typed`, or tell what is wrong with it."""
    if key.record is not None and key.is_list:
        if not isinstance(node, Seq):
            reading.tell(node.line, where, t("A list is expected here."), t("Start each item with '- '."), about=at)
            return
        typed[key.name] = list(_records(key.record, node, at, where, reading))
    elif key.record is Ports and not isinstance(node, Map):
        typed[key.name] = list(_words(node, at, where, reading))
    elif key.record is not None:
        if not isinstance(node, Map):
            reading.tell(node.line, where, *_not_a_block(key.record), about=at)
            return
        block = _block(key.record, node, at, where, reading)
        if is_si and key.quantity is not None:
            for name, value in list(block.items()):
                _from_si(key.quantity, value, block, reading, name=name, at=(*at, name))
        typed[key.name] = block
    elif BY_COMPOSITION in key.marks and isinstance(node, Map):
        _composition(key, node, typed, reading, at=at, where=where)
    elif key.is_list:
        typed[key.name] = list(_words(node, at, where, reading))
    elif not isinstance(node, Text):
        reading.tell(node.line, where, t("One value is expected here, not a list or a block."), about=at)
    elif is_si and key.quantity is not None:
        _from_si(key.quantity, node.value, typed, reading, name=key.name, at=at)
    else:
        typed[key.name] = node.value


def _composition(key: Key, node: Map, typed: dict[str, Any], reading: _Reading, *, at: Location, where: str) -> None:
    """The name of a gas given as `part: percent` lines, with `basis: mole` where the percent are of moles."""
    typed[key.name] = "mixed"  # what it is where it cannot be read: the record has nothing to add to what is told
    parts: list[tuple[str, float]] = []
    by_mole, sound = False, True
    lines: dict[str, int] = {}

    def tell(line: int, part: str, message: str, suggestion: str = "") -> None:
        nonlocal sound
        sound = False
        reading.tell(line, f"{where}.{quoted(part)}" if part else where, message, suggestion, about=at)

    for entry in node.entries:
        lines[entry.key] = entry.line
        if not isinstance(entry.node, Text) or entry.node.blank:
            tell(entry.line, entry.key, t("A number of percent is expected here."), t("Write {R-22: 62, R-407C: 38}."))
        elif entry.key == BASIS:
            by_mole = entry.node.value == "mole"
            if entry.node.value not in {"mass", "mole"}:
                message = t("'{value}' is not one of the words used here.", value=quoted(entry.node.value))
                tell(entry.line, entry.key, message, t("Use one of: {names}.", names="mass, mole"))
        else:
            try:
                part_of(entry.key)
                parts.append((entry.key, number(entry.node.value.strip().removesuffix("%").strip())))
            except WrongPartError as wrong:
                tell(entry.line, entry.key, str(wrong), wrong.suggestion)
            except PydanticCustomError as wrong:
                tell(entry.line, entry.key, wrong.message())
    if not sound:
        return
    try:
        typed[key.name] = name_from(parts, by_mole=by_mole)
    except WrongPartError as wrong:
        tell(lines.get(wrong.part, node.line), wrong.part, str(wrong), wrong.suggestion)


def _from_si(
    quantity: Quantity, value: Any, typed: dict[str, Any], reading: _Reading, *, name: str, at: Location
) -> None:
    """The US figure of an SI text; a text that is no number stays, and the record says so."""
    place = reading.places[at]
    reading.places[at] = _Place(place.line, place.typed, quantity, place.value)
    try:
        typed[name] = quantity.from_si(number(value))
    except ValueError:  # what `number` refuses with is a ValueError; the record refuses it again, with its sentence
        typed[name] = value


def _records(record: type[Record], node: Seq, at: Location, where: str, reading: _Reading) -> Iterator[dict[str, Any]]:
    seen: dict[str, int] = {}
    for index, item in enumerate(node.items):
        here = f"{where}[{_name(item, index)}]"
        place = (*at, index)
        reading.places[place] = _Place(item.line, here)
        if not isinstance(item, Map):
            reading.tell(item.line, here, *_not_a_block(record), about=place)
            yield {}
            continue
        told = tell_duplicate(item, seen)
        if told is not None:
            reading.tell(told[0], f"{here}.id", told[1], t("Give each an id of its own."))
        yield _block(record, item, place, here, reading)


def tell_duplicate(item: Map, seen: dict[str, int]) -> tuple[int, str] | None:
    """(line, sentence) when this item's id was seen before (in capitals or not); else it is added to `seen`."""
    for entry in item.entries:
        if entry.key == "id" and isinstance(entry.node, Text) and not entry.node.blank:
            folded = entry.node.value.casefold()
            if folded in seen:
                return entry.line, t(
                    "The id '{id}' is used twice; first on line {line}.", id=quoted(entry.node.value), line=seen[folded]
                )
            seen[folded] = entry.line
    return None


def _name(item: Node, index: int) -> str:
    """How an item of a list is called in a field's name: by its id where it has one, else by its number from 0."""
    if isinstance(item, Map):
        for entry in item.entries:
            if entry.key == "id" and isinstance(entry.node, Text) and entry.node.value:
                return quoted(entry.node.value)
    return str(index)


def _words(node: Node, at: Location, where: str, reading: _Reading) -> Iterator[str]:
    """The texts of a list; a single value stands for a list of one."""
    if isinstance(node, Text) and "," in node.value:
        meant = t("Write [{words}].", words=quoted(node.value))
        reading.tell(node.line, where, t("A list of words is expected here."), meant, about=at)
        return
    items = node.items if isinstance(node, Seq) else (node,)
    seen: dict[str, int] = {}
    for index, item in enumerate(items):
        place = (*at, index)
        here = f"{where}[{index}]" if isinstance(node, Seq) else where
        if not isinstance(item, Text):
            reading.tell(item.line, here, t("A list of words is expected here."), t("Write [one, two]."), about=at)
            return
        reading.places[place] = _Place(item.line, here, None, item.value)
        if item.value in seen:
            reading.tell(
                item.line, here, t("'{value}' is listed twice.", value=quoted(item.value)), t("Keep one of them.")
            )
        seen[item.value] = item.line
        yield item.value


def _only_a_consequence(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """A list counts as too short when its one item was refused; the item's own problem is the one to tell."""
    at = detail["loc"]
    return detail["type"] == "too_short" and any(
        other["loc"][: len(at)] == at and len(other["loc"]) > len(at) for other in details
    )


def _complaint(record: type[Record], detail: ErrorDetails, node: Map, prefix: str, reading: _Reading) -> None:
    """Tell one of pydantic's errors in plain words, unless something was told about that place already."""
    at: Location = tuple(detail["loc"])
    part = detail.get("ctx", {}).get("part")
    if part:
        at = (*at, part)
    if any(at[:length] in reading.done for length in range(1, len(at) + 1)):
        return
    place = reading.places.get(at)
    kind = detail["type"]
    if kind == "missing":
        owner, name = at[:-1], str(at[-1])
        if place is not None:
            key = key_at(record, at)
            what = t(key.description) if key is not None else ""
            reading.tell(place.line, place.typed, t("A value is missing after '{key}:'.", key=name), what)
            return
        above = reading.places.get(owner)
        path = above.typed if above else prefix
        key = key_at(record, at)
        reading.tell(
            above.line if above else node.line,
            f"{path}.{name}" if path else name,
            t("'{key}' is missing.", key=name),
            t(key.description) if key is not None else "",
        )
        return
    while place is None and at:
        at = at[:-1]
        place = reading.places.get(at)
    message, suggestion = in_plain_words(detail, place.si if place else None, place.value if place else "", record)
    reading.tell(place.line if place else node.line, place.typed if place else prefix, message, suggestion)


def _remember(record: Record, at: Location, line: int, reading: _Reading, file: str) -> None:
    """Give a record and those inside it their file, lines and typed keys."""
    lines, typed = {"": line}, {}
    for name, key in keys(type(record)).items():
        here = (*at, name)
        place = reading.places.get(here)
        if place is None:
            continue  # not typed, and nothing inside it was
        lines[name] = place.line
        typed[name] = place.typed.rsplit(".", 1)[-1]
        value = getattr(record, name)
        for index, item in enumerate((value or ()) if key.is_list else ()):
            spot = reading.places.get((*here, index))
            if spot is not None and isinstance(item, Record):
                _remember(item, (*here, index), spot.line, reading, file)
            elif spot is not None:
                lines[f"{name}[{index}]"] = spot.line
        if isinstance(value, Record):
            _remember(value, here, place.line, reading, file)
    # Private attributes of a frozen record: set once, here, before anybody else sees it, all three at a time.
    record.__pydantic_private__ = {"_file": file, "_lines": lines, "_typed": typed}
