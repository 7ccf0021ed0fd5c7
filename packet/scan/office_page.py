"""The office's page of a sorted packet: every number read, with the picture of the field beside it. One static file."""

import base64
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from markupsafe import Markup

from packet.press.assets import environment
from packet.press.policy import content_policy
from packet.scan.model import Filed, Written
from packet.scan.proposals import Proposal
from packet.shop.whole import write_if_new
from packet.words import spoken, t

PICTURE_DPI = 150.0
AROUND_MM = 1.5


@dataclass(frozen=True, slots=True)
class Row:
    """A number as it is shown: the printed label and key, what is proposed or why nothing is, the picture's address."""

    label: str
    key: str
    value: str
    read: str
    why: str
    picture: str


def write_page(filed: Filed, found: Mapping[str, Proposal]) -> Path | None:
    """`{job}.{revision}.html` beside the packet; None where no comb was on any page. Raises OSError."""
    numbers = [item for item in found.values() if item.written is not None]
    if not numbers:
        return None
    pictures = dict(_pictures(filed))
    rows = [
        Row(
            item.label,
            item.key,
            item.value,
            item.written.text if item.written and not item.value else "",
            t(item.why) if item.why else "",
            pictures.get(item.key, ""),
        )
        for item in numbers
    ]
    ticks = [item for item in found.values() if item.written is None]
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
    return [Row(item.label, item.key, "", "", t(item.why), "") for item in ticks if not item.value]


def _pictures(filed: Filed) -> Iterator[tuple[str, str]]:
    """(key, picture as a data address) of each comb on the packet's own pages."""
    import cv2
    import pypdfium2

    with closing(pypdfium2.PdfDocument(filed.path)) as document:
        for number, page in enumerate(filed.pages):
            if page.set_aside or not page.written:
                continue
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
