"""A comb's cells are even shares of its width: what reads the digits looks between the lines there."""

from dataclasses import replace

import pytest

from packet.press.boxes import MM_PER_PX, elements
from packet.press.html import to_html
from packet.press.pdf import lay_out
from packet.shop.records import PrintSize

from .demo import composed

# half of the line between two cells, which is the left border of the cell behind it
HALF_A_LINE_MM = 0.1


@pytest.mark.parametrize("size", ["usual", "large"])
@pytest.mark.parametrize("job", ["HP-1043", "HP-1049"])
def test_the_lines_of_a_comb_stand_at_even_shares_of_it(job: str, size: PrintSize) -> None:
    laid = lay_out(to_html(replace(composed(job), size=size)))
    forms = set()
    for page in laid.document.pages:
        for comb in elements(page._page_box):
            if comb.element.get("class") != "comb":
                continue
            forms.add(comb.element.get("data-form"))
            left, wide = comb.border_box_x(), comb.border_width()
            cells = [
                box
                for box in comb.descendants()
                if box.element.get("class") == "c" and hasattr(box, "border_left_width")
            ]
            cells = list({id(box.element): box for box in cells}.values())
            lines = [(cell.border_box_x() - left) * MM_PER_PX + HALF_A_LINE_MM for cell in cells[1:]]
            shares = [wide * MM_PER_PX * at / len(cells) for at in range(1, len(cells))]
            assert lines == pytest.approx(shares, abs=0.02)
    assert {"dd:dd", "ddd", "-ddd"} & forms and len(forms) > 3
