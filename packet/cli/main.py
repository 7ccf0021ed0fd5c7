"""`packet COMMAND …`: reads the words, calls the station, answers with an exit status.

0 fine; 1 problems in the input or a job that may not go out; 2 wrong use or a path that does not exist; 3 the machine
(missing library, disk, permission).
"""

import os
import sys
from collections.abc import Sequence
from importlib import import_module
from io import TextIOWrapper
from pathlib import Path

from packet.cli.options import build_parser
from packet.cli.where import language_here
from packet.collector import without_collecting
from packet.visible import short
from packet.words import t, use


def main(words: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status. words: the arguments, by default the process's own."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:  # closed by whoever started us: nobody listens, and the work is done all the same
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115 - as long as we live
        elif isinstance(stream, TextIOWrapper):
            # a sign that this terminal cannot write is written out; it does not end the command
            stream.reconfigure(errors="backslashreplace")
    try:
        return _run(words)
    except KeyboardInterrupt:
        _tell(t("Interrupted; files that were finished are whole, the others are not there."))
        return 130
    except BrokenPipeError:
        # whoever read us has had enough; nothing more can be said
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        _tell(t("The machine refused: {error}", error=error))
    except MemoryError:
        _tell(t("The machine has no memory left for this. Close other programs, or do less at once."))
    except ImportError as error:
        _tell(t("A library that this needs cannot be loaded: {error}. Install the program again.", error=error))
    return 3


def _run(words: Sequence[str] | None) -> int:
    use(language_here())
    parser = build_parser()
    if "_ARGCOMPLETE" in os.environ:
        from packet.cli.complete import complete

        complete(parser)
    arguments = parser.parse_args(words)
    module, _, function = arguments.run.partition(":")
    # imported here, not above: a command loads only what it needs
    with without_collecting():
        from packet.press.assets import MissingLibrary
        from packet.press.printed import PrintRecordError
        from packet.press.sure import NotSetError
        from packet.shop.problems import WrongPathError
        from packet.shop.whole import OwnFileError, TakenError

        run = getattr(import_module(f"packet.cli.{module}"), function)
    try:
        status: int = run(arguments)
    except WrongPathError as error:
        _tell(error)
        return 2
    except (OwnFileError, PrintRecordError) as error:
        _tell(error)
        return 1
    except (MissingLibrary, NotSetError) as error:
        _tell(error)
        return 3
    except TakenError as error:
        _tell(t("Somebody else holds '{lock}'; try again.", lock=error))
        return 3
    return status


def _tell(error: object) -> None:
    print(short(str(error)), file=sys.stderr)
