"""Before printing: a starter job, checks, the plan of one job, cylinders for a day."""

import argparse
import json
from pathlib import Path

from packet.cli.talk import complain, open_shop, say, tell
from packet.hookup.model import Hookup
from packet.plan.as_text import as_text
from packet.plan.document import plan_document
from packet.plan.model import Plan
from packet.plan.why import UnknownNumberError, listed, why
from packet.press.run.day import folders, read_days
from packet.press.run.pool import Workers
from packet.press.run.print_days import plan_with_hookups
from packet.shop.load import REGISTER_FILES, check, find_shop, load_registers, targets
from packet.shop.problems import WrongPathError
from packet.shop.starter import new_job
from packet.words import t, tn, use


def run_new(arguments: argparse.Namespace) -> int:
    """`packet new`."""
    made = new_job(arguments.job)
    if made.value is None:
        tell(made.problems)
        return 1
    say(t("Wrote {path}; fill in its blanks, then run: packet check {path}", path=made.value))
    return 0


def run_check(arguments: argparse.Namespace) -> int:
    """`packet check`."""
    open_language(arguments.paths[0])
    problems = check(arguments.paths)
    if tell(problems):
        return 1
    jobs = {job for path in arguments.paths if path.name not in REGISTER_FILES for job in targets([path])}
    say(tn("{count} job is in order.", "{count} jobs are in order.", len(jobs)) if jobs else t("In order."))
    return 0


def open_language(path: Path) -> None:
    """Speak the shop's language where its shop.yaml can be read."""
    loaded = load_registers(find_shop(path))
    if loaded.value is not None:
        use(loaded.value.shop.language)


def planned_job(path: Path) -> tuple[Plan, Hookup] | None:
    """One job planned as part of its whole day; None when there are problems, which are then told.

    Raises WrongPathError.
    """
    if path.is_dir():
        raise WrongPathError(t("'{path}' is a folder; name a job's file.", path=path))
    _, registers = open_shop(path)
    if registers is None:
        return None
    inputs, problems = read_days(folders([path]))
    tell(problems)
    for item in inputs:
        if path.stem in {job.job for job in item.jobs}:
            with Workers(1, item.registers.shop.language) as workers:
                ready = plan_with_hookups(item, workers)
            if path.stem in ready.broken:
                raise ready.broken[path.stem]
            plan = next(plan for plan in ready.day.plans if plan.job.job == path.stem)
            return plan, ready.hookups[path.stem]
    return None


def run_plan(arguments: argparse.Namespace) -> int:
    """`packet plan`."""
    found = planned_job(arguments.job)
    if found is None:
        return 1
    plan, hookup = found
    if arguments.why is not None:
        try:
            say("\n".join(why(plan, arguments.why) if arguments.why.strip() else listed(plan)))
        except UnknownNumberError as error:
            complain(str(error))
            return 2
        return 0
    if arguments.json:
        say(json.dumps(plan_document(plan, hookup.findings), ensure_ascii=False, indent=1))
    else:
        say(as_text(plan, hookup.findings))
    stopped = any(item.severity == "stop" for item in (*plan.findings, *hookup.findings))
    return 1 if stopped else 0
