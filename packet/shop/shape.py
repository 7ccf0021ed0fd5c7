"""The shape of a record class: its keys, what each holds and under which endings it may be typed.

Read once from the class itself, so that the loader, the schemas and the messages cannot disagree with the records.
"""

import types
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from packet.shop.fields import Quantity
from packet.shop.records import Record


@dataclass(frozen=True, slots=True)
class Key:
    """A field of a record. annotation: its plain type, without None and marks; marks: quantity, bounds, validators.

    record: the record class it holds, itself or as a list's items. quantity: set when it may be typed in SI too.
    """

    name: str
    annotation: Any
    marks: tuple[Any, ...]
    is_list: bool
    record: type[Record] | None
    quantity: Quantity | None
    required: bool
    optional: bool
    default: Any
    description: str

    @property
    def si_name(self) -> str | None:
        """The key's name in SI, where it has one."""
        return self.name.removesuffix(self.quantity.us) + self.quantity.si if self.quantity else None


def bare(annotation: Any) -> tuple[Any, tuple[Any, ...], bool]:
    """A type without its marks and None: (type, marks, whether None is allowed)."""
    marks: tuple[Any, ...] = ()
    optional = False
    while True:
        if get_origin(annotation) is Annotated:
            annotation, *found = get_args(annotation)
            marks += tuple(found)
        elif get_origin(annotation) in {Union, types.UnionType}:
            members = [item for item in get_args(annotation) if item is not type(None)]
            optional = optional or len(members) < len(get_args(annotation))
            annotation = members[0]
        else:
            return annotation, _flat(marks), optional


def _flat(marks: tuple[Any, ...]) -> tuple[Any, ...]:
    """Marks with the ones inside a Field(...) beside the others."""
    found: list[Any] = []
    for mark in marks:
        found += mark.metadata if isinstance(mark, FieldInfo) else [mark]
    return tuple(found)


@cache
def keys(record: type[Record]) -> dict[str, Key]:
    """The keys of a record class by field name, in the order of the class."""
    found = {}
    for name, info in record.model_fields.items():
        annotation, marks, optional = bare(info.annotation)
        marks = _flat(tuple(info.metadata)) + marks
        is_list = get_origin(annotation) is tuple
        item = bare(get_args(annotation)[0])[0] if is_list else annotation
        holds = item if isinstance(item, type) and issubclass(item, Record) else None
        found[name] = Key(
            name=name,
            annotation=annotation,
            marks=marks,
            is_list=is_list,
            record=holds,
            quantity=next((mark for mark in marks if isinstance(mark, Quantity)), None),
            required=info.is_required(),
            optional=optional,
            default=None if info.default is PydanticUndefined else info.default,
            description=info.description or "",
        )
    return found


@cache
def typed_names(record: type[Record]) -> dict[str, tuple[Key, bool]]:
    """Every key a user may type in a block of this record: (its field, whether it is the SI one)."""
    names: dict[str, tuple[Key, bool]] = {}
    for key in keys(record).values():
        names[key.name] = (key, False)
        if key.si_name:
            names[key.si_name] = (key, True)
    return names


@cache
def homes(record: type[Record]) -> dict[str, tuple[str, ...]]:
    """Where a key may be typed in a block inside this record: the blocks and the field, if that is one place only."""
    found: dict[str, set[tuple[str, ...]]] = {}

    def look(holder: type[Record], path: tuple[str, ...]) -> None:
        for key in keys(holder).values():
            if key.record is not None and not key.is_list:
                inside = (*path, key.name)
                for name, (inner, _) in typed_names(key.record).items():
                    found.setdefault(name, set()).add((*inside, inner.name))
                look(key.record, inside)

    look(record, ())
    return {name: next(iter(places)) for name, places in found.items() if len(places) == 1}


def choices(annotation: Any) -> tuple[str, ...]:
    """The words a Literal allows; empty for other types."""
    return tuple(str(item) for item in get_args(annotation)) if get_origin(annotation) is Literal else ()
