"""A few of the prints that tests/bench/bench_kills.py kills."""

from tests.bench.bench_kills import run


def test_a_killed_print_run_again_ends_where_an_uninterrupted_one_ends() -> None:
    told, wrong = run(4, seed=5)
    assert sum(told.values()) == 4
    assert wrong == 0
