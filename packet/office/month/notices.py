"""What a reader of the month has to know beside its sums: a month that is not over, a clock, a serial seen twice."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from packet.ledger.state import Ledger, Posting
from packet.words import t, tn


def notices_of(book: Ledger, first: date, last: date, today: date) -> Iterator[str]:
    """Sentences for the head of the report of the month from `first` to `last`."""
    if first > today:
        yield t("This month has not begun: what stands here is only what is held until then.")
    elif last > today:
        yield t("This month is not over: it is as of {date}.", date=today.isoformat())
    yield from book.records.missing_told
    yield from _clock(book, today)
    yield from _twice(book, first, last)
    yield from _no_receipt(book, first, last)


def automatic_reason(item: Posting) -> str:
    """Why the ledger adjusted by itself."""
    body = item.source.record.body
    if item.cylinder in body.get("evacuated", ()):
        return t("evacuated: what the sums still had in it")
    if "gross" in body:
        return t("weighed: the ledger follows the scale")
    if not any(move.get("whole") == "yes" for move in body.get("moves", ()) if move["cylinder"] == item.cylinder):
        return t("less than nothing was left, by no more than two scales differ: it holds nothing")
    return t("handed over whole: what weight and ledger differed by")


def owners_of(book: Ledger) -> dict[str, tuple[str, ...]]:
    """Whose gas is in each cylinder, as the records of its jobs say, since it last was emptied or handed over whole."""
    found: dict[str, list[str]] = defaultdict(list)
    for item in book.counted:
        body = item.record.body
        for move in body.get("moves", ()):
            for owner in found.get(str(move.get("all_of", "")), ()):
                if owner not in found[str(move["cylinder"])]:
                    found[str(move["cylinder"])].append(owner)
        whole = [move["cylinder"] for move in body.get("moves", ()) if move.get("whole") == "yes"]
        for cylinder in (*body.get("evacuated", ()), *whole):
            found.pop(str(cylinder), None)
        owner = str(body.get("gas_owner", "")).strip()
        if item.kind == "job" and owner:
            for move in body.get("moves", ()):
                if owner not in found[str(move["cylinder"])]:
                    found[str(move["cylinder"])].append(owner)
    return {name: tuple(owners) for name, owners in found.items()}


def _clock(book: Ledger, today: date) -> Iterator[str]:
    """A record filed before the one it follows, or after today: a clock ran wrong, so that dates cannot be trusted."""
    before = None
    for item in sorted(book.records.filed, key=lambda one: one.seq):
        filed_at = str(item.body.get("filed_at", ""))
        if not filed_at:
            continue
        if before is not None and filed_at < before[0]:
            yield t(
                "{record} says it was filed before {earlier}, which it follows: a clock was wrong.",
                record=item.name,
                earlier=before[1],
            )
        if filed_at[:10] > today.isoformat():
            yield t("{record} says it was filed on {date}, which is yet to come.", record=item.name, date=filed_at[:10])
        before = (filed_at, item.name)


def _twice(book: Ledger, first: date, last: date) -> Iterator[str]:
    """The same appliance disposed of twice: a serial number is that of one thing."""
    jobs: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for item in book.counted:
        body = item.record.body
        serial = "".join(str(body.get("serial", "")).split()).casefold()
        if item.kind == "job" and body.get("work") == "disposal" and serial:
            jobs[serial].append((item.record.date, item.record.subject))
    for serial, seen in sorted(jobs.items()):
        if len(seen) > 1 and any(first.isoformat() <= day <= last.isoformat() for day, _ in seen):
            names = ", ".join(f"{job} ({day})" for day, job in seen)
            yield t("Serial {serial} was disposed of more than once: {jobs}.", serial=serial.upper(), jobs=names)


def _no_receipt(book: Ledger, first: date, last: date) -> Iterator[str]:
    """Gas sent for reclaim or destruction without the receiver's number: an inspector asks for it."""
    missing = [
        item.record.name
        for item in book.counted
        if item.kind == "turn-in"
        and first.isoformat() <= item.record.date <= last.isoformat()
        and item.record.body.get("purpose") in ("reclaim", "destruction")
        and not item.record.body.get("reference")
    ]
    if missing:
        yield tn(
            "No receipt number is on record for {count} turn-in: {records}.",
            "No receipt numbers are on record for {count} turn-ins: {records}.",
            len(missing),
            records=", ".join(missing),
        )
