"""A .po file is read as Babel reads it."""

from io import BytesIO, StringIO

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

from packet.po import CONTEXT_ENDS, Catalogue, catalogue_from
from packet.words import languages
from tests.messages import po_file

JOBS = ("{count} trabajo", "{count} de trabajos", "{count} trabajos")


def written(made: Catalog) -> str:
    file = BytesIO()
    write_po(file, made, width=60)
    return file.getvalue().decode()


def as_babel_reads(language: str, text: str) -> tuple[dict[str, str], dict[str, tuple[str, ...]]]:
    messages: dict[str, str] = {}
    plurals: dict[str, tuple[str, ...]] = {}
    for item in read_po(StringIO(text), language):
        if not item.id or item.fuzzy:
            continue
        before = f"{item.context}{CONTEXT_ENDS}" if item.context is not None else ""
        if isinstance(item.id, str):
            messages[before + item.id] = str(item.string or "")
        else:
            plurals[before + item.id[0]] = tuple(item.string or ())
    full = {key: said for key, said in messages.items() if said}
    return full, {key: said for key, said in plurals.items() if all(said)}


@pytest.fixture
def tricky() -> Catalog:
    made = Catalog(locale="es", fuzzy=False)
    made.add("Stop at {weight}", "Pare en {weight}")
    made.add("for", "para")
    made.add("for", "destino", context="table head")
    made.add('a "quoted" word,\nand a \\ \t in it', 'una palabra "entre comillas",\ny una \\ \t en ella')
    made.add("a very long sentence " * 12, "una frase muy larga " * 12)
    # how many forms Spanish has depends on the release of Babel: the newer ones count millions, too
    made.add(("{count} job", "{count} jobs"), JOBS[: made.num_plurals - 1] + JOBS[-1:])
    made.add("not translated")
    made.add(("{count} truck", "{count} trucks"), ("{count} camioneta", *[""] * (made.num_plurals - 1)))
    made.add("was changed", "se cambió", flags=["fuzzy"])
    made.add("{percent} % of it", "{percent} % de eso", auto_comments=["50 % is fuzzy here"], flags=["python-format"])
    made.obsolete["gone"] = made.add("gone", "ya no está")
    made.delete("gone")
    return made


def test_every_kind_of_entry_is_read_as_babel_reads_it(tricky: Catalog) -> None:
    text = written(tricky)
    assert text.count("#~") == 2
    found = catalogue_from("es", text)
    assert (found.messages, found.plurals) == as_babel_reads("es", text)
    assert "not translated" not in found.messages
    assert "was changed" not in found.messages
    assert found.plurals == {"{count} job": JOBS[: tricky.num_plurals - 1] + JOBS[-1:]}
    assert catalogue_from("es", text.replace("\n", "\r\n")).messages == found.messages


def test_the_form_of_a_plural_is_the_languages() -> None:
    assert [Catalogue("en").form(count) for count in (0, 1, 2)] == [1, 0, 1]
    russian = Catalog(locale="ru", fuzzy=False)
    found = catalogue_from("ru", written(russian))
    assert [found.form(count) for count in (1, 2, 5, 21)] == [0, 1, 2, 0]


@pytest.mark.parametrize(("language", "forms"), [("vi", ("một",)), ("ru", ("one", "few", "many"))])
def test_a_language_has_as_many_forms_as_it_has(language: str, forms: tuple[str, ...]) -> None:
    made = Catalog(locale=language, fuzzy=False)
    made.add(("{count} job", "{count} jobs"), tuple(f"{{count}} {form}" for form in forms))
    found = catalogue_from(language, written(made))
    assert found.plurals["{count} job"] == tuple(f"{{count}} {form}" for form in forms)
    assert found.messages == {}


@pytest.mark.parametrize("language", languages()[1:])
def test_the_packaged_catalogues_are_read_whole(language: str) -> None:
    text = po_file(language).read_text("utf-8")
    found = catalogue_from(language, text)
    assert (found.messages, found.plurals) == as_babel_reads(language, text)


@pytest.mark.parametrize("rule", ["n=", "n ? x : y", "1/n", "-1", "(" * 400 + "n" + ")" * 400, "n != 1 ? 7 : 0"])
def test_a_rule_of_plurals_that_nobody_can_follow_ends_nothing(rule: str) -> None:
    text = f'msgid ""\nmsgstr ""\n"Plural-Forms: nplurals=2; plural={rule};\\n"\n\nmsgid "a"\nmsgstr "b"\n\n'
    found = catalogue_from("es", text + 'msgid "c"\nmsgid_plural "d"\nmsgstr[0] "e"\nmsgstr[1] "f"\n')
    assert found.messages == {"a": "b"}
    forms = found.plurals.get("c", ("c", "d", *[""] * 6))
    assert all(0 <= found.form(count) < len(forms) for count in (0, 1, 2, 12))
