"""Run sheet, stacks and files agree at every moment (200 sequences by hand: tests/bench/bench_calls.py)."""

from pathlib import Path

import pytest

from tests.cli.random_calls import Dispatcher, new_shop


@pytest.mark.parametrize("seed", [1, 2])
def test_after_a_random_sequence_of_calls_run_sheet_stacks_and_files_agree(
    tmp_path: Path, seed: int, capsys: pytest.CaptureFixture[str]
) -> None:
    one = Dispatcher(new_shop(tmp_path), tmp_path / "out", seed)
    one.print()
    assert one.sequence(5) == []
