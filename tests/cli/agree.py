"""Whether run sheet, stacks and files agree, by another route than the program's: YAML read plainly, PDFs read back."""

import re
from pathlib import Path

import yaml
from pypdf import PdfReader

JOB = re.compile(r"\bHP-\d{4}\b")
REVISION = re.compile(r"Revision ([A-Z2-7]{8})")


def words(path: Path) -> list[str]:
    """The text of each page."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


def in_files(shop: Path, day: str) -> dict[str, str]:
    """Jobs that stand on a day by their files, with their trucks; '?' for a file that is no YAML."""
    found = {}
    for path in (shop / day).glob("HP-*.yaml"):
        try:
            raw = yaml.safe_load(path.read_text("utf-8"))
            if not raw.get("called_off"):
                found[path.stem] = str(raw["truck"])
        except yaml.YAMLError:
            found[path.stem] = "?"
    return found


def disagreements(
    shop: Path, out: Path, day: str, *, complete: bool, unread: frozenset[str] = frozenset()
) -> list[str]:
    """Everything in which the papers of a day say otherwise than the files, or than one another.

    unread: jobs whose files have a slip; a truck of nothing but those has no page of its own.

    complete: all papers must be there, as after a print of the whole day; otherwise those that are there must be true.
    """
    jobs, found = in_files(shop, day), []
    sheet = out / f"{day}-runsheet.pdf"
    if sheet.is_file():
        pages = words(sheet)
        board = [page for page in pages if f"Run sheet, {_us(day)}" in page]
        named = set(JOB.findall(" ".join(board)))
        if named != set(jobs):
            found.append(f"run sheet names {sorted(named)}, files {sorted(jobs)}")
    elif complete and jobs:
        found.append("no run sheet")
    standing = {name for folder in shop.glob("2026-*") for name in in_files(shop, folder.name)}
    found += [f"{path.name} lies there for nothing" for path in out.glob("HP-*.pdf") if path.stem not in standing]
    for truck in ("T1", "T2", "T3", "T4"):
        ours = {job for job, on in jobs.items() if on == truck}
        stack = out / f"{day}-{truck}.pdf"
        if not stack.is_file():
            if complete and ours:
                found.append(f"{truck} has {sorted(ours)} and no stack")
            continue
        top, *rest = words(stack)
        packets = {str(mark["/Title"]) for mark in PdfReader(stack).outline if isinstance(mark, dict)} - {
            f"Truck {truck}"
        }
        if f"Truck {truck}, {_us(day)}" not in top and ours - unread:
            found.append(f"no page of {truck} on its stack")
        if ours != packets:
            found.append(f"stack of {truck} holds {sorted(packets)}, files say {sorted(ours)}")
        lying = {one for job in ours for page in words(out / f"{job}.pdf") for one in REVISION.findall(page)}
        if set(REVISION.findall(" ".join(rest))) != lying:
            found.append(f"stack of {truck} holds other revisions than the packets that lie there")
        if sheet.is_file() and top not in words(sheet) and ours - unread:
            found.append(f"{truck}'s page on the stack is not the run sheet's")
    return found


def _us(day: str) -> str:
    year, month, number = day.split("-")
    name = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"][int(month) - 1]
    return f"{name} {int(number)}, {year}"
