"""What may be typed: every command, its arguments and its page of help. What is done stands in the files beside this.

Only words are known here, so that a command loads no more than it needs: `run` names the function to call.
"""

import argparse
import re
import sys
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TypeAlias

from packet.cli import parser_words
from packet.shop.problems import did_you_mean, nearest, quoted
from packet.visible import short
from packet.words import languages, t

if TYPE_CHECKING:
    from _typeshed import SupportsWrite

    Commands: TypeAlias = argparse._SubParsersAction[argparse.ArgumentParser]

PURPOSES = ("reclaim", "destruction", "returned")


class Parser(argparse.ArgumentParser):
    """A parser whose complaint about a slip names the nearest word that is known. typed: what it was given to read."""

    typed: tuple[str, ...] = ()

    def _print_message(self, message: str, file: "SupportsWrite[str] | None" = None) -> None:
        super()._print_message(short(message), file)

    def parse_known_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: argparse.Namespace | None = None
    ) -> tuple[argparse.Namespace, list[str]]:
        """As inherited, but what is left over is told here, by the command that it was typed after."""
        self.typed = tuple(sys.argv[1:] if args is None else args)
        found, extra = super().parse_known_args(args, namespace)
        if extra:
            self.error(t("unrecognized arguments: %s") % " ".join(extra))
        return found, extra

    def error(self, message: str) -> NoReturn:
        """Say what is wrong in a line, and leave with 2."""
        more = t("More: {command} --help", command=self.prog)
        self.exit(2, f"{self.prog}: {self._better(message)}\n{more}\n")

    def _better(self, message: str) -> str:
        choice = re.search(_pattern("invalid choice: %(value)r (choose from %(choices)s)"), message)
        if choice is not None:
            known, word = re.findall(r"'?([\w-]+)'?", choice["choices"]), choice["value"].strip("'")
            return " ".join((t("'{word}' is not known here.", word=word), did_you_mean(word, known, most=20)))
        extra = re.search(_pattern("unrecognized arguments: %s"), message)
        slip = self._slip()
        if slip is not None:
            return slip
        if extra is not None:
            word = extra["value"].split()[0]
            if word.startswith("-"):
                return t("'{word}' is not an option here.", word=word)
            return t("'{word}' is one word too many here.", word=word)
        return message

    def _slip(self) -> str | None:
        """What to say of the first option that was typed and that this command does not know; None where there is none."""
        known = [name for name in self._option_string_actions if name.startswith("--")]
        for typed in self.typed:
            if typed == "--" or self._takes_over(typed):
                return None
            word = typed.split("=")[0]
            if word.startswith("--") and not any(name.startswith(word) for name in known):
                near = nearest(word, known)
                said = t("'{word}' is not an option here.", word=word)
                return " ".join((said, t("Did you mean '{near}'?", near=near))) if near else said
        return None

    def _takes_over(self, word: str) -> bool:
        """Whether this is a command of this one: what follows is its business."""
        return any(word in item.choices for item in self._actions if isinstance(item, argparse._SubParsersAction))


def _pattern(message: str) -> str:
    """One of argparse's messages, as it is said here, to find again what it was filled with."""
    return re.sub(r"%\\?\((\w+)\\?\)[rs]|%s", lambda found: f"(?P<{found[1] or 'value'}>.+)", re.escape(t(message)))


def build_parser() -> Parser:
    """The parser of every command, in the current language."""
    parser_words.use()
    parser = Parser(
        prog="packet",
        description=t("Recovery job packets: from a YAML job description to the paper a technician works from."),
        epilog=t(
            "Without a command: what there is, and how today's jobs stand. Exit status: 0 fine; 1 problems in the input or a job that may not go out; 2 wrong use; 3 the machine."
        ),
    )
    parser.add_argument("--version", action="store_true", help=t("the version of this program"))
    parser.set_defaults(run="shop_today:run_today")
    found: Commands = parser.add_subparsers(dest="command", metavar=t("COMMAND"))  # type: ignore[assignment]
    for add in COMMANDS:
        add(found)
    return parser


def commands() -> tuple[str, ...]:
    """Every command's name."""
    (actions,) = (item for item in build_parser()._actions if isinstance(item, argparse._SubParsersAction))
    return tuple(actions.choices)


def positive(word: str) -> int:
    """A count of at least one; argparse words the complaint."""
    count = int(word)
    if count < 1:
        raise ValueError(word)
    return count


def month(word: str) -> date:
    """The first day of '2026-11'. Raises ArgumentTypeError, whose words argparse shows."""
    try:
        return date.fromisoformat(f"{word}-01")
    except ValueError:
        raise argparse.ArgumentTypeError(
            t("'{value}' is not a month: write year and month as 2023-04.", value=quoted(word))
        ) from None


def day(word: str) -> date:
    """A date, or 'today' or 'tomorrow'. Raises ArgumentTypeError, whose words argparse shows."""
    from packet.cli.talk import today

    days = {"today": today(), "tomorrow": today() + timedelta(days=1)}
    try:
        return days.get(word.casefold()) or date.fromisoformat(word)
    except ValueError:
        raise argparse.ArgumentTypeError(
            t("'{value}' is not a date: write year, month and day as 2026-11-26.", value=quoted(word))
        ) from None


def clock_time(word: str) -> time:
    """A time of day. Raises ArgumentTypeError, whose words argparse shows."""
    try:
        return datetime.strptime(word, "%H:%M").time()  # noqa: DTZ007 - a time of day alone
    except ValueError:
        raise argparse.ArgumentTypeError(
            t("'{value}' is not a time: write it on the 24-hour clock, as 08:30.", value=quoted(word))
        ) from None


def clock(word: str) -> str:
    """A time of day as files have it, '08:30'. Raises ArgumentTypeError."""
    return clock_time(word).strftime("%H:%M")


def _command(found: "Commands", name: str, text: str, example: str, run: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = found.add_parser(
        name, help=text, description=text, epilog=t("Example: {example}", example=example)
    )
    parser.set_defaults(run=run)
    return parser


def _with_paths(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "paths",
        type=Path,
        nargs="+",
        metavar=t("PATH"),
        help=t("a job's id or file, a day's date or folder, 'today', 'tomorrow', or the shop's folder"),
    )


def _with_shop(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--shop", type=Path, metavar=t("DIR"), help=t("the shop's folder (default: the one you are in or beside)")
    )


def _with_out(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--out", type=Path, metavar=t("DIR"), help=t("where the paper lies (default: out, beside the shop's folder)")
    )


def _with_reasons(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--reason", action="append", default=[], metavar=t("CODE=TEXT"), help=t("why a caution is accepted")
    )


def _begin(found: "Commands") -> None:
    text = t("Make a new shop: its registers, commented, with blanks for what is needed, and a first day.")
    parser = _command(found, "begin", text, "packet begin jobs", "begin:run_begin")
    parser.add_argument("folder", type=Path, metavar=t("FOLDER"), help=t("the folder of the new shop"))


def _bring_in(found: "Commands") -> None:
    text = t(
        "Bring a register in from a spreadsheet's CSV, once: cylinders.csv, machines.csv, scales.csv, hoses.csv, technicians.csv, trucks.csv … with the keys as heads."
    )
    parser = _command(found, "bring-in", text, "packet bring-in cylinders.csv hoses.csv", "begin:run_bring_in")
    parser.add_argument("sheets", type=Path, nargs="+", metavar=t("CSV"), help=t("a CSV named after its list"))
    _with_shop(parser)


def _new(found: "Commands") -> None:
    text = t("Write a commented starter job, with the shop's own trucks, people and cylinders to choose from.")
    example = "packet new 2026-11-28/HP-1060 --like HP-1041 --truck T2 --start 14:30 --technician pell --assign"
    parser = _command(found, "new", text, example, "calls:run_new")
    parser.add_argument("job", type=Path, metavar=t("DAY/JOB"), help=t("where the job's file shall stand"))
    parser.add_argument("--like", type=Path, metavar=t("JOB"), help=t("as this job, but for what is given here"))
    parser.add_argument("--truck", metavar=t("TRUCK"), help=t("on this truck"))
    parser.add_argument("--start", type=clock, metavar="HH:MM", help=t("at this time"))
    parser.add_argument("--technician", metavar=t("ID"), help=t("with this technician"))
    parser.add_argument(
        "--set", action="append", default=[], metavar=t("KEY=VALUE"), help=t("any key: --set appliance.charge_lb=28")
    )
    parser.add_argument("--assign", action="store_true", help=t("choose machine, scale and cylinders at once"))
    _with_out(parser)


def _call_off(found: "Commands") -> None:
    text = t("Call a job off: it leaves stack, run sheet and reservations; its file stays and says why.")
    example = "packet call-off HP-1041 --why 'customer sold the unit'"
    parser = _command(found, "call-off", text, example, "calls:run_call_off")
    parser.add_argument("job", type=Path, metavar=t("JOB"), help=t("the job's id or file"))
    how = parser.add_mutually_exclusive_group(required=True)
    how.add_argument("--why", metavar=t("REASON"), help=t("why"))
    how.add_argument("--undo", action="store_true", help=t("the job stands again"))
    _with_out(parser)


def _move(found: "Commands") -> None:
    text = t("Move a job to another day, truck, start, technician, machine, scale or cylinders.")
    parser = _command(found, "move", text, "packet move HP-1041 --truck T2 --start 13:00", "calls:run_move")
    parser.add_argument("job", type=Path, metavar=t("JOB"), help=t("the job's id or file"))
    parser.add_argument("--day", type=day, metavar=t("DATE"), help=t("to this day"))
    parser.add_argument("--truck", metavar=t("TRUCK"), help=t("to this truck"))
    parser.add_argument("--start", type=clock, metavar="HH:MM", help=t("to this time"))
    parser.add_argument("--technician", metavar=t("ID"), help=t("to this technician"))
    parser.add_argument("--second", metavar=t("NAME"), help=t("with this second person; or on-site, or none"))
    parser.add_argument("--machine", metavar=t("ID"), help=t("to this machine; auto: to be assigned"))
    parser.add_argument("--scale", metavar=t("ID"), help=t("to this scale; auto: to be assigned"))
    parser.add_argument("--cylinders", nargs="+", metavar=t("ID"), help=t("into these cylinders, in this order"))
    _with_out(parser)


def _check(found: "Commands") -> None:
    text = t("Check job files and the registers they rest on; every problem at once, each with file, line and field.")
    _with_paths(_command(found, "check", text, "packet check jobs", "jobs:run_check"))


def _plan(found: "Commands") -> None:
    text = t("Show what was decided and computed for one job.")
    example = "packet plan jobs/2026-11-26/HP-1041.yaml --why cylinders.C-118.stop_gross_lb"
    parser = _command(found, "plan", text, example, "jobs:run_plan")
    parser.add_argument(
        "job",
        type=Path,
        metavar=t("JOB"),
        help=t("the job's id or file; or a file in 'printed', for the plan as it was printed"),
    )
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument("--json", action="store_true", help=t("as one JSON object, for other programs; US units"))
    kind.add_argument(
        "--why",
        nargs="?",
        const="",
        metavar=t("NUMBER"),
        help=t("how one number was worked out, by its path in the JSON; without a number: all there are"),
    )


def _assign(found: "Commands") -> None:
    text = t("Propose cylinders, a machine and a scale for every job of a day; fills blanks and 'auto'.")
    parser = _command(found, "assign", text, "packet assign jobs/2026-11-26 --write", "assign:run_assign")
    parser.add_argument("day", type=Path, metavar=t("DAY"), help=t("the day's date or folder, or a job's id"))
    parser.add_argument(
        "--job", action="append", default=[], metavar=t("JOB"), help=t("only this job; may be repeated")
    )
    parser.add_argument("--all", action="store_true", help=t("jobs that are printed or out, too"))
    parser.add_argument("--write", action="store_true", help=t("write it into the job files; comments and order stay"))


def _print(found: "Commands") -> None:
    text = t("Print packets: a PDF a job, a stack a truck, the day's run sheet, the record pages.")
    parser = _command(found, "print", text, "packet print jobs/2026-11-26", "printing:run_print")
    _with_paths(parser)
    _with_out(parser)
    parser.add_argument(
        "--job", action="append", default=[], metavar=t("JOB"), help=t("only this job; may be repeated")
    )
    parser.add_argument(
        "--truck", action="append", default=[], metavar=t("TRUCK"), help=t("only this truck; may be repeated")
    )
    parser.add_argument(
        "--changed",
        action="store_true",
        help=t("also the leaves alone that differ from the prints before, for a truck that is loaded already"),
    )
    parser.add_argument(
        "--loaded",
        type=clock_time,
        metavar="HH:MM",
        help=t("--changed, and what was replaced before this time never left the shop"),
    )
    parser.add_argument("--watch", action="store_true", help=t("go on printing what changes as files are saved"))
    parser.add_argument("--open", action="store_true", help=t("open the stacks and the run sheet when they are ready"))
    parser.add_argument("--fresh", action="store_true", help=t("print what has not changed, too"))
    parser.add_argument("--workers", type=positive, metavar="N", help=t("processes (default: one a core)"))
    parser.add_argument("--html", action="store_true", help=t("write the HTML that each packet is set from, too"))


def _card(found: "Commands") -> None:
    text = t(
        "Print the field card, to be laminated for each truck: what to do when it goes wrong, first aid, phone numbers."
    )
    parser = _command(found, "card", text, "packet card jobs", "printing:run_card")
    parser.add_argument(
        "folder",
        type=Path,
        nargs="?",
        metavar=t("FOLDER"),
        help=t("the shop's folder (default: the one you are in or beside)"),
    )
    _with_out(parser)
    parser.add_argument(
        "--language",
        action="append",
        choices=languages(),
        help=t("only in this language (default: in each that the shop or a technician reads)"),
    )


def _file(found: "Commands") -> None:
    text = t("Check the readings forms that came back and file each once and for all.")
    parser = _command(found, "file", text, "packet file out/HP-1041.readings.yaml", "filing:run_file")
    parser.add_argument("forms", type=Path, nargs="+", metavar=t("FORM"), help=t("a filled-in JOB.readings.yaml"))
    _with_reasons(parser)
    _with_out(parser)
    _with_shop(parser)


def _cylinders(found: "Commands") -> None:
    text = t("List every cylinder: where, what, how much, room left, retest due, size, jobs to come, warnings.")
    parser = _command(found, "cylinders", text, "packet cylinders --asof 2026-11-30", "cylinders:run_cylinders")
    only = t("only this cylinder, with everything that was filed about what is in it")
    parser.add_argument("cylinders", nargs="*", metavar=t("CYLINDER"), help=only)
    parser.add_argument("--asof", type=day, metavar=t("DATE"), help=t("at the end of that day (default: today)"))
    parser.add_argument(
        "--sort",
        choices=("id", "size", "room", "gas", "retest", "where"),
        default="id",
        help=t("in this order (default: id); room: the most first"),
    )
    _with_shop(parser)


def _cylinder(found: "Commands") -> None:
    text = t(
        "Enter what happened to a cylinder: weighed, out of service, emptied, retested, bought, retired, explained."
    )
    parser = _command(found, "cylinder", text, "packet cylinder retested C-118 --tested 2026-11", "cylinders:run_event")
    kinds = parser.add_subparsers(dest="event", required=True, metavar=t("EVENT"))

    emptied = _event(kinds, "emptied", t("Enter a cylinder as emptied and evacuated, ready for any gas."))
    emptied.add_argument("--at", type=clock_time, required=True, metavar="HH:MM", help=t("at what time"))
    emptied.add_argument("--into", default="", metavar=t("CYLINDER"), help=t("the cylinder that took what was in it"))
    emptied.add_argument(
        "--weight", default="", metavar=t("NET"), help=t("how much that was (default: all the ledger has)")
    )
    retested = _event(kinds, "retested", t("Enter a cylinder as requalified."))
    retested.add_argument("--tested", type=month, required=True, metavar="YYYY-MM", help=t("the month stamped on it"))
    retested.add_argument("--by", default="", metavar=t("NAME"), help=t("who did it"))
    retired = _event(kinds, "retired", t("Take a cylinder out of service for good."))
    retired.add_argument("--why", required=True, metavar=t("REASON"), help=t("why"))
    explained = _event(kinds, "explained", t("Explain why scale and ledger differ, and close the discrepancy."))
    explained.add_argument("--why", required=True, metavar=t("REASON"), help=t("why they differ"))
    explained.add_argument("--follow-scale", action="store_true", help=t("the ledger takes over what the scale found"))
    weighed = _event(kinds, "weighed", t("Enter what a cylinder was found to weigh; the ledger follows the scale."))
    weighed.add_argument("--gross", required=True, metavar=t("WEIGHT"), help=t("the scale's reading, hoses off"))
    weighed.add_argument("--at", type=clock_time, metavar="HH:MM", help=t("when (default: before the day's jobs)"))
    weighed.add_argument(
        "--refrigerant", default="", metavar=t("NAME"), help=t("what is in it, where the ledger has it empty")
    )
    weighed.add_argument(
        "--why", default="", metavar=t("REASON"), help=t("why scale and ledger differ, where that is known")
    )
    for name, text in (
        ("out-of-service", t("Take a cylinder out of service for now; jobs that name it are stopped.")),
        ("in-service", t("Put a cylinder back into service.")),
    ):
        service = kinds.add_parser(name, help=text, description=text, epilog=_example(name))
        service.set_defaults(run="calls:run_service")
        service.add_argument("cylinder", metavar=t("CYLINDER"), help=t("its id in the register"))
        if name == "out-of-service":
            service.add_argument("--why", required=True, metavar=t("REASON"), help=t("why"))
        _with_out(service)
        _with_shop(service)
    text = t("Enter a new cylinder.")
    bought = kinds.add_parser("bought", help=text, description=text, epilog=_example("bought"))
    bought.add_argument("entry", type=Path, metavar=t("FILE"), help=t("a file with its entry, as in cylinders.yaml"))
    _common(bought)


EXAMPLES = {
    "weighed": "packet cylinder weighed C-118 --gross 36.5",
    "out-of-service": "packet cylinder out-of-service C-118 --why 'valve leaks'",
    "in-service": "packet cylinder in-service C-118",
    "emptied": "packet cylinder emptied C-118 --at 15:30 --into M-903",
    "retested": "packet cylinder retested C-118 --tested 2026-11 --by 'Harrow Test Bench'",
    "retired": "packet cylinder retired C-124 --why 'collar bent'",
    "explained": "packet cylinder explained C-118 --why 'weighed with its cap on'",
    "bought": "packet cylinder bought C-130.yaml",
    "check": "packet records check",
    "withdraw": "packet records withdraw 12 --why 'entered for another cylinder'",
    "receipt": "packet records receipt 12 M-2207",
    "settle": "packet records settle --why 'two offices filed at once'",
    "publish": "packet records publish --to /srv/www/records",
}


def _example(name: str) -> str:
    return t("Example: {example}", example=EXAMPLES[name])


def _event(kinds: "Commands", name: str, text: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = kinds.add_parser(name, help=text, description=text, epilog=_example(name))
    parser.add_argument("cylinder", metavar=t("CYLINDER"), help=t("its id in the register"))
    _common(parser)
    return parser


def _common(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--on", type=day, metavar=t("DATE"), help=t("on which day (default: today)"))
    _with_reasons(parser)
    _with_shop(parser)


def _turn_in(found: "Commands") -> None:
    text = t("Enter gas handed over: for reclaim, for destruction, or back to its owner.")
    example = "packet turn-in C-118 C-121=38.4 --to 'Harrow Reclaim, Harrow Mesa' --for reclaim"
    parser = _command(found, "turn-in", text, example, "cylinders:run_event")
    parser.set_defaults(event="turn-in")
    parser.add_argument(
        "loads",
        nargs="+",
        metavar=t("CYLINDER[=NET]"),
        help=t("each cylinder, with its net weight where it was weighed"),
    )
    parser.add_argument("--to", required=True, metavar=t("NAME"), help=t("to whom, with place"))
    parser.add_argument("--for", dest="purpose", choices=PURPOSES, required=True, help=t("what for"))
    parser.add_argument("--reference", default="", metavar=t("NUMBER"), help=t("the receipt's or manifest's number"))
    parser.add_argument(
        "--at", type=clock_time, metavar="HH:MM", help=t("at what time (default: after the day's jobs)")
    )
    parser.add_argument("--stays", action="store_true", help=t("drained on the spot; the cylinders are still here"))
    parser.add_argument(
        "--part", action="store_true", help=t("only the weights given; the rest stays in the cylinders")
    )
    _common(parser)


def _month(found: "Commands") -> None:
    text = t("The month's report: recovered, sent on, held; a PDF and a CSV.")
    parser = _command(found, "month", text, "packet month 2026-11", "filing:run_month")
    parser.add_argument("month", type=month, metavar="YYYY-MM", help=t("which month"))
    _with_out(parser)
    _with_shop(parser)


def _sort(found: "Commands") -> None:
    text = t(
        "Sort scanned packets: read the code on each page, put each page with its job, say which boxes are marked."
    )
    parser = _command(found, "sort", text, "packet sort scans/monday.pdf", "scans:run_sort")
    parser.add_argument("scans", type=Path, nargs="+", metavar=t("SCAN"), help=t("a PDF or a picture of scanned pages"))
    parser.add_argument(
        "--page", metavar=t("JOB:PAGE"), help=t("whose page the one scanned page is, when its codes cannot be read")
    )
    parser.add_argument(
        "--counts", action="store_true", help=t("where a page was scanned before, count these scans in its place")
    )
    _with_out(parser)
    _with_shop(parser)


def _find(found: "Commands") -> None:
    text = t("Find jobs by number, site, phone, cylinder, appliance, technician, truck or date.")
    parser = _command(found, "find", text, "packet find C-118", "filing:run_find")
    parser.add_argument("text", metavar=t("TEXT"), help=t("what to look for"))
    _with_shop(parser)


def _not_done(found: "Commands") -> None:
    text = t("Say that a job was not done after all, so that it no longer waits to be filed.")
    parser = _command(
        found, "not-done", text, "packet not-done HP-1041 --why 'customer sold the unit'", "cylinders:run_event"
    )
    parser.set_defaults(event="not-done")
    parser.add_argument("job", metavar=t("JOB"), help=t("the job's number"))
    parser.add_argument("--why", required=True, metavar=t("REASON"), help=t("why"))
    _common(parser)


def _records(found: "Commands") -> None:
    text = t(
        "Look after the filed records: check that they are as they were filed, withdraw one, add a receipt, settle what was found; publish their pages."
    )
    parser = _command(found, "records", text, "packet records check", "filing:run_records")
    kinds = parser.add_subparsers(dest="what", required=True, metavar=t("WHAT"))
    text = t("Check that the records are as they were filed: edits, losses, forks.")
    _with_shop(kinds.add_parser("check", help=text, description=text, epilog=_example("check")))
    text = t("Withdraw a record that describes nothing that happened; it stays, and no longer counts.")
    withdraw = kinds.add_parser("withdraw", help=text, description=text, epilog=_example("withdraw"))
    withdraw.set_defaults(run="cylinders:run_event", event="withdraw")
    withdraw.add_argument("record", metavar=t("RECORD"), help=t("its file name or number"))
    withdraw.add_argument("--why", required=True, metavar=t("REASON"), help=t("why"))
    _common(withdraw)
    text = t("Add the receipt's or manifest's number to a turn-in that was filed without.")
    receipt = kinds.add_parser("receipt", help=text, description=text, epilog=_example("receipt"))
    receipt.set_defaults(run="cylinders:run_event", event="receipt")
    receipt.add_argument("record", metavar=t("RECORD"), help=t("its file name or number"))
    receipt.add_argument("number", metavar=t("NUMBER"), help=t("the receipt's or manifest's number"))
    _common(receipt)
    text = t("Settle what the check found, on the record: join the ends of a fork, accept an edit or a loss as it is.")
    settle = kinds.add_parser("settle", help=text, description=text, epilog=_example("settle"))
    settle.set_defaults(run="cylinders:run_event", event="settle")
    settle.add_argument("--why", required=True, metavar=t("REASON"), help=t("what happened"))
    _common(settle)
    text = t("Copy the record pages into a folder that is served: what shop.yaml shows, and nothing else.")
    pages = kinds.add_parser("publish", help=text, description=text, epilog=_example("publish"))
    pages.set_defaults(run="publishing:run_publish")
    pages.add_argument("--to", type=Path, required=True, metavar=t("FOLDER"), help=t("the folder that is served"))
    _with_shop(pages)
    _with_out(pages)


COMMANDS = (
    _begin,
    _bring_in,
    _new,
    _check,
    _plan,
    _assign,
    _call_off,
    _move,
    _print,
    _card,
    _file,
    _not_done,
    _cylinders,
    _cylinder,
    _turn_in,
    _month,
    _sort,
    _find,
    _records,
)
