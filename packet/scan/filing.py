"""From pages read to packets filed: which pages are new, what is missing, what a person has to be told."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from packet.press.printed import PrintRecord, PrintRecordError, newest_record, printed_folder
from packet.scan import write as scan_write
from packet.scan.model import Filed, LoosePage, PageRead, Problem, SortedPage, SortReport, problem
from packet.scan.office_page import write_page
from packet.scan.page import record_of
from packet.scan.proposals import proposals


def file(reads: Sequence[PageRead], shop_folder: Path, scans: Path, *, counts: bool = False) -> SortReport:
    """Put every page away, in `scans`, whose lock is held by the caller. Raises OSError when the machine fails.

    counts: scans of a page that was scanned before count in the place of the earlier ones, which are kept.
    """
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
        now = scan_write.file_pages(
            path, before, new, counting={page.page.digest for page in pages} if counts else set()
        )
        record = record_of(printed_folder(shop_folder), job, revision)
        try:
            newest = newest_record(shop_folder, job)
        except PrintRecordError as error:
            newest = None
            problems.append(problem("newest-unknown", job=job, why=error))
        packet = _packet(path, record, newest, now, len(new))
        filed.append(packet)
        problems += _scanned_again(before.pages, [page for page, _ in new]) if not counts else []
    whole = []
    for packet in _with_older(filed, shop_folder, scans):
        record = record_of(printed_folder(shop_folder), packet.job, packet.revision)
        scan_write.write_ticks(packet, record)
        whole.append(replace(packet, numbers=write_page(packet, proposals(packet, record))))
        problems += _packet_problems(packet, record)
    blank = [page for page in loose if page.why == "blank"]
    told = [page for page in loose if page.why not in {"kept-scan-unreadable", "blank"}]
    problems = [*(_loose_problem(page) for page in told), *_blanks(blank), *problems]
    return SortReport(len(reads), tuple(whole), tuple(loose), tuple(problems), already_there)


def _blanks(pages: Sequence[LoosePage]) -> Iterator[Problem]:
    """All blank pages in one line: backs of one-sided leaves, mostly."""
    if pages:
        yield problem("blank", count=len(pages), sources=", ".join(page.source for page in pages))


def _with_older(filed: Sequence[Filed], shop_folder: Path, scans: Path) -> list[Filed]:
    """The packets with what counts across prints: a page that a newer print did not change counts for that print.

    The newest packet of a job is brought up to date when a page of an older print came in, if it is there at all.
    """
    by_name = {(packet.job, packet.revision): packet for packet in filed}
    for job in {packet.job for packet in filed}:
        try:
            newest = newest_record(shop_folder, job)
        except PrintRecordError:
            continue  # told where the packet was filed
        if newest is None:
            continue
        newest = record_of(printed_folder(shop_folder), job, newest.revision)
        older = [packet for packet in filed if packet.job == job and packet.revision != newest.revision]
        kept_older = [*older, *_kept_packets(scans, job, {newest.revision, *(packet.revision for packet in older)})]
        path = scan_write.packet_path(scans, job, newest.revision)
        current = by_name.get((job, newest.revision))
        if current is None and path.exists():
            try:
                current = _packet(path, newest, newest, scan_write.kept(path).pages, 0)
            except scan_write.KeptScanError:
                continue  # told when something is to be added to it
        for packet in older:
            same = unchanged_pages(record_of(printed_folder(shop_folder), job, packet.revision), newest)
            outdated = sorted({page.address.page for page in packet.pages} - same)
            by_name[job, packet.revision] = replace(packet, outdated=tuple(outdated))
        if current is not None:
            by_name[job, newest.revision] = _counting_older(current, newest, kept_older, shop_folder)
    return [by_name[name] for name in sorted(by_name)]


def sorted_packet(shop_folder: Path, scans: Path, job: str) -> tuple[Filed, PrintRecord] | None:
    """A job's newest print and what has been sorted into it so far, unchanged pages of older prints included.

    `proposals.proposals` says what that proposes for the form. None when nothing of that print was sorted. Raises
    PrintRecordError, scan_write.KeptScanError.
    """
    newest = newest_record(shop_folder, job)
    if newest is None:
        return None
    record = record_of(printed_folder(shop_folder), job, newest.revision)
    path = scan_write.packet_path(scans, job, record.revision)
    if not path.exists():
        return None
    current = _packet(path, record, record, scan_write.kept(path).pages, 0)
    older = list(_kept_packets(scans, job, {record.revision}))
    return _counting_older(current, record, older, shop_folder), record


def _kept_packets(scans: Path, job: str, but: set[str]) -> Iterator[Filed]:
    """Filed packets of a job's other prints."""
    for path in sorted(scans.glob(f"{job}.*.pdf")):
        revision = path.stem.removeprefix(f"{job}.")
        if revision in but:
            continue
        try:
            yield Filed(job, revision, path, scan_write.kept(path).pages, 0, (), ())
        except scan_write.KeptScanError:
            continue  # told when something is to be added to it


def _counting_older(current: Filed, newest: PrintRecord, older: Sequence[Filed], shop_folder: Path) -> Filed:
    counted = []
    for packet in older:
        try:
            record = record_of(printed_folder(shop_folder), packet.job, packet.revision)
        except PrintRecordError:
            continue
        same = unchanged_pages(record, newest)
        counted += [page for page in packet.pages if page.address.page in same]
    here = {page.address.page for page in current.pages}
    counted = [page for page in counted if page.address.page not in here]
    there = {page.address.page for page in counted}
    return replace(
        current,
        from_older=tuple(counted),
        missing=tuple(page for page in current.missing if page not in there),
        ticks=scan_write.ticks_of([*current.pages, *counted]),
    )


def unchanged_pages(old: PrintRecord, new: PrintRecord) -> set[int]:
    """Pages of a print that a newer one of the job has just so: the same sheets with the same words, the same boxes.

    A page is named by its sheets, a comma between them, and a sheet may run on: the sheets of the page before and after
    must be the same, too, and all between them.
    """
    names = list(new.sheets)
    same = set()
    for number in range(1, min(len(old.pages), len(new.pages)) + 1):
        around = slice(max(0, number - 2), number + 1)
        if old.pages[around] != new.pages[around]:
            continue
        here = [name for page in new.pages[around] for name in page.split(", ")]
        places = [names.index(name) for name in here if name in new.sheets]
        touching = names[min(places) : max(places) + 1] if places else []
        boxes = [[box for box in record.boxes if box.page == number] for record in (old, new)]
        if touching and boxes[0] == boxes[1] and all(old.sheets.get(name) == new.sheets[name] for name in touching):
            same.add(number)
    return same


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
        # a blank back has no name and nothing on it
        missing=tuple(page for page, name in enumerate(record.pages, 1) if name and page not in there),
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
    if packet.superseded_by:
        if packet.outdated:
            pages = ", ".join(str(number) for number in packet.outdated)
            yield problem(
                "old-revision", job=packet.job, revision=packet.revision, pages=pages, newest=packet.superseded_by
            )
            yield from _boxes_to_look_at(packet)
        return
    if packet.missing:
        missing = ", ".join(f"{number} ({record.pages[number - 1]})" for number in packet.missing)
        yield problem("missing-pages", job=packet.job, revision=packet.revision, missing=missing)
    yield from _boxes_to_look_at(packet)


def _boxes_to_look_at(packet: Filed) -> Iterator[Problem]:
    for item in packet.unticked_holds:
        yield problem("unticked", job=packet.job, page=item.page, label=item.label or item.key)
    for item in packet.doubtful:
        yield problem("doubtful", job=packet.job, page=item.page, label=item.label or item.key, why=item.why)
