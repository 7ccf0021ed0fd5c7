"""Large print: every demo job takes at most one and a half times the pages of its usual print, in Spanish, too."""

from dataclasses import replace
from functools import cache
from typing import Literal

import pytest

from packet.hookup.model import Hookup
from packet.plan.model import Plan
from packet.press.html import LEAST_BOTTOM_MM
from packet.press.job import prepare, set_packet
from packet.press.marks import PAPER_MM
from packet.press.pdf import Printed
from packet.sheets.packet import compose
from packet.shop.records import PrintSize
from tests.plan.builders import read_in

from .test_lengths import DAYS, day, pages

Paper = Literal["letter", "A4"]
every_day = pytest.mark.parametrize("date", DAYS)
# each job as it is printed; all of it in Spanish on the lower paper
every_print = pytest.mark.parametrize(
    ("paper", "language"), [("letter", ""), ("A4", ""), ("letter", "es"), ("A4", "es")]
)
both_languages = pytest.mark.parametrize("language", ["", "es"])
# HP-1211: a gas that nobody knows and two languages for its crew. Its strips in both take some 40 mm of each of its four
# pages of steps: of what stands before the cut 58 mm are more than eight pages hold, set as close as they may be
OVER = {("letter", ""): {"HP-1211": 11}}
# where no order that was tried fills it
THIN: dict[tuple[str, str], set[str]] = {}
TOP_MM = 27.0


def read_as(date: str, job: str, paper: Paper, language: str, size: PrintSize) -> tuple[Plan, Hookup]:
    plan, hookup = day(date)[job]
    shop = plan.registers.shop.model_copy(update={"paper": paper})
    plan = replace(
        plan,
        job=plan.job.model_copy(update={"print": size}),
        registers=plan.registers.model_copy(update={"shop": shop}),
    )
    return (read_in(plan, language) if language else plan), hookup


@cache
def large(date: str, job: str, paper: Paper, language: str = "") -> Printed:
    return set_packet(prepare(compose(*read_as(date, job, paper, language, "large")), None))[1]


@cache
def usual(date: str, job: str, paper: Paper, language: str) -> int:
    """How many pages the usual print takes, read in the same language."""
    if not language:
        return len(pages(date, job, paper))
    return len(set_packet(prepare(compose(*read_as(date, job, paper, language, "usual")), None))[1].pages)


@every_print
@every_day
def test_large_print_takes_half_as_many_pages_again_at_most(date: str, paper: Paper, language: str) -> None:
    found = {job: len(large(date, job, paper, language).pages) for job in day(date)}
    over = OVER.get((paper, language), {})
    most = {job: int(1.5 * usual(date, job, paper, language)) for job in day(date)}
    assert {job: (count, most[job]) for job, count in found.items() if count > over.get(job, most[job])} == {}
    # a job that has come within the limit is no exception any more
    assert {job for job in over if job in found and found[job] <= most[job]} == set()


@every_print
@every_day
def test_no_page_before_the_last_is_nearly_empty(date: str, paper: Paper, language: str) -> None:
    """A third of each is filled, but for blank backs; what is written into counts as filled."""
    bottom = PAPER_MM[paper][1] - LEAST_BOTTOM_MM
    thin = set()
    for job in day(date):
        made = large(date, job, paper, language)
        for number, (names, lowest) in enumerate(zip(made.pages, made.lowest_mm, strict=True), 1):
            boxes = (box.y_mm + box.h_mm for box in made.boxes if box.page == number)
            if names and number < len(made.pages) and max(lowest, *boxes, TOP_MM) - TOP_MM < (bottom - TOP_MM) / 3:
                thin.add(job)
    assert thin <= THIN.get((paper, language), set())


@every_print
@every_day
def test_what_large_print_cuts_has_a_blank_back(date: str, paper: Paper, language: str) -> None:
    for job in day(date):
        made = large(date, job, paper, language)
        cut = [number for number, names in enumerate(made.pages, 1) if day_tags(names)]
        assert cut
        for number in cut:
            assert number % 2 == 1, job
            assert number == len(made.pages) or not made.pages[number], job


def day_tags(names: str) -> bool:
    """Whether the tags stand on a page of these sheets, in either language."""
    return "Tags" in names or "Etiquetas" in names


@both_languages
@every_day
def test_each_hookup_faces_its_steps(date: str, language: str) -> None:
    """Even page, the steps on the next one; a hookup keeps its page to itself."""
    for job in day(date):
        made = large(date, job, "letter", language).pages
        for number, names in enumerate(made, 1):
            if names.startswith(("Hookup", "Conexión")):
                assert number % 2 == 0, job
                assert "," not in names, job
                assert made[number].startswith(("Steps", "Pasos")), job
