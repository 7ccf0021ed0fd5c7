"""The cylinders: what is in each tonight, and what happens to them outside of jobs; other entries of the office."""

import argparse
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from packet.cli.calls import days_with, tell_aftermath
from packet.cli.filing import pages_follow
from packet.cli.talk import complain, now, open_shop, reasons, say, tell, today, told
from packet.cli.where import out_of
from packet.ledger.state import UnreadableRecordsError, ledger
from packet.ledger.store import DamagedRecordsError, RecordsBusyError
from packet.office import events, settle
from packet.office.cylinders import cylinder_list, cylinders_as_text, history_as_text, sorted_by
from packet.office.enter import Entered, Office
from packet.office.find import promised_cylinders
from packet.press.run.calls import DaysNow, days_now
from packet.shop.build import build
from packet.shop.problems import Loaded, Problem, did_you_mean
from packet.shop.records import Cylinder, Month
from packet.shop.text import Seq, read
from packet.words import t

Event = Callable[[Office, argparse.Namespace], Entered]


def run_cylinders(arguments: argparse.Namespace) -> int:
    """`packet cylinders`."""
    folder, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    asof = arguments.asof or today()
    try:
        book = ledger(registers, folder, asof)
        found = cylinder_list(book, asof, promised_cylinders(folder, book.records))
        for line in book.records.missing_told:
            complain(line)
        unknown = [name for name in arguments.cylinders if name not in book.states]
        for name in unknown:
            message = t("There is no cylinder '{id}' in cylinders.yaml.", id=name)
            tell((Problem("cylinders", 0, "cylinder", message, did_you_mean(name, book.states)),))
        if unknown:
            return 1
        if arguments.cylinders:
            found = replace(found, lines=tuple(line for line in found.lines if line.id in arguments.cylinders))
        say(cylinders_as_text(sorted_by(found, arguments.sort), registers.shop.units))
        for name in dict.fromkeys(arguments.cylinders):
            say(history_as_text(book, name, registers.shop.units))
    except UnreadableRecordsError as error:
        complain(str(error))
        return 1
    return 0


def run_event(arguments: argparse.Namespace) -> int:
    """`packet cylinder …`, `turn-in`, `not-done`, `records withdraw`, `records receipt` and `records settle`."""
    folder, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    given = reasons(arguments.reason)
    if given is None:
        return 2
    arguments.on = arguments.on or today()
    office = Office(folder, registers, today(), now(), given)
    names = _named(arguments, folder)
    paper, days = out_of(folder), {day for name in names for day in days_with(folder, name)}
    before = days_now(folder, paper, days) if arguments.event in TOUCHES_PAPER else DaysNow((), {}, frozenset())
    try:
        entered = EVENTS[arguments.event](office, arguments)
    except (RecordsBusyError, DamagedRecordsError) as error:
        complain(str(error))
        return 3
    except UnreadableRecordsError as error:
        complain(str(error))
        return 1
    status = told(entered)
    if entered.filed is None:
        return status
    if entered.already or arguments.event not in TOUCHES_PAPER:
        pages_follow(folder, paper, names)
        return status
    if arguments.event == "weighed":
        say(t("Undo: {command}", command=f"packet records withdraw {entered.filed.name} --why …"))
    return max(status, tell_aftermath(folder, paper, before, days))


# events after which a packet may read otherwise
TOUCHES_PAPER = ("weighed", "emptied", "retested", "retired", "explained", "turn-in", "not-done", "withdraw")


def _named(asked: argparse.Namespace, shop_folder: Path) -> frozenset[str]:
    """The job and the cylinders that an event is about."""
    if asked.event == "withdraw":
        return settle.names_in(shop_folder, asked.record)
    if asked.event == "turn-in":
        return frozenset(item.partition("=")[0] for item in asked.loads)
    name = Path(getattr(asked, "cylinder", None) or getattr(asked, "job", None) or "").stem
    return frozenset({name} - {""})


def _emptied(office: Office, asked: argparse.Namespace) -> Entered:
    return events.emptied(office, asked.cylinder, day=asked.on, at=asked.at, into=asked.into, weight=asked.weight)


def _retested(office: Office, asked: argparse.Namespace) -> Entered:
    return events.retested(
        office,
        asked.cylinder,
        day=asked.on,
        tested=Month(year=asked.tested.year, month=asked.tested.month),
        by=asked.by,
    )


def _retired(office: Office, asked: argparse.Namespace) -> Entered:
    return events.retired(office, asked.cylinder, day=asked.on, why=asked.why)


def _explained(office: Office, asked: argparse.Namespace) -> Entered:
    return events.explained(office, asked.cylinder, day=asked.on, why=asked.why, follow_scale=asked.follow_scale)


def _bought(office: Office, asked: argparse.Namespace) -> Entered:
    loaded = _entry(asked.entry)
    if loaded.value is None:
        return Entered(problems=loaded.problems)
    return events.bought(office, loaded.value, day=asked.on)


def _entry(path: Path) -> Loaded[Cylinder]:
    """The one cylinder of a file: its keys, or a list of one as in cylinders.yaml."""
    loaded = read(path)
    node = loaded.value
    if node is None:
        return Loaded(None, loaded.problems)
    if isinstance(node, Seq):
        if len(node.items) != 1:
            return Loaded(None, (Problem(str(path), node.line, "", t("One cylinder is expected here.")),))
        node = node.items[0]
    built = build(Cylinder, node, str(path))
    return Loaded(built.value, (*loaded.problems, *built.problems))


def _turn_in(office: Office, asked: argparse.Namespace) -> Entered:
    split = [item.partition("=") for item in asked.loads]
    loads = [events.Load(cylinder, weight, part=asked.part) for cylinder, _, weight in split]
    return events.turn_in(
        office,
        loads,
        to=asked.to,
        purpose=asked.purpose,
        day=asked.on,
        reference=asked.reference,
        at=asked.at,
        stays=asked.stays,
    )


EVENTS: dict[str, Event] = {
    "emptied": _emptied,
    "retested": _retested,
    "retired": _retired,
    "explained": _explained,
    "bought": _bought,
    "turn-in": _turn_in,
    "weighed": lambda office, asked: events.weighed(
        office,
        asked.cylinder,
        day=asked.on,
        gross=asked.gross,
        at=asked.at,
        refrigerant=asked.refrigerant,
        why=asked.why,
    ),
    "not-done": lambda office, asked: events.not_done(office, asked.job, day=asked.on, why=asked.why),
    "withdraw": lambda office, asked: settle.withdraw(office, asked.record, why=asked.why),
    "receipt": lambda office, asked: settle.receipt(office, asked.record, number=asked.number),
    "settle": lambda office, asked: settle.join_ends(office, why=asked.why),
}
