"""From pages read to packets filed: which pages are new, what is missing, what a person has to be told."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from packet.press.printed import PrintRecord, PrintRecordError, newest_record, printed_folder
from packet.scan import write as scan_write
from packet.scan.model import Filed, LoosePage, PageRead, Problem, SortedPage, SortReport, problem
from packet.scan.page import record_of


def file(reads: Sequence[PageRead], shop_folder: Path, scans: Path) -> SortReport:
    """Put every page away, in `scans`, whose lock is held by the caller. Raises OSError when the machine fails."""
    packets: dict[tuple[str, str], list[PageRead]] = {}
    loose: list[LoosePage] = []
    problems: list[Problem] = []
    for read in reads:
        if isinstance(read.page, SortedPage):
            packets.setdefault((read.page.address.job, read.page.address.revision), []).append(read)
        else:
            loose.append(_kept_loose(scans, read, read.page))
    filed = []
    already_there = 0
    for (job, revision), pages in sorted(packets.items()):
        path = scan_write.packet_path(scans, job, revision)
        try:
            before = scan_write.kept(path)
        except scan_write.KeptScanError as error:
            # nothing is added to a file that cannot be read; its pages wait beside it
            problems.append(problem("kept-scan-unreadable", file=path, why=error))
            loose += [_waiting(scans, read, job) for read in pages]
            continue
        new = _new_pages(before.pages, pages)
        already_there += len(pages) - len(new)
        now = scan_write.file_pages(path, before, new) if new else before.pages
        record = record_of(printed_folder(shop_folder), job, revision)
        try:
            newest = newest_record(shop_folder, job)
        except PrintRecordError as error:
            newest = None
            problems.append(problem("newest-unknown", job=job, why=error))
        packet = _packet(path, record, newest, now, len(new))
        scan_write.write_ticks(packet, record)
        filed.append(packet)
        problems += _scanned_again(before.pages, [page for page, _ in new])
        problems += _packet_problems(packet, record)
    problems = [*(_loose_problem(page) for page in loose if page.why != "kept-scan-unreadable"), *problems]
    return SortReport(len(reads), tuple(filed), tuple(loose), tuple(problems), already_there)


def _kept_loose(scans: Path, read: PageRead, page: LoosePage) -> LoosePage:
    return replace(page, kept_as=scan_write.keep_loose(scans, read, page.digest)) if read.picture else page


def _waiting(scans: Path, read: PageRead, job: str) -> LoosePage:
    return _kept_loose(scans, read, LoosePage(str(read.source), read.page.digest, "kept-scan-unreadable", job))


def _loose_problem(page: LoosePage) -> Problem:
    if page.kept_as is None:
        return problem(page.why, file=page.source, why=page.detail)
    return problem(page.why, source=page.source, detail=page.detail, kept=page.kept_as.name)


def _new_pages(before: Sequence[SortedPage], reads: Sequence[PageRead]) -> list[tuple[SortedPage, PageRead]]:
    """Pages whose very scan is not in the packet yet, each once."""
    known = {page.digest for page in before}
    new = []
    for read in reads:
        if isinstance(read.page, SortedPage) and read.page.digest not in known:
            known.add(read.page.digest)
            new.append((read.page, read))
    return new


def _packet(
    path: Path, record: PrintRecord, newest: PrintRecord | None, pages: tuple[SortedPage, ...], added: int
) -> Filed:
    there = {page.address.page for page in pages}
    superseded_by = newest.revision if newest and newest.revision != record.revision else ""
    return Filed(
        job=record.job,
        revision=record.revision,
        path=path,
        pages=pages,
        added=added,
        missing=tuple(page for page in range(1, len(record.pages) + 1) if page not in there),
        ticks=scan_write.ticks_of(pages),
        superseded_by=superseded_by,
    )


def _scanned_again(before: Sequence[SortedPage], new: Sequence[SortedPage]) -> Iterator[Problem]:
    first: dict[int, SortedPage] = {}
    for page in before:
        first.setdefault(page.address.page, page)
    for page in new:
        earlier = first.setdefault(page.address.page, page)
        if earlier is not page:
            yield problem(
                "scanned-again",
                job=page.address.job,
                page=page.address.page,
                source=page.source,
                earlier=earlier.source,
            )


def _packet_problems(packet: Filed, record: PrintRecord) -> Iterator[Problem]:
    pages = ", ".join(str(number) for number in sorted({page.address.page for page in packet.pages}))
    if packet.superseded_by:
        yield problem(
            "old-revision", job=packet.job, revision=packet.revision, pages=pages, newest=packet.superseded_by
        )
    elif packet.missing:
        missing = ", ".join(f"{number} ({record.pages[number - 1]})" for number in packet.missing)
        yield problem("missing-pages", job=packet.job, revision=packet.revision, missing=missing)
    for item in packet.unticked_holds:
        yield problem("unticked", job=packet.job, page=item.page, label=item.label or item.key)
    for item in packet.doubtful:
        yield problem("doubtful", job=packet.job, page=item.page, label=item.label or item.key, why=item.why)
