"""`packet sort`: scanned stacks to filed packets."""

import argparse
from pathlib import Path

from packet.cli.talk import complain, open_shop, say
from packet.office.scan_report import report_text
from packet.office.scan_sort import ScanLibrariesMissing, sort
from packet.press.run_pool import cores
from packet.words import t


def add_commands(parsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """sort."""
    text = t(
        "Sort scanned packets: read the code on each page, put each page with its job, say which boxes are marked."
    )
    parser = parsers.add_parser("sort", help=text, description=text, epilog="packet sort scans/monday.pdf")
    parser.add_argument("scans", type=Path, nargs="+", metavar=t("SCAN"), help=t("a PDF or a picture of scanned pages"))
    parser.add_argument("--out", type=Path, default=Path("out"), metavar=t("DIR"), help=t("where to (default: out)"))
    parser.add_argument(
        "--shop", type=Path, default=None, metavar=t("DIR"), help=t("the shop's folder (default: jobs)")
    )
    parser.set_defaults(run=run_sort)


def run_sort(arguments: argparse.Namespace) -> int:
    """`packet sort`."""
    from packet.office.scan_write import KeptScanError, ScansBusyError

    missing = [path for path in arguments.scans if not path.exists()]
    if missing:
        complain("\n".join(t("There is no '{path}'.", path=path) for path in missing))
        return 2
    folder, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    try:
        report = sort(arguments.scans, folder, arguments.out, registers.shop.records_url, workers=cores())
    except (ScanLibrariesMissing, ScansBusyError, KeptScanError) as error:
        complain(str(error))
        return 3
    say(report_text(report))
    return 1 if report.problems else 0
