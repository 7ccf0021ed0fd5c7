"""The plain YAML that this program writes and reads back itself: block maps and lists of text, nothing else.

Records and printed files are written once and read often, twenty thousand at a time, so they are kept to a small part
of YAML that a few lines of code read some fifty times faster than a full parser; any YAML program reads them as well
(tests compare). What people type is never read here but by `packet.shop.load`.
"""

import json
import re
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from math import isfinite
from typing import Any, cast

Tree = Any  # str | list[Tree] | dict[str, Tree]; with typed=True also int, float, bool and None

_QUOTED_KEY = re.compile(r'("(?:[^"\\]|\\.)*"):(?: (.+))?')
_PLAIN_TEXT = re.compile(r"[A-Za-z0-9(/°+.$≥≤±][^\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\"#]*")
_PLAIN_KEY = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_./ -]*")
_NUMBER = re.compile(r"[-+]?(\d[\d_,]*\.?\d*|\.\d+)([eE][-+]?\d+)?")
# Words and shapes that some YAML reader takes for something other than text.
_SPECIAL = re.compile(
    r"true|false|yes|no|on|off|null|y|n|[-+]?\.(inf|nan)|=|0[xob][0-9a-f_]+|[-+]?\d[\d_]*(:[0-5]?\d)+(\.\d*)?|\d{4}-\d.*",
    re.IGNORECASE,
)
_ESCAPE = re.compile(r"[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")


def write(tree: Mapping[str, Tree], *, as_typed: bool = False) -> str:
    """`tree` as YAML text, keys in the order given.

    Text that some reader would take for a number, a date or a switch is quoted; `as_typed` leaves numbers, times and
    dates bare, for records that are read as text throughout and should look as they were typed.

    Raises TypeError for anything but text, finite numbers, booleans, None, maps with text keys, and lists.
    """
    out: list[str] = []
    _map(tree, "", out, as_typed)
    return "\n".join(out) + "\n" if out else "{}\n"


def read(text: str, *, typed: bool = False) -> dict[str, Tree]:
    """The tree written by `write`. typed: bare numbers, true, false and null get their type; otherwise all is text.

    Raises ValueError, with the line, for text that `write` cannot have written.
    """
    return {} if text == "{}\n" else _read(text, _typed if typed else None)


def _map(tree: Mapping[str, Tree], pad: str, out: list[str], as_typed: bool) -> None:
    for key, value in tree.items():
        if not isinstance(key, str):
            raise TypeError(f"a key must be text, not {key!r}")
        name = key if _PLAIN_KEY.fullmatch(key) and not key.endswith(" ") and not _special(key) else _quote(key)
        _value(f"{pad}{name}:", value, pad + "  ", out, as_typed)


def _value(head: str, value: Tree, pad: str, out: list[str], as_typed: bool) -> None:
    if isinstance(value, Mapping):
        out.append(head if value else f"{head} {{}}")
        _map(value, pad, out, as_typed)
    elif isinstance(value, Sequence) and not isinstance(value, str | bytes):
        out.append(head if value else f"{head} []")
        for item in value:
            _item(item, pad, out, as_typed)
    else:
        out.append(f"{head} {scalar(value, as_typed=as_typed)}")


def _item(item: Tree, pad: str, out: list[str], as_typed: bool) -> None:
    if isinstance(item, Mapping):
        if not item:
            raise TypeError("an empty map in a list")
        start = len(out)
        _map(item, pad + "  ", out, as_typed)
        out[start] = f"{pad}- {out[start][len(pad) + 2 :]}"
    elif isinstance(item, Sequence) and not isinstance(item, str | bytes):
        raise TypeError("a list in a list")
    else:
        out.append(f"{pad}- {scalar(item, as_typed=as_typed)}")


def scalar(value: object, *, as_typed: bool = False) -> str:
    """One value as YAML. Raises TypeError for what is no text, number, boolean or None."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return repr(value)
    if isinstance(value, float) and isfinite(value):
        # YAML 1.1 takes 1e-07 for text; 1.0e-07 is a number to every reader
        return re.sub(r"^(-?\d+)e", r"\1.0e", repr(value))
    if isinstance(value, Decimal):
        return f"{value:f}"
    if not isinstance(value, str):
        raise TypeError(f"not a value for a record: {value!r}")
    fits = _PLAIN_TEXT.fullmatch(value) and not value.endswith((" ", ":")) and ": " not in value and value[-1:] != "\n"
    return value if fits and (as_typed or not _special(value)) else _quote(value)


def _special(text: str) -> bool:
    return bool(_NUMBER.fullmatch(text) or _SPECIAL.fullmatch(text))


def _quote(text: str) -> str:
    return _ESCAPE.sub(lambda match: f"\\u{ord(match[0]):04x}", json.dumps(text, ensure_ascii=False))


def _read(text: str, typed: Callable[[str], Tree] | None) -> dict[str, Tree]:
    """One pass over the lines, with the blocks that are open: (columns of indent, map or list).

    Written for speed, as this loop runs over a million lines when a month is added up: a plain 'key: value' line, which
    most are, calls two methods of str and nothing else.
    """
    root: dict[str, Tree] = {}
    indent, block = 0, cast(Any, root)
    outer: list[tuple[int, Any]] = []
    waiting: tuple[dict[str, Tree], str] | None = None  # a key whose block comes on the next lines
    for line in text.removesuffix("\n").split("\n"):
        words, pad = line, 0
        if line[:1] == " ":
            words = line.lstrip(" ")
            pad = len(line) - len(words)
        if waiting is not None:
            if pad != indent + 2:
                raise ValueError(f"nothing stands under '{waiting[1]}'")
            outer.append((indent, block))
            indent, block = pad, [] if words[:2] == "- " else {}
            waiting[0][waiting[1]] = block
            waiting = None
        while indent > pad:
            indent, block = outer.pop()
        if indent != pad:
            raise ValueError(f"line out of place: {line}")
        if type(block) is list:
            if words[:2] != "- ":
                raise ValueError(f"line out of place: {line}")
            words = words[2:]
            if _pair(words) is None:
                block.append(_scalar(words, typed))
                continue
            outer.append((indent, block))
            block.append({})
            indent, block = pad + 2, block[-1]
        key, colon, value = words.partition(": ")
        if not colon or key[:1] in _NO_KEY:
            if not root and words[:1] == "#":
                continue
            pair = _pair(words)
            if pair is None:
                raise ValueError(f"a line that is no 'key: value' and no '- item': {line}")
            key, value = pair
        if key in block:
            raise ValueError(f"'{key}' stands twice")
        if not value:
            block[key] = None
            waiting = (block, key)
        elif typed is None and value[0] not in '"{[':
            block[key] = value
        else:
            block[key] = _scalar(value, typed)
    if waiting is not None or not root:
        raise ValueError("a key without a value, or no key at all")
    return root


_NO_KEY = frozenset(('"', "-", "#", ""))


def _pair(words: str) -> tuple[str, str] | None:
    """Key and value of a line ('' when a block follows), None when it is no pair."""
    if words[:1] == '"':
        quoted = _QUOTED_KEY.fullmatch(words)
        return (json.loads(quoted[1]), quoted[2] or "") if quoted else None
    key, colon, value = words.partition(": ")
    if key[:1] in _NO_KEY:
        return None
    if colon:
        return (key, value) if value else None
    return (key[:-1], "") if key[-1:] == ":" else None


def _scalar(value: str, typed: Callable[[str], Tree] | None) -> Tree:
    first = value[0]
    if first == '"':
        return json.loads(value)
    if first in "{[" and value in ("{}", "[]"):
        return {} if first == "{" else []
    return typed(value) if typed is not None else value


def _typed(value: str) -> Tree:
    if value in _WORDS:
        return _WORDS[value]
    if _NUMBER.fullmatch(value):
        return float(value) if any(mark in value for mark in ".eE") else int(value)
    return value


_WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None}
