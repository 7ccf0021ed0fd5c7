"""Every word a user reads goes through here: English is the message id, another language is a catalogue.

`t("Stop at {weight}", weight="61.4 lb")` looks the sentence up in the current language and fills it in; `tn` does it
for singular and plural; `N_` marks a sentence that is translated later, `NN_` one with its plural. The same `t` and `tn` are given to the
templates. `pybabel extract` finds all of them (see DEVELOPERS.md); catalogues live in `templates/locale`.

The language is set once, before planning, by whoever starts the work (`use`); the default is English.
"""

import gettext
from importlib.resources import files
from pathlib import Path

DOMAIN = "packet"
DEFAULT_LANGUAGE = "en"

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
    """`message` in the current language, with `{name}` places filled from `values`."""
    return _current.gettext(message).format(**values) if values else _current.gettext(message)


def tn(singular: str, plural: str, count: int, /, **values: object) -> str:
    """`singular` or `plural` as the language wants for `count`, filled from `values` and `count`."""
    return _current.ngettext(singular, plural, count).format(count=count, **values)


def N_(message: str) -> str:
    """Mark `message` for translation; it is looked up later with `t`."""
    return message


def NN_(singular: str, plural: str) -> tuple[str, str]:
    """Mark a sentence with its plural for translation; it is looked up later with `tn`."""
    return singular, plural
