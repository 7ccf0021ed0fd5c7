"""What each sheet says: strings ready to set, in the current language and the shop's units. No ink, no arithmetic left.

A sheet is a frozen record. `kind` names its template macro; `name` stands in every page's foot; `title` heads it.
"""

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from packet.hookup.model import Blank, Drawing
from packet.units import UnitSystem

BoxKind = Literal["check", "initial"]


@dataclass(frozen=True, slots=True)
class Entry:
    """A label and what stands beside it."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A line with a box to tick ('check') or to initial ('initial')."""

    key: str
    kind: BoxKind
    text: str
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Ask:
    """A line of a form: a label and a place to write ('blank'), tick or initial. wide: words go there."""

    key: str
    label: str
    unit: str = ""
    kind: Literal["blank", "check", "initial"] = "blank"
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Ticks under a heading."""

    title: str
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class Reasons:
    """A heading and the sentences under it."""

    title: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Column heads and rows of equal length. strong: the row to print bold, None for none. caption: what it shows."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    strong: int | None = None


@dataclass(frozen=True, slots=True)
class Front:
    """Page one and two: may we go, what are we doing, what do we load."""

    name: str
    title: str
    day: str
    glance: tuple[Entry, ...]
    who: tuple[Entry, ...]
    site: tuple[Entry, ...]
    appliance: tuple[Entry, ...]
    go: tuple[Tick, ...]
    go_sign: tuple[Blank, ...]
    no_go: str
    method: Reasons
    rejected: tuple[Reasons, ...]
    target: Reasons
    cylinders: Table
    times: str
    truck_left: tuple[Group, ...]
    truck_right: tuple[Group, ...]
    emergency: tuple[Entry, ...]
    first_aid: tuple[Entry, ...]
    notes: tuple[str, ...]
    deferral: str
    kind: Literal["front"] = "front"


@dataclass(frozen=True, slots=True)
class ValveRows:
    """A part of a valve table that fits the page: step numbers, then each valve with its marks in words."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    same: str = ""  # the valves that nothing here moves


@dataclass(frozen=True, slots=True)
class HookupSheet:
    """One stage's drawing, hoses and valves."""

    name: str
    title: str
    opening: str
    drawing: Drawing
    hoses: Table
    valves: tuple[ValveRows, ...]
    valves_title: str
    deferral: str
    kind: Literal["hookup"] = "hookup"


@dataclass(frozen=True, slots=True)
class Plot:
    """Level of the planned fill against temperature. curve, marks: (temperature, percent) in the units of the axis."""

    alternative_text: str
    temperature_unit: str
    curve: tuple[tuple[float, float], ...]
    temperature_ticks: tuple[tuple[float, str], ...]
    level_ticks: tuple[tuple[float, str], ...]
    ceiling_label: str
    hottest: tuple[float, str]


@dataclass(frozen=True, slots=True)
class Fill:
    """One cylinder."""

    name: str
    title: str
    stop_label: str
    stop: str
    stop_unit: str
    stop_words: str
    beside: tuple[Entry, ...]
    identity: tuple[Entry, ...]
    weigh_in: tuple[Blank, ...]
    facts: tuple[Entry, ...]
    governing: str
    quick_rule: str
    quick_rule_warns: bool
    cautions: tuple[str, ...]
    next_cylinder: str
    table: Table
    plot: Plot
    deferral: str
    kind: Literal["fill"] = "fill"


@dataclass(frozen=True, slots=True)
class PrintedStep:
    """A step as it is set. box: the key of its tick or initials box."""

    number: str
    box: str
    kind: Literal["do", "hold", "read", "wait", "check"]
    text: str
    cautions: tuple[str, ...]
    blanks: tuple[Blank, ...]
    initials: bool


@dataclass(frozen=True, slots=True)
class StageSteps:
    """A stage's steps, with what to do when it goes wrong."""

    title: str
    opening: str
    steps: tuple[PrintedStep, ...]
    valves: tuple[ValveRows, ...]
    if_wrong: tuple[Entry, ...]
    interruption: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Steps:
    """Stages that are walked without hosing anew in between."""

    name: str
    title: str
    stages: tuple[StageSteps, ...]
    deferral: str
    kind: Literal["steps"] = "steps"


@dataclass(frozen=True, slots=True)
class Pressure:
    """Temperature to pressure at this elevation, and the check for air."""

    name: str
    title: str
    at: str
    table: Table
    check: Reasons
    readings: tuple[tuple[str, tuple[Blank, ...]], ...]
    deferral: str
    kind: Literal["pressure"] = "pressure"


@dataclass(frozen=True, slots=True)
class Grid:
    """An empty ruled form: column heads with their share of the width, and how many lines."""

    key: str
    caption: str
    columns: tuple[tuple[str, float], ...]
    lines: int


@dataclass(frozen=True, slots=True)
class Log:
    """Weight and pressure while it runs; change-overs; the final vacuum."""

    name: str
    title: str
    reminder: tuple[str, ...]
    grids: tuple[Grid, ...]
    final: tuple[Blank, ...]
    kind: Literal["log"] = "log"


@dataclass(frozen=True, slots=True)
class RecordPart:
    """A part of the record: what is known is printed, what is read is written in."""

    title: str
    known: tuple[Entry, ...]
    asks: tuple[Ask, ...]
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Record:
    """What the law and the shop keep, in the order it is typed in."""

    name: str
    title: str
    opening: str
    parts: tuple[RecordPart, ...]
    kind: Literal["record"] = "record"


@dataclass(frozen=True, slots=True)
class Tag:
    """A tag to cut out and tie to a cylinder."""

    cylinder: str
    refrigerant: str
    shipping: tuple[str, ...]
    lines: tuple[Entry, ...]
    blanks: tuple[Ask, ...]
    warning: str


@dataclass(frozen=True, slots=True)
class Tags:
    """The tags, and what the truck carries home."""

    name: str
    title: str
    opening: str
    tags: tuple[Tag, ...]
    truck: Reasons
    loads: Table
    kind: Literal["tags"] = "tags"


@dataclass(frozen=True, slots=True)
class Owner:
    """The owner's copy."""

    name: str
    title: str
    opening: str
    entries: tuple[Entry, ...]
    done: tuple[Entry, ...]
    asks: tuple[Ask, ...]
    words: tuple[str, ...]
    signatures: tuple[Ask, ...]
    kind: Literal["owner"] = "owner"


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


Sheet = Front | HookupSheet | Fill | Steps | Pressure | Log | Record | Tags | Owner | Stop


@dataclass(frozen=True, slots=True)
class Content:
    """A whole packet. facts: (label, text) of what a reader wants to hear about when it changes.

    head: what stands right of every sheet's title. foot: (company, emergency number). on: the job's date.
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
