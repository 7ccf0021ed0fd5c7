"""A few of the own files that tests/bench/bench_own_paper.py bends before the day is printed."""

from tests.bench.bench_own_paper import run


def test_no_number_on_paper_moves() -> None:
    told = run(3, seed=4)
    assert sum(told.values()) == 3
    assert not told["wrong"]
