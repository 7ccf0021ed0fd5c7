"""All borders of a page are fitted together: a box is never taken for its neighbor, and blank paper for no box."""

import numpy as np
import numpy.typing as npt
import pytest

from packet.press import printed
from packet.scan.borders import find_borders
from packet.scan.lie import lie_of, shifted
from packet.scan.model import Box
from tests.scan import paper

Picture = npt.NDArray[np.uint8]

PITCH_MM = 6.6
COLUMN = tuple(Box(f"c{n}", 1, "check", 17.0, 60 + PITCH_MM * n, 4.6, 4.6) for n in range(12))
LIE = lie_of(np.diag([paper.PX_PER_MM, paper.PX_PER_MM, 1.0]))


def drawn(boxes: tuple[Box, ...] = COLUMN) -> Picture:
    page = np.full((3300, 2550), 250, np.uint8)
    for box in boxes:
        paper.outline(page, printed.PrintedBox(**{name: getattr(box, name) for name in Box.__slots__}))
    return page


@pytest.mark.parametrize("off_mm", [0.0, 1.5, -2.0])
def test_a_page_that_lies_off_is_found_with_every_box_at_its_own_border(off_mm: float) -> None:
    found = find_borders(drawn(), shifted(LIE, np.array([0.3, off_mm])), COLUMN, 6)
    for place in found.places:
        assert place is not None
        assert place.dx_mm == pytest.approx(-0.3, abs=0.15)
        assert place.dy_mm == pytest.approx(-off_mm, abs=0.15)


def test_with_few_marks_one_row_or_the_next_is_not_guessed() -> None:
    # two thirds of a row off: the next row's borders are nearer than the box's own, and only one box has none
    found = find_borders(drawn(), shifted(LIE, np.array([0.0, 0.66 * PITCH_MM])), COLUMN, 1)
    assert set(found.places) == {None}


def test_a_covered_box_is_not_taken_for_its_neighbor() -> None:
    page = drawn()
    box = COLUMN[5]
    px = paper.PX_PER_MM
    page[round((box.y_mm - 0.8) * px) : round((box.y_mm + 5.4) * px), : round(30 * px)] = 250
    found = find_borders(page, shifted(LIE, np.array([0.0, 1.0])), COLUMN, 6)
    assert [number for number, place in enumerate(found.places) if place is None] == [5]


@pytest.mark.parametrize("specks", [0, 1, 3, 40])
def test_blank_paper_has_no_border(specks: int) -> None:
    # on paper without a grain the correlation is nothing by nothing, which must not come out as something
    page = np.full((3300, 2550), 250, np.uint8)
    rng = np.random.default_rng(specks)
    page[rng.integers(600, 1600, specks), rng.integers(150, 320, specks)] = 249
    assert set(find_borders(page, LIE, COLUMN, 6).places) == {None}


def test_with_few_marks_print_that_looks_like_some_borders_is_none() -> None:
    # the page lies further off than is looked: there letters between two rules stand as the boxes do, at three of twelve
    page = np.full((3300, 2550), 250, np.uint8)
    for box in (COLUMN[2], COLUMN[3], COLUMN[7]):
        off = printed.PrintedBox("o", 1, "check", box.x_mm + 2.6, box.y_mm + 3.2, box.w_mm, box.h_mm, "")
        paper.outline(page, off)
    assert set(find_borders(page, LIE, COLUMN, 2).places) == {None}


def test_two_lone_boxes_on_a_page_without_marks_are_left_alone() -> None:
    few = COLUMN[:2]
    assert find_borders(drawn(few), LIE, few, 1).places == (None, None)
    assert None not in find_borders(drawn(few), LIE, few, 6).places
