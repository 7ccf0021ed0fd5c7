"""What stands in a PDF is packed less hard: the last three hundredths of its size took a tenth of a packet's time."""

import zlib
from functools import cache
from types import SimpleNamespace

# zlib's own middle way; pydyf asks for 9
LEVEL = 6


@cache
def use() -> None:
    """From here on, in this process."""
    import pydyf

    pydyf.zlib = SimpleNamespace(compress=zlib.compress, compressobj=lambda level: zlib.compressobj(min(level, LEVEL)))
