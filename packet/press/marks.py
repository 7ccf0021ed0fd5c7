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

# Solid black squares at the two corners that neither staple nor code takes.
SQUARE_SIDE_MM = 4.0
SQUARE_FROM_EDGE_MM = 7.0


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


def qr_area(paper: Paper) -> Area:
    """The QR code with its quiet zone."""
    width, height = PAPER_MM[paper]
    return Area(width - QR_FROM_RIGHT_MM - QR_SIDE_MM, height - QR_FROM_BOTTOM_MM - QR_SIDE_MM, QR_SIDE_MM, QR_SIDE_MM)


def qr_symbol_area(paper: Paper, modules: int) -> Area:
    """The dark-and-light symbol itself, without the quiet zone; `modules` is its width (29, 33 or 37)."""
    whole = qr_area(paper)
    quiet = QR_SIDE_MM / (modules + 2 * QR_QUIET_MODULES) * QR_QUIET_MODULES
    return Area(whole.x_mm + quiet, whole.y_mm + quiet, whole.w_mm - 2 * quiet, whole.h_mm - 2 * quiet)


def registration_squares(paper: Paper) -> tuple[Area, Area]:
    """The squares: top right, bottom left."""
    width, height = PAPER_MM[paper]
    side, edge = SQUARE_SIDE_MM, SQUARE_FROM_EDGE_MM
    return Area(width - edge - side, edge, side, side), Area(edge, height - edge - side, side, side)
