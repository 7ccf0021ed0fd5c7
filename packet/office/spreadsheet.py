"""CSV for a spreadsheet: text stays text, whatever it begins with; numbers stay numbers."""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence

# What a spreadsheet takes for the start of a formula, as typed, in full width, or behind blanks that it drops (common
# practice; RFC 4180 knows no formulas).
_FORMULA = re.compile(r"\s*[=+\-@＝＋－＠]|[\t\r\n]")
# The same behind what another language's spreadsheet takes for the end of a cell: half of the world's read this file by
# semicolons, tabs or bars, and honor no quotes that stand inside a cell.
_INSIDE = re.compile(r"(\r\n|[;|\t\r\n])(?=[\s\"']*[=+\-@＝＋－＠])")
_NUMBER = re.compile(r"-?\d+(\.\d+)?", re.ASCII)


def csv_text(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    """The rows under their columns' names, lines ended by CR LF (RFC 4180); a cell that a row lacks is empty."""
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, restval="")
    writer.writeheader()
    for row in rows:
        writer.writerow({key: cell(value) for key, value in row.items()})
    return out.getvalue()


def cell(text: str) -> str:
    """What to write so that a spreadsheet shows `text` and runs nothing: an apostrophe before what begins a formula, at
    the start and behind any sign by which a spreadsheet may part cells.
    """
    inside = _INSIDE.sub(r"\1'", text)
    return f"'{inside}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else inside
