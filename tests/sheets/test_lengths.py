"""How many pages every demo job takes, on both papers: a packet that is too thick stays in the truck."""

from dataclasses import replace
from functools import cache
from typing import Literal

import pypdfium2
import pytest

from packet.hookup.build import build_hookup
from packet.hookup.model import Hookup
from packet.ledger.state import opening
from packet.plan.day import plan_day
from packet.plan.model import Plan
from packet.plan.reading import reading_of
from packet.press.html import LEAST_BOTTOM_MM, Notice, to_html
from packet.press.job import PAGE_TOP_MM, _laid_out, _usual_or_closer, prepare, set_packet
from packet.press.marks import PAPER_MM
from packet.press.pdf import Printed
from packet.sheets.arrange import sides_set_closer
from packet.sheets.model import Wrong
from packet.sheets.packet import compose
from packet.shop.load import load_job
from packet.units import UnitSystem
from tests.plan.builders import DEMO, read_in

from .demo import registers, strings

DAYS = ("2026-11-26", "2026-11-27", "2026-12-01")
MORNING = "2026-12-01"
# sides of the morning of twelve jobs, blank backs included: of its packets, and with a leaf for each truck's run sheet; one
# of its jobs is in Spanish and one in both languages, which take two sides more than in English
SIDES, WITH_TRUCKS = 102, 110


@cache
def day(date: str) -> dict[str, tuple[Plan, Hookup]]:
    """The jobs of a day that go out, planned together, as they are printed."""
    jobs = [load_job(path, registers()).value for path in sorted((DEMO / date).glob("*.yaml"))]
    plans = plan_day([job for job in jobs if job is not None], registers(), opening(registers())).plans
    found = {plan.job.job: (plan, build_hookup(plan)) for plan in plans if plan.may_go_out}
    return {job: pair for job, pair in found.items() if compose(*pair).may_go_out}


@cache
def printed(date: str, job: str, paper: Literal["letter", "A4"]) -> Printed:
    """A packet as it is printed."""
    return set_packet(prepare(replace(compose(*day(date)[job]), paper=paper), None))[1]


def pages(date: str, job: str, paper: Literal["letter", "A4"]) -> tuple[str, ...]:
    """The sheets on each page of a packet."""
    return printed(date, job, paper).pages


def most_pages(plan: Plan, hookup: Hookup) -> int:
    """One cylinder 8 pages, with a second hookup 10; more cylinders 12, with a second hookup 14.

    Spanish and two languages are longer than English: one page more.
    """
    reading = reading_of(plan)
    longer = reading.language != "en" or bool(reading.also)
    return (8 if len(plan.cylinders) == 1 else 12) + 2 * (len(hookup.layouts) - 1) + longer


@pytest.mark.parametrize("paper", ["letter", "A4"])
@pytest.mark.parametrize("date", DAYS)
def test_no_packet_is_thicker_than_is_carried(date: str, paper: Literal["letter", "A4"]) -> None:
    found = {job: len(pages(date, job, paper)) for job in day(date)}
    assert found
    assert found == {job: min(found[job], most_pages(*pair)) for job, pair in day(date).items()}


def test_the_morning_of_twelve_jobs_fits_its_stacks() -> None:
    jobs = day(MORNING)
    assert len(jobs) == 12
    counts = [len(pages(MORNING, job, "letter")) for job in jobs]
    trucks = {plan.job.truck for plan, _ in jobs.values()}
    # every packet begins a leaf, and each truck's page lies on its stack on one of its own
    packets = sum(count + count % 2 for count in counts)
    assert packets <= SIDES
    assert packets + 2 * len(trucks) <= WITH_TRUCKS


@pytest.mark.parametrize(("date", "job"), [(DAYS[1], "HP-1056"), (MORNING, "HP-1211"), (DAYS[0], "HP-1042")])
def test_two_languages_take_one_page_more_at_most(date: str, job: str) -> None:
    plan, hookup = day(date)[job]
    both = read_in(plan, "en", "es")
    made = set_packet(prepare(compose(both, hookup), None))[1]
    assert len(made.pages) <= most_pages(both, hookup)


@pytest.mark.parametrize("paper", ["letter", "A4"])
@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize(("date", "job"), [(DAYS[0], "HP-1047"), (MORNING, "HP-1204")])
def test_a_small_appliance_is_read_on_six_sides(
    date: str, job: str, units: UnitSystem, paper: Literal["letter", "A4"]
) -> None:
    """Six printed sides; the blank back of a leaf before what is cut is not read. The packet is four leaves."""
    plan, _ = day(date)[job]
    shop = plan.registers.shop.model_copy(update={"units": units, "paper": paper})
    other = replace(plan, registers=plan.registers.model_copy(update={"shop": shop}))
    made = set_packet(prepare(compose(other, build_hookup(other)), None))[1]
    assert len(made.pages) <= 7
    assert sum(map(bool, made.pages)) <= 6


def test_a_small_appliance_takes_no_page_more_in_spanish() -> None:
    plan, hookup = day(DAYS[0])["HP-1047"]
    for languages in (("en",), ("es",), ("en", "es")):
        made = set_packet(prepare(compose(read_in(plan, *languages), hookup), None))[1]
        assert len(made.pages) <= 7, languages


def nearly_empty(plan: Plan, hookup: Hookup) -> list[tuple[int, str]]:
    """The pages that are less than a third full, the last and blank backs aside."""
    content = compose(plan, hookup)
    made = set_packet(prepare(content, None))[1]
    high = PAPER_MM[content.paper][1] - LEAST_BOTTOM_MM - PAGE_TOP_MM
    below = zip(made.pages[:-1], made.lowest_mm, strict=False)
    return [(at, names) for at, (names, low) in enumerate(below, 1) if names and low - PAGE_TOP_MM < high / 3]


@pytest.mark.parametrize("languages", [(), ("es",), ("es", "en"), ("en", "es")])
@pytest.mark.parametrize("date", DAYS[:2])
def test_no_page_is_nearly_empty(date: str, languages: tuple[str, ...]) -> None:
    found = {
        job: nearly_empty(read_in(plan, *languages) if languages else plan, hookup)
        for job, (plan, hookup) in day(date).items()
    }
    assert found
    assert {job: pages for job, pages in found.items() if pages} == {}


@pytest.mark.parametrize("date", DAYS)
def test_what_the_old_front_asked_stands_in_every_jobs_steps(date: str) -> None:
    """Nameplate and pressure agree, cylinders inspected, no flame: said where it is done, on every job."""
    for job, (plan, hookup) in day(date).items():
        steps = [step for layout in hookup.layouts for stage in layout.stages for step in stage.steps]
        said = " ".join(step.text for step in steps)
        if reading_of(plan).language != "en":
            continue
        assert "no flame" in said, job
        assert "Inspect " in said, job
        assert "in doubt, don't fill it: tag it out" in said, job
        cautions = " ".join(text for step in steps for text in step.cautions)
        assert "never ice" in cautions, job
        words = " ".join(strings(compose(plan, hookup)))
        assert "Full and not finished: shut down as the steps say, and call." in words, job
        assert words.count("Where your fittings differ from it, stop and ask.") == len(hookup.layouts), job
        assert "Owner or representative, date" in words, job
        assert "Refrigerant verified" in said, job
        # the nameplate of a gas that nobody knows is trusted by nobody
        assert ("nameplate and pressure agree" in said) is not plan.mixed_or_unknown, job


def test_help_goes_below_the_front_and_off_it_again_where_a_notice_takes_its_room() -> None:
    content = compose(*day(MORNING)["HP-1202"])
    assert isinstance(content.sheets[1], Wrong)
    prepared = prepare(content, None)
    assert set_packet(prepared)[1].pages[:2] == ("Front, When it goes wrong", "Hookup")
    notice = Notice("Replaces revision AAAAAAAA.", tuple(f"Line {number} of what changed." for number in range(12)))
    noticed = replace(prepared, html=to_html(content, prepared.stamp.revision, notice), notice=notice)
    kept, again = set_packet(noticed)
    assert again.pages[:2] == ("Front", "Hookup")
    assert sum("When it goes wrong" in page for page in again.pages) == 1
    assert kept.stamp == noticed.stamp


@pytest.mark.parametrize("paper", ["letter", "A4"])
@pytest.mark.parametrize("date", DAYS)
def test_what_helps_when_it_goes_wrong_stands_on_one_page(date: str, paper: Literal["letter", "A4"]) -> None:
    places = {job: sum(_has_help(names) for names in pages(date, job, paper)) for job in day(date)}
    assert places
    assert set(places.values()) == {1}, places


def _has_help(names: str) -> bool:
    return not {"When it goes wrong", "Si algo sale mal"}.isdisjoint(names.split(", "))


@pytest.mark.parametrize("paper", ["letter", "A4"])
@pytest.mark.parametrize("date", DAYS)
def test_what_is_cut_off_takes_nothing_with_it(date: str, paper: Literal["letter", "A4"]) -> None:
    """On the leaves of a duplex print, pages 1 and 2 on the first: behind tags and owner's half nothing is printed, and nobody signs
    on their leaf what stays with the packet."""
    for job in day(date):
        made = printed(date, job, paper)
        cut = {box.page for box in made.boxes if box.key.startswith(("tag.", "owner."))}
        assert cut, job
        leaves = {leaf_of(page) for page in cut}
        stays = [
            box.key
            for box in made.boxes
            if leaf_of(box.page) in leaves and box.key.startswith(("signatures.", "go.", "caution."))
        ]
        assert stays == [], job
        texts = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(made.pdf)]
        for page in cut:
            back = page + 1 if page % 2 else page - 1
            if back > len(made.pages):
                continue
            assert made.pages[back - 1] == "", (job, back)
            assert not [box.key for box in made.boxes if box.page == back], (job, back)
            # the head's two lines and the foot's one
            assert len(texts[back - 1].strip().splitlines()) == 3, (job, texts[back - 1])


def leaf_of(page: int) -> int:
    return (page + 1) // 2


def test_a_setting_begun_closer_is_the_one_that_trying_both_would_choose() -> None:
    """Where estimates say that there is a side too many, the press begins closer: it saves a setting, and changes nothing."""
    begun = []
    for date in DAYS:
        for name, pair in day(date).items():
            content = compose(*pair)
            if sides_set_closer(content) is None:
                continue
            begun.append(name)
            prepared = prepare(content, None)
            assert _laid_out(prepared)[0].html == _usual_or_closer(prepared)[0].html, name
    assert {"HP-1047", "HP-1207"} <= set(begun)
