"""Acts: what a step does, for the walk to execute, and how it is said, for the paper.

An effect is one change of the state of valves, joints, machine or knowledge; nothing else changes them. An act is one
step: its effects in order, its sentence, and what is printed beside it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from packet.hookup.model import Blank, StageKind, StepKind

Op = Literal[
    "join",  # what, to: two ports
    "part",  # what: a port that is joined
    "move",  # what: valve, to: open | shut | cracked
    "ensure",  # what: valve, to: as 'move', but it may stand so already
    "confirm",  # what: a valve that must stand shut
    "mode",  # to: off | vapor | liquid | push-pull | clear
    "purge",  # what: the port at which the fitting is loosened for a moment
    "pump",  # to: on | off
    "evacuated",  # the pump has drawn what it is open to down to 1,000 micron
    "fill",  # what: cylinder; amount: the gross weight it has reached
    "dry",  # no more liquid comes from the appliance
    "drained",  # push-pull: the liquid hose has run empty into the cylinder
    "emptied",  # the machine has drawn what its suction is open to
    "drawn",  # the appliance is at its target
    "rise",  # the pressure is watched
    "cleared",  # the machine has reached its maker's cleared reading
    "weigh-before",  # what: cylinder
    "weigh-after",  # what: cylinder
    "water",  # to: on | off
    "compressor",  # to: on | off
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
# appliance; 'into-appliance': the machine pushes into the appliance alone; 'draws-nothing': the machine's inlet is open
# to nothing but what is to be emptied; 'purging': a cylinder lets gas out into a hose that the next step purges;
# 'charging': a hose that kept its gas is opened to a fitting that was pumped.
Named = Literal["equalize", "into-appliance", "draws-nothing", "purging", "charging"]


@dataclass(frozen=True, slots=True)
class Act:
    """One step. running: the drawing shows the valves as they stand after it. calls: change-overs are done here."""

    text: str
    effects: tuple[Effect, ...] = ()
    kind: StepKind = "do"
    cautions: tuple[str, ...] = ()
    blanks: tuple[Blank, ...] = ()
    names: frozenset[Named] = field(default_factory=frozenset)
    running: bool = False
    calls: bool = False

    @property
    def initials(self) -> bool:
        """A hold point is initialled."""
        return self.kind == "hold"


@dataclass(frozen=True, slots=True)
class Block:
    """A stage before it is walked: its acts in order."""

    kind: StageKind
    number: int
    title: str
    opening: str
    acts: tuple[Act, ...]
    cylinder: str = ""  # the cylinder on the scale while it lasts


def opens(*valves: str) -> tuple[Effect, ...]:
    """Open these valves, in order."""
    return tuple(Effect("move", valve, "open") for valve in valves)


def shuts(*valves: str) -> tuple[Effect, ...]:
    """Shut these valves, in order."""
    return tuple(Effect("move", valve, "shut") for valve in valves)


def cracks(valve: str) -> tuple[Effect, ...]:
    """Crack this valve: just off its seat."""
    return (Effect("move", valve, "cracked"),)


def joins(*pairs: tuple[str, str]) -> tuple[Effect, ...]:
    """Join these pairs of ports, in order."""
    return tuple(Effect("join", one, other) for one, other in pairs)


def parts_at(ports: Iterable[str]) -> tuple[Effect, ...]:
    """Disjoin at these ports, in order."""
    return tuple(Effect("part", port) for port in ports)


def mode(to: str) -> tuple[Effect, ...]:
    """Set the machine."""
    return (Effect("mode", to=to),)


def did(*duties: str) -> tuple[Effect, ...]:
    """These duties have been done."""
    return tuple(Effect("did", duty) for duty in duties)
