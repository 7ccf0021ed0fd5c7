"""What each sheet says: strings ready to set, in the current language and the shop's units. No ink, no arithmetic left.

A sheet is a frozen record. `kind` names its template; `name` stands in every page's foot; `title` heads it.
"""

from dataclasses import dataclass, field, replace
from datetime import date
from typing import Literal

from packet.hookup.model import Drawing
from packet.sheets.room import rows, wide_mm
from packet.shop.records import PrintSize
from packet.units import UnitSystem

BoxKind = Literal["check", "initial"]
# a cell of a comb; what comb and unit may take of a third of a row, the least before a unit of two words takes two rows
CELL_MM, MOST_BESIDE_LABEL_MM, MOST_BESIDE_SHORT_LABEL_MM, TWO_ROWS_FROM_MM = 6.1, 33.0, 38.5, 31.0

# what the words of a line to initial have, alone and where two columns stand beside one another
LINE_MM, COLUMN_MM = 166.0, 73.0
MOST_IN_ONE = 4
# what a sign and what to do have beside another
HALF_MM = 90.5
# cells of a row of the day's pressures, folded where they do not stand beside a table as high
FOLDED_CELLS = 9


@dataclass(frozen=True, slots=True)
class Entry:
    """A label and what stands beside it."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A line with a box to tick ('check') or to initial ('initial'). also: the same in the packet's second language."""

    key: str
    kind: BoxKind
    text: str
    detail: str = ""
    also: str = ""


@dataclass(frozen=True, slots=True)
class Ask:
    """A line of a form: a label and a place to write ('blank'), tick or initial.

    number: the blank's number on the Record, in the form and at the step; 0 for one that has none. comb: the cells of a
    written number, 'd' a digit, '-' a sign, '.' and ':' printed between two cells ('ddd.d'); empty for words.
    width: what it takes of a row; words want a half or all of it.
    """

    key: str
    label: str
    unit: str = ""
    kind: Literal["blank", "check", "initial"] = "blank"
    width: Literal["third", "half", "full"] = "third"
    number: int = 0
    comb: str = ""
    printed: str = ""  # what is known beforehand, set small before the blank

    @property
    def is_long(self) -> bool:
        """Whether comb and unit leave the label less of a third of a row than others do."""
        return self._beside_label_mm > MOST_BESIDE_LABEL_MM

    @property
    def is_longest(self) -> bool:
        """Whether they leave it no more than a word's width."""
        return self._beside_label_mm > MOST_BESIDE_SHORT_LABEL_MM

    @property
    def is_short(self) -> bool:
        """Whether the comb leaves the label more than others do."""
        return 0 < self.cells <= 2

    @property
    def unit_in_two_rows(self) -> bool:
        """Whether the unit's words stand below one another, or it would meet the next blank's number."""
        return " " in self.unit and self.cells * CELL_MM + wide_mm(self.unit) > TWO_ROWS_FROM_MM

    @property
    def cells(self) -> int:
        """How many signs are written in the comb."""
        return sum(sign in "d-" for sign in self.comb)

    @property
    def _beside_label_mm(self) -> float:
        words = self.unit.split() if self.unit_in_two_rows else [self.unit]
        return self.cells * CELL_MM + max(map(wide_mm, words)) if self.cells else 0.0


@dataclass(frozen=True, slots=True)
class Group:
    """Ticks under a heading."""

    title: str
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class Reasons:
    """A heading and the sentences under it. also: all of it in the packet's second language, where it stands in both."""

    title: str
    sentences: tuple[str, ...]
    also: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """Column heads and rows of equal length. strong: the row to print bold, None for none. caption: what it shows."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    strong: int | None = None


@dataclass(frozen=True, slots=True)
class StopWeight:
    """A cylinder on the front sheet: its stop weight, the biggest thing on the page, and what stands beside it.

    before: what it should weigh before it is connected; number: of the Record's blank for what it does weigh.
    """

    cylinder: str
    stop: str
    unit: str
    beside: tuple[Entry, ...]
    before: Entry
    number: int


@dataclass(frozen=True, slots=True)
class Vacuum:
    """The required vacuum as this gauge shows it, large, and as the law says it, with the gauge's zero."""

    label: str
    gauge: str
    law: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Front:
    """Page one: may we go, and the numbers that must not be passed. card: which card in the truck has the rest. is_close: set
    with less white, so that what to do when it goes wrong has room below it.
    """

    name: str
    title: str
    day: str
    stops_title: str
    stops: tuple[StopWeight, ...]
    stop_words: tuple[str, ...]
    vacuum: Vacuum
    glance: tuple[Entry, ...]
    who: tuple[Entry, ...]
    site: tuple[Entry, ...]
    go: tuple[Tick, ...]
    go_sign: tuple[Ask, ...]
    no_go: str
    emergency: tuple[Entry, ...]
    first_aid: tuple[Entry, ...]
    notes: tuple[str, ...]
    deferral: str
    card: str = ""
    no_go_also: str = ""
    is_close: bool = False
    kind: Literal["front"] = "front"

    @property
    def go_columns(self) -> tuple[tuple[Tick, ...], ...]:
        """The lines to initial, in their order: more than four in two columns, as even in height as their words allow,
        where that is lower than one.
        """
        one, two = ([self.tick_mm(tick, alone=alone) for tick in self.go] for alone in (True, False))
        cut = min(range(len(two) + 1), key=lambda at: (max(sum(two[:at]), sum(two[at:])), -at))
        if len(self.go) <= MOST_IN_ONE or sum(one) <= max(sum(two[:cut]), sum(two[cut:])):
            return (self.go,)
        return self.go[:cut], self.go[cut:]

    def tick_mm(self, tick: Tick, *, alone: bool) -> float:
        """How high a line to initial gets, in a row of its own or beside another."""
        wide, row = (LINE_MM, 4.2) if alone else (COLUMN_MM, 3.9)
        return max(8.8, 0.6 + row * rows(f"{tick.text} {tick.detail} {tick.also}", wide, size=0.95))


@dataclass(frozen=True, slots=True)
class HookupSheet:
    """Hoses as they are connected once: drawing, hose list, valve table by holds. opening: how the valves are drawn."""

    name: str
    title: str
    opening: str
    drawing: Drawing
    hoses: Table
    valves: Table
    kind: Literal["hookup"] = "hookup"


@dataclass(frozen=True, slots=True)
class PrintedStep:
    """A line as it is set. box: the key of its tick or initials box. hold: the hold's number, 0 for a line that is none.

    writes: numbers of the blanks on the Record that this line fills. also: a hold in the packet's second language.
    """

    number: str
    box: str
    text: str
    cautions: tuple[str, ...]
    writes: tuple[int, ...]
    hold: int = 0
    also: str = ""

    @property
    def is_hold(self) -> bool:
        """Whether everybody stops here."""
        return bool(self.hold) or self.box.startswith("hold")


@dataclass(frozen=True, slots=True)
class StageSteps:
    """A group of lines under its heading."""

    title: str
    opening: str
    steps: tuple[PrintedStep, ...]


@dataclass(frozen=True, slots=True)
class Steps:
    """The lines that are done with one hookup. strips: what stands at the foot of each of its pages."""

    name: str
    title: str
    how: str
    stages: tuple[StageSteps, ...]
    strips: tuple[Reasons, ...]
    kind: Literal["steps"] = "steps"


@dataclass(frozen=True, slots=True)
class Wrong:
    """What may go wrong and what to do then, once a packet. below_front: it stands on the front's page."""

    name: str
    title: str
    signs: tuple[Entry, ...]
    below_front: bool = False
    kind: Literal["wrong"] = "wrong"

    @property
    def columns(self) -> tuple[tuple[Entry, ...], tuple[Entry, ...]]:
        """The signs in two columns, read one after the other, as even in height as their words allow."""
        high = [self.rows_of(item) for item in self.signs]
        cut = min(range(len(high) + 1), key=lambda at: (max(sum(high[:at]), sum(high[at:])), -at))
        return self.signs[:cut], self.signs[cut:]

    def rows_of(self, sign: Entry) -> int:
        """How many rows a sign and what to do take in half the page's width."""
        return rows(f"{sign.label}: {sign.value}", HALF_MM, size=0.95)


@dataclass(frozen=True, slots=True)
class Plot:
    """Level of the planned fill against temperature, a curve a cylinder.

    curves, marks: (temperature, percent) in the units of the axis; labels: a name for each curve, empty for only one.
    """

    alternative_text: str
    temperature_unit: str
    curves: tuple[tuple[tuple[float, float], ...], ...]
    labels: tuple[str, ...]
    temperature_ticks: tuple[tuple[float, str], ...]
    level_ticks: tuple[tuple[float, str], ...]
    ceiling_label: str
    hottest: tuple[float, str]


@dataclass(frozen=True, slots=True)
class FillSize:
    """Cylinders of one size: what does not differ between them, and the table by temperature with a column a cylinder.

    identity: what each cylinder is and holds. groups: how many columns of the table belong to each cylinder, with its name; empty
    for one cylinder.
    """

    title: str
    identity: tuple[Entry, ...]
    table: Table
    groups: tuple[tuple[str, int], ...]
    plot: Plot
    words: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """Pressures of the day in fine steps, a row a temperature."""

    title: str
    table: Table
    words: tuple[str, ...]

    @property
    def folded(self) -> Table:
        """The same table in columns side by side, read down one after the other: three, or two of a blend's wider rows."""
        return self._in_columns(FOLDED_CELLS // len(self.table.heads))

    @property
    def across(self) -> Table:
        """The same, in three columns across the page."""
        return self._in_columns(3)

    def _in_columns(self, folds: int) -> Table:
        rows = self.table.rows
        high = -(-len(rows) // folds)
        empty = ("",) * len(self.table.heads)
        columns = [[*rows[at : at + high], *[empty] * high][:high] for at in range(0, folds * high, high)]
        return replace(
            self.table,
            heads=self.table.heads * folds,
            rows=tuple(tuple(cell for part in parts for cell in part) for parts in zip(*columns, strict=True)),
        )


@dataclass(frozen=True, slots=True)
class Fill:
    """Limits by temperature, levels, and the pressures to expect."""

    name: str
    title: str
    sizes: tuple[FillSize, ...]
    strip: Strip | None
    kind: Literal["fill"] = "fill"


@dataclass(frozen=True, slots=True)
class LogRow:
    """A line of the log: minutes since the start and the weight expected then, or a sentence across ('mark')."""

    at: str
    expected: str
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Log:
    """Weight and pressure while it runs, beside what is expected.

    columns: the rows in the order they are filled; abreast: how many columns stand side by side. above_tags: it begins
    the leaf that is cut.
    """

    name: str
    title: str
    opening: str
    heads: tuple[str, ...]
    columns: tuple[tuple[LogRow, ...], ...]
    reminder: tuple[str, ...]
    abreast: int = 2
    above_tags: bool = False
    kind: Literal["log"] = "log"


@dataclass(frozen=True, slots=True)
class CylinderAsks:
    """The record's blanks of several cylinders: a row a blank, a column a cylinder."""

    cylinders: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Ask, ...]], ...]


@dataclass(frozen=True, slots=True)
class RiseGrid:
    """The rise check: minutes are printed, the gauge is written in."""

    caption: str
    unit: str
    minutes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RecordPart:
    """A part of the record: what is known is printed, what is read is written in.

    heads_row: the title stands in its first row, in the place of a blank, as the last row has one free.
    """

    title: str
    known: tuple[Entry, ...]
    asks: tuple[Ask, ...]
    words: tuple[str, ...] = ()
    cylinders: CylinderAsks | None = None
    grid: RiseGrid | None = None
    heads_row: bool = False

    @property
    def is_whole(self) -> bool:
        """Whether no page may end in it: a statement and what is ticked below it, the rise check and its grid."""
        return bool(self.words or self.grid)


@dataclass(frozen=True, slots=True)
class Record:
    """What the law and the shop keep, in the order it is typed in."""

    name: str
    title: str
    opening: str
    parts: tuple[RecordPart, ...]
    kind: Literal["record"] = "record"


@dataclass(frozen=True, slots=True)
class SwapLine:
    """A line of the swap: its words, and for each swap a box and the numbers of the blanks it fills."""

    number: str
    text: str
    cautions: tuple[str, ...]
    boxes: tuple[str, ...]
    writes: tuple[tuple[int, ...], ...]
    hold: bool
    also: str = ""


@dataclass(frozen=True, slots=True)
class SwapSheet:
    """The swap of a full cylinder: its lines once, a column a swap. heads: what is swapped in each column."""

    name: str
    title: str
    how: str
    heads: tuple[str, ...]
    weights: Table
    lines: tuple[SwapLine, ...]
    strips: tuple[Reasons, ...]
    kind: Literal["swap"] = "swap"


@dataclass(frozen=True, slots=True)
class Tag:
    """A tag to cut out and tie to a cylinder, in the language of transport (`language`).

    warning_also: the warning in the packet's own language, where that is another one.
    """

    cylinder: str
    refrigerant: str
    shipping: tuple[str, ...]
    lines: tuple[Entry, ...]
    blanks: tuple[Ask, ...]
    warning: str
    warning_also: str = ""
    language: str = "en"


@dataclass(frozen=True, slots=True)
class Owner:
    """The owner's half of the leaf that is cut."""

    title: str
    opening: str
    entries: tuple[Entry, ...]
    asks: tuple[Ask, ...]
    words: tuple[str, ...]
    signatures: tuple[Ask, ...]


@dataclass(frozen=True, slots=True)
class Tags:
    """What is cut: tags and the owner's half, on leaves of their own whose backs stay blank.

    leaves: the tags of each leaf; the owner's half stands on the last one where there is room for it (`beside_tags`),
    else on a further leaf.
    """

    name: str
    title: str
    opening: str
    leaves: tuple[tuple[Tag, ...], ...]
    owner: Owner
    beside_tags: bool
    below_load: bool = False
    kind: Literal["tags"] = "tags"


# fifteen rows of three, some 70 mm
MOST_TICKS_OF_A_WHOLE_LOAD = 45


@dataclass(frozen=True, slots=True)
class Load:
    """What is loaded before leaving, how it is lifted, and why the work is done this way.

    The truck's sums are not here: they change with its other jobs, and are no part of the revision (see `Content`).
    """

    name: str
    title: str
    groups: tuple[Group, ...]
    carrying: tuple[str, ...]
    method: Reasons
    above_tags: bool = False  # stands above the cut, on the leaf of the tags
    kind: Literal["load"] = "load"

    @property
    def is_whole(self) -> bool:
        """In usual type it stands on one page, or the truck's sums stand on the next under nothing that says whose they are;
        a long kit goes on."""
        return sum(len(group.ticks) for group in self.groups) <= MOST_TICKS_OF_A_WHOLE_LOAD


@dataclass(frozen=True, slots=True)
class Stop:
    """Instead of a packet: why this job may not go out, and what would put it right."""

    name: str
    title: str
    opening: str
    entries: tuple[Entry, ...]
    reasons: tuple[Reasons, ...]
    cautions: tuple[str, ...]
    closing: str
    kind: Literal["stop"] = "stop"


Sheet = Front | HookupSheet | Steps | Wrong | Fill | Log | Record | SwapSheet | Tags | Load | Stop


@dataclass(frozen=True, slots=True)
class Content:
    """A whole packet. facts: (label, text) of what a reader wants to hear about when it changes.

    head: what stands right of every sheet's title. foot: (company, emergency number). on: the job's date. truck: what
    the truck carries with all its jobs of the day, printed on the Load sheet; no part of the revision. also: the second
    language, in which what stops people stands as well; '' for none. in_english: the facts, to compare prints by. address:
    of the job's record below records_url, the job itself where it is empty.
    """

    job: str
    language: str
    paper: Literal["letter", "A4"]
    units: UnitSystem
    on: date
    title: str
    head: str
    foot: str
    records_url: str
    may_go_out: bool
    sheets: tuple[Sheet, ...]
    facts: tuple[Entry, ...] = field(default=())
    truck: tuple[str, ...] = ()
    size: PrintSize = "usual"
    also: str = ""
    in_english: tuple[Entry, ...] = ()
    address: str = ""
