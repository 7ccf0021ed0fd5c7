"""The list of the record pages: what is open, the newest days, and each month by day, truck, refrigerant and state.

The office has its own, which says everything; the pages link to one only where the shop shows it.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from jinja2 import Environment
from markupsafe import Markup

from packet.figures import gas_named
from packet.office.pages.model import STATE_WORDS, STATES, Known
from packet.office.pages.view import line
from packet.press.policy import content_policy
from packet.shop.records import Shop, Shown
from packet.words import t

NEWEST_DAYS = 7
OPEN = {"out", "stopped"}


@dataclass(frozen=True, slots=True)
class Link:
    """A button."""

    href: str
    words: str


@dataclass(frozen=True, slots=True)
class Listed:
    """A job of the list. href: of its page; links: further ones."""

    known: Known
    href: str
    links: tuple[Link, ...] = ()


@dataclass(frozen=True, slots=True)
class Item:
    """A job as it stands in a list."""

    known: Known
    href: str
    line: str
    state_words: str
    links: tuple[Link, ...]


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


def index_pages(
    listed: Iterable[Listed], shop: Shop, templates: Environment, style: Markup, shown: frozenset[Shown]
) -> dict[str, str]:
    """File name → HTML: `index.html`, and `month-2026-11.html` for each month that has jobs. shown: what may stand there."""
    template = templates.get_template("records.html")

    def page(title: str, parts: tuple[Section, ...], home: str) -> str:
        return template.render(
            language=shop.language,
            company=shop.company,
            style=style,
            policy=content_policy(str(style)),
            title=title,
            parts=parts,
            home=home,
        )

    ordered = sorted(listed, key=lambda item: _running_order(item.known, shown))
    items = [
        Item(one.known, one.href, line(one.known, shown), t(STATE_WORDS[one.known.state]), one.links) for one in ordered
    ]
    months = sorted({item.known.date[:7] for item in items}, reverse=True)
    pages = {"index.html": page(t("Recovery jobs"), _front(items, months), "")}
    for month in months:
        parts = _month([item for item in items if item.known.date[:7] == month], shown)
        pages[month_file(month)] = page(t("Recovery jobs, {month}", month=month), parts, "index.html")
    return pages


def _running_order(known: Known, shown: frozenset[Shown]) -> tuple[str, ...]:
    return (known.date, *((known.truck, known.start) if "truck" in shown else ()), known.job)


def month_file(month: str) -> str:
    """The file of a month ('2026-11')."""
    return f"month-{month}.html"


def _front(items: list[Item], months: list[str]) -> tuple[Section, ...]:
    days = sorted({item.known.date for item in items}, reverse=True)[:NEWEST_DAYS]
    newest = [JobGroup(day, tuple(item for item in items if item.known.date == day)) for day in days]
    still_open = [item for item in items if item.known.state in OPEN]
    return (
        Section("open", t("Open: out and not filed, or stopped"), _by(still_open, lambda item: item.known.date)),
        Section("days", t("Newest days"), tuple(newest)),
        Section("months", t("Months"), links=tuple(Link(month_file(month), month) for month in months)),
    )


def _month(items: list[Item], shown: frozenset[Shown]) -> tuple[Section, ...]:
    states = [(state, tuple(item for item in items if item.known.state == state)) for state in STATES]
    by_truck = (Section("truck", t("By truck"), _by(items, lambda item: item.known.truck)),)
    return (
        Section("day", t("By day"), _by(items, lambda item: item.known.date)),
        *(by_truck if "truck" in shown else ()),
        Section("refrigerant", t("By refrigerant"), _by(items, lambda item: gas_named(item.known.refrigerant))),
        Section("state", t("By state"), tuple(JobGroup(t(STATE_WORDS[state]), some) for state, some in states if some)),
    )


def _by(items: list[Item], key: Callable[[Item], str]) -> tuple[JobGroup, ...]:
    return tuple(
        JobGroup(title, tuple(item for item in items if key(item) == title))
        for title in sorted({key(item) for item in items})
    )
