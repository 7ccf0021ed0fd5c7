"""Filing, turn-in, withdraw, settle and sort killed at any moment, the ledger added up by another route after each.

Sort is killed from unread pictures on, and from pages read before, so that kills meet its reading and its filing.

`PYTHONPATH=. .venv/bin/python tests/bench/bench_office_kills.py [COUNT] [SEED]`; see `tests/office/kills.py`.
"""

import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.office.kills import kills, made


def main() -> None:
    """Kill so many; every one that was wrong is printed, and ends the run with 1."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 20261127
    with tempfile.TemporaryDirectory() as base:
        done = kills(made(Path(base)), Path(base), count, seed)
    for item in done:
        if item.wrong:
            print(f"{item.action} {item.how} after {item.seconds:.4f} s: {item.wrong}")
    for action in sorted({item.action for item in done}):
        mine = [item for item in done if item.action == action]
        how = dict(sorted(Counter(item.how for item in mine).items()))
        print(f"{action}: {len(mine)} killed, {sum(item.died for item in mine)} before they were done, {how}")
    wrong = sum(bool(item.wrong) for item in done)
    print(f"{count} kills, {wrong} wrong")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
