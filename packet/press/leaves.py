"""Only the leaves of a packet that differ from what is in the field: for a truck that is loaded already.

A leaf is two pages, front and back, as the duplex printer gives them. The front sheet's leaf is always among them, as it
says which print is replaced; every page carries its own print's revision. Which print is in the field nobody tells the
program: it may be any since the truck was loaded, in part or in whole, so a leaf stays out only where all of them have it.
"""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from pikepdf import Pdf

from packet.press.printed import PrintRecord, records_of
from packet.press.stack import opened


def changed_leaves(
    packets: Sequence[Path], shop_folder: Path, jobs: Sequence[str], loaded: datetime | None = None
) -> Pdf | None:
    """The leaves of these packets that differ from what may be in the field, one after the other; None where none do.

    loaded: when the truck was loaded; prints that were replaced by then never left the shop. None: any may have.
    A packet that replaces nothing is not out yet: it is left to the stack. Raises PrintRecordError, OSError.
    """
    made = Pdf.new()
    for path, job in zip(packets, jobs, strict=True):
        prints = records_of(shop_folder, job)
        if not prints or not prints[-1].replaces:
            continue
        out = in_the_field(prints, loaded)
        with opened(path) as packet:
            count = len(packet.pages)
            for leaf in different(out, prints[-1], count):
                made.pages.extend(packet.pages[number] for number in leaf)
                if len(leaf) % 2:
                    _left, _bottom, width, height = (float(side) for side in packet.pages[0].mediabox.as_list())
                    made.add_blank_page(page_size=(width, height))
    return made if len(made.pages) else None


def in_the_field(prints: Sequence[PrintRecord], loaded: datetime | None) -> Sequence[PrintRecord]:
    """The prints before the newest that the truck may have, oldest first: the last one when it was loaded, and later ones."""
    before = prints[:-1]
    aboard = [number for number, item in enumerate(before) if loaded is not None and item.printed_at <= loaded]
    return before[aboard[-1] if aboard else 0 :]


def different(out: Sequence[PrintRecord], now: PrintRecord, count: int) -> list[list[int]]:
    """The pages (from 0) of each leaf of a print of `count` pages that not all prints in `out` have, and of the first.

    A leaf is the same where both its pages say the same, wherever in the packet it lies: the front may have grown.
    """
    leaves = [list(range(first, min(first + 2, count))) for first in range(0, count, 2)]
    if len(now.reads) != count:
        return leaves
    missing = []
    have = [[tuple(item.reads[first : first + 2]) for first in range(0, len(item.reads), 2)] for item in out]
    for leaf in leaves:
        says = tuple(now.reads[leaf[0] : leaf[-1] + 1])
        same = bool(have) and all(says in items for items in have)
        for items in have:
            if says in items:
                items.remove(says)
        if not same or not leaf[0]:
            missing.append(leaf)
    return missing
