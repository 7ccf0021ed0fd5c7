"""The cylinders: what is in each tonight, and what happens to them outside of jobs."""

import argparse
from collections.abc import Callable
from datetime import date, time
from pathlib import Path

from packet.cli.talk import complain, now, open_shop, reasons, say, today, told
from packet.ledger.state import UnreadableRecordsError, ledger
from packet.ledger.store import DamagedRecordsError, RecordsBusyError
from packet.office import events
from packet.office.cylinders import cylinder_list, cylinders_as_text
from packet.office.enter import Entered, Office
from packet.shop.build import build
from packet.shop.problems import Loaded, Problem
from packet.shop.records import Cylinder, Month
from packet.shop.text import Seq, read
from packet.words import t

PURPOSES = ("reclaim", "destruction", "returned")
Event = Callable[[Office, argparse.Namespace], Entered]


def add_commands(parsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """cylinders, cylinder, turn-in."""
    text = t("List every cylinder: where, what, how much, room left, retest due, warnings.")
    every = parsers.add_parser("cylinders", help=text, description=text, epilog="packet cylinders --asof 2026-11-30")
    every.add_argument(
        "--asof", type=date.fromisoformat, metavar=t("DATE"), help=t("at the end of that day (default: today)")
    )
    with_shop(every)
    every.set_defaults(run=run_cylinders)

    text = t("Enter what happened to a cylinder: emptied, retested, bought, retired, explained.")
    one = parsers.add_parser(
        "cylinder", help=text, description=text, epilog="packet cylinder retested C-118 --tested 2026-11"
    )
    kinds = one.add_subparsers(dest="event", required=True, metavar=t("EVENT"))

    emptied = _event(kinds, "emptied", t("emptied and evacuated, ready for any gas"), _emptied)
    emptied.add_argument("--at", type=time.fromisoformat, required=True, metavar="HH:MM", help=t("at what time"))
    emptied.add_argument("--into", default="", metavar=t("CYLINDER"), help=t("the cylinder that took what was in it"))
    emptied.add_argument(
        "--weight", default="", metavar=t("NET"), help=t("how much that was (default: all the ledger has)")
    )
    retested = _event(kinds, "retested", t("requalified"), _retested)
    retested.add_argument("--tested", type=month, required=True, metavar="YYYY-MM", help=t("the month stamped on it"))
    retested.add_argument("--by", default="", metavar=t("NAME"), help=t("who did it"))
    retired = _event(kinds, "retired", t("taken out of service for good"), _retired)
    retired.add_argument("--why", required=True, metavar=t("REASON"), help=t("why"))
    explained = _event(kinds, "explained", t("a discrepancy between scale and ledger is explained"), _explained)
    explained.add_argument("--why", required=True, metavar=t("REASON"), help=t("why they differ"))
    explained.add_argument("--follow-scale", action="store_true", help=t("the ledger takes over what the scale found"))
    bought = kinds.add_parser("bought", help=t("a new cylinder"), description=t("Enter a new cylinder."))
    bought.add_argument("entry", type=Path, metavar=t("FILE"), help=t("a file with its entry, as in cylinders.yaml"))
    _common(bought, _bought)

    text = t("Enter gas handed over: for reclaim, for destruction, or back to its owner.")
    turn = parsers.add_parser(
        "turn-in", help=text, description=text, epilog="packet turn-in C-118 C-121=38.4 --to 'Reclaimer' --for reclaim"
    )
    turn.add_argument(
        "loads",
        nargs="+",
        metavar=t("CYLINDER[=NET]"),
        help=t("each cylinder, with its net weight where it was weighed"),
    )
    turn.add_argument("--to", required=True, metavar=t("NAME"), help=t("to whom, with place"))
    turn.add_argument("--for", dest="purpose", choices=PURPOSES, required=True, help=t("what for"))
    turn.add_argument("--reference", default="", metavar=t("NUMBER"), help=t("the receipt's or manifest's number"))
    turn.add_argument(
        "--at", type=time.fromisoformat, metavar="HH:MM", help=t("at what time (default: after the day's jobs)")
    )
    turn.add_argument("--stays", action="store_true", help=t("drained on the spot; the cylinders are still here"))
    turn.add_argument("--part", action="store_true", help=t("only the weights given; the rest stays in the cylinders"))
    _common(turn, _turn_in)


def with_shop(parser: argparse.ArgumentParser) -> None:
    """The option that says which shop."""
    parser.add_argument("--shop", type=Path, metavar=t("DIR"), help=t("the shop's folder (default: jobs)"))


def month(word: str) -> Month:
    """'2026-11'; argparse words the complaint."""
    first = date.fromisoformat(f"{word}-01")
    return Month(year=first.year, month=first.month)


def _event(
    kinds: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str, text: str, event: Event
) -> argparse.ArgumentParser:
    parser = kinds.add_parser(name, help=text, description=t("Enter: {event}.", event=text))
    parser.add_argument("cylinder", metavar=t("CYLINDER"), help=t("its id in the register"))
    _common(parser, event)
    return parser


def _common(parser: argparse.ArgumentParser, event: Event) -> None:
    parser.add_argument("--on", type=date.fromisoformat, metavar=t("DATE"), help=t("on which day (default: today)"))
    parser.add_argument(
        "--reason", action="append", default=[], metavar=t("CODE=TEXT"), help=t("why a caution is accepted")
    )
    with_shop(parser)
    parser.set_defaults(run=run_event, enter=event)


def run_cylinders(arguments: argparse.Namespace) -> int:
    """`packet cylinders`."""
    folder, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    asof = arguments.asof or today()
    try:
        say(cylinders_as_text(cylinder_list(ledger(registers, folder, asof), asof), registers.shop.units))
    except UnreadableRecordsError as error:
        complain(str(error))
        return 1
    return 0


def run_event(arguments: argparse.Namespace) -> int:
    """`packet cylinder …` and `packet turn-in`."""
    folder, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    given = reasons(arguments.reason)
    if given is None:
        return 2
    arguments.on = arguments.on or today()
    office = Office(folder, registers, today(), now(), given)
    try:
        entered = arguments.enter(office, arguments)
    except (RecordsBusyError, DamagedRecordsError) as error:
        complain(str(error))
        return 3
    except UnreadableRecordsError as error:
        complain(str(error))
        return 1
    return told(entered)


def _emptied(office: Office, asked: argparse.Namespace) -> Entered:
    return events.emptied(office, asked.cylinder, day=asked.on, at=asked.at, into=asked.into, weight=asked.weight)


def _retested(office: Office, asked: argparse.Namespace) -> Entered:
    return events.retested(office, asked.cylinder, day=asked.on, tested=asked.tested, by=asked.by)


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
