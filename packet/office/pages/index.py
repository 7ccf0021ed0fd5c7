"""The index of the record pages: what is open, the newest days, and each month by day, truck, refrigerant and state."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from urllib.parse import quote

from jinja2 import Environment
from markupsafe import Markup

from packet.office.pages.model import STATE_WORDS, STATES, Known
from packet.shop.records import Shop
from packet.words import t

NEWEST_DAYS = 7
OPEN = {"out", "stopped"}


@dataclass(frozen=True, slots=True)
class Item:
    """A job in a list."""

    href: str
    known: Known
    state_words: str


@dataclass(frozen=True, slots=True)
class Link:
    """A button."""

    href: str
    words: str


@dataclass(frozen=True, slots=True)
class JobGroup:
    """Jobs under a heading."""

    title: str
    jobs: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A section of a page: groups of jobs, or links."""

    id: str
    title: str
    groups: tuple[JobGroup, ...] = ()
    links: tuple[Link, ...] = ()


def index_pages(known: tuple[Known, ...], shop: Shop, templates: Environment, style: Markup) -> dict[str, str]:
    """File name → HTML: `index.html`, and `month-2026-11.html` for each month that has jobs."""
    template = templates.get_template("records.html")

    def page(title: str, parts: tuple[Section, ...], home: str) -> str:
        return template.render(
            language=shop.language, company=shop.company, style=style, title=title, parts=parts, home=home
        )

    ordered = sorted(known, key=lambda item: (item.date, item.truck, item.start, item.job))
    months = sorted({item.date[:7] for item in ordered}, reverse=True)
    pages = {"index.html": page(t("Recovery jobs"), _front(ordered, months), "")}
    for month in months:
        parts = _month([item for item in ordered if item.date[:7] == month])
        pages[month_file(month)] = page(t("Recovery jobs, {month}", month=month), parts, "index.html")
    return pages


def month_file(month: str) -> str:
    """The file of a month ('2026-11')."""
    return f"month-{month}.html"


def _front(ordered: list[Known], months: list[str]) -> tuple[Section, ...]:
    days = sorted({item.date for item in ordered}, reverse=True)[:NEWEST_DAYS]
    newest = [JobGroup(day, _items(item for item in ordered if item.date == day)) for day in days]
    still_open = [item for item in ordered if item.state in OPEN]
    return (
        Section("open", t("Open: out and not filed, or stopped"), _by(still_open, lambda item: item.date)),
        Section("days", t("Newest days"), tuple(newest)),
        Section("months", t("Months"), links=tuple(Link(month_file(month), month) for month in months)),
    )


def _month(jobs: list[Known]) -> tuple[Section, ...]:
    states = [(state, [item for item in jobs if item.state == state]) for state in STATES]
    return (
        Section("day", t("By day"), _by(jobs, lambda item: item.date)),
        Section("truck", t("By truck"), _by(jobs, lambda item: item.truck)),
        Section("refrigerant", t("By refrigerant"), _by(jobs, lambda item: item.refrigerant)),
        Section(
            "state",
            t("By state"),
            tuple(JobGroup(t(STATE_WORDS[state]), _items(some)) for state, some in states if some),
        ),
    )


def _by(jobs: list[Known], key: Callable[[Known], str]) -> tuple[JobGroup, ...]:
    return tuple(
        JobGroup(title, _items(item for item in jobs if key(item) == title))
        for title in sorted({key(item) for item in jobs})
    )


def _items(jobs: Iterable[Known]) -> tuple[Item, ...]:
    return tuple(Item(f"{quote(item.job)}/index.html", item, t(STATE_WORDS[item.state])) for item in jobs)
