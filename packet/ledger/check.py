"""Whether the records are as they were filed: edits, losses, forks, strays.

The chain shows changes that happen by accident or in passing. Somebody who rewrites every later record and the
note outside the folder as well is not stopped by it; the month's report prints the newest digest on paper for that.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from packet.ledger import records, witness
from packet.ledger.records import Filed, Records
from packet.words import N_, t

Trouble = Literal["edited", "lost", "forked", "unreadable", "copy", "line-ends", "number", "twice"]

_SENTENCES: dict[Trouble, str] = {
    "edited": N_("The file was changed after it was filed."),
    "lost": N_("It follows a record (digest {digest}) that is no longer there."),
    "forked": N_("It and {others} follow the same record: two people filed apart from each other."),
    "unreadable": N_("This is no record: {why}."),
    "copy": N_("This is no record: {why}."),
    "line-ends": N_("This is no record: {why}."),
    "number": N_("Its number is not one above that of the record before."),
    "twice": N_("Job {job} is filed here and in {others}."),
}

_KINDS: dict[str, Trouble] = {"damaged": "unreadable", "copy": "copy", "line-ends": "line-ends"}
_NEWEST_LOST = N_("The newest record that was filed (digest {digest}) is not there: one is lost, or the whole folder.")


@dataclass(frozen=True, slots=True)
class Break:
    """One thing wrong with the records. settled: a later merge record names it and says why, or it stands in nobody's way.
    remedy: what to do, where that is known, a sentence."""

    file: str
    kind: Trouble
    params: tuple[tuple[str, str], ...] = ()
    settled: bool = False
    remedy: str = ""

    @property
    def message(self) -> str:
        """The sentence in the current language."""
        sentence = _NEWEST_LOST if (self.file, self.kind) == (witness.NAME, "lost") else _SENTENCES[self.kind]
        words = t(sentence, **dict(self.params)) if self.params else t(sentence)
        return t("{sentence} (settled by a later record)", sentence=words) if self.settled else words


def check_records(shop_folder: Path) -> tuple[Break, ...]:
    """Everything wrong with a shop's records, in the order of their numbers; settled breaks are listed as such."""
    return breaks(records.read_records(shop_folder))


def breaks(found: Records) -> tuple[Break, ...]:
    """As `check_records`, from records already read."""
    merges = [item for item in found.filed if item.kind == "merge"]
    settled = {digest for item in merges for digest in records.losses_of(item)}
    accepted = {str(digest) for item in merges for digest in item.body.get("accepts", ())}
    known = {item.digest: item for item in found.filed}
    out = [Break(item.name, _KINDS[item.kind], (("why", item.why),), remedy=item.remedy) for item in found.unreadable]
    out += [Break(item.name, "edited", settled=item.found_digest in accepted) for item in found.filed if not item.sound]
    for item in found.filed:
        missing = [digest for digest in item.previous if digest not in known]
        out += [Break(item.name, "lost", (("digest", digest[:12]),), digest in settled) for digest in missing]
        numbers = [known[digest].seq for digest in item.previous if digest in known]
        if not missing and item.seq != max(numbers, default=0) + 1:
            out.append(Break(item.name, "number"))
    if found.witness and found.witness not in known and found.witness not in settled:
        out.append(Break(witness.NAME, "lost", (("digest", found.witness[:12]),)))
    if found.unwitnessed:
        out.append(Break(witness.NAME, "unreadable", (("why", found.unwitnessed),)))
    out += _forks(found.filed)
    out += [
        Break(names[0], "twice", (("job", job), ("others", ", ".join(names[1:]))), remedy=t(records.WITHDRAW))
        for job, names in found.twice.items()
    ]
    return tuple(sorted(out, key=lambda item: item.file))


def _forks(filed: tuple[Filed, ...]) -> list[Break]:
    followers: dict[str, list[Filed]] = {}
    known = {item.digest for item in filed}
    for item in filed:
        # a merge names what is lost, too: that it follows it is no fork
        for digest in [one for one in item.previous if item.kind != "merge" or one in known] or [""]:
            followers.setdefault(digest, []).append(item)
    joined = len(records.tips(filed)) <= 1  # a merge has brought the ends together again
    several = (tuple(item.name for item in items) for items in followers.values() if len(items) > 1)
    return [Break(names[0], "forked", (("others", ", ".join(names[1:])),), joined) for names in several]
