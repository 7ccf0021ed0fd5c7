"""Changing single values in a file that people wrote: only those words change, every other byte stays as it was typed.

The file is not loaded and dumped again, which would lose or move comments. The parser says where the old words stand,
and the new ones are put there; what was written is read back before it is believed.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

import yaml

# A path leads from the top of the file to one value: keys, and '[C-118]' for the item of a list with that id.
Path = tuple[str, ...]
# A text, a list of words, or None: the key goes.
Value = str | tuple[str, ...] | None

_SAFE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_./%&-]*(?: [A-Za-z0-9_./%&-]+)*|\d{1,2}:\d{2}")
# a new key of a job goes behind the first of these that is there, others behind the last plain value of their block
_BEHIND = ("scale", "machine", "technician", "truck", "date", "job")


class EditError(Exception):
    """The file is written in a way in which the words cannot be changed safely; str() says which key."""


@dataclass(frozen=True, slots=True)
class _Edit:
    start: int
    end: int
    text: str


def with_values(text: str, changes: Mapping[Path, Value]) -> str:
    """The text of a file with these values at these paths, one after the other.

    A list keeps its form (in brackets, or a line each); comments stay, and stay where they are. Line ends stay.
    Raises EditError where a value cannot be changed in place, or a path leads nowhere.
    """
    for path, value in reversed(list(changes.items())):  # new keys end up in the order given
        holder = _holder(_root(text), path)
        text = _apply(text, [_edit(text, holder, path, value)])
    # belt and braces: what was written must read back as what was meant
    root = _root(text)
    for path, value in changes.items():
        node = _entries(_holder(root, path)).get(path[-1])
        if _read_back(node) != value:
            raise EditError(".".join(path))
    return text


def _root(text: str) -> yaml.Node:
    try:
        root: yaml.Node | None = yaml.compose(text, Loader=yaml.SafeLoader)
    except yaml.YAMLError as error:
        raise EditError(str(error)) from error
    if root is None:
        raise EditError("the file is empty")
    return root


def _holder(root: yaml.Node, path: Path) -> yaml.MappingNode:
    node: yaml.Node | None = root
    for part in path[:-1]:
        if isinstance(node, yaml.SequenceNode) and part.startswith("["):
            node = next((item for item in node.value if _id(item) == part[1:-1]), None)
        elif isinstance(node, yaml.MappingNode):
            node = _entries(node).get(part)
        else:
            node = None
    if not isinstance(node, yaml.MappingNode):
        raise EditError(".".join(path))
    return node


def _entries(holder: yaml.MappingNode) -> dict[str, yaml.Node]:
    # a key of several values is none that this program writes or looks for
    return {key.value: value for key, value in holder.value if isinstance(key, yaml.ScalarNode)}


def _id(item: yaml.Node) -> str:
    node = _entries(item).get("id") if isinstance(item, yaml.MappingNode) else None
    return str(node.value) if isinstance(node, yaml.ScalarNode) else ""


def _read_back(node: yaml.Node | None) -> Value:
    if node is None:
        return None
    if isinstance(node, yaml.SequenceNode):
        return tuple(str(item.value) for item in node.value)
    return str(node.value)


def _edit(text: str, holder: yaml.MappingNode, path: Path, value: Value) -> _Edit:
    key = path[-1]
    node = _entries(holder).get(key)
    if value is None:
        return _without_key(text, holder, key)
    if isinstance(value, tuple):
        return _list(text, holder, node, key, value)
    if node is None:
        return _new_key(text, holder, key, word(value))
    if not isinstance(node, yaml.ScalarNode) or node.style in ("|", ">"):
        raise EditError(key)
    return _in_place(text, node, word(value))


def _apply(text: str, edits: list[_Edit]) -> str:
    for edit in sorted(edits, key=lambda item: item.start)[::-1]:  # from the end, so that places stay true
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


def word(value: str) -> str:
    """A text as it may stand in a file: plain where that is safe, else in single quotes."""
    return value if _SAFE.fullmatch(value) else "'" + value.replace("'", "''") + "'"


def _flow(values: tuple[str, ...]) -> str:
    return "[" + ", ".join(word(item) for item in values) + "]"


def _in_place(text: str, node: yaml.ScalarNode, new: str) -> _Edit:
    start, end = node.start_mark.index, node.end_mark.index
    if start == end:  # nothing stands behind the key yet: the mark is right behind the colon
        return _Edit(start, end, ("" if text[start - 1 : start].isspace() else " ") + new)
    return _Edit(start, end, new)


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _is_plain(node: yaml.Node) -> bool:
    """Whether a value stands on its key's line and the next line is another key's."""
    if isinstance(node, yaml.ScalarNode):
        return node.style not in ("|", ">")
    return isinstance(node, yaml.CollectionNode) and bool(node.flow_style)


def _new_key(text: str, holder: yaml.MappingNode, key: str, value: str) -> _Edit:
    if not holder.value:
        raise EditError(key)
    if holder.flow_style:
        end = holder.value[-1][1].end_mark.index
        return _Edit(end, end, f", {key}: {value}")
    present = {name.value: (name, node) for name, node in holder.value if isinstance(name, yaml.ScalarNode)}
    wanted = next((name for name in _BEHIND if name in present), None)
    if wanted is None:
        wanted = next((name for name, (_, node) in reversed(present.items()) if _is_plain(node)), None)
    if wanted is None:
        raise EditError(key)
    name, node = present[wanted]
    pad = " " * name.start_mark.column
    end = text.find("\n", node.end_mark.index)
    if end < 0:
        return _Edit(len(text), len(text), f"{_newline(text)}{pad}{key}: {value}")
    return _Edit(end + 1, end + 1, f"{pad}{key}: {value}{_newline(text)}")


def _without_key(text: str, holder: yaml.MappingNode, key: str) -> _Edit:
    """The key and its value go; a comment behind them stays, on a line of its own."""
    found = next(((place, pair) for place, pair in enumerate(holder.value) if pair[0].value == key), None)
    if found is None:
        return _Edit(0, 0, "")
    place, (name, node) = found
    start, end = name.start_mark.index, node.end_mark.index
    if holder.flow_style:
        if place:
            return _Edit(holder.value[place - 1][1].end_mark.index, end, "")
        if len(holder.value) == 1:
            raise EditError(key)
        return _Edit(start, holder.value[1][0].start_mark.index, "")
    line = text.rfind("\n", 0, start) + 1
    if text[line:start].strip() or not _is_plain(node):  # '- id: …': the first key of an item holds its dash
        raise EditError(key)
    stop = text.find("\n", end)
    stop = len(text) if stop < 0 else stop + 1
    rest = text[end:stop].strip()
    return _Edit(line, stop, f"{text[line:start]}{rest}{_newline(text)}" if rest else "")


def _list(text: str, holder: yaml.MappingNode, node: yaml.Node | None, key: str, wanted: tuple[str, ...]) -> _Edit:
    if node is None:
        return _new_key(text, holder, key, _flow(wanted))
    if isinstance(node, yaml.ScalarNode) and node.style not in ("|", ">"):
        return _in_place(text, node, _flow(wanted))
    if not isinstance(node, yaml.SequenceNode) or not all(isinstance(item, yaml.ScalarNode) for item in node.value):
        raise EditError(key)
    if not text.startswith("[", node.start_mark.index) and not node.value:
        raise EditError(key)
    if node.flow_style:
        return _flow_list(text, node, wanted, key)
    return _block_list(text, node, wanted, key)


def _flow_list(text: str, node: yaml.SequenceNode, wanted: tuple[str, ...], key: str) -> _Edit:
    start, end = node.start_mark.index, node.end_mark.index
    if "\n" not in text[start:end]:
        return _Edit(start, end, _flow(wanted))
    # over several lines, maybe with comments between: change words where they stand, as for a line each
    items = node.value
    if len(wanted) != len(items):
        raise EditError(key)
    return _replaced(text, items, wanted, start, end)


def _replaced(text: str, items: list[yaml.Node], wanted: tuple[str, ...], start: int, end: int) -> _Edit:
    inner = [
        _Edit(item.start_mark.index - start, item.end_mark.index - start, word(value))
        for item, value in zip(items, wanted, strict=True)
    ]
    return _Edit(start, end, _apply(text[start:end], inner))


def _block_list(text: str, node: yaml.SequenceNode, wanted: tuple[str, ...], key: str) -> _Edit:
    """Items in place; more of them on lines of their own behind the last; fewer: their lines go, comments stay."""
    items = node.value
    if not wanted:
        raise EditError(f"{key}: a list with a line each cannot be emptied without losing its comments")
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
    more = "".join(f"{newline}{pad}- {word(value)}" for value in wanted[len(items) :])
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
