"""The QR code of a page: its address, its modules, its ink."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from packet.press.marks import (
    CORNERS,
    QR_QUIET_MODULES,
    QR_SIDE_MM,
    QR_SMALLEST_MODULE_MM,
    Area,
    Corner,
    Paper,
    qr_area,
    registration_squares,
)
from packet.words import t

POINTS_PER_MM = 72 / 25.4
# ISO/IEC 18004 table 7, from memory: what a version 5 symbol holds at level M in byte mode.
LONGEST_ADDRESS = 84


class AddressTooLong(Exception):  # noqa: N818 - named for what is wrong with the shop's address
    """The record's address does not fit the code at its size; the message says how long it may be."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """What every page of one print carries: the records' address, that of the job below it, and the revision.

    record: the job, with a secret the job and its letters (`packet.shop.addresses`).
    """

    records_url: str
    record: str
    revision: str
    paper: Paper

    def address(self, page: int) -> str:
        """The record's address for a page: `{records_url}/{record}/?p={page}&r={revision}`."""
        return f"{self.records_url.rstrip('/')}/{self.record}/?p={page}&r={self.revision}"


def modules(address: str, mask: int | None = None) -> list[list[bool]]:
    """The code's dark modules, row by row, quiet zone not included. Raises AddressTooLong.

    mask: the pattern to use, by default the best of the eight. A code tells its reader which it uses (ISO/IEC 18004),
    and looking for the best takes most of the time, so the pages of one print share one.
    """
    return both_corners(address, (mask,))[0]


def both_corners(address: str, masks: Sequence[int | None]) -> list[list[list[bool]]]:
    """The code's dark modules under each mask in turn; the data is worked out once. Raises AddressTooLong."""
    code = _code(address, None)
    code.best_fit()
    side = code.version * 4 + 17
    if QR_SIDE_MM / (side + 2 * QR_QUIET_MODULES) < QR_SMALLEST_MODULE_MM:
        raise _too_long(address)
    made = []
    for mask in masks:
        code.mask_pattern = mask
        code.make(fit=False)
        made.append([[bool(dark) for dark in row] for row in code.modules])
    return made


def corner_mask(best: int, corner: Corner) -> int:
    """The mask pattern of the code at a corner: the one at the top takes the next, so that a code says where it is."""
    return best if corner == "bottom" else (best + 1) % 8


@lru_cache(maxsize=1024)
def best_mask(address: str) -> int:
    """The mask pattern that reads best for an address. Raises AddressTooLong."""
    code = _code(address, None)
    code.best_fit()
    best: int = code.best_mask_pattern()
    return best


def _code(address: str, mask: int | None) -> Any:
    import qrcode

    if len(address.encode()) > LONGEST_ADDRESS:
        raise _too_long(address)
    code = qrcode.QRCode(error_correction=qrcode.constants.ERROR_CORRECT_M, border=0, mask_pattern=mask)
    code.add_data(address.encode(), optimize=0)
    return code


def _too_long(address: str) -> AddressTooLong:
    return AddressTooLong(
        t(
            "The record's address is too long for the code ({length} characters, {longest} fit): {address}",
            length=len(address),
            longest=LONGEST_ADDRESS,
            address=address,
        )
    )


def runs(rows: list[list[bool]]) -> list[tuple[int, int, int]]:
    """(row, first column, length) of every run of dark modules."""
    found = []
    for number, row in enumerate(rows):
        start = None
        for column, dark in enumerate([*row, False]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                found.append((number, start, column - start))
                start = None
    return found


def draw_marks(stream: Any, stamp: Stamp, page: int) -> None:
    """Draw the codes and the squares on a finished page's content stream, as an artifact (not part of the text).

    The stream's origin is the page's top left, in points, as WeasyPrint leaves it.
    """
    best = best_mask(stamp.address(1))
    with stream.artifact():
        stream.push_state()
        stream.set_color_rgb(0, 0, 0)
        for square in registration_squares(stamp.paper):
            _rectangle(stream, square)
        stream.fill()
        codes = both_corners(stamp.address(page), [corner_mask(best, corner) for corner in CORNERS])
        for corner, rows in zip(CORNERS, codes, strict=True):
            _code_at(stream, rows, qr_area(stamp.paper, corner))
        stream.pop_state()


def _code_at(stream: Any, rows: list[list[bool]], area: Area) -> None:
    module_mm = QR_SIDE_MM / (len(rows) + 2 * QR_QUIET_MODULES)
    left, top = area.x_mm + QR_QUIET_MODULES * module_mm, area.y_mm + QR_QUIET_MODULES * module_mm
    # one module is one unit of the drawing: whole numbers make a page a kilobyte shorter
    unit = round(module_mm * POINTS_PER_MM, 5)
    stream.push_state()
    stream.set_matrix(unit, 0, 0, unit, round(left * POINTS_PER_MM, 3), round(top * POINTS_PER_MM, 3))
    # as `pydyf.Stream.rectangle` writes them, all in one go
    stream.stream.append("\n".join(f"{column} {row} {length} 1 re" for row, column, length in runs(rows)))
    stream.fill()
    stream.pop_state()


def _rectangle(stream: Any, area: Area) -> None:
    # three decimals are a thousandth of a point; more would only make the file longer
    stream.rectangle(*(round(side * POINTS_PER_MM, 3) for side in (area.x_mm, area.y_mm, area.w_mm, area.h_mm)))
