"""A child of the test's own process, to be killed: it does its work and ends, whatever comes."""

import os
import signal
from collections.abc import Callable

KILLS = (signal.SIGINT, signal.SIGTERM)


def forked(work: Callable[[], None], last: Callable[[], None] = lambda: None) -> int:
    """The id of a child that does `work`, then `last`, and ends with 0, or with 1 when something was raised.

    It never goes on as the process that it is a copy of: signals are held back until it is inside its own try.
    """
    before = signal.pthread_sigmask(signal.SIG_BLOCK, KILLS)
    child = os.fork()
    if child != 0:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        return child
    status = 1
    try:
        try:
            # as in a terminal, even where this runs in the background and Ctrl-C is ignored
            signal.signal(signal.SIGINT, signal.default_int_handler)
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            signal.pthread_sigmask(signal.SIG_UNBLOCK, KILLS)
            work()
            status = 0
        finally:
            signal.pthread_sigmask(signal.SIG_BLOCK, KILLS)
            last()
    finally:
        os._exit(status)
