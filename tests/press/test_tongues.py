"""A screen reader hears each word in its own language: the paper's, and where something stands in another one, that."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pikepdf

from packet.hookup.build import build_hookup
from packet.press.code import Stamp
from packet.press.html import revision_of, to_html
from packet.press.pdf import render
from packet.press.stack import StackedPaper, stack
from packet.sheets.model import Content, Tags
from packet.sheets.packet import compose
from tests.plan.builders import demo_plans, read_in
from tests.press.read_back import read


def pdf_of(content: Content) -> bytes:
    stamp = Stamp(content.records_url, content.job, revision_of(content), content.paper)
    return render(to_html(content, stamp.revision), stamp).pdf


def composed(*languages: str) -> Content:
    plan = next(item for item in demo_plans("2026-11-26") if item.job.job == "HP-1047")
    plan = read_in(plan, *languages)
    return compose(plan, build_hookup(plan))


def tagged(element: pikepdf.Object, spoken: str) -> Iterator[str]:
    """The language of every leaf of the structure tree."""
    spoken = str(element.get("/Lang", spoken))
    kids = element.get("/K", pikepdf.Array())
    listed = kids.as_list() if isinstance(kids, pikepdf.Array) else [kids]
    below = [kid for kid in listed if isinstance(kid, pikepdf.Dictionary) and "/S" in kid]
    if not below:
        yield spoken
    for kid in below:
        yield from tagged(kid, spoken)


def spoken_in(pdf: bytes) -> dict[str, int]:
    with pikepdf.open(BytesIO(pdf)) as read:
        found = list(tagged(read.Root.StructTreeRoot, str(read.Root.Lang)))
    return {language: found.count(language) for language in set(found)}


def test_one_language_is_the_papers_alone() -> None:
    assert set(spoken_in(pdf_of(composed("en")))) == {"en"}


def test_tags_say_that_they_are_in_english() -> None:
    content = composed("es")
    found = spoken_in(pdf_of(content))
    (tags,) = (sheet for sheet in content.sheets if isinstance(sheet, Tags))
    assert all(tag.language == "en" and tag.warning_also for leaf in tags.leaves for tag in leaf)
    assert set(found) == {"es", "en"}
    assert found["es"] > 10 * found["en"]


def test_what_stands_in_both_says_so() -> None:
    found = spoken_in(pdf_of(composed("en", "es")))
    assert set(found) == {"en", "es"}
    assert found["en"] > 10 * found["es"]


def test_a_stack_says_the_language_of_each_packet(tmp_path: Path) -> None:
    paths = []
    for language in ("en", "es"):
        paths.append(tmp_path / f"{language}.pdf")
        paths[-1].write_bytes(pdf_of(composed(language)))
    joined = stack([StackedPaper(path.stem, path) for path in paths], "T1", "en")
    alone = [spoken_in(path.read_bytes()) for path in paths]
    assert spoken_in(joined) == {"en": alone[0]["en"] + alone[1]["en"], "es": alone[1]["es"]}


def test_a_hookup_stands_on_one_page_in_a_longer_language_too() -> None:
    plan = read_in(next(item for item in demo_plans("2026-12-01") if item.job.job == "HP-1203"), "es")
    pages = read(pdf_of(compose(plan, build_hookup(plan)))).pages
    assert len([page for page in pages if "HP-1203 · Conexión ·" in page]) == 1
