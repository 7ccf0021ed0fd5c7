"""The read side of `jobs/filed`: one file a record, each naming the digest of the one before.

A record is a short head (format, number, kind, what it is about, predecessors), what was filed, and a last line with the
digest of everything above it, in JSON; every value is the text that was filed. Anyone can read it; nothing but
`packet.ledger.store` writes it. Records of the time before (YAML, see `records_before`) stand in the same chain.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path
from typing import Literal

from packet.collector import without_collecting
from packet.document import Data, ShapeError, Unsealed, sealed, unsealed
from packet.ledger import records_before
from packet.ledger.body import check_shape
from packet.ledger.witness import NAME as WITNESS
from packet.ledger.witness import read_witness
from packet.shop.whole import OwnFileError, read_whole
from packet.words import N_, t

FOLDER = "filed"
NAME = re.compile(r"(?P<seq>\d{6,})-(?P<subject>[A-Za-z0-9][A-Za-z0-9._-]*?)\.(json|yaml)")
FORMAT = 1
MOST_BYTES = 4_000_000
# So many gaps are told of each settlement, wherever gas is added up.
MOST_TOLD = 3
HEAD = ("record", "kind", "subject", "previous")
SUFFIXES = (".json", ".yaml")


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
    body: Mapping[str, Data]

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
    """A file of the folder that is no record: its name and what is wrong.

    kind: 'copy' of a record under another name, as programs that share folders leave them; 'line-ends' where only these
    were converted. of: the record that a copy is of, digest: its; same: that record is there and says the same.
    """

    name: str
    why: str
    kind: Literal["damaged", "copy", "line-ends"] = "damaged"
    of: str = ""
    digest: str = ""
    same: bool = False

    @property
    def sentence(self) -> str:
        """File and fault, and what to do where that is known, in the current language."""
        said = t("{file} is no record: {why}.", file=f"{FOLDER}/{self.name}", why=self.why)
        return f"{said} {self.remedy}".rstrip()

    @property
    def remedy(self) -> str:
        """What to do about it, '' where nothing general can be said."""
        if self.kind == "line-ends":
            return t(
                "Nothing else in it was changed: take it from the copy it came from, or turn its line ends back into LF; let"
                " no program convert files of this folder."
            )
        if self.kind == "copy" and self.same:
            return t("{record} is there and says the same: take the copy away.", record=self.of)
        if self.kind == "copy":
            return t(
                "Two computers filed apart. If {record} is not there, give this file that name; if it is there and is of"
                " the same job, keep the right one of the two here. Then: packet records check",
                record=self.of,
            )
        return ""

    @property
    def stray(self) -> bool:
        """Whether it stands in nobody's way: somebody's note, what a computer leaves in every folder, a plain copy."""
        return self.same or not self.name.endswith(SUFFIXES)


@dataclass(frozen=True, slots=True)
class Records:
    """Everything in the folder: records by number, and files that are none.

    witness: the digest of the newest record as it is noted outside the folder, noted: its number; unwitnessed: why that
    cannot be read; note_is_gone: whether it is not there at all, though more than one record is.
    """

    filed: tuple[Filed, ...]
    unreadable: tuple[Unreadable, ...]
    witness: str = ""
    unwitnessed: str = ""
    noted: int = 0
    note_is_gone: bool = False

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

    @property
    def lost(self) -> tuple[str, ...]:
        """Digests of records that were filed and are not there, and of which no merge record says so."""
        known = {item.digest for item in self.filed}
        known.update(digest for item in self.filed for digest in losses_of(item))
        named = [digest for item in self.filed for digest in item.previous]
        return tuple(dict.fromkeys(digest for digest in (*named, self.witness) if digest and digest not in known))

    @property
    def settled_gone(self) -> tuple[tuple[int, int], ...]:
        """From and to which numbers records are settled as lost."""
        spans = [
            str(span).split("-") for item in self.filed if item.kind == "merge" for span in item.body.get("gone", ())
        ]
        return tuple((int(span[0]), int(span[1])) for span in spans)

    @property
    def twice(self) -> dict[str, tuple[str, ...]]:
        """Jobs that count more than once, and the records they are filed in: two offices filed apart, or what took one
        of them back is lost."""
        names: dict[str, list[str]] = {}
        for item in standing(self.filed):
            if item.kind == "job":
                names.setdefault(item.record.subject, []).append(item.record.name)
        return {job: tuple(names[job]) for job in sorted(names) if len(names[job]) > 1}

    @property
    def missing_told(self) -> tuple[str, ...]:
        """What whoever adds up has to know, a sentence each: records that were settled as lost, jobs that count twice."""
        told, known = [], {item.digest for item in self.filed}
        for item in self.filed:
            if known.issuperset(losses_of(item)):
                continue
            spans = [span.split("-") for span in map(str, item.body.get("gone", ()))]
            many = len(spans) > 1 or any(first != last for first, last in spans)
            said = [str(said) for said in item.body.get("lost", ())][: len(spans) or 1]
            words = {"record": item.name, "said": " ".join(said[:MOST_TOLD]) + (" …" if len(said) > MOST_TOLD else "")}
            told.append(
                t("Filed records are lost (settled by {record}): what they moved is not counted here. {said}", **words)
                if many
                else t(
                    "A filed record is lost (settled by {record}): what it moved is not counted here. {said}", **words
                )
            )
        for job, names in self.twice.items():
            told.append(
                t(
                    "Job {job} counts more than once: {names}. {remedy}",
                    job=job,
                    names=", ".join(names),
                    remedy=t(WITHDRAW),
                )
            )
        if self.note_is_gone:
            told.append(
                t(
                    "'{file}' is gone, which shows whether the newest record is lost: is {record} the last that was filed? The next filing writes it anew.",
                    file=WITNESS,
                    record=max(self.filed, key=lambda item: item.seq).name,
                )
            )
        return tuple(sentence.rstrip() for sentence in told)

    @property
    def trouble(self) -> str:
        """Why nothing may rest on these records, in one sentence; '' when they are whole and as they were filed."""
        if self.damaged is not None:
            return self.damaged.sentence
        if self.edited:
            return t("{file} was changed after it was filed.", file=f"{FOLDER}/{self.edited[0]}")
        if self.lost:
            digest = self.lost[0][:12]
            if not self.filed:
                return t("The folder '{folder}' is empty or not there, and records were filed in it.", folder=FOLDER)
            return t("A filed record (digest {digest}) is no longer there.", digest=digest)
        return self.unwitnessed


# what to do where a job counts more than once
WITHDRAW = N_("Withdraw what did not happen: packet records withdraw NUMBER --why REASON.")


def losses_of(item: Filed) -> frozenset[str]:
    """Digests of the records that a record settles as lost. What it only follows and is lost later is not among them."""
    if item.kind != "merge":
        return frozenset()
    if "losses" in item.body:
        return frozenset(str(digest) for digest in item.body["losses"])
    # settled before losses were named one by one
    return frozenset(item.previous) if "lost" in item.body else frozenset()


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
            item = have.get(name) or read_one(folder / name)
            if isinstance(item, Filed):
                filed.append(item)
            else:
                unreadable.append(item)
    there = {item.name: item.digest for item in filed}
    strange = tuple(
        replace(item, same=True) if item.kind == "copy" and there.get(item.of) == item.digest else item
        for item in unreadable
    )
    try:
        noted = read_witness(shop_folder)
    except OwnFileError as error:
        return Records(tuple(filed), strange, unwitnessed=str(error))
    if noted is None:  # it is written after each record: a first one, whose writer was killed, has none
        return Records(tuple(filed), strange, note_is_gone=len(filed) > 1)
    return Records(tuple(filed), strange, noted.digest, noted=noted.record)


def read_one(path: Path) -> "Filed | Unreadable":
    """The record in a file, or why it is none. Raises OSError."""
    try:
        return parse(path.name, read_whole(path, MOST_BYTES))
    except OwnFileError as error:
        return Unreadable(path.name, error.why)


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
    found = _parsed(name, content)
    if isinstance(found, Unreadable):
        if b"\r\n" in content and not isinstance(_parsed(name, content.replace(b"\r\n", b"\n")), Unreadable):
            return Unreadable(name, t("its line ends were converted"), "line-ends")
        return found
    match = NAME.fullmatch(name)
    if match is None or match["subject"] != found.subject:
        own = f"{found.seq:06}-{found.subject}{name[name.rindex('.') :]}"
        return Unreadable(name, t("it is a copy of {record} under another name", record=own), "copy", own, found.digest)
    if found.seq != int(match["seq"]):
        return Unreadable(name, t("its number is not that of its name"))
    return found


def _parsed(name: str, content: bytes) -> Filed | Unreadable:
    """The record that a file holds, whatever the file is called."""
    if not name.endswith(SUFFIXES):
        return Unreadable(name, t("its name is not that of a record"))
    try:
        found = _read(content) if name.endswith(".json") else records_before.read(content)
        body = found.data
        seq, kind, subject, previous = (body.pop(key) for key in HEAD)
        if not all(isinstance(item, str) for item in (seq, kind, subject)):
            raise ShapeError("", t("text is expected"))
        if not isinstance(previous, list) or not all(isinstance(item, str) for item in previous):
            raise ShapeError("previous", t("a list is expected"))
        if not seq.isdecimal():
            return Unreadable(name, t("its number is not that of its name"))
        check_shape(body)
    except KeyError as error:
        return Unreadable(name, t("{key} is missing", key=error))
    except ShapeError as error:
        return Unreadable(name, str(error))
    return Filed(int(seq), name, kind, subject, tuple(previous), found.digest, found.found_digest, body)


def _read(content: bytes) -> Unsealed:
    found = unsealed(content)
    number = found.data.pop("format", None)
    if type(number) is not int or number != FORMAT:
        raise ShapeError(
            "format", t("format {found} is not known; this version knows {known}", found=number, known=FORMAT)
        )
    _only_text(found.data, 8)
    return found


def _only_text(data: Data, deepest: int) -> None:
    """Nothing but text in a record, in lists and blocks: what it says is as exact as when it was typed."""
    if isinstance(data, str):
        return
    if not isinstance(data, dict | list) or deepest == 0:
        raise ShapeError("", t("text is expected"))
    for item in data.values() if isinstance(data, dict) else data:
        if not isinstance(item, str):
            _only_text(item, deepest - 1)


def name_of(seq: int, subject: str) -> str:
    """The name of a record's file."""
    return f"{seq:06}-{subject}.json"


def compose(seq: int, kind: str, subject: str, previous: Iterable[str], body: Mapping[str, Data]) -> bytes:
    """The bytes of a record's file. Raises ValueError when the body would write over the head, or could not be read."""
    head = {"format": FORMAT, "record": f"{seq:06}", "kind": kind, "subject": subject, "previous": list(previous)}
    if not head.keys().isdisjoint(body) or "digest" in body:
        raise ValueError("a body may not use the keys of a record's head")
    texts = {key: _as_text(value) for key, value in body.items()}
    check_shape(texts)
    return sealed(head | texts)


def _as_text(value: Data) -> Data:
    if isinstance(value, Mapping):
        return {str(key): _as_text(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_as_text(item) for item in value]
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, str | int | float):
        return str(value)
    raise TypeError(f"not a value for a record: {value!r}")


def tips(filed: Iterable[Filed]) -> tuple[str, ...]:
    """The digests that no record names as its predecessor: one, unless the chain is forked or empty."""
    items = tuple(filed)
    named = {digest for item in items for digest in item.previous}
    return tuple(item.digest for item in items if item.digest not in named)


def first_of(filed: Iterable[Filed], item: Filed) -> Filed:
    """The record at the start of the corrections that a record is the last of; itself where it corrects none."""
    known = {one.digest: one for one in filed}
    while item.kind == "correction" and (before := known.get(str(item.body.get("corrects")))) is not None:
        item = before
    return item


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
