"""Joints and valves: what joining, disjoining, opening and shutting do, and what must hold for them."""

from collections.abc import Iterator

from packet.hookup.effects.on import On
from packet.hookup.parts import FITTINGS, HOSES, Bench
from packet.hookup.settle import VESSELS
from packet.hookup.state import AIR, Joined, State, ValveState, join_up
from packet.words import t


def drive_out(bench: Bench, state: State, spaces: list[str]) -> None:
    """Air is gone from every joint that these spaces are open to."""
    reached = {
        port
        for port in state.air_at
        if bench.ports[port].space in spaces and not (bench.ports[port].valved and state.valves[port] == "shut")
    }
    state.air_at = state.air_at - reached - {state.mates[port] for port in reached}


def join(on: On) -> Iterator[str]:
    """Two ports are joined: duties done, machine off, a cylinder weighed; the joint holds air until it is driven out."""
    one, other = on.effect.what, on.effect.to
    missing = sorted(on.rules.before_join - on.state.done)
    if missing:
        yield t("joined before it was done: {duty}", duty=", ".join(missing))
    if on.state.running:
        yield t("a hose is joined while the machine runs")
    for port in (one, other):
        if port in on.state.mates:
            yield t("{port} is joined already", port=on.bench.port_name(port))
            return
        part = on.bench.part_of(port)
        if part.kind == "cylinder" and part.name not in on.state.gross_lb:
            yield t("{cylinder} is joined before it was weighed bare", cylinder=part.name)
    on.state.mates[one], on.state.mates[other] = other, one
    on.state.air_at = on.state.air_at | {one, other}


def part(on: On) -> Iterator[str]:
    """A joint is opened: machine off and cleared, valves shut, no liquid, gas only behind a shut shut-off."""
    port = on.effect.what
    mate = on.state.mates.get(port)
    if mate is None:
        yield t("{port} is not joined", port=on.bench.port_name(port))
        return
    kinds = {on.bench.part_of(port).kind, on.bench.part_of(mate).kind}
    service = bool(kinds & {"pump", "pump-hose"})
    for end in (port, mate):
        part = on.bench.part_of(end)
        shut_holds = {f"full:{part.name}", f"cleared:{part.name}", "shut"}
        if part.kind == "cylinder" and not shut_holds & on.state.in_force:
            yield t("{cylinder} is disjoined before its hold was initialled", cylinder=part.name)
    if on.state.running:
        yield t("a hose is disjoined while the machine runs")
    elif not on.state.machine_cleared and not service:
        yield t("a hose is disjoined before the machine was cleared")
    joined = join_up(on.bench, on.state)
    for end in (port, mate):
        yield from _may_open(on.bench, on.state, joined, end)
    del on.state.mates[port], on.state.mates[mate]
    on.state.air_at = on.state.air_at - {port, mate}
    for end in (port, mate):
        opened = on.bench.ports[end]
        kind = on.bench.kind_of_space[opened.space]
        behind_a_valve = opened.valved and on.state.valves[end] == "shut"
        if kind in HOSES:
            # off at both ends, or opened without a shut-off, it counts as full of air; else it keeps what it holds
            other_end = next(item.id for item in on.bench.part_of(end).ports if item.id != end)
            behind_a_valve = behind_a_valve and other_end in on.state.mates
        if not behind_a_valve and (kind in HOSES or kind in FITTINGS or kind == "manifold"):
            on.state.holds[opened.space] = "air"


def _may_open(bench: Bench, state: State, joined: Joined, end: str) -> Iterator[str]:
    """Whether a joint may be opened on the side of port `end`."""
    port = bench.ports[end]
    kind, held = bench.kind_of_space[port.space], state.holds[port.space]
    shut = port.valved and state.valves[end] == "shut"
    name = bench.part_of(end).name
    if kind in VESSELS or kind == "machine":
        if not shut:
            yield t("{port} is disjoined with its valve open", port=port.name)
    elif held == "liquid":
        yield t("{part} is disjoined full of liquid", part=name)
    elif held == "vapor" and not shut:
        # a coupling's worth behind shut valves is what low-loss fittings lose; a hose's worth is not
        alone = all(bench.kind_of_space[s] in FITTINGS for s in joined.with_space(port.space) if s != AIR)
        if not (kind in FITTINGS and alone):
            yield t("{part} is disjoined with gas in it and no shut-off shut", part=name)


POSITIONS: dict[str, ValveState] = {"open": "open", "shut": "shut", "cracked": "cracked"}


def move(on: On) -> Iterator[str]:
    """A valve is set; a step that changes nothing is a lie on paper, and cracking begins from shut."""
    valve, position = on.effect.what, POSITIONS[on.effect.to]
    if on.state.valves[valve] == position:
        yield t("{valve} stands so already: the step changes nothing", valve=on.bench.valve_name(valve))
    if position == "cracked" and on.state.valves[valve] != "shut":
        yield t("{valve} is to be cracked and stands open", valve=on.bench.valve_name(valve))
    on.state.valves[valve] = position
    if position != "shut" and on.bench.part_of(valve).kind == "appliance":
        missing = sorted(on.rules.before_join - on.state.done)
        if missing:
            yield t("opened before it was done: {duty}", duty=", ".join(missing))
        if valve not in on.state.mates:
            yield t("{valve} is opened with nothing joined to it", valve=on.bench.valve_name(valve))


def ensure(on: On) -> Iterator[str]:
    """A move that is skipped where the valve stands so already; cracked counts as open."""
    now = on.state.valves[on.effect.what]
    if (now == "shut") != (on.effect.to == "shut"):
        yield from move(on)


def confirm(on: On) -> Iterator[str]:
    """A valve is looked at and must stand shut."""
    if on.state.valves[on.effect.what] != "shut":
        yield t("{valve} is to be confirmed shut and stands open", valve=on.bench.valve_name(on.effect.what))
