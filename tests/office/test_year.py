"""A year of generated filings: each month's report against the same year added up by hand, in fractions."""

import csv
import io
import random
from collections import defaultdict
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from packet.ledger.check import check_records
from packet.ledger.state import ledger
from packet.office.month.csv import month_csv
from packet.office.month.report import month_of

from .by_hand import contents_kg
from .year import CYLINDERS, GASES, OPENING, YEAR, Year, by_hand


@pytest.mark.parametrize("seed", [2026])
def test_every_month_of_a_year_is_what_a_pencil_makes_of_it(tmp_path: Path, seed: int) -> None:
    year = Year(tmp_path, random.Random(seed))
    year.live(jobs_a_month=8)
    assert check_records(tmp_path) == ()
    assert len(year.happened) > 100
    wanted = by_hand(year)
    for month in range(1, 13):
        report = month_of(year.registers, tmp_path, YEAR, month, today=date(YEAR + 1, 1, 1))
        told = {item.gas: item for item in report.gases}
        for gas in GASES:
            mine, its = wanted[month, gas], told.get(gas)
            assert its is not None or mine.held == 0
            if its is None:
                continue
            assert Fraction(its.opening_kg) == mine.opening, (month, gas)
            assert Fraction(its.recovered_kg) == mine.recovered, (month, gas)
            assert Fraction(-its.reclaim_kg) == mine.reclaimed, (month, gas)
            assert Fraction(its.adjusted_kg) == mine.other, (month, gas)
            assert Fraction(its.held_kg) == mine.held, (month, gas)
        assert told.keys() <= set(GASES)
        held: dict[str, Fraction] = defaultdict(Fraction)
        for row in csv.DictReader(io.StringIO(month_csv(report))):
            if row["how"] == "held":
                held[row["refrigerant"]] += Fraction(row["exact_kg"])
        assert dict(held) == {gas: wanted[month, gas].held for gas in GASES if wanted[month, gas].held}
    # and the files alone, by a third route
    tonight = ledger(year.registers, tmp_path, date(YEAR + 1, 1, 1)).states
    opening = {name: str(float(lb)) for name, lb in OPENING.items()}
    files = contents_kg(tmp_path, opening, dict.fromkeys(CYLINDERS, "27.5"))
    assert {name: Fraction(tonight[name].ledger_kg) for name in CYLINDERS} == files
    assert all(kg >= 0 for kg in files.values())
