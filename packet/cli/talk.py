"""What every command says the same way: a line, a complaint, problems; and how it opens a shop."""

import re
import sys
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Protocol

from packet.cli.where import shop_here
from packet.findings import Finding
from packet.ledger.records import Filed
from packet.shop.load import find_shop, load_registers
from packet.shop.problems import Problem
from packet.shop.records import Registers
from packet.visible import short, visible
from packet.words import t, tn, use


def now() -> datetime:
    """The wall clock: the one place where it is read."""
    return datetime.now().astimezone()


def today() -> date:
    """The day on the wall."""
    return now().date()


def say(text: str = "") -> None:
    """One line, or several, to who reads on."""
    print(visible(text))


def complain(text: str) -> None:
    """One line, or several, to who must act."""
    print(short(text), file=sys.stderr)


def tell(problems: Iterable[Problem]) -> int:
    """Every problem on a line of its own, then how many; how many."""
    found = tuple(problems)
    for problem in found:
        complain(str(problem))
    if found:
        complain(tn("{count} problem.", "{count} problems.", len(found)))
    return len(found)


def open_shop(path: Path | None) -> tuple[Path, Registers | None]:
    """The shop that `path` lies in, its folder and registers; problems are told and leave None. Sets the language.

    path: None for the default shop. Raises WrongPathError.
    """
    folder = find_shop(path if path is not None else shop_here())
    loaded = load_registers(folder)
    if loaded.value is None:
        tell(loaded.problems)
        return folder, None
    use(loaded.value.shop.language)
    return folder, loaded.value


def reasons(typed: Iterable[str]) -> dict[str, str] | None:
    """'CODE=TEXT' words as code to text; None when one is not of that form, which is then told."""
    found = {}
    for item in typed:
        code, _, text = item.partition("=")
        if not (code.strip() and text.strip()):
            complain(t("--reason takes CODE=TEXT, not '{typed}'.", typed=item))
            return None
        found[code.strip()] = text.strip()
    return found


# the parameter that says what a conflict is about; the same conflict is told to each of its jobs
_ABOUT = ("cylinder", "machine", "scale", "technician", "what", "truck")
_CONFLICTS = ("cylinder-two-trucks", "cylinder-two-refrigerants")


def told_once(findings: Mapping[str, Iterable[Finding]]) -> list[str]:
    """The stops of a day, a line each: a conflict between jobs once, and what one remedy puts right together."""
    lines: list[str] = []
    told: set[tuple[str, str, frozenset[str]]] = set()
    for name, found in findings.items():
        together: dict[tuple[str, str], list[str]] = {}
        for item in found:
            if item.severity != "stop":
                continue
            pairs = _pairs(name, item, findings)
            if pairs and pairs <= told:
                continue
            told |= pairs
            messages = together.setdefault((item.code, item.remedy) if item.remedy else (item.message, ""), [])
            if item.message not in messages:
                messages.append(item.message)
        lines += [f"{name}: {' '.join(messages)} {remedy}".rstrip() for (_, remedy), messages in together.items()]
    return lines


def _pairs(name: str, item: Finding, jobs: Iterable[str]) -> set[tuple[str, str, frozenset[str]]]:
    """Whom a conflict sets against whom, and about what: it is told to each of its jobs."""
    if item.code not in _CONFLICTS and not item.code.endswith("-two-places"):
        return set()
    params = dict(item.params)
    about = next((str(params[key]) for key in _ABOUT if key in params), "")
    others = (
        job for job in jobs if job != name and re.search(rf"(?<![\w.-]){re.escape(job)}(?![\w-]|\.\w)", item.message)
    )
    return {(item.code, about, frozenset({name, other})) for other in others}


class Ended(Protocol):
    """What became of something to be filed."""

    @property
    def filed(self) -> Filed | None:
        """The record, None when it was not filed."""

    @property
    def already(self) -> bool:
        """The very same was filed before."""

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What has to be put right first."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything unusual."""

    @property
    def unanswered(self) -> tuple[Finding, ...]:
        """The cautions that wait for a reason."""


def told(outcome: Ended, name: str = "") -> int:
    """Say what became of a filing; the exit status."""
    head = f"{name}: " if name else ""
    if outcome.filed is not None:
        words = t("was filed before as {record}.") if outcome.already else t("filed as {record}.")
        say(head + words.format(record=outcome.filed.name))
    tell(outcome.problems)
    for item in outcome.findings:
        waits = item in outcome.unanswered
        # file, line and key of the form where it has them; else what it is about
        place = f"{item.where}: " if name and item.where.startswith(f"{name}:") else head
        complain(f"{place}{item.message}" + (f" [{item.code}]" if waits else ""))
        if item.remedy:
            complain(f"  {item.remedy}")
    for line in getattr(outcome, "told", ()):
        complain(head + line)
    if outcome.unanswered:
        complain(
            head + t("Not filed: give a reason for each code in brackets, in the form or with --reason CODE=TEXT.")
        )
    return 0 if outcome.filed is not None else 1
