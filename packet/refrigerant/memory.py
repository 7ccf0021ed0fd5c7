"""What was computed once, kept on disk: one small file a refrigerant.

Keyed by the property library's version, our own method's version and the composition, so that an upgrade of either
never reads an old figure. Files are written under a temporary name, synced and renamed: a crash, a full disk or two
processes writing at once leave a whole file or none. A folder that cannot be written, or a file that is damaged, costs
only time: the figures are computed again.

The folder is the user's cache folder, or the one the environment variable PACKET_MEMORY names.
"""

import contextlib
import hashlib
import json
import os
import tempfile
from pathlib import Path
from typing import Any

from packet.refrigerant.library import version

# Raise this when the way the curves are computed changes.
METHOD = 5


def folder() -> Path:
    """Where the figures of this library and method version are kept."""
    named = os.environ.get("PACKET_MEMORY")
    if named:
        base = Path(named)
    else:
        import platformdirs

        base = platformdirs.user_cache_path("recovery-job-packets", appauthor=False) / "properties"
    return base / f"coolprop-{version()}-method-{METHOD}"


def _key(name: str, composition: tuple[tuple[str, float], ...]) -> str:
    return json.dumps([version(), METHOD, name, composition])


def _path(name: str, key: str) -> Path:
    digest = hashlib.sha256(key.encode()).hexdigest()[:12]
    return folder() / f"{name}-{digest}.json"


def _digest(payload: Any) -> str:
    return hashlib.sha256(json.dumps(payload, sort_keys=True).encode()).hexdigest()[:16]


def recall(name: str, composition: tuple[tuple[str, float], ...]) -> Any | None:
    """What was remembered for this refrigerant, or None: not there, unreadable, damaged, or of another version."""
    key = _key(name, composition)
    try:
        kept = json.loads(_path(name, key).read_text(encoding="utf-8"))
        if kept["key"] == key and kept["digest"] == _digest(kept["payload"]):
            return kept["payload"]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return None


def remember(name: str, composition: tuple[tuple[str, float], ...], payload: Any) -> bool:
    """Keep `payload` (plain JSON values) for this refrigerant; False when the disk would not take it."""
    key = _key(name, composition)
    path = _path(name, key)
    text = json.dumps({"key": key, "digest": _digest(payload), "payload": payload})
    temporary = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    except OSError:
        if temporary:
            with contextlib.suppress(OSError):
                Path(temporary).unlink()
        return False
    return True
