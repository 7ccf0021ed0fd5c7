"""`packet assign`: cylinders and machines for a whole day."""

import argparse

from packet.assign.propose import Assignment, assign_day
from packet.assign.words import assignment_lines, changes
from packet.assign.write import write_assignment
from packet.cli.talk import complain, say, tell
from packet.press.run.day import folders, read_days
from packet.shop.edit import EditError
from packet.shop.load import job_files
from packet.shop.problems import WrongPathError
from packet.words import t, use


def run_assign(arguments: argparse.Namespace) -> int:
    """`packet assign`."""
    if arguments.day.exists() and not arguments.day.is_dir():
        raise WrongPathError(t("'{path}' is a file; name a day's folder.", path=arguments.day))
    inputs, problems = read_days(folders([arguments.day]))
    if tell(problems) or not inputs:
        return 1
    files = {path.stem: path for item in folders([arguments.day]) for path in job_files(item.folder)}
    statuses = []
    for item in inputs:
        use(item.registers.shop.language)
        found = assign_day(item.jobs, item.registers, item.states, tonight=item.tonight, filed=item.filed)
        say("\n".join(assignment_lines(found)))
        statuses.append(1 if found.fetch or tell_stops(found) else 0)
        if arguments.write:
            try:
                for path in write_assignment(changes(found, files)):
                    say(t("wrote {path}", path=path))
            except EditError as error:
                complain(str(error))
                return 1
    return max(statuses)


def tell_stops(found: Assignment) -> int:
    """What still stops jobs of the day when they get what is proposed; how many."""
    stops = [(plan.job.job, one) for plan in found.day.plans for one in plan.findings if one.severity == "stop"]
    for job, one in stops:
        complain(f"{job}: {one.message}")
    return len(stops)
