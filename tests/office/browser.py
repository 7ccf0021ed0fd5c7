"""Debian's chromium, and a static file server as any shop could run it; what it was asked for is kept."""

import functools
import json
import subprocess
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from html import escape, unescape
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from PIL import Image

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


@dataclass
class Served:
    """host: the server's address. asked: every path that was asked for, in order."""

    host: str
    asked: list[str] = field(default_factory=list)


@contextmanager
def serving(folder: Path) -> Iterator[Served]:
    """The folder on a local server until the block ends."""
    served = Served("")

    class Quiet(SimpleHTTPRequestHandler):
        def send_head(self) -> Any:
            # two pages laid at one address within a second have the same date: the first may not stand for the second
            del self.headers["If-Modified-Since"]
            return super().send_head()

        def end_headers(self) -> None:
            self.send_header("Cache-Control", "no-store")
            if self.path.endswith("&scripts=none"):
                self.send_header("Content-Security-Policy", "script-src 'none'")
            super().end_headers()

        def log_message(self, *_: Any) -> None:
            served.asked.append(self.path)

    server = ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=str(folder)))
    served.host = f"http://127.0.0.1:{server.server_port}"
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield served
    finally:
        server.shutdown()
        server.server_close()


def browse(folder: Path, address: str, *flags: str) -> str:
    """What the browser says of an address. folder: where it may keep what it keeps."""
    command = ["chromium", *FLAGS, f"--user-data-dir={folder / 'profile'}", *flags, address]
    return subprocess.run(command, capture_output=True, text=True, check=True, timeout=120).stdout


def browse_all(folder: Path, served: Served, root: Path, addresses: Sequence[str]) -> list[str]:
    """What the browser makes of each address, all in frames of one page: a start of the browser takes a second.

    root: the served folder, where the page of frames is laid for a moment. addresses: below the server's.
    """
    frames = "".join(f'<iframe src="/{escape(one)}"></iframe>' for one in addresses)
    collect = (
        "onload = () => { document.body.textContent ="
        " JSON.stringify([...document.querySelectorAll('iframe')].map(one => one.contentDocument.documentElement.outerHTML)); }"
    )
    page = root / "frames.html"
    page.write_text(f'<meta charset="utf-8"><body>{frames}<script>{collect}</script>', "utf-8")
    seen = browse(folder, f"{served.host}/frames.html", "--dump-dom")
    page.unlink()
    found: list[str] = json.loads(unescape(seen.partition("<body>")[2].rpartition("</body>")[0]))
    assert len(found) == len(addresses)
    return found


def on_a_phone(folder: Path, served: Served, root: Path, address: str) -> Image.Image:
    """A picture of the page as a phone shows it. root: the served folder, where a frame is laid for a moment."""
    # a window cannot be as narrow as a phone; a frame can
    width, height = PHONE
    frame = root / "frame.html"
    inside = f'<body style="margin:0"><iframe style="border:0" width="{width}" height="{height}" src="{address}">'
    frame.write_text(inside, "utf-8")
    picture = folder / "phone.png"
    browse(folder, f"{served.host}/frame.html", f"--window-size=600,{height}", f"--screenshot={picture}")
    frame.unlink()
    with Image.open(picture) as shot:
        return shot.convert("L").crop((0, 0, width, height))


def runs_over_the_edge(page: Image.Image) -> bool:
    """Whether text or a table stands in the page's own margin, or nothing stands there at all."""
    width, height = PHONE
    white = page.crop((width - 8, 0, width, height)).histogram()[255] == 8 * height
    return not white or sum(page.histogram()[:60]) <= 1000
