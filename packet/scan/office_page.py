"""The office's page of a sorted packet: every number read, with the picture of the field beside it. One static file."""

import base64
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from markupsafe import Markup

from packet.ledger.fields import FIELDS, UNITS, key_parts
from packet.press.assets import environment
from packet.press.policy import content_policy
from packet.scan.model import Filed, SortedPage, Written
from packet.scan.proposals import Proposal
from packet.scan.write import kept, packet_path
from packet.shop.whole import write_if_new
from packet.words import spoken, t

PICTURE_DPI = 150.0
AROUND_MM = 1.5
# What the form asks; the paper has numbers that are for those who do the work alone.
OF_THE_FORM = frozenset(
    key_parts(field.key + suffix)[0]
    for field in FIELDS
    for suffix in ("", *(suffix for suffix, _ in UNITS.get(field.quantity, ())))
)


@dataclass(frozen=True, slots=True)
class Row:
    """A number as it is shown: the printed label and key, what is proposed or why nothing is, the picture's address."""

    label: str
    key: str
    value: str
    read: str
    why: str
    picture: str
    page: int


def write_page(filed: Filed, found: Mapping[str, Proposal]) -> Path | None:
    """`{job}.{revision}.html` beside the packet; None where no comb of the form was on any page. Raises OSError."""
    numbers = [item for item in found.values() if item.how == "digits" and key_parts(item.key)[0] in OF_THE_FORM]
    if not any(item.written for item in numbers):
        return None
    numbers.sort(key=lambda item: item.page)
    pictures = dict(_pictures(filed))
    rows = [
        Row(
            item.label,
            item.key,
            item.value,
            item.written.text if item.written and not item.value else "",
            t(item.why) if item.why else "",
            pictures.get(item.key, ""),
            item.page,
        )
        for item in numbers
    ]
    ticks = [item for item in found.values() if item.how != "digits"]
    style = files("packet.templates").joinpath("scans.css").read_text("utf-8")
    html = (
        environment()
        .get_template("scans.html")
        .render(
            language=spoken(),
            filed=filed,
            rows=rows,
            doubtful=_doubtful(ticks),
            style=Markup(style),
            policy=content_policy(style, pictures=True),
        )
    )
    path = filed.path.with_suffix(".html")
    write_if_new(path, html.encode())
    return path


def _doubtful(ticks: list[Proposal]) -> list[Row]:
    return [
        Row(item.label or item.key, item.key, "", "", t(item.why), "", item.page) for item in ticks if not item.value
    ]


def _pictures(filed: Filed) -> Iterator[tuple[str, str]]:
    """(key, picture as a data address) of each comb, on the packet's own pages and on those of older prints that count."""
    own: dict[str, list[tuple[int, SortedPage]]] = {}
    for number, page in enumerate(filed.pages):
        own.setdefault(filed.revision, []).append((number, page))
    for page in filed.from_older:
        own.setdefault(page.address.revision, []).append((_place_in_file(filed, page), page))
    for revision, pages in own.items():
        with_combs = [(number, page) for number, page in pages if page.written and not page.set_aside]
        if with_combs:
            yield from _cut_out(packet_path(filed.path.parent, filed.job, revision), with_combs)


def _place_in_file(filed: Filed, page: SortedPage) -> int:
    """Which page of its own print's file a page of an older print is, from 0."""
    there = kept(packet_path(filed.path.parent, filed.job, page.address.revision)).pages
    return next(number for number, one in enumerate(there) if one.digest == page.digest)


def _cut_out(path: Path, pages: Sequence[tuple[int, SortedPage]]) -> Iterator[tuple[str, str]]:
    import cv2
    import pypdfium2

    with closing(pypdfium2.PdfDocument(path)) as document:
        for number, page in pages:
            side = document[number]
            view = side.render(scale=PICTURE_DPI / 72, grayscale=True).to_numpy()
            side.close()
            for written in page.written:
                top, bottom, left, right = _cut(written)
                done, data = cv2.imencode(".png", view.reshape(view.shape[:2])[top:bottom, left:right])
                if done:
                    yield written.key, "data:image/png;base64," + base64.b64encode(data.tobytes()).decode()


def _cut(written: Written) -> tuple[int, int, int, int]:
    scale = PICTURE_DPI / 25.4
    low_x, low_y = max(0.0, written.x_mm - AROUND_MM), max(0.0, written.y_mm - AROUND_MM)
    high_x, high_y = written.x_mm + written.w_mm + AROUND_MM, written.y_mm + written.h_mm + AROUND_MM
    return round(low_y * scale), round(high_y * scale), round(low_x * scale), round(high_x * scale)
