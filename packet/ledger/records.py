"""The read side of `jobs/filed`: one file a record, each naming the digest of the one before.

A record is a short head (number, kind, what it is about, predecessors), what was filed, and a last line with the
digest of everything above it. Anyone can read it; nothing but `packet.ledger.store` writes it.
"""

import hashlib
import os
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from packet.collector import without_collecting
from packet.ledger import plain
from packet.words import N_, t

FOLDER = "filed"
NAME = re.compile(r"(?P<seq>\d{6,})-(?P<subject>[A-Za-z0-9][A-Za-z0-9._-]*)\.yaml")
HEAD = N_("Filed once and never changed. To put something right, file a correction that names this record.")
_CHUNK = 1 << 16
_SEAL = "digest: "


@dataclass(frozen=True, slots=True)
class Filed:
    """One record as it stands in its file.

    seq: its number. subject: the job or cylinder it is about. digest: as its last line says. previous: the digests of
    its predecessors (none for the first, two or more for a merge). body: everything filed, as text. found_digest: of
    the text as it is; differs from `digest` when the file was changed after filing.
    """

    seq: int
    name: str
    kind: str
    subject: str
    previous: tuple[str, ...]
    digest: str
    found_digest: str
    body: Mapping[str, plain.Tree]

    @property
    def sound(self) -> bool:
        """Whether the file still says what was filed."""
        return self.digest == self.found_digest

    @property
    def date(self) -> str:
        """The day it is about, ISO; a merge has none."""
        return str(self.body.get("date", ""))


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A file of the folder that is no record: its name and what is wrong."""

    name: str
    why: str

    @property
    def sentence(self) -> str:
        """File and fault, in the current language."""
        return t("{file} is no record: {why}.", file=f"{FOLDER}/{self.name}", why=self.why)

    @property
    def stray(self) -> bool:
        """Whether it never was one: somebody's note, or what a computer leaves in every folder."""
        return not self.name.endswith(".yaml")


@dataclass(frozen=True, slots=True)
class Records:
    """Everything in the folder: records by number, and files that are none."""

    filed: tuple[Filed, ...]
    unreadable: tuple[Unreadable, ...]

    @property
    def damaged(self) -> Unreadable | None:
        """The first file that should be a record and cannot be read; strays do no harm."""
        return next((item for item in self.unreadable if not item.stray), None)

    @property
    def edited(self) -> tuple[str, ...]:
        """Names of records that were changed after filing, and that no merge record accepts as they are."""
        accepted = {
            str(digest) for item in self.filed if item.kind == "merge" for digest in item.body.get("accepts", ())
        }
        return tuple(item.name for item in self.filed if not item.sound and item.found_digest not in accepted)


def filed_folder(shop_folder: Path) -> Path:
    """Where a shop keeps what came back."""
    return shop_folder / FOLDER


def read_records(shop_folder: Path) -> Records:
    """All records of a shop, in the order of their numbers. A missing folder holds none. Raises OSError."""
    return read_more(shop_folder, Records((), ()))


def read_more(shop_folder: Path, known: Records) -> Records:
    """`known` and what was filed since: a record never changes, so that only new names are read. Raises OSError."""
    folder = filed_folder(shop_folder)
    have = {item.name: item for item in known.filed}
    filed: list[Filed] = []
    unreadable: list[Unreadable] = []
    with without_collecting():
        for name in file_names(folder):
            item = have.get(name) or parse(name, _content(f"{folder}/{name}"))
            if isinstance(item, Filed):
                filed.append(item)
            else:
                unreadable.append(item)
    return Records(tuple(filed), tuple(unreadable))


def _content(path: str) -> bytes:
    # a third of the time of a file object, twenty thousand times
    file = os.open(path, os.O_RDONLY)
    try:
        parts = [os.read(file, _CHUNK)]
        while len(parts[-1]) == _CHUNK:
            parts.append(os.read(file, _CHUNK))
        return b"".join(parts)
    finally:
        os.close(file)


def file_names(folder: Path) -> list[str]:
    """Names of the records and strays in the folder, by number; hidden files and folders are the writer's own."""
    if not folder.is_dir():
        return []
    return sorted((item.name for item in folder.iterdir() if not item.name.startswith(".")), key=_by_number)


def _by_number(name: str) -> tuple[int, str]:
    number = name.partition("-")[0]
    return (int(number) if number.isascii() and number.isdigit() else 0, name)


def parse(name: str, content: bytes) -> Filed | Unreadable:
    """The record in a file's bytes, or why it is none."""
    match = NAME.fullmatch(name)
    if match is None:
        return Unreadable(name, t("its name is not that of a record"))
    cut = content.rfind(b"\n" + _SEAL.encode()) + 1
    if not cut:
        return Unreadable(name, t("it does not end with its digest"))
    try:
        body = plain.read(content[:cut].decode())
        seq, kind, subject, previous = body.pop("record"), body.pop("kind"), body.pop("subject"), body.pop("previous")
        digest = content[cut + len(_SEAL) :].decode().removesuffix("\n")
        if int(seq) != int(match["seq"]) or not isinstance(previous, list):
            return Unreadable(name, t("its number is not that of its name"))
    except (ValueError, KeyError, TypeError) as error:
        return Unreadable(name, t("it cannot be read ({error})", error=error))
    return Filed(
        int(seq), name, kind, subject, tuple(previous), digest, hashlib.sha256(content[:cut]).hexdigest(), body
    )


def compose(seq: int, kind: str, subject: str, previous: Iterable[str], body: Mapping[str, plain.Tree]) -> bytes:
    """The bytes of a record's file. Raises ValueError when the body would write over the head."""
    head = {"record": f"{seq:06}", "kind": kind, "subject": subject, "previous": list(previous)}
    if not head.keys().isdisjoint(body) or "digest" in body:
        raise ValueError("a body may not use the keys of a record's head")
    text = (f"# {t(HEAD)}\n" + plain.write(head | dict(body), as_typed=True)).encode()
    return text + f"{_SEAL}{hashlib.sha256(text).hexdigest()}\n".encode()


def tips(filed: Iterable[Filed]) -> tuple[str, ...]:
    """The digests that no record names as its predecessor: one, unless the chain is forked or empty."""
    items = tuple(filed)
    named = {digest for item in items for digest in item.previous}
    return tuple(item.digest for item in items if item.digest not in named)


@dataclass(frozen=True, slots=True)
class Standing:
    """What counts: a record that no later one corrects, under the kind of what it says.

    kind: of the event ('job', 'turn-in', ...). first: the record that was corrected at the very start, the same when
    it was never corrected.
    """

    kind: str
    record: Filed
    first: Filed

    @property
    def corrected(self) -> bool:
        """Whether it stands in for an earlier record."""
        return self.record is not self.first


def standing(filed: Iterable[Filed]) -> tuple[Standing, ...]:
    """The records that count, in the order of their numbers: a correction stands in place of what it corrects.

    Withdrawn records (a correction that says nothing happened) and merges are left out. Where two corrections name the
    same record, as after a fork, the later number counts.
    """
    first: dict[str, Filed] = {}
    latest: dict[str, Filed] = {}
    for item in filed:
        corrects = item.body.get("corrects") if item.kind == "correction" else None
        start = first.get(str(corrects), item) if corrects else item
        first[item.digest] = start
        latest[start.digest] = item
    kept = (
        Standing(str(item.body.get("of", "")) if item.kind == "correction" else item.kind, item, first[item.digest])
        for item in latest.values()
    )
    return tuple(sorted((item for item in kept if item.kind not in {"merge", "nothing"}), key=lambda s: s.record.seq))
