"""The packet in another language is the same packet: the same boxes, blanks and numbers, every word of it translated."""

import re
from collections import Counter
from dataclasses import replace
from functools import cache
from html import unescape

import pytest

from packet.press.html import revision_of, to_html
from packet.sheets.model import Content, Front, PrintedStep, Sheet, Steps, SwapLine, SwapSheet, Tags
from packet.sheets.packet import compose
from packet.sheets.show import cited
from packet.words import languages, speaking, t
from tests.messages import messages, translated
from tests.plan.builders import read_in
from tests.sheets.demo import JOBS, boxes, planned, strings
from tests.sheets.test_language import SIGNS, typed

TRANSLATED = languages()[1:]
every = pytest.mark.parametrize("name", JOBS)
each = pytest.mark.parametrize("language", TRANSLATED)


@cache
def content(name: str, *read: str) -> Content:
    plan, hookup = planned(name)
    return compose(read_in(plan, *read), hookup)


def numbers(text: str) -> Counter[str]:
    """Every number in a text, whatever stands around it."""
    return Counter(re.findall(r"\d+(?:[.,:]\d+)*", text))


def forms(made: Content) -> list[tuple[str, ...]]:
    """What a scan looks for: every box with its key and kind, and the cells of the combs."""
    html = to_html(made)
    keys = [re.findall(rf'{name}="([^"]*)"', html) for name in ("data-box", "data-kind")]
    return sorted([*zip(*keys, strict=True), *((comb,) for comb in re.findall(r'data-form="([^"]*)"', html))])


def paired(*packets: Content) -> list[tuple[Sheet, ...]]:
    """The same sheets of several packets side by side: longer words may put them into another order."""
    ordered = [sorted(made.sheets, key=lambda sheet: sheet.kind) for made in packets]
    return list(zip(*ordered, strict=True))


@each
@every
def test_boxes_and_blanks_are_the_same(name: str, language: str) -> None:
    one, other = content(name, "en"), content(name, language)
    assert forms(one) == forms(other) == forms(content(name, "en", language))
    for ours, theirs in paired(one, other):
        assert list(boxes(ours)) == list(boxes(theirs))
    assert (one.job, one.records_url, one.paper, one.size) == (other.job, other.records_url, other.paper, other.size)
    assert other.language == language
    revisions = {revision_of(made) for made in (one, other, content(name, "en", language))}
    assert len(revisions) == (3 if one.may_go_out else 2)


@each
@every
def test_numbers_are_the_same(name: str, language: str) -> None:
    """Sheet by sheet: no figure, date, code or id is lost, added or changed."""
    one, other = content(name, "en"), content(name, language)
    for ours, theirs in paired(_plain(one), _plain(other)):
        assert numbers(_text(ours)) == numbers(_text(theirs)), theirs.name
    assert numbers(_text(one.facts)) == numbers(_text(other.facts))
    assert one.in_english == other.in_english == one.facts


def visible(html: str) -> str:
    """The words on a packet's pages, those in its drawings too."""
    return unescape(re.sub(r"<[^>]*>", " ", re.sub(r"(?s)<style>.*?</style>", " ", html)))


def _text(value: object) -> str:
    # a drawing's coordinates are no words; its labels stand in the alternative text as well
    return " ".join(text for text in strings(value) if not text.startswith("<svg"))


def _plain(made: Content) -> Content:
    """Without the tags' second warning, which only another language has."""
    sheets: list[Sheet] = []
    for sheet in made.sheets:
        if isinstance(sheet, Tags):
            leaves = tuple(tuple(replace(tag, warning_also="") for tag in leaf) for leaf in sheet.leaves)
            sheets.append(replace(sheet, leaves=leaves))
        else:
            sheets.append(sheet)
    return replace(made, sheets=tuple(sheets))


def test_tags_are_in_the_language_of_transport() -> None:
    for name in JOBS:
        for language in TRANSLATED:
            for one, other in paired(_plain(content(name, "en")), _plain(content(name, language))):
                if isinstance(one, Tags) and isinstance(other, Tags):
                    assert one.leaves == other.leaves
                    assert one.opening != other.opening


@each
def test_signed_paper_names_no_memory_in_any_language(language: str) -> None:
    with speaking("en"):
        word = t("from memory")
    sources = [message for message, _, _ in messages() if isinstance(message, str) and word in message]
    assert len(sources) > 10
    with speaking(language):
        assert [source for source in sources if t(word) not in t(source)] == []
        assert [source for source in sources if t(word) in cited(source)] == []


@each
@every
def test_no_english_is_left(name: str, language: str) -> None:
    """A word of our English that no translated sentence has, and nobody typed, was left behind."""
    ours, theirs = _vocabulary(language)
    made = content(name, language)
    text = visible(to_html(made))
    plan, _ = planned(name)
    # what travels is in English
    cited = [plan.carrying.proper_shipping_name or "" if plan.carrying else ""]
    tags = [tag for sheet in made.sheets if isinstance(sheet, Tags) for leaf in sheet.leaves for tag in leaf]
    cited += [_text(replace(tag, warning_also="")) for tag in tags]
    known = typed() | SIGNS | set(re.findall("[A-Za-z]+", " ".join(cited)))
    left = {word for word in re.findall(r"[^\W\d_]{3,}", text) if word not in known}
    assert {word for word in left if word.casefold() in ours - theirs} == set()


@cache
def _vocabulary(language: str) -> tuple[frozenset[str], frozenset[str]]:
    """The words of all messages in English, and in a language."""
    found = [message for message, _, _ in messages()]
    plain = [form for message in found for form in (message if isinstance(message, tuple) else (message,))]
    there = translated(language)
    said = [*there.messages.values(), *(form for forms in there.plurals.values() for form in forms)]
    return _words(plain), _words(said)


def _words(sentences: list[str]) -> frozenset[str]:
    bare = re.sub(r"{[^}]*}", " ", " ".join(sentences))
    return frozenset(word.casefold() for word in re.findall(r"[^\W\d_]{3,}", bare))


@each
@every
def test_what_stops_people_stands_in_both(name: str, language: str) -> None:
    both, one, other = content(name, "en", language), content(name, "en"), content(name, language)
    for here, mine, theirs in paired(both, one, other):
        if isinstance(here, Front) and isinstance(mine, Front) and isinstance(theirs, Front):
            assert [item.text for item in here.go] == [item.text for item in mine.go]
            assert all(second.text in item.also for item, second in zip(here.go, theirs.go, strict=True))
            assert here.no_go_also == theirs.no_go
        elif isinstance(here, Steps | SwapSheet) and isinstance(theirs, Steps | SwapSheet):
            for strip, its in zip(here.strips, theirs.strips, strict=True):
                assert strip.also == " ".join((its.title, *its.sentences))
            for line, words in zip(_lines(here), _lines(theirs), strict=True):
                assert bool(line.also) == _is_hold(line)
                assert not line.also or line.also.endswith(words.text)
        else:
            assert _text(here) == _text(mine)
    html = to_html(both)
    seconds = html.count(f'class="also" lang="{language}"')
    assert seconds >= (3 if both.may_go_out else 0)
    # whoever reads the other language finds where it begins
    assert html.count(f'<span class="tongue">{language.upper()}</span>') == seconds


def _lines(sheet: Steps | SwapSheet) -> list[PrintedStep | SwapLine]:
    if isinstance(sheet, SwapSheet):
        return list(sheet.lines)
    return [step for stage in sheet.stages for step in stage.steps]


def _is_hold(line: PrintedStep | SwapLine) -> bool:
    return line.hold if isinstance(line, SwapLine) else line.is_hold
