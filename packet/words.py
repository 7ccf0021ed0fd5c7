"""Every word a user reads goes through here: English is the message id, another language is a catalogue.

`t("Stop at {weight}", weight="61.4 lb")` looks the sentence up in the current language and fills it in; `tn` does it
for singular and plural; `N_` marks a sentence that is translated later, `NN_` one with its plural. A word that means
several things, or a piece that is put into a sentence, says which by its context: `pt("table head", "for")`, marked with
`P_`. A comment that begins with `Translators:` on the line above goes into the catalogue. The same `t`, `tn` and `pt` are
given to the templates. `pybabel extract` finds all of them (see DEVELOPERS.md); catalogues live in `templates/locale`.

The language is set once, before planning, by whoever starts the work (`use`); the default is English.
"""

import gettext
from importlib.resources import files
from pathlib import Path

DOMAIN = "packet"
DEFAULT_LANGUAGE = "en"
CONTEXT_ENDS = "\x04"  # as in a compiled catalogue

_current: gettext.NullTranslations = gettext.NullTranslations()


def use(language: str, folder: Path | None = None) -> None:
    """Set the language of every message from here on.

    `language` is a catalogue's folder name (`es`); `en` needs none. `folder` is where catalogues are looked for,
    by default the ones that come with the package.

    Raises FileNotFoundError when there is no compiled catalogue for that language.
    """
    global _current  # noqa: PLW0603 - one process speaks one language at a time
    if language == DEFAULT_LANGUAGE:
        _current = gettext.NullTranslations()
        return
    place = folder or Path(str(files("packet.templates"))) / "locale"
    _current = gettext.translation(DOMAIN, place, [language])


def t(message: str, /, **values: object) -> str:
    """`message` (or what `P_` marked) in the current language, with `{name}` places filled from `values`."""
    context, marked, plain = message.rpartition(CONTEXT_ENDS)
    found = _current.pgettext(context, plain) if marked else _current.gettext(message)
    return found.format(**values) if values else found


def pt(context: str, message: str, /, **values: object) -> str:
    """`message` as it is meant in this context: for words that mean several things in other languages."""
    return t(P_(context, message), **values)


def tn(singular: str, plural: str, count: int, /, **values: object) -> str:
    """`singular` or `plural` as the language wants for `count`, filled from `values` and `count`."""
    return _current.ngettext(singular, plural, count).format(count=count, **values)


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
