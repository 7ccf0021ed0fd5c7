"""The digest of what decides a refrigerant's figures: the text of the modules that compute, and who is who.

It stands in every generated curve (`curves/`) and in the name of the folder of the memory: change what computes, and
neither is taken for figures of the new way.
"""

import hashlib
import json
from importlib.resources import files

from packet.refrigerant.pure import PURE

# The modules whose text decides what the figures come out as; of `pure` only the two columns that they read.
MODULES = ("boiling", "build", "computed", "curve", "estimate", "library", "saturation")


def digest_now() -> str:
    """Eight hexadecimal digits, of the files as they lie on the disk now."""
    ours = files("packet.refrigerant")
    text = b"".join(ours.joinpath(f"{name}.py").read_bytes() for name in MODULES)
    fluids = json.dumps([(name, row.library, row.kind) for name, row in PURE.items()])
    return hashlib.sha256(text + fluids.encode()).hexdigest()[:8]


# Taken as the program starts: what it computes is of this text, whatever an upgrade puts in its place meanwhile.
METHOD = digest_now()
