"""What came back: forms to records, the month, finding a job, checking the records."""

import argparse
from collections.abc import Iterable
from pathlib import Path

from packet.cli.talk import complain, now, open_shop, reasons, say, today, told
from packet.cli.where import out_of, shop_here
from packet.ledger.check import check_records
from packet.ledger.records import read_records
from packet.ledger.state import UnreadableRecordsError
from packet.ledger.store import DamagedRecordsError, RecordsBusyError
from packet.office.file import file_forms
from packet.office.find import find_jobs, found_as_text
from packet.office.month.csv import month_csv
from packet.office.month.pdf import month_as_text, month_pdf
from packet.office.month.report import month_of
from packet.office.pages.write import FOLDER as PAGES
from packet.office.pages.write import refresh
from packet.scan.write import FOLDER
from packet.shop.load import find_shop, load_registers
from packet.shop.problems import WrongPathError
from packet.shop.records import Registers
from packet.shop.whole import make_folder, write_whole
from packet.words import t, tn


def run_file(arguments: argparse.Namespace) -> int:
    """`packet file`."""
    folder, registers = open_shop(arguments.shop or _beside(arguments.forms[0]))
    given = reasons(arguments.reason)
    if registers is None or given is None:
        return 1 if registers is None else 2
    out = arguments.out or out_of(folder)
    missing = [form for form in arguments.forms if not form.is_file()]
    if missing:
        complain("\n".join(t("There is no '{path}'.", path=path) for path in missing))
        return 2
    try:
        results = file_forms(
            arguments.forms, folder, registers, today=today(), filed_at=now(), reasons=given, scans=out / FOLDER
        )
    except (RecordsBusyError, DamagedRecordsError) as error:
        complain(str(error))
        return 3
    except UnreadableRecordsError as error:
        complain(str(error))
        return 1
    statuses = [told(result, name=str(form)) for form, result in zip(arguments.forms, results, strict=True)]
    refresh_pages(folder, registers, out, (result.job for result in results if result.filed is not None))
    return max(statuses)


def refresh_pages(shop_folder: Path, registers: Registers, out: Path, jobs: Iterable[str]) -> None:
    """The record pages of `jobs`, whose readings or scans are new, and of every job whose state moved on."""
    touched = frozenset(jobs)
    if touched:
        found = read_records(shop_folder).filed
        refresh(
            registers.shop,
            shop_folder,
            out,
            filed=found,
            asof=today(),
            touched=touched,
            scans=out / FOLDER,
            tell=complain,
        )


def pages_follow(shop_folder: Path, out: Path, names: Iterable[str] = ()) -> None:
    """The record pages where there are any, after an event or a call: of the jobs among `names`, and of every job whose
    state moved on."""
    registers = load_registers(shop_folder).value
    if registers is None or not (out / PAGES).is_dir():
        return
    refresh(
        registers.shop, shop_folder, out, filed=read_records(shop_folder).filed, asof=today(), touched=frozenset(names),
        scans=out / FOLDER, tell=complain,
    )  # fmt: skip


def _beside(form: Path) -> Path | None:
    """The shop a form lies in, where it lies in one; a form in `out` belongs to the default shop."""
    try:
        return find_shop(form)
    except WrongPathError:
        return None


def run_month(arguments: argparse.Namespace) -> int:
    """`packet month`."""
    folder, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    asked = arguments.month
    try:
        report = month_of(registers, folder, asked.year, asked.month, today=today())
    except UnreadableRecordsError as error:
        complain(str(error))
        return 1
    out = arguments.out or out_of(folder)
    make_folder(out)
    stem = f"month-{asked.year:04d}-{asked.month:02d}"
    for path, content in (
        (out / f"{stem}.pdf", month_pdf(report)),
        (out / f"{stem}.csv", month_csv(report).encode()),
    ):
        write_whole(path, content)
        say(str(path))
    say(month_as_text(report))
    return 0


def run_find(arguments: argparse.Namespace) -> int:
    """`packet find`."""
    folder, registers = open_shop(arguments.shop)
    if registers is None:
        return 1
    every = read_records(folder)
    for line in (every.trouble, *every.missing_told):
        if line:
            complain(line)
    found = find_jobs(registers, folder, arguments.text, today=today())
    say(found_as_text(found))
    return 0 if found else 1


def run_records(arguments: argparse.Namespace) -> int:
    """`packet records check`."""
    folder = find_shop(arguments.shop or shop_here())
    breaks = check_records(folder)
    for item in breaks:
        complain(f"{item.file}: {item.message} {item.remedy}".rstrip())
    open_breaks = [item for item in breaks if not item.settled]
    if not open_breaks:
        say(
            tn(
                "{count} record, the chain is whole.",
                "{count} records, the chain is whole.",
                len(read_records(folder).filed),
            )
        )
    return 1 if open_breaks else 0
