"""Only the leaves of a packet that differ from the print it replaces: for a truck that is loaded already.

A leaf is two pages, front and back, as the duplex printer gives them. The front sheet's leaf is always among them, as it
says which print is replaced; every page carries its own print's revision.
"""

from collections.abc import Sequence
from pathlib import Path

from pikepdf import Pdf

from packet.press.printed import PrintRecord, records_of


def changed_leaves(packets: Sequence[Path], shop_folder: Path, jobs: Sequence[str]) -> Pdf | None:
    """The leaves of these packets that differ from the print before, one after the other; None where none do.

    A packet that replaces nothing is not out yet: it is left to the stack. Raises PrintRecordError, OSError.
    """
    made = Pdf.new()
    for path, job in zip(packets, jobs, strict=True):
        prints = records_of(shop_folder, job)
        if not prints or not prints[-1].replaces:
            continue
        before = next((item for item in reversed(prints[:-1]) if item.revision == prints[-1].replaces), None)
        with Pdf.open(path) as packet:
            count = len(packet.pages)
            for leaf in _leaves(before, prints[-1], count):
                made.pages.extend(packet.pages[number] for number in leaf)
                if len(leaf) % 2:
                    _left, _bottom, width, height = (float(side) for side in packet.pages[0].mediabox.as_list())
                    made.add_blank_page(page_size=(width, height))
    return made if len(made.pages) else None


def _leaves(before: PrintRecord | None, now: PrintRecord, count: int) -> list[list[int]]:
    """The pages of each leaf that is not among those of the print before, from 0.

    Leaves are compared by the sheets on them: a front that runs on over a page moves the others, and changes none.
    """
    leaves = [list(range(first, min(first + 2, count))) for first in range(0, count, 2)]
    if before is None or len(now.pages) != count:
        return leaves
    old = [before.pages[first : first + 2] for first in range(0, len(before.pages), 2)]
    different = []
    for leaf in leaves:
        names = now.pages[leaf[0] : leaf[-1] + 1]
        sheets = [part for name in names for part in name.split(", ") if part]
        if leaf[0] and names in old and all(_same(part, before, now) for part in sheets):
            old.remove(names)
        else:
            different.append(leaf)
    return different


def _same(sheet: str, before: PrintRecord, now: PrintRecord) -> bool:
    """Whether a sheet reads as it did; several may share a page, whose name then has all of theirs."""
    return before.sheets.get(sheet, "?") == now.sheets.get(sheet)
