"""Small shops to break: copies of the ones beside this file, one a test."""

import re
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from packet.shop.load import check
from packet.shop.problems import Problem
from packet.shop.text import Map, Node, Seq

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Broken:
    """A copy of a shop, in which a file's text can be changed."""

    folder: Path
    job: Path

    def change(self, name: str, old: str, new: str) -> None:
        path = self.folder / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        path.write_text(text.replace(old, new), encoding="utf-8")

    def problems(self) -> tuple[Problem, ...]:
        return check([self.folder])


@pytest.fixture
def copy_of(tmp_path: Path) -> Callable[[str], Broken]:
    def copied(name: str) -> Broken:
        folder = tmp_path / name
        shutil.copytree(HERE / name, folder)
        return Broken(folder, folder / "2026-11-26" / "J-1.yaml")

    return copied


@pytest.fixture
def small(copy_of: Callable[[str], Broken]) -> Broken:
    return copy_of("small")


@pytest.fixture
def si(copy_of: Callable[[str], Broken]) -> Broken:
    return copy_of("si")


@pytest.fixture(scope="session")
def as_an_editor_reads() -> Callable[[Node], Any]:
    return _typed


def _typed(node: Node) -> Any:
    """A node typed by the core schema of YAML 1.2 (chapter 10.3.2), as YAML editors do."""
    if isinstance(node, Map):
        return {entry.key: _typed(entry.node) for entry in node.entries}
    if isinstance(node, Seq):
        return [_typed(item) for item in node.items]
    if node.blank:
        return None
    if node.value in {"true", "True", "TRUE", "false", "False", "FALSE"}:
        return node.value.casefold() == "true"
    if re.fullmatch(r"[-+]?[0-9]+", node.value):
        return int(node.value)
    if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", node.value):
        return float(node.value)
    return node.value
