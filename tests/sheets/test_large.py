"""Large print: every demo job, on both papers, takes at most one and a half times the pages of its usual print."""

from dataclasses import replace
from functools import cache
from typing import Literal

import pytest

from packet.press.job import prepare, set_packet
from packet.press.pdf import Printed
from packet.sheets.packet import compose

from .test_lengths import DAYS, day, pages

# these take half a page to a page more than that: what they hold fills the pages of usual print to the last line
OVER: dict[str, dict[str, int]] = {
    "letter": {"HP-1043": 17, "HP-1046": 11, "HP-1056": 11, "HP-1207": 15, "HP-1210": 11, "HP-1211": 11},
    "A4": {"HP-1043": 17, "HP-1211": 13},
}


@cache
def large(date: str, job: str, paper: Literal["letter", "A4"]) -> Printed:
    plan, hookup = day(date)[job]
    shop = plan.registers.shop.model_copy(update={"paper": paper})
    registers = plan.registers.model_copy(update={"shop": shop})
    printed = replace(plan, job=plan.job.model_copy(update={"print": "large"}), registers=registers)
    return set_packet(prepare(compose(printed, hookup), None))[1]


@pytest.mark.parametrize("paper", ["letter", "A4"])
@pytest.mark.parametrize("date", DAYS)
def test_large_print_takes_half_as_many_pages_again_at_most(date: str, paper: Literal["letter", "A4"]) -> None:
    found = {job: len(large(date, job, paper).pages) for job in day(date)}
    most = {job: OVER[paper].get(job, int(1.5 * len(pages(date, job, paper)))) for job in day(date)}
    assert {job: (count, most[job]) for job, count in found.items() if count > most[job]} == {}
    # a job that has come below its exception is none any more
    assert {job for job, count in OVER[paper].items() if job in found and found[job] < count} == set()


@pytest.mark.parametrize("date", DAYS)
def test_what_large_print_cuts_has_a_blank_back(date: str) -> None:
    for job in day(date):
        made = large(date, job, "letter")
        cut = [number for number, names in enumerate(made.pages, 1) if day_tags(names)]
        assert cut
        for number in cut:
            assert number % 2 == 1, job
            assert number == len(made.pages) or not made.pages[number], job


def day_tags(names: str) -> bool:
    """Whether the tags stand on a page of these sheets, in either language."""
    return "Tags" in names or "Etiquetas" in names


@pytest.mark.parametrize("date", DAYS)
def test_each_hookup_faces_its_steps(date: str) -> None:
    """Even page, the steps on the next one; a hookup keeps its page to itself."""
    for job in day(date):
        made = large(date, job, "letter").pages
        for number, names in enumerate(made, 1):
            if names.startswith(("Hookup", "Conexión")):
                assert number % 2 == 0, job
                assert "," not in names, job
                assert made[number].startswith(("Steps", "Pasos")), job
