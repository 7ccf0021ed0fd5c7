"""Before printing: a starter job, checks, the plan of one job, cylinders for a day."""

import argparse
import json
from collections.abc import Sequence
from pathlib import Path

from packet.cli.talk import complain, open_shop, say, tell, today, told_once
from packet.cli.where import meant, out_of
from packet.collector import without_collecting
from packet.document import ShapeError
from packet.figures import show_weight
from packet.hookup.build import proved_hookup
from packet.hookup.model import Hookup
from packet.plan.as_text import as_text
from packet.plan.document import plan_back, plan_document, planned_again
from packet.plan.model import Plan
from packet.plan.why import UnknownNumberError, listed, why
from packet.press.printed import FOLDER, NAME, read_record
from packet.press.run.day import DayFolder, DayInput, folders, read_days
from packet.press.run.known import recall
from packet.press.run.pool import Workers
from packet.press.run.ready import PlannedDay, plan_with_hookups
from packet.shop.load import REGISTER_FILES, check, find_shop, load_registers
from packet.shop.places import SHOP_FILE, jobs_at
from packet.shop.problems import Problem, WrongPathError
from packet.shop.wants import wants
from packet.visible import in_json
from packet.words import t, tn, use


def run_check(arguments: argparse.Namespace) -> int:
    """`packet check`: the files, and the whole plan of every day that is not over."""
    paths = [meant(path, today()) for path in arguments.paths]
    open_language(paths[0])
    problems = check(paths)
    told = tell(problems)
    days = [path for path in paths if path.name not in REGISTER_FILES and jobs_at(path)]
    stopped = _check_days(folders(days), problems) if days else 0
    for path in paths:
        if (path / SHOP_FILE).is_file() or path.name in REGISTER_FILES:
            _tell_wants(path)
    if not (told or days):
        say(t("In order."))
    return 1 if told or stopped else 0


def _check_days(found: tuple[DayFolder, ...], told: Sequence[Problem]) -> int:
    """Plan every day with a job that is not filed, and tell its stops; how many jobs may not go out or cannot be read,
    and what is wrong with the records. told: problems that were told.
    """
    with without_collecting():  # what is planned lives to the end
        inputs, problems = read_days(found, only_open=True)
        # the records; and a job's name, which only its day can refuse
        ours = {str(path) for day in found for path in (day.shop_folder, *day.asked)}
        bad = tell(item for item in problems if item.file in ours and item not in told)
        return bad + sum(_tell_day(_ready(item)) for item in inputs)


def _ready(item: DayInput) -> PlannedDay:
    """The day with its hookups; what its last print found of the very same plans is not worked out again."""
    memory = recall(out_of(item.shop_folder), item.folder_name)
    with without_collecting(), Workers(1, item.registers.shop.language) as workers:
        return plan_with_hookups(item, workers, memory if memory.jobs else None, make=proved_hookup)


def _tell_day(ready: PlannedDay) -> int:
    item = ready.item
    findings = {
        plan.job.job: (*plan.findings, *ready.hookups[plan.job.job].findings)
        for plan in ready.day.plans
        if plan.job.job in item.asked
    }
    for sentence in told_once(findings):
        complain(sentence)
    for name, error in ready.broken.items():
        complain(f"{name}: {type(error).__name__}: {error}")
    stopped = {name for name, found in findings.items() if any(one.severity == "stop" for one in found)}
    stopped |= ready.broken.keys() & item.asked
    unread = [one for one in item.unread if one.job in item.asked]
    off = [name for name in item.called_off if name in item.asked]
    counts = [
        tn("{count} may go out", "{count} may go out", len(findings) - len(stopped)),
        tn("{count} stopped", "{count} stopped", len(stopped)),
        tn("{count} not read", "{count} not read", len(unread)),
    ]
    if off:
        counts.append(tn("{count} called off", "{count} called off", len(off)))
    say(
        t(
            "{day}: {jobs} read: {counts}.",
            day=item.folder_name,
            jobs=len(findings) + len(off),
            counts=", ".join(counts),
        )
    )
    return len(stopped) + len(unread)


def _tell_wants(path: Path) -> None:
    """What the registers still lack, and what for."""
    registers = load_registers(find_shop(path)).value
    for want in wants(registers) if registers is not None else ():
        say(t("For {purpose}: {what}", purpose=want.purpose, what=want.what))


def open_language(path: Path) -> None:
    """Speak the shop's language where its shop.yaml can be read."""
    loaded = load_registers(find_shop(path))
    if loaded.value is not None:
        use(loaded.value.shop.language)


def planned_job(path: Path) -> tuple[Plan, Hookup] | None:
    """One job planned as part of its whole day; None when there are problems, which are then told.

    Raises WrongPathError.
    """
    path = meant(path, today())
    if path.is_dir():
        raise WrongPathError(t("'{path}' is a folder; name a job's file.", path=path))
    _, registers = open_shop(path)
    if registers is None:
        return None
    inputs, problems = read_days(folders([path]))
    tell(problems)
    for item in inputs:
        if path.stem in {job.job for job in item.jobs}:
            ready = _ready(item)
            if path.stem in ready.broken:
                raise ready.broken[path.stem]
            plan = next(plan for plan in ready.day.plans if plan.job.job == path.stem)
            return plan, ready.hookups[path.stem]
    return None


def run_plan(arguments: argparse.Namespace) -> int:
    """`packet plan`."""
    if arguments.job.parent.name == FOLDER and NAME.fullmatch(arguments.job.name):
        return _run_printed(arguments)
    found = planned_job(arguments.job)
    if found is None:
        return 1
    plan, hookup = found
    if arguments.why is not None:
        return _tell_why(plan, arguments.why)
    if arguments.json:
        say(in_json(json.dumps(plan_document(plan, hookup.findings), ensure_ascii=False, indent=1)))
    else:
        say(as_text(plan, hookup.findings))
    stopped = any(item.severity == "stop" for item in (*plan.findings, *hookup.findings))
    return 1 if stopped else 0


def _tell_why(plan: Plan, path: str) -> int:
    """How a number was worked out; without a path all there are."""
    try:
        say("\n".join(why(plan, path) if path.strip() else listed(plan)))
    except UnknownNumberError as error:
        complain(str(error))
        return 2
    return 0


def _run_printed(arguments: argparse.Namespace) -> int:
    """A plan as it was printed, from its print record; and whether its stop weights come out the same today."""
    record = read_record(arguments.job)
    open_language(arguments.job.parent.parent)
    try:
        plan = plan_back(dict(record.plan))
    except ShapeError as error:
        complain(t("'{file}' keeps no whole plan: {why}.", file=arguments.job, why=error))
        return 1
    if arguments.why is not None:
        return _tell_why(plan, arguments.why)
    if arguments.json:
        say(in_json(json.dumps(record.plan, ensure_ascii=False, indent=1)))
        return 0
    say(
        t(
            "As printed {when}, revision {revision}.",
            when=f"{record.printed_at:%Y-%m-%d %H:%M}",
            revision=record.revision,
        )
    )
    say(as_text(plan))
    differ = _weights_now(plan)
    if not differ:
        say(t("Worked out again from what it was printed with: the same stop weights."))
    for sentence in differ:
        complain(sentence)
    return 1 if differ else 0


def _weights_now(plan: Plan) -> list[str]:
    """Stop weights that come out otherwise today, from the very inputs that the print kept."""
    units = plan.registers.shop.units
    now = {item.cylinder.id: item.stop_gross_lb.value for item in planned_again(plan).cylinders}
    return [
        t(
            "{cylinder}: stop at {then} on the paper, {now} as this version works it out from the same inputs.",
            cylinder=item.cylinder.id,
            then=show_weight(item.stop_gross_lb.value, units, 2),
            now=show_weight(now[item.cylinder.id], units, 2) if item.cylinder.id in now else t("nothing"),
        )
        for item in plan.cylinders
        if now.get(item.cylinder.id) != item.stop_gross_lb.value
    ]
