"""Writing a file whole or not at all: whoever looks finds the old file or the new one, never a part."""

import contextlib
import os
import secrets
import stat
from pathlib import Path

PART = ".part"  # what a file that was interrupted is called; safe to delete


def write_whole(path: Path, data: bytes) -> None:
    """Put `data` at `path`: written under another name in the same folder, synced, then renamed.

    An existing file keeps its permissions. Missing folders are made. Raises OSError when the machine fails; the file
    that was there is then untouched, and no part is left behind.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}{PART}")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    try:
        with os.fdopen(handle, "wb") as file:
            with contextlib.suppress(FileNotFoundError):
                os.fchmod(file.fileno(), stat.S_IMODE(path.stat().st_mode))
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def write_if_new(path: Path, data: bytes) -> bool:
    """`write_whole`, unless the file already holds exactly that; whether it was written."""
    with contextlib.suppress(FileNotFoundError):
        if path.read_bytes() == data:
            return False
    write_whole(path, data)
    return True
