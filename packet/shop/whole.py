"""Writing a file whole or not at all, and reading back what this program wrote itself as carefully as what people typed.

Whoever looks finds the old file or the new one, never a part. There is no other writer of whole files.
"""

import contextlib
import errno
import glob
import os
import secrets
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import BaseFileLock, FileLock, Timeout

from packet.words import t

PART = ".part"  # what a file that was interrupted is called; safe to delete
MOST_BYTES = 16_000_000  # of a file that this program wrote itself; the longest have less than a tenth of it
MOST_PAPER_BYTES = 200_000_000  # of a packet, a stack or a form in the output folder
OLD_SECONDS = 3600.0
MOST_TOGETHER, CLOSED = 32, -1  # files that stand open at once; a file that does no longer
_POLL_SECONDS = 0.02
# what one system has and another has not, or does not need. Nothing opened here is inherited by a child (PEP 446).
_BYTES = getattr(os, "O_BINARY", 0)
_NO_WAIT = getattr(os, "O_NONBLOCK", 0)
_FOLDER: int | None = getattr(os, "O_DIRECTORY", None)


class OwnFileError(Exception):
    """A file that this program wrote, or that lies where one should, and that cannot be read as one; names the file."""

    def __init__(self, path: Path, why: str) -> None:
        self.path = path
        self.why = why
        super().__init__(path, why)

    def __str__(self) -> str:
        return t("'{file}' cannot be read: {why}.", file=self.path, why=self.why)


class TakenError(Exception):
    """Somebody else has held a lock for longer than we wait."""


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, where they are not there yet.

    Raises OSError; where something else stands in the way, with a sentence that names it and says what to do.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        if error.errno not in {errno.EEXIST, errno.ENOTDIR, errno.ELOOP}:
            raise
        in_the_way = (one for one in (*reversed(folder.parents), folder) if os.path.lexists(one) and not one.is_dir())
        found = next(in_the_way, None)
        if found is None:
            raise
        if found.is_symlink() and not found.is_file():
            said = t(
                "'{path}' leads to '{target}', where there is nothing. Make that folder (or connect it), or take the"
                " link away.",
                path=found,
                target=os.readlink(found),  # noqa: PTH115 - as it was written
            )
        else:
            said = t("'{path}' is no folder, and one is needed there. Move it away.", path=found)
        raise OSError(said) from error


# a file system that keeps no permissions has none to give: FAT, some shares
_KEEPS_NONE = {errno.EPERM, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP}


def _permit(part: Path, mode: int) -> None:
    """Give a new file the permissions of the one whose place it takes, where the file system keeps any."""
    if stat.S_IMODE(part.stat().st_mode) == mode:
        return
    try:
        part.chmod(mode)
    except OSError as error:
        if error.errno not in _KEEPS_NONE:
            raise


class Together:
    """Files that are each written whole, and synced all at once, which takes a disk no longer than one or two.

    They are at their places, in the order given, when the block ends, or before where there are many. Raises as `write_whole`; those that are not at
    their places by then are not written. passing: never synced; for what is made again where a power cut spoils it.
    """

    def __init__(self, *, passing: bool = False) -> None:
        self.passing = passing
        self.parts: list[tuple[int, Path, Path]] = []

    def write(self, path: Path, data: bytes) -> None:
        """As `write_whole`."""
        make_folder(path.parent)
        part = path.with_name(f".{path.name}.{secrets.token_hex(4)}{PART}")
        self.parts.append((os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BYTES, 0o666), part, path))
        with _named(path):
            with contextlib.suppress(FileNotFoundError):
                _permit(part, stat.S_IMODE(path.stat().st_mode))
            rest = memoryview(data)
            while rest:
                rest = rest[os.write(self.parts[-1][0], rest) :]
        if len(self.parts) == MOST_TOGETHER:
            self._put()

    def write_if_new(self, path: Path, data: bytes) -> bool:
        """As `write_if_new`."""
        new = not holds(path, data)
        if new:
            self.write(path, data)
        return new

    def __enter__(self) -> "Together":
        return self

    def __exit__(self, kind: type[BaseException] | None, _error: object, _trace: object) -> None:
        try:
            if kind is None:
                self._put()
        finally:
            for handle, part, _ in self.parts:
                if handle != CLOSED:
                    os.close(handle)
                part.unlink(missing_ok=True)

    def _put(self) -> None:
        if len(self.parts) == 1:
            self._sync(self.parts[0])
        elif self.parts:
            from concurrent.futures import ThreadPoolExecutor

            with ThreadPoolExecutor(len(self.parts)) as threads:
                list(threads.map(self._sync, self.parts))
        while self.parts:
            handle, part, path = self.parts[0]
            self.parts[0] = (CLOSED, part, path)
            with _named(path):
                os.close(handle)
                part.replace(path)
            del self.parts[0]

    def _sync(self, one: tuple[int, Path, Path]) -> None:
        with _named(one[2]):
            if not self.passing:
                os.fsync(one[0])


@contextmanager
def _named(path: Path) -> Iterator[None]:
    """A full disk does not say what it was that it had no room for."""
    try:
        yield
    except OSError as error:
        if error.filename is None:
            error.filename = str(path)
        raise


def write_whole(path: Path, data: bytes, *, durable: bool = False, passing: bool = False) -> None:
    """Put `data` at `path`: written under another name in the same folder, synced, then renamed.

    An existing file keeps its permissions; a new one gets what the umask and the folder's group say. Missing folders are
    made. durable: the folder is synced too, so that not even a power cut takes the file away again. passing: nothing is, as for
    `Together`. Raises OSError when the machine fails; the file that was there is then untouched, and no part is left behind.
    """
    with Together(passing=passing) as one:
        one.write(path, data)
    if durable:
        sync_folder(path.parent)


def write_new(path: Path, data: bytes) -> None:
    """`write_whole`, durable, where nothing is yet. Whoever calls it holds the folder's lock.

    Raises FileExistsError and leaves what is there.
    """
    if path.exists():
        raise FileExistsError(f"'{path}'")
    write_whole(path, data, durable=True)


def write_if_new(path: Path, data: bytes, *, passing: bool = False) -> bool:
    """`write_whole`, unless the file already holds exactly that; whether it was written."""
    with Together(passing=passing) as one:
        return one.write_if_new(path, data)


def holds(path: Path, data: bytes) -> bool:
    """Whether a file holds exactly that."""
    with contextlib.suppress(OwnFileError, FileNotFoundError):
        return read_whole(path, max(len(data), 1)) == data
    return False


def read_whole(path: Path, most_bytes: int = MOST_BYTES) -> bytes:
    """The bytes of a file: of a regular one, and no longer than it can be.

    Raises OwnFileError for a folder, a pipe, a device or a file of more than `most_bytes`; FileNotFoundError; OSError.
    """
    content, size = _read(path, most_bytes + 1)
    if max(size, len(content)) > most_bytes:
        raise OwnFileError(path, t("it has {bytes} bytes, more than it can have", bytes=max(size, len(content))))
    return content


def read_start(path: Path, most_bytes: int) -> bytes:
    """The first bytes of a regular file, all of them where it has no more than `most_bytes`.

    Raises OwnFileError for a folder, a pipe or a device; FileNotFoundError; OSError.
    """
    return _read(path, most_bytes)[0]


def _read(path: Path, most_bytes: int) -> tuple[bytes, int]:
    """The first bytes of a file, and how many it says it has. What was looked at is what is read: a name may change hands."""
    handle = _opened(path)
    try:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode):
            raise OwnFileError(path, t("it is no file"))
        parts, left = [], most_bytes
        while left > 0 and (part := os.read(handle, min(left, 1 << 20))):
            parts.append(part)
            left -= len(part)
        return b"".join(parts), found.st_size
    finally:
        os.close(handle)


def _opened(path: Path) -> int:
    # a pipe without a writer would keep us waiting for ever
    try:
        return os.open(path, os.O_RDONLY | _NO_WAIT | _BYTES)
    except OSError as error:
        if error.errno in {errno.ENXIO, errno.ELOOP}:  # a socket; a link that leads back to itself
            raise OwnFileError(path, t("it is no file")) from error
        raise


def sync_folder(folder: Path) -> None:
    """Make sure that the names in a folder survive a power cut, where the system lets a folder be synced."""
    if _FOLDER is None:
        return
    handle = os.open(folder, os.O_RDONLY | _FOLDER)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sweep(folder: Path) -> None:
    """Take away the parts that an interrupted writer left. Whoever calls it holds the folder's lock."""
    for part in folder.glob(f".*.????????{PART}"):
        part.unlink(missing_ok=True)


def sweep_old(path: Path) -> None:
    """Take away the parts that interrupted writers of this very file left; one younger than an hour may be somebody's."""
    for part in path.parent.glob(f".{glob.escape(path.name)}.*{PART}"):
        with contextlib.suppress(OSError):
            if time.time() - part.stat().st_mtime > OLD_SECONDS:
                part.unlink()


@contextmanager
def locked(lock: Path, patience_seconds: float = 0.0) -> Iterator[None]:
    """Hold a lock file until the block ends; the death of the process gives it back, too.

    Raises TakenError when it is not free within `patience_seconds`, OSError when the machine fails.
    """
    held = hold(lock, patience_seconds)
    try:
        yield
    finally:
        held.release()


def hold(lock: Path, patience_seconds: float = 0.0) -> BaseFileLock:
    """Take a lock file and keep it; as `locked`, for whoever gives it back himself, or by his death."""
    make_folder(lock.parent)
    held = FileLock(lock, timeout=patience_seconds, poll_interval=_POLL_SECONDS, preserve_lock_file=True)
    try:
        held.acquire()
    except Timeout as error:
        raise TakenError(str(lock)) from error
    return held
