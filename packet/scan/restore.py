"""Reading a damaged code soundly: its fixed modules are painted in again, and its check digits have the last word.

The modules are read once, where a symbol may lie (`readings`), and then told in two ways.

1. (`decoded`) The modules are sampled where the symbol lies, finder squares, timing and format bits are put in as they must be,
   and the code library reads that clean picture. It satisfies Reed-Solomon's check digits or it is not read.
2. (`matched`) The modules are compared with the codes of pages that may be in this stack. Two different codes of one size agree
   in at most k - 1 codewords of a block (k data codewords; the code's distance is n - k + 1), so a page whose printed
   codewords are found unharmed in more than k places of every block is that page: twice the damage that decoding
   without a list can undo, and a page that is not on the list cannot be taken for one that is.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
import zxingcpp

from packet.press.code import modules
from packet.scan import locate as scan_locate
from packet.scan import symbol as scan_symbol
from packet.scan.address import PrintedNames, address_texts, mask_of_print
from packet.scan.code import Code, Corners, Window, printed
from packet.scan.image import Picture
from packet.scan.locate import Place
from packet.scan.model import Address
from packet.scan.symbol import Modules

# Codewords that must agree beyond the k - 1 that another code can share: chance makes one of 256 alike.
BEYOND_SHARED = 3
# Below this the fixed modules do not show a code; a 150-dpi scan's blur leaves them about 0.3 to 0.4 of full contrast.
LEAST_AGREEMENT = 0.22
_QR = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """What stands where a symbol may lie: its corners on the picture, and its modules as two ways of telling dark from
    light have them."""

    corners: Corners
    modules: tuple[Modules, ...]

    def code(self, text: str) -> Code:
        """The code that it turned out to be."""
        return Code(text, self.corners, self.modules[0], restored=True)


@dataclass(frozen=True, slots=True, eq=False)
class Listed:
    """The printed codes of pages that may be in the stack, by their width in modules: (whose each is, codes x codewords)."""

    by_size: Mapping[int, tuple[npt.NDArray[np.str_], npt.NDArray[np.uint8]]]


def readings(windows: Sequence[Window], sizes: frozenset[int]) -> Iterator[Reading]:
    """What is read where a symbol may lie, the likeliest first.

    windows: where on the page that is. sizes: widths in modules of the codes that were printed.
    """
    for window in windows:
        module_px = scan_locate.module_sizes(sizes, window.px_per_mm)
        for place in scan_locate.places(window.view, module_px):
            if place.agreement < LEAST_AGREEMENT:
                break
            read = tuple(_dark(window.view, place, way) for way in range(2))
            yield Reading(window.on_picture(_corners(place)), read)


def decoded(reading: Reading) -> Code | None:
    """The code that a reading is, its check digits satisfied; None when they are not."""
    text = next((text for grid in reading.modules if (text := _decoded(grid))), "")
    return reading.code(text) if text else None


def listed(addresses: Iterable[str]) -> Listed:
    """The codes of the pages at these addresses, at both corners."""
    by_size: dict[int, list[tuple[str, npt.NDArray[np.uint8]]]] = {}
    for address in addresses:
        for shown in printed(address, mask_of_print(address)):
            by_size.setdefault(len(shown), []).append((address, scan_symbol.codewords(shown)))
    return Listed(
        {
            size: (np.array([text for text, _ in codes]), np.array([word for _, word in codes]))
            for size, codes in by_size.items()
        }
    )


def matched(readings: Iterable[Reading], pages: Listed) -> Code | None:
    """The first of a page's readings that is one of `pages` and no other beyond doubt; None when there is none."""
    for reading in readings:
        for grid in reading.modules:
            if text := _matched(grid, pages):
                return reading.code(text)
    return None


def _matched(grid: Modules, pages: Listed) -> str:
    if len(grid) not in pages.by_size:
        return ""
    texts, words = pages.by_size[len(grid)]
    _, blocks, data_count = scan_symbol.codeword_places(len(grid))
    same = words == scan_symbol.codewords(grid)
    fewest = np.min([same[:, block::blocks].sum(axis=1) for block in range(blocks)], axis=0)
    sure = set(texts[fewest >= data_count - 1 + BEYOND_SHARED])
    return str(sure.pop()) if len(sure) == 1 else ""


def code_sizes(names: PrintedNames) -> frozenset[int]:
    """How many modules wide the printed codes are: it follows from how long their addresses are."""
    tried = (
        text
        for job in names.revisions
        for page in (1, 10)
        for text in address_texts(Address(job, page, "A" * 8), names)
    )
    by_length = {len(text): text for text in tried}
    return frozenset(len(modules(text)) for text in by_length.values())


def _dark(view: Picture, place: Place, way: int) -> Modules:
    """Which modules are dark: against the middle between light and dark around them, or against their mean."""
    light = scan_locate.sample(view, place.affine, place.size)
    if way == 0:
        kernel = np.ones((7, 7), np.uint8)
        middle = (cv2.dilate(light, kernel) + cv2.erode(light, kernel)) / 2
        return np.asarray(light < cv2.blur(middle, (5, 5)), bool)
    # a copier's blur makes a lone module gray: sharpened against its neighbors it stands out again
    sharp = light + 0.6 * (light - cv2.GaussianBlur(light, (0, 0), 0.8))
    return np.asarray(sharp < cv2.blur(light, (9, 9)), bool)


def _decoded(read: Modules) -> str:
    """What the code says once its fixed modules are as they must be; empty when its check digits are not satisfied."""
    for mask in _masks_by_likeness(read):
        grid = scan_symbol.fixed(len(read), mask)
        whole = np.where(grid == scan_symbol.DATA, read, grid == scan_symbol.DARK)
        clean = np.pad(np.where(whole, 0, 255).astype(np.uint8), 4, constant_values=255)
        large = cv2.resize(clean, None, fx=4, fy=4, interpolation=cv2.INTER_NEAREST)
        for item in zxingcpp.read_barcodes(np.asarray(large), formats=_QR, try_rotate=False, try_invert=False):
            if item.valid:
                return str(item.text)
    return ""


def _masks_by_likeness(read: Modules) -> Iterator[int]:
    """The data masks, the one whose format bits agree best with what was read first."""
    bare = scan_symbol.fixed(len(read), None) == scan_symbol.DATA

    def differing(mask: int) -> int:
        grid = scan_symbol.fixed(len(read), mask)
        of_format = bare & (grid != scan_symbol.DATA)
        return int((read[of_format] != (grid[of_format] == scan_symbol.DARK)).sum())

    return iter(sorted(scan_symbol.MASKS, key=differing)[:3])


def _corners(place: Place) -> Corners:
    size = float(place.size)
    inner = np.array([(0.0, 0.0, 1.0), (size, 0.0, 1.0), (size, size, 1.0), (0.0, size, 1.0)])
    return np.asarray(inner @ place.affine.T, np.float64)
