"""Effects, executed: what each does to the state, and what must hold for it to be done at all."""

from collections import deque
from collections.abc import Callable, Iterator
from typing import NamedTuple

from packet.hookup.acts import Effect
from packet.hookup.holds import claims
from packet.hookup.parts import FITTINGS, HOSES, Bench, cylinder_part
from packet.hookup.rules import Rules
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR, INSIDE_MACHINE, VESSELS, clear_of, source_in
from packet.hookup.state import AIR, CHARGED, DISCHARGE_SIDE, SUCTION_SIDE, Joined, State, ValveState, join_up, joints
from packet.words import t

INLET = "machine.suction"
OUTLET = "machine.discharge"
# after these, other spaces may be open to one another
TOUCHES = frozenset({"join", "part", "move", "ensure", "mode", "pump"})
POSITIONS: dict[str, ValveState] = {"open": "open", "shut": "shut", "cracked": "cracked"}


class On(NamedTuple):
    """What an effect is executed on."""

    bench: Bench
    state: State
    effect: Effect
    rules: Rules


def apply(bench: Bench, state: State, effect: Effect, rules: Rules) -> list[str]:
    """Execute one effect on `state`; the sentences of what it breaches. Raises KeyError for what is not on the bench."""
    breaches = list(_DO[effect.op](On(bench, state, effect, rules)))
    if effect.op in TOUCHES:
        state.joined = None
    return breaches


def _join(on: On) -> Iterator[str]:
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


def drive_out(bench: Bench, state: State, spaces: list[str]) -> None:
    """Air is gone from every joint that these spaces are open to."""
    reached = {
        port
        for port in state.air_at
        if bench.ports[port].space in spaces and not (bench.ports[port].valved and state.valves[port] == "shut")
    }
    state.air_at = state.air_at - reached - {state.mates[port] for port in reached}


def _part(on: On) -> Iterator[str]:
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


def _move(on: On) -> Iterator[str]:
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


def _ensure(on: On) -> Iterator[str]:
    """A move that is skipped where the valve stands so already; cracked counts as open."""
    now = on.state.valves[on.effect.what]
    if (now == "shut") != (on.effect.to == "shut"):
        yield from _move(on)


def _confirm(on: On) -> Iterator[str]:
    if on.state.valves[on.effect.what] != "shut":
        yield t("{valve} is to be confirmed shut and stands open", valve=on.bench.valve_name(on.effect.what))


def _mode(on: On) -> Iterator[str]:
    to = on.effect.to
    if to == on.state.mode:
        yield t("the machine stands so already: the step changes nothing")
    if to != "off":
        missing = sorted(on.rules.before_open - on.state.done)
        if missing:
            yield t("the machine is started before it was done: {duty}", duty=", ".join(missing))
        if on.state.valves[OUTLET] != "open":
            yield t("the machine is started against its shut discharge")
        if on.state.mode == "off" and to != "clear":
            if on.state.valves[INLET] != "shut":
                yield t("the machine is started with its inlet open")
            if not any(f"start:{name}" in on.state.in_force for name in _open_cylinders(on)):
                yield t("the machine is started before valves were checked and initialled")
        if on.rules.drier and "drier" not in on.bench.parts:
            yield t("a burnout is drawn without a filter-drier")
        if "drier" not in on.bench.parts and "screen" not in on.state.done:
            yield t("the machine is started and its screen was not looked at")
        if on.rules.drier and "drier.in" not in on.state.mates:
            yield t("the filter-drier is not in line")
    elif on.state.mode == "push-pull" and on.state.valves["appliance.liquid"] != "shut":
        yield t("the machine is stopped and liquid still flows: stopping it does not stop the liquid")
    elif on.state.mode == "push-pull" and "drained" not in on.state.done:
        yield t("the machine is stopped before the liquid hose has drained")
    elif on.state.mode != "push-pull" and on.state.valves[INLET] != "shut":
        yield t("the machine is stopped with its inlet open")
    elif on.state.mode == "clear" and "clearing-done" not in on.state.done:
        yield t("the machine is stopped before it reached its cleared reading")
    # starting ends what was said of shut valves, stopping what was said before the start
    ended = ("start",) if to == "off" else ("full", "cleared", "shut", "stopped")
    on.state.in_force = frozenset(name for name in on.state.in_force if name.partition(":")[0] not in ended)
    on.state.mode = to
    on.state.done = on.state.done - {"clearing-done", "drained"}


def _open_cylinders(on: On) -> set[str]:
    return {
        on.bench.part_of(valve).name
        for valve, position in on.state.valves.items()
        if position != "shut" and on.bench.part_of(valve).kind == "cylinder"
    }


def _purge(on: On) -> Iterator[str]:
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


def _pump(on: On) -> Iterator[str]:
    if on.state.pump_on == (on.effect.to == "on"):
        yield t("the vacuum pump stands so already: the step changes nothing")
    on.state.pump_on = on.effect.to == "on"


def _evacuated(on: On) -> Iterator[str]:
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


def _fill(on: On) -> Iterator[str]:
    cylinder = on.effect.what
    joined = join_up(on.bench, on.state)
    into = {
        on.bench.parts[on.bench.part_of_space[space]].name
        for space in joined.with_space_through(DISCHARGE_SIDE)
        if space != AIR and on.bench.kind_of_space[space] == "cylinder"
    }
    if not on.state.running or into != {cylinder}:
        yield t("{cylinder} is watched and nothing flows into it", cylinder=cylinder)
    if on.effect.amount > on.rules.stop_gross_lb[cylinder] + 1e-9:
        yield t("{cylinder} would be filled above its stop weight", cylinder=cylinder)
    if on.state.mode == "push-pull" and f"log:push-pull:{cylinder}" not in on.state.done:
        yield t("{cylinder} is watched before it was said to log", cylinder=cylinder)
    on.state.gross_lb[cylinder] = on.effect.amount
    on.state.done = on.state.done | {f"filled:{cylinder}"}


def _watched(on: On) -> Iterator[str]:
    """Whoever waits for the end of a stage has been told to log, and at which weight to change over."""
    isolated = ("leak-isolated",) if on.state.mode == "vapor" else ()
    for duty in (f"log:{on.state.mode}", f"watch:{on.state.mode}", *isolated):
        if duty in on.rules.before_end and duty not in on.state.done:
            yield t("the end of the stage is waited for before it was said: {duty}", duty=duty)


def _dry(on: On) -> Iterator[str]:
    if on.state.mode != "vapor":
        yield from _watched(on)
    if not on.state.running:
        yield t("the liquid cannot run out while the machine is off")
    elif not _draws_liquid_or_gas(on.bench, on.state):
        yield t("the liquid is waited for and the appliance is shut off")
    on.state.liquid_left = False
    spaces = set(join_up(on.bench, on.state).with_space(SUCTION_SIDE)) | set(
        join_up(on.bench, on.state).with_space(APPLIANCE_LIQUID)
    )
    for space in spaces:
        if on.state.holds.get(space) == "liquid":
            on.state.holds[space] = "vapor"


def _draws_liquid_or_gas(bench: Bench, state: State) -> bool:
    joined = join_up(bench, state)
    if state.mode == "push-pull":
        return bool(
            [s for s in joined.with_space(APPLIANCE_LIQUID) if s != AIR and bench.kind_of_space[s] == "cylinder"]
        )
    return joined.open_directly(SUCTION_SIDE, APPLIANCE_LIQUID) or joined.open_directly(SUCTION_SIDE, APPLIANCE_VAPOR)


def _drained(on: On) -> Iterator[str]:
    if on.state.valves["appliance.liquid"] != "shut":
        yield t("the liquid hose cannot drain while the appliance's liquid valve is open")
        return
    for cylinder_space in [space for space, kind in on.bench.kind_of_space.items() if kind == "cylinder"]:
        for space in join_up(on.bench, on.state).with_space(cylinder_space):
            if on.state.holds.get(space) == "liquid":
                on.state.holds[space] = "vapor"
    on.state.done = on.state.done | {"drained"}


def _emptied(on: On) -> Iterator[str]:
    if not on.state.running or on.state.valves[INLET] == "shut":
        yield t("the hose cannot empty: the machine does not draw")
        return
    spaces = join_up(on.bench, on.state).with_space(SUCTION_SIDE)
    if APPLIANCE_LIQUID in spaces and on.state.liquid_left:
        yield t("the hose cannot empty while liquid still comes")
        return
    left = "vapor" if APPLIANCE_VAPOR in spaces or APPLIANCE_LIQUID in spaces else "drawn"
    for space in spaces:
        if space != AIR and on.state.holds[space] in CHARGED and on.bench.kind_of_space[space] not in VESSELS:
            on.state.holds[space] = "vapor" if left == "vapor" else "drawn"


def _drawn(on: On) -> Iterator[str]:
    yield from _watched(on)
    if on.rules.compressor_draws and not on.state.compressor_on:
        yield t("the target is waited for and the appliance's compressor does not run")
    joined = join_up(on.bench, on.state)
    if on.state.mode != "vapor" or on.state.valves[INLET] != "open":
        yield t("the target is waited for and the machine does not draw at full")
    if on.state.liquid_left and "appliance.liquid" in on.rules.ports_used:
        yield t("the target is waited for and liquid is still in the appliance")
    for port in on.rules.ports_used:
        mate = on.state.mates.get(port)
        if (
            mate is None
            or on.state.valves[port] == "shut"
            or not joined.open_directly(on.bench.ports[mate].space, SUCTION_SIDE)
        ):
            yield t("the target is waited for and {port} is not drawn", port=on.bench.port_name(port))
    on.state.drawn = True
    clear_of(on.bench, on.state, joined.with_space(SUCTION_SIDE), "drawn")


def _rise(on: On) -> Iterator[str]:
    joined = join_up(on.bench, on.state)
    if not on.state.drawn:
        yield t("a rise is looked for before the target was reached")
    if on.state.running:
        yield t("a rise is looked for and the machine still runs")
    if joined.open_through(APPLIANCE_VAPOR, SUCTION_SIDE):
        yield t("a rise is looked for with the machine's suction open to the appliance")
    gauges = [
        port
        for port in on.rules.ports_used
        if port in on.state.mates and on.state.valves[port] != "shut" and _gauge_reads(on.bench, on.state, joined, port)
    ]
    if not gauges:
        yield t("a rise is looked for and no gauge reads the appliance")
    on.state.done = on.state.done | {"rise"}


def _gauge_reads(bench: Bench, state: State, joined: Joined, port: str) -> bool:
    """The manifold's gauge sits on the hose's side of the valve: it reads what that hose is open to."""
    for side in ("manifold.high", "manifold.low"):
        hose_end = state.mates.get(side)
        if hose_end is None or (bench.ports[hose_end].valved and state.valves[hose_end] == "shut"):
            continue
        if joined.open_directly(bench.ports[hose_end].space, bench.ports[port].space):
            return True
    return False


def _cleared(on: On) -> Iterator[str]:
    joined = join_up(on.bench, on.state)
    if on.state.mode != "clear":
        yield t("a cleared reading is waited for and the machine is not set to clear")
    behind = joined.with_space(SUCTION_SIDE)
    if any(s != AIR and on.bench.kind_of_space[s] in VESSELS for s in behind):
        yield t("the machine cannot clear while its suction is open to a vessel")
    clear_of(on.bench, on.state, [s for s in behind if s not in INSIDE_MACHINE], "drawn")
    for space in joined.with_space(DISCHARGE_SIDE):
        if on.state.holds.get(space) == "liquid":
            on.state.holds[space] = "vapor"
    on.state.machine_cleared = True
    on.state.done = on.state.done | {"clearing-done"}


def _weigh_before(on: On) -> Iterator[str]:
    cylinder = on.bench.parts[cylinder_part(on.effect.what)]
    if any(port.id in on.state.mates for port in cylinder.ports):
        yield t("{cylinder} is weighed bare with a hose on it", cylinder=cylinder.name)
    if "scale-check" not in on.state.done:
        yield t("{cylinder} is weighed before the scale was checked", cylinder=cylinder.name)
    on.state.gross_lb[cylinder.name] = on.effect.amount


def _weigh_after(on: On) -> Iterator[str]:
    cylinder = on.bench.parts[cylinder_part(on.effect.what)]
    if any(port.id in on.state.mates for port in cylinder.ports):
        yield t("{cylinder} is weighed bare with a hose on it", cylinder=cylinder.name)
    on.state.done = on.state.done | {f"weigh-after:{cylinder.name}"}


def _water(on: On) -> Iterator[str]:
    on.state.water_on = on.effect.to == "on"
    on.state.done = on.state.done | {"water"}
    return iter(())


def _compressor(on: On) -> Iterator[str]:
    if on.state.compressor_on == (on.effect.to == "on"):
        yield t("the compressor stands so already: the step changes nothing")
    on.state.compressor_on = on.effect.to == "on"
    on.state.done = on.state.done | {"compressor-ran"}


def _did(on: On) -> Iterator[str]:
    on.state.done = on.state.done | {on.effect.what}
    return iter(())


def _hold(on: On) -> Iterator[str]:
    yield from claims(on.bench, on.state, on.rules, on.effect.what)
    on.state.done = on.state.done | {f"hold:{on.effect.what}"}
    on.state.in_force = on.state.in_force | {on.effect.what}


_Do = Callable[[On], Iterator[str]]
_DO: dict[str, _Do] = {
    "join": _join,
    "part": _part,
    "move": _move,
    "ensure": _ensure,
    "confirm": _confirm,
    "mode": _mode,
    "purge": _purge,
    "pump": _pump,
    "evacuated": _evacuated,
    "fill": _fill,
    "dry": _dry,
    "drained": _drained,
    "emptied": _emptied,
    "drawn": _drawn,
    "rise": _rise,
    "cleared": _cleared,
    "weigh-before": _weigh_before,
    "weigh-after": _weigh_after,
    "water": _water,
    "compressor": _compressor,
    "did": _did,
    "hold": _hold,
}
