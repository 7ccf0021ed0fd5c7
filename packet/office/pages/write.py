"""The record pages: `out/records/{address}/index.html` for each job, where the codes on its paper lead.

Plain files that any static server can hand out, and nothing in that folder says more than the shop shows
(`packet.shop.addresses`): one HTML text a page, style inside, no script needed to read it. The office's own list of all
jobs lies beside it, in `out/office`. All of it can be thrown away: everything comes from the day's plans,
`jobs/printed` and `jobs/filed`.
"""

import os
import re
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import get_args
from urllib.parse import quote

from jinja2 import Environment
from markupsafe import Markup

from packet.ledger.records import Filed, Standing, standing
from packet.office.jobs import is_called_off
from packet.office.pages.index import Link, Listed, index_pages
from packet.office.pages.model import (
    STATE_WORDS,
    Known,
    Off,
    Page,
    from_print,
    memory_file,
    memory_text,
    remembered,
    remembered_jobs,
    settle,
)
from packet.office.pages.readings import RowGroup, readings, scan_says, totals
from packet.office.pages.view import about, numbers, place, readable
from packet.office.promised import promised_or_none
from packet.press.addresses import carried, noted
from packet.press.assets import environment
from packet.press.digest import digest
from packet.press.policy import content_policy
from packet.press.printed import PrintRecord, PrintRecordError, in_order, print_files, printed_folder
from packet.shop.addresses import chosen, record_address, shown
from packet.shop.records import Shop, Shown
from packet.shop.whole import PART, OwnFileError, Together, make_folder, read_whole, sweep
from packet.words import languages, speaking, spoken, t

FOLDER = "records"
OFFICE = "office"
PAGE = "index.html"
ROBOTS = "robots.txt"
# nobody works from a print of these
NO_PRINT = ("stopped", "called-off", "not-done")
EVERYTHING: frozenset[Shown] = frozenset(get_args(Shown))
_SCAN_NAME = re.compile(r"(?P<job>.+)\.(?P<revision>[A-Z2-7]{8})\.pdf")
_LIST_NAME = re.compile(r"index\.html|month-\d{4}-\d{2}\.html")
# what the folder of a page may hold of ours, of this version or an earlier one
_OURS = re.compile(r"index\.html|record\.json|.+\.pdf")
_MARK_OF_PAGE = re.compile(rb"<body data-revision=")
_MARK_OF_LIST = re.compile(rb'<section id="(open|day)">')


@dataclass(frozen=True, slots=True)
class Print:
    """A line of the list of prints."""

    revision: str
    when: str
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Refreshed:
    """written: files that are new. public: every file of the served folder that may be public, from that folder."""

    written: tuple[Path, ...]
    public: tuple[Path, ...]


def refresh(
    shop: Shop,
    shop_folder: Path,
    out: Path,
    *,
    filed: Iterable[Filed],
    asof: date,
    planned: Iterable[Known] = (),
    touched: frozenset[str] = frozenset(),
    scans: Path | None = None,
    tell: Callable[[str], None] = lambda _sentence: None,
) -> Refreshed:
    """Bring the pages up to date, and take out of the served folder what may no longer stand there.

    planned: jobs as just planned (`model.from_plan`). touched: jobs whose readings, prints, papers or scans are new.
    scans: the folder of filed scans, `{job}.{revision}.pdf` each. Pages of all other jobs are written only when their
    state or what the shop shows moved on. asof: today, which tells a print that is ready from one that is out. tell: is
    told of a print record that cannot be read; that job's page stays as it is. Each file is written whole or not at all.
    Raises OSError.
    """
    served = out / FOLDER
    counted = standing(filed)
    count = {item.first.subject: item for item in counted if item.kind == "job"}
    undone = {str(item.record.body.get("job", "")) for item in counted if item.kind == "not-done"}
    fresh = {item.job: item for item in planned}
    prints = print_files(printed_folder(shop_folder))
    there = noted(printed_folder(shop_folder))
    written: list[Path] = []
    every: list[Page] = []
    with Together() as together:
        desk = _Desk(shop, out, _scan_files(scans), _made(shop), together)
        for job in sorted(prints.keys() | fresh.keys() | remembered_jobs(out)):
            old, mine = remembered(out, job), prints.get(job, ())
            addresses = _addresses(shop, job, carried(there, job) if mine else frozenset())
            named = fresh.get(job) or (old.known if old is not None else None)
            off = None if job in count else _off(job, named, undone, shop_folder)
            # a run that was killed may have printed and not come to the pages
            if old is not None and job not in touched and old.known.prints == len(mine):
                known = settle(
                    fresh.get(job, old.known), old.known.revision, old.known.prints, count.get(job), asof, off=off
                )
                lie = all((served / one / PAGE).is_file() for one in addresses)
                if Page(known, addresses, desk.made) == old and lie and (job not in fresh or _beside(desk, old)):
                    every.append(old)
                    continue
            try:
                mine_read = in_order(mine)
            except PrintRecordError as error:
                tell(str(error))
                # unless more stands there than the shop shows by now: then it goes
                every += [old] if old is not None and old.made == desk.made else []
                continue
            current = mine_read[-1] if mine_read else None
            base = fresh.get(job) or _of_the_newest(old, current)
            if base is None:
                continue
            known = settle(base, current.revision if current else "", len(mine_read), count.get(job), asof, off=off)
            page = Page(known, addresses, desk.made)
            every.append(page)
            written += _write_page(desk, page, mine_read, count.get(job))
        written += _write_lists(desk, tuple(every))
        written += _written(together, served / ROBOTS, "User-agent: *\nDisallow: /\n")
    _take_away_others(served, {address for page in every for address in page.addresses}, shop)
    return Refreshed(tuple(written), tuple(_public(desk, every)))


def _off(job: str, known: Known | None, undone: set[str], shop_folder: Path) -> Off | None:
    """Whether a job that is not filed was called off, by its file, or not done, by the records."""
    if job in undone:
        return "not-done"
    file = shop_folder / known.date / f"{job}.yaml" if known is not None else None
    return "called-off" if file is not None and is_called_off(file) else None


def _addresses(shop: Shop, job: str, printed: frozenset[str]) -> tuple[str, ...]:
    """Where a job's page lies: the address of today first, then those that codes on its paper carry."""
    now = record_address(shop, job)
    return (now, *sorted(printed - {now}))


def _of_the_newest(old: Page | None, current: PrintRecord | None) -> Known | None:
    """What is known of a job that was not just planned: as its page remembers it, or as a newer print says."""
    if current is not None and (old is None or old.known.revision != current.revision):
        return from_print(current)
    return old.known if old is not None else None


@dataclass(frozen=True, slots=True)
class _Desk:
    """Whose pages these are, where the papers lie, each job's scans, a digest of all that is not the job's own, and the files
    that are being written."""

    shop: Shop
    out: Path
    scans: Mapping[str, Mapping[str, Path]]
    made: str
    together: Together


def _beside(desk: _Desk, page: Page) -> bool:
    """Whether the packet that lies beside a page is the one in the output folder."""
    for address in page.addresses:
        name = papers(page.known, shown(desk.shop, address), {}).packet
        source, target = desk.out / name, desk.out / FOLDER / address / name
        if name and source.is_file() and not (target.is_file() and target.samefile(source)):
            return False
    return True


def _made(shop: Shop) -> str:
    names = ("record.html", "record.css", "record.js", "records.html")
    texts = [files("packet.templates").joinpath(name).read_bytes() for name in names]
    said = (shop.company, shop.language, shop.units, *sorted(chosen(shop)), str(shop.records_secret is not None))
    return digest((*texts, *said))


def _write_page(desk: _Desk, page: Page, prints: tuple[PrintRecord, ...], filed: Standing | None) -> list[Path]:
    written = []
    for address in page.addresses:
        written += _write_at(desk, page.known, address, prints, filed)
    # the memory last: where it is missing or old, the page is made again
    memory = memory_file(desk.out, page.known.job)
    if memory.is_dir():  # nothing of ours, in a folder that may be thrown away
        shutil.rmtree(memory)
    return written + _written(desk.together, memory, memory_text(page))


def _write_at(
    desk: _Desk, known: Known, address: str, prints: tuple[PrintRecord, ...], filed: Standing | None
) -> list[Path]:
    """In the language of the paper whose code leads here, else in the shop's."""
    language = prints[-1].language if prints else ""
    with speaking(language if language in languages() else desk.shop.language):
        return _write_in_words(desk, known, address, prints, filed)


def _write_in_words(
    desk: _Desk, known: Known, address: str, prints: tuple[PrintRecord, ...], filed: Standing | None
) -> list[Path]:
    shop, may = desk.shop, shown(desk.shop, address)
    folder = desk.out / FOLDER / address
    make_folder(folder)
    sweep(folder)
    current = prints[-1] if prints else None
    names = papers(known, may, desk.scans.get(known.job, {}))
    pdf = _give(desk.out / names.packet, folder / names.packet) if names.packet else None
    for revision, name in names.scans.items():
        _give(desk.scans[known.job][revision], folder / name)
    _keep_only(folder, {PAGE, names.packet, *names.scans.values()})
    groups: tuple[RowGroup, ...] = readings(filed.record.body, shop.units, readable(may)) if filed else ()
    script = script_text() if current else Markup("")
    text = (
        templates()
        .get_template("record.html")
        .render(
            language=spoken(),
            company=shop.company,
            style=style(),
            script=script,
            policy=content_policy(str(style()), str(script)),
            shown=may,
            known=known,
            place=place(known, may),
            state_words=t(STATE_WORDS[known.state]),
            usable=known.state not in NO_PRINT,
            current=current,
            printed_when=_when(current) if current else "",
            sheets=list(current.pages) if current else [],
            pdf=quote(pdf.name) if pdf else "",
            scans=_scan_links(names.scans),
            readings=groups,
            scan_says=scan_says(filed.record.body) if filed and "reasons" in may else (),
            filed_words=_filed_words(filed) if filed else "",
            totals=totals(filed.record.body, shop.units, promised_or_none(current) if current else None)
            if filed
            else (),
            about=about(known, may),
            facts=numbers(current, may) if known.state not in NO_PRINT else (),
            prints=[
                Print(item.revision, _when(item), item.changed if "reasons" in may else ()) for item in reversed(prints)
            ],
        )
    )
    return _written(desk.together, folder / PAGE, text)


@dataclass(frozen=True, slots=True)
class Papers:
    """The files beside a page. packet: '' where there is none; scans: file name by revision."""

    packet: str
    scans: Mapping[str, str]


def papers(known: Known, may: frozenset[Shown], scans: Mapping[str, Path]) -> Papers:
    """What may lie beside a page: the packet where somebody may work from it, and its scans, each only where shown."""
    packet = f"{known.job}.pdf" if "packet" in may and known.state not in NO_PRINT else ""
    return Papers(packet, {revision: f"scan.{revision}.pdf" for revision in sorted(scans)} if "scans" in may else {})


def _scan_links(scans: Mapping[str, str]) -> tuple[Link, ...]:
    return tuple(
        Link(quote(name), t("Open the scan of revision {revision}", revision=revision))
        for revision, name in scans.items()
    )


def _write_lists(desk: _Desk, every: tuple[Page, ...]) -> list[Path]:
    """The office's list, and the one that the pages link to where the shop shows it."""
    there = {path.name for path in desk.out.glob("*.pdf")}

    def beside(page: Page) -> Iterator[Link]:
        if f"{page.known.job}.pdf" in there:
            yield Link(f"../{quote(page.known.job)}.pdf", t("Open the packet (PDF)"))
        for revision, path in desk.scans.get(page.known.job, {}).items():
            words = t("Open the scan of revision {revision}", revision=revision)
            yield Link(quote(os.path.relpath(path, desk.out / OFFICE)), words)
            numbers = path.with_suffix(".html")  # `packet.scan.office_page` writes it where there are any
            if numbers.is_file():
                words = t("Numbers read from it, with their pictures")
                yield Link(quote(os.path.relpath(numbers, desk.out / OFFICE)), words)

    listed = [Listed(one.known, f"../{FOLDER}/{quote(one.addresses[0])}/{PAGE}", tuple(beside(one))) for one in every]
    written = []
    for name, text in index_pages(listed, desk.shop, templates(), style(), EVERYTHING).items():
        written += _written(desk.together, desk.out / OFFICE / name, text)
    may = chosen(desk.shop)
    if "index" in may:
        listed = [Listed(one.known, f"{quote(one.addresses[0])}/{PAGE}") for one in every]
        for name, text in index_pages(listed, desk.shop, templates(), style(), may).items():
            written += _written(desk.together, desk.out / FOLDER / name, text)
    return written


def _take_away_others(served: Path, addresses: set[str], shop: Shop) -> None:
    """Take out of the served folder the pages at addresses that no code leads to, and a list that is not shown."""
    for path in list(served.iterdir()):
        if path.is_dir() and not path.is_symlink():
            if path.name not in addresses and _says(path / PAGE, _MARK_OF_PAGE):
                _keep_only(path, set())
                with suppress(OSError):  # somebody keeps a file of his own there
                    path.rmdir()
        elif _LIST_NAME.fullmatch(path.name) and "index" not in chosen(shop) and _says(path, _MARK_OF_LIST):
            path.unlink()


def _says(path: Path, mark: re.Pattern[bytes]) -> bool:
    """Whether a file is a page of ours, and not one that somebody laid here."""
    with suppress(OwnFileError, OSError):
        return mark.search(read_whole(path)) is not None
    return False


def _keep_only(folder: Path, names: set[str]) -> None:
    for path in list(folder.iterdir()):
        if _OURS.fullmatch(path.name) and path.name not in names and not path.is_dir():
            path.unlink()


def _public(desk: _Desk, every: Iterable[Page]) -> Iterator[Path]:
    """Every file of the served folder that may be public: named from what the shop shows, not from what lies there."""
    served = desk.out / FOLDER
    names = [Path(ROBOTS)]
    if "index" in chosen(desk.shop):
        months = sorted({page.known.date[:7] for page in every})
        names += [Path(PAGE), *(Path(f"month-{month}.html") for month in months)]
    for page in every:
        for address in page.addresses:
            beside = papers(page.known, shown(desk.shop, address), desk.scans.get(page.known.job, {}))
            names += [Path(address, name) for name in (PAGE, beside.packet, *beside.scans.values()) if name]
    return (name for name in names if (served / name).is_file() and not (served / name).is_symlink())


def _written(together: Together, path: Path, text: str) -> list[Path]:
    return [path] if together.write_if_new(path, text.encode()) else []


def _give(source: Path, target: Path) -> Path | None:
    """A PDF beside its page, so that the folder of pages can be served by itself. None when there is none."""
    if not source.is_file():
        return target if target.is_file() else None
    with suppress(FileNotFoundError):
        if target.samefile(source):
            return target
    part = target.with_name(f".{target.name}{PART}")
    part.unlink(missing_ok=True)
    try:
        os.link(source, part)
    except OSError:  # another disk, or a file system without links
        shutil.copyfile(source, part)
    part.replace(target)
    return target


def _scan_files(scans: Path | None) -> dict[str, dict[str, Path]]:
    """The filed scans by job and revision."""
    found: dict[str, dict[str, Path]] = {}
    for path in sorted(scans.glob("*.pdf")) if scans is not None else ():
        match = _SCAN_NAME.fullmatch(path.name)
        if match is not None:
            found.setdefault(match["job"], {})[match["revision"]] = path
    return found


def _when(record: PrintRecord) -> str:
    return f"{record.printed_at:%Y-%m-%d %H:%M}"


def _filed_words(filed: Standing) -> str:
    if filed.corrected:
        return t("From record {name}, which corrects {first}.", name=filed.record.name, first=filed.first.name)
    return t("From record {name}.", name=filed.record.name)


@cache
def style() -> Markup:
    """The pages' style sheet."""
    return Markup(files("packet.templates").joinpath("record.css").read_text("utf-8"))


@cache
def script_text() -> Markup:
    """The one script: it says whether the sheet in hand is the current print."""
    return Markup(files("packet.templates").joinpath("record.js").read_text("utf-8"))


@cache
def templates() -> Environment:
    """The packet's environment, but a browser has every sign: nothing is replaced for want of a letter in our typeface."""
    return environment().overlay(finalize=None)
