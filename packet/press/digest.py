"""What decides whether something must be printed again: digests of the inputs, the templates, the code, the libraries."""

import sys
from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from importlib.resources import files
from importlib.resources.abc import Traversable

# Everything installed whose version can change what stands on paper or where.
LIBRARIES = (
    "coolprop",
    "fontpkg-atkinson-hyperlegible",
    "fonttools",
    "jinja2",
    "pikepdf",
    "pillow",
    "pydantic",
    "pydyf",
    "pyyaml",
    "qrcode",
    "tinycss2",
    "weasyprint",
)


def digest(parts: Iterable[bytes | str]) -> str:
    """SHA-256 over the parts; where one ends and the next begins counts too."""
    made = sha256()
    for part in parts:
        # a name that is no text counts by its bytes
        data = part.encode("utf-8", "surrogateescape") if isinstance(part, str) else part
        made.update(len(data).to_bytes(8, "big"))
        made.update(data)
    return made.hexdigest()


@cache
def tools() -> str:
    """The code, the templates and the versions of what they rest on, as one digest."""
    parts: list[bytes | str] = [sys.version]
    for name in LIBRARIES:
        try:
            parts += [name, version(name)]
        except PackageNotFoundError:
            parts += [name, "-"]
    for package in ("packet", "packet.templates"):
        for name, place in sorted(_walk(files(package), package)):
            parts += [name, place.read_bytes()]
    return digest(parts)


def _walk(folder: Traversable, name: str) -> Iterable[tuple[str, Traversable]]:
    for place in folder.iterdir():
        if place.is_dir():
            if not place.name.startswith(("_", ".")):
                yield from _walk(place, f"{name}/{place.name}")
        elif not place.name.startswith(".") and not place.name.endswith((".pyc", ".pot", ".md")):
            yield f"{name}/{place.name}", place
