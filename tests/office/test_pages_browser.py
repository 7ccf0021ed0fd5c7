"""From the paper to the page: the code is read from a rendered packet and opened in a real browser (Debian's chromium)."""

import functools
import shutil
import subprocess
import threading
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any, get_args

import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from packet.office.form import empty_form
from packet.office.pages.model import from_plan
from packet.office.pages.write import refresh
from packet.press.run.model import Options, PrintOrder
from packet.press.run.print_days import print_jobs
from packet.shop.load import load_registers
from packet.shop.records import Shown

DEMO = Path(__file__).parents[2] / "jobs"
DAY = date(2026, 11, 26)
JOB = "HP-1047"
PHONE = (390, 844)  # CSS pixels of a usual phone
# the flags keep the browser from looking up hosts of its own at every start
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--lang=en",
]


class Quiet(SimpleHTTPRequestHandler):
    """A static file server as any shop could run it."""

    def end_headers(self) -> None:
        if self.path.endswith("&scripts=none"):
            self.send_header("Content-Security-Policy", "script-src 'none'")
        super().end_headers()

    def log_message(self, *_: Any) -> None:
        pass


class Site:
    """The demo shop's record pages on a local server, and the addresses read from its paper."""

    def __init__(self, folder: Path) -> None:
        self.shop, self.out = folder / "jobs", folder / "out"
        (self.out / "records").mkdir(parents=True)
        handler = functools.partial(Quiet, directory=str(self.out / "records"))
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        (self.shop / DAY.isoformat()).mkdir(parents=True)
        for path in DEMO.glob("*.yaml"):
            shutil.copy(path, self.shop)
        shop_file = self.shop / "shop.yaml"
        text = shop_file.read_text("utf-8")
        host = f"http://127.0.0.1:{self.server.server_port}"
        text = text.replace("https://records.example/quillback", host)
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
    made = Site(tmp_path_factory.mktemp("site"))
    yield made
    made.server.shutdown()
    made.server.server_close()


@pytest.fixture(scope="module")
def old_and_new(site: Site) -> tuple[str, str]:
    """Page 2's address on a first print and on the one that replaced it."""
    site.print(0)
    old = site.address(2)
    text = site.job.read_text("utf-8")
    site.job.write_text(text.replace("start: 11:30", "start: 11:45"), "utf-8")
    site.print(10)
    return old, site.address(2)


def browse(folder: Path, address: str, *flags: str) -> str:
    """What the browser says of an address."""
    command = ["chromium", *FLAGS, f"--user-data-dir={folder / 'profile'}", *flags, address]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=120)
    return done.stdout


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
    width, height = PHONE
    host = f"http://127.0.0.1:{site.server.server_port}"
    for number, address in enumerate((old_and_new[0], f"{host}/index.html", f"{host}/month-2026-11.html")):
        # a window cannot be as narrow as a phone; a frame can
        frame = f'<body style="margin:0"><iframe style="border:0" width="{width}" height="{height}" src="{address}">'
        (site.out / "records" / "frame.html").write_text(frame, "utf-8")
        picture = tmp_path / f"{number}.png"
        browse(tmp_path, f"{host}/frame.html", f"--window-size=600,{height}", f"--screenshot={picture}")
        with Image.open(picture) as shot:
            page = shot.convert("L").crop((0, 0, width, height))
            # the page's own margin stays white: no text and no table runs over it, and nothing has to be scrolled to
            assert page.crop((width - 8, 0, width, height)).histogram()[255] == 8 * height
            assert sum(page.histogram()[:60]) > 1000


def test_a_page_is_light_and_loads_nothing_else(site: Site, old_and_new: tuple[str, str]) -> None:
    page = (site.out / "records" / JOB / "index.html").read_text("utf-8")
    assert len(page.encode()) < 30_000
    assert "src=" not in page
    assert "<link" not in page
