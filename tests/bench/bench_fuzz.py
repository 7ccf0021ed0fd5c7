"""A coverage-guided fuzzer over everything that is read: bytes that reach new code are kept and bent further.

`PYTHONPATH=. .venv/bin/python tests/bench/bench_fuzz.py [SECONDS] [TARGET …]` (SECONDS each; all targets by default).
Needs `atheris` (extra `fuzz`): libFuzzer, and bytecode that counts what it reaches. What raises, takes more than
two seconds or more than 500 MB is written to `found/TARGET-…` below the temporary folder, told once a place, and ends the run with 1.
`tests/test_fuzzed.py` feeds each target a few hundred bent files without atheris.
"""

import os
import random
import resource
import subprocess
import sys
import tempfile
import time
import traceback
from pathlib import Path

MOST_SECONDS = 2.0
MOST_MB = 500


def _one(name: str, seconds: int, found: Path) -> None:
    """Fuzz one target in this process; never returns."""
    import atheris

    with atheris.instrument_imports(include=["packet"], enable_loader_override=False):
        from tests.bench.fuzz_targets import json_again, sealed_again, target_in
    corpus = found / f"corpus-{name}"
    corpus.mkdir(parents=True, exist_ok=True)
    target = target_in(Path(tempfile.mkdtemp()), name)
    for number, seed in enumerate(target.seeds):
        (corpus / f"seed{number}").write_bytes(seed)
    told: set[str] = set()
    began_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    count, begun = 0, time.monotonic()

    def tell(what: str, content: bytes) -> None:
        if what not in told:
            told.add(what)
            (found / f"{name}-{len(told)}").write_bytes(content)
            print(f"{name}: {what} ({name}-{len(told)})", flush=True)

    def reads(content: bytes) -> None:
        nonlocal count, began_kb
        count += 1
        before = time.process_time()
        try:
            target.read(content)
        except Exception as error:
            frames = traceback.extract_tb(error.__traceback__)
            tell(f"{type(error).__name__}: {str(error)[:150]!r} at {frames[-1].filename}:{frames[-1].lineno}", content)
        took = time.process_time() - before
        if took > MOST_SECONDS:
            tell(f"{took:.0f} s", content)
        grown_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - began_kb
        if grown_kb > MOST_MB * 1000:
            tell(f"{grown_kb // 1000} MB", content)
            began_kb += grown_kb
        if time.monotonic() - begun > seconds:
            print(f"{name}: {count} inputs, {len(list(corpus.iterdir()))} kept, {len(told)} found", flush=True)
            os._exit(1 if told else 0)

    def mutated(content: bytes, most: int, seed: int) -> bytes:
        chance = random.Random(seed)
        how = chance.randrange(3)
        if target.sealed and how:
            return sealed_again(content, chance)[:most]
        if name == "state" and how:
            return json_again(content, chance)[:most]
        made: bytes = atheris.Mutate(content, most)
        return made

    atheris.Setup(
        [sys.argv[0], str(corpus), "-max_len=120000", "-timeout=30", "-rss_limit_mb=4000", "-verbosity=0"],
        reads,
        custom_mutator=mutated,
    )
    atheris.Fuzz()


def main() -> None:
    """Each target in a process of its own, one after the other."""
    seconds = int(sys.argv[1]) if len(sys.argv) > 1 else 120
    if len(sys.argv) == 4 and os.environ.get("FUZZ_FOUND"):
        _one(sys.argv[2], seconds, Path(os.environ["FUZZ_FOUND"]))
    from tests.bench.fuzz_targets import NAMES

    found = Path(os.environ.get("FUZZ_FOUND") or tempfile.mkdtemp(prefix="found-"))
    print(f"what is found lies in {found}")
    worst = 0
    for name in sys.argv[2:] or NAMES:
        words = [sys.executable, __file__, str(seconds), name, "alone"]
        worst |= subprocess.run(words, env=os.environ | {"FUZZ_FOUND": str(found)}, check=False).returncode
    sys.exit(1 if worst else 0)


if __name__ == "__main__":
    main()
