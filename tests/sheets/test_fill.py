"""The fill sheet."""

from dataclasses import replace

import pytest

from packet.sheets.fill import fill
from packet.sheets.show import Show
from tests.plan.builders import job, only, plan


@pytest.mark.parametrize(
    ("level", "shown"), [(0.0, "0"), (98.6, "99"), (100.0, "full"), (104.0, "full"), (119.0, "full")]
)
def test_a_level_of_a_hundred_or_more_reads_full(level: float, shown: str) -> None:
    """Above 100 % the cylinder is liquid-full: no figure says how much more."""
    planned = plan(job())
    item = only(planned)
    rows = tuple(replace(row, level_percent=level) for row in item.fill_table)
    (size,) = fill(replace(planned, cylinders=(replace(item, fill_table=rows),)), Show("US", 1)).sizes
    assert {row[-1] for row in size.table.rows} == {shown}
