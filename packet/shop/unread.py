"""A job file that cannot be used, as far as it can be read: so that its job is told on paper and not left out."""

import re
from dataclasses import dataclass
from pathlib import Path

from packet.shop.fields import ID_PATTERN
from packet.shop.problems import Problem
from packet.shop.text import Map, Node, Text, read
from packet.shop.whole import OwnFileError, read_start

# a plain 'truck: T2' at the start of a line, where the file as a whole is not even YAML
_LINE = re.compile(
    r"^(truck|start|technician|called_off)[ \t]*:[ \t]*['\"]?([^'\"#\n]*?)['\"]?\s*(?:#.*)?$", re.MULTILINE
)
_ID = re.compile(ID_PATTERN, re.ASCII)
MOST_BYTES = 200_000


@dataclass(frozen=True, slots=True)
class UnreadJob:
    """job: the file's name. truck, start, technician, site: as typed, '' where nobody can tell. problems: why.

    called_off: the file says so, whatever else is wrong with it.
    """

    job: str
    file: Path
    problems: tuple[Problem, ...]
    truck: str = ""
    start: str = ""
    technician: str = ""
    site: str = ""
    called_off: bool = False


def unread_job(path: Path, problems: tuple[Problem, ...]) -> UnreadJob:
    """What can be told of the job in a file with these problems. Never raises for what the file holds or is."""
    try:
        node = read(path).value
        found = _told(node) if node is not None else _picked(path)
    except OSError:
        found = {}
    truck = found.get("truck", "")
    return UnreadJob(
        job=path.stem,
        file=path,
        problems=problems,
        truck=truck if _ID.fullmatch(truck) else "",
        start=found.get("start", "")[:20],
        technician=found.get("technician", "")[:80],
        site=found.get("site", "")[:160],
        called_off=bool(found.get("called_off")),
    )


def _told(node: Node) -> dict[str, str]:
    if not isinstance(node, Map):
        return {}
    entries = {entry.key: entry.node for entry in node.entries}
    found = {
        name: item.value
        for name in ("truck", "start", "technician", "called_off")
        if isinstance(item := entries.get(name), Text)
    }
    site = entries.get("site")
    if isinstance(site, Map):
        words = {entry.key: entry.node.value for entry in site.entries if isinstance(entry.node, Text)}
        found["site"] = ", ".join(words[key] for key in ("name", "address") if words.get(key))
    return {name: " ".join(value.split()) for name, value in found.items()}


def _picked(path: Path) -> dict[str, str]:
    try:
        text = read_start(path, MOST_BYTES).decode("utf-8", "replace")
    except OwnFileError:
        return {}
    return {found[1]: found[2].strip() for found in reversed(list(_LINE.finditer(text)))}
