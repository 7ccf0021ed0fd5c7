"""Names that would be more than names, in a real browser: they stay text, run nothing, fetch nothing and fit a phone."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from html import unescape
from pathlib import Path
from typing import get_args

import pytest

from packet.office.pages.model import Known
from packet.office.pages.write import refresh
from packet.press.printed import PrintRecord, write_record
from packet.shop.records import Shown

from .browser import Served, browse_all, on_a_phone, runs_over_the_edge, serving
from .returned import registers
from .test_pages_privacy import filed

HOSTILE = (
    "<script>document.body.id='owned'</script>",
    "</title><script>document.body.id='owned'</script>",
    "</style><script>document.body.id='owned'</script>",
    '"><img src="/fetched" onerror="document.body.id=\'owned\'">',
    "' onmouseover='document.body.id=1' x='",
    "<svg onload=document.body.id='owned'>",
    "{{ 7 * 7 }} ${7*7} <%= 7*7 %>",
    "javascript:document.body.id='owned'",
    "&lt;script&gt; &amp; &quot;",
    "<!-- --><base href='//elsewhere.example/'>",
    "\u202eelddir\u202c Wörkshop 日本 🧊",
    "W" * 80,
)
DAY = date(2026, 11, 26)
SHEETS = ("Front", "'></p><script>document.body.id='owned'</script>", "\\u003c ' \" &")


@dataclass(frozen=True)
class Site:
    """The pages of jobs with such names, served."""

    root: Path
    served: Served


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    folder = tmp_path_factory.mktemp("hostile")
    out, jobs = folder / "out", folder / "jobs"
    shop = registers().shop.model_copy(
        update={"company": "Elm & Sons <b>Mechanical</b>", "records_show": get_args(Shown)}
    )
    everyone = []
    for number, name in enumerate(HOSTILE):
        job = f"HP-{number}"
        known = Known(
            job, "2026-11-26", name, name, name, name, name, name, name,
            stops=(), cautions=(name,), contact=name, phone=name, access=name, notes=name,
        )  # fmt: skip
        everyone.append(replace(known, stops=(name,)) if number % 4 == 3 else known)
        record = PrintRecord(
            job=job,
            revision="AAAA2222",
            date=DAY,
            printed_at=datetime(2026, 11, 25, 17, tzinfo=UTC),
            replaces="",
            changed=(name,),
            paper="letter",
            pages=SHEETS,
            boxes=(),
            facts=(("Method", name),),
        )
        write_record(jobs, record)
    refresh(shop, jobs, out, filed=[filed()], asof=DAY, planned=everyone)
    with serving(out) as served:
        yield Site(out, served)


def seen_at(site: Site, tmp_path: Path, *paths: str) -> list[str]:
    """The pages as the browser understood them."""
    return browse_all(tmp_path, site.served, site.root, paths)


def test_a_name_stays_a_name(site: Site, tmp_path: Path) -> None:
    site.served.asked.clear()
    paths = [f"records/HP-{number}/?p=2&r=AAAA2222" for number in range(len(HOSTILE))]
    for name, seen in zip(HOSTILE, seen_at(site, tmp_path, *paths), strict=True):
        assert "owned" not in seen.partition("<body")[2].partition(">")[0], name
        assert seen.count("<script") == 1, name
        assert not any(tag in seen for tag in ("<img", "<svg", "<base")), name
        assert unescape(seen).count(name) >= 6, name
    asked = {path for path in site.served.asked if "favicon" not in path}
    assert asked == {"/frames.html", *(f"/{path}" for path in paths)}


def test_so_do_they_in_the_lists(site: Site, tmp_path: Path) -> None:
    paths = ("office/index.html", "office/month-2026-11.html", "records/index.html", "records/month-2026-11.html")
    for path, seen in zip(paths, seen_at(site, tmp_path, *paths), strict=True):
        assert "owned" not in seen.partition("<body")[2].partition(">")[0]
        assert not any(tag in seen for tag in ("<script", "<img", "<svg", "<base"))
        for name in HOSTILE:
            assert name in unescape(seen), (path, name)


ASKED = (
    "r=<script>document.body.id='owned'</script>",
    "r=AAAA2222<b>",
    "r=aaaa2222",
    "r=AAAA222",
    "r=AAAA22222",
    "r=AAAA1111",
    "r=%41%41%41%41%32%32%32%0a",
    "r=call+555-0666+now",
    "p=2",
    "",
)
NO_PAGE = ("0", "4", "99", "-1", "1e0", "2<b>", "__proto__", "length")


def test_what_is_no_revision_is_not_answered(site: Site, tmp_path: Path) -> None:
    paths = [f"records/HP-0/?p=1&{asked}" for asked in ASKED]
    for asked, seen in zip(ASKED, seen_at(site, tmp_path, *paths), strict=True):
        shown = seen[seen.index('id="held"') :].partition(">")[0]
        assert "hidden" in shown, asked
        assert "555-0666" not in seen
        assert seen.count("<script") == 1


def test_a_page_that_is_none_is_not_named(site: Site, tmp_path: Path) -> None:
    paths = [f"records/HP-0/?p={page}&r=AAAA2222" for page in NO_PAGE]
    for page, seen in zip(NO_PAGE, seen_at(site, tmp_path, *paths), strict=True):
        assert "AAAA2222: Your sheet is from the current print." in seen
        assert "<span></span>" in seen, page


def test_a_sheets_name_stays_a_name_too(site: Site, tmp_path: Path) -> None:
    paths = [f"records/HP-0/?p={page}&r=AAAA2222" for page in range(1, len(SHEETS) + 1)]
    for page, seen in enumerate(seen_at(site, tmp_path, *paths), 1):
        assert f"{page} – {SHEETS[page - 1]}" in unescape(seen)
        assert seen.count("<script") == 1


def test_what_should_slip_through_the_escaping_all_the_same_neither_runs_nor_fetches(
    site: Site, tmp_path: Path
) -> None:
    """The policy alone, on a page into which markup was put by hand."""
    page = site.root / "records" / "HP-0" / "index.html"
    text = page.read_text("utf-8")
    slips = (
        "<script>document.body.dataset.ran='inline'</script><script src='/fetched.js'></script>"
        "<img src='/fetched.png' onerror=\"document.body.dataset.ran='handler'\"><iframe src='/fetched.html'></iframe>"
        "<link rel=stylesheet href='/fetched.css'><svg onload=\"document.body.dataset.ran='svg'\"></svg>"
    )
    (page.parent / "bent.html").write_text(text.replace("<main>", f"<main>{slips}"), "utf-8")
    open_to_all = text.replace("<main>", f"<main>{slips}").replace("Content-Security-Policy", "X-Nothing")
    (page.parent / "open.html").write_text(open_to_all, "utf-8")
    site.served.asked.clear()
    (seen,) = seen_at(site, tmp_path, "records/HP-0/bent.html?r=AAAA2222")
    assert "data-ran" not in seen
    assert "Your sheet is from the current print." in seen  # our own script is let through
    assert [path for path in site.served.asked if "fetched" in path] == []
    # without the policy it would have: the test can fail
    (seen,) = seen_at(site, tmp_path, "records/HP-0/open.html?r=AAAA2222")
    assert "data-ran" in seen
    assert [path for path in site.served.asked if "fetched" in path]
    for name in ("bent.html", "open.html"):
        (page.parent / name).unlink()


@pytest.mark.parametrize(
    "path", ["records/HP-11/?r=AAAA2222", "records/HP-3/", "office/index.html", "records/index.html"]
)
def test_long_and_hostile_names_fit_a_phone(site: Site, tmp_path: Path, path: str) -> None:
    page = on_a_phone(tmp_path, site.served, site.root, f"{site.served.host}/{path}")
    assert not runs_over_the_edge(page)
