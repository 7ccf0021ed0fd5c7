"""One temporary folder a process for all that the typesetter, the workers and the scan desk lay aside, swept when it dies.

A process that is killed leaves its folder behind: the next one takes away those whose owner is gone. Whether he lives is
told by a lock that his death gives back; a folder of somebody else is never touched.
"""

import contextlib
import os
import re
import shutil
import stat
import tempfile
import time
from functools import cache
from multiprocessing import util
from pathlib import Path

from filelock import BaseFileLock

from packet.shop.whole import TakenError, hold, locked

# Short: the address of a socket in a folder in it has at most 103 bytes on some systems, whose own temporary folder
# takes 48 of them; without that socket there are no workers.
PREFIX = "packets-"
LOCK = "lock"
# a folder without a lock is one that is just being made, or whose maker died while he did; taken from him who is slow, he
# does without
YOUNG_SECONDS = 1.0
_OURS = re.compile(rf"{PREFIX}[a-z0-9_]{{8}}")  # as the standard library makes up a name


@cache
def own_temporary_folder() -> None:
    """From here on, temporary files of this process and of those it starts lie in a folder of its own.

    It goes with the process. Where no temporary folder can be had, nothing is changed: whoever needs one will say so.
    """
    try:
        above = Path(tempfile.gettempdir())
        if _OURS.fullmatch(above.name) and (above / LOCK).is_file():
            return  # we were started by a process that has one
        sweep(above)
        folder = Path(tempfile.mkdtemp(prefix=PREFIX, dir=above))
        try:
            held = hold(folder / LOCK)
        except BaseException:  # Ctrl-C too: it is nobody's
            shutil.rmtree(folder, ignore_errors=True)
            raise
    except (OSError, TakenError):
        return
    tempfile.tempdir = str(folder)
    os.environ["TMPDIR"] = str(folder)
    # after everything that multiprocessing itself takes away at its end; a forked process leaves it to its parent
    util.Finalize(None, _gone, (held, folder), exitpriority=-1000)


def _gone(held: BaseFileLock, folder: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)
    held.release()


def sweep(above: Path) -> None:
    """Take away what processes of this user that are gone left in a temporary folder."""
    mine: int = getattr(os, "getuid", int)()  # where there are no users, every file is that of user 0
    for folder in above.glob(f"{PREFIX}*"):
        with contextlib.suppress(OSError, TakenError):
            found = folder.lstat()
            if not _OURS.fullmatch(folder.name) or not stat.S_ISDIR(found.st_mode) or found.st_uid != mine:
                continue
            if (folder / LOCK).is_file():
                with locked(folder / LOCK):
                    shutil.rmtree(folder, ignore_errors=True)
            elif time.time() - found.st_mtime > YOUNG_SECONDS:
                folder.rmdir()  # an empty one: whatever holds something but no lock is none of ours
