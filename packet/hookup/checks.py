"""What must be true after every act: one rule a function.

Each yields sentences, one a breach. Rules are common practice, no published source, unless one stands beside it.
"""

from collections.abc import Iterator
from typing import NamedTuple

from packet.hookup.acts import Act
from packet.hookup.parts import Bench, cylinder_part
from packet.hookup.rules import Rules
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR, INSIDE_MACHINE, VESSELS, source_in
from packet.hookup.state import AIR, DISCHARGE_SIDE, SUCTION_SIDE, Joined, State
from packet.words import t

INLET = "machine.suction"


class Scene(NamedTuple):
    """The state after a step, with what is open to what."""

    bench: Bench
    state: State
    joined: Joined
    act: Act
    rules: Rules


def machine_has_a_way_out(scene: Scene) -> Iterator[str]:
    """Running machine: its discharge is open to a cylinder; in push-pull through the appliance to the cylinder."""
    state, joined = scene.state, scene.joined
    if not state.running:
        return
    if open_cylinders(scene, DISCHARGE_SIDE):
        return
    into_appliance = joined.open_directly(DISCHARGE_SIDE, APPLIANCE_VAPOR)
    if into_appliance and (state.mode == "clear" or "into-appliance" in scene.act.names):
        return
    yield t("the machine runs and its discharge has no open path to a cylinder")


def machine_draws_from_something(scene: Scene) -> Iterator[str]:
    """Inlet open ⇒ there is something to draw from: the appliance, in push-pull the top of the same cylinder."""
    state, joined = scene.state, scene.joined
    if not state.running or state.valves[INLET] == "closed" or state.mode == "clear":
        return
    drawn_from = joined.with_space(SUCTION_SIDE)
    if state.mode == "push-pull":
        tops = {scene.bench.part_of_space[space] for space in drawn_from if space.endswith(".top")}
        into = {scene.bench.part_of_space[space] for space in open_cylinders(scene, DISCHARGE_SIDE)}
        if any(state.valves[valve] == "cracked" for valve in state.valves if valve.startswith("cylinder:")):
            yield t("in push-pull the machine draws through a cracked valve")
        if "into-appliance" not in scene.act.names and (not tops or tops != into):
            yield t("in push-pull the suction and the liquid line are not on the same cylinder")
        return
    if APPLIANCE_VAPOR not in drawn_from and APPLIANCE_LIQUID not in drawn_from:
        yield t("the machine's inlet is open and there is nothing it may draw from")


def no_liquid_into_machine(scene: Scene) -> Iterator[str]:
    """Liquid reaches the suction only in liquid mode with a cracked inlet; in push-pull, and with it off, never."""
    state, joined = scene.state, scene.joined
    if state.valves[INLET] == "closed" or (not state.running and "equalize" in scene.act.names):
        return
    if state.mode == "liquid" and state.valves[INLET] == "open":
        yield t("the machine is set for liquid and its inlet stands open, not cracked")
        return
    drawn_from = joined.with_space(SUCTION_SIDE)
    wet = source_in(scene.bench, state, [s for s in drawn_from if s != AIR]) == "liquid" or any(
        state.holds.get(space) == "liquid" for space in drawn_from if space not in INSIDE_MACHINE
    )
    if not state.running:
        # off, it passes what is behind its discharge too: only its own suction hose counts
        wet = APPLIANCE_LIQUID in drawn_from and state.liquid_left
    if wet and not (state.mode == "liquid" and state.valves[INLET] == "cracked"):
        yield t("liquid can reach the machine's suction")


def no_air_into_machine(scene: Scene) -> Iterator[str]:
    """No air is drawn in or pushed on: not upstream of the suction, not on the way to a cylinder."""
    state, joined = scene.state, scene.joined
    if not state.running:
        return
    for side in (SUCTION_SIDE, DISCHARGE_SIDE):
        found = air_in(scene, joined.with_space(side))
        if found:
            yield t("the machine runs with air in {part}", part=found)
            return


def no_trapped_liquid(scene: Scene) -> Iterator[str]:
    """A stretch that holds liquid is open to a vessel, or to the suction of the running machine."""
    state, joined = scene.state, scene.joined
    for space, content in state.holds.items():
        if content != "liquid" or space in INSIDE_MACHINE:
            continue
        open_to = joined.with_space_through(space)
        if any(other != AIR and scene.bench.kind_of_space[other] in VESSELS for other in open_to):
            continue
        if state.running and SUCTION_SIDE in open_to:
            continue
        yield t("liquid is closed in at both ends of {part}", part=_part_name(scene, space))
        return


def no_path_to_the_room(scene: Scene) -> Iterator[str]:
    """No gas is open to the room, and the room is open to no vacuum (a vacuum pump's own hose excepted)."""
    # raised to the air's pressure nothing is pushed out
    if scene.state.vented and "bleeds" not in scene.act.names and "raised" not in scene.state.done:
        yield t("refrigerant is let out of {part}", part=scene.bench.parts[scene.state.vented].name)
    for space in scene.joined.with_space(AIR):
        if space == AIR:
            continue
        kind = scene.bench.kind_of_space[space]
        content = scene.state.holds[space]
        if kind in VESSELS and not (scene.state.at_zero and kind == "appliance"):
            yield t("{part} is open to the air", part=_part_name(scene, space))
        elif content in {"vapor", "liquid"}:
            yield t("{part} holds gas and is open to the air", part=_part_name(scene, space))
        elif content == "vacuum" and kind not in {"pump-hose", "machine", "gauge", "header", "appliance"}:
            yield t("{part} is under vacuum and open to the air", part=_part_name(scene, space))


def nothing_unpurged_into_a_cylinder(scene: Scene) -> Iterator[str]:
    """A cylinder is opened only to spaces without air, after it was weighed; nothing flows before its stop weight was
    said aloud."""
    bench, state, joined = scene.bench, scene.state, scene.joined
    for name in dict.fromkeys(name for valve, name in bench.cylinder_valves if state.valves[valve] != "closed"):
        part = bench.parts[cylinder_part(name)]
        if part.name not in state.gross_lb:
            yield t("{cylinder} is opened before it was weighed", cylinder=part.name)
        if f"hold:start:{part.name}" not in state.done and _something_flows(scene, part.spaces):
            yield t("{cylinder} is filled before its stop weight was said aloud and initialled", cylinder=part.name)
        for space in part.spaces:
            found = air_in(scene, joined.with_space(space))
            if found:
                yield t("{cylinder} is open to {part}, which was not purged of air", cylinder=part.name, part=found)
                break


def _something_flows(scene: Scene, spaces: tuple[str, ...]) -> bool:
    """Whether the machine runs into these spaces, or the appliance stands open to them."""
    joined = scene.joined
    if scene.state.running and any(joined.open_through(DISCHARGE_SIDE, space) for space in spaces):
        return True
    return any(joined.open_through(APPLIANCE_VAPOR, space) for space in spaces)


def air_in(scene: Scene, spaces: list[str]) -> str:
    """The name of a part or joint among `spaces` that holds air, '' when there is none."""
    bench, state = scene.bench, scene.state
    for space in spaces:
        if space == "pump" and state.pump_on:
            continue  # it draws; what is in it does not come back
        if space == AIR or state.holds[space] in {"air", "nitrogen"}:
            return _part_name(scene, space)
    for port in state.air_at:
        if bench.ports[port].space in spaces and not (bench.ports[port].valved and state.valves[port] == "closed"):
            return t("the joint at {port}", port=bench.port_name(port))
    return ""


def one_receiver_at_a_time(scene: Scene) -> Iterator[str]:
    """No two cylinders are open at once."""
    opened = {name for valve, name in scene.bench.cylinder_valves if scene.state.valves[valve] != "closed"}
    if len(opened) > 1:
        yield t("two cylinders are open at once: {cylinders}", cylinders=", ".join(sorted(opened)))


def no_way_back(scene: Scene) -> Iterator[str]:
    """Machine off ⇒ no open path from a cylinder to the appliance, beyond a step that names it."""
    if scene.state.running or "equalize" in scene.act.names:
        return
    for space in open_cylinders(scene, APPLIANCE_VAPOR):
        yield t(
            "the machine is off and {cylinder} has an open path to the appliance",
            cylinder=_part_name(scene, space),
        )
        return


def vacuum_pump_draws_only_air(scene: Scene) -> Iterator[str]:
    """The vacuum pump is open to nothing that holds gas: it would blow refrigerant into the room."""
    on = pump_is_on(scene.bench, scene.state)
    if scene.state.running and on:
        yield t("the machine runs with the vacuum pump still connected")
    if not scene.state.pump_on:
        return
    if not on:
        yield t("the vacuum pump runs with its hose open to the room")
    if scene.state.running:
        yield t("the vacuum pump runs beside the machine")
    for space in scene.joined.with_space("pump"):
        if space == AIR:
            continue
        held = scene.state.holds[space]
        if held in {"vapor", "liquid"} or (
            scene.bench.kind_of_space[space] in VESSELS and held != "vacuum" and not scene.state.at_zero
        ):
            yield t("the vacuum pump is open to {part}, which holds gas", part=_part_name(scene, space))
            return


def pump_is_on(bench: Bench, state: State) -> bool:
    """Whether the vacuum pump's hose, through its gauge and header, is connected to the hookup."""
    if "micron.out" not in bench.ports:
        return False
    legs = ("header.one", "header.two") if state.mates.get("micron.out") == "header.in" else ("micron.out",)
    return "P1" in state.mates and any(leg in state.mates for leg in legs)


def no_vacuum_on_a_charged_hose(scene: Scene) -> Iterator[str]:
    """A vacuum is filled from a vessel, not from a hose that happens to hold gas, beyond a step that names it."""
    if scene.state.met_vacuum and "charging" not in scene.act.names:
        yield t("a vacuum is opened to a hose that holds gas")


def water_moves(scene: Scene) -> Iterator[str]:
    """Vapor is drawn from a chiller only while its water moves (or is drained): tubes freeze and burst."""
    state = scene.state
    if not (scene.rules.water and state.running) or state.water_on or state.valves[INLET] == "closed":
        return
    if scene.joined.open_directly(SUCTION_SIDE, APPLIANCE_VAPOR):
        yield t("vapor is drawn from the chiller and its water is not known to move")


def receiver_is_closed_off(scene: Scene) -> Iterator[str]:
    """Isolated part: the receiver's valves are closed whenever the machine draws."""
    state, bench = scene.state, scene.bench
    if not (scene.rules.isolated and state.running):
        return
    for port in bench.parts["receiver"].ports:
        if state.valves[port.id] != "closed":
            yield t("{valve} is open and the machine would draw the receiver too", valve=port.valve_name)


def locked_out_or_needed(scene: Scene) -> Iterator[str]:
    """A compressor runs only where the method needs it, and then the power is not locked out."""
    locked = {"lock-out", "compressor-locked"} & scene.state.done
    if scene.state.compressor_on and (locked or not scene.rules.compressor):
        yield t("the compressor runs although the power is locked out")
    if scene.state.water_on and "lock-out" in scene.state.done:
        yield t("the water pumps are needed although the power is locked out")


def open_cylinders(scene: Scene, space: str) -> list[str]:
    """Spaces of cylinders that `space` is open to, through the appliance too."""
    return [other for other in scene.bench.cylinder_spaces if scene.joined.open_through(other, space)]


def _part_name(scene: Scene, space: str) -> str:
    return t("the room") if space == AIR else scene.bench.parts[scene.bench.part_of_space[space]].name


CHECKS = (
    machine_has_a_way_out,
    machine_draws_from_something,
    no_liquid_into_machine,
    no_air_into_machine,
    no_trapped_liquid,
    no_path_to_the_room,
    nothing_unpurged_into_a_cylinder,
    one_receiver_at_a_time,
    no_way_back,
    vacuum_pump_draws_only_air,
    no_vacuum_on_a_charged_hose,
    water_moves,
    receiver_is_closed_off,
    locked_out_or_needed,
)
