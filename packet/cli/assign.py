"""`packet assign`: cylinders, machines and scales for a whole day."""

import argparse
from dataclasses import replace
from pathlib import Path

from packet.assign.propose import Assignment, assign_day
from packet.assign.words import assigned_files, assignment_lines
from packet.assign.write import write_assignment
from packet.cli.talk import complain, say, tell, today, told_once
from packet.cli.where import meant
from packet.hookup.build import proved_hookup
from packet.press.printed import PrintRecordError, newest_record, print_files, printed_folder
from packet.press.run.day import DayInput, folders, read_days
from packet.press.run.pool import Workers
from packet.press.run.ready import plan_with_hookups
from packet.shop.edit import EditError
from packet.shop.load import job_files
from packet.shop.problems import WrongPathError
from packet.words import t, use


def run_assign(arguments: argparse.Namespace) -> int:
    """`packet assign`."""
    path = meant(arguments.day, today())
    wanted = frozenset(Path(name).stem for name in arguments.job) | ({path.stem} if path.is_file() else set())
    day = path.parent if path.is_file() else path
    return _assign(day, wanted, everything=arguments.all, write=arguments.write)


def assign_one(path: Path, job: str) -> int:
    """Choose for one job, leave all others of its day as they are, and write it. What stops it is told afterwards."""
    return _assign(path.parent, frozenset({job}), everything=False, write=True, tell_stops=False)


def _assign(day: Path, wanted: frozenset[str], *, everything: bool, write: bool, tell_stops: bool = True) -> int:
    found = folders([day])
    inputs, problems = read_days(found)
    tell(problems)
    if not inputs:
        return 1
    files = {path.stem: path for item in found for path in job_files(item.folder)}
    statuses = [1 if problems else 0]
    for item in inputs:
        use(item.registers.shop.language)
        missing = wanted - {job.job for job in item.jobs}
        if missing:
            raise WrongPathError(t("There is no job '{job}' in what was asked for.", job=", ".join(sorted(missing))))
        if not item.jobs:
            continue
        proposed = assign_day(
            item.jobs,
            item.registers,
            item.states,
            tonight=item.tonight,
            filed=item.filed,
            kept=_kept(item, wanted, everything=everything),
        )
        say("\n".join(assignment_lines(proposed, wanted)))
        fetch = [job for job, _ in proposed.fetch if not wanted or job in wanted]
        stops = _stops(item, proposed, wanted)
        for sentence in stops if tell_stops else ():
            complain(sentence)
        statuses.append(1 if fetch or stops else 0)
        if write:
            try:
                # what others of the day would get with their blanks filled is theirs to ask for
                mine = [one for one in assigned_files(proposed, files) if not wanted or one.path.stem in wanted]
                for path in write_assignment(mine):
                    say(t("wrote {path}", path=path))
            except EditError as error:
                complain(str(error))
                return 1
    return max(statuses)


def _kept(item: DayInput, wanted: frozenset[str], *, everything: bool) -> frozenset[str]:
    """The jobs that stay as they are: all but those asked for, else those that are printed for the field."""
    if wanted:
        return frozenset(job.job for job in item.jobs) - wanted
    if everything:
        return frozenset()
    printed = print_files(printed_folder(item.shop_folder))
    return frozenset(job.job for job in item.jobs if job.job in printed and _is_printed(item.shop_folder, job.job))


def _is_printed(shop_folder: Path, job: str) -> bool:
    try:
        newest = newest_record(shop_folder, job)
    except PrintRecordError:
        return True  # nobody knows: leave it
    return newest is not None and newest.may_go_out


def _stops(item: DayInput, proposed: Assignment, wanted: frozenset[str]) -> tuple[str, ...]:
    """What still stops jobs of the day (the wanted ones) when they get what is proposed, kit counted."""
    after = replace(item, jobs=tuple(plan.job for plan in proposed.day.plans), made_of="")
    with Workers(1, item.registers.shop.language) as workers:
        ready = plan_with_hookups(after, workers, planned=proposed.day, make=proved_hookup)
    found = {
        plan.job.job: (*plan.findings, *ready.hookups[plan.job.job].findings)
        for plan in ready.day.plans
        if not wanted or plan.job.job in wanted
    }
    return tuple(told_once(found))
