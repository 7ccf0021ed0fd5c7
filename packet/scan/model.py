"""What sorting scans knows and says: sources, forms, marks, pages and the report, as immutable records.

Nothing here needs the optional libraries, so that a report can be shown and tested without them.
"""

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from packet.words import N_

if TYPE_CHECKING:
    from packet.scan.restore import Reading

# why nothing is said of the boxes and combs of a page that a person put in its place
BY_HAND = N_("the page was put here by hand")

Mark = Literal["marked", "empty", "doubtful"]
BoxKind = Literal["check", "initial", "blank"]
ProblemKind = Literal[
    "file-missing",
    "file-unreadable",
    "no-code",
    "blank",
    "foreign-code",
    "two-codes",
    "unknown-job",
    "unknown-revision",
    "no-such-page",
    "says-otherwise",
    "old-revision",
    "missing-pages",
    "scanned-again",
    "unticked",
    "doubtful",
    "printed-unreadable",
    "kept-scan-unreadable",
    "newest-unknown",
]


@dataclass(frozen=True, slots=True)
class Box:
    """A printed box to tick or initial, or a comb to write in: where its border stands, mm from the page's top left.

    form: a comb's, as `packet.press.printed.Box` has it.
    """

    key: str
    page: int
    kind: BoxKind
    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    label: str = ""
    form: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """A page as it was scanned: which file, and its place in the file counted from 1."""

    path: Path
    number: int

    def __str__(self) -> str:
        """'stack.pdf page 7', for a file of one page too: the office looks it up by this."""
        return f"{self.path.name} #{self.number}"


@dataclass(frozen=True, slots=True)
class Address:
    """What a sound code says: this page of this print of this job."""

    job: str
    page: int
    revision: str


@dataclass(frozen=True, slots=True)
class BoxMark:
    """What was seen in one box. ink_mm2: pen found inside the border; why: a word for a doubtful one."""

    key: str
    page: int
    kind: BoxKind
    label: str
    mark: Mark
    ink_mm2: float = 0.0
    why: str = ""


@dataclass(frozen=True, slots=True)
class Written:
    """What was read in one comb. text: the number, empty when none was read, and why; sureness: from 0 to 1, of all its
    digits together. The comb's border on the straightened page, mm."""

    key: str
    page: int
    label: str
    form: str
    text: str
    sureness: float
    why: str
    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float


@dataclass(frozen=True, slots=True)
class SortedPage:
    """A page that found its job. turned_deg: 0, 90, 180 or 270 clockwise; skew_deg: what was left, clockwise.

    digest: of the scanned picture, so that the same scan is known again. restored: the code needed more than a plain
    reading. fit_mm: how far the printed boxes stood from where the marks put them, root mean square; None on a page
    without boxes. set_aside: a later scan of the same page was declared to count in its place.
    """

    address: Address
    source: str
    digest: str
    turned_deg: int
    skew_deg: float
    dpi: float
    restored: bool = False
    fit_mm: float | None = None
    marks: tuple[BoxMark, ...] = ()
    set_aside: bool = False
    written: tuple[Written, ...] = ()


@dataclass(frozen=True, slots=True)
class LoosePage:
    """A page that was kept without a job: why, and the numbered file that holds it."""

    source: str
    digest: str
    why: ProblemKind
    detail: str = ""
    kept_as: Path | None = None


@dataclass(frozen=True, slots=True)
class Ink:
    """A small map of a page's ink as the scanner saw it: its picture's size, the map's, one bit a cell (compressed), and
    the corners (cells) of the inside of each marked box, by key."""

    size_px: tuple[int, ...]
    cells: tuple[int, ...]
    packed: bytes
    insides: tuple[tuple[str, tuple[tuple[float, float], ...]], ...]


@dataclass(frozen=True, slots=True)
class PageRead:
    """What became of one scanned page. picture: its JPEG in the staging folder; size_mm as filed; ink: None where
    there is no box to mark; unread: what may be a code and was not decoded, to be held against a list of pages."""

    source: Source
    page: SortedPage | LoosePage
    picture: Path | None
    size_mm: tuple[float, float] = (0.0, 0.0)
    ink: Ink | None = None
    unread: tuple["Reading", ...] = ()


@dataclass(frozen=True, slots=True)
class Problem:
    """Something the office has to look at. params fill the sentence of `scan_report`."""

    kind: ProblemKind
    params: tuple[tuple[str, str], ...] = ()


def problem(kind: ProblemKind, **params: object) -> Problem:
    """A Problem of a kind with what fills its sentence."""
    return Problem(kind, tuple((key, str(value)) for key, value in params.items()))


@dataclass(frozen=True, slots=True)
class Filed:
    """One filed packet: its file, the pages now in it, those still missing, and what its boxes say."""

    job: str
    revision: str
    path: Path
    pages: tuple[SortedPage, ...]  # in the order of the file
    added: int  # how many of them came with this run
    missing: tuple[int, ...]
    ticks: tuple[BoxMark, ...]  # one for each box of the print whose page is there
    superseded_by: str = ""  # the revision that replaced this one; empty when it is the current one
    # pages of older prints that this one did not change: they count as its own
    from_older: tuple[SortedPage, ...] = ()
    # pages of an older print that do not count for the one that replaced it
    outdated: tuple[int, ...] = ()
    numbers: Path | None = None  # the page with every number read beside its picture; None where there was none

    @property
    def unticked_holds(self) -> tuple[BoxMark, ...]:
        """Boxes to initial that are empty: the office asks about these."""
        return tuple(item for item in self.ticks if item.kind == "initial" and item.mark == "empty")

    @property
    def unticked_checks(self) -> tuple[BoxMark, ...]:
        """Check boxes that are empty."""
        return tuple(item for item in self.ticks if item.kind == "check" and item.mark == "empty")

    @property
    def doubtful(self) -> tuple[BoxMark, ...]:
        """Boxes a person must look at."""
        return tuple(item for item in self.ticks if item.mark == "doubtful")


@dataclass(frozen=True, slots=True)
class SortReport:
    """What came of a stack: packets, pages without a job, problems; counts are of this run's scanned pages."""

    scanned: int
    filed: tuple[Filed, ...] = ()
    loose: tuple[LoosePage, ...] = ()
    problems: tuple[Problem, ...] = ()
    already_there: int = 0
    seconds: float = field(default=0.0, compare=False)
