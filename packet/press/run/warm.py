"""Loaded once before workers are made from it, so that each begins with everything at hand."""

import contextlib
import gc

from packet.press.assets import MissingLibrary, environment, style, weasyprint
from packet.press.run import work as run_work

__all__ = ["run_work"]

# a machine without the library tells so with the first job
with contextlib.suppress(MissingLibrary):
    weasyprint()
    environment()
    style()
# what is loaded now lives as long as the worker: its memory stays shared
gc.freeze()
