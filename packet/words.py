"""Every word a user reads goes through here: English is the message id, another language is a catalogue.

`t("Stop at {weight}", weight="61.4 lb")` looks the sentence up in the current language and fills it in; `tn` does it
for singular and plural; `N_` marks a sentence that is translated later, `NN_` one with its plural. A word that means
several things, or a piece that is put into a sentence, says which by its context: `pt("table head", "for")`, marked with
`P_`. A comment that begins with `Translators:` on the line above goes into the catalogue. The same `t`, `tn` and `pt` are
given to the templates. `pybabel extract` finds all of them (see DEVELOPERS.md); catalogues live in `templates/locale`
and are read as they are translated (`packet/po.py`): there is nothing to compile.

A process speaks one language (`use`; English until then). A paper whose readers speak another one is said inside
`with speaking("es"):`, which holds for the code within and for no other thread.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

from packet.po import CONTEXT_ENDS, Catalogue, catalogue_from

DOMAIN = "packet"
DEFAULT_LANGUAGE = "en"

ENGLISH = Catalogue(DEFAULT_LANGUAGE)

# what the process speaks, and what the code in hand does where it says so itself
_process = ENGLISH
_here: ContextVar[Catalogue | None] = ContextVar("language", default=None)


def use(language: str, folder: Path | None = None) -> None:
    """Set the process's language: of every message from here on that no `speaking` stands around.

    `language` is a catalogue's folder name (`es`); `en` needs none. `folder` is where catalogues are looked for, by
    default the ones that come with the package.

    Raises FileNotFoundError when there is no catalogue for that language.
    """
    global _process  # noqa: PLW0603 - one process speaks one language at a time
    _process = _catalogue(language, folder)


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Say everything inside in `language`, whatever the process speaks. Raises FileNotFoundError as `use` does."""
    # the process's own may come from another folder
    before = _here.set(_process if language == _process.language else _catalogue(language))
    try:
        yield
    finally:
        _here.reset(before)


def spoken() -> str:
    """The language in which a message would be said here and now."""
    return _now().language


def languages() -> tuple[str, ...]:
    """English and every language that the package has a catalogue for."""
    found = [path.parent.parent.name for path in _packaged().glob(f"*/LC_MESSAGES/{DOMAIN}.po")]
    return (DEFAULT_LANGUAGE, *sorted(found))


def t(message: str, /, **values: object) -> str:
    """`message` (or what `P_` marked) in the current language, with `{name}` places filled from `values`."""
    found = _now().messages.get(message) or english(message)
    return found.format(**values) if values else found


def pt(context: str, message: str, /, **values: object) -> str:
    """`message` as it is meant in this context: for words that mean several things in other languages."""
    return t(P_(context, message), **values)


def tn(singular: str, plural: str, count: int, /, **values: object) -> str:
    """`singular` or `plural` as the language wants for `count`, filled from `values` and `count`."""
    speech = _now()
    forms = speech.plurals.get(singular, (singular, plural))
    # what is not translated yet has the two forms of English, whatever the language has
    return forms[min(speech.form(count), len(forms) - 1)].format(count=count, **values)


def said(marked: str) -> str:
    """A marked message that was kept, in the current language; a name before it stays: 'HP-1041: what this job left'."""
    whole = t(marked)
    if whole != marked:
        return whole
    if "; " in marked:  # a rule with two sources
        return "; ".join(said(part) for part in marked.split("; "))
    name, colon, message = marked.partition(": ")
    return f"{name}{colon}{t(message)}" if message else marked


def N_(message: str) -> str:
    """Mark `message` for translation; it is looked up later with `t`."""
    return message


def P_(context: str, message: str) -> str:
    """Mark `message` with its context for translation; it is looked up later with `t`."""
    return f"{context}{CONTEXT_ENDS}{message}"


def english(message: str) -> str:
    """A marked message as it was written, without its context."""
    return message.rpartition(CONTEXT_ENDS)[2]


def NN_(singular: str, plural: str) -> tuple[str, str]:
    """Mark a sentence with its plural for translation; it is looked up later with `tn`."""
    return singular, plural


def _now() -> Catalogue:
    return _here.get() or _process


def _packaged() -> Path:
    return Path(str(files("packet.templates"))) / "locale"


def _catalogue(language: str, folder: Path | None = None) -> Catalogue:
    return ENGLISH if language == DEFAULT_LANGUAGE else _read(language, folder or _packaged())


@lru_cache(maxsize=8)
def _read(language: str, folder: Path) -> Catalogue:
    path = folder / language / "LC_MESSAGES" / f"{DOMAIN}.po"
    return catalogue_from(language, path.read_text("utf-8"))
