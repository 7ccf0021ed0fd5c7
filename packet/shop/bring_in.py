"""Registers from the CSV that a spreadsheet writes: read, checked, told in rows and columns, turned into YAML once.

A file's name says what it holds (`cylinders.csv`, `machines.csv`, `hoses.csv` …), its first row the keys, as in the YAML;
a key inside a block has a dot (`rates_lb_per_min.vapor`), a list its words with spaces or semicolons between.
"""

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from packet.shop.build import build, tell_duplicate
from packet.shop.edit import word
from packet.shop.places import CYLINDERS_FILE, MACHINES_FILE, SHOP_FILE, TECHNICIANS_FILE
from packet.shop.problems import Loaded, Problem, did_you_mean
from packet.shop.records import Cylinder, Equipment, Kit, Record, Shop, Technician
from packet.shop.shape import keys, typed_names
from packet.shop.text import KeyValue, Map, Node, Seq, Text, nothing_in, parse, text_in
from packet.shop.whole import OwnFileError, read_whole
from packet.words import t

MOST_BYTES = 5_000_000


@dataclass(frozen=True, slots=True)
class Kind:
    """What a CSV of a name holds, and where that goes: the register's file and the keys down to its list."""

    record: type[Record]
    file: str
    place: tuple[str, ...] = ()


def _kinds() -> dict[str, Kind]:
    found = {"cylinders": Kind(Cylinder, CYLINDERS_FILE), "technicians": Kind(Technician, TECHNICIANS_FILE)}
    for holder, file, above in ((Equipment, MACHINES_FILE, ()), (Kit, MACHINES_FILE, ("kit",)), (Shop, SHOP_FILE, ())):
        for key in keys(holder).values():
            if key.record is not None and key.is_list and "id" in keys(key.record):
                found[key.name] = Kind(key.record, file, (*above, key.name))
    return found


KINDS: Mapping[str, Kind] = _kinds()


def brought_in(path: Path, shop_folder: Path) -> Loaded[tuple[Path, str, int]]:
    """The register that a CSV makes: its file, its new text, and how many entries. Nothing is written.

    Problems name the CSV's row as the line, and the column. Raises OSError.
    """
    kind = KINDS.get(path.stem.casefold())
    if kind is None:
        said = t("'{name}' is not the name of a list of a shop.", name=path.name)
        return Loaded(None, (Problem(str(path), 0, "", said, did_you_mean(path.stem, KINDS)),))
    rows = _rows(path)
    if rows.value is None:
        return Loaded(None, rows.problems)
    register = shop_folder / kind.file
    there = _register(register)
    if there.problems:
        return Loaded(None, there.problems)
    taken = _taken(there.value, kind)
    if taken:
        said = t(
            "{file} has entries already ({ids}): bringing in is for once.", file=register, ids=", ".join(taken[:6])
        )
        return Loaded(None, (Problem(str(path), 0, "", said, t("Add new ones by hand, or empty the list first.")),))
    heads, *body = rows.value
    problems = list(_heads(path, heads[1], kind))
    if not problems:
        problems = list(_checked(path, heads[1], body, kind))
    if problems:
        return Loaded(None, tuple(problems))
    items = [_item(kind.record, heads[1], cells) for _, cells in body]
    text = _placed(there.value or "", kind, items)
    if text is None:
        said = t("{file} is written in a way in which a list cannot be put into it.", file=register)
        return Loaded(None, (Problem(str(path), 0, "", said),))
    return Loaded((register, text, len(items)))


Row = tuple[int, list[str]]


def _rows(path: Path) -> Loaded[list[Row]]:
    """The rows that hold something, each with its number in the sheet, the heads first."""
    none = (
        Problem(
            str(path), 0, "", t("This is no CSV of a register."), t("Save the sheet as CSV (comma separated, UTF-8).")
        ),
    )
    try:
        raw = read_whole(path, MOST_BYTES)
    except OwnFileError:
        return Loaded(None, none)
    if b"\0" in raw:
        return Loaded(None, none)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", "replace")  # what older spreadsheets write
    first = text.lstrip("\r\n").partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    try:
        rows = [
            (number, [cell.strip() for cell in cells])
            for number, cells in enumerate(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), 1)
            if any(cell.strip() for cell in cells)
        ]
    except csv.Error:  # a cell without an end, mostly: a quote that nobody closed
        return Loaded(None, none)
    if len(rows) < 2:
        said = t("There is no row under the heads.")
        return Loaded(
            None, (Problem(str(path), 1, "", said, t("The first row names the keys, each row below is one entry.")),)
        )
    return Loaded(rows)


def _letter(column: int) -> str:
    """A column as a spreadsheet calls it: A … Z, AA …"""
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def _column(heads: list[str], column: int) -> str:
    return t("column {letter} ({name})", letter=_letter(column), name=heads[column] or t("no head"))


def _known(record: type[Record]) -> dict[str, bool]:
    """Every head that may stand there, and whether it is a list's."""
    found: dict[str, bool] = {}
    for name, (key, _) in typed_names(record).items():
        if key.record is None:
            found[name] = key.is_list
        elif not key.is_list:
            found |= {f"{name}.{inner}": is_list for inner, is_list in _known(key.record).items()}
    return found


def _heads(path: Path, heads: list[str], kind: Kind) -> Iterator[Problem]:
    known = _known(kind.record)
    for column, head in enumerate(heads):
        if head and head not in known:
            said = t("'{head}' is not a key of these.", head=head)
            yield Problem(str(path), 1, _column(heads, column), said, did_you_mean(head, known))
        elif head and head in heads[:column]:
            yield Problem(
                str(path), 1, _column(heads, column), t("This head stands there twice."), t("Keep one of them.")
            )


def _checked(path: Path, heads: list[str], body: list[Row], kind: Kind) -> Iterator[Problem]:
    seen: dict[str, int] = {}
    for number, cells in body:
        for column, cell in enumerate(cells):
            if cell and (column >= len(heads) or not heads[column]):
                said = t("'{cell}' stands under no head.", cell=cell[:40])
                yield Problem(str(path), number, t("column {letter}", letter=_letter(column)), said)
        node = _node(kind.record, heads, number, cells)
        told = tell_duplicate(node, seen)
        if told is not None:
            yield Problem(
                str(path), number, _column(heads, heads.index("id")), told[1], t("Give each an id of its own.")
            )
        for problem in build(kind.record, node, str(path)).problems:
            name = re.sub(r"\[\d+\]$", "", problem.field)
            place = _column(heads, heads.index(name)) if name in heads else t("column '{name}'", name=name)
            yield Problem(str(path), number, place, problem.message, problem.suggestion)


def _node(record: type[Record], heads: list[str], number: int, cells: list[str]) -> Map:
    """A row as the reader of YAML would give it, its line the row's number."""
    known = _known(record)
    entries: list[KeyValue] = []
    blocks: dict[str, list[KeyValue]] = {}
    for head, cell in zip(heads, cells, strict=False):
        if not head or not cell:
            continue
        node: Node = Text(cell, number)
        if known.get(head):
            node = Seq(tuple(Text(part, number) for part in _parts(cell)), number)
        block, dot, inner = head.partition(".")
        if dot:
            blocks.setdefault(block, []).append(KeyValue(inner, number, node))
        else:
            entries.append(KeyValue(head, number, node))
    entries += [KeyValue(block, number, Map(tuple(inner), number)) for block, inner in blocks.items()]
    return Map(tuple(entries), number)


def _parts(cell: str) -> list[str]:
    return [part for part in re.split(r"[;,|\s]+", cell.strip("[] ")) if part]


def _item(record: type[Record], heads: list[str], cells: list[str]) -> list[str]:
    """A row as the lines of a list's item."""
    known = _known(record)
    lines: list[str] = []
    block_before = ""
    pairs = [(head, cell) for head, cell in zip(heads, cells, strict=False) if head and cell]
    for head, cell in sorted(
        pairs, key=lambda pair: ("." in pair[0], pair[0].partition(".")[0] if "." in pair[0] else "")
    ):
        value = f"[{', '.join(word(part) for part in _parts(cell))}]" if known[head] else word(cell)
        block, dot, inner = head.partition(".")
        if dot and block != block_before:
            lines.append(f"{block}:")
        block_before = block if dot else ""
        lines.append(f"  {inner}: {value}" if dot else f"{head}: {value}")
    return [("- " if number == 0 else "  ") + line for number, line in enumerate(lines)]


def _register(register: Path) -> Loaded[str]:
    """The text of the register as it stands; what cannot be read is left alone, as nobody knows what would be lost."""
    text = text_in(register) if register.exists() else ""
    if isinstance(text, Problem):
        return Loaded(None, (text,))
    return Loaded(text, parse(text, str(register)).problems if text.strip() and not nothing_in(register) else ())


def _taken(text: str | None, kind: Kind) -> list[str]:
    """The ids that the list has already; a blank one is none."""
    node = parse(text or "", "").value
    for key in kind.place:
        node = next((entry.node for entry in node.entries if entry.key == key), None) if isinstance(node, Map) else None
    return [
        entry.node.value
        for item in (node.items if isinstance(node, Seq) else ())
        for entry in (item.entries if isinstance(item, Map) else ())
        if entry.key == "id" and isinstance(entry.node, Text) and entry.node.value
    ]


def _placed(text: str, kind: Kind, items: list[list[str]]) -> str | None:
    """The register's text with the items in the place of its list, which has no entry yet; None where that fails."""
    pad = "  " * len(kind.place)
    block = "".join(f"{pad}{line}\n" for item in items for line in item)
    lines = text.splitlines(keepends=True)
    if not kind.place:
        head = [line for line in lines if line.startswith("#") and not re.match(r"#\s*-?\s*\w+:(\s|$)", line)]
        return "".join(head) + block
    first, last = 0, len(lines)
    for depth, key in enumerate(kind.place):
        lead = "  " * depth
        found = next((n for n in range(first, last) if re.match(rf"{lead}(# )?{key}:", lines[n])), None)
        if found is None:
            added = "".join(f"{'  ' * level}{name}:\n" for level, name in list(enumerate(kind.place))[depth:])
            return "".join(lines[:last]) + added + block + "".join(lines[last:])
        end = next(
            (
                n
                for n in range(found + 1, last)
                if lines[n].strip() and not lines[n].startswith((f"{lead} ", f"{lead}#"))
            ),
            last,
        )
        if depth == len(kind.place) - 1:
            return "".join(lines[:found]) + f"{lead}{key}:\n" + block + "".join(lines[end:])
        first, last = found + 1, end
    return None
