"""Nothing that happens while a packet is set is lost: an interrupted drawing ends the print."""

import logging
from dataclasses import replace
from typing import Any

import pytest

from packet.press import lettering, sure
from packet.press.code import Stamp
from packet.press.html import revision_of, to_html
from packet.press.pdf import Printed, render
from tests.sheets.demo import composed

JOB = "HP-1047"


def printed() -> Printed:
    made = composed(JOB)
    revision = revision_of(made)
    return render(to_html(made, revision), Stamp(made.records_url, made.job, revision, made.paper))


@pytest.mark.parametrize("interruption", [KeyboardInterrupt, SystemExit, MemoryError, RuntimeError, AttributeError])
@pytest.mark.parametrize("after", [0, 7])
def test_what_interrupts_a_drawing_ends_the_print(
    monkeypatch: pytest.MonkeyPatch, interruption: type[BaseException], after: int
) -> None:
    """Ctrl-C, the end of a worker, no memory, a slip in our own code: at the first word and halfway through."""
    from weasyprint import svg

    lettering.use()
    ours, seen = svg.TAGS["text"], 0

    def interrupted(image: Any, node: Any, size: float) -> None:
        nonlocal seen
        seen += 1
        if seen > after:
            raise interruption("in the middle of a drawing")
        ours(image, node, size)

    monkeypatch.setitem(svg.TAGS, "text", interrupted)
    with pytest.raises(interruption):
        printed()


def test_a_drawing_that_cannot_be_read_ends_the_print(monkeypatch: pytest.MonkeyPatch) -> None:
    from weasyprint import images

    def no_memory(*_arguments: object, **_options: object) -> None:
        raise MemoryError

    monkeypatch.setattr(images.SVGImage, "__init__", no_memory)
    with pytest.raises(sure.NotSetError, match="Failed to load inline SVG"):
        printed()


def test_a_drawing_or_a_box_that_is_not_there_is_missed() -> None:
    made = sure.Setting(drawings=1)
    html = '<svg xmlns="x"></svg><i data-box="go.1"></i><i data-box="go.2"></i>'
    sure.check(html, made, ["go.1", "go.2"])
    with pytest.raises(sure.NotSetError, match=r"missing on the page: go\.2"):
        sure.check(html, made, ["go.1"])
    with pytest.raises(sure.NotSetError, match="0 of 1 drawings"):
        sure.check(html, replace(made, drawings=0), ["go.1", "go.2"])


def test_any_error_that_the_library_reports_ends_the_setting() -> None:
    with pytest.raises(sure.NotSetError, match="reports: a page is lost"), sure.setting():
        logging.getLogger("weasyprint").error("a %s is lost", "page")
    with sure.setting():
        logging.getLogger("weasyprint").warning("an odd style")
