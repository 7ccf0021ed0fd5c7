"""Finding a job again: by number, site, cylinder, appliance, technician or date, whatever has become of it."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from packet.figures import show_weight
from packet.ledger import records
from packet.ledger.records import Records, Standing
from packet.office.jobs import (
    JOB_STATES,
    JobState,
    filed_jobs,
    filed_state,
    newest_print,
    not_done,
    printed_state,
)
from packet.office.pages.readings import scan_says
from packet.office.promised import Appliance, promised_or_none
from packet.press.printed import PrintRecord, print_files, printed_folder
from packet.shop import text
from packet.shop.load import day_folders, job_files
from packet.shop.records import Registers
from packet.shop.text import Map, Node, Seq, Text
from packet.shop.whole import OwnFileError, read_start
from packet.units import UnitSystem
from packet.words import t


@dataclass(frozen=True, slots=True)
class FoundJob:
    """A job that fits. recovered: by the scale, as the shop reads it, '' before it is filed. record: the record's file name,
    '' before. scan: what the scan of its packet says otherwise than what was typed, sentences."""

    job: str
    day: str
    state: JobState
    site: str
    appliance: str
    refrigerant: str
    technician: str
    cylinders: tuple[str, ...]
    recovered: str = ""
    record: str = ""
    truck: str = ""
    start: str = ""
    scan: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Known:
    """A job with every word it can be found by."""

    found: FoundJob
    words: str


def find_jobs(registers: Registers, shop_folder: Path, wanted: str, *, today: date) -> tuple[FoundJob, ...]:
    """Jobs in which every word of `wanted` occurs, capitals or not, newest day first. Nothing wanted finds nothing.

    A filed job is found by what was filed, a printed one by its newest print, a planned one by its file. Raises OSError.
    """
    parts = wanted.casefold().split()
    if not parts:
        return ()
    files = {path.stem: path for folder in day_folders(shop_folder) for path in job_files(folder)}
    known = (_with_file(item, files.get(item.found.job)) for item in _every_job(shop_folder, registers, today))
    fitting = [item.found for item in known if all(_is_in(part, item.words) for part in parts)]
    return tuple(sorted(sorted(fitting, key=lambda item: item.job), key=lambda item: item.day, reverse=True))


# what is looked up in a job's file whatever has become of it: plain lines, as five thousand files are looked through
_LINES = re.compile(rb"^(?:\s+(phone)|(truck)|(start)|(called_off))[ \t]*:[ \t]*['\"]?([^'\"#\r\n]+)", re.MULTILINE)
MOST_BYTES = 200_000


def _with_file(known: _Known, path: Path | None) -> _Known:
    """The job with truck, start and phone of its file; a phone is found by its digits alone, too."""
    if path is None:
        return known
    try:
        start = read_start(path, MOST_BYTES)
    except (FileNotFoundError, OwnFileError):
        return known
    told: dict[str, str] = {}
    for match in _LINES.finditer(start):
        name = next(part for part in match.groups()[:4] if part).decode()
        told.setdefault(name, match[5].decode("utf-8", "replace").strip())
    phone = told.get("phone", "")
    more = (told.get("truck", ""), told.get("start", ""), phone, "".join(filter(str.isdigit, phone)))
    found = replace(known.found, truck=told.get("truck", ""), start=told.get("start", ""))
    if "called_off" in told and found.state not in ("filed", "corrected"):
        found = replace(found, state="not done")
    return _Known(found, "\n".join((known.words, *more)).casefold())


def _is_in(part: str, words: str) -> bool:
    digits = "".join(filter(str.isdigit, part))
    phone = len(digits) >= 7 and all(sign.isdigit() or sign in "+-()./" for sign in part)
    return part in words or (phone and digits[-7:] in words)


def promised_cylinders(shop_folder: Path, found: Records) -> dict[str, tuple[str, ...]]:
    """The jobs to come that name each cylinder, as 'HP-1041 2026-11-26': neither filed nor called off. Raises OSError.

    found: the shop's filed records.
    """
    over = filed_jobs(found).keys() | not_done(found)
    promised: dict[str, tuple[str, ...]] = {}
    for folder in day_folders(shop_folder):
        for path in job_files(folder):
            if path.stem in over:
                continue
            node = text.read(path).value
            for cylinder in _texts(node, "cylinders") if not _text(node, "called_off") else ():
                promised[cylinder] = (*promised.get(cylinder, ()), f"{path.stem} {folder.name}")
    return promised


def _every_job(shop_folder: Path, registers: Registers, today: date) -> Iterator[_Known]:
    found = records.read_records(shop_folder)
    filed, called_off = filed_jobs(found), not_done(found)
    files = print_files(printed_folder(shop_folder))
    newest = {job: newest_print(files[job]) for job in files.keys() - filed.keys()}
    # one whose print records cannot be read is found by its file
    printed = {job: item for job, item in newest.items() if item is not None}
    yield from (_of_record(job, item, registers.shop.units) for job, item in filed.items())
    for folder in day_folders(shop_folder):
        for path in job_files(folder):
            if path.stem not in filed and path.stem not in printed:
                yield _told(_of_file(path, folder.name, registers), called_off)
    for job in sorted(printed):
        yield _told(_of_print(printed[job], today), called_off)


def _told(known: _Known, called_off: frozenset[str]) -> _Known:
    if known.found.job not in called_off:
        return known
    return replace(known, found=replace(known.found, state="not done"))


def _of_record(job: str, item: Standing, units: UnitSystem) -> _Known:
    body = item.record.body
    cylinders = tuple(body.get("cylinders") or ())
    found = FoundJob(
        job,
        item.record.date,
        filed_state(item),
        str(body.get("site", "")),
        str(body.get("appliance", "")),
        str(body.get("refrigerant", "")),
        str(body.get("technician", "")),
        cylinders,
        show_weight(float(str(body.get("recovered_by_scale_lb", "0"))), units),
        item.record.name,
        scan=tuple(t("{key}: {said}", key=row.label, said=row.value) for row in scan_says(body)),
    )
    more = (
        str(body.get(key, ""))
        for key in ("address", "serial", "owner", "card", "supervisor", "truck", "appliance_kind")
    )
    return _Known(found, _words(found, more))


def _of_print(record: PrintRecord, today: date) -> _Known:
    its_print = promised_or_none(record)
    found = FoundJob(record.job, record.date.isoformat(), printed_state(record, today), "", "", "", "", ())
    if its_print is None:
        return _Known(found, _words(found, ()))
    job, technician = its_print.plan.inputs.job, its_print.technician
    found = replace(
        found,
        site=job.site.name,
        appliance=job.appliance.description,
        refrigerant=its_print.plan.refrigerant,
        technician=technician.name,
        cylinders=tuple(item.id for item in its_print.plan.cylinders),
    )
    more = (job.site.address, technician.card, job.truck, its_print.supervisor, *_about(job.appliance))
    return _Known(found, _words(found, more))


def _about(appliance: Appliance) -> tuple[str, ...]:
    return appliance.kind, appliance.serial, appliance.owner


def _of_file(path: Path, day: str, registers: Registers) -> _Known:
    """A job that is only planned: read without checking, so that a job with a mistake in it is found as well."""
    try:
        node = text.read(path).value
    except OSError:
        node = None
    names = {one.id: one.name for one in registers.technicians}
    who = _text(node, "technician")
    found = FoundJob(
        path.stem,
        day,
        "planned",
        _text(node, "site", "name"),
        _text(node, "appliance", "description"),
        _text(node, "appliance", "refrigerant"),
        names.get(who, who),
        _texts(node, "cylinders"),
    )
    more = [
        _text(node, *keys)
        for keys in (
            ("site", "address"),
            ("appliance", "kind"),
            ("appliance", "serial"),
            ("appliance", "owner"),
            ("truck",),
        )
    ]
    return _Known(found, _words(found, [*more, who]))


def _words(found: FoundJob, more: Iterable[str]) -> str:
    own = (found.job, found.day, found.site, found.appliance, found.refrigerant, found.technician, *found.cylinders)
    return "\n".join((*own, *more)).casefold()


def _child(node: Node | None, key: str) -> Node | None:
    entries: Mapping[str, Any] = {item.key: item.node for item in node.entries} if isinstance(node, Map) else {}
    return entries.get(key)


def _text(node: Node | None, *keys: str) -> str:
    for key in keys:
        node = _child(node, key)
    return node.value if isinstance(node, Text) else ""


def _texts(node: Node | None, key: str) -> tuple[str, ...]:
    found = _child(node, key)
    return tuple(item.value for item in found.items if isinstance(item, Text)) if isinstance(found, Seq) else ()


def found_as_text(found: tuple[FoundJob, ...]) -> str:
    """The jobs found, two lines each, for a terminal."""
    if not found:
        return t("No job fits.") + "\n"
    return "".join(_lines(item) for item in found)


def _lines(item: FoundJob) -> str:
    first = [
        item.job,
        item.day,
        item.start,
        item.truck,
        t(JOB_STATES[item.state]),
        item.refrigerant,
        item.recovered,
        item.record,
    ]
    second = [item.site, item.appliance, item.technician, ", ".join(item.cylinders)]
    head, tail = ("  ".join(part for part in parts if part) for parts in (first, second))
    scan = "".join(f"    {line}\n" for line in item.scan)
    return f"{head}\n    {tail}\n{scan}"
