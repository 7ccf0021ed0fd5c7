"""What a run remembers of a day's hookups, beside its output: what each took and found, and what its packet would be.

A large day has three hundred jobs, and most have not changed since the last run: building their hookups only to see that
takes a minute. What is remembered is believed of a plan with the very same document, by the same code, in the same
language; whatever is damaged is made anew.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from packet.document import Shape, ShapeError, sealed, unsealed
from packet.findings import Finding
from packet.hookup.model import Hookup
from packet.plan.document import plan_document
from packet.plan.model import Plan
from packet.press.digest import digest, tools
from packet.press.run.state import FOLDER
from packet.shop.whole import OwnFileError, read_whole, write_if_new
from packet.statements import Statement
from packet.words import spoken

MOST_BYTES = 16_000_000


@dataclass(frozen=True, slots=True)
class Known:
    """Of one job. plan: the digest of the plan its hookup was built from; paper: of that and of what the day's kit has to
    say to it; revision: what its packet was then. made_of: of the texts that the plan was made from, with the jobs that
    were known to stay at home; '' where it was made again with what was left of the kit.
    """

    plan: str
    paper: str
    revision: str
    kit_list: tuple[tuple[Statement, int], ...]
    findings: tuple[Finding, ...]
    made_of: str = ""

    @property
    def hookup(self) -> Hookup:
        """The hookup, without what only its packet needs."""
        return Hookup(stages=(), kit_list=self.kit_list, findings=self.findings)


@dataclass(frozen=True, slots=True)
class Memory:
    """What is remembered of a day, by job. by: the code, libraries and language that it holds for."""

    by: str
    jobs: Mapping[str, Known] = field(default_factory=dict)


def plan_digest(plan: Plan) -> str:
    """The digest of everything that a plan says, and of what it was made from."""
    text = json.dumps(plan_document(plan), ensure_ascii=False, check_circular=False)
    return sha256(text.encode()).hexdigest()


def paper_digest(plan: str, told: tuple[Finding, ...]) -> str:
    """The digest of what a packet is made from: its plan's, and what the day found on top."""
    return digest((plan, repr(told)))


def recall(out: Path, day: str) -> Memory:
    """What is remembered of a day in the current language; nothing where that cannot be read or was of other code."""
    now = Memory(digest((tools(), spoken())))
    try:
        found = unsealed(read_whole(_file(out, day), MOST_BYTES))
        known = _SHAPE.back(found.data)
    except (OSError, OwnFileError, ShapeError):
        return now
    return known if found.sound and known.by == now.by and _can_be_said(known) else now


def _can_be_said(memory: Memory) -> bool:
    """Whether each code that is remembered has a sentence, and all that fills it."""
    jobs = memory.jobs.values()
    findings = {item for one in jobs for item in one.findings}
    things = {thing for one in jobs for thing, _ in one.kit_list}
    try:
        said = [*(item.message + item.remedy for item in findings), *(thing.sentence("US") for thing in things)]
    except (LookupError, TypeError, ValueError):
        return False
    return not any("{" in sentence for sentence in said)  # a place that nothing fills


def remember(out: Path, day: str, jobs: Mapping[str, Known]) -> None:
    """Remember a day. Raises OSError."""
    now = Memory(digest((tools(), spoken())), dict(sorted(jobs.items())))
    write_if_new(_file(out, day), sealed(_SHAPE.out(now)))


def _file(out: Path, day: str) -> Path:
    return out / FOLDER / f"hookups-{day}.json"


_SHAPE = Shape(Memory)
