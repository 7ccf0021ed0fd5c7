"""`packet sort`: a stack of scans in, every page with its job, and a report of what a person must look at.

Reading needs the optional libraries; they are loaded when the first page is read, and `ScanLibrariesMissing` says in
one line how to get them.
"""

import multiprocessing
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from packet.press.printed import PrintRecordError, newest_record, printed_folder
from packet.press.scratch import own_temporary_folder
from packet.scan.address import PrintedNames, address_texts, printed_names
from packet.scan.model import Address, PageRead, Problem, SortedPage, SortReport, Source, problem
from packet.words import t

if TYPE_CHECKING:
    from packet.scan.code import Code
    from packet.scan.page import Desk

Progress = Callable[[int, int], None]
# Starting a process costs about what reading this many pages does.
PAGES_WORTH_A_WORKER = 6
NEEDED = ("cv2", "numpy", "pypdfium2", "zxingcpp")


class ScanLibrariesMissing(Exception):  # noqa: N818 - named for what is wrong
    """The optional libraries for reading scans are not installed; the message says how to install them."""


class WrongPage(Exception):  # noqa: N818 - named for what is wrong
    """A page put by hand that there is not; the message says what there is."""


def put_by_hand(words: str, paths: Sequence[Path], shop_folder: Path) -> Address:
    """The page of a job's newest print that 'JOB:PAGE' names, for the one scanned page in `paths`.

    Raises WrongPage, ScanLibrariesMissing.
    """
    _need_libraries()
    job, _, page = words.rpartition(":")
    if not job or not page.isascii() or not page.isdigit():
        raise WrongPage(t("--page takes a job and a page of it, as in HP-1041:3, not '{words}'.", words=words))
    try:
        record = newest_record(shop_folder, job)
    except PrintRecordError as error:
        raise WrongPage(str(error)) from error
    if record is None:
        raise WrongPage(t("No print of job {job} is known here.", job=job))
    if not 1 <= int(page) <= len(record.pages):
        raise WrongPage(t("The print of {job} has pages 1 to {last}.", job=job, last=len(record.pages)))
    found, _ = _sources(paths)
    if len(found) != 1:
        raise WrongPage(t("--page takes one scanned page at a time; here are {count}.", count=len(found)))
    return Address(job, int(page), record.revision)


def sort(
    paths: Sequence[Path],
    shop_folder: Path,
    out_folder: Path,
    records_url: str,
    *,
    workers: int = 1,
    progress: Progress | None = None,
    by_hand: Address | None = None,
    counts: bool = False,
) -> SortReport:
    """Sort scanned files (PDF or pictures) into `out_folder/scans`, adding to what earlier runs have filed.

    shop_folder: where `printed/` is. records_url: the shop's own, that the printed codes begin with. workers: how many
    processes read pages. progress: called with (pages done, pages in all). by_hand: the page that a person says the one
    page in `paths` is. counts: where a page was scanned before, these scans count in its place. Run again with the same files it changes
    nothing; a further stack adds the pages that were missing.

    Raises ScanLibrariesMissing, scan_write.ScansBusyError, OSError when the machine fails. What is wrong with a file
    or a page is in the report.
    """
    _need_libraries()
    from packet.scan import filing as scan_filing
    from packet.scan import restore as scan_restore
    from packet.scan import write as scan_write
    from packet.scan.page import Desk

    started = time.monotonic()
    sources, problems = _sources(paths)
    folder = printed_folder(shop_folder)
    names = printed_names(records_url, folder)
    scans = out_folder / scan_write.FOLDER
    own_temporary_folder()
    with tempfile.TemporaryDirectory(prefix="packet-scans-") as staging:
        desk = Desk(names, folder, Path(staging), scan_restore.code_sizes(names))
        if by_hand is not None:
            reads = _read_by_hand(sources, desk, by_hand)
        else:
            reads = _read_all(sources, desk, shop_folder, min(workers, len(sources) // PAGES_WORTH_A_WORKER), progress)
        with scan_write.sorting(scans):
            report = scan_filing.file(reads, shop_folder, scans, counts=counts)
    return replace(
        report, scanned=len(sources), problems=(*problems, *report.problems), seconds=time.monotonic() - started
    )


def _need_libraries() -> None:
    missing = [name for name in NEEDED if find_spec(name) is None]
    if missing:
        raise ScanLibrariesMissing(
            t(
                "Reading scans needs libraries that are not installed ({missing}): pip install .[scan]",
                missing=", ".join(missing),
            )
        )


def _sources(paths: Sequence[Path]) -> tuple[list[Source], list[Problem]]:
    from packet.scan import image as scan_image

    found: list[Source] = []
    problems = []
    for path in dict.fromkeys(paths):
        try:
            found += scan_image.sources(path)
        except FileNotFoundError:
            problems.append(problem("file-missing", file=path))
        except IsADirectoryError:
            problems.append(problem("file-unreadable", file=path, why=t("it is a folder")))
        except (scan_image.UnreadableScanError, OSError) as error:
            problems.append(problem("file-unreadable", file=path, why=error))
    return found, problems


def _read_all(
    sources: Sequence[Source], desk: "Desk", shop_folder: Path, workers: int, progress: Progress | None
) -> list[PageRead]:
    """Every page read; what may be a code on those without one is held against the pages still missing, and what is one
    of them read on from there; then all of them are held against one another."""
    from packet.scan.glass import doubt_repeated
    from packet.scan.restore import listed, matched

    with _mapping(workers) as each:
        reads = []
        for read in each(sources, desk, [None] * len(sources)):
            reads.append(read)
            if progress:
                progress(len(reads), len(sources))
        if any(read.unread for read in reads):
            missing = listed(_missing_addresses(reads, desk.names, shop_folder))
            known = {number: code for number, read in enumerate(reads) if (code := matched(read.unread, missing))}
            again = each([reads[number].source for number in known], desk, list(known.values()))
            for number, read in zip(known, again, strict=True):
                reads[number] = read
    return doubt_repeated(reads)


def _read_by_hand(sources: Sequence[Source], desk: "Desk", address: Address) -> list[PageRead]:
    from packet.scan.page import read_page

    return [read_page(source, desk, by_hand=address) for source in sources]


@contextmanager
def _mapping(
    workers: int,
) -> Iterator[Callable[[Sequence[Source], "Desk", Sequence["Code | None"]], Iterator[PageRead]]]:
    """A way to read pages in order: in this process, or in `workers` others."""
    from packet.scan.page import read_page

    if workers <= 1:
        yield lambda sources, desk, codes: (
            read_page(source, desk, code) for source, code in zip(sources, codes, strict=True)
        )
        return
    # spawned, not forked: the libraries keep threads that a fork would leave half alive
    with ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn")) as pool:
        yield lambda sources, desk, codes: pool.map(read_page, sources, [desk] * len(sources), codes, chunksize=4)


def _missing_addresses(reads: Sequence[PageRead], names: PrintedNames, shop_folder: Path) -> tuple[str, ...]:
    """Addresses of the pages that the prints seen in this stack have and the stack does not."""
    there = {read.page.address for read in reads if isinstance(read.page, SortedPage)}
    from packet.scan.page import record_of

    missing = []
    for job, revision in sorted({(item.job, item.revision) for item in there}):
        record = record_of(printed_folder(shop_folder), job, revision)
        pages = (Address(job, page, revision) for page in range(1, len(record.pages) + 1))
        missing += [text for address in pages if address not in there for text in address_texts(address, names)]
    return tuple(missing)
