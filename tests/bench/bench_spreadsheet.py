"""Hostile names in a CSV, opened in a real spreadsheet program by comma, semicolon and tab: no cell is a formula.

`PYTHONPATH=. .venv/bin/python tests/bench/bench_spreadsheet.py [COUNT] [SEED]`; needs Debian's `libreoffice-calc`. A file
that was not written by `packet.office.spreadsheet` is opened as well: its formulas must be found, else nothing is shown.
"""

import random
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from packet.office.spreadsheet import csv_text

SIGNS = "=+-@\t\r\n＝＋ '\";,|0123456789.abSUM()"
KNOWN = (
    "=1+1", "a;=1+1", "a;=1+1;b", "a\t=1+1", 'a";=1+1', '";=1+1;"', "=cmd|' /C calc'!A0", "@SUM(1+1)", "+1+1", "-1+1",
    '=HYPERLINK("https://x.example","go")', "＝1+1", "'=1+1", "\n=1+1", "a\r\n;=1+1",
)  # fmt: skip
PARTED_BY = {"comma": 44, "semicolon": 59, "tab": 9}


def formulas(folder: Path, text: str, sign: int) -> list[str]:
    """The formulas of a CSV opened with cells parted by this sign, formulas to be worked out as they come."""
    (folder / "it.csv").write_text(text, "utf-8", newline="")
    # separator, quote, UTF-8, first line, …, quoted as text: no, special numbers: yes, …, all sheets, formulas: yes
    how = f"CSV:{sign},34,76,1,,0,false,true,false,false,false,-1,true"
    profile = f"-env:UserInstallation=file://{folder}/profile"
    words = ["soffice", "--headless", "--norestore", profile, f"--infilter={how}", "--convert-to", "fods"]
    subprocess.run(
        [*words, "--outdir", str(folder), str(folder / "it.csv")], check=True, capture_output=True, timeout=300
    )
    return re.findall(r'table:formula="([^"]*)"', (folder / "it.fods").read_text("utf-8"))


def main() -> None:
    """Print what was found; 1 where a cell is a formula."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_500
    chance = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 20261126)
    texts = [*KNOWN, *("".join(chance.choices(SIGNS, k=chance.randrange(1, 14))) for _ in range(count))]
    hostile = csv_text(("day", "name", "weight"), [{"day": "x", "name": text, "weight": "-9.5"} for text in texts])
    wrong = 0
    with tempfile.TemporaryDirectory() as place:
        for name, sign in PARTED_BY.items():
            folder = Path(place) / name
            folder.mkdir()
            if len(formulas(folder, f"a{chr(sign)}=1+1\r\n", sign)) != 1:
                sys.exit("a plain formula was not found: nothing is shown")
            found = formulas(folder, hostile, sign)
            wrong += len(found)
            print(f"parted by {name}: {len(texts)} texts, {len(found)} formulas {found[:3]}")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
