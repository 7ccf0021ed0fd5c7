"""`packet sort`: scanned stacks to filed packets."""

import argparse
from collections.abc import Sequence
from pathlib import Path

from packet.cli.filing import refresh_pages
from packet.cli.talk import complain, open_shop, say
from packet.cli.where import out_of
from packet.ledger.records import read_records, standing
from packet.office.prefill import lay_prefilled
from packet.office.scanned import Scanned, filed_otherwise, scan_of
from packet.press.run.pool import cores
from packet.press.run.state import BusyError
from packet.scan.model import Filed
from packet.scan.report import report_text
from packet.scan.sort import ScanLibrariesMissing, WrongPage, put_by_hand, sort
from packet.scan.write import FOLDER
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
    fill_in(report.filed, folder, out)
    return 1 if report.problems else 0


def fill_in(packets: Sequence[Filed], shop_folder: Path, out: Path) -> None:
    """The readings form of every packet that is its job's newest print, with what is known beforehand; a filed job's is
    left alone, and where its scan has empty what is filed as initialed, that is said."""
    filed = {
        item.record.subject: item.record for item in standing(read_records(shop_folder).filed) if item.kind == "job"
    }
    for packet in packets:
        if packet.superseded_by:
            continue
        scan = scan_of(shop_folder, out / FOLDER, packet.job, packet.revision)
        if packet.job in filed:
            record = filed[packet.job]
            say(t("{job} is filed in {record}: its form is left alone.", job=packet.job, record=record.name))
            for line in filed_otherwise(record.body, scan) if isinstance(scan, Scanned) else ():
                say(f"  {line}")
        elif isinstance(scan, Scanned):
            try:
                say(lay_prefilled(out, scan)[1])
            except BusyError as error:
                complain(str(error))
