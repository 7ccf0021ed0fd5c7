"""A disk that is full: a print on one with 0, 20, 40 … 1,000 kB free ends whole or says why, and once there is room, as ever.

`sudo PYTHONPATH=. .venv/bin/python tests/bench/bench_full_disk.py [STEP_KB] [MOST_KB]`: a file system in memory is mounted
for each. Shop and output lie on it, together and apart. Each file there is whole (a PDF is read back, a print record is
sealed), no part stays after the next print, and the print after more room was made ends byte for byte as one on an empty disk.
"""

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

from pypdf import PdfReader

from packet.document import unsealed
from packet.office.form import empty_form
from packet.press.run.model import Options, PrintOrder, Summary
from packet.press.run.print_days import print_jobs
from packet.press.run.state import BusyError
from tests.bench.bench_kills import AT, made, shop_in
from tests.press.run.test_print_days import DAY

ROOM_KB = 16_000


@contextmanager
def disk(folder: Path) -> Iterator[None]:
    """A file system in memory, mounted at `folder`."""
    folder.mkdir(parents=True, exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={ROOM_KB}k", "tmpfs", str(folder)], check=True)
    try:
        yield
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


def filled(folder: Path, free_kb: int) -> Path:
    """Fill the disk but for so much; the file that does it."""
    ballast = folder / "ballast"
    free = os.statvfs(folder).f_bavail * os.statvfs(folder).f_frsize
    with ballast.open("wb") as file:
        left = free - free_kb * 1000
        with contextlib.suppress(OSError):
            while left > 0:
                file.write(b"x" * min(left, 4096))
                left -= 4096
    return ballast


def torn(folder: Path) -> list[str]:
    """Files that are not whole, where a reader would find them."""
    wrong = []
    for path in (*(folder / "out").rglob("*"), *(folder / "jobs").rglob("*")):
        if not path.is_file() or path.name.startswith("."):
            continue
        content = path.read_bytes()
        if path.suffix == ".pdf":
            try:
                PdfReader(BytesIO(content), strict=True).pages[0].extract_text()
            except Exception as error:
                wrong.append(f"{path.name}: {error}")
        elif path.parent.name == "printed" and not unsealed(content).sound:
            wrong.append(f"{path.name}: not sealed")
        elif not content and path.name != "lock":
            wrong.append(f"{path.name}: empty")
    # a packet lies there only when the shop knows of it
    packets = (folder / "out").glob("HP-*.pdf")
    records = folder / "jobs" / "printed"
    return wrong + [
        f"{path.name}: no print record" for path in packets if not list(records.glob(f"{path.stem}.*.json"))
    ]


def printed(folder: Path) -> Summary | str:
    """A print; the sentence where it could not even begin."""
    try:
        return print_jobs(PrintOrder((folder / "jobs" / DAY,), folder / "out", AT, empty_form, Options(workers=1)))
    except (OSError, BusyError) as error:
        return str(error)


def main() -> None:
    """Print what became of each; 1 where something was torn, or another print came of it."""
    step, most = (int(word) for word in (*sys.argv[1:3], *("20", "1000")[len(sys.argv) - 1 :]))
    told, wrong = Counter[str](), 0
    with tempfile.TemporaryDirectory() as base:
        whole = Path(base) / "whole"
        shop_in(whole)
        printed(whole)
        wanted = made(whole)
        for free_kb in range(0, most + 1, step):
            folder = Path(base) / f"disk{free_kb}"
            with disk(folder):
                shop_in(folder)
                ballast = filled(folder, free_kb)
                first = printed(folder)
                found = torn(folder)
                ballast.unlink()
                again = printed(folder)
                found += torn(folder)
                now = made(folder)
                found += sorted(name for name in wanted.keys() | now.keys() if wanted.get(name) != now.get(name))
                if isinstance(again, str):
                    found.append(again)
                ends = (
                    "could not begin"
                    if isinstance(first, str)
                    else ", ".join(sorted(item.outcome for item in first.results))
                )
                told[ends] += 1
                if found:
                    wrong += 1
                print(f"{free_kb} kB free: {ends}{': ' + '; '.join(found) if found else ''}", flush=True)
            shutil.rmtree(folder, ignore_errors=True)
    print(f"{sum(told.values())} disks: {dict(told)}; {wrong} wrong")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
