"""`packet sort`: scanned stacks to filed packets."""

import argparse

from packet.cli.filing import refresh_pages
from packet.cli.talk import complain, open_shop, say
from packet.cli.where import out_of
from packet.press.run.pool import cores
from packet.scan.report import report_text
from packet.scan.sort import ScanLibrariesMissing, WrongPage, put_by_hand, sort
from packet.words import t


def run_sort(arguments: argparse.Namespace) -> int:
    """`packet sort`."""
    from packet.scan.write import KeptScanError, ScansBusyError

    missing = [path for path in arguments.scans if not path.exists()]
    if missing:
        complain("\n".join(t("There is no '{path}'.", path=path) for path in missing))
        return 2
    folder, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    out = arguments.out or out_of(folder)
    try:
        by_hand = put_by_hand(arguments.page, arguments.scans, folder) if arguments.page else None
    except WrongPage as error:
        complain(str(error))
        return 2
    try:
        report = sort(
            arguments.scans,
            folder,
            out,
            registers.shop.records_url,
            workers=cores(),
            by_hand=by_hand,
            counts=arguments.counts,
        )
    except (ScanLibrariesMissing, ScansBusyError, KeptScanError) as error:
        complain(str(error))
        return 3
    refresh_pages(folder, registers, out, (packet.job for packet in report.filed))
    say(report_text(report))
    return 1 if report.problems else 0
