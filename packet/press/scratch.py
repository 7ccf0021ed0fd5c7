"""One temporary folder a process for all that the typesetter, the workers and the scan desk lay aside, swept when it dies.

A process that is killed leaves its folder behind: the next one takes away those whose owner is gone. Whether he lives is
told by a lock that his death gives back; a folder of somebody else is never touched.
"""

import contextlib
import os
import shutil
import stat
import tempfile
import time
from functools import cache
from multiprocessing import util
from pathlib import Path

from filelock import BaseFileLock

from packet.shop.whole import TakenError, hold, locked

PREFIX = "recovery-job-packets-"
LOCK = "lock"
YOUNG_SECONDS = 3600.0  # a folder without a lock is one that is just being made, or whose maker died while he did


@cache
def own_temporary_folder() -> None:
    """From here on, temporary files of this process and of those it starts lie in a folder of its own.

    It goes with the process. Where no temporary folder can be had, nothing is changed: whoever needs one will say so.
    """
    try:
        above = Path(tempfile.gettempdir())
        if above.name.startswith(PREFIX):
            return  # we were started by a process that has one
        sweep(above)
        folder = Path(tempfile.mkdtemp(prefix=PREFIX, dir=above))
        held = hold(folder / LOCK)
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
            if not stat.S_ISDIR(found.st_mode) or found.st_uid != mine:
                continue
            if (folder / LOCK).exists():
                with locked(folder / LOCK):
                    shutil.rmtree(folder, ignore_errors=True)
            elif time.time() - found.st_mtime > YOUNG_SECONDS:
                shutil.rmtree(folder, ignore_errors=True)
