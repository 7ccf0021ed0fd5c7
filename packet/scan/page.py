"""One scanned page from start to end: load, find and check its code, straighten, read its boxes.

This is what a worker process does; what it returns is small, the straightened picture goes to a file.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np

from packet.press.marks import PAPER_MM
from packet.press.printed import PrintRecord, PrintRecordError, file_of, in_order
from packet.scan import code as scan_code
from packet.scan import fit as scan_fit
from packet.scan import image as scan_image
from packet.scan import lie as scan_lie
from packet.scan import marks as scan_marks
from packet.scan.address import PrintedNames, Refused, agreed, mask_of_print, parse
from packet.scan.borders import find_borders
from packet.scan.code import Code, Window
from packet.scan.digits.comb import read_combs
from packet.scan.even import evened
from packet.scan.fit import Sighting
from packet.scan.glass import ink_of
from packet.scan.image import Loaded, Picture
from packet.scan.lie import Lie
from packet.scan.model import BY_HAND, Address, Box, BoxMark, Ink, LoosePage, PageRead, SortedPage, Source, Written
from packet.scan.restore import Reading, decoded, readings
from packet.words import t

# A filed page keeps the scan's resolution within these: readable in print, modest in size.
LOWEST_FILED_DPI = 150.0
HIGHEST_FILED_DPI = 200.0
JPEG_QUALITY = 70
LOOSE_JPEG_QUALITY = 85


@dataclass(frozen=True, slots=True)
class Desk:
    """What every page is held against. staging: where straightened pictures go until they are filed.
    code_sizes: widths in modules of the codes that were printed."""

    names: PrintedNames
    printed_folder: Path
    staging: Path
    code_sizes: frozenset[int]


def read_page(source: Source, desk: Desk, code: Code | None = None, by_hand: Address | None = None) -> PageRead:
    """Read one page. code: what stands on it, for a page read once before whose code was too damaged to decode. by_hand:
    the page that a person says it is.

    Never raises for what is on the page or in the file: that is a LoosePage with its reason."""
    cv2.setNumThreads(1)  # pages are shared out among processes; threads on top only get in each other's way
    try:
        loaded = scan_image.load(source)
    except scan_image.UnreadableScanError as error:
        return PageRead(source, LoosePage(str(source), "", "file-unreadable", str(error)), None)
    picture, unread = loaded.picture, list[Reading]()
    codes = _codes(loaded, desk, unread) if code is None else (code,)
    found = agreed((item.text for item in codes), desk.names)
    if by_hand is not None:
        if isinstance(found, Address) and found != by_hand:
            found = Refused("says-otherwise", f"{found.job} {found.revision} p{found.page}")
        elif not isinstance(found, Address):
            return _put(source, picture, by_hand, desk)
    if isinstance(found, Address):
        try:
            record = _record(desk.printed_folder, found)
        except PrintRecordError as error:
            found = Refused("printed-unreadable", str(error))
        else:
            if found.page <= len(record.pages):
                ours = [item for item in codes if parse(item.text, desk.names) == found]
                return _sorted(source, picture, ours, found, desk)
            found = Refused("no-such-page", f"{found.job} {found.revision} p{found.page}")
    if found is None:
        found = Refused("no-code" if unread or not scan_code.is_blank(picture) else "blank", "")
    kept = _stage(picture, desk, source, LOOSE_JPEG_QUALITY)
    loose = LoosePage(str(source), scan_image.digest(picture), found.kind, found.detail)
    return PageRead(source, loose, kept, unread=tuple(unread) if found.kind == "no-code" else ())


def _codes(loaded: Loaded, desk: Desk, unread: list[Reading]) -> tuple[Code, ...]:
    """The codes on the page, looked for harder only where the plain way finds none of ours. unread: takes what was
    looked at and not decoded."""
    codes = scan_code.read(loaded.picture)
    found = agreed((code.text for code in codes), desk.names)
    # another maker's label may be read where ours, beside it, needs a closer look
    if (found is None and not scan_code.is_blank(loaded.picture)) or _is_foreign(found):
        for more in _harder(loaded, desk, unread):
            codes = (*codes, more)
            if not _is_foreign(agreed((code.text for code in codes), desk.names)):
                break
    return codes


def _is_foreign(found: Address | Refused | None) -> bool:
    return isinstance(found, Refused) and found.kind == "foreign-code"


def _harder(loaded: Loaded, desk: Desk, unread: list[Reading]) -> Iterator[Code]:
    """Codes found the hard ways, one after the other, the likeliest way first."""
    windows = scan_code.windows_with_code(loaded.picture)
    if not windows:
        return
    yield from _restored(windows, desk, unread)
    yield from scan_code.read_hard(windows)
    colors = loaded.in_color()
    if colors is not None:
        share = max(colors.shape) / max(loaded.picture.shape)
        yield from _restored(scan_code.windows_without_color(colors, windows, share), desk, unread)


def _restored(windows: Sequence[Window], desk: Desk, unread: list[Reading]) -> Iterator[Code]:
    """The first damaged code in the windows that can be decoded."""
    for reading in readings(windows, desk.code_sizes):
        if code := decoded(reading):
            yield code
            return
        unread.append(reading)


def _sorted(source: Source, picture: Picture, codes: Sequence[Code], address: Address, desk: Desk) -> PageRead:
    record = _record(desk.printed_folder, address)
    mask = mask_of_print(codes[0].text)
    sightings = [Sighting(code, scan_code.corner_of(code, mask)) for code in codes]
    lie, marks_seen = scan_fit.lie_from_marks(sightings, record.paper, picture)
    marks, written, off_mm, ink = read_boxes(picture, lie, boxes_on(record, address.page), marks_seen)
    size_mm = PAPER_MM[record.paper]
    dpi = min(max(round(lie.dpi), LOWEST_FILED_DPI), HIGHEST_FILED_DPI)
    kept = _stage(scan_lie.straighten(picture, lie, size_mm, dpi), desk, source, JPEG_QUALITY)
    page = SortedPage(
        address,
        str(source),
        scan_image.digest(picture),
        lie.turned_deg,
        round(lie.skew_deg, 2),
        round(lie.dpi, 1),
        all(code.restored for code in codes),
        None if off_mm is None else round(off_mm, 2),
        marks,
        written=written,
    )
    return PageRead(source, page, kept, size_mm, ink)


def _put(source: Source, picture: Picture, address: Address, desk: Desk) -> PageRead:
    """A page that a person says whose it is: kept as it lies, and every box on it is for a person, too."""
    record = _record(desk.printed_folder, address)
    size_mm = PAPER_MM[record.paper]
    px_per_mm = min(picture.shape[1] / size_mm[0], picture.shape[0] / size_mm[1])
    lie = scan_lie.lie_of(np.diag([px_per_mm, px_per_mm, 1.0]))
    dpi = min(max(round(lie.dpi), LOWEST_FILED_DPI), HIGHEST_FILED_DPI)
    kept = _stage(scan_lie.straighten(picture, lie, size_mm, dpi), desk, source, JPEG_QUALITY)
    marks = tuple(
        BoxMark(box.key, box.page, box.kind, box.label, "doubtful", why=BY_HAND)
        for box in boxes_on(record, address.page)
        if not box.form
    )
    digest = scan_image.digest(picture)
    page = SortedPage(address, str(source), digest, 0, 0.0, round(lie.dpi, 1), marks=marks)
    return PageRead(source, page, kept, size_mm)


def read_boxes(
    picture: Picture, lie: Lie, boxes: Sequence[Box], marks_seen: int
) -> tuple[tuple[BoxMark, ...], tuple[Written, ...], float | None, Ink | None]:
    """(a mark for each box to tick or initial, what is written in each comb, how far all of them stood off where `lie`
    puts them: mm, root mean square, the page's ink). marks_seen: how many codes and squares `lie` rests on."""
    if not boxes:
        return (), (), None, None
    even = evened(picture, lie)
    borders = find_borders(even.picture, lie, boxes, marks_seen)
    placed = list(zip(boxes, borders.places, strict=True))
    ticks, combs = ([item for item in placed if bool(item[0].form) is is_comb] for is_comb in (False, True))
    marks = scan_marks.read_marks(even, lie, [box for box, _ in ticks], [place for _, place in ticks])
    written = read_combs(even, lie, [box for box, _ in combs], [place for _, place in combs])
    ink = ink_of(even, lie, [box for box, _ in ticks], [place for _, place in ticks], marks) if ticks else None
    return marks, written, borders.off_mm, ink


def boxes_on(record: PrintRecord, page: int) -> tuple[Box, ...]:
    """The boxes of a page that are ticked or initialed, and its combs; lines to write on are read by people."""
    return tuple(
        Box(item.key, item.page, item.kind, item.x_mm, item.y_mm, item.w_mm, item.h_mm, item.label, item.form)
        for item in record.boxes
        if item.page == page and (item.kind != "blank" or item.form)
    )


def _record(printed_folder: Path, address: Address) -> PrintRecord:
    return record_of(printed_folder, address.job, address.revision)


@lru_cache(maxsize=256)
def record_of(printed_folder: Path, job: str, revision: str) -> PrintRecord:
    """The print a page belongs to. Raises PrintRecordError."""
    file = file_of(printed_folder, job, revision)
    if file is None:
        raise PrintRecordError(printed_folder / f"{job}.{revision}.json", t("it is not there"))
    return in_order([file])[0]


def _stage(picture: Picture, desk: Desk, source: Source, quality: int) -> Path:
    # tables of its own make a picture a tenth smaller and take twice as long: worth it for the pages that are kept for good
    optimize = int(quality == JPEG_QUALITY)
    done, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality, cv2.IMWRITE_JPEG_OPTIMIZE, optimize])
    if not done:
        raise OSError(str(source))
    # names of two sources never meet: the digest of the whole path stands in front
    name = f"{scan_image.digest(np.frombuffer(str(source.path).encode(), np.uint8).reshape(1, -1))}-{source.number}.jpg"
    path = desk.staging / name
    path.write_bytes(np.asarray(data).tobytes())
    return path
