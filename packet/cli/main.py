"""`packet COMMAND …`: reads the words, calls the station, answers with an exit status.

0 fine; 1 problems in the input or a job that may not go out; 2 wrong use or a path that does not exist; 3 the machine
(missing library, disk, permission).
"""

import argparse
import os
import sys
from collections.abc import Sequence

from packet.cli import assign, cylinders, filing, jobs, printing, scans
from packet.cli.talk import complain
from packet.shop.problems import WrongPathError
from packet.words import t

GROUPS = (jobs, assign, printing, filing, cylinders, scans)


def build_parser() -> argparse.ArgumentParser:
    """The parser of every command."""
    parser = argparse.ArgumentParser(
        prog="packet",
        description=t("Recovery job packets: from a YAML job description to the paper a technician works from."),
        epilog=t(
            "Exit status: 0 fine; 1 problems in the input or a job that may not go out; 2 wrong use; 3 the machine."
        ),
    )
    parsers = parser.add_subparsers(dest="command", required=True, metavar=t("COMMAND"))
    for group in GROUPS:
        group.add_commands(parsers)
    return parser


def commands() -> tuple[str, ...]:
    """Every command's name."""
    (actions,) = (item for item in build_parser()._actions if isinstance(item, argparse._SubParsersAction))
    return tuple(actions.choices)


def main(words: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status. words: the arguments, by default the process's own."""
    arguments = build_parser().parse_args(words)
    try:
        status: int = arguments.run(arguments)
    except WrongPathError as error:
        complain(str(error))
        return 2
    except KeyboardInterrupt:
        complain(t("Interrupted; files that were finished are whole, the others are not there."))
        return 130
    except BrokenPipeError:
        # whoever read us has had enough; nothing more can be said
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        complain(t("The machine refused: {error}", error=error))
        return 3
    return status
