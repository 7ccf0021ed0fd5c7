"""What a worker does: one job's hookup, one job's packet, one truck's stack. Runs in a process of its own, or in ours."""

import multiprocessing
import os
import signal
import threading
import time
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from packet.hookup.build import build_hookup
from packet.hookup.model import Hookup
from packet.plan.model import Plan
from packet.press.code import AddressTooLong
from packet.press.html import revision_of
from packet.press.job import print_packet
from packet.press.printed import PrintRecordError, newest_record
from packet.press.run import state as run_state
from packet.press.run.model import FormMaker, JobResult
from packet.press.run.sheet import print_run_sheet
from packet.press.run.state import Remembered
from packet.press.stack import Part, stack
from packet.press.standalone import standing_alone
from packet.sheets.packet import compose
from packet.sheets.runsheet import RunSheet
from packet.shop.whole import TakenError, write_if_new, write_whole
from packet.words import t, use

# what may go wrong for one job through no fault of the program's
EXPECTED = (OSError, AddressTooLong, PrintRecordError, TakenError)


@dataclass(frozen=True, slots=True)
class JobTask:
    """One job to print. asked: print it; otherwise only see whether its packet is still current.

    tools: the digest of code and libraries as the run began, one for all its workers.
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
    html: bool = False


@dataclass(frozen=True, slots=True)
class StackTask:
    """One truck's packets to join."""

    parts: tuple[Part, ...]
    path: Path
    title: str
    language: str


@dataclass(frozen=True, slots=True)
class SheetTask:
    """A day's run sheet to set."""

    sheet: RunSheet
    out: Path
    name: str
    tools: str


def begin(language: str) -> None:
    """A worker's first act: its language; Ctrl-C is the parent's business; no worker outlives its parent."""
    use(language)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, _leave)
    threading.Thread(target=_watch, daemon=True).start()


def _leave(_number: int, _frame: object) -> None:
    # unwinds, so that a file that is half written is taken away
    raise SystemExit(1)


def _watch() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def hook(plan: Plan) -> Hookup:
    """A job's hookup."""
    return build_hookup(plan)


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
        result = replace(result, words=(f"{type(error).__name__}: {error}",))
    return replace(result, seconds=time.perf_counter() - started)


def _print(task: JobTask, result: JobResult) -> JobResult:
    content = compose(task.plan, task.hookup)
    revision = revision_of(content)
    path = task.out / f"{result.job}.pdf"
    form = task.out / f"{result.job}.readings.yaml"
    if not task.fresh and _is_current(task, result, revision):
        return replace(
            result,
            outcome="unchanged" if result.may_go_out else "stopped",
            path=path,
            form=form if result.may_go_out else None,
            revision=revision,
        )
    if not task.asked:
        # a job that was never printed has no packet that somebody could take along
        words = (*result.words, t("Its packet is not current: print {job} too.", job=result.job))
        return replace(result, outcome="stale", words=words if path.exists() else ())
    made = print_packet(
        task.plan, task.hookup, shop_folder=task.shop_folder, out_folder=task.out, printed_at=task.printed_at
    )
    if task.html:
        write_whole(path.with_suffix(".html"), standing_alone(made.prepared.html).encode())
    laid = _lay_form(task, result, revision, form)
    run_state.write_job(task.out, result.job, Remembered(task.tools, revision, run_state.of_file(path), laid.digest))
    return replace(
        result,
        outcome="printed" if result.may_go_out else "stopped",
        path=path,
        form=laid.path,
        revision=revision,
        replaces=made.prepared.replaces,
        changed=made.prepared.changed,
        words=result.words + laid.words,
        pages=len(made.printed.pages),
    )


def _is_current(task: JobTask, result: JobResult, revision: str) -> bool:
    known = run_state.read_job(task.out, result.job)
    newest = newest_record(task.shop_folder, result.job)
    return (
        known is not None
        and (known.tools, known.revision) == (task.tools, revision)
        and newest is not None
        and newest.revision == revision
        and known.pdf == run_state.of_file(task.out / f"{result.job}.pdf")
        and (not result.may_go_out or (task.out / f"{result.job}.readings.yaml").is_file())
    )


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
    if typed and form.read_bytes() != text:
        beside = form.with_name(f"{result.job}.{revision}.readings.yaml")
        write_whole(beside, text)
        words = t(
            "'{form}' has been typed into and was kept; the new form is '{new}'.", form=form.name, new=beside.name
        )
        return _Laid(beside, "", (words,))
    write_whole(form, text)
    return _Laid(form, run_state.of_file(form))


def set_paper(task: JobTask | StackTask | SheetTask) -> JobResult | Path:
    """Print a job, a truck's stack or a day's run sheet; one that would be the same is left alone. How the job ended,
    or the path.
    """
    if isinstance(task, JobTask):
        return print_job(task)
    if isinstance(task, StackTask):
        write_if_new(task.path, stack(task.parts, task.title, task.language))
        return task.path
    return print_run_sheet(task.sheet, task.out, task.name, task.tools)
