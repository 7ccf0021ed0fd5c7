"""Showing a print run: a bar with job names and time left on a terminal, plain lines anywhere else, then a summary."""

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO

from packet.press.run.model import Event, JobResult, OnEvent, Outcome, Summary
from packet.press.run.state import FOLDER
from packet.visible import visible
from packet.words import N_, t, tn

OUTCOME_WORDS: dict[Outcome, str] = {
    "printed": N_("{job} printed: {path}"),
    "unchanged": N_("{job} unchanged: {path}"),
    "stopped": N_("{job} DO NOT DISPATCH: {path}"),
    "not-read": N_("{job} NOT READ, do not dispatch: {path}"),
    "filed": N_("{job} filed, not printed again"),
    "stale": N_("{job} not printed"),
    "failed": N_("{job} FAILED"),
}


@contextmanager
def shown(stream: TextIO = sys.stdout) -> Iterator[OnEvent]:
    """A listener for `print_jobs` that shows the run on `stream`, jobs in the order of the trucks."""
    if stream.isatty():
        with _bar(stream) as write:
            yield from _in_order(write)
    else:
        yield from _in_order(lambda _event, lines: _write(stream, lines))


def _in_order(write: Callable[[Event, list[str]], None]) -> Iterator[OnEvent]:
    """A listener that tells of each job when those before it in running order are told."""
    order: list[str] = []
    held: dict[str, Event] = {}

    def listen(event: Event) -> None:
        order.extend(event.order)
        if event.kind == "done" and event.name in order:
            held[event.name] = event
            write(event, [])
            while order and order[0] in held:
                ready = held.pop(order.pop(0))
                write(ready, event_lines(ready))
        else:
            write(event, event_lines(event))

    try:
        yield listen
    finally:
        for event in sorted(held.values(), key=lambda item: order.index(item.name)):
            write(event, event_lines(event))


def event_lines(event: Event) -> list[str]:
    """What a plain listing says about an event; nothing for most."""
    if event.kind == "done" and event.result is not None:
        return job_lines(event.result)
    if event.kind == "stack":
        return [t("stack: {path}", path=event.path)]
    if event.kind == "runsheet":
        return [t("run sheet: {path}", path=event.path)]
    if event.kind == "taken":
        return [t("taken away, no longer true: {path}", path=event.path)]
    return []


def job_lines(result: JobResult) -> list[str]:
    """How one job ended: a line, and lines below it with what to know."""
    lines = [t(OUTCOME_WORDS[result.outcome], job=result.job, path=result.path)]
    if result.replaces:
        lines.append(
            "  " + t("revision {revision} replaces {before}", revision=result.revision, before=result.replaces)
        )
        lines += [f"  {line}" for line in result.changed]
    return lines + [f"  {line}" for line in result.words]


def summary_lines(summary: Summary) -> list[str]:
    """The end of a run: problems of the input, then the counts."""
    lines = [str(problem) for problem in summary.problems]
    counts = [
        tn("{count} printed", "{count} printed", summary.count("printed")),
        tn("{count} unchanged", "{count} unchanged", summary.count("unchanged")),
        tn("{count} stopped", "{count} stopped", summary.count("stopped")),
        *([tn("{count} not read", "{count} not read", unread)] if (unread := summary.count("not-read")) else []),
        tn("{count} caution to initial", "{count} cautions to initial", summary.cautions),
    ]
    others = {
        "filed": tn("{count} filed already", "{count} filed already", summary.count("filed")),
        "failed": tn("{count} failed", "{count} failed", summary.count("failed")),
    }
    counts += [words for outcome, words in others.items() if any(item.outcome == outcome for item in summary.results)]
    if summary.problems:
        counts.append(tn("{count} problem in the input", "{count} problems in the input", len(summary.problems)))
    return [*lines, ", ".join(counts)]


def unknown_line(out: Path, papers: Sequence[Path]) -> str:
    """What to say of papers that were taken away as nobody can tell any more what they say."""
    return tn(
        "{folder} is lost or damaged: nobody can say whether {count} paper was still true. It was taken away; the next print makes again what is needed.",
        "{folder} is lost or damaged: nobody can say whether {count} papers were still true. They were taken away; the next print makes again what is needed.",
        len(papers),
        folder=out / FOLDER,
    )


@contextmanager
def _bar(stream: TextIO) -> Iterator[Callable[[Event, list[str]], None]]:
    from rich.console import Console
    from rich.markup import escape
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    console = Console(file=stream)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console) as progress:
        bar = progress.add_task(escape(t("planning")), total=None)

        def write(event: Event, lines: list[str]) -> None:
            name = visible(event.name) or t("planning")
            progress.update(bar, description=escape(name), completed=event.done, total=event.total or None)
            stops = event.result is not None and not event.result.may_go_out
            for line in lines:
                console.print(
                    visible(line), style="bold red" if stops else "", markup=False, highlight=False, soft_wrap=True
                )

        yield write


def _write(stream: TextIO, lines: list[str]) -> None:
    try:
        for line in lines:
            print(visible(line), file=stream, flush=True)
    except BrokenPipeError:
        # whoever read us has had enough; the day is printed all the same
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
