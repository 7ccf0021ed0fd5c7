"""Acts: what is done, for the walk to execute, and how it is said; lines: acts in one move, as printed.

An effect is one change of the state of valves, joints, machine or knowledge; nothing else changes them. An act is one
thing done: its effects in order and its words. A line is what one person does in one place before looking up: its acts
in order, one tick. The words of a line are the words of its acts, so that neither can be changed without the other.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal, NamedTuple

from packet.hookup.model import Blank, StageKind, StepKind

Op = Literal[
    "connect",  # what, to: two ports
    "disconnect",  # what: a port that is connected
    "move",  # what: valve, to: open | closed | cracked
    "ensure",  # what: valve, to: as 'move', but it may stand so already
    "confirm",  # what: a valve that must stand closed
    "mode",  # to: off | vapor | liquid | push-pull | clear
    "purge",  # what: the port at which the fitting is loosened for a moment
    "pump",  # to: on | off
    "evacuated",  # the pump has drawn what it is open to down to 1,000 micron
    "read",  # what: a gauge (see `gauges`), to: the space it is to show
    "core",  # what: a Schrader port with a core tool on it, to: out | in
    "fill",  # what: cylinder; amount: the gross weight it has reached
    "dry",  # no more liquid comes from the appliance
    "drained",  # push-pull: the liquid hose has run empty into the cylinder
    "drawn",  # the appliance is at its target
    "rise",  # the pressure is watched
    "cleared",  # the machine has reached its maker's cleared reading
    "nitrogen",  # the vacuum is broken with dry nitrogen, to 0 psig
    "sweep",  # what: the hose end that is led outdoors; nitrogen goes through the appliance and out there
    "weigh-before",  # what: cylinder
    "weigh-after",  # what: cylinder
    "water",  # to: on | off
    "compressor",  # to: on | off
    "person",  # what: a person who must exist
    "did",  # what: a duty that has been done
    "hold",  # what: a name; nobody goes on before it is initialled
]


class Effect(NamedTuple):
    """One change; see Op for what the places mean."""

    op: Op
    what: str = ""
    to: str = ""
    amount: float = 0.0


# What an act may leave open for a moment because the act says so. 'equalize': machine off and a cylinder open to the
# appliance; 'into-appliance': the machine pushes into the appliance alone; 'charging': a hose that kept its vapor is opened to a fitting that was pumped;
# 'bleeds': the vapor of one hose that is off at both ends goes outdoors, so that it travels with an end open.
Named = Literal["equalize", "into-appliance", "charging", "bleeds"]


@dataclass(frozen=True, slots=True)
class Act:
    """One thing done. text: its words, a sentence. uses: kit and gear that it puts a hand on (see `load.GEAR`)."""

    text: str
    effects: tuple[Effect, ...] = ()
    names: frozenset[Named] = field(default_factory=frozenset)
    uses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """One line. running: the drawing shows the valves as they stand after it. calls: swaps are done here."""

    acts: tuple[Act, ...]
    kind: StepKind = "do"
    cautions: tuple[str, ...] = ()
    blanks: tuple[Blank, ...] = ()
    running: bool = False
    calls: bool = False

    @property
    def text(self) -> str:
        """The words of its acts, in their order."""
        return " ".join(act.text for act in self.acts if act.text)

    @property
    def initials(self) -> bool:
        """A hold point is initialled."""
        return self.kind == "hold"

    @property
    def hold(self) -> str:
        """The name of the hold; '' where it is none."""
        last = self.acts[-1].effects[-1:] if self.acts else ()
        return last[0].what if last and last[0].op == "hold" else ""


@dataclass(frozen=True, slots=True)
class Block:
    """A group of lines before it is walked. label: its number as printed ('S': the swap). layout: which hookup."""

    kind: StageKind
    number: int
    title: str
    opening: str
    lines: tuple[Line, ...]
    layout: int = 1
    label: str = ""

    @property
    def printed(self) -> str:
        """What its lines' numbers begin with."""
        return self.label or str(self.number)


def line(
    *acts: Act | None,
    kind: StepKind = "do",
    cautions: tuple[str, ...] = (),
    blanks: tuple[Blank, ...] = (),
    running: bool = False,
    calls: bool = False,
) -> Line:
    """A line of these acts; None stands for one that this job does not need."""
    return Line(tuple(act for act in acts if act is not None), kind, cautions, blanks, running, calls)


def act(text: str, *effects: Effect | tuple[Effect, ...], uses: Iterable[str] = (), names: Iterable[Named] = ()) -> Act:
    """An act with these effects in order."""
    flat: list[Effect] = []
    for item in effects:
        flat += [item] if isinstance(item, Effect) else item
    return Act(text, tuple(flat), frozenset(names), tuple(uses))


def hold(name: str, *acts: Act, cautions: tuple[str, ...] = (), blanks: tuple[Blank, ...] = ()) -> Line:
    """A hold point: nobody goes on before it is initialled. Its last act says what is initialled."""
    *before, last = acts
    return Line((*before, replace(last, effects=(*last.effects, Effect("hold", name)))), "hold", cautions, blanks)


def opens(*valves: str) -> tuple[Effect, ...]:
    """Open these valves, in order."""
    return tuple(Effect("move", valve, "open") for valve in valves)


def closes(*valves: str) -> tuple[Effect, ...]:
    """Close these valves, in order."""
    return tuple(Effect("move", valve, "closed") for valve in valves)


def ensures(*valves: str, to: str = "closed") -> tuple[Effect, ...]:
    """These valves stand so afterwards, whatever they were."""
    return tuple(Effect("ensure", valve, to) for valve in valves)


def cracks(valve: str) -> tuple[Effect, ...]:
    """Crack this valve: just off its seat."""
    return (Effect("move", valve, "cracked"),)


def connects(*pairs: tuple[str, str]) -> tuple[Effect, ...]:
    """Connect these pairs of ports, in order."""
    return tuple(Effect("connect", one, other) for one, other in pairs)


def disconnects(*ports: str) -> tuple[Effect, ...]:
    """Disconnect at these ports, in order."""
    return tuple(Effect("disconnect", port) for port in ports)


def mode(to: str) -> Effect:
    """Set the machine."""
    return Effect("mode", to=to)


def reads(gauge: str, space: str) -> Effect:
    """Read this gauge for that space."""
    return Effect("read", gauge, space)


def did(*duties: str) -> tuple[Effect, ...]:
    """These duties have been done."""
    return tuple(Effect("did", duty) for duty in duties)
