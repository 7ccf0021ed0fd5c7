"""A morning of the demo shop with a secret, from print to publishing: where the secret, paths and users do not stand."""

import getpass
import re
import shutil
import socket
from collections.abc import Iterator
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import pikepdf
import pytest

from packet.cli.main import main

DEMO = Path(__file__).parents[2] / "jobs"
SECRET = "kq3-Vp0xZ9-tRm7uWd2-aLf8"
JOB = "HP-1047"


@dataclass(frozen=True)
class Morning:
    """folder: where it all lies. told: everything the commands said."""

    folder: Path
    told: str

    @property
    def pdfs(self) -> list[Path]:
        return sorted(self.folder.rglob("*.pdf"))


@pytest.fixture(scope="module")
def morning(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Morning]:
    folder = tmp_path_factory.mktemp("whose-folder")
    (folder / "jobs" / "2026-11-26").mkdir(parents=True)
    for path in DEMO.glob("*.yaml"):
        shutil.copy(path, folder / "jobs")
    shutil.copy(DEMO / "2026-11-26" / f"{JOB}.yaml", folder / "jobs" / "2026-11-26")
    with (folder / "jobs" / "shop.yaml").open("a", encoding="utf-8") as shop:
        shop.write(f"\nrecords_secret: {SECRET}\n")
    commands = (
        "check jobs",
        f"plan {JOB} --json",
        f"plan {JOB} --why",
        "print 2026-11-26 --workers 1 --html",
        "month 2026-11",
        "records publish --to www",
        f"find {JOB}",
    )
    with chdir(folder):
        told = [run(command) for command in commands]
    yield Morning(folder, "\n".join(told))


def run(command: str) -> str:
    """What a command says; it may find that the demo has cautions."""
    said = StringIO()
    with redirect_stdout(said), redirect_stderr(said):
        assert main(command.split()) in {0, 1}, said.getvalue()
    return said.getvalue()


def inside(path: Path) -> bytes:
    """Everything in a PDF: its bytes, and those of its streams unpacked."""
    with pikepdf.open(path) as pdf:
        streams = [item.read_bytes() for item in pdf.objects if isinstance(item, pikepdf.Stream)]
    return b"\n".join([path.read_bytes(), *streams])


def test_the_secret_stands_in_shop_yaml_alone(morning: Morning) -> None:
    assert SECRET not in morning.told
    for path in morning.folder.rglob("*"):
        if path.is_file() and path.name != "shop.yaml":
            assert SECRET.encode() not in (inside(path) if path.suffix == ".pdf" else path.read_bytes()), path


def test_the_codes_address_stands_on_the_map_and_the_page_lies_there(morning: Morning) -> None:
    (noted,) = (morning.folder / "jobs" / "printed" / "addresses").iterdir()
    assert re.fullmatch(rf"{JOB}~[A-Z2-7]{{12}}", noted.name)
    for place in ("out/records", "www"):
        assert (morning.folder / place / noted.name / "index.html").is_file()
        assert not (morning.folder / place / JOB).exists()


def test_no_pdf_says_who_printed_it_or_where(morning: Morning) -> None:
    names = {path.name for path in morning.pdfs}
    assert {f"{JOB}.pdf", "2026-11-26-runsheet.pdf", "month-2026-11.pdf"} <= names
    telling = {str(morning.folder), str(DEMO.parent), str(Path.home()), "whose-folder", socket.gethostname()}
    # a name that is an everyday word or a few letters would be found in any font
    telling |= {f"/{getpass.getuser()}/", f"/home/{getpass.getuser()}"}
    for path in morning.pdfs:
        content = inside(path)
        assert [word for word in telling if len(word) > 3 and word.encode() in content] == [], path
        with pikepdf.open(path) as pdf:
            info = {str(key): str(value) for key, value in pdf.docinfo.items()}
            assert set(info) <= {"/Title", "/Producer", "/CreationDate", "/ModDate", "/Author", "/Lang"}, info
            assert info.get("/Author", "Quillback & Daughters Cooling Service").startswith("Quillback")


def test_the_html_of_a_packet_lets_a_browser_run_nothing(morning: Morning) -> None:
    text = (morning.folder / "out" / f"{JOB}.html").read_text("utf-8")
    policy = re.search(r'<meta http-equiv="Content-Security-Policy" content="([^"]+)"/>', text)
    assert policy is not None
    assert policy[1].startswith("default-src 'none'; ")
    assert "script-src" not in policy[1]
    assert text.index("Content-Security-Policy") < text.index("<style>")


@pytest.mark.parametrize(
    "typed",
    [
        SECRET[:18],
        f"[{SECRET}]",
        f"{{a: {SECRET}}}",
        f"{SECRET}\nrecords_secret: {SECRET}",
        f"!{SECRET}",
        f"!!{SECRET}",
        f"!{SECRET}!x",
        f"&{SECRET}",
        f"*{SECRET}",
        f"%{SECRET}",
        f"'{SECRET}",
        f"{SECRET}: x",
        f"- {SECRET}",
        f"{SECRET}\x01",
        SECRET * 9,
    ],
)
def test_no_complaint_about_a_secret_repeats_it(tmp_path: Path, typed: str) -> None:
    for path in DEMO.glob("*.yaml"):
        shutil.copy(path, tmp_path)
    with (tmp_path / "shop.yaml").open("a", encoding="utf-8") as shop:
        shop.write(f"\nrecords_secret: {typed}\n")
    said = StringIO()
    with redirect_stderr(said), redirect_stdout(said):
        assert main(["check", str(tmp_path)]) == 1
    assert "records_secret" in said.getvalue() or f"{tmp_path.name}/shop.yaml:" in said.getvalue()
    assert SECRET[:18] not in said.getvalue()
