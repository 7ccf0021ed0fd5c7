"""Small shops to break: copies of the ones beside this file, one a test."""

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from packet.shop.load import check
from packet.shop.problems import Problem

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
