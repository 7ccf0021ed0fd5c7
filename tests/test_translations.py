"""Every message is translated, and each translation is of the message as it now reads.

What fails here lists the messages. After `pybabel update` (DEVELOPERS.md, "Words") those that are new stand empty in the
catalogue, and those that were changed are marked fuzzy: both are said in English until somebody translates them.
"""

import difflib
import re
import string
from collections.abc import Iterator
from io import StringIO

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

from packet.words import languages
from tests.messages import ROOT, catalogue, po_file, translated

each = pytest.mark.parametrize("language", languages()[1:])
# argparse fills these in; the type is an English word of the program's
LEFT_OUT = {"%(type)s"}
# Spanish that is right and reads like English, or is the same sign, name or number
Key = tuple[str, str | None]


@pytest.fixture(scope="module")
def template() -> Catalog:
    return catalogue()


def said(language: str) -> Catalog:
    return read_po(StringIO(po_file(language).read_text("utf-8")), language)


def key(message: Message) -> Key:
    return (message.id if isinstance(message.id, str) else message.id[0]), message.context


def forms(message: Message) -> Iterator[tuple[str, str]]:
    """(English, translation), one for each form of a plural: of which a language may have one, two or more."""
    if isinstance(message.id, str):
        yield message.id, str(message.string or "")
        return
    one, many = message.id
    said = tuple(message.string or ("",))
    yield from zip((one if len(said) > 1 else many, *[many] * (len(said) - 1)), said, strict=True)


@each
def test_every_message_is_translated(template: Catalog, language: str) -> None:
    there = said(language)
    known = {key(message): message for message in there if message.id}
    wanted = {key(message): message for message in template if message.id}
    missing = [what for what in wanted if what not in known or not all(text for _, text in forms(known[what]))]
    fuzzy = [what for what, message in known.items() if message.fuzzy]
    former = [text for text, _ in known.keys() - wanted.keys()]
    told = []
    for text, context in missing:
        near = difflib.get_close_matches(text, former, n=1, cutoff=0.7)
        told.append(f"{text!r}" + (f" ({context})" if context else "") + (f", was {near[0]!r}" if near else ""))
    assert told == [], f"{len(told)} messages without a translation"
    assert fuzzy == [], "translations of what a message said before"


@each
def test_nothing_is_kept_that_nobody_says(template: Catalog, language: str) -> None:
    wanted = {key(message) for message in template if message.id}
    assert [what for message in said(language) if message.id and (what := key(message)) not in wanted] == []


@each
def test_every_place_stands_in_its_translation(language: str) -> None:
    wrong = []
    for message in said(language):
        for english, text in forms(message) if message.id else ():
            plural = not isinstance(message.id, str)
            ours, theirs = places(english, plural=plural), places(text, plural=plural)
            if text and ours - LEFT_OUT != theirs - LEFT_OUT:
                wrong.append((english, text, ours ^ theirs))
    assert wrong == []


def places(text: str, *, plural: bool) -> set[str]:
    """What is filled in; both forms of a plural may say the count or not."""
    named = {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}
    return (named | set(re.findall(r"%\(\w+\)[srd]|%[srd]", text))) - ({"count"} if plural else set())


@each
def test_what_stands_around_a_message_stands_around_its_translation(language: str) -> None:
    """Spaces at its ends, line breaks, closing marks and quotes: pieces are put together, and sentences end."""
    wrong = []
    for message in said(language):
        for english, text in forms(message) if message.id else ():
            if text and (_frame(english) != _frame(text) or text.count("¿") > text.count("?")):
                wrong.append((english, text))
    assert wrong == []


def _frame(text: str) -> tuple[str, ...]:
    head, tail = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
    end = text.rstrip()[-1:]
    # an abbreviation ends in a point that no sentence ends with
    return head, tail, "\n" * text.count("\n"), end if end in ":,;?" else "", "“" * text.count("“")


@each
def test_the_numbers_of_a_message_stand_in_its_translation(language: str) -> None:
    wrong = []
    for message in said(language):
        for english, text in forms(message) if message.id else ():
            ours, theirs = (
                sorted(re.findall(r"\d+(?:[.,]\d+)*", re.sub(r"{[^}]*}", "", one))) for one in (english, text)
            )
            if text and ours != theirs:
                wrong.append((english, text))
    assert wrong == []


# refused for one thing by the glossary, and right for another: a clock, a key, a mean, an order, a piece of equipment …
OTHER_SENSES = {
    "reloj", "llave", "media", "núcleo", "toma", "extremo de", "bajo", "cargar", "orden", "recuperar", "lejos de", "tapado",
    "trabaje", "entre", "equipo",
}  # fmt: skip


def test_one_term_a_thing() -> None:
    """What the Spanish glossary refuses for a thing is said nowhere."""
    table = (ROOT / "templates" / "locale" / "es" / "GLOSSARY.md").read_text("utf-8")
    rows = [line.split("|") for line in table.splitlines() if line.startswith("| ")][1:]
    assert len(rows) > 100
    refused = {
        word
        for row in rows
        for part in row[3].split(",")
        if len(word := re.sub(r"\(.*\)?", "", part).strip().casefold()) > 3 and "«" not in part
    }
    assert len(refused) > 40
    there = translated("es")
    texts = [*there.messages.values(), *(form for forms in there.plurals.values() for form in forms)]
    found = {
        word: [text for text in texts if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text.casefold())]
        for word in refused - OTHER_SENSES
    }
    assert {word: hits for word, hits in found.items() if hits} == {}
