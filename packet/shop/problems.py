"""A problem in a file the shop wrote, as data: where, what, and what to write instead."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Generic, TypeVar

from packet.visible import visible
from packet.words import t

# More problems than this in one file are not told: who put another file in its place needs no list of ten thousand.
MOST_PROBLEMS = 100

T_co = TypeVar("T_co", covariant=True)


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One problem: file as the user would type it, line (from 1), field (dotted, as typed), and plain sentences."""

    file: str
    line: int
    field: str
    message: str
    suggestion: str = ""

    def __str__(self) -> str:
        """'file:line field: message suggestion', on one line."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        head = f"{place} {self.field}".rstrip()
        # a file's name may hold bytes that are no text at all; it is still to be shown
        return visible(f"{head}: {self.message} {self.suggestion}".rstrip())


@dataclass(frozen=True, slots=True)
class Loaded(Generic[T_co]):
    """What was loaded, and every problem met on the way. value is None exactly when it cannot be worked with."""

    value: T_co | None
    problems: tuple[Problem, ...] = ()


def at_most(problems: list[Problem]) -> list[Problem]:
    """The problems of one file, cut where there are too many, with a word that there are more."""
    if len(problems) <= MOST_PROBLEMS:
        return problems
    last = problems[MOST_PROBLEMS]
    more = Problem(
        last.file, last.line, "", t("There are more problems from here on."), t("Put the others right first.")
    )
    return [*problems[:MOST_PROBLEMS], more]


class WrongPathError(Exception):
    """A path that was asked for does not exist or is not what the command needs; str() is the sentence to show."""


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that `word` was most likely meant to be, or None."""
    by_folded = {item.casefold(): item for item in known}
    found = get_close_matches(word.casefold(), by_folded, n=1, cutoff=0.6)
    return by_folded[found[0]] if found else None


def did_you_mean(word: str, known: Iterable[str], most: int = 12) -> str:
    """The suggestion for a word that is not known: the nearest one, else the known ones (at most `most`)."""
    names = list(known)
    near = nearest(word, names)
    if near is not None:
        return t("Did you mean '{near}'?", near=near)
    if not names:
        return ""
    shown = ", ".join(names[:most])
    return t("Known: {names} …", names=shown) if len(names) > most else t("Known: {names}.", names=shown)


def quoted(value: str, most: int = 40) -> str:
    """`value` fit to be repeated in a message: one line, every sign visible, cut when long."""
    cut = value if len(value) <= most else value[: most - 1] + "…"
    return visible(cut.replace("\n", " ").replace("\t", " "))
