"""What the hookup station hands on: stages with steps, hose list, valve table, drawing, cards and findings.

Sentences are in the current language, ready to print.
"""

from dataclasses import dataclass
from typing import Literal

from packet.findings import Finding

StepKind = Literal["do", "hold", "read", "wait", "check"]
StageKind = Literal["before", "join", "vapor", "liquid", "push-pull", "change-over", "end"]
ValveMark = Literal["open", "shut", "cracked", "unchanged"]
LineStyle = Literal["liquid", "vapor", "utility", "cable"]


@dataclass(frozen=True, slots=True)
class Blank:
    """A reading written down at a step. key: its name in the readings form (`cylinders.C-118.before_gross_lb`)."""

    key: str
    label: str
    unit: str


@dataclass(frozen=True, slots=True)
class Step:
    """One printed step. number: '3.4'. cautions stand beside the step; initials: a hold point to initial."""

    number: str
    kind: StepKind
    text: str
    cautions: tuple[str, ...] = ()
    blanks: tuple[Blank, ...] = ()
    initials: bool = False


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
    shut_off_at: str
    hose_id: str
    length_ft: float


@dataclass(frozen=True, slots=True)
class ValveTable:
    """Rows valves, columns steps. columns: step numbers; rows: (valve's name, one mark a column)."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[ValveMark, ...]], ...]


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
    """One stage as printed. Only the stages that recover (vapor, liquid, push-pull) have hoses and a drawing.

    'change-over' is done in the middle of a recovering stage, when the scale reads the change weight; it has steps
    and a valve table of its own. 'join' comes twice in a push-pull job: the second is the re-hosing for vapor.
    Long valve tables come split: `valves` first, the rest in `more_valves`, each with its own columns.
    """

    kind: StageKind
    number: int
    title: str
    opening: str  # one sentence: what this stage is for and when it is over
    steps: tuple[Step, ...]
    hoses: tuple[HoseLine, ...] = ()
    valves: ValveTable | None = None
    drawing: Drawing | None = None
    if_wrong: tuple[IfWrong, ...] = ()
    interruption: tuple[str, ...] = ()  # on power loss, trip, alarm or smell: what first, then what
    more_valves: tuple[ValveTable, ...] = ()


@dataclass(frozen=True, slots=True)
class Hookup:
    """All stages of a job in order, what the truck must carry for them, and what the walk found."""

    stages: tuple[Stage, ...]
    kit_list: tuple[tuple[str, int], ...]  # what to load: (name, count)
    findings: tuple[Finding, ...]
