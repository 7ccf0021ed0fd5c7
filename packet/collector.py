"""Python's garbage collector held off while much is made that all lives to the end."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def without_collecting() -> Iterator[None]:
    """Hold the collector off: looking again and again through what is alive costs a packet's layout a fifth of its
    time, and reading twenty thousand records a third.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
