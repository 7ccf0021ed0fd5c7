"""A morning on a file system without hard links and permissions: FAT, mounted by way of FUSE.

`PYTHONPATH=. .venv/bin/python tests/bench/bench_fat.py`; needs Debian's `fusefat` and `dosfstools`. Printing, printing again,
a call, a hand-over, the month and the published pages end as anywhere, and no part is left. `tests/shop/test_whole.py` and
`tests/press/test_printed_before.py` refuse the same calls without a file system.
"""

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.bench.bench_day import DAY

DEMO = Path(__file__).parents[2] / "jobs"
JOBS = ("HP-1041", "HP-1042", "HP-1043")
PACKET = (sys.executable, "-c", "from packet.cli.main import main; raise SystemExit(main())")
# what is run, and how it ends: a hand-over takes a cylinder from a later day's job, which is told
MORNING: tuple[tuple[tuple[str, ...], int], ...] = (
    (("print", DAY), 0),
    (("print", DAY), 0),
    (("print", DAY, "--fresh"), 0),
    (("call-off", "HP-1043", "--why", "rain"), 0),
    (("turn-in", "C-121", "--to", "Harrow Reclaim, Harrow Mesa", "--for", "reclaim"), 0),
    (("print", DAY), 0),
    (("records", "check"), 0),
    (("cylinders",), 0),
    (("month", DAY[:7]), 0),
    (("records", "publish", "--to", "pages"), 0),
)


@contextmanager
def mounted(folder: Path, size_MB: int = 200) -> Iterator[Path]:
    """A FAT file system of this size below `folder`, for as long as the block lasts."""
    image, place = folder / "fat.img", folder / "fat"
    place.mkdir()
    with image.open("wb") as file:
        file.truncate(size_MB * 1_000_000)
    subprocess.run(["/usr/sbin/mkfs.vfat", "-F", "32", str(image)], check=True, capture_output=True)
    subprocess.run(["fusefat", "-o", "rw+", str(image), str(place)], check=True, capture_output=True)
    try:
        yield place
    finally:
        subprocess.run(["fusermount", "-u", str(place)], check=True)


def main() -> None:
    """Run the morning; 1 where it ends otherwise than on any other file system."""
    wrong = 0
    with tempfile.TemporaryDirectory() as base, mounted(Path(base)) as fat:
        (fat / "one").touch()
        with contextlib.suppress(OSError):
            os.link(fat / "one", fat / "other")
            sys.exit("this file system has hard links: nothing is shown")
        shop = fat / "shop" / "jobs"
        (shop / DAY).mkdir(parents=True)
        for path in (*DEMO.glob("*.yaml"), *(DEMO / DAY / f"{job}.yaml" for job in JOBS)):
            shutil.copyfile(path, shop / path.relative_to(DEMO))
        for words, status in MORNING:
            begun = time.perf_counter()
            done = subprocess.run([*PACKET, *words], cwd=shop.parent, capture_output=True, text=True, check=False)
            ended = "as it should" if done.returncode == status else f"OTHERWISE: {(done.stdout + done.stderr)[-300:]}"
            wrong += done.returncode != status
            print(
                f"{' '.join(words):60} exit {done.returncode} {time.perf_counter() - begun:5.1f} s {ended}", flush=True
            )
        parts = [str(path) for path in fat.rglob("*.part")]
        print(f"{len(parts)} parts left")
        wrong += len(parts)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
