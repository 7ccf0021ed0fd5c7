"""What the hookup station hands on: stages with steps, hose list, valve table, drawing, cards and findings.

Sentences are in the current language, ready to print.
"""

from dataclasses import dataclass
from typing import Literal

from packet.findings import Finding
from packet.statements import Statement

StepKind = Literal["do", "hold", "read", "wait", "check"]
StageKind = Literal["before", "join", "vapor", "liquid", "push-pull", "change-over", "end"]
# 'mid', 'back': a service or king valve in mid-position (its gauge port open) or back-seated (closed); 'none': not there
HoldMark = Literal["open", "closed", "throttled", "mid", "back", "none"]
LineStyle = Literal["liquid", "vapor", "utility", "cable"]


@dataclass(frozen=True, slots=True)
class Blank:
    """A reading written down at a step. key: its name in the readings form (`cylinders.C-118.before_gross_lb`)."""

    key: str
    label: str
    unit: str


@dataclass(frozen=True, slots=True)
class Step:
    """One printed line: what one person does in one place before looking up, with one tick; at most two rows of print.

    number: '3.4'. The order inside a line is the order of its words. cautions are printed before the line. blanks:
    values written once, on the Record or the log, under a number; the line only says "write". initials: a hold point to
    initial; hold: its number, counted through the job, 0 for a line that is none.
    """

    number: str
    kind: StepKind
    text: str
    cautions: tuple[str, ...] = ()
    blanks: tuple[Blank, ...] = ()
    initials: bool = False
    hold: int = 0


@dataclass(frozen=True, slots=True)
class HoseLine:
    """A line of the hose list. letter stands at both ends of the hose in the drawing; color: the trade's, by what it
    carries; hose_id: the line of the kit it is taken from.
    """

    letter: str
    from_port: str
    to_port: str
    carries: LineStyle
    color: str
    shut_off_at: tuple[str, ...]
    hose_id: str
    length_ft: float


@dataclass(frozen=True, slots=True)
class HoldTable:
    """How every valve of one hookup stands, a column a hold, then while running and when stopped by strip 2.

    columns: heads as printed (a hold's number, what runs, 'stopped'); rows: (valve's name, one mark a column).
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[HoldMark, ...]], ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """What stands at the foot of a steps sheet: title ('Machine trips or power fails, and no gas in the air') and two lines."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """The hookup as it stands while recovering: inline SVG, its size in mm, and words for who cannot see it."""

    svg: str
    width_mm: float
    height_mm: float
    alternative_text: str


@dataclass(frozen=True, slots=True)
class IfWrong:
    """A line of 'if it goes wrong'."""

    sign: str
    action: str


@dataclass(frozen=True, slots=True)
class Stage:
    """A group of at most nine lines with a title to begin with; opening: when it is done, '' where that is plain."""

    kind: StageKind
    number: int
    title: str
    opening: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """Hoses as they are connected once: what the hookup sheet shows and the stages that are done with it, facing it.

    number: 1, or 2 after push-pull. drawn: a sentence that says in which state the valves are drawn. stages: groups of
    at most nine lines, each with a title to begin with; the first layout has what comes before any hose, the last has
    the end. strips: (1) out, (2) the machine stops; at the foot of each of its steps sheets.
    """

    number: int
    title: str
    drawn: str
    drawing: Drawing
    hoses: tuple[HoseLine, ...]
    valves: HoldTable
    stages: tuple[Stage, ...]
    strips: tuple[Strip, ...]


@dataclass(frozen=True, slots=True)
class SwapColumn:
    """One swap: the cylinder that comes off and the one that goes on, with their weights as printed.

    blanks: (number of the swap's line, blank) for what is written at this swap; each line of kind 'hold' is initialled
    once a swap.
    """

    old: str
    new: str
    change_at: str  # "61.0 lb": where the old one comes off
    expected_before: str  # what the new one weighs with hoses off
    stop: str  # where the new one is stopped
    blanks: tuple[tuple[str, Blank], ...]


@dataclass(frozen=True, slots=True)
class Swap:
    """The swap of a full cylinder, printed once however many swaps there are. Its lines carry no blanks of their own."""

    stage: Stage
    columns: tuple[SwapColumn, ...]
    strips: tuple[Strip, ...]


@dataclass(frozen=True, slots=True)
class Hookup:
    """All of a job's hookups in order, the swap, what the truck must carry for them, and what the walk found.

    wrong: what is seen and what to do then, once for the whole packet. `stages` holds the groups of all layouts.
    language: in which its sentences are; '' where there are none.
    """

    stages: tuple[Stage, ...]
    kit_list: tuple[tuple[Statement, int], ...]  # what to load: (name, count)
    findings: tuple[Finding, ...]
    layouts: tuple[Layout, ...] = ()
    swap: Swap | None = None
    wrong: tuple[IfWrong, ...] = ()
    language: str = ""
