"""200 random sequences of phone calls: after each act run sheet, stacks and files agree. By hand; takes its time.

PYTHONPATH=. .venv/bin/python tests/bench/bench_calls.py [SEQUENCES [FIRST SEED]]
"""

import contextlib
import io
import shutil
import sys
import tempfile
import time
from pathlib import Path

from tests.cli.random_calls import Dispatcher, new_shop


def main(sequences: int, first: int) -> int:
    """Run them; the number of sequences in which something disagreed."""
    bad = acts = 0
    started = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        printed = Path(folder) / "printed"
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            Dispatcher(new_shop(printed), printed / "out", 0).print()
        for seed in range(first, first + sequences):
            here = Path(folder) / str(seed)
            shutil.copytree(printed, here)
            one = Dispatcher(here / "jobs", here / "out", seed)
            with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
                found = one.sequence(4)
            acts += len(one.told)
            if found:
                bad += 1
                print(f"seed {seed}:", *found, sep="\n  ", flush=True)
            shutil.rmtree(here)
    seconds = time.perf_counter() - started
    print(f"{sequences} sequences, {acts} commands, {bad} with a disagreement, {seconds:.0f} s")
    return bad


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:]]
    sys.exit(1 if main(*(numbers + [200, 1][len(numbers) :])) else 0)
