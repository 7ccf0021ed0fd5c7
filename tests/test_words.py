"""Every sentence the code and the templates can say is found for the message catalogue, which is made on demand."""

import string
from collections.abc import Iterator
from configparser import ConfigParser
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir

from packet import words
from packet.findings import KINDS
from packet.statements import STATEMENTS

ROOT = Path(__file__).parents[1]
KEYWORDS = {"t": None, "tn": (1, 2), "N_": None, "NN_": (1, 2)}


def extracted() -> Iterator[str | tuple[str, ...]]:
    """Message ids as Babel finds them."""
    config = ConfigParser()
    config.read(ROOT / "templates" / "locale" / "babel.cfg", encoding="utf-8")
    # each section is 'method: pattern'
    methods = [(pattern, method) for method, _, pattern in (name.partition(": ") for name in config.sections())]
    for folder in ("packet", "templates"):
        for _, _, message, _, _ in extract_from_dir(ROOT / folder, methods, keywords=KEYWORDS, comment_tags=()):
            yield tuple(message) if isinstance(message, (tuple, list)) else message


@pytest.fixture(scope="module")
def catalogue() -> Catalog:
    found = Catalog()
    for message in extracted():
        found.add(message)
    return found


def test_what_is_said_by_code_is_found_by_the_catalogue() -> None:
    """The tables of findings and statements hold their sentences marked, with both forms of a plural."""
    found = set(extracted())
    assert len(found) > 300
    assert {kind.message for kind in KINDS.values()} <= found
    assert set(STATEMENTS.values()) <= found


def test_places_in_plural_forms_agree(catalogue: Catalog) -> None:
    for message in catalogue:
        if isinstance(message.id, (tuple, list)):
            places = [{name for _, name, _, _ in string.Formatter().parse(form) if name} for form in message.id]
            assert places[0] | {"count"} == places[1] | {"count"}, message.id


def test_another_language_is_used_and_left_again(tmp_path: Path) -> None:
    from babel.messages.mofile import write_mo

    catalogue = Catalog(locale="es")
    catalogue.add("Stop at {weight}", "Parar a {weight}")
    folder = tmp_path / "es" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    with (folder / "packet.mo").open("wb") as file:
        write_mo(file, catalogue)
    try:
        words.use("es", tmp_path)
        assert words.t("Stop at {weight}", weight="61.4 lb") == "Parar a 61.4 lb"
    finally:
        words.use("en")
    assert words.t("Stop at {weight}", weight="61.4 lb") == "Stop at 61.4 lb"


def test_a_language_without_catalogue_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        words.use("xx", tmp_path)
