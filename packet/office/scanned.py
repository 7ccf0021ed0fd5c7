"""What the scan of a packet says, as the office uses it: what it counts, and what it reads otherwise than was typed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import time
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING

from packet.document import Data
from packet.findings import Finding, finding
from packet.ledger.fields import STATEMENT_FIELDS
from packet.office.case import Case
from packet.office.readings import Gauge, Reading, Weight
from packet.press.printed import PrintRecord, PrintRecordError
from packet.words import pt, t

if TYPE_CHECKING:
    from packet.scan.model import BoxMark, Filed
    from packet.scan.proposals import Proposal

HOLDS, FRONT, LINES = ("hold.",), ("go.", "caution."), ("step.",)


@dataclass(frozen=True, slots=True)
class Count:
    """Boxes of one kind. wanted: how many the print has; marked of them; empty and doubtful ones by their place."""

    wanted: int
    marked: int
    empty: tuple["BoxMark", ...]
    doubtful: int

    @property
    def words(self) -> str:
        """'5 of 7'."""
        return t("{marked} of {wanted}", marked=self.marked, wanted=self.wanted)

    @property
    def answer(self) -> str:
        """'yes' where all of them are marked, 'no' where one is empty, '' where nobody can say."""
        if self.empty:
            return "no"
        return "yes" if self.wanted and self.marked == self.wanted else ""

    @property
    def pages(self) -> str:
        """The pages of the empty ones."""
        return ", ".join(str(page) for page in sorted({item.page for item in self.empty}))


@dataclass(frozen=True, slots=True)
class Scanned:
    """A sorted packet: the print it is of, what it proposes by the form's keys, and its boxes counted."""

    record: PrintRecord
    file: Path
    found: Mapping[str, "Proposal"]
    holds: Count
    front: Count
    lines: Count

    @property
    def summary(self) -> str:
        """Ticks and initials in a line."""
        return t(
            "{lines} lines ticked, {holds} holds and {front} lines of the front initialed",
            lines=self.lines.words, holds=self.holds.words, front=self.front.words,
        )  # fmt: skip


def scanned(packet: "Filed", record: PrintRecord) -> Scanned:
    """What a sorted packet says."""
    from packet.scan.proposals import proposals

    def count(starts: tuple[str, ...], kind: str) -> Count:
        wanted = sum(box.kind == kind and box.key.startswith(starts) for box in record.boxes)
        mine = [item for item in packet.ticks if item.kind == kind and item.key.startswith(starts)]
        return Count(
            wanted,
            sum(item.mark == "marked" for item in mine),
            tuple(item for item in mine if item.mark == "empty"),
            sum(item.mark == "doubtful" for item in mine),
        )

    return Scanned(
        record, packet.path, proposals(packet, record), count(HOLDS, "initial"), count(FRONT, "initial"), count(LINES, "check")
    )  # fmt: skip


def scan_of(shop_folder: Path, scans: Path | None, job: str, revision: str) -> Scanned | str | None:
    """What was sorted for that print of a job; why it cannot be told; None where nothing was, or of another print."""
    if scans is None or not (scans / f"{job}.{revision}.pdf").is_file():
        return None
    try:
        from packet.scan.filing import sorted_packet
        from packet.scan.write import KeptScanError
    except ImportError:
        return t("the libraries that read scans are not installed")
    try:
        found = sorted_packet(shop_folder, scans, job)
    except (KeptScanError, PrintRecordError) as error:
        return str(error)
    return scanned(*found) if found is not None and found[1].revision == revision else None


def scan_findings(case: Case, scan: Scanned | str | None) -> tuple[Finding, ...]:
    """What the office is asked about a form that says otherwise than the scan of its packet."""
    if scan is None:
        return ()
    if isinstance(scan, str):
        return (finding("scan-not-compared", where=case.where("revision"), why=scan),)
    found = []
    for code, key, count in (
        ("scan-cautions", "cautions_initialled", scan.front),
        ("scan-holds", "hold_points_initialled", scan.holds),
    ):
        if case.readings.ticked(key) and count.empty:
            labels = "; ".join(
                t("page {page}, “{label}”", page=item.page, label=item.label or item.key) for item in count.empty
            )
            found.append(finding(code, where=case.where(key), key=key, count=len(count.empty), labels=labels))
    differs = differences(case, scan)
    if differs:
        told = "; ".join(
            t("{key}: {typed} typed, {read} read on page {page}", key=key, typed=typed, read=read, page=page)
            for key, typed, read, page in differs
        )
        found.append(finding("scan-differs", where=_where(case, differs[0][0]), differences=told))
    return tuple(found)


def filed_otherwise(filed: Mapping[str, Data], scan: Scanned) -> tuple[str, ...]:
    """What a filed record says to be initialed and the scan, sorted or made to count afterwards, has empty: sentences."""
    return tuple(
        t(
            "'{key}: yes' is filed; on the scan, {count} initialed (page {pages}). Look at the paper; if it is so, file a correction.",
            key=key,
            count=count.words,
            pages=count.pages,
        )
        for key, count in (("cautions_initialled", scan.front), ("hold_points_initialled", scan.holds))
        if filed.get(key) == "yes" and count.empty
    )


def differences(case: Case, scan: Scanned) -> tuple[tuple[str, str, str, int], ...]:
    """(key, what was typed, what was read, page) of every value that is typed otherwise than the scan surely reads."""
    typed = {item.key: item for item in case.readings.values.values()}
    asked = {blank.key for blank in case.blanks()} | {item.key for item in STATEMENT_FIELDS} | typed.keys()
    counted = {"cautions_initialled", "hold_points_initialled"}  # held against the boxes themselves
    out = []
    for key, item in scan.found.items():
        if key not in asked - counted or not item.value:
            continue
        mine = typed.get(key)
        if mine is None and _in_another_unit(key, typed):
            continue
        if not _agree(mine, item):
            out.append((key, _shown(mine), _read(item), item.page))
    return tuple(out)


def for_the_record(case: Case, scan: Scanned | str | None) -> dict[str, Data]:
    """What the record keeps of the scan: its print, what it counts, and what it reads otherwise."""
    if scan is None or isinstance(scan, str):
        return {}
    differs: list[Data] = [
        {"key": key, "typed": typed, "read": read, "page": str(page)}
        for key, typed, read, page in differences(case, scan)
    ]
    for key, count in (("cautions_initialled", scan.front), ("hold_points_initialled", scan.holds)):
        if case.readings.ticked(key) and count.empty:
            differs.append({"key": key, "typed": "yes", "read": count.words, "page": count.pages})
    return {
        "scan": {
            "file": scan.file.name,
            "lines_ticked": scan.lines.words,
            "holds_initialed": scan.holds.words,
            "front_initialed": scan.front.words,
            "differs": differs,
        }
    }


def _where(case: Case, key: str) -> str:
    """'file:line key' of a value, of the block it belongs in where it was not typed."""
    return f"{case.readings.file}:{case.readings.line(key)} {key}"


def _in_another_unit(key: str, typed: Iterable[str]) -> bool:
    """Whether the blank is typed under a key that ends in another unit."""
    name = key.rpartition("_")[0]
    return bool(name) and any(other.rpartition("_")[0] == name for other in typed)


def _agree(mine: Reading | None, item: "Proposal") -> bool:
    if item.how == "initials":
        return (mine is not None) == (item.value == "yes")
    if item.how == "tick":
        return (mine is not None and mine.value is True) == (item.value == "yes")
    if mine is None:
        return False
    if isinstance(mine.value, time):
        return f"{mine.value:%H:%M}" == item.value
    try:
        return Decimal(_plain(mine)) == Decimal(item.value)
    except InvalidOperation:
        return _plain(mine) == item.value


def _plain(mine: Reading) -> str:
    value = mine.value
    if isinstance(value, Weight):
        return value.text
    if isinstance(value, Gauge):
        return value.text.partition(" ")[0]
    return str(value)


def _shown(mine: Reading | None) -> str:
    if mine is None:
        return pt("what was typed", "nothing")
    if isinstance(mine.value, bool):
        return "yes" if mine.value else "no"
    return f"{mine.value:%H:%M}" if isinstance(mine.value, time) else _plain(mine)


def _read(item: "Proposal") -> str:
    if item.how == "digits":
        return item.value
    return pt("a box on the scan", "marked") if item.value == "yes" else pt("a box on the scan", "empty")
