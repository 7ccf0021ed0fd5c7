"""`packet records publish`: the record pages, for a web server."""

import argparse

from packet.cli.talk import complain, open_shop, say, today
from packet.cli.where import out_of
from packet.ledger.records import read_records
from packet.office.pages.publish import PublishError, publish
from packet.office.pages.write import FOLDER, refresh
from packet.scan.write import FOLDER as SCANS
from packet.words import t


def run_publish(arguments: argparse.Namespace) -> int:
    """`packet records publish`."""
    folder, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    out = arguments.out or out_of(folder)
    told: list[str] = []
    # what may be public is what shop.yaml says today, not what it said when the pages were made
    made = refresh(
        registers.shop,
        folder,
        out,
        filed=read_records(folder).filed,
        asof=today(),
        scans=out / SCANS,
        tell=told.append,
    )
    for sentence in told:
        complain(sentence)
    try:
        done = publish(out / FOLDER, made.public, arguments.to, private=(folder, out))
    except PublishError as error:
        complain(str(error))
        return error.status
    for path in done.written:
        say(t("published: {path}", path=arguments.to / path))
    for path in done.taken:
        say(t("taken away: {path}", path=arguments.to / path))
    say(
        t(
            "{written} published, {taken} taken away, {same} as they were.",
            written=len(done.written),
            taken=len(done.taken),
            same=done.same,
        )
    )
    return 1 if told else 0
