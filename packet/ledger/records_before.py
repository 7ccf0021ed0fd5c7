"""Filed records of the time before they were JSON: plain YAML with a last line `digest: …`. Read, never written."""

from hashlib import sha256
from typing import Any

import yaml

from packet.document import ShapeError, Unsealed
from packet.words import t

_SEAL = b"digest: "
DEEPEST = 10


def read(content: bytes) -> Unsealed:
    """The record's data, every value the text that stands there. Raises ShapeError."""
    cut = content.rfind(b"\n" + _SEAL) + 1
    if not cut:
        raise ShapeError("", t("it does not end with its digest"))
    try:
        digest = content[cut + len(_SEAL) :].decode("ascii").removesuffix("\n")
        data = yaml.load(content[:cut].decode(), getattr(yaml, "CBaseLoader", yaml.BaseLoader))
    except (yaml.YAMLError, ValueError, RecursionError) as error:
        raise ShapeError("", " ".join(str(error).split())) from None
    if not isinstance(data, dict):
        raise ShapeError("", t("named values are expected"))
    _a_tree(data, DEEPEST, set())
    return Unsealed(data, digest, sha256(content[:cut]).hexdigest())


def _a_tree(value: Any, deepest: int, seen: set[int]) -> None:
    """Every list and block stands in one place: an alias could make ten of one, and ten of each of these."""
    if isinstance(value, dict | list):
        if id(value) in seen or deepest == 0:
            raise ShapeError("", t("it is nested too deep"))
        seen.add(id(value))
        for item in value.values() if isinstance(value, dict) else value:
            _a_tree(item, deepest - 1, seen)
