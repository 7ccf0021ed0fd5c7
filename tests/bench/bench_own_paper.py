"""Own files bent, then the day printed: whatever is accepted, no number on paper is another one.

`PYTHONPATH=. .venv/bin/python tests/bench/bench_own_paper.py [COUNT] [SEED]`. A day of two jobs, one of them filed.
"""

import random
import re
import shutil
import sys
import tempfile
from collections import Counter
from pathlib import Path

from pypdf import PdfReader

from tests.bench.bench_hostile import DAY, said, shop_in
from tests.bench.bench_own_files import CHANGES

PRINT = ("print", f"jobs/{DAY}", "--workers", "1")


# which print of the day a page is: another one where its record cannot be read
NUMBERED = re.compile(r"(Print|This replaces print) \d+, \w+ \d+, \d+ \d+:\d+\.?")


def text_of(path: Path) -> str:
    """All words of a PDF, but for which print of the day it is."""
    return NUMBERED.sub("", " ".join("\n".join(page.extract_text() for page in PdfReader(path).pages).split()))


def papers(folder: Path) -> dict[str, str]:
    """Every paper of the day that lies ready, by its name: its words."""
    return {path.name: text_of(path) for path in sorted((folder / "out").glob("*.pdf"))}


def own_files(folder: Path) -> list[Path]:
    """What the program wrote itself and reads again."""
    places = (folder / "jobs" / "printed", folder / "jobs" / "filed", folder / "out" / ".state")
    found = [path for place in places for path in place.rglob("*") if path.is_file() and path.suffix == ".json"]
    return sorted([*found, folder / "jobs" / ".filed"])


def numbers_moved(before: dict[str, str], after: dict[str, str]) -> list[str]:
    """The papers that say otherwise than they did. One that is gone, or says that its job stays at home, says no number."""
    return [
        name
        for name, words in after.items()
        if words != before.get(name) and "DO NOT DISPATCH" not in words and "NOT READ" not in words
    ]


def run(count: int, seed: int = 20261126) -> Counter[str]:
    """So many changes; how each print ended. A paper that says otherwise is told, and counted as 'wrong'."""
    chance, told = random.Random(seed), Counter[str]()
    with tempfile.TemporaryDirectory() as base:
        whole = Path(base) / "whole"
        whole.mkdir()
        shop_in(whole)
        status, words = said(whole, *PRINT)
        assert status == 0, words
        before = papers(whole)
        assert len(before) >= 3, before.keys()
        for _ in range(count):
            folder = Path(base) / "bent"
            shutil.copytree(whole, folder)
            bent = chance.choice(own_files(folder))
            content = chance.choice(CHANGES)(bent.read_bytes(), chance)
            bent.write_bytes(content)
            if chance.randrange(2):
                for pdf in (folder / "out").glob("*.pdf"):  # else much is left as it lies
                    pdf.unlink()
            status, words = said(folder, *PRINT)
            moved = numbers_moved(before, papers(folder))
            told["wrong" if moved or status not in {0, 1, 3} else f"status {status}"] += 1
            if moved or status not in {0, 1, 3}:
                print(f"{bent.relative_to(folder)}: {moved}, status {status}: {words[-500:]}", flush=True)
            shutil.rmtree(folder)
    return told


def main() -> None:
    """Do so many; 1 where a number moved."""
    told = run(int(sys.argv[1]) if len(sys.argv) > 1 else 200, int(sys.argv[2]) if len(sys.argv) > 2 else 20261126)
    print(f"{sum(told.values())} changes: {dict(sorted(told.items()))}")
    sys.exit(1 if told["wrong"] else 0)


if __name__ == "__main__":
    main()
