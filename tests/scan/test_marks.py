"""Three answers for a box, each for its reason. What a mark looks like is common practice, no source."""

from collections.abc import Callable
from functools import partial

import cv2
import numpy as np
import numpy.typing as npt
import pytest

from packet.press import printed
from packet.press.marks import Area
from packet.scan.borders import Place
from packet.scan.even import evened
from packet.scan.lie import Lie
from packet.scan.marks import COVERED, read_marks
from packet.scan.model import Box, BoxMark
from packet.scan.page import read_boxes
from tests.scan import paper, pen

Picture = npt.NDArray[np.uint8]
Draw = Callable[[Picture], None]

CHECKS = tuple(Box(f"check.{n}", 1, "check", 16.0, 40 + 7.6 * n, 5.2, 5.2, f"Check {n}") for n in range(8))
HOLD = Box("hold", 1, "initial", 138.0, 60.0, 17.6, 9.2, "Hold")
BOXES = (*CHECKS, HOLD)
TRIED = CHECKS[4]
X, Y = TRIED.x_mm, TRIED.y_mm
LIE = Lie(np.array([[150 / 25.4, 0, 0], [0, 150 / 25.4, 0], [0, 0, 1.0]]), 0, 0.0, 150.0)


def look(draw: Draw) -> dict[str, BoxMark]:
    """Every mark of a page on which `draw` has drawn, scanned straight at 150 dpi."""
    rng = np.random.default_rng(0)
    page = np.full((3300, 2550), 255, np.uint8)
    for box in BOXES:
        paper.outline(page, printed.PrintedBox(**{name: getattr(box, name) for name in Box.__slots__}))
        paper.write(page, "Open the valve slowly and look at the gauge", box.x_mm + 24, box.y_mm + 4, 0.8)
    draw(page)
    light = page.astype(np.float32)
    small = cv2.resize(light, (1275, 1650), interpolation=cv2.INTER_AREA)
    worn = np.asarray(small, np.float32) * 0.95 + rng.normal(0, 3, (1650, 1275))
    marks, _, _, _ = read_boxes(np.asarray(np.clip(worn, 0, 255), np.uint8), LIE, BOXES, 6)
    return {mark.key: mark for mark in marks}


def line(page: Picture, *points: tuple[float, float], width: float = 0.5, darkness: float = 0.9) -> None:
    pen.draw(page, np.array(points), pen.Pen(width, darkness), paper.PX_PER_MM)


def tick(page: Picture, **how: float) -> None:
    line(page, (X + 1.0, Y + 2.4), (X + 2.2, Y + 4.2), (X + 5.6, Y - 0.4), **how)


def torn(page: Picture) -> None:
    px = paper.PX_PER_MM
    page[round((Y - 2) * px) : round((Y + 7) * px), : round(30 * px)] = 255


def untouched(page: Picture) -> None:
    """Nothing was written."""
    assert page.shape == (3300, 2550)


def hold_loops(page: Picture, seed: int) -> None:
    rng = np.random.default_rng(seed)
    for stroke in pen.initials(
        printed.PrintedBox("h", 1, "initial", HOLD.x_mm, HOLD.y_mm, HOLD.w_mm, HOLD.h_mm, ""), rng
    ):
        pen.draw(page, stroke, pen.Pen(0.4, 0.7), paper.PX_PER_MM)


def hidden_further_off(page: Picture) -> None:
    """A crease through the box; a fat tick above and a rule and a bar below it hide that it runs on."""
    line(page, (X + 1.6, Y - 1.4), (X + 3.5, Y + 8), width=0.5, darkness=0.6)
    line(page, (X + 1.6, Y - 1.4), (X + 4.6, Y - 4.8), width=1.1, darkness=0.7)
    paper.fill(page, Area(X - 0.2, Y + 6.3, 12, 0.6))
    paper.fill(page, Area(X - 0.2, Y + 8.4, 30, 7))


def coffee(page: Picture) -> None:
    edge = np.ones(page.shape, np.float32)
    at = (round(38 * paper.PX_PER_MM), round(Y * paper.PX_PER_MM))
    cv2.circle(edge, at, round(18.5 * paper.PX_PER_MM), 0.7, round(3 * paper.PX_PER_MM))
    page[:] = np.asarray(page * cv2.GaussianBlur(edge, (0, 0), 5), np.uint8)


def test_untouched_boxes_are_empty() -> None:
    assert {mark.mark for mark in look(untouched).values()} == {"empty"}


@pytest.mark.parametrize("width", [0.25, 0.5, 1.1])
@pytest.mark.parametrize("darkness", [0.45, 1.0])
def test_a_tick_by_any_pen_is_a_mark_and_only_in_its_own_box(width: float, darkness: float) -> None:
    marks = look(lambda page: tick(page, width=width, darkness=darkness))
    assert marks.pop(TRIED.key).mark == "marked"
    assert {mark.mark for mark in marks.values()} == {"empty"}


def test_a_cross_and_a_slash_are_marks() -> None:
    def slash(page: Picture) -> None:
        line(page, (X + 0.6, Y + 4.8), (X + 4.8, Y + 0.4))

    def cross(page: Picture) -> None:
        slash(page)
        line(page, (X + 0.6, Y + 0.4), (X + 4.8, Y + 4.8), width=1.1)

    for draw in (slash, cross):
        assert look(draw)[TRIED.key].mark == "marked"


def test_initials_are_a_mark() -> None:
    for seed in range(5):
        marks = look(partial(hold_loops, seed=seed))
        assert marks.pop("hold").mark == "marked"
        assert {mark.mark for mark in marks.values()} == {"empty"}


@pytest.mark.parametrize(
    "draw",
    [
        lambda page: line(page, (X + 2.5, Y + 2.5), (X + 2.55, Y + 2.55), width=0.25),  # a speck
        coffee,  # the ring of a cup through the box
        lambda page: line(page, (X - 3, Y - 1.1), (X + 9, Y - 1.1)),  # a line above it
        lambda page: line(page, (X + 6.2, Y + 1), (X + 20, Y + 3)),  # a note beside it
    ],
    ids=["speck", "coffee", "line above", "note beside"],
)
def test_what_is_not_a_mark_leaves_it_empty(draw: Draw) -> None:
    assert look(draw)[TRIED.key].mark == "empty"


@pytest.mark.parametrize(
    ("draw", "why"),
    [
        (lambda page: line(page, (X + 2.2, Y + 2.4), (X + 3.2, Y + 2.9)), "too little ink"),
        (lambda page: tick(page, width=0.4, darkness=0.18), "too little ink"),
        (lambda page: line(page, (X + 0.5, Y + 2.6), (X + 4.7, Y + 2.7)), "a dash"),
        (lambda page: line(page, (X - 4, Y + 2.6), (X + 12, Y + 2.8)), "a straight line"),
        (lambda page: line(page, (X + 2.0, Y + 12), (X + 3.0, Y + 2.2)), "a straight line"),
        (lambda page: line(page, (X + 2.3, Y + 0.5), (X + 2.7, Y + 4.7)), "a dash"),
        (lambda page: line(page, (X + 2.7, -20), (X + 2.9, 270), width=0.25), "a straight line"),
        (lambda page: line(page, (X - 20, Y - 17), (X + 30, Y + 28), width=0.3, darkness=0.5), "a straight line"),
        (lambda page: line(page, (X - 1.9, Y + 8.3), (X + 7.0, Y - 1.0), width=0.4, darkness=0.5), "a straight line"),
        (hidden_further_off, "a straight line"),
        (lambda page: line(page, *((X + 5.2 * (n % 2), Y + n / 4) for n in range(21))), "too dark"),
        (lambda page: paper.fill(page, Area(X - 3, Y - 3, 12, 12)), "border"),
        (torn, "border"),
    ],
    ids=[
        "short stroke",
        "faint tick",
        "dash",
        "struck through",
        "from below",
        "upright dash",
        "dirt",
        "crease",
        "crease that ends shortly beyond the box",
        "crease hidden further off",
        "scribbled over",
        "blot",
        "torn off",
    ],
)
def test_what_could_be_either_is_doubtful_and_says_why(draw: Draw, why: str) -> None:
    mark = look(draw)[TRIED.key]
    assert mark.mark == "doubtful"
    assert why in mark.why


@pytest.mark.parametrize("at_mm", [4.0, 8.8, 15.0])
def test_dirt_through_a_box_to_initial_is_no_initials(at_mm: float) -> None:
    def dirt(page: Picture) -> None:
        line(page, (HOLD.x_mm + at_mm, 5), (HOLD.x_mm + at_mm + 1, 270), width=0.25)

    mark = look(dirt)["hold"]
    assert (mark.mark, mark.why) == ("doubtful", "a straight line runs through it")


def test_two_stripes_of_dirt_side_by_side_are_no_mark() -> None:
    def dirt(page: Picture) -> None:
        for at in (0.0, 1.5):
            line(page, (HOLD.x_mm + 8 + at, 5), (HOLD.x_mm + 8 + at, 270), width=0.25)

    assert look(dirt)["hold"].mark == "doubtful"


@pytest.mark.parametrize(("pale", "apart_mm", "width_mm"), [(0.3, 0.6, 0.45), (0.4, 0.7, 0.45), (0.5, 0.7, 0.35)])
def test_two_stripes_so_close_that_they_touch_are_no_tick(pale: float, apart_mm: float, width_mm: float) -> None:
    def dirt(page: Picture) -> None:
        for x, darkness in ((X + 2.2, pale), (X + 2.2 + apart_mm, 0.9)):
            line(page, (x, Y + 0.2), (x, 270), width=width_mm, darkness=darkness)

    mark = look(dirt)[TRIED.key]
    assert (mark.mark, mark.why) == ("doubtful", "a straight line runs through it")


def test_dirt_that_ends_in_a_box_to_initial_is_no_initials() -> None:
    mark = look(lambda page: line(page, (HOLD.x_mm + 8, 5), (HOLD.x_mm + 8, HOLD.y_mm + 7), width=0.25))["hold"]
    assert (mark.mark, mark.why) == ("doubtful", "a straight line runs through it")


def test_a_mark_beside_a_line_is_still_a_mark() -> None:
    def both(page: Picture) -> None:
        tick(page)
        hold_loops(page, 1)
        line(page, (X + 2.7, 5), (X + 2.9, 270), width=0.25)
        line(page, (HOLD.x_mm + 8, 5), (HOLD.x_mm + 8, 270), width=0.25)

    marks = look(both)
    assert marks[TRIED.key].mark == marks["hold"].mark == "marked"


def test_a_check_mark_with_a_long_leg_is_a_mark() -> None:
    marks = look(lambda page: line(page, (X + 1.0, Y + 2.4), (X + 2.2, Y + 4.2), (X + 8.0, Y - 5)))
    assert marks[TRIED.key].mark == "marked"


def test_half_a_box_torn_off_is_not_empty() -> None:
    def torn_through(page: Picture) -> None:
        page[:, : round((X + 2.0) * paper.PX_PER_MM)] = 255

    mark = look(torn_through)[TRIED.key]
    assert (mark.mark, mark.why) == ("doubtful", "its border could not be found")


def test_letters_between_two_rules_are_no_border() -> None:
    # "Op" between the rules of two lines, where a box is thought to stand: a round side and a half one
    page = np.full((3300, 2550), 255, np.uint8)
    middle = X + 1.6, Y + TRIED.h_mm / 2
    round_side = [
        (middle[0] + 1.15 * np.cos(turn), middle[1] + 1.45 * np.sin(turn)) for turn in np.linspace(0, 6.3, 40)
    ]
    line(page, *round_side, width=0.4)
    line(page, (X + 4.9, Y + 1.6), (X + 4.9, Y + 4.3), width=0.4)
    for y in (Y + 0.1, Y + TRIED.h_mm - 0.1):
        line(page, (X - 9, y), (X + 30, y), width=0.3)
    small = np.asarray(cv2.resize(page, (1275, 1650), interpolation=cv2.INTER_AREA), np.uint8)
    (mark,) = read_marks(evened(small, LIE), LIE, [TRIED], [Place(0.0, 0.0, 0.46)])
    assert (mark.mark, mark.why) == ("doubtful", COVERED)


def test_a_box_that_is_not_on_the_scan_is_doubtful() -> None:
    page = np.full((200, 1275), 245, np.uint8)
    marks, _, _, _ = read_boxes(page, LIE, BOXES, 6)
    assert {(mark.mark, mark.why) for mark in marks} == {("doubtful", "it is not on the scan")}
