"""Reading a damaged code soundly: its fixed modules are painted in again, and its check digits have the last word.

Two ways, in this order.

1. The modules are sampled where the symbol lies, finder squares, timing and format bits are put in as they must be,
   and the code library reads that clean picture. It satisfies Reed-Solomon's check digits or it is not read.
2. The modules are compared with the codes of pages that may be in this stack. Two different codes of one size agree
   in at most k - 1 codewords of a block (k data codewords; the code's distance is n - k + 1), so a page whose printed
   codewords are found unharmed in more than k places of every block is that page: twice the damage that decoding
   without a list can undo, and a page that is not on the list cannot be taken for one that is.
"""

from collections.abc import Iterator, Sequence

import cv2
import numpy as np
import zxingcpp

from packet.press.code import modules
from packet.scan import locate as scan_locate
from packet.scan import symbol as scan_symbol
from packet.scan.address import PrintedNames, address_texts, mask_of_print
from packet.scan.code import Code, Window, printed
from packet.scan.image import Picture
from packet.scan.locate import Place
from packet.scan.model import Address
from packet.scan.symbol import Modules

# Codewords that must agree beyond the k - 1 that another code can share: chance makes one of 256 alike.
BEYOND_SHARED = 3
# Below this the fixed modules do not show a code; a 150-dpi scan's blur leaves them about 0.3 to 0.4 of full contrast.
LEAST_AGREEMENT = 0.22
_QR = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])


def restore(windows: Sequence[Window], sizes: frozenset[int], candidates: Sequence[str] = ()) -> Code | None:
    """The code on a page whose code could not be read plainly, None when nothing sound can be said.

    windows: where on the page it may lie. sizes: widths in modules of the codes that were printed. candidates: addresses of pages that may be in the stack.
    """
    for window in windows:
        module_px = scan_locate.module_sizes(sizes, window.px_per_mm)
        for place in scan_locate.places(window.view, module_px):
            if place.agreement < LEAST_AGREEMENT:
                break
            read = [_dark(window.view, place, way) for way in range(2)]
            text = next((text for grid in read if (text := _decoded(grid))), "")
            if not text:
                text = next((text for grid in read if (text := matched(grid, candidates))), "")
            if text:
                corners = window.on_picture(_corners(place))
                return Code(text, corners, read[0], restored=True)
    return None


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


def matched(read: Modules, candidates: Sequence[str]) -> str:
    """The one address among `candidates` whose codewords are there beyond doubt; empty when there is none."""
    size = len(read)
    _, _, data_count = scan_symbol.codeword_places(size)
    least = data_count - 1 + BEYOND_SHARED
    sure = {
        address
        for address in candidates
        for shown in printed(address, mask_of_print(address))
        if len(shown) == size and min(scan_symbol.same_codewords(read, shown)) >= least
    }
    return sure.pop() if len(sure) == 1 else ""


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


def _corners(place: Place) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    size = float(place.size)
    inner = np.array([(0.0, 0.0, 1.0), (size, 0.0, 1.0), (size, size, 1.0), (0.0, size, 1.0)])
    return np.asarray(inner @ place.affine.T, np.float64)
