"""What the message catalogue is made from, as Babel finds it; DEVELOPERS.md has the same as a command."""

import re
from collections.abc import Callable, Iterator
from configparser import ConfigParser
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir

from packet.po import Catalogue, catalogue_from
from packet.words import DOMAIN

ROOT = Path(__file__).parents[1]
KEYWORDS = {"t": None, "tn": (1, 2), "N_": None, "NN_": (1, 2), "pt": ((1, "c"), 2), "P_": ((1, "c"), 2)}
COMMENTS = ("Translators:",)

Message = str | tuple[str, ...]


def messages() -> Iterator[tuple[Message, str | None, list[str]]]:
    """(message, context, comments for translators), each as often as it is said."""
    config = ConfigParser()
    config.read(ROOT / "templates" / "locale" / "babel.cfg", encoding="utf-8")
    # each section is 'method: pattern'
    methods = [(pattern, method) for method, _, pattern in (name.partition(": ") for name in config.sections())]
    for folder in ("packet", "templates"):
        for _, _, message, comments, context in extract_from_dir(
            ROOT / folder, methods, keywords=KEYWORDS, comment_tags=COMMENTS, strip_comment_tags=True
        ):
            yield tuple(message) if isinstance(message, (tuple, list)) else message, context, comments


ACCENTS = str.maketrans("aeiouAEIOU", "áéíóúÁÉÍÓÚ")


def accented(message: str) -> str:
    """The message in a made-up language, every vowel with an accent; places to fill keep their names."""
    return "".join(
        part if part.startswith(("{", "%")) else part.translate(ACCENTS)
        for part in re.split(r"({[^}]*}|%\(\w+\)[rs]|%[rs])", message)
    )


def po_file(language: str) -> Path:
    """Where a language's catalogue lies."""
    return ROOT / "templates" / "locale" / language / "LC_MESSAGES" / f"{DOMAIN}.po"


def translated(language: str) -> Catalogue:
    """What a packaged language says."""
    return catalogue_from(language, po_file(language).read_text("utf-8"))


def catalogue(translated: Callable[[str], str] | None = None, locale: str = "eo") -> Catalog:
    """All messages, translated by a function where one is given."""
    made = Catalog(locale=locale)
    for message, context, comments in messages():
        if translated is None:
            made.add(message, context=context, auto_comments=comments)
        elif isinstance(message, tuple):
            made.add(message, tuple(translated(form) for form in message), context=context)
        else:
            made.add(message, translated(message), context=context)
    return made
