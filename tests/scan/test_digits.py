"""Written numbers: read sign by sign, held against sums and expectations, proposed with a picture or left blank."""

from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pytest

from packet.press.printed import PrintRecord
from packet.scan.digits.comb import number_of
from packet.scan.digits.net import likelihoods
from packet.scan.digits.shape import normalized
from packet.scan.lie import lie_of
from packet.scan.model import Address, Box, Filed, SortedPage, Written
from packet.scan.office_page import write_page
from packet.scan.page import read_boxes
from packet.scan.proposals import SURE, Proposal, proposals
from packet.scan.report import report_text
from packet.scan.sort import sort
from tests.scan import digit_records, digits, paper, pen, scanner

Picture = npt.NDArray[np.uint8]

FORMS = {"weight": "ddd.d", "pressure": "ddd", "temperature": "-ddd", "time": "dd:dd"}
COMBS = {name: digits.comb(name, 1, 30.0, 40.0 + 20 * row, form) for row, (name, form) in enumerate(FORMS.items())}
LIE = lie_of(np.diag([150 / 25.4, 150 / 25.4, 1.0]))


@pytest.mark.parametrize(
    ("form", "signs", "text"),
    [
        ("ddd.d", "0635", "63.5"),
        ("ddd.d", " 635", "63.5"),
        ("ddd.d", "   5", "0.5"),
        ("ddd.d", "  05", "0.5"),
        ("ddd", "12 ", "12"),
        ("ddd", " 12", "12"),
        ("ddd", "000", "0"),
        ("-ddd", "- 12", "-12"),
        ("-ddd", "  12", "12"),
        ("dd:dd", "0745", "07:45"),
    ],
)
def test_signs_make_a_number_of_the_combs_form(form: str, signs: str, text: str) -> None:
    assert number_of(form, [sign.strip() for sign in signs]) == (text, "")


@pytest.mark.parametrize(
    ("form", "signs", "why"),
    [
        ("ddd.d", "    ", "nothing is written"),
        ("ddd.d", "6 35", "a cell between is empty"),
        ("ddd.d", "63  ", "a cell between is empty"),
        ("dd:dd", " 745", "a cell between is empty"),
        ("dd:dd", "2575", "no such time"),
        ("-ddd", "-   ", "nothing is written"),
    ],
)
def test_signs_that_make_no_number_say_why(form: str, signs: str, why: str) -> None:
    text, said = number_of(form, [sign.strip() for sign in signs])
    assert text == ""
    assert why in said


def sheet(written: dict[str, str], seed: int = 0) -> Picture:
    """A print of the four combs, written into."""
    page = np.full((3300, 2550), 255, np.uint8)
    rng = np.random.default_rng(seed)
    for name, box in COMBS.items():
        digits.draw_comb(page, box)
        digits.write_in(page, box, written.get(name, " " * sum(sign in "d-" for sign in box.form)),
                        digits.block_hand(rng), rng)  # fmt: skip
    return page


def read(page: Picture, wear: scanner.Wear | None = None) -> dict[str, Written]:
    boxes = [Box(box.key, 1, "blank", box.x_mm, box.y_mm, box.w_mm, box.h_mm, "", box.form) for box in COMBS.values()]
    picture = scanner.scan(page, wear or scanner.Wear(noise=2), np.random.default_rng(3), paper.PX_PER_MM)
    _, written, _, _ = read_boxes(picture, LIE, boxes, 6)
    return {item.key: item for item in written}


def test_block_digits_are_read() -> None:
    found = read(sheet({"weight": " 635", "pressure": "187", "temperature": "- 24", "time": "0930"}))
    assert {name: item.text for name, item in found.items()} == {
        "weight": "63.5", "pressure": "187", "temperature": "-24", "time": "09:30",
    }  # fmt: skip


def test_every_digit_is_told_from_the_others() -> None:
    read_right = 0
    for seed in range(4):
        found = read(sheet({"weight": "0123", "pressure": "456", "time": "1700", "temperature": " 489"}, seed))
        read_right += sum(
            found[name].text == text for name, text in (("weight", "12.3"), ("pressure", "456"), ("temperature", "489"))
        )
    assert read_right >= 9


def unseen_hands() -> digits.Signs:
    """500 of MNIST's test digits (LeCun and Cortes, CC BY-SA 3.0; license from memory), every 20th, whose writers the
    training never saw; the table of all 10,000: tests/bench/bench_digits.py."""
    with np.load(Path(__file__).parent / "written.npz") as kept:
        signs, names = kept["signs"].astype(np.float32) / np.float32(255), kept["names"]
    return {digit: list(signs[names == int(digit)]) for digit in "0123456789"}


def test_digits_of_hands_that_nobody_learned_from_are_read_or_left() -> None:
    hand, rng = unseen_hands(), np.random.default_rng(2026)
    read = [item for _ in range(3) for item in digits.page_of(hand, rng)]
    sure = [(meant, item) for meant, item in read if item.text and item.sureness >= SURE]
    right = sum(digits.plain(meant) == digits.plain(item.text) for meant, item in sure)
    assert len(read) == 240
    assert right == len(sure)
    assert right >= 0.8 * len(read)


def test_whole_records_of_such_hands_are_proposed_or_left() -> None:
    hand, rng = unseen_hands(), np.random.default_rng(2026)
    meant_and_said = [
        (meant, proposed[key].value)
        for _ in range(2)
        for record, proposed, _ in digit_records.filed(rng, hand)
        for key, (_, meant) in record.numbers.items()
    ]
    said = [(meant, value) for meant, value in meant_and_said if value]
    assert all(digit_records.is_right(meant, value) for meant, value in said)
    assert len(said) >= 0.9 * len(meant_and_said)


def test_empty_combs_are_empty_and_dirt_is_no_digit() -> None:
    assert {item.why for item in read(sheet({})).values()} == {"nothing is written in it"}
    box = COMBS["pressure"]
    wear = scanner.Wear(noise=2, dirt_at_mm=((box.x_mm + 9.0, box.y_mm), (box.x_mm + 15.0, box.y_mm)))
    found = read(sheet({}), wear)["pressure"]
    assert (found.text, found.why) == ("", "a straight line runs through it")


def test_ones_below_one_another_are_no_stripe() -> None:
    page = np.full((3300, 2550), 255, np.uint8)
    rng = np.random.default_rng(5)
    stacked = [digits.comb(str(row), 1, 30.0, 40.0 + 8.98 * row, "ddd") for row in range(3)]  # as on the Record
    for box in stacked:
        digits.draw_comb(page, box)
        for cell in range(3):  # an upright stroke as long as a hand makes it
            x = box.x_mm + box.w_mm * (cell + 0.5) / 3
            pen.draw(page, np.array([(x, box.y_mm + 1.1), (x, box.y_mm + 6.9)]), pen.Pen(0.5, 0.9), paper.PX_PER_MM)
    boxes = [Box(box.key, 1, "blank", box.x_mm, box.y_mm, box.w_mm, box.h_mm, "", box.form) for box in stacked]
    written = digits.scanned(page, boxes, rng)
    assert [item.text for item in written] == ["111"] * 3


def test_what_is_crossed_out_is_not_read() -> None:
    page = sheet({"pressure": "187"})
    box = COMBS["pressure"]
    line = np.array([(box.x_mm + 6.6, box.y_mm + 1), (box.x_mm + 11.4, box.y_mm + 7)])
    mirrored = line[::-1] * (-1, 1) + (2 * box.x_mm + 18, 0)
    for points in (line, mirrored, line + np.array([1.0, -0.5])):
        pen.draw(page, points, pen.Pen(0.5, 1.0), paper.PX_PER_MM)
    found = read(page)["pressure"]
    assert found.text == "" or found.sureness < SURE


def test_likelihoods_are_shares() -> None:
    sign = normalized(digits.block_hand(np.random.default_rng(0))("7"))
    assert sign is not None
    shares = likelihoods(sign[None])
    assert shares.shape == (1, 11)
    assert shares.sum(axis=-1) == pytest.approx(1.0, abs=1e-5)
    assert normalized(np.zeros((40, 40), np.float32)) is None


# what a print expects: before 33.5, net 22.0, after 55.5, never above 65.8
PLAN = {
    "cylinders": [
        {
            "id": "C-118",
            "expected_bare_gross_lb": 33.5,
            "planned_lb": 22.0,
            "planned_gross_lb": 55.5,
            "limit_gross_lb": 65.8,
        }
    ]
}
KEYS = {"before": "bare_before_gross_lb", "net": "put_in_lb", "after": "bare_after_gross_lb"}


def proposed(texts: dict[str, str], sureness: float = 0.95) -> dict[str, Proposal]:
    """What is proposed where that was read: before, net, after, total, start, end."""
    keys = {name: f"cylinders.C-118.{key}" for name, key in KEYS.items()}
    keys |= {"total": "recovered_lb", "start": "times.start", "end": "times.end"}
    written = tuple(
        Written(keys[name], 1, name, "dd.d", text, sureness, "", 10, 10, 18.6, 8) for name, text in texts.items()
    )
    page = SortedPage(Address("HP-1", 1, "ABCDEFG2"), "a.pdf #1", "d", 0, 0.0, 150.0, written=written)
    record = PrintRecord.__new__(PrintRecord)
    object.__setattr__(record, "plan", PLAN)
    object.__setattr__(record, "boxes", ())
    found = proposals(Filed("HP-1", "ABCDEFG2", Path("x.pdf"), (page,), 0, (), ()), record)
    return {name: found[keys[name]] for name in texts}


def test_weights_that_add_up_are_proposed_with_their_source() -> None:
    found = proposed({"before": "33.5", "net": "21.8", "after": "55.3", "total": "21.8"})
    assert {name: item.value for name, item in found.items()} == {
        "before": "33.5", "net": "21.8", "after": "55.3", "total": "21.8",
    }  # fmt: skip
    assert (found["net"].page, found["net"].source, found["net"].how) == (1, "a.pdf #1", "digits")


def test_a_sum_makes_less_sure_digits_sure_enough_and_nothing_else_does() -> None:
    assert proposed({"before": "33.5", "net": "21.8", "after": "55.3"}, 0.5)["net"].value == "21.8"
    # a sum that is off by a last digit says nothing of last digits
    off = {"before": "33.5", "net": "21.8", "after": "55.4"}
    assert {item.why for item in proposed(off, 0.9).values()} == {"a digit is not sure"}
    assert proposed(off, 0.995)["after"].value == "55.4"
    alone = proposed({"before": "33.5", "net": "21.8"}, 0.5)
    assert [(item.value, item.why) for item in alone.values()] == [("", "a digit is not sure")] * 2
    assert proposed({"start": "07:30", "end": "09:00"}, 0.5)["start"].value == ""


@pytest.mark.parametrize(
    ("texts", "why"),
    [
        ({"before": "33.5", "net": "21.8", "after": "53.3"}, "before and net do not make after"),
        ({"before": "13.5"}, "far from what was expected"),
        ({"after": "66.0"}, "above the cylinder's limit"),
        ({"net": "21.8", "total": "27.8"}, "the nets do not make the total"),
        ({"start": "09:30", "end": "07:40"}, "the end is before the start"),
    ],
)
def test_what_does_not_hold_stays_blank_and_says_why(texts: dict[str, str], why: str) -> None:
    found = proposed(texts)
    last = found[list(texts)[-1]]
    assert (last.value, last.why) == ("", why)


def test_a_sorted_packet_has_a_page_with_the_picture_of_every_number(tmp_path: Path) -> None:
    keys = ("recovered_lb", "start.standing_psig", "start.temperature_F", "times.start")
    combs = [replace(box, page=6, key=key) for box, key in zip(COMBS.values(), keys, strict=True)]
    elsewhere = [
        digits.comb("times.end", 5, 30.0, 40.0, "dd:dd"),
        replace(digits.comb("go.time", 6, 30.0, 120.0, "dd:dd"), label="time"),  # no blank of the form
    ]
    record = paper.print_job(tmp_path / "shop", "HP-1042", "MNOPQRS4", combs=[*combs, *elsewhere])
    page = paper.draw_page(replace(record, boxes=()), 6)
    page[round(35 * paper.PX_PER_MM) : round(112 * paper.PX_PER_MM), round(20 * paper.PX_PER_MM) : round(190 * paper.PX_PER_MM)] = 255  # fmt: skip
    rng = np.random.default_rng(0)
    for box in combs:
        digits.draw_comb(page, box)
    digits.write_in(page, combs[1], "187", digits.block_hand(rng), rng)
    cv2.imwrite(str(tmp_path / "a.png"), scanner.scan(page, scanner.Wear(noise=2, skew_deg=2), rng, paper.PX_PER_MM))
    report = sort([tmp_path / "a.png"], tmp_path / "shop", tmp_path / "out", paper.RECORDS_URL)
    (packet,) = report.filed
    assert packet.pages[0].written[1].text == "187"
    where = tmp_path / "out" / "scans" / "HP-1042.MNOPQRS4.html"
    assert f"Numbers read, each beside its picture: {where}" in report_text(report)
    html = where.read_text("utf-8")
    assert html.count("data:image/png;base64,") == 4
    assert "187" in html
    assert html.count("its page is missing") == 1
    assert "go." not in html
    assert "<script" not in html
    assert "default-src &#39;none&#39;; style-src &#39;sha256-" in html
    assert "img-src data:" in html
    assert write_page(replace(packet, pages=()), {}) is None
    # read from a page of an older print that counts: its picture is in that print's file
    newer = replace(packet, revision="NEWERAA2", path=packet.path.with_name("x.pdf"), pages=(), from_older=packet.pages)
    written = write_page(newer, proposals(newer, record))
    assert written is not None
    assert written.read_text("utf-8").count("data:image/png;base64,") == 4


def test_numbers_of_a_page_put_by_hand_are_said_to_be_for_a_person(tmp_path: Path) -> None:
    combs = [digits.comb("times.end", page, 30.0, 40.0, "dd:dd") for page in (5,)]
    record = paper.print_job(tmp_path / "shop", "HP-1042", "MNOPQRS4", combs=combs)
    page = SortedPage(Address("HP-1042", 5, "MNOPQRS4"), "a.pdf #1", "d", 0, 0.0, 150.0)
    found = proposals(Filed("HP-1042", "MNOPQRS4", Path("x.pdf"), (page,), 0, (), ()), record)
    assert (found["times.end"].value, found["times.end"].why) == ("", "the page was put here by hand")
