"""A change to one file of the shop, checked before it is written: what a phone call does to a job or a cylinder.

Comments stay (see `packet.shop.edit`), a change that would bring a new problem is refused with that problem, and what
was there before comes along, so that the way back can be said.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath

from pydantic_core import PydanticCustomError

from packet.shop.edit import EditError, Value, with_values
from packet.shop.edit import Path as KeyPath
from packet.shop.fields import no_hidden
from packet.shop.load import load_job
from packet.shop.places import CYLINDERS_FILE, day_folders
from packet.shop.problems import Loaded, Problem, did_you_mean
from packet.shop.records import Registers
from packet.shop.text import Map, Node, Seq, Text, parse
from packet.shop.whole import sweep_old, write_whole
from packet.words import t


@dataclass(frozen=True, slots=True)
class Change:
    """A file's new text, and where it goes. was: the values before, by path; same: nothing differs."""

    path: FilePath
    to: FilePath
    text: str
    was: Mapping[KeyPath, Value]
    same: bool

    def write(self) -> None:
        """Put it there, whole or not at all; from another day's folder the old file goes once the new one is there."""
        sweep_old(self.to)
        write_whole(self.to, self.text.encode())
        if self.to != self.path:
            self.path.unlink()


def changed_job(path: FilePath, registers: Registers, wanted: Mapping[KeyPath, Value]) -> Loaded[Change]:
    """A job's file with these values; a new `date` takes it to that day's folder. Raises OSError.

    Problems are those that the change would bring; a job that had others before may be changed all the same.
    """
    shop = path.absolute().parent.parent
    on = wanted.get(("date",))
    to = path.parent.parent / on / path.name if isinstance(on, str) else path
    if to != path and to.exists():
        return _refused(path, "date", t("There is a job of that id on {day} already.", day=on))
    days = tuple(folder for folder in day_folders(shop) if folder.name != path.absolute().parent.name)
    changed = _changed(path, to, wanted)
    if changed.value is None:
        return changed
    before = {(item.field, item.message) for item in load_job(path, registers).problems}
    there = tuple(folder for folder in days if folder.name != to.absolute().parent.name)
    after = load_job(to, registers, there, changed.value.text).problems
    new = tuple(item for item in after if (item.field, item.message) not in before)
    return Loaded(None, new) if new else changed


def changed_cylinder(shop_folder: FilePath, cylinder: str, wanted: Mapping[str, Value]) -> Loaded[Change]:
    """The register of cylinders with these values for one of them. Raises OSError."""
    path = shop_folder / CYLINDERS_FILE
    known = [str(item) for item in _ids(parse(path.read_bytes().decode("utf-8-sig", "replace"), str(path)).value)]
    if cylinder not in known:
        said = t("There is no cylinder '{id}' in cylinders.yaml.", id=cylinder)
        return Loaded(None, (Problem(str(path), 0, "id", said, did_you_mean(cylinder, known)),))
    return _changed(path, path, {(f"[{cylinder}]", key): value for key, value in wanted.items()})


def _changed(path: FilePath, to: FilePath, wanted: Mapping[KeyPath, Value]) -> Loaded[Change]:
    for key, value in wanted.items():
        try:
            no_hidden(" ".join(value) if isinstance(value, tuple) else value or "")
        except PydanticCustomError as hidden:
            return _refused(path, key[-1], hidden.message())
    try:
        before = path.read_bytes().decode("utf-8")
        after = with_values(before, wanted)
    except UnicodeDecodeError:
        return _refused(path, "", t("The file is not UTF-8 text."))
    except EditError as error:
        said = t("The file is written in a way in which '{key}' cannot be changed in place.", key=error)
        return _refused(path, "", said, t("Change it by hand."))
    was = _values(parse(before, str(path)).value, wanted)
    return Loaded(Change(path, to, after, was, same=after == before and to == path))


def _refused(path: FilePath, field: str, message: str, suggestion: str = "") -> Loaded[Change]:
    return Loaded(None, (Problem(str(path), 0, field, message, suggestion),))


def _values(node: Node | None, wanted: Iterable[KeyPath]) -> dict[KeyPath, Value]:
    return {path: _value(node, path) for path in wanted}


def _value(node: Node | None, path: KeyPath) -> Value:
    for part in path:
        if isinstance(node, Map):
            node = next((entry.node for entry in node.entries if entry.key == part), None)
        elif isinstance(node, Seq):
            node = next((item for item in node.items if _id(item) == part[1:-1]), None)
        else:
            return None
    if isinstance(node, Seq):
        return tuple(item.value for item in node.items if isinstance(item, Text))
    return node.value if isinstance(node, Text) and not node.blank else None


def _ids(node: Node | None) -> list[str]:
    return [_id(item) for item in node.items] if isinstance(node, Seq) else []


def _id(node: Node) -> str:
    if not isinstance(node, Map):
        return ""
    return next((entry.node.value for entry in node.entries if entry.key == "id" and isinstance(entry.node, Text)), "")
