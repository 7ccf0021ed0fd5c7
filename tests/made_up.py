"""A made-up language, for what a translation shows: every vowel with an accent, places to fill as they are."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from babel.messages.pofile import write_po

from packet import words
from tests.messages import accented, catalogue


@contextmanager
def in_made_up_language(folder: Path) -> Iterator[None]:
    """The made-up language, its catalogue written below `folder`, then English again."""
    below = folder / "eo" / "LC_MESSAGES"
    if not below.is_dir():
        below.mkdir(parents=True)
        with (below / f"{words.DOMAIN}.po").open("wb") as file:
            write_po(file, catalogue(accented))
    words.use("eo", folder)
    try:
        yield
    finally:
        words.use("en")
