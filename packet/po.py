"""A catalogue as translators write it, a .po file, read for use: whole sentences in, a lookup out.

Read where it is wanted (2,700 messages: six milliseconds), so that nothing has to be compiled, shipped or kept in
step. What is marked fuzzy or is not translated yet is said in English.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from gettext import c2py

CONTEXT_ENDS = "\x04"  # stands between a message's context and its words, as in a compiled catalogue

# A string goes on over lines; the lines are joined before an entry is looked for.
_NEXT_LINE = '"\n"'
_ENTRY = re.compile(
    r'^(?P<notes>(?:#.*\n)*)(?:msgctxt "(?P<context>.*)"\n)?msgid "(?P<id>.*)"\n'
    r'(?P<plural>msgid_plural ".*"\n)?(?P<said>(?:msgstr(?:\[\d\])? ".*"(?:\n|\Z))+)',
    re.MULTILINE,
)
_SAID = re.compile(r'^msgstr(?:\[\d\])? "(.*)"$', re.MULTILINE)
_PLURAL_RULE = re.compile(r"^Plural-Forms:.*\bplural=(.*?);?$", re.MULTILINE)
_ESCAPED = re.compile(r"\\(.)")
_ESCAPES = {"n": "\n", "t": "\t", "r": "\r"}


_COUNTS = range(1000)


def _english_form(count: int) -> int:
    return int(count != 1)


@dataclass(frozen=True, slots=True)
class Catalogue:
    """What is said in one language. messages: by the English, with its context in front where it has one; plurals: the
    forms by the English singular; form: which of them a count takes.
    """

    language: str
    messages: Mapping[str, str] = field(default_factory=dict)
    plurals: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    form: Callable[[int], int] = _english_form


def catalogue_from(language: str, text: str) -> Catalogue:
    """The catalogue in a .po file's text."""
    messages: dict[str, str] = {}
    plurals: dict[str, tuple[str, ...]] = {}
    form: Callable[[int], int] = _english_form
    most = 1
    for entry in _ENTRY.finditer(text.replace("\r\n", "\n").replace(_NEXT_LINE, "")):
        said = tuple(_plain(found) for found in _SAID.findall(entry["said"]))
        message = _plain(entry["id"])
        if not message:
            rule = _PLURAL_RULE.search(said[0])
            form = _form(rule[1]) if rule else form
            most = max(form(count) for count in _COUNTS)
        elif all(said) and not _is_fuzzy(entry["notes"]):
            if entry["context"] is not None:
                message = f"{_plain(entry['context'])}{CONTEXT_ENDS}{message}"
            if entry["plural"]:
                plurals[message] = said
            else:
                messages[message] = said[0]
    # of a plural there is every form that the rule asks for, or none
    whole = {message: said for message, said in plurals.items() if len(said) > most}
    return Catalogue(language, messages, whole, form)


def _form(rule: str) -> Callable[[int], int]:
    """What a rule of plurals says; as in English where nobody can tell, or it fails for a number."""
    try:
        made: Callable[[int], int] = c2py(rule)
        for count in _COUNTS:
            if made(count) < 0:
                return _english_form
    except (ArithmeticError, ValueError, RecursionError):
        return _english_form
    return made


def _plain(text: str) -> str:
    return _ESCAPED.sub(lambda found: _ESCAPES.get(found[1], found[1]), text) if "\\" in text else text


def _is_fuzzy(notes: str) -> bool:
    return any(line.startswith("#,") and "fuzzy" in line for line in notes.splitlines())
