"""The write side of `jobs/filed`: append one record, whole and once, under a lock.

How it is safe. A record is written to a temporary file in the writer's own folder (`filed/.writer`), synced, and given
its name by a hard link, which fails when the name is taken; then the folder is synced. Whatever is killed in between,
a record is there whole or not at all. The writer's folder also remembers the newest record, so that the loss of that
one is seen too; it is brought up to date after the record and can always lag by one. One process writes at a time
(`flock`). What is left in the writer's folder by a crash is swept by the next writer.
"""

import errno
import fcntl
import os
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from packet.ledger import plain, records
from packet.ledger.records import Filed, filed_folder
from packet.words import t

WRITER = ".writer"
PATIENCE_SECONDS = 30.0
_WAIT_SECONDS = 0.02


class RecordsBusyError(Exception):
    """Someone else has been filing for longer than we wait."""


class DamagedRecordsError(Exception):
    """The chain is forked, or a record is lost or unreadable: nothing is filed until the office has looked at it."""


class Writer:
    """The folder of records while it is ours. Made by `writing` only."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.own = folder / WRITER

    def names(self) -> list[str]:
        """The file names of all records, by number."""
        return [name for name in records.file_names(self.folder) if name.endswith(".yaml")]

    def read(self, name: str) -> Filed:
        """One record. Raises DamagedRecordsError when it cannot be read."""
        item = records.parse(name, (self.folder / name).read_bytes())
        if not isinstance(item, Filed):
            raise DamagedRecordsError(item.sentence)
        return item

    def about(self, subject: str) -> tuple[Filed, ...]:
        """The records about one job or cylinder, by number. Raises DamagedRecordsError when one cannot be read."""
        return tuple(self.read(name) for name in self.names() if name.partition("-")[2] == f"{subject}.yaml")

    def append(self, kind: str, subject: str, body: Mapping[str, plain.Tree]) -> Filed:
        """Write the next record and return it.

        Raises DamagedRecordsError when the chain has no single end, OSError when the machine fails (nothing is left then).
        """
        seq, previous = self._end()
        return self._write(seq + 1, kind, subject, previous, body)

    def merge(self, body: Mapping[str, plain.Tree]) -> Filed:
        """Write a record that joins all loose ends, and names what is lost among its predecessors."""
        known = records.read_records(self.folder.parent).filed
        ends = list(records.tips(known))
        remembered = self._remembered()
        if remembered is not None and remembered[1] not in {item.digest for item in known}:
            ends.append(remembered[1])
        seq = max([item.seq for item in known] + ([remembered[0]] if remembered else [0]))
        return self._write(seq + 1, "merge", "merge", tuple(ends), body)

    def _write(
        self, seq: int, kind: str, subject: str, previous: tuple[str, ...], body: Mapping[str, plain.Tree]
    ) -> Filed:
        name = f"{seq:06}-{subject}.yaml"
        if records.NAME.fullmatch(name) is None:
            raise ValueError(f"'{subject}' cannot be part of a file name")
        content = records.compose(seq, kind, subject, previous, body)
        part = self.own / "record.part"
        _write_synced(part, content)
        _give_name(part, self.folder / name)
        _sync_folder(self.folder)
        item = self.read(name)
        # The record is filed from here on; the note of the newest may lag and is made good by the next writer.
        with suppress(OSError):
            part.unlink(missing_ok=True)
            self._remember(item)
        return item

    def _end(self) -> tuple[int, tuple[str, ...]]:
        """Number and digest of the newest record; (0, ()) when there is none."""
        remembered, names = self._remembered(), self.names()
        if remembered is not None and names:
            newest = self.read(names[-1])
            # as many files as the newest number: nothing was lost or written apart from us
            if (newest.seq, newest.digest) == remembered and newest.sound and len(names) == newest.seq:
                return newest.seq, (newest.digest,)
        return self._end_by_reading_all(remembered)

    def _end_by_reading_all(self, remembered: tuple[int, str] | None) -> tuple[int, tuple[str, ...]]:
        found = records.read_records(self.folder.parent)
        if found.damaged is not None:
            raise DamagedRecordsError(found.damaged.sentence)
        known = {item.digest for item in found.filed}
        merged = {digest for item in found.filed if item.kind == "merge" for digest in item.previous}
        lost = [digest for item in found.filed for digest in item.previous if digest not in known | merged]
        if remembered is not None and remembered[1] not in known | merged:
            lost.append(remembered[1])
        if lost:
            raise DamagedRecordsError(
                t("A filed record is missing (digest {digest}): run 'packet records check'.", digest=lost[0][:12])
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
            seq, digest = (self.own / "newest").read_text("ascii").split()
            return int(seq), digest
        except (FileNotFoundError, ValueError):
            return None

    def _remember(self, item: Filed) -> None:
        part = self.own / "newest.part"
        _write_synced(part, f"{item.seq} {item.digest}\n".encode())
        part.replace(self.own / "newest")
        _sync_folder(self.own)


@contextmanager
def writing(
    shop_folder: Path, *, patience_seconds: float = PATIENCE_SECONDS, sleep: Callable[[float], None] = time.sleep
) -> Iterator[Writer]:
    """The folder of records, ours until the block ends. Checks that must hold when the record is written go inside.

    Raises RecordsBusyError when it is not free within `patience_seconds`, OSError when the machine fails.
    """
    folder = filed_folder(shop_folder)
    own = folder / WRITER
    if not own.is_dir():
        own.mkdir(parents=True, exist_ok=True)
        _sync_folder(shop_folder)
    # A second writer folder, brought along by version control or a copy, would remember another chain.
    ignore = own / ".gitignore"
    if not ignore.exists():
        _write_synced(ignore, b"*\n")
    lock = os.open(own / "lock", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o666)
    try:
        _take(lock, patience_seconds, sleep)
        for left in own.glob("*.part"):
            left.unlink(missing_ok=True)
        yield Writer(folder)
    finally:
        os.close(lock)  # gives the lock back; so does the death of the process


def _take(lock: int, patience_seconds: float, sleep: Callable[[float], None]) -> None:
    waited = 0.0
    while True:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except OSError as error:
            if error.errno not in {errno.EWOULDBLOCK, errno.EACCES}:
                raise
        if waited >= patience_seconds:
            raise RecordsBusyError(
                t("Somebody else has been filing for {seconds} s. Try again.", seconds=f"{patience_seconds:.0f}")
            )
        sleep(_WAIT_SECONDS)
        waited += _WAIT_SECONDS


def _write_synced(path: Path, content: bytes) -> None:
    file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_CLOEXEC, 0o666)
    try:
        rest = memoryview(content)
        while rest:
            rest = rest[os.write(file, rest) :]
        os.fsync(file)
    except OSError:
        with suppress(OSError):
            path.unlink()
        raise
    finally:
        os.close(file)


def _give_name(part: Path, path: Path) -> None:
    try:
        os.link(part, path)
    except OSError as error:
        # Some shared drives know no hard links; under our lock looking first and renaming is as good.
        if error.errno not in {errno.EPERM, errno.ENOTSUP, errno.EMLINK}:
            raise
        if path.exists():
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path)) from None
        part.rename(path)


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
