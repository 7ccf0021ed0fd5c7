"""Damaged codes: restored where that is sound, and otherwise left alone."""

import numpy as np
import pytest
import qrcode

from packet.press.code import Stamp, modules
from packet.press.marks import qr_area
from packet.scan import code as scan_code
from packet.scan import symbol as scan_symbol
from packet.scan.code import Code, windows_with_code
from packet.scan.image import Picture
from packet.scan.restore import Reading, decoded, listed, matched, readings
from tests.scan import paper, pen, scanner

PRINTED = [Stamp(paper.RECORDS_URL, job, "ABCDEFG2", "letter") for job in ("HP-1041", "HP-1042")]
ADDRESSES = [stamp.address(page) for stamp in PRINTED for page in range(1, 10)]
SIZES = frozenset({len(modules(ADDRESSES[0]))})
LISTED = listed(ADDRESSES)


def _restored(picture: Picture) -> Code | None:
    """The damaged code of a page, decoded or else known among the pages listed."""
    read = list(readings(windows_with_code(picture), SIZES))
    return next(filter(None, map(decoded, read)), None) or matched(read, LISTED)


@pytest.mark.parametrize("version", range(1, 6))
def test_fixed_modules_and_codewords_stand_where_the_code_library_puts_them(version: int) -> None:
    for mask in scan_symbol.MASKS:
        code = qrcode.QRCode(
            version=version, mask_pattern=mask, error_correction=qrcode.constants.ERROR_CORRECT_M, border=0
        )
        code.add_data(b"vapor" * version, optimize=0)
        code.make(fit=False)
        drawn = np.array(code.modules, bool)
        grid = scan_symbol.fixed(len(drawn), mask)
        known = grid != scan_symbol.DATA
        assert (drawn[known] == (grid[known] == scan_symbol.DARK)).all()
        # the first codeword starts with the mode (byte mode, 0100) once the mask is taken off
        places, blocks, data = scan_symbol.codeword_places(len(drawn))
        unmask = qrcode.util.mask_func(mask)
        bare = drawn ^ np.array([[unmask(y, x) for x in range(len(drawn))] for y in range(len(drawn))])
        assert bare.ravel()[places][0][:4].tolist() == [False, True, False, False]
        # ISO/IEC 18004 table 9, level M, from memory: codewords, blocks, data codewords a block
        assert (len(places), blocks, data) == {
            1: (26, 1, 16), 2: (44, 1, 28), 3: (70, 1, 44), 4: (100, 2, 32), 5: (134, 2, 43),
        }[version]  # fmt: skip


def _scan_with_scrawl(
    rng: np.random.Generator, strokes: int
) -> tuple[str, np.ndarray[tuple[int, ...], np.dtype[np.uint8]]]:
    """A page whose code has thick black strokes through two of its finder squares; its address."""
    page = np.full((3300, 2550), 255, np.uint8)
    address = ADDRESSES[int(rng.integers(len(ADDRESSES)))]
    paper.draw_code(page, address, "letter")
    area = qr_area("letter")
    for _ in range(strokes):
        ends = np.array(
            [
                (area.x_mm + 2 + rng.uniform(0, 5), area.y_mm + 2 + rng.uniform(0, 5)),
                (area.x_mm + rng.uniform(0, 20), area.y_mm + 18 - rng.uniform(0, 4)),
            ]
        )
        pen.draw(page, pen.curve(ends, rng, 0.2), pen.Pen(0.7, 1.0), paper.PX_PER_MM)
    wear = scanner.Wear(skew_deg=float(rng.uniform(-5, 5)), quarter_turns=int(rng.integers(4)), noise=3)
    return address, scanner.scan(page, wear, rng, paper.PX_PER_MM)


def test_codes_whose_corners_are_written_over_are_restored() -> None:
    rng = np.random.default_rng(4)
    plainly = restored = 0
    for _ in range(12):
        address, picture = _scan_with_scrawl(rng, 2)
        plainly += bool(scan_code.read(picture))
        code = _restored(picture)
        if code is not None:
            assert code.text == address
            restored += 1
    assert restored >= 11
    assert plainly < restored  # what the plain way reads is not what makes this test pass


def test_matching_needs_more_codewords_than_two_codes_can_share() -> None:
    rng = np.random.default_rng(8)
    by_decoding = by_matching = 0
    for damaged in (10, 14, 16, 18, 24, 40, 60):
        for _ in range(12):
            address = ADDRESSES[int(rng.integers(len(ADDRESSES)))]
            read = np.array(modules(address), bool)
            places, blocks, data = scan_symbol.codeword_places(len(read))
            for block in range(blocks):
                harmed = rng.permutation(len(places) // blocks)[: damaged // blocks] * blocks + block
                read.ravel()[places[harmed]] ^= rng.random((len(harmed), 8)) < 0.6
            reading = Reading(np.zeros((4, 2)), (read,))
            answer = matched([reading], LISTED)
            assert answer is None or answer.text == address
            by_matching += answer is not None
            assert matched([reading], listed(item for item in ADDRESSES if item != address)) is None
            by_decoding += damaged // blocks <= (len(places) // blocks - data) // 2
    assert by_matching > by_decoding  # it goes further than half the distance, which is all that decoding can


def test_noise_and_text_are_no_code() -> None:
    rng = np.random.default_rng(2)
    noise = np.asarray(rng.integers(0, 256, (1650, 1275)), np.uint8)
    assert _restored(noise) is None
    text = np.full((3300, 2550), 255, np.uint8)
    for line in range(60):
        paper.write(text, "liquid vapor suction discharge gross net tare " * 2, 12, 10 + 4.4 * line, 0.9)
    scanned = scanner.scan(text, scanner.Wear(noise=3), rng, paper.PX_PER_MM)
    assert _restored(scanned) is None


def test_a_code_half_torn_off_is_not_guessed() -> None:
    rng = np.random.default_rng(3)
    page = np.full((3300, 2550), 255, np.uint8)
    paper.draw_code(page, ADDRESSES[0], "letter")
    area = qr_area("letter")
    page[round((area.y_mm + 10) * paper.PX_PER_MM) :] = 255
    picture = scanner.scan(page, scanner.Wear(noise=2), rng, paper.PX_PER_MM)
    assert _restored(picture) is None
    assert scan_code.read(picture) == ()
    assert scan_code.read_hard(windows_with_code(picture)) == ()
