"""What a worker does: one job's hookup, one job's packet, one truck's stack. Runs in a process of its own, or in ours."""

import gc
import multiprocessing
import os
import signal
import threading
import time
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from packet.hookup.build import build_hookup
from packet.hookup.model import Hookup
from packet.plan.model import Plan
from packet.press.assets import standing_alone
from packet.press.code import AddressTooLong
from packet.press.digest import digest
from packet.press.html import revision_of
from packet.press.job import print_packet
from packet.press.printed import PrintHead, PrintRecordError, newest_head
from packet.press.run import state as run_state
from packet.press.run.model import FormMaker, JobResult
from packet.press.run.sheet import SetPart, SheetPart, print_part, print_unread
from packet.press.run.state import Remembered
from packet.press.stack import StackedPaper, stack
from packet.press.sure import NotSetError
from packet.sheets.model import Content
from packet.sheets.packet import compose
from packet.sheets.runsheet import UnreadSheet
from packet.shop.whole import TakenError, write_if_new, write_whole
from packet.words import t, use

# what may go wrong for one job through no fault of the program's
EXPECTED = (OSError, AddressTooLong, NotSetError, PrintRecordError, TakenError)


@dataclass(frozen=True, slots=True)
class Said:
    """What a packet would say. revision: of the packet; beside: a digest of what stands on it and voids no print, ''
    of a job that is not asked for and whose revision was remembered.
    """

    revision: str
    beside: str


@dataclass(frozen=True, slots=True)
class JobTask:
    """One job to print. asked: print it; otherwise only see whether its packet is still current.

    said: what it would say; None where that was not made out beforehand. tools: the digest of code and libraries as the run
    began, one for all its workers.
    """

    plan: Plan
    hookup: Hookup
    shop_folder: Path
    out: Path
    printed_at: datetime
    form: FormMaker
    fresh: bool
    asked: bool
    tools: str
    said: Said | None
    html: bool = False


@dataclass(frozen=True, slots=True)
class StackTask:
    """Papers to join: a truck's stack, or the run sheet. duplex: every paper begins on a front side."""

    parts: tuple[StackedPaper, ...]
    path: Path
    title: str
    language: str
    duplex: bool = True


@dataclass(frozen=True, slots=True)
class SheetTask:
    """A part of a day's run sheet to set."""

    sheet: SheetPart
    shop_folder: Path
    out: Path
    day: str
    printed_at: datetime
    tools: str


def begin(language: str) -> None:
    """A worker's first act: its language; Ctrl-C is the parent's business; no worker outlives its parent."""
    use(language)
    gc.disable()  # between two papers, see `_collect`
    gc.freeze()  # the libraries live to the end
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, _leave)
    threading.Thread(target=_watch, daemon=True).start()


def _leave(_number: int, _frame: object) -> None:
    # at once: what sets type swallows whatever is raised inside it, and would go on with half a drawing. A file that was
    # being written has another name until it is whole; the next run sweeps it away.
    os._exit(1)


def _watch() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def hook(plan: Plan) -> Hookup:
    """A job's hookup."""
    return build_hookup(plan)


def what_it_says(job: tuple[Plan, Hookup]) -> Said:
    """What a job's packet would say; nothing is set."""
    return _said_by(compose(*job))


def _said_by(content: Content) -> Said:
    return Said(revision_of(content), digest((*content.truck, content.records_url, content.address)))


def print_job(task: JobTask) -> JobResult:
    """Print one job, or leave it alone when nothing on it would change. What befalls one job is in its result."""
    job = task.plan.job
    started = time.perf_counter()
    findings = task.plan.findings + task.hookup.findings
    result = JobResult(
        job=job.job,
        truck=job.truck,
        outcome="failed",
        cautions=sum(item.severity == "caution" for item in findings),
        may_go_out=all(item.severity != "stop" for item in findings),
        words=tuple(item.message for item in findings if item.severity == "stop"),
    )
    try:
        result = _print(task, result)
    except EXPECTED as error:
        by_file = isinstance(error, PrintRecordError)
        words = str(error) if by_file else f"{type(error).__name__}: {error}"
        if by_file:  # paper that the shop does not know of is none
            (task.out / f"{job.job}.pdf").unlink(missing_ok=True)
        result = replace(result, words=(words,), by_file=by_file)
    return replace(result, seconds=time.perf_counter() - started)


def _print(task: JobTask, result: JobResult) -> JobResult:
    content = None
    if (said := task.said) is None:
        content = compose(task.plan, task.hookup)
        said = _said_by(content)
    revision, beside = said.revision, said.beside
    if not task.asked:
        return _seen(task, result, revision)
    path = task.out / f"{result.job}.pdf"
    form = task.out / f"{result.job}.readings.yaml"
    current = None if task.fresh else current_record(task.shop_folder, task.out, task.tools, result, revision)
    known = run_state.read_job(task.out, result.job)
    if known is not None and known.beside != beside:
        # the print in the field stays good; the one that lies here is made again
        current = None
    if current is not None:
        return _unchanged(task, result, current)
    made = print_packet(
        task.plan,
        task.hookup,
        shop_folder=task.shop_folder,
        out_folder=task.out,
        printed_at=task.printed_at,
        content=content,
    )
    if task.html:
        write_whole(path.with_suffix(".html"), standing_alone(made.prepared.html).encode())
    laid = _lay_form(task, result, revision, form)
    run_state.write_job(
        task.out, result.job, Remembered(task.tools, revision, run_state.of_file(path), laid.digest, beside)
    )
    return replace(
        result,
        outcome="printed" if result.may_go_out else "stopped",
        path=path,
        form=laid.path,
        revision=revision,
        replaces=made.prepared.replaces,
        changed=made.prepared.told,
        words=result.words + laid.words,
        pages=made.printed.pages,
    )


def _collect() -> None:
    # the collector is held off, and a paper's layout is full of loops; what is kept for the next ones is not looked
    # through again with each
    gc.collect()
    gc.freeze()


def _seen(task: JobTask, result: JobResult, revision: str) -> JobResult:
    """A job that is not asked for: whether the packet that lies there is what it would be now."""
    current = current_record(task.shop_folder, task.out, task.tools, result, revision)
    return replace(result, outcome="stale", revision=revision) if current is None else _unchanged(task, result, current)


def _unchanged(task: JobTask, result: JobResult, current: PrintHead) -> JobResult:
    """A job whose packet lies there as it would be now."""
    return replace(
        result,
        outcome="unchanged" if result.may_go_out else "stopped",
        path=task.out / f"{result.job}.pdf",
        form=task.out / f"{result.job}.readings.yaml" if result.may_go_out else None,
        revision=current.revision,
        pages=current.pages,
    )


def current_record(shop_folder: Path, out: Path, tools: str, result: JobResult, revision: str) -> PrintHead | None:
    """The head of the record of the packet that lies in `out`, when that packet is what it would be now; else None."""
    known = run_state.read_job(out, result.job)
    if known is None or (known.tools, known.revision) != (tools, revision):
        return None
    if known.pdf != run_state.of_file(out / f"{result.job}.pdf"):
        return None
    if result.may_go_out and not (out / f"{result.job}.readings.yaml").is_file():
        return None
    newest = newest_head(shop_folder, result.job)
    return newest if newest is not None and newest.revision == revision else None


@dataclass(frozen=True, slots=True)
class _Laid:
    """The readings form as it lies beside the packet. digest: of what we wrote there, '' when someone typed into it."""

    path: Path | None
    digest: str
    words: tuple[str, ...] = ()


def _lay_form(task: JobTask, result: JobResult, revision: str, form: Path) -> _Laid:
    """Lay the empty form beside the packet; never over one that somebody has typed into."""
    known = run_state.read_job(task.out, result.job)
    found = run_state.of_file(form)
    typed = bool(found) and (known is None or known.form != found)
    if not result.may_go_out:
        if found and not typed:
            form.unlink()
        return _Laid(None, "")
    text = task.form(task.plan, task.hookup, revision).encode()
    if typed and found != sha256(text).hexdigest():
        beside = form.with_name(f"{result.job}.{revision}.readings.yaml")
        write_whole(beside, text)
        words = t(
            "'{form}' has been typed into and was kept; the new form is '{new}'.", form=form.name, new=beside.name
        )
        return _Laid(beside, "", (words,))
    write_whole(form, text)
    return _Laid(form, run_state.of_file(form))


def set_paper(task: JobTask | SheetTask) -> JobResult | SetPart | Path:
    """Print a job or a part of a run sheet; one that would be the same is left alone. How the job ended, or the part,
    or the path of an unread job's sheet.
    """
    done = _set_paper(task)
    _collect()
    return done


def _set_paper(task: JobTask | SheetTask) -> JobResult | SetPart | Path:
    if isinstance(task, JobTask):
        return print_job(task)
    if isinstance(task.sheet, UnreadSheet):
        return print_unread(task.sheet, out=task.out, tools=task.tools)
    return print_part(
        task.sheet,
        shop_folder=task.shop_folder,
        out=task.out,
        day=task.day,
        printed_at=task.printed_at,
        tools=task.tools,
    )


def join(task: StackTask) -> Path:
    """Join a stack or a run sheet; one that would be the same is left alone. Its path."""
    write_if_new(task.path, stack(task.parts, task.title, task.language, duplex=task.duplex))
    return task.path
