"""`packet records publish`: a copy of the record pages for a web server, with exactly what may be public in it.

What this command put into the folder it knows again by a list of digests that lies there (`.published.json`): a digest
of a file's path and content gives neither away. It replaces and takes away its own files and no others, and writes
nothing outside the folder.
"""

import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from packet.document import Shape, ShapeError, sealed, unsealed
from packet.shop.whole import (
    OwnFileError,
    TakenError,
    locked,
    make_folder,
    read_whole,
    sweep,
    write_if_new,
    write_whole,
)
from packet.words import t

LIST = ".published.json"
LOCK = ".published.lock"
FORMAT = 1
MOST_BYTES = 200_000_000  # of a scan
PATIENCE_SECONDS = 30.0


class PublishError(Exception):
    """Nothing was published; the message says why and what to do. status: of the program's end."""

    def __init__(self, message: str, status: int) -> None:
        self.status = status
        super().__init__(message)


@dataclass(frozen=True, slots=True)
class Published:
    """Paths from the folder. written: new or changed; taken: no longer public; same: how many were as they should be."""

    written: tuple[Path, ...]
    taken: tuple[Path, ...]
    same: int


def publish(source: Path, public: Iterable[Path], to: Path, *, private: Iterable[Path]) -> Published:
    """Make `to` hold the files `public` of `source`, and of what this command put there before nothing else.

    private: folders that may not come to lie in what is served: the shop's, and the output. Every file is written whole
    or not at all; killed midway it knows its own files again. Raises PublishError before anything is changed, OSError.
    """
    to = Path(os.path.abspath(to))  # noqa: PTH100 - links are looked at below, not followed away
    _stays_apart(to, private)
    if to.exists() and not to.is_dir():
        raise PublishError(t("'{path}' is no folder.", path=to), 2)
    make_folder(to)
    try:
        with locked(to / LOCK, PATIENCE_SECONDS):
            return _publish(source, tuple(public), to)
    except TakenError:
        raise PublishError(t("Another run is publishing into '{folder}'; wait for it to end.", folder=to), 3) from None


def _publish(source: Path, public: tuple[Path, ...], to: Path) -> Published:
    # what a run that was killed had begun: nobody would know it, and it would be served
    for folder in (to, *(path for path in to.iterdir() if path.is_dir() and not path.is_symlink())):
        sweep(folder)
    known = _known(to)
    wanted = {name: _digest(name, read_whole(source / name, MOST_BYTES)) for name in public}
    there = dict(_ours(to, known))
    in_the_way = next((name for name in wanted if name not in there and _in_the_way(to, name, wanted[name])), None)
    if in_the_way is not None:
        raise PublishError(
            t(
                "'{file}' was not put there by this command, and a page belongs there. Nothing was published: move it away, or publish into an empty folder.",
                file=to / in_the_way,
            ),
            1,
        )
    now = frozenset(wanted.values())
    # known before they are there, and until they are gone: a run that is killed leaves nothing that is nobody's
    _remember(to, now | known)
    taken = [name for name in there if name not in wanted]
    for name in taken:
        (to / name).unlink(missing_ok=True)
        if name.parent != Path():
            with suppress(OSError):  # somebody else's file is in it
                (to / name.parent).rmdir()
    written = [name for name in wanted if write_if_new(to / name, read_whole(source / name, MOST_BYTES))]
    _remember(to, now)
    return Published(tuple(written), tuple(sorted(taken)), len(wanted) - len(written))


def _stays_apart(to: Path, private: Iterable[Path]) -> None:
    real = to.resolve()
    for folder in private:
        inside = folder.resolve()
        if inside.is_relative_to(real) or real.is_relative_to(inside):
            raise PublishError(
                t(
                    "'{to}' and '{private}' lie in one another: what is served must hold nothing else. Choose a folder apart.",
                    to=to,
                    private=folder,
                ),
                2,
            )


def _in_the_way(to: Path, name: Path, digest: str) -> bool:
    """Whether something else lies where a file belongs: another file, or a link, which would lead out of the folder."""
    if name.parent != Path() and (to / name.parent).is_symlink():
        return True
    path = to / name
    if not os.path.lexists(path):
        return name.parent != Path() and os.path.lexists(to / name.parent) and not (to / name.parent).is_dir()
    try:
        return path.is_symlink() or _digest(name, read_whole(path, MOST_BYTES)) != digest
    except OwnFileError:
        return True


def _ours(to: Path, known: frozenset[str]) -> Iterator[tuple[Path, str]]:
    """The files in the folder that this command put there and nobody has changed since. No link is followed."""
    for folder in (to, *(path for path in sorted(to.iterdir()) if path.is_dir() and not path.is_symlink())):
        for path in sorted(folder.iterdir()):
            if path.is_symlink() or not path.is_file() or path.name in {LIST, LOCK}:
                continue
            with suppress(OwnFileError):
                name = path.relative_to(to)
                digest = _digest(name, read_whole(path, MOST_BYTES))
                if digest in known:
                    yield name, digest


def _digest(name: Path, data: bytes) -> str:
    return sha256(name.as_posix().encode() + b"\0" + data).hexdigest()


@dataclass(frozen=True, slots=True)
class _List:
    format: int
    files: tuple[str, ...]


def _known(to: Path) -> frozenset[str]:
    """The digests of what this command put there; none where there is no list. Raises PublishError."""
    try:
        found = unsealed(read_whole(to / LIST))
        listed: _List = _SHAPE.back(found.data)
        if found.sound and listed.format == FORMAT:
            return frozenset(listed.files)
    except FileNotFoundError:
        return frozenset()
    except (OwnFileError, ShapeError):
        pass
    raise PublishError(
        t(
            "'{file}' cannot be read, so that nobody knows which files there are this command's. Nothing was published: publish into an empty folder.",
            file=to / LIST,
        ),
        1,
    )


def _remember(to: Path, digests: Iterable[str]) -> None:
    data: Mapping[str, object] = _SHAPE.out(_List(FORMAT, tuple(sorted(digests))))
    write_whole(to / LIST, sealed(dict(data)))


_SHAPE = Shape(_List)
