"""A few kills of the office's work in every run; a thousand by `tests/bench/bench_office_kills.py`."""

from pathlib import Path

from .kills import ACTIONS, kills, made


def test_killed_at_some_moments_nothing_is_lost_and_everything_ends_as_it_should(tmp_path: Path) -> None:
    done = kills(made(tmp_path), tmp_path, 3 * len(ACTIONS), seed=20261127)
    assert [item for item in done if item.wrong] == []
    assert {item.action for item in done} == set(ACTIONS)
    assert any(item.died for item in done)
