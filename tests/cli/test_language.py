"""What is said before a shop's files are read is in the shop's language too, or without a shop in the system's."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.pofile import write_po

from packet import words
from packet.cli import where
from packet.cli.main import main
from packet.cli.parser_words import COUNTED, SAID
from tests.messages import accented, catalogue


@pytest.fixture
def two_languages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A package with a made-up language in it, and nothing that asks for it."""
    folder = tmp_path / "locale" / "eo" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    with (folder / f"{words.DOMAIN}.po").open("wb") as file:
        write_po(file, catalogue(accented))
    monkeypatch.setattr(words, "_packaged", lambda: tmp_path / "locale")
    for name in ("LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.chdir(tmp_path)
    yield
    words.use("en")


def helped(capsys: pytest.CaptureFixture[str], *typed: str) -> str:
    with pytest.raises(SystemExit):
        main(typed)
    told = capsys.readouterr()
    return told.out + told.err


def test_without_a_shop_it_is_the_systems(
    two_languages: None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert helped(capsys, "--help").startswith("usage: packet")
    monkeypatch.setenv("LANG", "eo_XX.UTF-8")
    assert helped(capsys, "--help").startswith("úságé: packet")
    # in the order in which a system asks them; a language nobody translated to is English
    monkeypatch.setenv("LC_MESSAGES", "xx_XX")
    assert where.language_here() == "en"
    monkeypatch.setenv("LC_ALL", "eo")
    assert where.language_here() == "eo"


def test_in_a_shop_it_is_the_shops(
    two_languages: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = tmp_path / "jobs" / "shop.yaml"
    shop.parent.mkdir()
    shop.write_text('company: A\nlanguage: "eo"  # ours\n', "utf-8")
    assert where.language_here() == "eo"
    page = helped(capsys, "print", "--help")
    assert all(
        accented(word) in page for word in ("positional arguments", "options", "show this help message and exit")
    )
    # a shop that says nothing speaks English, whatever the system speaks
    monkeypatch.setenv("LANG", "eo")
    shop.write_text("company: A\n", "utf-8")
    assert where.language_here() == "en"


def test_slips_are_understood_in_every_language(
    two_languages: None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    slips = (("plann",), ("print", "--joob", "x", "today"), ("print",), ("print", "today", "--workers", "many"))
    english = [helped(capsys, *slip) for slip in slips]
    assert "Did you mean 'plan'?" in english[0]
    assert "Did you mean '--job'?" in english[1]
    assert "the following arguments are required: PATH" in english[2]
    monkeypatch.setenv("LANG", "eo")
    other = [helped(capsys, *slip) for slip in slips]
    assert "Díd yóú méán 'plan'?" in other[0]
    assert "Díd yóú méán '--job'?" in other[1]
    assert "thé fóllówíng árgúménts áré réqúíréd:" in other[2]
    assert "ínválíd" in other[3]


def test_argparse_still_says_these_words() -> None:
    """A version of Python that words them otherwise would say them in English."""
    import argparse

    source = Path(argparse.__file__).read_text("utf-8")
    whole = source.replace("'\n", "").replace('"\n', "")
    assert {said for said in (*SAID, *(form for pair in COUNTED for form in pair)) if said not in whole} == set()


def test_a_pipe_in_the_place_of_the_shops_file_is_not_waited_for(two_languages: None, tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    os.mkfifo(tmp_path / "jobs" / "shop.yaml")
    held = os.open(tmp_path / "jobs" / "shop.yaml", os.O_RDWR)  # somebody who writes nothing
    try:
        assert where.language_here() == "en"
    finally:
        os.close(held)
