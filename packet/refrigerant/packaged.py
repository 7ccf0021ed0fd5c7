"""The catalogue's curves, computed ahead and kept with the code: `curves/R-410A.json` and so on.

Written by `python -m packet.refrigerant.write_curves`; each names the property library's version and the digest of the
modules it was computed with. A test computes every one again with the installed library. Nothing here needs the library.
"""

import json
from importlib.resources import files
from typing import Any

from packet.refrigerant.computed import Composition, Computed, from_plain

FOLDER = "curves"


def file_name(name: str) -> str:
    """The file of a refrigerant: its designation ('R-1234ze(E).json')."""
    return f"{name}.json"


def to_text(name: str, composition: Composition, source: dict[str, str], curves: dict[str, Any]) -> str:
    """A curve's file: canonical JSON, a coefficient a line, so that a change reads like code's."""
    whole = {"refrigerant": name, "composition": dict(composition), "source": source, "curves": curves}
    return json.dumps(whole, indent=1) + "\n"


def read(name: str) -> dict[str, Any] | None:
    """A curve's file as plain values, or None where the catalogue has none of that name."""
    try:
        text = files("packet.refrigerant").joinpath(FOLDER, file_name(name)).read_text(encoding="utf-8")
    except FileNotFoundError:
        return None
    found: dict[str, Any] = json.loads(text)
    return found


def curves(name: str, composition: Composition) -> Computed | None:
    """The curves kept for this refrigerant, or None: not of the catalogue, or kept for another composition."""
    found = read(name)
    if found is None or tuple(found["composition"].items()) != composition:
        return None
    return from_plain(found["curves"])
