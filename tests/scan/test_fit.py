"""Straightening: every point of the page comes back to within half a millimeter, however the page lay."""

from pathlib import Path

import numpy as np
import pytest

from packet.press.code import best_mask
from packet.press.marks import PAPER_MM, registration_squares
from packet.scan import code as scan_code
from packet.scan import fit as scan_fit
from packet.scan.address import printed_names
from packet.scan.model import Address, SortedPage, Source
from packet.scan.page import Desk, read_page
from tests.scan import paper, scanner, stack

CORNERS_MM = np.array([(10.0, 10.0), (205.0, 10.0), (10.0, 268.0), (205.0, 268.0), (108.0, 140.0)])


def _true_px(wear: scanner.Wear, picture_shape: tuple[int, ...]) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Where the scanner without its random shift puts the points: the page turned about its middle."""
    px_per_mm = wear.dpi / 25.4
    angle = np.radians(wear.skew_deg)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    middle = np.array(PAPER_MM["letter"]) / 2
    across = (CORNERS_MM - middle) @ turn.T * px_per_mm * np.array([1.0, wear.stretch])
    quarter = np.array([[0.0, -1.0], [1.0, 0.0]])
    for _ in range(wear.quarter_turns):
        across = across @ quarter.T
    return np.asarray(across + np.array(picture_shape[1::-1]) / 2, np.float64)


@pytest.mark.parametrize(
    "wear",
    [
        scanner.Wear(),
        scanner.Wear(skew_deg=4.9, noise=5, jpeg_quality=50),
        scanner.Wear(skew_deg=-4.9, quarter_turns=2, noise=5, stretch=1.006),
        scanner.Wear(skew_deg=2.0, quarter_turns=1),
        scanner.Wear(skew_deg=-2.0, quarter_turns=3, dpi=200),
    ],
)
def test_the_page_is_found_to_half_a_millimeter(wear: scanner.Wear, tmp_path: Path) -> None:
    record = paper.print_job(tmp_path, "HP-1041", "ABCDEFG2")
    picture = scanner.scan(paper.draw_page(record, 7), wear, np.random.default_rng(1), paper.PX_PER_MM)
    code = scan_code.read(picture)[0]
    corner = scan_code.corner_of(code, best_mask(code.text.replace("p=7", "p=1")))
    rough = scan_fit.lie_from_code(code, corner, "letter", picture)
    lie = scan_fit.lie_with_squares(rough, corner, "letter", picture)
    assert lie.turned_deg == 90 * wear.quarter_turns
    assert lie.skew_deg == pytest.approx(wear.skew_deg, abs=0.05)
    assert lie.dpi == pytest.approx(wear.dpi, rel=0.005)
    off_px = lie.px(CORNERS_MM) - _true_px(wear, picture.shape)
    off_px -= off_px.mean(axis=0)  # the scanner shifts the page by up to a millimeter, which is not known here
    assert np.abs(off_px).max() / (wear.dpi / 25.4) < 0.5


def test_without_squares_the_boxes_settle_it(tmp_path: Path) -> None:
    record = paper.print_job(tmp_path / "shop", "HP-1041", "ABCDEFG2")
    picture = paper.draw_page(record, 5)
    for square in registration_squares("letter"):
        left, top = round((square.x_mm - 1) * paper.PX_PER_MM), round((square.y_mm - 1) * paper.PX_PER_MM)
        picture[max(0, top) : top + 80, max(0, left) : left + 80] = 255
    rng = np.random.default_rng(5)
    made = stack.scan_picture(
        tmp_path, picture, record, 5, wear=scanner.Wear(skew_deg=3, noise=4, quarter_turns=2), rng=rng
    )
    names = printed_names(paper.RECORDS_URL, tmp_path / "shop" / "printed")
    read = read_page(Source(made.path, 1), Desk(names, tmp_path / "shop" / "printed", tmp_path, frozenset({33})))
    assert isinstance(read.page, SortedPage)
    assert read.page.address == Address("HP-1041", 5, "ABCDEFG2")
    right = [mark for mark in read.page.marks if mark.mark == ("marked" if made.meant[mark.key] else "empty")]
    assert len(right) >= 0.95 * len(read.page.marks)
    wrong = [mark for mark in read.page.marks if mark not in right and mark.mark != "doubtful"]
    assert wrong == []


def test_a_page_map_is_told_from_nonsense() -> None:
    turn = np.array([[5.9, -0.1, 4.0], [0.1, 5.9, 9.0]])
    assert scan_fit.is_page_like(turn)
    assert not scan_fit.is_page_like(turn * np.array([[1], [-1]]))  # mirrored
    assert not scan_fit.is_page_like(turn * np.array([[1], [1.2]]))  # uneven
    assert not scan_fit.is_page_like(np.array([[5.9, 0.8, 0], [0.0, 5.9, 0]]))  # sheared


def test_a_similarity_and_an_affine_map_are_recovered() -> None:
    rng = np.random.default_rng(0)
    points = rng.uniform(0, 200, (6, 2))
    turn = np.array([[3.0, -4.0, 7.0], [4.0, 3.0, -2.0]])
    assert scan_fit.similarity(points, points @ turn[:, :2].T + turn[:, 2]) == pytest.approx(turn)
    bent = np.array([[3.0, -4.1, 7.0], [4.0, 3.3, -2.0]])
    assert scan_fit.affine_fit(points, points @ bent[:, :2].T + bent[:, 2]) == pytest.approx(bent)
