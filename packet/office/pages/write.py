"""The record pages: `out/records/{job}/index.html` for each job, where the code on the paper leads, and the index.

Plain files that any static server can hand out: one HTML text a page, style inside, no script needed to read it. They
can be thrown away: everything on them comes from the day's plans, `jobs/printed` and `jobs/filed`.
"""

import os
import re
import shutil
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from pathlib import Path
from urllib.parse import quote

from jinja2 import Environment
from markupsafe import Markup

from packet.ledger.records import Filed, Standing, standing
from packet.office.jobs import is_called_off
from packet.office.pages.index import index_pages
from packet.office.pages.model import (
    MEMORY,
    STATE_WORDS,
    Known,
    Off,
    from_print,
    memory_text,
    remembered,
    settle,
)
from packet.office.pages.readings import Row, RowGroup, readings, scan_says, totals
from packet.office.promised import promised_or_none
from packet.press.assets import environment
from packet.press.printed import PrintRecord, PrintRecordError, in_order, print_files, printed_folder
from packet.shop.records import Shop
from packet.shop.whole import PART, write_if_new
from packet.words import t

FOLDER = "records"
# nobody works from a print of these
NO_PRINT = ("stopped", "called-off", "not-done")
SCANS = "scan.*.pdf"
_SCAN_NAME = re.compile(r"(?P<job>.+)\.(?P<revision>[A-Z2-7]{8})\.pdf")


@dataclass(frozen=True, slots=True)
class Print:
    """A line of the list of prints."""

    revision: str
    when: str
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Link:
    """A button."""

    href: str
    words: str


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
) -> tuple[Path, ...]:
    """Bring the pages up to date; the files that were written.

    planned: jobs as just planned (`pages_model.from_plan`). touched: further jobs whose readings, prints or scans are
    new. scans: the folder of filed scans, `{job}.{revision}.pdf` each. Pages of all other jobs are written only when their state moved on. asof: today, which tells a print that is
    ready from one that is out. tell: is told of a print record that cannot be read; that job's page stays as it is. Each
    file is written whole or not at all. Raises OSError.
    """
    place = out / FOLDER
    counted = standing(filed)
    count = {item.first.subject: item for item in counted if item.kind == "job"}
    undone = {str(item.record.body.get("job", "")) for item in counted if item.kind == "not-done"}
    fresh = {item.job: item for item in planned}
    written: list[Path] = []
    every: list[Known] = []
    files = print_files(printed_folder(shop_folder))
    for job in sorted(files.keys() | fresh.keys() | _remembered_jobs(place)):
        old, mine = remembered(place / job), files.get(job, ())
        off = None if job in count else _off(job, fresh.get(job) or old, undone, shop_folder)
        # a run that was killed may have printed and not come to the pages
        if old is not None and job not in fresh and job not in touched and old.prints == len(mine):
            known = settle(old, old.revision, old.prints, count.get(job), asof, off=off)
            if known == old and (place / job / "index.html").is_file():
                every.append(old)
                continue
        try:
            prints = in_order(mine)
        except PrintRecordError as error:
            tell(str(error))
            continue
        current = prints[-1] if prints else None
        base = fresh.get(job) or _of_the_newest(old, current)
        if base is None:
            continue
        known = settle(base, current.revision if current else "", len(prints), count.get(job), asof, off=off)
        every.append(known)
        written += _write_job(_Places(shop, out, scans), known, prints, count.get(job))
    for name, text in index_pages(tuple(every), shop, templates(), style()).items():
        written += _written(place / name, text)
    return tuple(written)


def _off(job: str, known: Known | None, undone: set[str], shop_folder: Path) -> Off | None:
    """Whether a job that is not filed was called off, by its file, or not done, by the records."""
    if job in undone:
        return "not-done"
    file = shop_folder / known.date / f"{job}.yaml" if known is not None else None
    return "called-off" if file is not None and is_called_off(file) else None


def _of_the_newest(old: Known | None, current: PrintRecord | None) -> Known | None:
    """What is known of a job that was not just planned: as its page remembers it, or as a newer print says."""
    if current is not None and (old is None or old.revision != current.revision):
        return from_print(current)
    return old


def _remembered_jobs(place: Path) -> set[str]:
    return {path.parent.name for path in place.glob(f"*/{MEMORY}")}


@dataclass(frozen=True, slots=True)
class _Places:
    """Whose pages these are, and where papers and scans lie."""

    shop: Shop
    out: Path
    scans: Path | None


def _write_job(places: _Places, known: Known, prints: tuple[PrintRecord, ...], filed: Standing | None) -> list[Path]:
    shop, out = places.shop, places.out
    folder = out / FOLDER / known.job
    current = prints[-1] if prints else None
    folder.mkdir(parents=True, exist_ok=True)
    served = folder / f"{known.job}.pdf"
    if known.state in NO_PRINT:
        served.unlink(missing_ok=True)  # of the time before it was stopped
    pdf = _give(out / served.name, served) if known.state not in NO_PRINT else None
    groups: tuple[RowGroup, ...] = readings(filed.record.body, shop.units) if filed else ()
    text = (
        templates()
        .get_template("record.html")
        .render(
            language=shop.language,
            company=shop.company,
            style=style(),
            known=known,
            state_words=t(STATE_WORDS[known.state]),
            usable=known.state not in NO_PRINT,
            current=current,
            printed_when=_when(current) if current else "",
            sheets=list(current.pages) if current else [],
            pdf=quote(pdf.name) if pdf else "",
            scans=_scans(known.job, folder, places.scans),
            readings=groups,
            scan_says=scan_says(filed.record.body) if filed else (),
            filed_words=_filed_words(filed) if filed else "",
            totals=totals(filed.record.body, shop.units, promised_or_none(current) if current else None)
            if filed
            else (),
            about=_about(known),
            facts=_facts(known, current),
            prints=[Print(item.revision, _when(item), item.changed) for item in reversed(prints)],
        )
    )
    # the memory last: where it is missing or old, the page is made again
    return _written(folder / "index.html", text) + _written(folder / MEMORY, memory_text(known))


def _written(path: Path, text: str) -> list[Path]:
    return [path] if write_if_new(path, text.encode()) else []


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


def _scans(job: str, folder: Path, scans: Path | None) -> tuple[Link, ...]:
    for path in scans.glob("*.pdf") if scans is not None else ():
        match = _SCAN_NAME.fullmatch(path.name)
        if match is not None and match["job"] == job:
            _give(path, folder / f"scan.{match['revision']}.pdf")
    return tuple(
        Link(quote(path.name), t("Open the scan of revision {revision}", revision=path.name.split(".")[1]))
        for path in sorted(folder.glob(SCANS))
    )


def _when(record: PrintRecord) -> str:
    return f"{record.printed_at:%Y-%m-%d %H:%M}"


def _filed_words(filed: Standing) -> str:
    if filed.corrected:
        return t("From record {name}, which corrects {first}.", name=filed.record.name, first=filed.first.name)
    return t("From record {name}.", name=filed.record.name)


def _facts(known: Known, current: PrintRecord | None) -> list[Row]:
    """The numbers on the print, without what the page's head says anyway."""
    if current is None or known.state in NO_PRINT:
        return []
    said = {row.label for row in _about(known)} | {t("Truck"), t("May go out"), t("Date and start")}
    return [Row(label, value) for label, value in current.facts if label not in said]


def _about(known: Known) -> list[Row]:
    rows = (
        (t("Technician"), known.technician),
        (t("Appliance"), known.appliance),
        (t("Refrigerant"), known.refrigerant),
    )
    return [Row(label, value) for label, value in rows if value]


@cache
def style() -> Markup:
    """The pages' style sheet."""
    return Markup(files("packet.templates").joinpath("record.css").read_text("utf-8"))


@cache
def templates() -> Environment:
    """The packet's environment, but a browser has every sign: nothing is replaced for want of a letter in our typeface."""
    return environment().overlay(finalize=None)
