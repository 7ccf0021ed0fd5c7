"""`packet print`: a bar on a terminal, plain lines in a pipe, a summary at the end, the record pages brought up to date."""

import argparse
from pathlib import Path

from packet.cli.talk import complain, now, say, today
from packet.ledger.records import read_records
from packet.office.form import empty_form
from packet.office.pages import refresh
from packet.office.pages_model import from_plan
from packet.press.printed import PrintRecordError
from packet.press.run import NO_HOOKUP, print_jobs
from packet.press.run_model import Options, Request, Summary
from packet.press.run_progress import shown, summary_lines
from packet.press.run_state import BusyError
from packet.shop.load import find_shop, load_registers
from packet.words import t


def add_commands(parsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """print."""
    text = t("Print packets: a PDF a job, a stack a truck, the day's run sheet, the record pages.")
    parser = parsers.add_parser("print", help=text, description=text, epilog="packet print jobs/2026-11-26")
    parser.add_argument(
        "paths", type=Path, nargs="+", metavar=t("PATH"), help=t("a job's file, a day's folder or the shop's folder")
    )
    parser.add_argument("--out", type=Path, default=Path("out"), metavar=t("DIR"), help=t("where to (default: out)"))
    parser.add_argument("--job", default="", metavar=t("JOB"), help=t("only this job"))
    parser.add_argument("--truck", default="", metavar=t("TRUCK"), help=t("only this truck"))
    parser.add_argument("--fresh", action="store_true", help=t("print what has not changed, too"))
    parser.add_argument("--workers", type=positive, metavar="N", help=t("processes (default: one a core)"))
    parser.add_argument("--html", action="store_true", help=t("write the HTML that each packet is set from, too"))
    parser.set_defaults(run=run_print)


def positive(word: str) -> int:
    """A count of at least one; argparse words the complaint."""
    count = int(word)
    if count < 1:
        raise ValueError(word)
    return count


def run_print(arguments: argparse.Namespace) -> int:
    """`packet print`."""
    options = Options(
        workers=arguments.workers,
        fresh=arguments.fresh or arguments.html,
        truck=arguments.truck,
        job=arguments.job,
        html=arguments.html,
    )
    request = Request(tuple(arguments.paths), arguments.out, now(), empty_form, options)
    try:
        with shown() as listener:
            summary = print_jobs(request, listener)
        bring_pages_up_to_date(summary, tuple(arguments.paths), arguments.out)
    except (BusyError, PrintRecordError) as error:
        complain(str(error))
        return 3
    *problems, counts = summary_lines(summary)
    for problem in problems:
        complain(problem)
    say(counts)
    return summary.exit_status


def bring_pages_up_to_date(summary: Summary, paths: tuple[Path, ...], out: Path) -> None:
    """The record pages of what was planned in this run, and of every job whose state moved on since."""
    hookups = dict(summary.hookups)
    for folder in dict.fromkeys(find_shop(path) for path in paths):
        registers = load_registers(folder).value
        if registers is None:
            continue
        refresh(
            registers.shop,
            folder,
            out,
            filed=read_records(folder).filed,
            asof=today(),
            planned=[
                from_plan(plan, hookups.get(plan.job.job, NO_HOOKUP).findings)
                for day in summary.days
                for plan in day.plans
            ],
        )
