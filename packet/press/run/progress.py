"""Showing a print run: a bar with job names and time left on a terminal, plain lines anywhere else, then a summary."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TextIO

from packet.press.run.model import Event, JobResult, OnEvent, Outcome, Summary
from packet.words import N_, t, tn

OUTCOME_WORDS: dict[Outcome, str] = {
    "printed": N_("{job} printed: {path}"),
    "unchanged": N_("{job} unchanged: {path}"),
    "stopped": N_("{job} DO NOT DISPATCH: {path}"),
    "filed": N_("{job} filed, not printed again"),
    "stale": N_("{job} not printed"),
    "failed": N_("{job} FAILED"),
}


@contextmanager
def shown(stream: TextIO = sys.stdout) -> Iterator[OnEvent]:
    """A listener for `print_jobs` that shows the run on `stream`."""
    if stream.isatty():
        with _bar(stream) as listener:
            yield listener
    else:
        yield lambda event: _write(stream, event_lines(event))


def event_lines(event: Event) -> list[str]:
    """What a plain listing says about an event; nothing for most."""
    if event.kind == "done" and event.result is not None:
        return job_lines(event.result)
    if event.kind == "stack":
        return [t("stack: {path}", path=event.path)]
    if event.kind == "runsheet":
        return [t("run sheet: {path}", path=event.path)]
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
        tn("{count} caution to initial", "{count} cautions to initial", summary.cautions),
    ]
    others = {
        "filed": tn("{count} filed already", "{count} filed already", summary.count("filed")),
        "stale": tn("{count} no longer current", "{count} no longer current", summary.count("stale")),
        "failed": tn("{count} failed", "{count} failed", summary.count("failed")),
    }
    counts += [words for outcome, words in others.items() if any(item.outcome == outcome for item in summary.results)]
    if summary.problems:
        counts.append(tn("{count} problem in the input", "{count} problems in the input", len(summary.problems)))
    return [*lines, ", ".join(counts)]


@contextmanager
def _bar(stream: TextIO) -> Iterator[OnEvent]:
    from rich.console import Console
    from rich.markup import escape
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    console = Console(file=stream)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console) as progress:
        bar = progress.add_task(escape(t("planning")), total=None)

        def listen(event: Event) -> None:
            name = event.name or t("planning")
            progress.update(bar, description=escape(name), completed=event.done, total=event.total or None)
            for line in event_lines(event):
                console.print(line, markup=False, highlight=False, soft_wrap=True)

        yield listen


def _write(stream: TextIO, lines: list[str]) -> None:
    for line in lines:
        print(line, file=stream, flush=True)
