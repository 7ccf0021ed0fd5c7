"""What the strips at the foot of the work's pages take of them, from their words, in mm."""

from packet.sheets.model import Content, Steps, SwapSheet
from packet.sheets.room import rows

# a row of them: beside the code, so only what is more than its height counts
ROW_MM = 4.15
# what their words have beside the code, and how large they are
WIDE_MM, REM = 167.0, 0.95
# in large print they are closer
LARGE_ROW_MM, LARGE_REM = 3.27, 0.88
FOOT_ROW_MM, FROM_EDGE_MM, AIR_MM = 5.0, 7.0, 2.0
LARGER = 1.25


def foot_mm(content: Content) -> float:
    """From the paper's edge to above the strips of the sheet that has the most of them."""
    large = content.size == "large"
    larger, row_mm, size = (LARGER, LARGE_ROW_MM, LARGE_REM) if large else (1.0, ROW_MM, REM)
    count = 0
    for sheet in content.sheets:
        if isinstance(sheet, Steps | SwapSheet):
            words = [text for strip in sheet.strips for text in (" ".join((strip.title, *strip.sentences)), strip.also)]
            count = max(count, sum(rows(text, WIDE_MM / larger, size=size) for text in words if text))
    return FROM_EDGE_MM + (FOOT_ROW_MM + count * row_mm) * larger + large + AIR_MM
