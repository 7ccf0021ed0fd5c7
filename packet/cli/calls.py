"""A phone call, one command: a job called off or moved, a new one put in, a cylinder out of service or weighed.

Each changes the file, says what changed, which paper to pull back and how the change is undone.
"""

import argparse
import re
import shlex
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from packet.cli.filing import pages_follow
from packet.cli.talk import complain, open_shop, say, tell, today, told_once
from packet.cli.where import meant, out_of, place_of_new
from packet.press.run.calls import DaysNow, aftermath, days_now
from packet.press.run.progress import unknown_line
from packet.press.run.stale import Pulled
from packet.shop.change import Change, changed_cylinder, changed_job
from packet.shop.edit import EditError, Value, with_values
from packet.shop.edit import Path as KeyPath
from packet.shop.load import load_job
from packet.shop.places import day_folders, is_there, job_files
from packet.shop.problems import Loaded, Problem
from packet.shop.records import Registers
from packet.shop.starter import new_job
from packet.shop.text import MAX_BYTES
from packet.shop.whole import OwnFileError, read_start, write_whole
from packet.words import t

# what `packet move` may change, as the option's name and the key's
MOVES = {
    "day": "date",
    "truck": "truck",
    "start": "start",
    "technician": "technician",
    "second": "second",
    "machine": "machine",
    "scale": "scale",
    "cylinders": "cylinders",
}
CALLED_OFF = ("called_off",)
OF_DAY = re.compile(r"\d{4}-\d{2}-\d{2}-", re.ASCII)
AUTO, NOBODY = "auto", "none"  # as they are typed behind an option


def run_call_off(arguments: argparse.Namespace) -> int:
    """`packet call-off`."""
    path = meant(arguments.job, today())
    job = path.stem
    if arguments.undo:
        wanted: Mapping[KeyPath, Value] = {CALLED_OFF: None}
        undo = f"packet call-off {job} --why …"
    else:
        if not (arguments.why or "").strip():
            complain(t("Say why: packet call-off {job} --why REASON", job=job))
            return 2
        wanted = {CALLED_OFF: " ".join(arguments.why.split())}
        undo = f"packet call-off {job} --undo"
    return _change_job(path, wanted, arguments.out, lambda _was: undo)


def run_move(arguments: argparse.Namespace) -> int:
    """`packet move`."""
    path = meant(arguments.job, today())
    wanted: dict[KeyPath, Value] = {}
    for option, key in MOVES.items():
        value = getattr(arguments, option)
        if value is not None:
            wanted[key,] = _wish(key, value)
    if not wanted:
        complain(
            t("Say what to change: --day, --truck, --start, --technician, --second, --machine, --scale, --cylinders …")
        )
        return 2
    return _change_job(path, wanted, arguments.out, lambda was: _way_back(path.stem, was))


def _wish(key: str, given: object) -> Value:
    """What an option means for its key; 'none' takes a second person off."""
    if key == "second" and given == NOBODY:
        return None
    return tuple(given) if isinstance(given, list) else str(given)


def _way_back(job: str, was: Mapping[KeyPath, Value]) -> str:
    """The command that moves a job back."""
    options = {key: option for option, key in MOVES.items()}
    words = []
    for (key,), value in was.items():
        given = [*value] if isinstance(value, tuple) else [value] if value else []
        given = given or [NOBODY if key == "second" else AUTO]
        words += [f"--{options[key]}", *given]
    return shlex.join(["packet", "move", job, *words])


def _change_job(
    path: Path, wanted: Mapping[KeyPath, Value], out: Path | None, undo: Callable[[Mapping[KeyPath, Value]], str]
) -> int:
    shop, registers = open_shop(path)
    if registers is None:
        return 1
    paper = out or out_of(shop)
    on = wanted.get(("date",))
    days = {path.absolute().parent.name, *([on] if isinstance(on, str) else [])}
    before = days_now(shop, paper, days)
    changed = changed_job(path, registers, wanted)
    return _carry_out(changed, path.stem, wanted, shop, paper, before, days, undo)


def _carry_out(  # noqa: PLR0917 - everything a change is said with
    changed: Loaded[Change],
    name: str,
    wanted: Mapping[KeyPath, Value],
    shop: Path,
    paper: Path,
    before: DaysNow,
    days: set[str],
    undo: Callable[[Mapping[KeyPath, Value]], str],
) -> int:
    if changed.value is None:
        tell(changed.problems)
        say(t("Nothing was changed."))
        return 1
    change = changed.value
    if change.same:
        say(t("{name}: nothing to change, the file says so already.", name=name))
        return 0
    change.write()
    for path, value in wanted.items():
        said = t(
            "{name}: {key}: now {now}, was {was}",
            name=name,
            key=path[-1],
            now=_said(value),
            was=_said(change.was[path]),
        )
        say(f"{said} ({change.to})")
    status = tell_aftermath(shop, paper, before, days)
    say(t("Undo: {command}", command=undo(change.was)))
    return status


def _said(value: Value) -> str:
    if isinstance(value, tuple):
        return ", ".join(value) or t("none")
    return value or t("blank")


def tell_aftermath(shop: Path, paper: Path, before: DaysNow, days: set[str]) -> int:
    """Which paper to pull back and what was taken away; 1 where the change stops a job."""
    found = aftermath(shop, paper, before, days)
    for item in found.pulled:
        say(t("Pull back: {paper}", paper=_named(item)))
    if found.still:
        papers = "; ".join(_named(item) for item in found.still)
        say(t("Out of date before this already, if it is still out: {papers}", papers=papers))
    for item in found.good_again:
        say(t("Good again: {paper}", paper=_named(item)))
    for path in found.taken:
        say(t("taken away, no longer true: {path}", path=path))
    if found.unknown:
        say(unknown_line(paper, found.unknown))
    tell(found.problems)
    if found.busy:
        complain(t("Somebody is printing now: print again when that is done."))
    for sentence in told_once(found.stopped):
        complain(sentence)
    if found.refused:
        complain(t("The machine refused: {error}", error=found.refused))
        complain(
            t(
                "The change stands, but papers in '{out}' may no longer be true: take them out by hand, print again.",
                out=paper,
            )
        )
        return 3
    pages_follow(shop, paper)
    if found.pulled or found.taken or found.unknown:
        again = days | {path.name[:10] for path in found.taken if OF_DAY.match(path.name)}
        say(t("Print again: packet print {days}", days=" ".join(sorted(again)) if again else t("the days named")))
    return 1 if found.stopped or found.problems else 0


def _named(item: Pulled) -> str:
    if item.part is not None:
        day = item.what[:10]
        name = t("page of truck {truck}", truck=item.truck) if item.truck else t("run sheet")
        return t("{name} of {day}, print {number}", name=name, day=day, number=item.part.number)
    if item.truck:
        return t("{job}, revision {revision}, truck {truck}", job=item.what, revision=item.revision, truck=item.truck)
    return t("{job}, revision {revision}", job=item.what, revision=item.revision)


def run_service(arguments: argparse.Namespace) -> int:
    """`packet cylinder out-of-service`, `packet cylinder in-service`."""
    shop, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    name = arguments.cylinder
    if arguments.event == "out-of-service":
        wanted: Mapping[str, Value] = {"out_of_service": " ".join(arguments.why.split())}
        undo = f"packet cylinder in-service {name}"
    else:
        wanted = {"out_of_service": None}
        undo = f"packet cylinder out-of-service {name} --why …"
    paper = arguments.out or out_of(shop)
    days = days_with(shop, name)
    before = days_now(shop, paper, days)
    changed = changed_cylinder(shop, name, wanted)
    by_path: dict[KeyPath, Value] = {(f"[{name}]", key): value for key, value in wanted.items()}
    return _carry_out(changed, name, by_path, shop, paper, before, days, lambda _was: undo)


def days_with(shop: Path, cylinder: str) -> set[str]:
    """The days with a job whose file names a cylinder."""
    named = cylinder.encode()
    return {folder.name for folder in day_folders(shop) if any(named in _start_of(path) for path in job_files(folder))}


def _start_of(path: Path) -> bytes:
    try:
        return read_start(path, MAX_BYTES)
    except (FileNotFoundError, OwnFileError):
        return b""


def run_new(arguments: argparse.Namespace) -> int:
    """`packet new`: a starter to fill in, or with everything given on the line a job put in by one command."""
    place = place_of_new(arguments.job)
    before = _before(place, arguments)
    made = new_job(place)
    if made.value is None:
        tell(made.problems)
        return 1
    path = made.value
    shop, registers = open_shop(path)
    assert registers is not None
    text = _filled(path, arguments)
    if isinstance(text, Problem):
        path.unlink()
        tell([text])
        say(t("Nothing was written."))
        return 1
    wrong = _wrong_on_the_line(path, text, registers, arguments)
    if wrong:
        path.unlink()
        tell(wrong)
        say(t("Nothing was written."))
        return 1
    write_whole(path, text.encode())
    if not _was_filled(arguments):
        say(t("Wrote {path}; fill in its blanks, then run: packet check {path}", path=path))
        # it is a file of the day from now on, so that the day's run sheet is one job short
        tell_aftermath(shop, arguments.out or out_of(shop), before, {path.absolute().parent.name})
        return 0
    say(t("Wrote {path}", path=path))
    return _put_in(path, shop, registers, arguments, before)


def _was_filled(arguments: argparse.Namespace) -> bool:
    return bool(
        arguments.like or arguments.set or any(getattr(arguments, name) for name in ("truck", "technician", "start"))
    )


def _given(arguments: argparse.Namespace) -> set[str]:
    """The keys for which a value was given on the line."""
    named = {name for name in ("truck", "technician", "start") if getattr(arguments, name)}
    return named | {item.partition("=")[0] for item in arguments.set}


def _wrong_on_the_line(
    path: Path, text: str, registers: Registers, arguments: argparse.Namespace
) -> tuple[Problem, ...]:
    """What is wrong with the values given on the line; blanks of the starter are for later."""
    given = _given(arguments)
    found = load_job(path, registers, text=text).problems
    return tuple(replace(item, file="packet new", line=0) for item in found if item.field in given)


def _filled(path: Path, arguments: argparse.Namespace) -> str | Problem:
    """The starter's text, or another job's, with what was given on the line."""
    text = path.read_text("utf-8")
    wanted: dict[KeyPath, Value] = {}
    if arguments.like is not None:
        text = meant(arguments.like, today()).read_text("utf-8-sig")
        wanted |= {("job",): path.stem, ("date",): path.absolute().parent.name}
        if re.search(r"^called_off:[ \t]*[^\s#]", text, re.MULTILINE):
            wanted |= {CALLED_OFF: None}
        wanted |= {("machine",): AUTO, ("scale",): AUTO, ("cylinders",): (AUTO,)}
    for name in ("truck", "technician", "start"):
        if getattr(arguments, name):
            wanted[name,] = str(getattr(arguments, name))
    for item in arguments.set:
        key, given, value = item.partition("=")
        if not given:
            return Problem("packet new", 0, "--set", t("--set takes KEY=VALUE, not '{typed}'.", typed=item))
        listed = tuple(part.strip() for part in value.split(",")) if key in {"cylinders", "appliance.ports"} else value
        wanted[tuple(key.split("."))] = listed
    try:
        for key_path, wish in wanted.items():
            text = with_values(text, {key_path: wish})
    except EditError as error:
        return Problem(str(path), 0, str(error), t("This key cannot be set here."))
    return text


def _before(place: Path, arguments: argparse.Namespace) -> DaysNow:
    """How the day stands before a job is put into it."""
    shop, registers = open_shop(place.parent.parent if is_there(place.parent.parent) else None)
    if registers is None:
        return DaysNow((), {}, frozenset())
    return days_now(shop, arguments.out or out_of(shop), {place.parent.name})


def _put_in(path: Path, shop: Path, registers: Registers, arguments: argparse.Namespace, before: DaysNow) -> int:
    job, day = path.stem, path.absolute().parent.name
    paper = arguments.out or out_of(shop)
    loaded = load_job(path, registers)
    if loaded.value is None:
        tell(loaded.problems)
        say(t("Fill in what is missing, then run: packet check {job}", job=job))
        # a file that cannot be read yet belongs on run sheet and stack, too
        tell_aftermath(shop, paper, before, {day})
        return 1
    status = 0
    if arguments.assign:
        from packet.cli.assign import assign_one

        status = assign_one(path, job)
    status = max(status, tell_aftermath(shop, paper, before, {day}))
    say(t("Undo: {command}", command=f"packet call-off {job} --why …"))
    return status
