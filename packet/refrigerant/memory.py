"""What was computed once, kept on disk: one small file for each refrigerant that is given by its composition.

Keyed by the property library's version, the text of our own modules that compute, and the composition, so that a
change of any of them never reads an old figure. What is read back is believed only within known departures from ideal
mixing (`believe`), and only from a small plain file. Files are written under a temporary name, synced and renamed: a crash,
a full disk or two processes writing at once leave a whole file or none. A folder that cannot be written, or a file that
is damaged, costs only time: the figures are computed again.

The folder is the user's cache folder, or the one the environment variable PACKET_MEMORY names.
"""

import contextlib
import hashlib
import json
import os
import secrets
import stat
from pathlib import Path
from typing import Any

from packet.refrigerant.computed import Composition
from packet.refrigerant.library import loaded_version, version
from packet.refrigerant.method import METHOD, digest_now

# The largest that was ever written is under 8 kB.
MOST_BYTES = 65_536


def _still_the_same() -> bool:
    """Whether neither our modules nor the property library were replaced while this process has been running."""
    return digest_now() == METHOD and loaded_version() in {None, version()}


def folder() -> Path:
    """Where the figures of this library and method version are kept."""
    named = os.environ.get("PACKET_MEMORY")
    if named:
        base = Path(named)
    else:
        import platformdirs

        base = platformdirs.user_cache_path("recovery-job-packets", appauthor=False) / "properties"
    return base / f"coolprop-{version()}-method-{METHOD}"


def _key(composition: Composition) -> str:
    return json.dumps([version(), METHOD, composition])


def _path(key: str) -> Path:
    return folder() / f"{hashlib.sha256(key.encode()).hexdigest()[:24]}.json"


def _digest(payload: Any) -> str:
    return hashlib.sha256(json.dumps(payload, sort_keys=True).encode()).hexdigest()[:16]


def _read(path: Path) -> bytes:
    """A small plain file's bytes. Raises OSError, ValueError for anything else in its place (a pipe is not waited for)."""
    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(descriptor, "rb") as file:
        if not stat.S_ISREG(os.fstat(descriptor).st_mode):
            raise ValueError(f"{path} is not what was written there")
        return file.read(MOST_BYTES)  # of a longer file the beginning, which is no JSON


def recall(composition: Composition) -> Any | None:
    """What was remembered for this composition, or None: not there, unreadable, damaged, or of another version."""
    key = _key(composition)
    try:
        kept = json.loads(_read(_path(key)).decode("utf-8"))
        if kept["key"] == key and kept["digest"] == _digest(kept["payload"]):
            return kept["payload"]
    except (OSError, RuntimeError, ValueError, KeyError, TypeError):
        # RuntimeError: there is no home folder to keep anything in; or brackets nested too deep
        return None
    return None


def remember(composition: Composition, payload: Any) -> bool:
    """Keep `payload` (plain JSON values) for this composition.

    False when the disk would not take it, or the program was upgraded while it ran and the figures are of the old one.
    """
    key = _key(composition)
    text = json.dumps({"key": key, "digest": _digest(payload), "payload": payload})
    temporary = None
    try:
        if not _still_the_same():
            return False
        path = _path(key)
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary = path.with_name(f".{path.name}.{os.getpid()}-{secrets.token_hex(4)}")
        with temporary.open("x", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except (OSError, RuntimeError):
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()
        return False
    return True
