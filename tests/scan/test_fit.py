"""Straightening: every point of the page comes back to within half a millimeter, however the page lay."""

from pathlib import Path

import cv2
import numpy as np
import pytest

from packet.press.code import best_mask
from packet.press.marks import CORNERS, PAPER_MM, Corner, qr_area, registration_squares
from packet.scan import code as scan_code
from packet.scan import fit as scan_fit
from packet.scan import lie as scan_lie
from packet.scan.address import printed_names
from packet.scan.model import Address, SortedPage, Source
from packet.scan.page import Desk, read_page
from tests.scan import damage, paper, pen, phone, scanner, stack

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
    lie, seen = scan_fit.lie_from_marks([scan_fit.Sighting(code, corner)], "letter", picture)
    assert seen == 5  # the one code and all four squares
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
    turn = np.array([[5.9, -0.1, 4.0], [0.1, 5.9, 9.0], [0, 0, 1.0]])
    assert scan_lie.is_page_like(turn)
    assert not scan_lie.is_page_like(turn * np.array([[1], [-1], [1]]))  # mirrored
    assert not scan_lie.is_page_like(turn * np.array([[1], [1.5], [1]]))  # uneven
    assert not scan_lie.is_page_like(np.array([[5.9, 2.8, 0], [0.0, 5.9, 0], [0, 0, 1.0]]))  # sheared
    assert not scan_lie.is_page_like(np.array([[5.9, 0, 0], [0, 5.9, 0], [0, -0.003, 1.0]]))  # seen from along it


def test_a_similarity_is_recovered() -> None:
    points = np.random.default_rng(0).uniform(0, 200, (6, 2))
    turn = np.array([[3.0, -4.0, 7.0], [4.0, 3.0, -2.0]])
    assert scan_lie.similarity(points, points @ turn[:, :2].T + turn[:, 2]) == pytest.approx(turn)


@pytest.mark.parametrize("quarter", range(4))
def test_a_page_seen_from_aside_is_recovered_from_its_marks(quarter: int) -> None:
    rng = np.random.default_rng(quarter)
    width, height = PAPER_MM["letter"]
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)])
    seen = np.roll(corners, -quarter, axis=0) * 8 + rng.uniform(-0.05, 0.05, (4, 2)) * (width * 8, height * 8)
    true = np.asarray(cv2.getPerspectiveTransform(corners.astype(np.float32), seen.astype(np.float32)), np.float64)
    marks = np.array([area.center_mm for area in registration_squares("letter")])
    for corner in CORNERS:
        area = qr_area("letter", corner)
        marks = np.vstack([marks, [(area.x_mm, area.y_mm), (area.x_mm + 20, area.y_mm + 20)]])
    found = scan_lie.fitted(marks, scan_lie.projected(true, marks), np.full(len(marks), 0.1))
    off_px = scan_lie.projected(found, CORNERS_MM) - scan_lie.projected(true, CORNERS_MM)
    assert np.abs(off_px).max() < 0.3 * 8  # 0.3 mm


@pytest.mark.parametrize("seed", [21, 23])
def test_a_lone_code_seen_from_aside_leads_to_squares_far_from_where_it_puts_them(seed: int, tmp_path: Path) -> None:
    rng = np.random.default_rng(seed)
    sheet = paper.draw_page(paper.print_job(tmp_path, "HP-1041", "ABCDEFG2"), 5)
    damage.scribble(sheet, qr_area("letter", "bottom"), rng, paper.PX_PER_MM)
    picture = phone.shoot(sheet, phone.Shot(), rng, paper.PX_PER_MM)
    (code,) = scan_code.read(picture)
    corner = scan_code.corner_of(code, best_mask(code.text.replace("p=5", "p=1")))
    _, seen = scan_fit.lie_from_marks([scan_fit.Sighting(code, corner)], "letter", picture)
    assert seen == 5  # from the code and the nearest square alone, the left margin's are over 9 mm off


@pytest.mark.parametrize("lost", ["top", "bottom"])
def test_a_page_taken_by_a_phone_is_found_from_either_code(lost: Corner, tmp_path: Path) -> None:
    record = paper.print_job(tmp_path / "shop", "HP-1041", "ABCDEFG2")
    names = printed_names(paper.RECORDS_URL, tmp_path / "shop" / "printed")
    desk = Desk(names, tmp_path / "shop" / "printed", tmp_path, frozenset({33}))
    for seed in range(3):
        rng = np.random.default_rng(seed)
        sheet = paper.draw_page(record, 5)
        damage.scribble(sheet, qr_area("letter", lost), rng, paper.PX_PER_MM)
        meant = pen.fill_in(sheet, [box for box in record.boxes if box.page == 5], rng, paper.PX_PER_MM)
        cv2.imwrite(str(tmp_path / "shot.png"), phone.shoot(sheet, phone.some_shot(rng), rng, paper.PX_PER_MM))
        read = read_page(Source(tmp_path / "shot.png", 1), desk)
        assert isinstance(read.page, SortedPage)
        assert read.page.address == Address("HP-1041", 5, "ABCDEFG2")
        sure = [mark for mark in read.page.marks if mark.mark != "doubtful"]
        assert all(mark.mark == ("marked" if meant[mark.key] else "empty") for mark in sure)
        assert len(sure) >= 0.9 * len(read.page.marks)
