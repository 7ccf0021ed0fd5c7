"""Whether run sheet, stacks and files agree, by another route than the program's: YAML read plainly, PDFs read back by
another library than the one that joins them, and what a packet should say worked out from the files alone, with no
memory of what was printed.
"""

import re
from collections.abc import Iterator
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

import pypdfium2
import yaml

from packet.press.html import revision_of
from packet.press.run.day import DayFolder, read_days
from packet.press.run.pool import Workers
from packet.press.run.ready import plan_with_hookups
from packet.sheets.packet import compose
from packet.shop.places import job_files

JOB = re.compile(r"\bHP-\d{4}\b")
REVISION = re.compile(r"(?:Revision|Revisión) ([A-Z2-7]{8})")  # a packet may be in the language of who reads it
TRUCKS = ("T1", "T2", "T3", "T4")


def words(path: Path) -> tuple[str, ...]:
    """The text of each page."""
    return _read(path, sha256(path.read_bytes()).hexdigest())[0]


def bookmarks(path: Path) -> tuple[str, ...]:
    """The titles of the outline's top level."""
    return tuple(title for level, title in _read(path, sha256(path.read_bytes()).hexdigest())[1] if level == 0)


def sheets_marked(path: Path) -> dict[str, tuple[str, ...]]:
    """By top bookmark the titles below it."""
    found: dict[str, tuple[str, ...]] = {}
    at = ""
    for level, title in _read(path, sha256(path.read_bytes()).hexdigest())[1]:
        if level == 0:
            at = title
            found[at] = ()
        else:
            found[at] += (title,)
    return found


@lru_cache(maxsize=256)
def _read(path: Path, _digest: str) -> tuple[tuple[str, ...], tuple[tuple[int, str], ...]]:
    """Each page's text, and the outline as (level, title). The digest makes a file that was written anew be read anew."""
    with pypdfium2.PdfDocument(path) as pdf:
        texts = []
        for number in range(len(pdf)):
            page = pdf[number]
            text = page.get_textpage()
            texts.append(" ".join(text.get_text_range().split()))
            text.close()
            page.close()
        return tuple(texts), tuple((mark.level, mark.get_title()) for mark in pdf.get_toc())


def in_files(shop: Path, day: str) -> dict[str, str]:
    """Jobs that stand on a day by their files, with their trucks; '?' for a file that is no YAML."""
    return {job: str(raw.get("truck", "?")) for job, raw in standing(shop, day).items()}


def standing(shop: Path, day: str) -> dict[str, dict[str, object]]:
    """What the files of the jobs that stand on a day say; {} for a file that is no YAML."""
    found = {}
    for path in (shop / day).glob("HP-*.yaml"):
        try:
            raw = yaml.load(path.read_text("utf-8"), yaml.BaseLoader)
        except yaml.YAMLError:
            raw = {}
        if not raw.get("called_off"):
            found[path.stem] = raw
    return found


def revisions(shop: Path, day: str) -> dict[str, str]:
    """What each packet of a day is by the files, and nothing else: by job. Not-read jobs have none."""
    folder = shop / day
    inputs, _ = read_days([DayFolder(shop, folder, job_files(folder))])
    found = {}
    with Workers(1, "en") as workers:
        for item in inputs:
            planned = plan_with_hookups(item, workers)
            for plan in planned.day.plans:
                found[plan.job.job] = revision_of(compose(plan, planned.hookups[plan.job.job]))
    return found


def disagreements(
    shop: Path, out: Path, day: str, *, complete: bool, unread: frozenset[str] = frozenset()
) -> list[str]:
    """Everything in which the papers of a day say otherwise than the files, or than one another.

    unread: jobs whose files have a slip; a truck of nothing but those has no page of its own.

    complete: all papers must be there, as after a print of the whole day; otherwise those that are there must be true.
    """
    jobs = in_files(shop, day)
    found = list(_run_sheet(shop, out, day, unread)) if (out / f"{day}-runsheet.pdf").is_file() else []
    if complete and jobs and not (out / f"{day}-runsheet.pdf").is_file():
        found.append("no run sheet")
    elsewhere = {name for folder in shop.glob("2026-*") for name in in_files(shop, folder.name)}
    found += [f"{path.name} lies there for nothing" for path in out.glob("HP-*.pdf") if path.stem not in elsewhere]
    now = revisions(shop, day)
    for job in jobs:
        path = out / f"{job}.pdf"
        if path.is_file():
            says = {one for page in words(path) for one in REVISION.findall(page)}
            if job in unread:
                if "NOT READ" not in words(path)[0] or says:
                    found.append(f"{path.name} does not say that its file is not read")
            elif says != {now[job]}:
                found.append(f"{path.name} says {sorted(says)}, the files give {now[job]}")
        elif complete:
            found.append(f"no {path.name}")
        leaves = out / f"{day}-{jobs[job]}.changed.pdf"
        if leaves.is_file():
            says = {one for page in words(leaves) for one in REVISION.findall(page)}
            if not says <= set(now.values()):
                found.append(f"{leaves.name} says {sorted(says)}, the files give {sorted(now.values())}")
    for truck in TRUCKS:
        found += _stack(shop, out, day, truck, unread, complete=complete)
    return found


def _run_sheet(shop: Path, out: Path, day: str, unread: frozenset[str]) -> Iterator[str]:
    pages = words(out / f"{day}-runsheet.pdf")
    board = " ".join(page for page in pages if f"Run sheet, {_us(day)}" in page)
    jobs = standing(shop, day)
    if set(JOB.findall(board)) != set(jobs):
        yield f"run sheet names {sorted(set(JOB.findall(board)))}, files {sorted(jobs)}"
    for job, raw in jobs.items():
        if job not in unread and not re.search(rf"{raw['start']}(–\d\d:\d\d)? {job}\b", board):
            yield f"run sheet does not say {raw['start']} for {job}"
    for truck in TRUCKS:
        going = {job for job, raw in jobs.items() if raw.get("truck") == truck and job not in unread}
        own = [page for page in pages if f"Truck {truck}, {_us(day)}" in page]
        if bool(own) != bool(going):
            yield f"run sheet has {len(own)} pages of {truck} for {sorted(going)}"
        elif not going <= set(JOB.findall(" ".join(own))):
            yield f"{truck}'s page does not name {sorted(going)}"


def _stack(shop: Path, out: Path, day: str, truck: str, unread: frozenset[str], *, complete: bool) -> Iterator[str]:
    ours = {job for job, on in in_files(shop, day).items() if on == truck}
    stack, sheet = out / f"{day}-{truck}.pdf", out / f"{day}-runsheet.pdf"
    if not stack.is_file():
        if complete and ours:
            yield f"{truck} has {sorted(ours)} and no stack"
        return
    top, *rest = words(stack)
    if f"Truck {truck}, {_us(day)}" not in top and ours - unread:
        yield f"no page of {truck} on its stack"
    packets = set(bookmarks(stack)) - {f"Truck {truck}"}
    if ours != packets:
        yield f"stack of {truck} holds {sorted(packets)}, files say {sorted(ours)}"
    there = [path for job in ours if (path := out / f"{job}.pdf").is_file()]
    lying = {one for path in there for page in words(path) for one in REVISION.findall(page)}
    if set(REVISION.findall(" ".join(rest))) != lying:
        yield f"stack of {truck} holds other revisions than the packets that lie there"
    for job in packets & unread:
        if not any("NOT READ" in page and job in page for page in (top, *rest)):
            yield f"stack of {truck} does not say that {job} is not read"
    if sheet.is_file() and top not in words(sheet) and ours - unread:
        yield f"{truck}'s page on the stack is not the run sheet's"


def _us(day: str) -> str:
    year, month, number = day.split("-")
    name = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"][int(month) - 1]
    return f"{name} {int(number)}, {year}"
