"""What stands in a PDF is packed less hard: the last tenth of its size took an eighth of the time that writing it takes."""

import zlib
from functools import cache
from types import SimpleNamespace

# pydyf asks for 9; from 6, zlib's own middle way, on, a packet gets smaller by a twelfth
LEVEL = 4


@cache
def use() -> None:
    """From here on, in this process."""
    import pydyf

    pydyf.zlib = SimpleNamespace(compress=zlib.compress, compressobj=lambda level: zlib.compressobj(min(level, LEVEL)))
