"""`packet assign`: cylinders and machines for a whole day."""

import argparse
from collections.abc import Iterator
from pathlib import Path

from packet.cli.talk import complain, say, tell
from packet.figures import show_weight
from packet.plan.assign import Assignment, Proposal, assign_day
from packet.plan.assign_write import PlacementError, with_assignment
from packet.press.run_day import folders, read_days
from packet.shop.problems import WrongPathError
from packet.shop.whole import write_whole
from packet.units import UnitSystem
from packet.words import t, use


def run_assign(arguments: argparse.Namespace) -> int:
    """`packet assign`."""
    if arguments.day.exists() and not arguments.day.is_dir():
        raise WrongPathError(t("'{path}' is a file; name a day's folder.", path=arguments.day))
    inputs, problems = read_days(folders([arguments.day]))
    if tell(problems) or not inputs:
        return 1
    status = 0
    for item in inputs:
        use(item.registers.shop.language)
        found = assign_day(item.jobs, item.registers, item.states, tonight=item.tonight, filed=item.filed)
        say("\n".join(lines(found, item.registers.shop.units)))
        stops = [(plan.job.job, one) for plan in found.day.plans for one in plan.findings if one.severity == "stop"]
        for job, one in stops:
            complain(f"{job}: {one.message}")
        if stops or found.fetch:
            status = 1
        if arguments.write:
            status = max(status, write(found, arguments.day))
    return status


def lines(found: Assignment, units: UnitSystem) -> Iterator[str]:
    """The proposal, a job a line, and what it is measured by."""
    for item in found.proposals:
        yield f"{item.job.job}  {t('machine {machine}', machine=item.machine)}  {', '.join(_fills(item, units)) or '-'}{_mark(item)}"
    for job, sentence in found.fetch:
        yield f"{job}  {sentence}"
    yield t("Nothing is better by this measure.") if found.proven else t("The search was cut short; better may exist.")


def _fills(item: Proposal, units: UnitSystem) -> Iterator[str]:
    planned = {fill.cylinder: fill.put_in_lb for fill in item.fills}
    for name in item.cylinders:
        yield f"{name} ({show_weight(planned[name], units)})" if name in planned else name


def _mark(item: Proposal) -> str:
    return "  " + t("as written") if not (item.changes_machine or item.changes_cylinders) else ""


def write(found: Assignment, folder: Path) -> int:
    """Put the proposal into the job files; the exit status."""
    status = 0
    for proposal in found.proposals:
        if not proposal.served or not (proposal.changes_machine or proposal.changes_cylinders):
            continue
        path = folder / f"{proposal.job.job}.yaml"
        try:
            # as bytes, so that line ends stay as they are
            text = path.read_bytes().decode("utf-8")
            changed = with_assignment(
                text,
                cylinders=proposal.cylinders if proposal.changes_cylinders else None,
                machine=proposal.machine if proposal.changes_machine else None,
            )
        except PlacementError as error:
            complain(f"{path}: {error}")
            status = 1
            continue
        write_whole(path, changed.encode())
        say(t("wrote {path}", path=path))
    return status
