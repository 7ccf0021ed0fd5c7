"""The write side of `jobs/filed`: append one record, whole and once, under a lock.

How it is safe. One process writes at a time (a lock file, given back by the death of its process). A record is written
under a hidden name, synced, given its own where none is yet, and the folder is synced: whatever is killed in between, a
record is there whole or not at all. The newest record is noted outside the folder (`witness`), so that the loss of that one, or of
the folder, is seen too; the note is brought up to date after the record; where it lags, the next writer makes it good first. What is left hidden
by a crash is swept by the next writer.
"""

from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from packet.document import Data
from packet.ledger import records
from packet.ledger.records import Filed, filed_folder
from packet.ledger.witness import NAME, Witness, read_witness, write_witness
from packet.shop.whole import (
    PART,
    OwnFileError,
    TakenError,
    locked,
    make_folder,
    sweep,
    sync_folder,
    write_if_new,
    write_new,
)
from packet.words import t

WRITER = ".writer"
PATIENCE_SECONDS = 30.0


class RecordsBusyError(Exception):
    """Someone else has been filing for longer than we wait."""


class DamagedRecordsError(Exception):
    """The chain is forked, or a record is lost or unreadable: nothing is filed until the office has looked at it."""


class Writer:
    """The folder of records while it is ours. Made by `writing` only."""

    def __init__(self, shop_folder: Path) -> None:
        self.shop_folder = shop_folder
        self.folder = filed_folder(shop_folder)

    def names(self) -> list[str]:
        """The file names of all records, by number."""
        return [name for name in records.file_names(self.folder) if name.endswith(records.SUFFIXES)]

    def read(self, name: str) -> Filed:
        """One record. Raises DamagedRecordsError when it cannot be read."""
        item = records.read_one(self.folder / name)
        if not isinstance(item, Filed):
            raise DamagedRecordsError(item.sentence)
        return item

    def about(self, subject: str) -> tuple[Filed, ...]:
        """The records about one job or cylinder, by number. Raises DamagedRecordsError when one cannot be read."""
        return tuple(self.read(name) for name in self.names() if _about(name) == subject)

    def append(self, kind: str, subject: str, body: Mapping[str, Data]) -> Filed:
        """Write the next record and return it.

        Raises DamagedRecordsError when the chain has no single end, OSError when the machine fails (nothing is left then).
        """
        seq, previous = self._end()
        return self._write(seq + 1, kind, subject, previous, body)

    def merge(self, body: Mapping[str, Data]) -> Filed:
        """Write a record that joins all loose ends, and names what is lost among its predecessors."""
        found, noted = records.read_records(self.shop_folder), self._remembered()
        seq = max([item.seq for item in found.filed] + ([noted[0]] if noted else [0]))
        settled = dict(body) | ({"losses": list(found.lost)} if found.lost else {})
        return self._write(seq + 1, "merge", "merge", (*records.tips(found.filed), *found.lost), settled)

    def catch_up(self) -> None:
        """Note the newest record where a writer was killed between writing it and noting it, and sweep up after him."""
        for part in self.shop_folder.glob(f".{NAME}.*{PART}"):
            part.unlink(missing_ok=True)
        names = self.names()
        if not names:
            return
        newest = records.read_one(self.folder / names[-1])
        with suppress(DamagedRecordsError, OSError):
            noted = self._remembered()
            before = noted[1] if noted is not None else ""
            if isinstance(newest, Filed) and newest.sound and before in (newest.previous or ("",)):
                self._remember(newest)

    def _write(self, seq: int, kind: str, subject: str, previous: tuple[str, ...], body: Mapping[str, Data]) -> Filed:
        name = records.name_of(seq, subject)
        if records.NAME.fullmatch(name) is None:
            raise ValueError(f"'{subject}' cannot be part of a file name")
        write_new(self.folder / name, records.compose(seq, kind, subject, previous, body))
        item = self.read(name)
        # The record is filed from here on; the note of the newest may lag and is made good by the next writer.
        with suppress(OSError):
            self._remember(item)
        return item

    def _end(self) -> tuple[int, tuple[str, ...]]:
        """Number and digest of the newest record; (0, ()) when there is none."""
        remembered, names = self._remembered(), self.names()
        if remembered is not None and names:
            newest = records.read_one(self.folder / names[-1])
            # as many files as the newest number: nothing was lost or written apart from us
            whole = isinstance(newest, Filed) and newest.sound and len(names) == newest.seq
            if isinstance(newest, Filed) and whole and (newest.seq, newest.digest) == remembered:
                return newest.seq, (newest.digest,)
        return self._end_by_reading_all()

    def _end_by_reading_all(self) -> tuple[int, tuple[str, ...]]:
        found = records.read_records(self.shop_folder)
        if found.damaged is not None:
            raise DamagedRecordsError(found.damaged.sentence)
        if found.lost:
            raise DamagedRecordsError(
                t("A filed record is missing (digest {digest}): run 'packet records check'.", digest=found.lost[0][:12])
            )
        ends = records.tips(found.filed)
        if len(ends) > 1:
            raise DamagedRecordsError(
                t("Two people filed apart from each other (the chain is forked): run 'packet records check'.")
            )
        if not ends:
            return 0, ()
        newest = next(item for item in found.filed if item.digest == ends[0])
        self._remember(newest)
        return newest.seq, ends

    def _remembered(self) -> tuple[int, str] | None:
        try:
            noted = read_witness(self.shop_folder)
        except OwnFileError as error:
            raise DamagedRecordsError(str(error)) from error
        return (noted.record, noted.digest) if noted else None

    def _remember(self, item: Filed) -> None:
        write_witness(self.shop_folder, Witness(item.seq, item.digest))


def _about(name: str) -> str:
    match = records.NAME.fullmatch(name)
    return match["subject"] if match else ""


@contextmanager
def writing(shop_folder: Path, *, patience_seconds: float = PATIENCE_SECONDS) -> Iterator[Writer]:
    """The folder of records, ours until the block ends. Checks that must hold when the record is written go inside.

    Raises RecordsBusyError when it is not free within `patience_seconds`, OSError when the machine fails.
    """
    folder = filed_folder(shop_folder)
    own = folder / WRITER
    if not own.is_dir():
        make_folder(own)
        sync_folder(shop_folder)
    with ExitStack() as held:
        try:
            held.enter_context(locked(own / "lock", patience_seconds))
        except TakenError as error:
            raise RecordsBusyError(
                t("Somebody else has been filing for {seconds} s. Try again.", seconds=f"{patience_seconds:.0f}")
            ) from error
        sweep(folder)
        sweep(own)
        # A second writer folder, brought along by version control or a copy, would remember another chain.
        write_if_new(own / ".gitignore", b"*\n")
        # a record ends in the digest of its bytes: version control must not convert its line ends
        write_if_new(folder / ".gitattributes", b"* -text\n")
        writer = Writer(shop_folder)
        writer.catch_up()
        yield writer
