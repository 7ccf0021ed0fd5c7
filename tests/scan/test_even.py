"""Paper made white: what lies beside the page and what is printed on it are not taken for the paper's own grain."""

import numpy as np
import numpy.typing as npt
import pytest

from packet.press.printed import PrintedBox
from packet.scan.even import evened
from packet.scan.lie import lie_of
from packet.scan.model import Box
from packet.scan.page import read_boxes
from tests.scan import paper, pen

Picture = npt.NDArray[np.uint8]

BOXES = tuple(Box(f"check.{n}", 1, "check", 15.0, 40 + 9.0 * n, 4.5, 4.1, f"Check {n}") for n in range(12))
SIDE_PX, TOP_PX = 450, 250
LIE = lie_of(np.array([[150 / 25.4, 0, SIDE_PX], [0, 150 / 25.4, TOP_PX], [0, 0, 1.0]]))


def on_a_table(darkness: float, grain: float, rng: np.random.Generator) -> Picture:
    """A page of close print on a dark table, every second box ticked with a pen of that darkness, seen from above."""
    sheet = np.full((3300, 2550), 255, np.uint8)
    for number, box in enumerate(BOXES):
        printed = PrintedBox(**{name: getattr(box, name) for name in Box.__slots__})
        paper.outline(sheet, printed)
        for line in range(2):
            paper.write(
                sheet, "Open the valve slowly and look at the gauge, then write", 26, box.y_mm + 3 + 4 * line, 1.1
            )
        if number % 2:
            for stroke in pen.tick(printed, rng):
                pen.draw(sheet, stroke, pen.Pen(0.5, darkness), paper.PX_PER_MM)
    small = sheet.reshape(1650, 2, 1275, 2).mean(axis=(1, 3)) * 0.9
    table = 90 + rng.normal(0, 20, (1650 + 2 * TOP_PX, 1275 + 2 * SIDE_PX))
    table[TOP_PX:-TOP_PX, SIDE_PX:-SIDE_PX] = small + rng.normal(0, grain, small.shape)
    return np.asarray(np.clip(table, 0, 255), np.uint8)


def test_the_table_beside_a_page_is_not_its_noise() -> None:
    assert evened(on_a_table(0.8, 2.0, np.random.default_rng(1)), LIE).noise < 0.03


@pytest.mark.parametrize("darkness", [0.3, 0.45, 0.8])
def test_a_faint_tick_on_a_page_on_a_table_is_never_read_as_empty(darkness: float) -> None:
    marks, _, _, _ = read_boxes(on_a_table(darkness, 2.0, np.random.default_rng(2)), LIE, BOXES, 6)
    assert [mark.mark for mark in marks[::2]] == ["empty"] * 6
    assert "empty" not in [mark.mark for mark in marks[1::2]]
    assert [mark.mark for mark in marks[1::2]].count("marked") >= (5 if darkness >= 0.45 else 0)


def test_where_the_grain_could_hide_a_pencil_nothing_is_said() -> None:
    marks, _, _, _ = read_boxes(on_a_table(0.3, 60.0, np.random.default_rng(3)), LIE, BOXES, 6)
    assert {mark.mark for mark in marks} == {"doubtful"}
    assert "the picture is too grainy there" in {mark.why for mark in marks}
