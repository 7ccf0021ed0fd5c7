"""Filing straightened pages: `scans/{job}.{revision}.pdf` in page order, what its boxes say beside it, loose pages.

The PDF is the one truth: the list of what is in it travels inside it as an attachment, so that one rename puts pages
and list in place together. `{job}.{revision}.ticks.yaml` is written from it afterwards and again on every run, so a
crash between the two heals itself. A page that is already there is never replaced: another scan of it goes behind it.
"""

import io
import json
import sys
from collections.abc import Collection, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import yaml

from packet.press.printed import PrintRecord
from packet.scan.model import Address, BoxMark, Filed, PageRead, SortedPage, Written
from packet.shop.whole import TakenError, locked, make_folder, sweep, write_if_new, write_whole
from packet.words import N_

if TYPE_CHECKING:
    from pypdfium2 import PdfDocument

FOLDER = "scans"
LOOSE_FOLDER = "unsorted"
LIST_NAME = "pages.json"
PATIENCE_SECONDS = 60.0
POINTS_PER_MM = 72.0 / 25.4

SCANS_DIFFER = N_("its scans differ")


class ScansBusyError(Exception):
    """Someone else has been sorting into this folder for longer than we wait."""


class KeptScanError(Exception):
    """A filed packet that is there but cannot be read: nothing is added to it. The message names the file."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What a filed packet's PDF holds, page by page."""

    data: bytes
    pages: tuple[SortedPage, ...]


@contextmanager
def sorting(scans: Path) -> Iterator[None]:
    """Hold the scans folder while pages are filed. Raises ScansBusyError."""
    with ExitStack() as held:
        try:
            held.enter_context(locked(scans / ".lock", PATIENCE_SECONDS))
        except TakenError:
            raise ScansBusyError(str(scans)) from None
        for place in (scans, scans / LOOSE_FOLDER):
            sweep(place)  # what a run that was killed left behind
        yield


def packet_path(scans: Path, job: str, revision: str) -> Path:
    """Where a filed packet lies."""
    return scans / f"{job}.{revision}.pdf"


def kept(path: Path) -> Kept:
    """What was filed before; nothing when there is no file. Raises KeptScanError."""
    import pypdfium2

    if not path.exists():
        return Kept(b"", ())
    data = path.read_bytes()
    try:
        with closing(pypdfium2.PdfDocument(data)) as document:
            attachments = [document.get_attachment(number) for number in range(document.count_attachments())]
            listed = next(item for item in attachments if item.get_name() == LIST_NAME)
            pages = tuple(_page(raw) for raw in json.loads(bytes(listed.get_data())))
            if len(pages) != len(document):
                raise KeptScanError(str(path))
    except (pypdfium2.PdfiumError, StopIteration, ValueError, KeyError, TypeError) as error:
        raise KeptScanError(f"{path}: {error}") from error
    return Kept(data, pages)


def file_pages(
    path: Path, before: Kept, new: Sequence[tuple[SortedPage, PageRead]], counting: Collection[str] = ()
) -> tuple[SortedPage, ...]:
    """Add `new` pages to a packet, in page order, and give the list of all that are in it now.

    counting: digests of scans that are declared to count; other scans of their pages are kept, and set aside.

    Raises OSError when the machine fails; the packet is then as it was.
    """
    import pypdfium2

    every = [*before.pages, *(page for page, _ in new)]
    counted = {page.address.page for page in every if page.digest in counting}
    sides = [
        replace(page, set_aside=page.digest not in counting) if page.address.page in counted else page for page in every
    ]
    if not new and tuple(sides) == before.pages:
        return before.pages
    old_sides, new_sides = sides[: len(before.pages)], sides[len(before.pages) :]
    order = sorted(
        [(page.address.page, 0, number, page, None) for number, page in enumerate(old_sides)]
        + [
            (page.address.page, 1, number, page, read)
            for number, (page, (_, read)) in enumerate(zip(new_sides, new, strict=True))
        ],
        key=lambda item: item[:3],
    )
    pages = tuple(item[3] for item in order)
    with closing(pypdfium2.PdfDocument.new()) as document:
        old = pypdfium2.PdfDocument(before.data) if before.data else None
        for at, (_, _, number, _, read) in enumerate(order):
            if read is None:
                document.import_pages(old, [number], index=at)
            else:
                _add_picture(document, read)
        attachment = document.new_attachment(LIST_NAME)
        attachment.set_data(json.dumps([asdict(page) for page in pages], ensure_ascii=False, indent=0).encode())
        out = io.BytesIO()
        with _nothing_swallowed():
            document.save(out)
        if old is not None:
            old.close()
    write_whole(path, out.getvalue())
    return pages


@contextmanager
def _nothing_swallowed() -> Iterator[None]:
    """What happens while the library hands out bytes passes on: it calls back from C, where Python drops an exception,
    Ctrl-C too, and goes on without the bytes."""
    swallowed: list[BaseException] = []
    hook = sys.unraisablehook
    sys.unraisablehook = lambda item: swallowed.append(item.exc_value or KeyboardInterrupt())
    try:
        yield
    finally:
        sys.unraisablehook = hook
    if swallowed:
        raise swallowed[0]


def keep_loose(scans: Path, read: PageRead, digest: str) -> Path:
    """Keep a page without a job under the next free number, once however often it is sorted."""
    folder = scans / LOOSE_FOLDER
    make_folder(folder)
    there = sorted(folder.glob(f"*-{digest}.jpg"))
    if there:
        return there[0]
    numbers = [int(path.name.split("-")[0]) for path in folder.glob("[0-9]*-*.jpg")]
    path = folder / f"{max(numbers, default=0) + 1:04}-{digest}.jpg"
    if read.picture is not None:
        write_whole(path, read.picture.read_bytes())
    return path


def ticks_of(pages: Sequence[SortedPage]) -> tuple[BoxMark, ...]:
    """One mark a box, in the order of the print; where two scans of a page disagree, the box is doubtful."""
    found: dict[str, BoxMark] = {}
    for page in pages:
        if page.set_aside:
            continue
        for mark in page.marks:
            first = found.setdefault(mark.key, mark)
            if first.mark != mark.mark:
                found[mark.key] = BoxMark(
                    mark.key,
                    mark.page,
                    mark.kind,
                    mark.label,
                    "doubtful",
                    max(first.ink_mm2, mark.ink_mm2),
                    SCANS_DIFFER,
                )
    return tuple(found.values())


def write_ticks(filed: Filed, record: PrintRecord) -> Path:
    """`{job}.{revision}.ticks.yaml`: pages with their scans, every box with its mark, what is missing."""
    text = yaml.safe_dump(
        {
            "job": filed.job,
            "revision": filed.revision,
            "superseded_by": filed.superseded_by,
            "pages": [
                {
                    "page": page.address.page,
                    "sheet": record.pages[page.address.page - 1],
                    "source": page.source,
                    "turned_deg": page.turned_deg,
                    "skew_deg": page.skew_deg,
                    "scan": page.digest,
                    **({"set_aside": True} if page.set_aside else {}),
                    **({"revision": page.address.revision} if page.address.revision != filed.revision else {}),
                }
                for page in (*filed.pages, *filed.from_older)
            ],
            "missing_pages": list(filed.missing),
            "unticked_hold_points": [item.key for item in filed.unticked_holds],
            "doubtful": [item.key for item in filed.doubtful],
            "boxes": [_box(item) for item in filed.ticks],
        },
        sort_keys=False,
        allow_unicode=True,
        width=120,
    )
    path = filed.path.with_suffix(".ticks.yaml")
    write_if_new(path, text.encode())
    return path


def _box(item: BoxMark) -> dict[str, object]:
    raw: dict[str, object] = {"key": item.key, "page": item.page, "kind": item.kind, "mark": item.mark}
    if item.why:
        raw["why"] = item.why
    return raw | {"label": item.label}


def _page(raw: dict[str, object]) -> SortedPage:
    """The record again that `asdict` took apart."""
    marks = raw.pop("marks")
    written = raw.pop("written", [])
    address = raw.pop("address")
    assert isinstance(marks, list)
    assert isinstance(written, list)
    assert isinstance(address, dict)
    return SortedPage(
        Address(**address),
        marks=tuple(BoxMark(**item) for item in marks),
        written=tuple(Written(**item) for item in written),
        **raw,  # type: ignore[arg-type]
    )


def _add_picture(document: "PdfDocument", read: PageRead) -> None:
    import pypdfium2

    assert read.picture is not None
    width_pt, height_pt = (side * POINTS_PER_MM for side in read.size_mm)
    page = document.new_page(width_pt, height_pt)
    image = pypdfium2.PdfImage.new(document)
    image.load_jpeg(str(read.picture), inline=True)
    image.set_matrix(pypdfium2.PdfMatrix().scale(width_pt, height_pt))
    page.insert_obj(image)
    page.gen_content()
    page.close()
