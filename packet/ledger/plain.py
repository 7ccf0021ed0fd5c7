"""The plain YAML that this program writes and reads back itself: block maps and lists of text, nothing else.

Records and printed files are written once and read often, twenty thousand at a time, so they are kept to a small part
of YAML that a few lines of code read some fifty times faster than a full parser; any YAML program reads them as well
(tests compare). What people type is never read here but by `packet.shop.load`.
"""

import json
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from math import isfinite
from typing import Any

Tree = Any  # str | list[Tree] | dict[str, Tree]; with typed=True also int, float, bool and None

_LINE = re.compile(
    r"""^(?P<pad>[ ]*)(?P<dash>-[ ])?
        (?:(?P<key>"(?:[^"\\]|\\.)*"|[A-Za-z0-9_][^:"\#\n]*):(?:[ ](?P<value>[^\n]+))?
          |(?P<item>[^\n]+))$""",
    re.MULTILINE | re.VERBOSE,
)
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
    if text == "{}\n":
        return {}
    return _Reader(text, typed).whole()


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


class _Reader:
    """Lines, already cut into (pad, dash, key, value, item), and the place in them."""

    def __init__(self, text: str, typed: bool) -> None:
        body = text.removesuffix("\n")
        while body.startswith("#"):
            _, _, body = body.partition("\n")
        self.rows = _LINE.findall(body)
        if len(self.rows) != body.count("\n") + 1:
            raise ValueError("a line that is no 'key: value' and no '- item'")
        self.at = 0
        self.typed = typed

    def whole(self) -> dict[str, Tree]:
        tree = self.map(0)
        if self.at != len(self.rows):
            raise ValueError(f"line out of place: {self.rows[self.at]}")
        return tree

    def map(self, pad: int) -> dict[str, Tree]:
        tree: dict[str, Tree] = {}
        rows, count, first = self.rows, len(self.rows), True
        while self.at < count:
            indent, dash, key, value, item = rows[self.at]
            # the first pair of a map in a list stands behind the dash, two columns to the left
            if item or (len(indent) != pad if not dash else not (first and len(indent) == pad - 2)):
                break
            first = False
            self.at += 1
            name = json.loads(key) if key[0] == '"' else key
            if name in tree:
                raise ValueError(f"'{name}' stands twice")
            tree[name] = self.scalar(value) if value else self.nested(pad + 2)
        if not tree:
            raise ValueError("a map without a key")
        return tree

    def nested(self, pad: int) -> Tree:
        if self.at < len(self.rows) and self.rows[self.at][1] and len(self.rows[self.at][0]) == pad:
            items: list[Tree] = []
            while self.at < len(self.rows) and self.rows[self.at][1] and len(self.rows[self.at][0]) == pad:
                if self.rows[self.at][4]:
                    items.append(self.scalar(self.rows[self.at][4]))
                    self.at += 1
                else:
                    items.append(self.map(pad + 2))
            return items
        return self.map(pad)

    def scalar(self, text: str) -> Tree:
        first = text[0]
        if first == '"':
            return json.loads(text)
        if first in "{[" and text in ("{}", "[]"):
            return {} if first == "{" else []
        if not self.typed:
            return text
        if text in _WORDS:
            return _WORDS[text]
        if _NUMBER.fullmatch(text):
            return float(text) if any(mark in text for mark in ".eE") else int(text)
        return text


_WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None}
