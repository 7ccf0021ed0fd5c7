"""Generated filings as a pen leaves them: weights that add up, times, pressures, temperatures, each in its comb."""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from packet.press.printed import PrintRecord
from packet.scan.model import Address, Box, Filed, SortedPage, Written
from packet.scan.proposals import Proposal, proposals
from tests.scan import digits

# Records on a sheet, one below the other; rows and columns of combs that one of them takes.
A_SHEET, ROWS, COLUMNS = 4, 5, 4
STEP_MM = 12.0


@dataclass(frozen=True, slots=True)
class Record:
    """One filing: each number by its key with its comb's form, and what the print expected of the cylinders."""

    numbers: dict[str, tuple[str, str]]  # key: (form, number as it is meant)
    cylinders: tuple[dict[str, object], ...]


def record(rng: np.random.Generator) -> Record:
    """A job with one or two cylinders: what the technician wrote is what happened, near what was planned."""
    heavy = bool(rng.random() < 0.3)
    weight = "ddd.d" if heavy else "dd.d"
    cylinders = []
    numbers: dict[str, tuple[str, str]] = {}
    total = 0
    for number in range(int(rng.integers(1, 3))):
        bare, planned = (int(value) for value in rng.integers((600, 200) if heavy else (250, 40), (1400, 900) if heavy else (480, 300)))  # fmt: skip
        before = bare + int(rng.normal(0, 2))
        net = max(5, planned - int(abs(rng.normal(0, 0.06 * planned))))
        total += net
        cylinders.append(
            {
                "id": f"C-{number}",
                "expected_bare_gross_lb": bare / 10,
                "planned_lb": planned / 10,
                "planned_gross_lb": (bare + planned) / 10,
                "limit_gross_lb": (bare + planned) / 10 + 10,
            }
        )
        start = f"cylinders.C-{number}."
        tenths = {"bare_before_gross_lb": before, "put_in_lb": net, "bare_after_gross_lb": before + net}
        numbers |= {start + key: (weight, f"{value / 10:.1f}") for key, value in tenths.items()}
        numbers[start + "pressure_after_standing_psig"] = ("ddd", str(rng.integers(40, 400)))
        numbers[start + "wall_after_standing_F"] = ("-ddd", str(rng.integers(8, 118)))
    numbers["recovered_lb"] = (weight, f"{total / 10:.1f}")
    began = int(rng.integers(6 * 60, 15 * 60))
    for key, minute in (
        ("go.time", began - int(rng.integers(5, 60))),
        ("times.start", began),
        ("times.end", began + int(rng.integers(20, 300))),
    ):
        numbers[key] = ("dd:dd", f"{minute // 60:02}:{minute % 60:02}")
    numbers["start.standing_psig"] = ("ddd", str(rng.integers(20, 400)))
    numbers["start.temperature_F"] = ("-ddd", str(rng.integers(8, 118)))
    numbers["final.gauge_inHg_vacuum"] = ("dd.d", f"{rng.integers(0, 280) / 10:.1f}")
    numbers["rise.waited_minutes"] = ("ddd", str(rng.integers(5, 61)))
    numbers["rise.gauge_inHg_vacuum"] = ("dd.d", f"{rng.integers(0, 280) / 10:.1f}")
    return Record(numbers, tuple(cylinders))


def signs_of(form: str, number: str, rng: np.random.Generator) -> str:
    """How a number is put into a comb's cells, one sign a cell: before it nothing, or now and then zeros."""
    cells = sum(sign in "d-" for sign in form)
    digits_only = "".join(sign for sign in number if sign.isdigit())
    fill = "0" if ":" in form or (form[0] == "d" and rng.random() < 0.2) else " "
    return digits_only.rjust(cells, fill)


def filed(
    rng: np.random.Generator, hand: digits.Signs
) -> list[tuple[Record, dict[str, Proposal], tuple[Written, ...]]]:
    """A sheet of records written by one hand and scanned: what was meant, what is proposed, what was read."""
    sheet = np.full((3300, 2550), 255, np.uint8)
    made = [record(rng) for _ in range(A_SHEET)]
    boxes = []
    for at, one in enumerate(made):
        for place, (key, (form, number)) in enumerate(one.numbers.items()):
            x, y = 18 + 46 * (place % COLUMNS), 20 + STEP_MM * (at * ROWS + place // COLUMNS)
            box = digits.comb(f"{at}:{key}", 1, x, y, form)
            digits.draw_comb(sheet, box)
            digits.write_in(sheet, box, signs_of(form, number, rng), digits.pen_of(hand, rng), rng)
            boxes.append(Box(box.key, 1, "blank", box.x_mm, box.y_mm, box.w_mm, box.h_mm, "", box.form))
    read = digits.scanned(sheet, boxes, rng)
    found = []
    for at, one in enumerate(made):
        mine = tuple(replace(item, key=item.key.partition(":")[2]) for item in read if item.key.startswith(f"{at}:"))
        found.append((one, proposed(one, mine), mine))
    return found


def proposed(one: Record, read: tuple[Written, ...]) -> dict[str, Proposal]:
    """What the desk proposes where that was read."""
    page = SortedPage(Address("HP-1", 1, "ABCDEFG2"), "a.pdf #1", "d", 0, 0.0, 150.0, written=read)
    print_record = PrintRecord.__new__(PrintRecord)
    object.__setattr__(print_record, "plan", {"cylinders": list(one.cylinders)})
    object.__setattr__(print_record, "boxes", ())
    return proposals(Filed("HP-1", "ABCDEFG2", Path("x.pdf"), (page,), 0, (), ()), print_record)


def is_right(meant: str, value: str) -> bool:
    """Whether that is the number that was meant."""
    return value == meant if ":" in meant else bool(value) and float(value) == float(meant)
