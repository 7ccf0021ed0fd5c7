"""`packet print` and `packet card`: a bar on a terminal, plain lines in a pipe, a summary at the end, the record pages brought up to date."""

import argparse
import sys
import time
import webbrowser
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from packet.cli.talk import complain, now, open_shop, say, today
from packet.cli.where import meant, out_of
from packet.collector import without_collecting
from packet.ledger.records import FOLDER as FILED
from packet.ledger.records import Records, read_more
from packet.ledger.witness import NAME as WITNESS
from packet.office.form import empty_form
from packet.office.pages.model import from_plan
from packet.office.pages.write import refresh
from packet.plan.reading import reading_of
from packet.press.card import card_name, lying_card, print_card
from packet.press.printed import PrintRecordError
from packet.press.run import progress
from packet.press.run.day import folders
from packet.press.run.model import Event, OnEvent, Options, PrintOrder, Summary
from packet.press.run.print_days import print_jobs
from packet.press.run.ready import NO_HOOKUP
from packet.press.run.state import BusyError
from packet.scan.write import FOLDER
from packet.sheets.card import card_in, languages_read, named_card
from packet.shop.load import find_shop, load_registers
from packet.shop.problems import WrongPathError
from packet.words import speaking, t

BELL = "\a"
AGAIN_SECONDS = 0.2


def run_print(arguments: argparse.Namespace) -> int:
    """`packet print`."""
    paths = tuple(meant(path, today()) for path in arguments.paths)
    out = arguments.out or out_of(find_shop(paths[0]))
    options = Options(
        workers=arguments.workers,
        fresh=arguments.fresh or arguments.html,
        trucks=tuple(arguments.truck),
        jobs=tuple(Path(name).stem for name in arguments.job),
        html=arguments.html,
        changed=arguments.changed or arguments.loaded is not None,
        loaded=arguments.loaded,
    )
    try:
        summary = print_once(paths, out, options)
        if arguments.open:
            open_papers(summary)
        if arguments.watch:
            _watch(paths, out, options, summary)
    except (BusyError, PrintRecordError) as error:
        complain(str(error))
        return 3
    return summary.exit_status


def run_card(arguments: argparse.Namespace) -> int:
    """`packet card`."""
    folder, registers = open_shop(arguments.folder)
    if registers is None:
        return 1
    shop, out = registers.shop, arguments.out or out_of(folder)
    for language in arguments.language or languages_read(registers):
        card = card_in(shop, language)
        path = print_card(card, shop, out)
        say(t("field card {revision}: {path}", revision=card.revision, path=path))
    say(t("Both sides on one sheet, laminated, one in each truck; take every other revision out."))
    if shop.policy.field_card == "packet":
        say(t("Packets carry this sheet themselves until shop.yaml says: policy: field_card: truck."))
    return 0


def _cards_to_print(summary: Summary, out: Path) -> tuple[str, ...]:
    """The field cards that these packets name and that do not lie ready, by their revisions."""
    named: dict[tuple[str, str], None] = {}
    for plan in (plan for day in summary.days for plan in day.plans):
        shop, reading = plan.registers.shop, reading_of(plan)
        for language in filter(None, (reading.language, reading.also)):
            with speaking(language):
                named[card_name(language, shop), named_card(shop)] = None
    return tuple(card for name, card in named if card and card != lying_card(out, name))


def print_once(paths: tuple[Path, ...], out: Path, options: Options, also: OnEvent | None = None) -> Summary:
    """Print, bring the record pages up to date, and tell how it ended. also: who else hears what happens, and first."""
    request = PrintOrder(paths, out, now(), empty_form, options)
    # what is planned lives to the end, and what a packet leaves is cleared up between packets
    with without_collecting(), progress.shown(sys.stdout) as show:

        def heard(event: Event) -> None:
            if also is not None:
                also(event)
            show(event)

        summary = print_jobs(request, heard)
    bring_pages_up_to_date(summary, paths, out)
    *problems, counts = progress.summary_lines(summary)
    for problem in problems:
        complain(problem)
    for path in summary.leaves:
        say(t("changed leaves: {path}", path=path))
    if summary.unknown:
        say(progress.unknown_line(out, summary.unknown))
    say(counts)
    for card in _cards_to_print(summary, out):
        say(t("The packets name field card {revision}; packet card prints it for the trucks.", revision=card))
    return summary


def open_papers(summary: Summary) -> None:
    """Open the run sheets and stacks in whatever this machine reads a PDF with."""
    for path in (*summary.runsheets, *summary.stacks):
        if not webbrowser.open(path.absolute().as_uri()):
            complain(t("Nothing on this machine opens a PDF: {path}", path=path))
            return


def _watch(paths: tuple[Path, ...], out: Path, options: Options, summary: Summary) -> None:
    """Print again whenever a file of these days, a register or a filed record is saved; ring when something stops."""
    say(t("Watching; Ctrl-C ends it."))
    days = {day.folder.absolute() for day in folders(paths)}
    for saved in saved_files(paths):
        bell = Bell(set(summary.stops))
        # one job's change is printed sooner here than by processes that have to be started first
        few = len(saved) == 1 and all(Path(name).absolute().parent in days for _, name in saved)
        try:
            summary = _when_free(paths, out, replace(options, workers=1) if few else options, bell.hear)
        except WrongPathError as error:  # the last job of a day was moved away
            complain(str(error))
            continue
        bell.ring(summary.stops)


def _when_free(paths: tuple[Path, ...], out: Path, options: Options, also: OnEvent) -> Summary:
    """Print as soon as nobody else does: a phone call made beside the watch holds the output folder for a moment."""
    told = False
    while True:
        try:
            return print_once(paths, out, options, also)
        except BusyError as error:
            if not told:
                complain(str(error))
            told = True
            time.sleep(AGAIN_SECONDS)


@dataclass(slots=True)
class Bell:
    """Rings when something stops that did not before: as soon as its day is planned, before any paper is set."""

    known: set[str]

    def hear(self, event: Event) -> None:
        """Something happened in a run."""
        self.ring(event.stops)

    def ring(self, stops: frozenset[str]) -> None:
        """These keep a job at home now; each is rung for once."""
        if not stops <= self.known:
            print(BELL, end="", flush=True)
        self.known |= stops


def saved_files(paths: tuple[Path, ...]) -> Iterator[set[tuple[object, str]]]:
    """What was saved, whenever that is a register, a job of the days or a filed record: (how, the file's name)."""
    from watchfiles import Change, watch

    shops = dict.fromkeys(find_shop(path) for path in paths)
    places = [*shops, *(day.folder for day in folders(paths))]
    places += [shop / FILED for shop in shops if (shop / FILED).is_dir()]

    def is_ours(_change: Change, name: str) -> bool:
        path = Path(name)
        if path.parent.name == FILED:
            return path.suffix in {".json", ".yaml"} and not path.name.startswith(".")
        return path.name == WITNESS or (path.suffix == ".yaml" and not path.name.startswith("."))

    return watch(*dict.fromkeys(places), watch_filter=is_ours, recursive=False, raise_interrupt=False)  # type: ignore[return-value]


def bring_pages_up_to_date(summary: Summary, paths: tuple[Path, ...], out: Path) -> None:
    """The record pages of what was planned in this run, and of every job whose state moved on since."""
    hookups = dict(summary.hookups)
    # of a job that is as it was the page is, too
    touched = {item.job for item in summary.results if item.outcome != "unchanged"}
    touched |= {path.stem for path in (*summary.taken, *summary.unknown)}
    for folder in dict.fromkeys(find_shop(path) for path in paths):
        registers = load_registers(folder).value
        if registers is None:
            continue
        refresh(
            registers.shop,
            folder,
            out,
            filed=read_more(folder, summary.records.get(folder, Records((), ()))).filed,
            asof=today(),
            scans=out / FOLDER,
            tell=complain,
            touched=frozenset(touched),
            planned=[
                from_plan(plan, hookups.get(plan.job.job, NO_HOOKUP).findings)
                for day in summary.days
                for plan in day.plans
            ],
        )
