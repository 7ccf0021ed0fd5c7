"""What lies in the output folder and is not what the files say now: found for every open day, and taken away.

A paper that is gone can be printed again; one that looks current and is not goes out on a truck.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from packet.press.card import card_name, lying_card
from packet.press.digest import digest
from packet.press.html import revision_of
from packet.press.printed import PrintFile, PrintRecord, PrintRecordError, in_order, print_files, printed_folder
from packet.press.run import state as run_state
from packet.press.run.ready import NO_HOOKUP, PlannedDay
from packet.press.run.sheet import BOARD, PartPrint, newest_part, reads_of
from packet.sheets.card import card_in
from packet.sheets.packet import compose
from packet.sheets.runsheet import RunSheet, run_sheet
from packet.shop.places import day_folders, job_files
from packet.words import languages

LEAVES = ".changed"  # behind a truck's name: the leaves of its stack that differ from what is in the field
_DAY = re.compile(r"(\d{4}-\d{2}-\d{2})-(.+?)(\.changed)?\.pdf", re.ASCII)


@dataclass(frozen=True, slots=True)
class Truth:
    """What each paper of a day would be now. revisions: by job, '' for one that has no packet (called off).

    pages: a digest by part ('runsheet' or the truck). trucks: those with a job; jobs: of each truck. cards: the
    revision of the shop's field card in each language, by its name.
    """

    day: str
    revisions: Mapping[str, str]
    pages: Mapping[str, str]
    jobs: Mapping[str, tuple[str, ...]]
    filed: frozenset[str]
    cards: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Pulled:
    """A print that is no longer true. what: the job, or the day and part of a run sheet; revision: of the print.

    truck: the one it was printed for, which has it.
    """

    what: str
    truck: str
    revision: str
    part: PartPrint | None = None


def truth_of(planned: PlannedDay, known: Mapping[str, str] | None = None, sheet: RunSheet | None = None) -> Truth:
    """What the papers of a planned day would be; nothing is set. In the current language.

    known: revisions by job, where they have been worked out; '' for one that could not be. sheet: the day's run sheet,
    where it has been composed.
    """
    item = planned.item
    sheet = sheet or run_sheet(planned.day, planned.hookups, item.registers.shop, item.unread)
    revisions = {
        plan.job.job: known[plan.job.job]
        if known is not None
        else planned.revisions.get(plan.job.job)
        or revision_of(compose(plan, planned.hookups.get(plan.job.job, NO_HOOKUP)))
        for plan in planned.day.plans
        if plan.job.job not in item.filed and plan.job.job not in planned.broken
    }
    # a job with the name of another paper has none of its own
    taken = {f"{item.folder_name}-{name}" for name in (BOARD, *(page.truck for page in sheet.trucks))}
    revisions |= {one.job: reads_of(one) for one in sheet.unread if one.job not in taken}
    revisions |= dict.fromkeys(item.called_off, "")
    jobs: dict[str, tuple[str, ...]] = {
        load.truck_id: tuple(name for name in load.jobs if name not in item.filed) for load in planned.day.loads
    }
    for one in sheet.unread:
        if one.truck and one.job in revisions:
            jobs[one.truck] = (*jobs.get(one.truck, ()), one.job)
    return Truth(
        day=item.folder_name,
        revisions=revisions,
        pages={BOARD: reads_of(sheet.board)} | {page.truck: reads_of(page) for page in sheet.trucks},
        jobs=jobs,
        filed=item.filed,
        cards={
            card_name(language, item.registers.shop): card_in(item.registers.shop, language).revision
            for language in languages()
        },
    )


def printed_now(shop_folder: Path, truth: Truth) -> tuple[Pulled, ...]:
    """The newest prints of a day's jobs and pages that are no longer true: paper to pull back."""
    found = []
    printed = print_files(printed_folder(shop_folder))
    for job, revision in truth.revisions.items():
        newest = _newest(printed.get(job, ()))
        if newest is not None and newest.revision != revision:
            found.append(Pulled(job, _truck_of(newest), newest.revision))
    folder = printed_folder(shop_folder) / "runsheets" / truth.day
    names = sorted({path.name.rsplit(".", 2)[0] for path in folder.glob("*.json")}) if folder.is_dir() else []
    for name in names:
        part = newest_part(shop_folder, truth.day, name)
        if part is not None and part.reads != truth.pages.get(name):
            found.append(Pulled(f"{truth.day}-{name}", "" if name == BOARD else name, "", part))
    return tuple(found)


def has_paper(shop_folder: Path, out: Path, folder: Path, filed: frozenset[str]) -> bool:
    """Whether a day with jobs that are not filed has papers in the output folder, or prints that may be out."""
    jobs = [path.stem for path in job_files(folder) if path.stem not in filed]
    if not jobs:
        return False
    printed = printed_folder(shop_folder) / "runsheets" / folder.name
    return printed.is_dir() or any((out / f"{job}.pdf").is_file() for job in jobs)


def _newest(files: tuple[PrintFile, ...]) -> PrintRecord | None:
    try:
        return next(reversed(in_order(files)), None)
    except PrintRecordError:
        return None


def _truck_of(record: PrintRecord) -> str:
    truck = record.plan.get("truck")
    return truck if isinstance(truck, str) else ""


@dataclass(frozen=True, slots=True)
class Taken:
    """Papers that were taken out of the output folder. untrue: they say something else than the files; unknown: what was
    remembered of them is lost or damaged, and nobody can tell what they say.
    """

    untrue: tuple[Path, ...] = ()
    unknown: tuple[Path, ...] = ()


def take_away(shop_folder: Path, out: Path, truths: Iterable[Truth]) -> Taken:
    """Take everything out of `out` that is not what `truths` say, and the papers of jobs and days that are gone.

    A form that somebody typed into stays. Days that `truths` do not speak of are left as they are.
    """
    if not out.is_dir():
        return Taken()
    known = {truth.day: truth for truth in truths}
    gone = tuple(dict.fromkeys(path for path in _wrong(shop_folder, out, known) if path.is_file()))
    unknown = tuple(path for path in gone if run_state.read_job(out, _remembered_as(path)) is None)
    for path in gone:
        path.unlink(missing_ok=True)
    for job in {path.stem for path in gone}:
        run_state.drop_form(out, job)
    return Taken(tuple(path for path in gone if path not in unknown), unknown)


def _remembered_as(path: Path) -> str:
    found = _DAY.fullmatch(path.name)
    return joined_name(found[1], f"{found[2]}{found[3] or ''}") if found else path.stem


def _wrong(shop_folder: Path, out: Path, known: Mapping[str, Truth]) -> Iterator[Path]:
    bad: set[str] = set()
    for truth in known.values():
        for job, revision in truth.revisions.items():
            path = out / f"{job}.pdf"
            if path.is_file() and not _is_current(out, path, job, revision):
                bad.add(job)
                yield path
            elif not path.is_file():
                bad.add(job)
    yield from _without_a_file(shop_folder, out)
    for name in {name for truth in known.values() for name in truth.cards}:
        lying = lying_card(out, name)
        if lying and lying not in {truth.cards.get(name) for truth in known.values()}:
            yield out / f"{name}.pdf"
    for path in sorted(out.glob("*.pdf")):
        found = _DAY.fullmatch(path.name)
        if found is None:
            continue
        day, name = found[1], found[2]
        truth_now = known.get(day)
        if truth_now is None:
            if not (shop_folder / day).is_dir() and newest_part(shop_folder, day, name):
                yield path
        elif newest_part(shop_folder, day, name):
            true = _still_cut_so(out, truth_now, name, bad) if found[3] else _holds(out, truth_now, name, bad)
            if not true:
                yield path


def _is_current(out: Path, path: Path, job: str, revision: str) -> bool:
    state = run_state.read_job(out, job)
    return state is not None and state.revision == revision and state.pdf == run_state.of_file(path)


def _holds(out: Path, truth: Truth, name: str, bad: set[str]) -> bool:
    """Whether a stack or a run sheet is what it would be: its pages, and every packet in it."""
    joined = run_state.read_job(out, joined_name(truth.day, name))
    if joined is None or joined.pdf != run_state.of_file(out / f"{truth.day}-{name}.pdf"):
        return False
    jobs = truth.jobs.get(name, ()) if name != BOARD else ()
    # a truck of nothing but jobs that cannot be read has no page of its own, and a stack of their sheets
    wanted = list(truth.pages) if name == BOARD else [name] if name in truth.pages else []
    if joined.revision != held(jobs) or not (wanted or jobs):
        return False
    for one in wanted:
        state = run_state.read_job(out, f"{truth.day}-{one}")
        if state is None or state.revision.rsplit(".", 1)[0] != truth.pages[one]:
            return False
    return not any(job in bad for job in jobs)


def _still_cut_so(out: Path, truth: Truth, name: str, bad: set[str]) -> bool:
    """Whether the packets that changed leaves were cut from lie there as they did, all of them true."""
    jobs = truth.jobs.get(name, ())
    leaves = run_state.read_job(out, joined_name(truth.day, f"{name}{LEAVES}"))
    if leaves is None or leaves.pdf != run_state.of_file(out / f"{truth.day}-{name}{LEAVES}.pdf"):
        return False
    return leaves.revision == cut_from(out, jobs) and not any(job in bad for job in jobs)


def cut_from(out: Path, jobs: Iterable[str]) -> str:
    """What is remembered of the packets that leaves were cut from."""
    return digest([f"{job} {run_state.of_file(out / f'{job}.pdf')}" for job in jobs])


def joined_name(day: str, name: str) -> str:
    """Under which name a stack or a run sheet is remembered."""
    return f"{day}-{name}-joined"


def held(jobs: Iterable[str]) -> str:
    """What is remembered of the packets that a stack holds."""
    return " ".join(jobs)


def _without_a_file(shop_folder: Path, out: Path) -> Iterator[Path]:
    """Packets of jobs that have no file any more: deleted, or renamed."""
    there = {path.stem for folder in day_folders(shop_folder) for path in job_files(folder)}
    printed = print_files(printed_folder(shop_folder))
    for path in sorted(out.glob("*.pdf")):
        remembered = (out / run_state.FOLDER / f"job-{path.stem}.json").is_file()
        ours = remembered or path.stem in printed
        if ours and path.stem not in there and not _DAY.fullmatch(path.name):
            yield path
