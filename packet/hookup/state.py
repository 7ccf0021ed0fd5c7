"""The state of a bench: valves, joints, machine, what each space holds, and what people have done so far.

Only effects change it (see `walk`). `join_up` works out which spaces are open to one another.
"""

from collections.abc import Iterable, Sequence
from typing import Literal

from packet.hookup.parts import Bench

ValveState = Literal["open", "closed", "cracked"]
Content = Literal["air", "vacuum", "drawn", "vapor", "liquid", "store", "nitrogen"]
AIR = "air"  # the room, as a space
SUCTION_SIDE = "machine.inside-suction"
DISCHARGE_SIDE = "machine.inside-discharge"


class State:
    """Mutable. holds: content by space; air_at: ports whose joint was made since air was last driven out of it, both
    sides of each; gross_lb: by cylinder, as last written down; joined: what is open to what, None until worked out
    again after a valve, joint or machine was touched; met_vacuum: this act opened a charged hose to a vacuum; vented:
    the hose or manifold whose refrigerant this act let out into the room, by its part's id; at_zero:
    the appliance's vacuum was broken with nitrogen; in_force: holds that were initialled and still say what is so.
    """

    __slots__ = (
        "air_at",
        "at_zero",
        "compressor_on",
        "done",
        "drawn",
        "gross_lb",
        "holds",
        "in_force",
        "joined",
        "liquid_left",
        "machine_cleared",
        "mates",
        "met_vacuum",
        "mode",
        "pump_on",
        "valves",
        "vented",
        "water_on",
    )

    def __init__(self, bench: Bench) -> None:
        """Everything closed, machine off, hoses full of air; a receiver's own valves stand open, as in a running system."""
        self.valves: dict[str, ValveState] = {
            port.id: "open" if bench.kind_of_space[port.space] == "receiver" else "closed"
            for port in bench.ports.values()
            if port.valved
        }
        self.mates: dict[str, str] = {}
        for one, other in bench.fixed:
            self.mates[one], self.mates[other] = other, one
        self.air_at: frozenset[str] = frozenset()
        self.holds: dict[str, Content] = {}
        for space, kind in bench.kind_of_space.items():
            # a machine comes cleared and evacuated from its last job: that is one of the duties before anything
            self.holds[space] = (
                "store"
                if kind in {"appliance", "receiver", "cylinder"}
                else "vacuum"
                if kind == "machine"
                else "nitrogen"
                if kind == "nitrogen"
                else "air"
            )
        for part in bench.parts.values():
            for space in part.spaces if part.evacuated else ():
                self.holds[space] = "vacuum"
        self.met_vacuum = False
        self.vented = ""
        self.mode = "off"
        self.pump_on = False
        self.water_on = False
        self.compressor_on = False
        self.liquid_left = True
        self.drawn = False
        self.at_zero = False
        self.machine_cleared = True
        self.done: frozenset[str] = frozenset()
        self.in_force: frozenset[str] = frozenset()
        self.gross_lb: dict[str, float] = {}
        self.joined: Joined | None = None

    def copy(self) -> "State":
        """An independent copy."""
        twin = object.__new__(State)
        for name in State.__slots__:
            value = getattr(self, name)
            setattr(twin, name, value.copy() if isinstance(value, dict) else value)
        return twin

    def same_as(self, other: "State") -> bool:
        """Whether nothing tells the two apart."""
        return all(
            getattr(self, name) == getattr(other, name)
            for name in State.__slots__
            if name not in {"joined", "met_vacuum", "vented"}
        )

    @property
    def running(self) -> bool:
        """The machine is on, in whatever mode."""
        return self.mode != "off"


class Joined:
    """Which spaces are open to one another. Two spaces with the same root are.

    direct: through hoses and open valves; through: also through the inside of the appliance, a receiver, a cylinder.
    A machine that is off passes gas; one that runs is a pump between its two sides and joins nothing.
    """

    __slots__ = ("_members", "_members_through", "direct", "through")

    def __init__(self, direct: dict[str, str], through: dict[str, str]) -> None:
        self.direct = direct
        self.through = through
        # by root, once somebody asks: most states are never asked what is open through vessels
        self._members: dict[str, list[str]] | None = None
        self._members_through: dict[str, list[str]] | None = None

    def open_directly(self, one: str, other: str) -> bool:
        """Open to one another without passing through a vessel."""
        return self.direct[one] == self.direct[other]

    def open_through(self, one: str, other: str) -> bool:
        """Open to one another, through vessels or not."""
        return self.through[one] == self.through[other]

    def with_space(self, space: str) -> list[str]:
        """Every space directly open to `space`, itself included."""
        return self._direct_members()[self.direct[space]]

    def with_space_through(self, space: str) -> list[str]:
        """Every space open to `space`, through vessels or not, itself included."""
        if self._members_through is None:
            self._members_through = _by_root(self.through)
        return self._members_through[self.through[space]]

    def groups(self) -> Iterable[list[str]]:
        """Spaces that are directly open to one another, group by group."""
        return self._direct_members().values()

    def _direct_members(self) -> dict[str, list[str]]:
        if self._members is None:
            self._members = _by_root(self.direct)
        return self._members


def _by_root(roots: dict[str, str]) -> dict[str, list[str]]:
    members: dict[str, list[str]] = {}
    for space, root in roots.items():
        members.setdefault(root, []).append(space)
    return members


def joints(bench: Bench, state: State) -> list[tuple[str, str]]:
    """Pairs of spaces that are open to one another across a joint, or to the room where a port stands open."""
    pairs: list[tuple[str, str]] = []
    ports, mates, valves = bench.ports, state.mates, state.valves
    for name, port in ports.items():
        if port.valved and valves[name] == "closed":
            continue
        mate = mates.get(name)
        if mate is None:
            if not port.closes_itself:
                pairs.append((port.space, AIR))
        elif name < mate:
            other = ports[mate]
            if not (other.valved and valves[mate] == "closed"):
                pairs.append((port.space, other.space))
    if not state.running:
        pairs.append((SUCTION_SIDE, DISCHARGE_SIDE))
    if not state.pump_on and "pump" in bench.parts:
        pairs.append(("pump", AIR))
    return pairs


def join_up(bench: Bench, state: State) -> Joined:
    """What is open to what, worked out once and kept on the state until something is touched."""
    if state.joined is None:
        spaces = (*bench.kind_of_space, AIR)
        direct = _groups(spaces, {space: space for space in spaces}, joints(bench, state))
        state.joined = Joined(direct, _groups(spaces, direct.copy(), bench.links))
    return state.joined


def _groups(spaces: tuple[str, ...], parent: dict[str, str], pairs: Sequence[tuple[str, str]]) -> dict[str, str]:
    """Each space's group, by the name of one of its spaces; `parent` holds the groups before these pairs join."""
    for one, other in pairs:
        while parent[one] != one:
            one = parent[one]  # noqa: PLW2901 - climbing to the group's root
        while parent[other] != other:
            other = parent[other]  # noqa: PLW2901 - same
        parent[other] = one
    for space in spaces:
        root = space
        while parent[root] != root:
            root = parent[root]
        parent[space] = root
    return parent
