"""What a print run is asked, what it tells on the way, and what it says at the end."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, time
from pathlib import Path
from typing import Literal

from packet.hookup.model import Hookup
from packet.ledger.records import Records
from packet.plan.day_model import Day
from packet.plan.model import Plan
from packet.shop.problems import Problem

# How one job ended. 'not-read': its file cannot be used. 'filed': its readings are in, so it is not printed again.
# 'stale': not asked for in this run, and there is no packet of it that is what it would be. 'failed': the machine
# failed; nothing was written for it.
Outcome = Literal["printed", "unchanged", "stopped", "not-read", "filed", "stale", "failed"]
EventKind = Literal["planning", "planned", "started", "done", "stack", "runsheet", "taken"]
# The empty readings form of a job: plan, hookup, revision -> YAML text (packet.office.form.empty_form)
FormMaker = Callable[[Plan, Hookup, str], str]


@dataclass(frozen=True, slots=True)
class Options:
    """workers: processes, None for one a core. fresh: print what is unchanged too. trucks, jobs: only these, when given.

    html: write the HTML that each packet is set from, too, as `{job}.html`. changed: also join the leaves that differ
    from the prints before, as `{day}-{truck}.changed.pdf`. loaded: when the trucks were loaded, on the day of the jobs.
    """

    workers: int | None = None
    fresh: bool = False
    trucks: tuple[str, ...] = ()
    jobs: tuple[str, ...] = ()
    html: bool = False
    changed: bool = False
    loaded: time | None = None

    def wants(self, job: str, truck: str) -> bool:
        """Whether a job of the days asked for is to be printed."""
        return (not self.jobs or job in self.jobs) and (not self.trucks or truck in self.trucks)


@dataclass(frozen=True, slots=True)
class JobResult:
    """One job's end. path: its PDF. cautions: how many to initial. changed: what a new revision changed, sentences.

    words: why it was stopped or failed, or what to know (a form that was kept), sentences. seconds: of layout.
    pages: the sheet's name on each page of the packet as it lies there. revision: of what it would be now. by_file: it
    failed for a file that cannot be read, not for the machine's sake.
    """

    job: str
    truck: str
    outcome: Outcome
    path: Path | None = None
    form: Path | None = None
    revision: str = ""
    replaces: str = ""
    changed: tuple[str, ...] = ()
    cautions: int = 0
    may_go_out: bool = True
    words: tuple[str, ...] = ()
    seconds: float = 0.0
    pages: tuple[str, ...] = ()
    by_file: bool = False


@dataclass(frozen=True, slots=True)
class Event:
    """Something happened. done, total: jobs. path: what was written; result: of the job that is done.

    order: the jobs of a day that is planned now, by truck and start. stops: what keeps its jobs at home, or cannot be
    read, as `Summary.stops` says it at the end: known as soon as the day is planned, long before its paper is set.
    """

    kind: EventKind
    done: int
    total: int
    name: str = ""
    path: Path | None = None
    result: JobResult | None = None
    order: tuple[str, ...] = ()
    stops: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class PrintOrder:
    """Where the jobs are, where the paper goes, and the moment to put on print records.

    form: makes the readings form that lies beside each packet; handed in, as the office comes after the press.
    """

    paths: tuple[Path, ...]
    out: Path
    printed_at: datetime
    form: FormMaker
    options: Options = Options()


@dataclass(frozen=True, slots=True)
class Summary:
    """The run. days: as planned, for what follows (record pages). problems: of the input, all of them; overtaken: those of
    files that were saved meanwhile.

    taken: papers that are no longer true and were taken away; unknown: papers that were, as what was remembered of them is
    lost. leaves: what `Options.changed` made. records: the filed records that each shop's days were planned from.
    """

    results: tuple[JobResult, ...] = ()
    problems: tuple[Problem, ...] = ()
    overtaken: tuple[Problem, ...] = ()
    stacks: tuple[Path, ...] = ()
    runsheets: tuple[Path, ...] = ()
    taken: tuple[Path, ...] = ()
    unknown: tuple[Path, ...] = ()
    leaves: tuple[Path, ...] = ()
    days: tuple[Day, ...] = field(default=())
    hookups: tuple[tuple[str, Hookup], ...] = ()
    records: Mapping[Path, Records] = field(default_factory=dict)

    def count(self, outcome: Outcome) -> int:
        """How many jobs ended so."""
        return sum(item.outcome == outcome for item in self.results)

    @property
    def cautions(self) -> int:
        """Cautions on all packets that may go out."""
        return sum(item.cautions for item in self.results if item.may_go_out)

    @property
    def stops(self) -> frozenset[str]:
        """What keeps a job of this run at home, or off the paper."""
        # those of files that cannot be read among them
        found = {str(problem) for problem in self.problems if problem not in self.overtaken}
        for item in self.results:
            if not item.may_go_out or item.outcome == "failed":
                found |= stop_lines(item.job, () if item.outcome == "not-read" else item.words)
        return frozenset(found)

    @property
    def exit_status(self) -> int:
        """0 fine; 1 problems in the input or a job that may not go out; 3 the machine failed: the worst of the day."""
        if any(item.outcome == "failed" and not item.by_file for item in self.results):
            return 3
        return 1 if self.problems or any(item.by_file or not item.may_go_out for item in self.results) else 0


def stop_lines(job: str, words: Iterable[str]) -> frozenset[str]:
    """A job that may not go out and why, to compare with what was known before."""
    return frozenset({job, *(f"{job} {word}" for word in words)})


OnEvent = Callable[[Event], None]
