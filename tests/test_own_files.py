"""A few hundred of the changes that tests/bench/bench_own_files.py makes to the program's own files."""

from tests.bench.bench_own_files import run


def test_no_change_to_an_own_file_ends_in_a_traceback_or_another_number() -> None:
    told = run(300)
    assert sum(told.values()) == 300
    assert set(told) <= {"refused", "same", "made anew"}
    assert told["refused"] > 100
