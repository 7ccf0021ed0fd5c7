"""Putting cylinders and a machine into a job file: only those words change, every other byte stays as it was typed.

The file is not loaded and dumped again, which would lose or move comments. The parser says where the old words stand,
and the new ones are put there.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import yaml

from packet.shop.whole import write_whole

_SAFE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_./-]*")
_AFTER = ("scale", "machine", "technician", "truck", "date", "job")  # an absent key goes behind the first of these


class PlacementError(Exception):
    """The file is written in a way in which the words cannot be changed safely; str() says which key."""


@dataclass(frozen=True, slots=True)
class Change:
    """What to put into one job file; None leaves a key alone."""

    path: Path
    cylinders: tuple[str, ...] | None = None
    machine: str | None = None


@dataclass(frozen=True, slots=True)
class _Edit:
    start: int
    end: int
    text: str


def write_assignment(changes: Iterable[Change]) -> tuple[Path, ...]:
    """Put the changes into the job files; the paths of those that became different.

    All new texts are made before the first file is written, and each is written whole or not at all. Raises
    PlacementError, naming the file, when one cannot be changed safely (then none is written), OSError.
    """
    texts: list[tuple[Path, bytes]] = []
    for change in changes:
        before = change.path.read_bytes()
        try:
            after = with_assignment(before.decode(), cylinders=change.cylinders, machine=change.machine).encode()
        except PlacementError as error:
            raise PlacementError(f"{change.path}: {error}") from error
        if after != before:
            texts.append((change.path, after))
    for path, after in texts:
        write_whole(path, after)
    return tuple(path for path, _ in texts)


def with_assignment(text: str, *, cylinders: tuple[str, ...] | None = None, machine: str | None = None) -> str:
    """The text of a job file with these cylinders, in this order, and this machine; None leaves a key alone.

    A list keeps its form (in brackets, or a line each); comments stay, and stay where they are. Line ends stay.
    Raises PlacementError where the value is neither, or stands behind an alias.
    """
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    if not isinstance(root, yaml.MappingNode):
        raise PlacementError("the file is not a list of keys")
    values = {key.value: value for key, value in root.value}
    edits: list[_Edit] = []
    if machine is not None:
        edits.append(_scalar(text, root, values, "machine", machine))
    if cylinders is not None:
        edits.append(_list(text, root, values, "cylinders", cylinders))
    return _checked(_apply(text, edits), cylinders, machine)


def _apply(text: str, edits: list[_Edit]) -> str:
    for edit in sorted(edits, key=lambda item: item.start)[::-1]:  # from the end, so that places stay true
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


def _checked(text: str, cylinders: tuple[str, ...] | None, machine: str | None) -> str:
    # belt and braces: what was written must read back as what was meant
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    values = {key.value: value for key, value in root.value} if root is not None else {}
    if machine is not None and values["machine"].value != machine:
        raise PlacementError("machine")
    if cylinders is not None and tuple(item.value for item in values["cylinders"].value) != cylinders:
        raise PlacementError("cylinders")
    return text


def _word(value: str) -> str:
    return value if _SAFE.fullmatch(value) else "'" + value.replace("'", "''") + "'"


def _flow(values: tuple[str, ...]) -> str:
    return "[" + ", ".join(_word(item) for item in values) + "]"


def _scalar(text: str, root: yaml.MappingNode, values: dict[str, yaml.Node], key: str, value: str) -> _Edit:
    node = values.get(key)
    if node is None:
        return _new_line(text, root, key, _word(value))
    if not isinstance(node, yaml.ScalarNode):
        raise PlacementError(key)
    return _in_place(text, node, _word(value))


def _in_place(text: str, node: yaml.Node, new: str) -> _Edit:
    start, end = node.start_mark.index, node.end_mark.index
    if start == end:  # nothing stands behind the key yet: the mark is right behind the colon
        return _Edit(start, end, ("" if text[start - 1 : start].isspace() else " ") + new)
    return _Edit(start, end, new)


def _new_line(text: str, root: yaml.MappingNode, key: str, value: str) -> _Edit:
    if root.flow_style:
        raise PlacementError(key)
    present = {name.value: (name, node) for name, node in root.value}
    after = next((name for name in _AFTER if name in present), None)
    if after is None:
        raise PlacementError(key)
    name, node = present[after]
    newline = "\r\n" if "\r\n" in text else "\n"
    pad = " " * name.start_mark.column
    end = text.find("\n", node.end_mark.index)
    if end < 0:
        return _Edit(len(text), len(text), f"{newline}{pad}{key}: {value}")
    return _Edit(end + 1, end + 1, f"{pad}{key}: {value}{newline}")


def _list(text: str, root: yaml.MappingNode, values: dict[str, yaml.Node], key: str, wanted: tuple[str, ...]) -> _Edit:
    node = values.get(key)
    if node is None:
        return _new_line(text, root, key, _flow(wanted))
    if isinstance(node, yaml.ScalarNode) and node.value == "":
        return _in_place(text, node, _flow(wanted))
    if not isinstance(node, yaml.SequenceNode) or not all(isinstance(item, yaml.ScalarNode) for item in node.value):
        raise PlacementError(key)
    if not text.startswith("[", node.start_mark.index) and not node.value:
        raise PlacementError(key)
    if node.flow_style:
        return _flow_list(text, node, wanted)
    return _block_list(text, node, wanted)


def _flow_list(text: str, node: yaml.SequenceNode, wanted: tuple[str, ...]) -> _Edit:
    start, end = node.start_mark.index, node.end_mark.index
    if "\n" not in text[start:end]:
        return _Edit(start, end, _flow(wanted))
    # over several lines, maybe with comments between: change words where they stand, as for a line each
    items = node.value
    if len(wanted) != len(items):
        raise PlacementError("cylinders")
    return _replaced(text, items, wanted, start, end)


def _replaced(text: str, items: list[yaml.Node], wanted: tuple[str, ...], start: int, end: int) -> _Edit:
    inner = [
        _Edit(item.start_mark.index - start, item.end_mark.index - start, _word(value))
        for item, value in zip(items, wanted, strict=True)
    ]
    return _Edit(start, end, _apply(text[start:end], inner))


def _block_list(text: str, node: yaml.SequenceNode, wanted: tuple[str, ...]) -> _Edit:
    """Items in place; more of them on lines of their own behind the last; fewer: their lines go, comments stay."""
    items = node.value
    if not wanted:
        raise PlacementError("cylinders: a list with a line each cannot be emptied without losing its comments")
    start = node.start_mark.index
    last = items[-1]
    end = text.find("\n", last.end_mark.index)
    end = len(text) if end < 0 else end
    newline = "\r\n" if text[:end].endswith("\r") or "\r\n" in text[start:end] else "\n"
    kept = items[: len(wanted)]
    pieces = _replaced(text, kept, wanted[: len(kept)], start, kept[-1].end_mark.index).text
    tail = text[kept[-1].end_mark.index : end]
    for item in items[len(wanted) :]:
        tail = _without_item(tail, item.value)
    pad = " " * node.start_mark.column
    more = "".join(f"{newline}{pad}- {_word(value)}" for value in wanted[len(items) :])
    if more:
        # behind the last item's own comment, which stays on its line
        carriage = "\r" if tail.endswith("\r") else ""
        return _Edit(start, end, pieces + tail.removesuffix("\r") + more + carriage)
    return _Edit(start, end, pieces + tail)


def _without_item(tail: str, value: str) -> str:
    """`tail` without the line that holds the item; a comment behind it stays, on a line of its own."""
    pattern = re.compile(r"(\r?\n)([ ]*)-[ ]+(['\"]?)" + re.escape(value) + r"\3[ \t]*(#[^\r\n]*)?(?=\r?\n|\r?$|$)")

    def keep_comment(match: re.Match[str]) -> str:
        return f"{match[1]}{match[2]}{match[4]}" if match[4] else ""

    return pattern.sub(keep_comment, tail, count=1)
