"""A YAML file as text with line numbers: no typing, no aliases, no tags, duplicate keys refused.

YAML 1.1 turns `off` into false, `012345` into 5349 and `10:45` into 645; here every scalar stays what was typed, and
the records say what it means. The file is read from the parser's events, so that nothing is ever expanded: a file
built to explode has nowhere to do it, and neither deep nesting nor size can hurt.
"""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple, TypeAlias

import yaml

from packet.shop.problems import MOST_PROBLEMS, Loaded, Problem, at_most, quoted
from packet.shop.whole import OwnFileError, read_start, read_whole
from packet.words import N_, t

MAX_BYTES = 2_000_000  # anything longer is not one of ours, but for these
LONGER = {"cylinders.yaml": 4_000_000}  # thirty thousand cylinders, a line each
MAX_DEPTH = 8  # the deepest of our files has four levels
MAX_ITEMS = 50_000  # of one list: more than twice the cylinders of a large contractor's branch
MAX_KEYS = 5_000  # of one block: the largest of ours has some dozens


class Text(NamedTuple):
    """A scalar as typed. blank: nothing stands after the key."""

    value: str
    line: int
    blank: bool = False


class KeyValue(NamedTuple):
    """A key of a mapping with its value."""

    key: str
    line: int
    node: "Node"


class Map(NamedTuple):
    """A mapping: keys in the order typed, each once."""

    entries: tuple[KeyValue, ...]
    line: int


class Seq(NamedTuple):
    """A list."""

    items: tuple["Node", ...]
    line: int


Node: TypeAlias = Text | Map | Seq


class _RefusedError(Exception):
    def __init__(self, line: int, message: str, suggestion: str = "") -> None:
        super().__init__(message)
        self.line, self.message, self.suggestion = line, message, suggestion


def read(path: Path, shown_as: str = "", prepare: Callable[[str], str] = str) -> Loaded[Node]:
    """The file at `path` as nodes. `shown_as` is its name in the problems, by default the path.

    prepare: changes the text line by line before it is read; the number of lines stays.

    Raises OSError when the machine fails (permission, disk); everything else is a problem. FileNotFoundError is one too.
    """
    name = shown_as or str(path)
    text = text_in(path, name)
    return parse(prepare(text), name) if isinstance(text, str) else Loaded(None, (text,))


def text_in(path: Path, shown_as: str = "") -> str | Problem:
    """The text of a file, or why it has none that could be one of ours. Arguments and errors as for `read`."""
    name = shown_as or str(path)
    try:
        return _decoded(path)
    except _RefusedError as refused:
        return Problem(name, refused.line, "", refused.message, refused.suggestion)
    except FileNotFoundError:
        return Problem(name, 0, "", t("There is no such file."))


def nothing_in(path: Path) -> bool:
    """Whether a file holds comments and nothing else; one without a letter is a file that was lost. Raises OSError."""
    try:
        lines = read_whole(path, _most_bytes(path)).decode("utf-8-sig", "replace").splitlines()
    except (FileNotFoundError, OwnFileError):
        return False
    lines = [line.strip() for line in lines if line.strip()]
    return bool(lines) and all(line.startswith("#") for line in lines)


def parse(text: str, name: str) -> Loaded[Node]:
    """YAML text as nodes; see `read`."""
    try:
        return _parse(text, name)
    except _RefusedError as refused:
        return Loaded(None, (Problem(name, refused.line, "", refused.message, refused.suggestion),))


def _most_bytes(path: Path) -> int:
    return LONGER.get(path.name, MAX_BYTES)


def _decoded(path: Path) -> str:
    if path.is_dir():
        raise _RefusedError(0, t("This is a folder, not a file."))
    most = _most_bytes(path)
    try:
        raw = read_start(path, most + 1)
    except OwnFileError:
        raise _RefusedError(0, t("This is not an ordinary file.")) from None
    if len(raw) > most:
        raise _RefusedError(
            0,
            t("The file is larger than {limit} kB, too large for a file of this kind.", limit=most // 1000),
            t("Was another file given this name?"),
        )
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _RefusedError(1, t("The file is saved as UTF-16."), t("Save it as UTF-8."))
    if b"\0" in raw:
        line = raw.count(b"\n", 0, raw.index(b"\0")) + 1
        raise _RefusedError(line, t("This is a binary file, not text."), t("Was another file given this name?"))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _RefusedError(line, t("The file is not UTF-8 text."), t("Save it as UTF-8.")) from None


# the mark of a file's beginning is one anywhere else: files put together leave it, one reader swallows it, another does not
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x84\x86-\x9f\ud800-\udfff\ufeff\ufffe\uffff]")


def _parse(text: str, name: str) -> Loaded[Node]:
    control = _CONTROL.search(text)
    if control is not None:
        line = text.count("\n", 0, control.start()) + 1
        raise _RefusedError(
            line,
            t("A control character (U+{code}) stands here.", code=f"{ord(control[0]):04X}"),
            t("Take it out; it cannot be seen, so type the line again."),
        )
    if not text.strip():
        raise _RefusedError(
            1,
            t("The file is empty."),
            t("Bring it back from a copy. For a register without entries write '[]'; 'packet new' writes a job."),
        )
    problems: list[Problem] = []
    # A file cut short would be read as far as it goes: the two problems a parser can raise end the reading instead.
    try:
        node = _document(_events(text), name, problems)
    except yaml.MarkedYAMLError as error:
        problem = str(error.problem or "")
        mark = error.problem_mark or error.context_mark
        if error.context_mark and any(words in problem for words in _OPENED_EARLIER):
            mark = error.context_mark
        line = mark.line + 1 if mark else 1
        raise _RefusedError(line, *_in_plain_words(text, line, problem)) from None
    except yaml.YAMLError as error:
        raise _RefusedError(1, t("This is not YAML: {reason}.", reason=quoted(str(error), 120))) from None
    return Loaded(node, tuple(at_most(problems)))


def _events(text: str) -> Iterator[Any]:
    # libyaml where PyYAML was built with it: ten times faster, the same events.
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return iter(yaml.parse(text, Loader=loader))


_STARTS = {yaml.SequenceStartEvent, yaml.MappingStartEvent}
_ENDS = {yaml.SequenceEndEvent, yaml.MappingEndEvent}
_TAGGED = {yaml.ScalarEvent, *_STARTS}


def _document(events: Iterator[Any], name: str, problems: list[Problem]) -> Node:
    """The one document of a file. An explicit stack instead of recursion: depth is counted, never suffered."""
    root: Node | None = None
    open_nodes: list[_Open] = []
    for event in events:
        kind = type(event)
        line = event.start_mark.line + 1
        if kind is yaml.DocumentStartEvent and root is not None:
            raise _RefusedError(line, t("A second document starts here ('---')."), t("One file holds one document."))
        if kind is yaml.AliasEvent or getattr(event, "anchor", None):
            raise _RefusedError(
                line,
                t("Anchors and aliases (& and *) are not used in these files."),
                t("Write the value out, or put it in quotes if the sign belongs to it."),
            )
        if kind in _TAGGED and event.tag:
            raise _RefusedError(
                line,
                # the word itself is not repeated: a secret may begin with '!', too
                t("Tags ({tag}) are not used in these files.", tag="!"),
                t("Write the value alone, or put it in quotes if the sign belongs to it."),
            )
        done: Node
        if kind is yaml.ScalarEvent:
            done = Text(event.value, line, blank=not event.value and event.style in (None, ""))
        elif kind in _STARTS:
            if len(open_nodes) >= MAX_DEPTH:
                raise _RefusedError(line, t("Lists and blocks lie too deep inside one another here."))
            open_nodes.append(_Open(kind is yaml.MappingStartEvent, line))
            continue
        elif kind in _ENDS:
            done = open_nodes.pop().closed()
        else:
            continue
        if open_nodes:
            open_nodes[-1].add(done, name, problems)
        else:
            root = done
    if root is None or (isinstance(root, Text) and root.blank):
        raise _RefusedError(1, t("The file is empty: there are only comments in it."))
    return root


class _Open:
    """A mapping or list whose end has not been read yet."""

    def __init__(self, is_map: bool, line: int) -> None:
        self.is_map, self.line = is_map, line
        self.items: list[Node] = []
        self.entries: list[KeyValue] = []
        self.first_lines: dict[str, int] = {}
        self.key: Node | None = None

    def add(self, node: Node, name: str, problems: list[Problem]) -> None:
        """Take in the next item, key or value."""
        if not self.is_map:
            if len(self.items) >= MAX_ITEMS:
                raise _RefusedError(self.line, t("This list is too long: at most {most}.", most=MAX_ITEMS))
            self.items.append(node)
            return
        if self.key is None:
            self.key = node
            return
        key, self.key = self.key, None
        if len(problems) > MOST_PROBLEMS and (not isinstance(key, Text) or key.value in self.first_lines):
            return  # no more are told
        if not isinstance(key, Text):
            problems.append(
                Problem(name, key.line, "", t("A key must be a word."), t("Write 'key: value', one to a line."))
            )
        elif key.value in self.first_lines:
            first = self.first_lines[key.value]
            problems.append(
                Problem(
                    name,
                    key.line,
                    quoted(key.value),
                    t("This key is given twice; the first is on line {line}.", line=first),
                    t("Keep one of them."),
                )
            )
        else:
            if len(self.entries) >= MAX_KEYS:
                raise _RefusedError(self.line, t("This block has too many keys: at most {most}.", most=MAX_KEYS))
            self.first_lines[key.value] = key.line
            self.entries.append(KeyValue(key.value, key.line, node))

    def closed(self) -> Node:
        """The finished node."""
        return Map(tuple(self.entries), self.line) if self.is_map else Seq(tuple(self.items), self.line)


# Complaints for which the line to look at is the one where the thing began, not where the parser lost patience.
_OPENED_EARLIER = ("could not find expected ':'", "expected ',' or", "unexpected end of stream")

# What the parser says (a part of it), what that means, and what to do.
_SYNTAX = (
    (
        "mapping values are not allowed",
        N_("A colon stands where no key can be."),
        N_("If the text itself holds ': ', put it in quotes; otherwise check the indentation of this line."),
    ),
    (
        "could not find expected ':'",
        N_("This line is not 'key: value'."),
        N_("Is a colon, or the space after it, missing?"),
    ),
    (
        "did not find expected key",
        N_("A key was expected here."),
        N_("Check the indentation of this line and the quotes and brackets of the one above."),
    ),
    (
        "did not find expected '-' indicator",
        N_("A list item ('- …') was expected here."),
        N_("Indent each item of the list by the same number of spaces."),
    ),
    (
        "did not find expected ',' or",
        N_("The bracket that opens here is not closed, or a comma is missing in it."),
        N_("Write [one, two]."),
    ),
    (
        "unexpected end of stream",
        N_("The quote that opens here is not closed."),
        N_("Give it its partner."),
    ),
    ("maximum nesting depth", N_("Lists and blocks lie too deep inside one another here."), ""),
    (
        "block sequence entries are not allowed",
        N_("A list item ('- …') cannot stand here."),
        N_("Start it on a line of its own, under its key."),
    ),
    (
        "unknown escape character",
        N_("A backslash in double quotes starts something that is not known."),
        N_("Use single quotes around the text."),
    ),
)


# 'Tinker's Yard', "14 "big" street": a quoted text that goes on behind its closing quote
_QUOTE_INSIDE = re.compile(r"""[:\[{,-]\s+(?:'[^']*'|"[^"\\]*")[ \t]*[^\s,}\]#:'"]""")


def _in_plain_words(text: str, line: int, problem: str) -> tuple[str, str]:
    """The parser's complaint as a sentence and a suggestion."""
    lines = re.split("\r\n|[\n\r\x85\u2028\u2029]", text)
    here = lines[line - 1] if line <= len(lines) else ""
    above = lines[line - 2] if 2 <= line <= len(lines) + 1 else ""
    if re.match(" *\t", here) or (not here.strip() and re.match(" *\t", above)):
        return t("The line is indented with a tab."), t("Indent with spaces.")
    start = here.lstrip().removeprefix("- ").split(": ")[-1].lstrip()[:1]
    if "cannot start any token" in problem and start in {"@", "`", "%"}:
        return t("A text cannot start with '{sign}'.", sign=start), t("Put it in quotes.")
    if any(_QUOTE_INSIDE.search(one) for one in (here, above)):
        return (
            t("A quote inside this quoted text ends it too early."),
            t("Write an apostrophe inside '…' twice ('Tinker''s Yard'), or put the text in the other quotes."),
        )
    for words, message, suggestion in _SYNTAX:
        if words in problem:
            return t(message), t(suggestion) if suggestion else ""
    return t("This is not YAML: {reason}.", reason=quoted(problem, 120)), ""
