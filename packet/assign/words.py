"""A day's proposal as a person reads it in the terminal."""

from pathlib import Path

from packet.assign.fill import HUNDREDTHS
from packet.assign.propose import Assignment, Proposal
from packet.assign.write import AssignedFile
from packet.figures import show_weight
from packet.shop.checks import AUTO
from packet.units import UnitSystem
from packet.words import t, tn


def assignment_lines(found: Assignment, only: frozenset[str] = frozenset()) -> list[str]:
    """Job by job what it would get, what to fetch, and by which measure; in the current language.

    only: of these jobs alone, and without the measure, which is the day's.
    """
    units: UnitSystem = found.day.plans[0].registers.shop.units if found.day.plans else "US"
    fetch, no_machine = dict(found.fetch), dict(found.without_machine)
    lines = []
    for item in found.proposals:
        if only and item.job.job not in only:
            continue
        lines += _job(item, units)
        if item.job.job in no_machine:
            lines.append(f"  {no_machine[item.job.job]}")
        if item.job.job in fetch:
            lines.append(f"  {fetch[item.job.job]}")
    if only:
        return lines
    if found.kept:
        lines.append(
            t("Printed or out, left as they are: {jobs} (--job or --all takes them in)", jobs=", ".join(found.kept))
        )
    return [*lines, "", *_measure(found, units)]


def assigned_files(found: Assignment, files: dict[str, Path]) -> tuple[AssignedFile, ...]:
    """What `--write` puts into the job files. files: job id -> its file."""
    return tuple(
        AssignedFile(
            files[item.job.job],
            item.cylinders if item.changes_cylinders else None,
            item.machine if item.changes_machine else None,
            item.scale if item.changes_scale else None,
        )
        for item in found.proposals
        if item.changes_cylinders or item.changes_machine or item.changes_scale
    )


def _typed(name: str) -> str:
    """What a file says where nothing was chosen yet: a blank, most often."""
    return t("blank") if name == AUTO else name


def _job(item: Proposal, units: UnitSystem) -> list[str]:
    job = item.job
    cylinders = ", ".join(item.cylinders) or t("none")
    lines = [t("{job}, truck {truck} at {time}", job=job.job, truck=job.truck, time=f"{job.start:%H:%M}")]
    if item.changes_cylinders:
        before = ", ".join(job.cylinders) or t("none")
        lines.append("  " + t("cylinders: {now} (the file says {before})", now=cylinders, before=before))
    else:
        lines.append("  " + t("cylinders: {now}, as in the file", now=cylinders))
    if item.changes_machine:
        lines.append("  " + t("machine: {now} (the file says {before})", now=item.machine, before=_typed(job.machine)))
    else:
        lines.append("  " + t("machine: {now}, as in the file", now=item.machine))
    if item.changes_scale:
        lines.append("  " + t("scale: {now} (the file says {before})", now=item.scale, before=_typed(job.scale)))
    else:
        lines.append("  " + t("scale: {now}, as in the file", now=item.scale))
    if item.better_scale:
        said = t(
            "scale {scale} is the limit: with {better} fewer cylinders would do",
            scale=item.scale,
            better=item.better_scale,
        )
        lines.append(f"  {said}")
    lines += [
        "  "
        + t(
            "{cylinder}: {before} in it, {planned} to come, room for {room}",
            cylinder=fill.cylinder,
            before=show_weight(fill.start_lb, units),
            planned=show_weight(fill.put_in_lb, units),
            room=show_weight(fill.room_lb, units),
        )
        for fill in item.fills
    ]
    if not item.served:
        lines.append("  " + t("There is not enough room for this job."))
    return lines


def _measure(found: Assignment, units: UnitSystem) -> list[str]:
    measure, machines = found.measure, found.machines
    lifted = show_weight(measure.lifted / HUNDREDTHS, units)
    return [
        t("Kept small, the first first:"),
        "  " + tn("{count} job without enough room", "{count} jobs without enough room", measure.unserved),
        "  " + tn("{count} job that loses push-pull", "{count} jobs that lose push-pull", measure.slow),
        "  " + tn("{count} empty cylinder begun", "{count} empty cylinders begun", measure.begun),
        "  " + tn("{count} cylinder taken along", "{count} cylinders taken along", measure.carried),
        "  " + t("{weight} to lift in all", weight=lifted),
        "  " + tn("{count} job file with other cylinders", "{count} job files with other cylinders", measure.changed),
        t("Machines before that:"),
        "  " + tn("{count} job without a machine", "{count} jobs without a machine", machines.without),
        "  " + tn("{count} hand-over between trucks", "{count} hand-overs between trucks", machines.handed_over),
        "  " + tn("{count} change of refrigerant", "{count} changes of refrigerant", machines.changes),
        t("Nothing better exists.")
        if found.proven
        else t("The day is large: this is the best that was found, not proven the best there is."),
    ]
