"""A block that stood in a line once is not laid out again where that line went on to the next page.

WeasyPrint lays out what may not be torn, finds that it does not fit, and begins anew with it on the next page; and the strips
at a page's foot once a page. A block in a line has no page above or below it: as wide, it is the same at any place.
A test holds what comes of it to what WeasyPrint makes by itself.
"""

from collections.abc import Callable
from functools import cache, wraps
from typing import Any


@cache
def use() -> None:
    """From here on, in this process."""
    from weasyprint.layout import inline

    inline.inline_block_box_layout = _once(inline.inline_block_box_layout)


def _once(lay_out: Callable[..., Any]) -> Callable[..., Any]:
    """`inline_block_box_layout`, looking first for what came of it."""

    @wraps(lay_out)
    def laid_out(  # noqa: PLR0917 - as WeasyPrint calls it
        context: Any, box: Any, position_x: float, skip_stack: Any, around: Any, absolute: list[Any], fixed: list[Any]
    ) -> Any:
        wide = around.width, around.height
        known = box.__dict__.get("laid_out")
        if known is not None and known[0] == wide and skip_stack is None:
            made = known[1].deepcopy()
            made.translate(position_x - made.position_x, -made.position_y)
            return made
        taken_out = len(absolute) + len(fixed)
        made = lay_out(context, box, position_x, skip_stack, around, absolute, fixed)
        if skip_stack is None and len(absolute) + len(fixed) == taken_out:
            box.laid_out = wide, made
        return made

    return laid_out
