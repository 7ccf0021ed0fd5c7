"""A few of what tests/bench/bench_together.py does: several people at once."""

from pathlib import Path

from tests.bench.bench_together import JOB, filed_while_printed, prints_while_saved, two_prints
from tests.press.run.test_print_days import DAY, run, shop_with


def test_the_second_print_into_a_folder_is_told_to_wait(tmp_path: Path) -> None:
    shop_with(tmp_path, DAY, (JOB,))
    (first, _), (second, told) = two_prints(tmp_path)
    assert first == 0
    assert second == 0 or (second == 3 and "wait for it to end" in told)
    assert (tmp_path / "out" / f"{JOB}.pdf").is_file()


def test_what_is_printed_while_a_file_is_saved_is_of_one_state_of_it(tmp_path: Path) -> None:
    shop_with(tmp_path, DAY, (JOB,))
    told = prints_while_saved(tmp_path, 15, seed=3)
    assert told.pop("prints") >= 1
    assert {name.split(",")[0] for name in told} <= {"printed", "unchanged", "not-read"}


def test_filing_while_printing_files_once_and_keeps_what_was_typed(tmp_path: Path) -> None:
    shop_with(tmp_path, DAY, (JOB,))
    run(tmp_path)
    assert filed_while_printed(tmp_path, 0.3) == ""
