"""A few of the files that tests/bench/bench_fuzz.py bends: every reader, without the coverage that guides it there."""

import random
import time
from pathlib import Path

import pytest

from tests.bench.bench_own_files import CHANGES
from tests.bench.fuzz_targets import NAMES, json_again, sealed_again, target_in

COUNT = 60


@pytest.mark.parametrize("name", NAMES)
def test_whatever_is_read_ends_in_an_answer(tmp_path: Path, name: str) -> None:
    target, chance = target_in(tmp_path, name), random.Random(name)
    for seed in target.seeds:
        target.read(seed)
    for _ in range(COUNT):
        seed = chance.choice(target.seeds)
        if target.sealed and chance.randrange(3):
            content = sealed_again(seed, chance)
        elif name == "state" and chance.randrange(3):
            content = json_again(seed, chance)
        else:
            content = chance.choice(CHANGES)(seed, chance)
        begun = time.process_time()
        target.read(content)
        assert time.process_time() - begun < 10.0
