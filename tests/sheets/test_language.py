"""A second language is a translation, not a rewrite: with a made-up one, no English is left on paper.

The made-up language writes every vowel with an accent. What stays plain on paper must be the shop's own words, a
designation or a citation.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from packet.hookup.build import build_hookup
from packet.press.code import Stamp
from packet.press.html import revision_of, to_html
from packet.press.pdf import render
from packet.sheets.model import Content, Tags
from packet.sheets.packet import compose
from tests.made_up import in_made_up_language
from tests.plan.builders import DEMO, demo_plans, read_in
from tests.press.read_back import read

SIGNS = {"psia", "psig", "barg", "inHg", "mmHg"}


@pytest.fixture
def made_up(tmp_path: Path) -> Iterator[None]:
    with in_made_up_language(tmp_path):
        yield


def typed() -> set[str]:
    """Every word that somebody typed into the demo shop."""
    files = (path for path in DEMO.rglob("*.yaml") if path.parent.name not in {"printed", "filed"})
    text = " ".join(path.read_text("utf-8") for path in files)
    return set(re.findall(r"[A-Za-z]+", text))


@pytest.mark.parametrize("name", ["HP-1042", "HP-1047", "HP-1049", "HP-1052"])
def test_no_english_is_left(made_up: None, name: str) -> None:
    plan = next(item for day in ("2026-11-26", "2026-11-27") for item in demo_plans(day) if item.job.job == name)
    plan = read_in(plan, "eo")
    content = compose(plan, build_hookup(plan))
    pages = on_paper(content)
    cited = [item.source for item in plan.findings] + [plan.evacuation.source if plan.evacuation else ""]
    # the law gives proper shipping names in English
    cited += [plan.carrying.proper_shipping_name if plan.carrying else ""]
    # what travels is in English
    leaves = [leaf for sheet in content.sheets if isinstance(sheet, Tags) for leaf in sheet.leaves]
    cited += [repr(replace(tag, warning_also="")) for leaf in leaves for tag in leaf]
    known = typed() | SIGNS | set(re.findall("[A-Za-z]+", " ".join(cited)))
    left = {
        word
        for page in pages
        for word in re.findall(r"[^\W\d_]{3,}", page)
        if word.isascii() and re.search("[aeiouAEIOU]", word) and word not in known
    }
    assert left == set()
    assert "Págé 1 óf" in pages[0]


def on_paper(content: Content) -> tuple[str, ...]:
    stamp = Stamp(content.records_url, content.job, revision_of(content), content.paper)
    # the code's letters are no words
    return tuple(
        page.replace(stamp.revision, "") for page in read(render(to_html(content, stamp.revision), stamp).pdf).pages
    )
