"""How far to draw down, in the words of the sheets; and the words of the day board."""

import ast
import re
from typing import Any

import pytest

from packet.findings import KINDS
from packet.sheets.board_words import BOARD_WORDS, board_word
from packet.sheets.show import Show, target
from tests.messages import ROOT
from tests.plan.builders import job, plan

SMALL = {"kind": "small-appliance", "factory_sealed": True, "ports": ("liquid", "vapor")}


@pytest.mark.parametrize(
    ("job_", "words"),
    [
        # 40 CFR 82.156(b), from memory: 80 % without the compressor, or 4 inHg; 0.80 × 4.0 = 3.2 lb
        (job("R-134a", 4.0, appliance=SMALL), ("3.2 lb", "80 %", "4.0 inHg vacuum")),
        # 40 CFR 82.156 table 1: medium pressure, less than 200 lb, a machine made since 1993: 10 inHg
        (job("R-134a", 20.0), ("10.0 inHg vacuum",)),
        (job("R-22", 20.0), ("0 psig",)),
        (job("R-123", 300.0, appliance={"kind": "chiller"}), ("25 mmHg absolute",)),
        (
            job(
                "R-123", 300.0, appliance={"kind": "chiller"}, work={"major": False, "evacuation_to_atmosphere": False}
            ),
            ("raise to 0 psig at most",),
        ),
    ],
)
def test_the_target_reads_as_the_law_states_it(job_: Any, words: tuple[str, ...]) -> None:
    said = target(plan(job_).evacuation, Show("US", 1))
    assert [word for word in words if word not in said] == []
    assert ("%" in said) is ("80 %" in words)


def test_without_a_target_nothing_is_made_up() -> None:
    assert target(None, Show("US", 1)) == "not computed"


def test_every_stop_and_caution_of_a_plan_has_words_for_the_board() -> None:
    """Those that planning can find, by the codes it names; a code of the office's never stands on the board."""
    named = {
        node.value
        for station in ("plan", "hookup", "assign", "sheets")
        for path in (ROOT / "packet" / station).rglob("*.py")
        if path.name != "board_words.py"
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    wanted = {code for code in named & KINDS.keys() if KINDS[code].severity != "note"}
    assert len(wanted) > 40
    assert wanted == BOARD_WORDS.keys()


def test_the_board_of_an_si_shop_has_no_us_figure() -> None:
    assert board_word("carry-truck-over", "US") == "truck over 440 lb"
    said = [board_word(code, "SI") for code in BOARD_WORDS]
    assert [words for words in said if re.search(r"\d ?(?:lb|°F|psi|in)", words)] == []
    assert "truck over 200 kg" in said and "cylinder pressure at 55 °C" in said
