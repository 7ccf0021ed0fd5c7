"""A few of the commands that tests/bench/bench_hostile.py gives something else to read."""

from tests.bench.bench_hostile import run


def test_nothing_in_the_place_of_a_file_ends_in_a_traceback_or_reaches_the_terminal() -> None:
    told = run(60, seed=2)
    assert sum(told.values()) == 60
    assert set(told) <= {f"status {status}" for status in range(4)}
