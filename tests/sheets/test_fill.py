"""The fill sheet."""

import re
from dataclasses import replace

import pytest

from packet.sheets.fill import fill
from packet.sheets.model import Fill, Steps
from packet.sheets.show import Show
from packet.units import UnitSystem
from tests.plan.builders import job, only, plan

from .demo import composed, strings


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


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("name", ["HP-1041", "HP-1043", "HP-1202", "HP-1203", "HP-1207"])
def test_steps_table_and_the_day_s_pressures_agree_at_the_same_temperature(name: str, units: UnitSystem) -> None:
    """A job in an SI shop whose air was typed as 60 °F once read '16 °C: 8.2 barg' beside the day's 8.27."""
    content = composed(name, units)
    (sheet,) = [sheet for sheet in content.sheets if isinstance(sheet, Fill)]
    assert sheet.strip is not None
    day = {row[0]: row for row in sheet.strip.table.rows}
    places = 0 if units == "US" else 1
    met = [(row[1], day[row[0]][1]) for size in sheet.sizes for row in size.table.rows if row[0] in day]
    words = " ".join(words for sheet in content.sheets if isinstance(sheet, Steps) for words in strings(sheet))
    suspect = re.search(r"At ([\d.-]+) °[CF] a pressure higher than ([\d.]+)", words)
    assert suspect
    if suspect[1] in day:
        met.append((suspect[2], day[suspect[1]][-1]))
    assert met
    assert all(abs(float(coarse) - float(fine)) <= 0.5 * 10**-places + 1e-9 for coarse, fine in met)
