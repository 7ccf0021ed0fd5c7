"""`packet` alone: what commands there are, and how the shop's jobs stand today."""

import argparse
from collections import Counter
from importlib.metadata import PackageNotFoundError, version

from packet.cli.options import build_parser
from packet.cli.talk import complain, open_shop, say, today
from packet.cli.where import out_of, shop_here
from packet.ledger.records import read_records
from packet.office.jobs import COUNTED, filed_jobs, jobs_in
from packet.shop.places import SHOP_FILE
from packet.words import t, tn


def run_today(arguments: argparse.Namespace) -> int:
    """`packet`, `packet --version`."""
    if arguments.version:
        try:
            say(t("packet {version}", version=version("recovery-job-packets")))
        except PackageNotFoundError:
            say(t("packet, run from its source folder"))
        return 0
    say(build_parser().format_help().rstrip())
    shop = shop_here()
    say()
    if not (shop / SHOP_FILE).is_file():
        say(t("There is no shop here or in a folder above: packet begin FOLDER makes one."))
        return 0
    say(t("The shop in {folder}, {date}:", folder=shop, date=today().isoformat()))
    folder, registers = open_shop(shop)
    if registers is None:
        return 1
    found = read_records(folder)
    for line in (found.trouble, *found.missing_told):
        if line:
            complain(line)
    there = list(jobs_in(folder, found, "", today()))
    day = today().isoformat()
    filed = sum(item.record.date == day for item in filed_jobs(found).values())
    states = Counter(item.state for item in there if item.day == day)
    if filed:
        states["filed"] = filed
    told = ", ".join(tn(*COUNTED[state], count) for state, count in states.items())
    say("  " + tn("{count} job today", "{count} jobs today", states.total()) + (f": {told}" if told else ""))
    for words, fits in (
        (t("out since before today, not filed"), [item for item in there if item.day < day and item.state == "out"]),
        (t("to come"), [item for item in there if item.day > day]),
    ):
        if fits:
            days = Counter(item.day for item in fits)
            say(f"  {words}: " + ", ".join(f"{name} ({count})" for name, count in sorted(days.items())[:7]))
    papers = sorted(out_of(folder).glob(f"{day}-*.pdf"))
    if papers:
        say("  " + t("paper of today: {papers}", papers=", ".join(str(path) for path in papers)))
    return 0
