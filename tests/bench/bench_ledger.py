"""Ledger and month over 2,000 and 20,000 filed jobs, in one run: at most 3 s for the larger, growing linearly.

Run by hand: python tests/bench/bench_ledger.py
The records are made by the program's own writer, sixteen months of jobs on 60 cylinders with a turn-in every twentieth
record; the shop's printed folder holds a print of each job.
"""

import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from functools import partial
from pathlib import Path

from packet.ledger import records
from packet.ledger.check import check_records
from packet.ledger.records import Filed, filed_folder, read_records
from packet.ledger.state import ledger
from packet.office.month.csv import month_csv
from packet.office.month.report import month_of
from packet.press.printed import printed_folder
from packet.shop.records import Cylinder, Month, Registers, Shop

GASES = ("R-22", "R-404A", "R-410A", "R-134a", "R-407C", "R-454B")
FIRST = date(2026, 1, 1)
TODAY = date(2027, 12, 31)


def registers() -> Registers:
    """Sixty cylinders, ten for each gas."""
    shop = Shop(
        company="Northside Cooling",
        phone="555-0100",
        emergency_phone="555-0101",
        records_url="https://records.example.com",
    )
    cylinders = tuple(
        Cylinder(
            id=f"C-{number}",
            spec="DOT-4BA400",
            water_capacity_lb=1000.0,
            tare_lb=380.0,
            tested=Month(year=2024, month=4),
            refrigerant=GASES[number % len(GASES)],
            contents_lb=12.5,
        )
        for number in range(60)
    )
    return Registers(shop=shop, cylinders=cylinders)


def body(number: int) -> tuple[str, str, dict[str, object]]:
    """The n-th record: kind, subject, body; a job's has the length of a real one."""
    cylinder, gas = f"C-{number % 60}", GASES[number % 60 % len(GASES)]
    day = (FIRST + timedelta(days=number // 50)).isoformat()
    if number % 20 == 19:
        moves = [{"cylinder": cylinder, "as": "reclaim", "moved_lb": "-7.3"}]
        return "turn-in", f"turn-in-{cylinder}", {"date": day, "time": "18:00", "to": "Basin Reclaim", "moves": moves}
    weight = Decimal(number % 97) / 10 + 3
    typed = {
        "inspected": "AS",
        "bare_before_gross_lb": "392.5",
        "bare_after_gross_lb": f"{Decimal('392.5') + weight}",
        "put_in_lb": f"{weight}",
        "pressure_after_standing_psig": "201",
        "wall_after_standing_F": "70",
    }
    job: dict[str, object] = {
        "date": day,
        "time": f"{8 + number % 9:02}:20",
        "filed_at": f"{day}T17:05:00+00:00",
        "revision": "ABCD2345",
        "site": f"Site {number % 400}",
        "address": "12 Mill Lane",
        "appliance": "walk-in cooler",
        "appliance_kind": "walk-in",
        "serial": f"W-{number}",
        "work": ("repair", "disposal")[number % 2],
        "truck": "T2",
        "machine": "RM-3",
        "scale": "SC-1",
        "charge_lb": f"{weight}",
        "technician": "A. Sample",
        "card": "U-1234-5",
        "times": {"start": "08:05", "end": "10:20"},
        "refrigerant": gas,
        "cautions_initialled": "yes",
        "hold_points_initialled": "yes",
        "cylinders": {cylinder: typed},
        "recovered_lb": f"{weight}",
        "final": {"gauge_inHg_vacuum": "10.5"},
        "rise": {"waited_minutes": "10", "gauge_inHg_vacuum": "10.4"},
        "machine_cleared": "yes",
        "valves_leak_checked": "yes",
        "tags_filled": "yes",
        "signatures": {"technician": "yes", "owner": "yes"},
        "recovered_by_scale_lb": f"{weight}",
        "moves": [
            {
                "cylinder": cylinder,
                "refrigerant": gas,
                "moved_lb": f"{weight}",
                "bare_before_gross_lb": "392.5",
                "bare_after_gross_lb": f"{Decimal('392.5') + weight}",
                "scale_step_lb": "0.1",
            }
        ],
        "form_digest": "4ed19c746acca35ef6f769cb600ee50a7585eaee8711441a00ee61d62639e3a4",
    }
    return "job", f"HP-{number}", job


def make(shop: Path, count: int) -> None:
    """A chain of `count` records, and a print's name for each job. Not synced: only reading is measured."""
    folder, prints = filed_folder(shop), printed_folder(shop)
    folder.mkdir(parents=True)
    prints.mkdir()
    previous: list[str] = []
    for number in range(1, count + 1):
        kind, subject, content = body(number)
        raw = records.compose(number, kind, subject, previous, content)
        item = records.parse(f"{number:06}-{subject}.json", raw)
        assert isinstance(item, Filed)
        previous = [item.digest]
        (folder / item.name).write_bytes(raw)
        if kind == "job":
            (prints / f"{subject}.ABCD2345.json").touch()


def seconds(work: Callable[[], object], times: int = 3) -> tuple[float, float]:
    """The fastest of a few runs: (on the clock, of the processor); the first suffers from whatever else is running."""
    clock, processor = float("inf"), float("inf")
    for _ in range(times):
        start, busy = time.perf_counter(), time.process_time()
        work()
        clock = min(clock, time.perf_counter() - start)
        processor = min(processor, time.process_time() - busy)
    return clock, processor


def main() -> None:
    """Print seconds for both sizes and their ratio."""
    own = registers()
    work: dict[str, Callable[[Path], object]] = {
        "read the records": read_records,
        "ledger": lambda shop: ledger(own, shop, TODAY),
        "month, with CSV": lambda shop: month_csv(month_of(own, shop, 2026, 6, today=TODAY)),
        "check the chain": check_records,
    }
    with tempfile.TemporaryDirectory() as place:
        shops = {count: Path(place) / str(count) for count in (2_000, 20_000)}
        for count, shop in shops.items():
            make(shop, count)
        print(f"{'':18}{'2,000':>20}{'20,000':>20}{'ratio':>8}   seconds on the clock / of the processor")
        for name, run in work.items():
            small, large = (seconds(partial(run, shop)) for shop in shops.values())
            figures = "".join(f"{clock:12.3f} /{processor:6.3f}" for clock, processor in (small, large))
            print(f"{name:18}{figures}{large[1] / small[1]:8.1f}")


if __name__ == "__main__":
    main()
