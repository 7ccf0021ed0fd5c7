"""Nothing is lost between what a packet asks for and its PDF.

WeasyPrint goes on when a drawing fails, whatever failed: a slip of ours, no memory, Ctrl-C, the end of a worker. The
drawing then stops midway, and the paper looks finished. Here what happens while a drawing is set passes on, what the
library reports as an error ends the setting, and what was set is counted against what was asked for.
"""

import logging
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from packet.press.assets import weasyprint
from packet.words import t

_DRAWING = re.compile(r"<svg\b")
_BOX = re.compile(r'\bdata-box="([^"]*)"')


class NotSetError(Exception):
    """The typesetter did not set all that it was given; str() says what. The paper must not be used."""


@dataclass
class _Count:
    """Drawings finished by this process so far."""

    drawings: int = 0


_done = _Count()


@cache
def _let_through() -> None:
    """From here on, nothing that happens while a drawing is set is swallowed in this process."""
    weasyprint()
    from weasyprint.images import SVGImage

    def draw(self: Any, stream: Any, concrete_width: float, concrete_height: float, _style: Any) -> None:
        self._svg.draw(stream, concrete_width, concrete_height, self._base_url, self._context)
        _done.drawings += 1

    SVGImage.draw = draw


@dataclass
class Setting:
    """One paper being set. errors: what the library reported. drawings: how many were finished."""

    errors: list[str] = field(default_factory=list)
    drawings: int = 0


class _Listener(logging.Handler):
    """Keeps what the library reports as an error."""

    def __init__(self, setting: Setting) -> None:
        super().__init__(logging.ERROR)
        self.setting = setting

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one."""
        self.setting.errors.append(record.getMessage())


@contextmanager
def setting() -> Iterator[Setting]:
    """Around everything that sets one paper. Raises NotSetError at its end when the library reported an error."""
    _let_through()
    made, before = Setting(), _done.drawings
    listener, logger = _Listener(made), logging.getLogger("weasyprint")
    logger.addHandler(listener)
    try:
        yield made
    finally:
        logger.removeHandler(listener)
    if made.errors:
        raise NotSetError(t("The typesetter reports: {error}", error=made.errors[0]))
    made.drawings = _done.drawings - before


def check(html: str, made: Setting, boxes: Iterable[str]) -> None:
    """Hold what was set against what the HTML asks for: every drawing finished, every box on a page.

    boxes: the keys of the boxes found on the laid-out pages. Raises NotSetError.
    """
    asked = len(_DRAWING.findall(html))
    if made.drawings != asked:
        raise NotSetError(t("{count} of {asked} drawings were set.", count=made.drawings, asked=asked))
    missing = set(_BOX.findall(html)) - set(boxes)
    if missing:
        raise NotSetError(t("Boxes are missing on the page: {boxes}.", boxes=", ".join(sorted(missing))))
