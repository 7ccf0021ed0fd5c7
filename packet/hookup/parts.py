"""Parts: what stands on the floor and how it can be connected.

A part has spaces (what may hold gas) and named ports; a port may have a valve of its own, and then the valve bears the
port's name. Hoses are parts too: one space, two ends, a shut-off at one or both. A bench is everything one job uses.
"""

from dataclasses import dataclass
from typing import Literal

PartKind = Literal[
    "appliance",
    "receiver",
    "manifold",
    "machine",
    "cylinder",
    "hose",
    "pump-hose",
    "drier",
    "sight-glass",
    "tee",
    "gauge",
    "header",
    "pump",
    "nitrogen",
]

# small bodies between two joints: what they hold when their neighbors are closed is no more than a coupling holds
FITTINGS: frozenset[PartKind] = frozenset({"drier", "sight-glass", "tee", "gauge", "header"})
HOSES: frozenset[PartKind] = frozenset({"hose", "pump-hose"})


@dataclass(frozen=True, slots=True)
class Port:
    """A place to connect. space: what lies behind it. valved: it has a valve, which bears the port's id. closes_itself: a
    Schrader core, open while something presses it.
    """

    id: str  # 'machine.suction'
    space: str
    valved: bool
    name: str  # as printed: "machine suction"
    valve_name: str = ""  # as printed: "machine inlet"
    closes_itself: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """One thing. links: pairs of its spaces that are always open to one another. evacuated: a cylinder under vacuum."""

    id: str
    kind: PartKind
    name: str
    spaces: tuple[str, ...]
    ports: tuple[Port, ...]
    links: tuple[tuple[str, str], ...] = ()
    evacuated: bool = False


@dataclass(frozen=True, slots=True)
class Bench:
    """All parts of a job by id, with what the walk looks up all the time."""

    parts: dict[str, Part]
    ports: dict[str, Port]
    kind_of_space: dict[str, PartKind]
    part_of_space: dict[str, str]
    fixed: tuple[tuple[str, str], ...]  # joints that come with the appliance
    links: tuple[tuple[str, str], ...]  # pairs of spaces inside vessels that are always open to one another
    cylinder_spaces: tuple[str, ...]
    cylinder_valves: tuple[tuple[str, str], ...]  # (valve, cylinder's name)

    def part_of(self, port: str) -> Part:
        """The part a port belongs to."""
        return self.parts[self.part_of_space[self.ports[port].space]]

    def valve_name(self, port: str) -> str:
        """A valve as printed."""
        return self.ports[port].valve_name

    def port_name(self, port: str) -> str:
        """A port as printed."""
        return self.ports[port].name

    @property
    def valves(self) -> tuple[str, ...]:
        """Every valve, in the order of the parts."""
        return tuple(port.id for port in self.ports.values() if port.valved)


def bench(parts: tuple[Part, ...], fixed: tuple[tuple[str, str], ...] = ()) -> Bench:
    """A bench of these parts. Raises ValueError when two parts or ports share an id."""
    by_id = {part.id: part for part in parts}
    ports = {port.id: port for part in parts for port in part.ports}
    if len(by_id) != len(parts) or len(ports) != sum(len(part.ports) for part in parts):
        raise ValueError("two parts or ports share an id")
    return Bench(
        by_id,
        ports,
        {space: part.kind for part in parts for space in part.spaces},
        {space: part.id for part in parts for space in part.spaces},
        fixed,
        tuple(link for part in parts for link in part.links),
        tuple(space for part in parts if part.kind == "cylinder" for space in part.spaces),
        tuple((port.id, part.name) for part in parts if part.kind == "cylinder" for port in part.ports if port.valved),
    )


def cylinder_part(cylinder: str) -> str:
    """The part id of a cylinder; a shop may call its cylinders what it likes without meeting 'machine'."""
    return f"cylinder:{cylinder}"
