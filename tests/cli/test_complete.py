"""What the shell offers at Tab."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def offered(line: str, folder: Path) -> set[str]:
    """What argcomplete is answered, as a shell asks: the line in the environment, the answer on descriptor 8."""
    answer = folder / "answer"
    command = f"{sys.executable} -c 'from packet.cli.main import main; main()' 8>{answer} 9>/dev/null"
    asked = {"_ARGCOMPLETE": "1", "_ARGCOMPLETE_IFS": "\n", "COMP_LINE": line, "COMP_POINT": str(len(line))}
    subprocess.run(["sh", "-c", command], cwd=ROOT, env=os.environ | asked, check=True, capture_output=True)
    return {word.strip() for word in answer.read_text("utf-8").splitlines()}


@pytest.mark.parametrize(
    ("line", "has"),
    [
        ("packet cyl", {"cylinder", "cylinders"}),
        ("packet print 2026-11-26 --truck ", {"T1", "T2", "T3", "T4"}),
        ("packet move HP-104", {"HP-1041", "HP-1049"}),
        ("packet move HP-1042 --technician ", {"pell", "vale"}),
        ("packet move HP-1042 --machine RM-", {"RM-1", "RM-7"}),
        ("packet move HP-1042 --cylinders C-11", {"C-118", "C-119"}),
        ("packet cylinder weighed C-11", {"C-118", "C-119"}),
        ("packet new 2026-11-28/HP-1060 --like HP-104", {"HP-1041"}),
    ],
)
def test_tab_offers_what_the_shop_has(line: str, has: set[str], tmp_path: Path) -> None:
    found = offered(line, tmp_path)
    assert has <= found
    # no file names where an id is meant
    assert not any("/" in word or word.endswith(".md") for word in found)
