"""From nothing to a shop: `packet begin`, and registers from a spreadsheet: `packet bring-in`."""

import argparse

from packet.cli.talk import complain, say, tell, today
from packet.cli.where import shop_here, short_path
from packet.shop.begin import begin_shop
from packet.shop.bring_in import brought_in
from packet.shop.places import find_shop
from packet.shop.whole import write_whole
from packet.words import t, tn


def run_begin(arguments: argparse.Namespace) -> int:
    """`packet begin`."""
    written = begin_shop(arguments.folder, today())
    for path in written:
        say(t("wrote {path}", path=path))
    say(
        t(
            "Fill in the blanks, or bring lists in from a spreadsheet (packet bring-in cylinders.csv); then: packet check {folder}",
            folder=short_path(arguments.folder),
        )
    )
    return 0


def run_bring_in(arguments: argparse.Namespace) -> int:
    """`packet bring-in`."""
    missing = [path for path in arguments.sheets if not path.is_file()]
    if missing:
        complain("\n".join(t("There is no '{path}'.", path=path) for path in missing))
        return 2
    shop = find_shop(arguments.shop or shop_here())
    status = 0
    for path in arguments.sheets:
        made = brought_in(path, shop)
        if made.value is None:
            tell(made.problems)
            say(t("{path}: nothing was written.", path=path))
            status = 1
            continue
        register, text, count = made.value
        write_whole(register, text.encode())
        said = tn("{count} entry", "{count} entries", count)
        say(t("{path}: {entries} written into {register}", path=path, entries=said, register=register))
    return status
