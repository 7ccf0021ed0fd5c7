"""`packet print`: a bar on a terminal, plain lines in a pipe, a summary at the end, the record pages brought up to date."""

import argparse
import sys
from pathlib import Path

from packet.cli.talk import complain, now, say, today
from packet.collector import without_collecting
from packet.ledger.records import read_records
from packet.office.form import empty_form
from packet.office.pages.model import from_plan
from packet.office.pages.write import refresh
from packet.press.printed import PrintRecordError
from packet.press.run.model import Options, Request, Summary
from packet.press.run.print_days import NO_HOOKUP, print_jobs
from packet.press.run.progress import shown, summary_lines
from packet.press.run.state import BusyError
from packet.scan.write import FOLDER
from packet.shop.load import find_shop, load_registers


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
        # what is planned lives to the end, and what a packet leaves is cleared up between packets
        with without_collecting(), shown(sys.stdout) as listener:
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
            scans=out / FOLDER,
            planned=[
                from_plan(plan, hookups.get(plan.job.job, NO_HOOKUP).findings)
                for day in summary.days
                for plan in day.plans
            ],
        )
