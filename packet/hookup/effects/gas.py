"""Getting air out and nitrogen in: a push of vapor past a loosened fitting, the vacuum pump, the nitrogen bottle."""

from collections import deque
from collections.abc import Iterator

from packet.hookup.effects.joints import drive_out
from packet.hookup.effects.on import On
from packet.hookup.parts import HOSES, Bench
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR, VESSELS, clear_of, source_in
from packet.hookup.state import AIR, State, join_up, joints
from packet.words import t


def purge(on: On) -> Iterator[str]:
    """Vapor is pushed through everything between a vessel (or a hose that kept its vapor) and this loosened fitting.

    Never where the gas or the room forbids it, never from the liquid side, never at a core that its fitting holds open.
    """
    port = on.effect.what
    mate = on.state.mates.get(port)
    if not on.rules.room_purge:
        yield t("vapor is pushed into the room, which this gas or this room does not allow")
    if mate is None:
        yield t("{port} is not connected", port=on.bench.port_name(port))
        return
    if on.bench.ports[mate].closes_itself:
        yield t("{port} is loosened on a live core", port=on.bench.port_name(port))
    if not (on.bench.ports[mate].valved and on.state.valves[mate] == "closed"):
        yield t("{port} is loosened with {valve} open", port=on.bench.port_name(port), valve=on.bench.port_name(mate))
    if on.state.running:
        yield t("a fitting is loosened while the machine runs")
    start = on.bench.ports[port].space
    if on.bench.ports[port].valved and on.state.valves[port] == "closed":
        yield t("{port} is loosened and nothing can reach it", port=on.bench.port_name(port))
        return
    if on.bench.kind_of_space[start] in HOSES and on.state.holds[start] == "vapor":
        drive_out(on.bench, on.state, [start])  # the hose's own vapor is enough for a coupling
        return
    path = path_to_vessel(on.bench, on.state, start)
    if not path:
        yield t("{port} is loosened and no gas pushes the air out", port=on.bench.port_name(port))
        return
    content = source_in(on.bench, on.state, path)
    if path[0] == APPLIANCE_LIQUID or path[0].endswith(".dip-tube"):
        yield t("the hoses would be purged from a liquid port")
    for space in path:
        if on.bench.kind_of_space[space] not in VESSELS and content is not None:
            on.state.holds[space] = content
    drive_out(on.bench, on.state, path)


def path_to_vessel(bench: Bench, state: State, start: str) -> list[str]:
    """The spaces from the nearest vessel to `start`, both included; empty when there is none."""
    beside: dict[str, list[str]] = {}
    for one, other in joints(bench, state):
        beside.setdefault(one, []).append(other)
        beside.setdefault(other, []).append(one)
    came: dict[str, str] = {start: ""}
    waiting = deque([start])
    while waiting:
        here = waiting.popleft()
        if here != AIR and bench.kind_of_space[here] in VESSELS:
            path = [here]
            while came[path[-1]]:
                path.append(came[path[-1]])
            return path
        for there in beside.get(here, []):
            if there not in came and there != AIR:
                came[there] = here
                waiting.append(there)
    return []


def pump(on: On) -> Iterator[str]:
    """The vacuum pump is started or stopped."""
    if on.state.pump_on == (on.effect.to == "on"):
        yield t("the vacuum pump stands so already: the step changes nothing")
    on.state.pump_on = on.effect.to == "on"


def evacuated(on: On) -> Iterator[str]:
    """The pump has drawn everything it is open to: vacuum there, and no air left in its joints."""
    if not on.state.pump_on:
        yield t("a vacuum is waited for and the vacuum pump is off")
        return
    spaces = join_up(on.bench, on.state).with_space("pump")
    if AIR in spaces:
        yield t("the vacuum pump is open to the room")
        return
    if len(spaces) == 1 or all(on.bench.kind_of_space[s] in {"pump", "pump-hose", "gauge", "header"} for s in spaces):
        yield t("the vacuum pump is open to nothing")
    clear_of(on.bench, on.state, [space for space in spaces if space != "pump"], "vacuum")
    drive_out(on.bench, on.state, spaces)


def nitrogen(on: On) -> Iterator[str]:
    """The appliance's vacuum is broken with dry nitrogen, to 0 psig: through hoses that are still on it."""
    spaces = join_up(on.bench, on.state).with_space("nitrogen")
    if not {APPLIANCE_LIQUID, APPLIANCE_VAPOR} & set(spaces):
        yield t("the vacuum is to be broken and the nitrogen does not reach the appliance")
    if not on.state.drawn:
        yield t("nitrogen is let in before the target was reached")
    if on.state.running:
        yield t("nitrogen is let in while the machine runs")
    if any(space != AIR and on.bench.kind_of_space[space] in {"cylinder", "machine"} for space in spaces):
        yield t("nitrogen is open to a cylinder or the machine")
    if AIR in spaces:
        yield t("the vacuum is to be broken and a hose is open to the room")
    clear_of(on.bench, on.state, spaces, "nitrogen")
    drive_out(on.bench, on.state, [space for space in spaces if space != AIR])
    on.state.at_zero = True


def sweep(on: On) -> Iterator[str]:
    """Nitrogen goes through the appliance and out of doors by a hose end that is led there."""
    end = on.effect.what
    joined = join_up(on.bench, on.state)
    if not on.state.at_zero:
        yield t("nitrogen is swept through before the vacuum was broken")
    if end in on.state.mates or (on.bench.ports[end].valved and on.state.valves[end] == "closed"):
        yield t("nitrogen is swept through and {end} is not led outdoors", end=on.bench.port_name(end))
    if not joined.open_through("nitrogen", APPLIANCE_VAPOR) or not joined.open_through(
        on.bench.ports[end].space, APPLIANCE_VAPOR
    ):
        yield t("nitrogen is swept and does not go through the appliance")
    on.state.done = on.state.done | {"swept-again" if {"swept", "evacuated-again"} <= on.state.done else "swept"}
