"""Getting air out: a push of vapor past a loosened fitting, and the vacuum pump."""

from collections import deque
from collections.abc import Iterator

from packet.hookup.effects.joints import drive_out
from packet.hookup.effects.on import On
from packet.hookup.parts import Bench
from packet.hookup.settle import VESSELS, clear_of, source_in
from packet.hookup.state import AIR, SUCTION_SIDE, State, join_up, joints
from packet.words import t


def purge(on: On) -> Iterator[str]:
    """Vapor is pushed through everything between a vessel and the fitting that is loosened at this port."""
    port = on.effect.what
    mate = on.state.mates.get(port)
    if not on.rules.room_purge:
        yield t("vapor is pushed into the room, which this gas or this room does not allow")
    if mate is None:
        yield t("{port} is not joined", port=on.bench.port_name(port))
        return
    if not (on.bench.ports[mate].valved and on.state.valves[mate] == "shut"):
        yield t("{port} is loosened with {valve} open", port=on.bench.port_name(port), valve=on.bench.port_name(mate))
    if on.state.running:
        yield t("a fitting is loosened while the machine runs")
    start = on.bench.ports[port].space
    if on.bench.ports[port].valved and on.state.valves[port] == "shut":
        yield t("{port} is loosened and nothing can reach it", port=on.bench.port_name(port))
        return
    path = path_to_vessel(on.bench, on.state, start)
    if not path:
        yield t("{port} is loosened and no gas pushes the air out", port=on.bench.port_name(port))
        return
    content = source_in(on.bench, on.state, path)
    if content == "liquid" and SUCTION_SIDE in path:
        yield t("the hoses would be purged with liquid through the machine")
    for space in path:
        if on.bench.kind_of_space[space] not in VESSELS and content is not None:
            on.state.holds[space] = content
    drive_out(on.bench, on.state, path)


def path_to_vessel(bench: Bench, state: State, start: str) -> list[str]:
    """The spaces from `start` to the nearest vessel it is open to, both included; empty when there is none."""
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
    if len(spaces) == 1 or all(on.bench.kind_of_space[s] in {"pump", "pump-hose"} for s in spaces):
        yield t("the vacuum pump is open to nothing")
    clear_of(on.bench, on.state, [space for space in spaces if space != "pump"], "vacuum")
    drive_out(on.bench, on.state, spaces)
