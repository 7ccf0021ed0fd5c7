"""Joints and valves: what connecting, disconnecting, opening and closing do, and what must hold for them."""

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
        if bench.ports[port].space in spaces and not (bench.ports[port].valved and state.valves[port] == "closed")
    }
    state.air_at = state.air_at - reached - {state.mates[port] for port in reached}


def connect(on: On) -> Iterator[str]:
    """Two ports are connected: duties done, machine off, a cylinder weighed; the joint holds air until it is driven out.

    A live Schrader opens as soon as something presses it: only a hose whose shut-off at that end is closed goes on it.
    """
    one, other = on.effect.what, on.effect.to
    vessels = {on.bench.kind_of_space[on.bench.ports[port].space] for port in (one, other)} & VESSELS
    if vessels and "confirm-closed" not in on.state.done:
        yield t("a hose goes on a vessel before every valve was confirmed closed")
    if {"nitrogen.out"} & {one, other} and any(
        on.state.valves[valve] != "closed" for valve, _ in on.bench.cylinder_valves
    ):
        yield t("nitrogen is connected while a cylinder is open")
    missing = sorted(on.rules.before_connect - on.state.done)
    if missing:
        yield t("connected before it was done: {duty}", duty=", ".join(missing))
    if on.state.running:
        yield t("a hose is connected while the machine runs")
    for port in (one, other):
        if port in on.state.mates:
            yield t("{port} is connected already", port=on.bench.port_name(port))
            return
        part = on.bench.part_of(port)
        if part.kind == "cylinder" and part.name not in on.state.gross_lb:
            yield t("{cylinder} is connected before it was weighed", cylinder=part.name)
    on.state.mates[one], on.state.mates[other] = other, one
    live = [port for port in (one, other) if on.bench.ports[port].closes_itself]
    for port in live:
        end = on.state.mates[port]
        if not on.bench.ports[end].valved or on.state.valves[end] != "closed":
            yield t("{port} opens when it is pressed, and {end} is open", port=on.bench.port_name(port), end=end)
    if not live:
        # what a coupling holds goes into the system where a core opens into it
        on.state.air_at = on.state.air_at | {one, other}


def disconnect(on: On) -> Iterator[str]:
    """A joint is opened: machine off and cleared, valves closed, no liquid, gas only behind a closed shut-off."""
    port = on.effect.what
    mate = on.state.mates.get(port)
    if mate is None:
        yield t("{port} is not connected", port=on.bench.port_name(port))
        return
    kinds = {on.bench.part_of(port).kind, on.bench.part_of(mate).kind}
    service = bool(kinds & {"pump", "pump-hose", "nitrogen", "gauge"})
    if on.state.running:
        yield t("a hose is disconnected while the machine runs")
    elif not on.state.machine_cleared and not service:
        yield t("a hose is disconnected before the machine was cleared")
    joined = join_up(on.bench, on.state)
    for end in (port, mate):
        yield from _may_open(on.bench, on.state, joined, end)
    del on.state.mates[port], on.state.mates[mate]
    on.state.air_at = on.state.air_at - {port, mate}
    for end in (port, mate):
        opened = on.bench.ports[end]
        kind = on.bench.kind_of_space[opened.space]
        behind_a_valve = opened.valved and on.state.valves[end] == "closed"
        if kind in HOSES:
            # off at both ends, or opened without a shut-off, it counts as full of air; else it keeps what it holds
            other_end = next(item.id for item in on.bench.part_of(end).ports if item.id != end)
            kept = on.state.holds[opened.space] in {"liquid", "vapor"} and behind_a_valve
            behind_a_valve = behind_a_valve and (other_end in on.state.mates or kept)
        if not behind_a_valve and (kind in HOSES or kind in FITTINGS or kind == "manifold"):
            on.state.holds[opened.space] = "air"


def _may_open(bench: Bench, state: State, joined: Joined, end: str) -> Iterator[str]:
    """Whether a joint may be opened on the side of port `end`."""
    port = bench.ports[end]
    kind, held = bench.kind_of_space[port.space], state.holds[port.space]
    closed = port.valved and state.valves[end] == "closed"
    name = bench.part_of(end).name
    if port.closes_itself:
        mate = state.mates[end]
        if not bench.ports[mate].valved or state.valves[mate] != "closed":
            yield t("{port} is disconnected with the hose's shut-off open", port=port.name)
    elif kind in VESSELS or kind in {"machine", "nitrogen"}:
        if not closed:
            yield t("{port} is disconnected with its valve open", port=port.name)
    elif held == "liquid":
        yield t("{part} is disconnected full of liquid", part=name)
    elif held == "vapor" and not closed and "raised" not in state.done:
        # a coupling's worth behind closed valves is what low-loss fittings lose; a hose's worth is not
        alone = all(bench.kind_of_space[s] in FITTINGS for s in joined.with_space(port.space) if s != AIR)
        if not (kind in FITTINGS and alone):
            yield t("{part} is disconnected with refrigerant in it and no shut-off closed", part=name)


POSITIONS: dict[str, ValveState] = {"open": "open", "closed": "closed", "cracked": "cracked"}


def move(on: On) -> Iterator[str]:
    """A valve is set; a step that changes nothing is a lie on paper, and cracking begins from closed."""
    valve, position = on.effect.what, POSITIONS[on.effect.to]
    if on.state.valves[valve] == position:
        yield t("{valve} stands so already: the step changes nothing", valve=on.bench.valve_name(valve))
    if position == "cracked" and on.state.valves[valve] != "closed":
        yield t("{valve} is to be cracked and stands open", valve=on.bench.valve_name(valve))
    on.state.valves[valve] = position
    if position != "closed" and valve in on.rules.isolators:
        missing = sorted(on.rules.before_connect - on.state.done)
        if missing:
            yield t("opened before it was done: {duty}", duty=", ".join(missing))
        if valve not in on.state.mates:
            yield t("{valve} is opened with nothing connected to it", valve=on.bench.valve_name(valve))
        if valve in on.rules.core_tools and f"core-out:{valve}" not in on.state.done:
            yield t("{valve} is opened and the core behind it is still in", valve=on.bench.valve_name(valve))


def ensure(on: On) -> Iterator[str]:
    """A move that is skipped where the valve stands so already; cracked counts as open."""
    now = on.state.valves[on.effect.what]
    if (now == "closed") != (on.effect.to == "closed"):
        yield from move(on)


def confirm(on: On) -> Iterator[str]:
    """A valve is looked at and must stand closed."""
    if on.state.valves[on.effect.what] != "closed":
        yield t("{valve} is to be confirmed closed and stands open", valve=on.bench.valve_name(on.effect.what))


def core(on: On) -> Iterator[str]:
    """A core is taken out, or put back, through the tool with its ball valve closed."""
    valve = on.effect.what
    if on.state.valves[valve] != "closed":
        yield t("the core is worked on with {valve} open", valve=on.bench.valve_name(valve))
    out = f"core-out:{valve}"
    if (out in on.state.done) == (on.effect.to == "out"):
        yield t("the core stands so already: the step changes nothing")
    if on.effect.to == "out":
        on.state.done = on.state.done | {out, f"core-was-out:{valve}"}
        return
    if valve in on.state.mates:
        yield t("the core goes back with a hose still on {valve}", valve=on.bench.valve_name(valve))
    on.state.done = on.state.done - {out}
