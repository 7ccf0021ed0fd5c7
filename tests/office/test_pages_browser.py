"""From the paper to the page: the code is read from a rendered packet and opened in a real browser (Debian's chromium)."""

import shutil
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import get_args

import pypdfium2
import pytest
import zxingcpp

from packet.office.form import empty_form
from packet.office.pages.model import from_plan
from packet.office.pages.write import refresh
from packet.press.run.model import Options, PrintOrder
from packet.press.run.print_days import print_jobs
from packet.shop.load import load_registers
from packet.shop.records import Shown

from .browser import Served, browse, on_a_phone, runs_over_the_edge, serving

DEMO = Path(__file__).parents[2] / "jobs"
DAY = date(2026, 11, 26)
JOB = "HP-1047"


class Site:
    """The demo shop's record pages on a local server, and the addresses read from its paper."""

    def __init__(self, folder: Path, served: Served) -> None:
        self.shop, self.out = folder / "jobs", folder / "out"
        self.served = served
        (self.shop / DAY.isoformat()).mkdir(parents=True)
        for path in DEMO.glob("*.yaml"):
            shutil.copy(path, self.shop)
        shop_file = self.shop / "shop.yaml"
        text = shop_file.read_text("utf-8")
        text = text.replace("https://records.example/quillback", served.host)
        shop_file.write_text(f"{text}\nrecords_show: [{', '.join(get_args(Shown))}]\n", "utf-8")
        self.job = self.shop / DAY.isoformat() / f"{JOB}.yaml"
        shutil.copy(DEMO / DAY.isoformat() / f"{JOB}.yaml", self.job)

    def print(self, minutes: int) -> None:
        """Print the day and bring the pages up to date."""
        at = datetime(2026, 11, 25, 12, tzinfo=UTC) + timedelta(minutes=minutes)
        made = print_jobs(PrintOrder((self.shop / DAY.isoformat(),), self.out, at, empty_form, Options(workers=1)))
        shop = load_registers(self.shop).value
        assert shop is not None
        planned = [from_plan(plan) for day in made.days for plan in day.plans]
        refresh(shop.shop, self.shop, self.out, filed=(), asof=DAY, planned=planned)

    def address(self, page: int) -> str:
        """What a phone reads from a page of the paper."""
        with pypdfium2.PdfDocument(self.out / f"{JOB}.pdf") as pdf:
            picture = pdf[page - 1].render(scale=150 / 72, grayscale=True).to_pil()
        (text,) = {code.text for code in zxingcpp.read_barcodes(picture)}
        return str(text)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    folder = tmp_path_factory.mktemp("site")
    (folder / "out" / "records").mkdir(parents=True)
    with serving(folder / "out" / "records") as served:
        yield Site(folder, served)


@pytest.fixture(scope="module")
def old_and_new(site: Site) -> tuple[str, str]:
    """Page 2's address on a first print and on the one that replaced it."""
    site.print(0)
    old = site.address(2)
    text = site.job.read_text("utf-8")
    site.job.write_text(text.replace("start: 11:30", "start: 11:45"), "utf-8")
    site.print(10)
    return old, site.address(2)


def test_the_code_on_the_paper_opens_the_jobs_page(site: Site, old_and_new: tuple[str, str], tmp_path: Path) -> None:
    seen = browse(tmp_path, old_and_new[1], "--dump-dom")
    revision = old_and_new[1].rpartition("r=")[2]
    assert f"<h1>{JOB}</h1>" in seen
    assert f"<strong>{revision}</strong>" in seen
    assert f"{revision}: Your sheet is from the current print." in seen
    assert "Out, not filed yet" in seen
    assert "<span>2 – " in seen  # the page's number and its sheet's name


def test_an_older_print_is_told_so(old_and_new: tuple[str, str], tmp_path: Path) -> None:
    old, new = old_and_new
    assert old != new
    seen = browse(tmp_path, old, "--dump-dom")
    assert f"{old.rpartition('r=')[2]}: Your sheet is NOT from the current print." in seen
    assert "<span>2 – " not in seen


def test_without_scripts_the_current_revision_still_stands_first(old_and_new: tuple[str, str], tmp_path: Path) -> None:
    old, new = old_and_new
    seen = browse(tmp_path, f"{old}&scripts=none", "--dump-dom")
    assert 'id="held" class="held" hidden=""' in seen
    body = seen[seen.index("<main>") :]
    assert body.index(new.rpartition("r=")[2]) < body.index("Open the packet")
    assert "Compare it with the revision at the foot of your sheet" in body


def test_on_a_phone_nothing_stands_beyond_the_edge(site: Site, old_and_new: tuple[str, str], tmp_path: Path) -> None:
    host = site.served.host
    for address in (old_and_new[0], f"{host}/index.html", f"{host}/month-2026-11.html"):
        page = on_a_phone(tmp_path, site.served, site.out / "records", address)
        assert not runs_over_the_edge(page)


def test_a_page_is_light_and_loads_nothing_else(site: Site, old_and_new: tuple[str, str]) -> None:
    page = (site.out / "records" / JOB / "index.html").read_text("utf-8")
    assert len(page.encode()) < 30_000
    assert "src=" not in page
    assert "<link" not in page
