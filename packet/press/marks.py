"""Where the marks stand on every page: the QR code and the registration squares, in mm from the page's top left.

The press draws them there and the scan desk looks for them there, so the numbers are written once, here.
"""

from dataclasses import dataclass
from typing import Literal

Paper = Literal["letter", "A4"]

# width, height in mm: ANSI Letter is 8.5 x 11 in; A4 is ISO 216.
PAPER_MM: dict[Paper, tuple[float, float]] = {"letter": (215.9, 279.4), "A4": (210.0, 297.0)}

# The whole code, its quiet zone included. 20 mm holds 45 modules of 0.444 mm: a version 5 symbol (37) and 2 x 4.
QR_SIDE_MM = 20.0
QR_QUIET_MODULES = 4
QR_SMALLEST_MODULE_MM = 0.44
QR_FROM_RIGHT_MM = 9.0
QR_FROM_BOTTOM_MM = 7.0
QR_FROM_TOP_MM = 6.0

# The same code stands at two corners, so that a page is known with either of them torn off. The top left one is the
# staple's; the bottom left one would go with a bottom edge that a feeder cuts or a wet truck floor takes.
Corner = Literal["bottom", "top"]
CORNERS: tuple[Corner, ...] = ("bottom", "top")

# Solid black squares in the margins: with the codes they show how a page that a phone took lies, and how it is folded.
# Off the staple and its fold, and off the holes of binders (middles 12 mm from the edge; ISO 838: 40 mm above and
# below the middle of the page; US three-hole: at the middle and 108 mm from it, from memory).
SQUARE_SIDE_MM = 4.0
SQUARE_FROM_EDGE_MM = 7.0
LEFT_SQUARES_MM = (52.0, 158.0)
RIGHT_SQUARE_MM = 144.0


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle on the page, mm from the page's top left."""

    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float

    @property
    def center_mm(self) -> tuple[float, float]:
        """Its middle."""
        return self.x_mm + self.w_mm / 2, self.y_mm + self.h_mm / 2


def qr_area(paper: Paper, corner: Corner = "bottom") -> Area:
    """The QR code at the right of a page's foot or head, with its quiet zone."""
    width, height = PAPER_MM[paper]
    top = QR_FROM_TOP_MM if corner == "top" else height - QR_FROM_BOTTOM_MM - QR_SIDE_MM
    return Area(width - QR_FROM_RIGHT_MM - QR_SIDE_MM, top, QR_SIDE_MM, QR_SIDE_MM)


def qr_symbol_area(paper: Paper, modules: int, corner: Corner = "bottom") -> Area:
    """The dark-and-light symbol itself, without the quiet zone; `modules` is its width (29, 33 or 37)."""
    whole = qr_area(paper, corner)
    quiet = QR_SIDE_MM / (modules + 2 * QR_QUIET_MODULES) * QR_QUIET_MODULES
    return Area(whole.x_mm + quiet, whole.y_mm + quiet, whole.w_mm - 2 * quiet, whole.h_mm - 2 * quiet)


def registration_squares(paper: Paper) -> tuple[Area, ...]:
    """The squares: bottom left, the left margin from the top down, the right margin."""
    width, height = PAPER_MM[paper]
    side, edge = SQUARE_SIDE_MM, SQUARE_FROM_EDGE_MM
    left = tuple(Area(edge, top, side, side) for top in LEFT_SQUARES_MM)
    return Area(edge, height - edge - side, side, side), *left, Area(width - edge - side, RIGHT_SQUARE_MM, side, side)
