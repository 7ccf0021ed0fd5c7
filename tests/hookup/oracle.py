"""Hazards of a state, found by another route: a general graph library instead of the walk's own grouping.

Used to say which mutants change a hazard, and to check the walk's reachability. It reads the same valves, joints and
contents; it shares no code with the walk's checks.
"""

import networkx as nx

from packet.hookup.parts import Bench
from packet.hookup.state import State

ROOM = "air"


def flow_graph(bench: Bench, state: State, *, through_vessels: bool) -> "nx.Graph[str]":
    """Spaces as nodes, an edge where gas can pass."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(bench.kind_of_space)
    graph.add_node(ROOM)
    for part in bench.parts.values():
        for port in part.ports:
            if port.valved and state.valves[port.id] == "closed":
                continue
            mate = state.mates.get(port.id)
            if mate is None:
                if not port.closes_itself:
                    graph.add_edge(port.space, ROOM)
                continue
            far = bench.ports[mate]
            if not far.valved or state.valves[mate] != "closed":
                graph.add_edge(port.space, far.space)
        if through_vessels:
            graph.add_edges_from(part.links)
    if state.mode == "off":
        graph.add_edge("machine.inside-suction", "machine.inside-discharge")
    if "pump" in bench.parts and not state.pump_on:
        graph.add_edge("pump", ROOM)
    return graph


def hazards(bench: Bench, state: State) -> frozenset[str]:
    """What is dangerous about a state, named exceptions or not."""
    kinds = bench.kind_of_space
    direct = flow_graph(bench, state, through_vessels=False)
    through = flow_graph(bench, state, through_vessels=True)
    vessels = [space for space, kind in kinds.items() if kind in {"appliance", "cylinder", "receiver"}]
    cylinders = [space for space, kind in kinds.items() if kind == "cylinder"]
    found = set()
    running = state.mode != "off"
    if running and not any(nx.has_path(through, "machine.inside-discharge", space) for space in cylinders):
        found.add("dead-headed")
    outlets = [*vessels, "machine.inside-suction"] if running else vessels
    for space, content in state.holds.items():
        if content == "liquid" and not any(nx.has_path(through, space, outlet) for outlet in outlets):
            found.add("trapped liquid")
        gas = content in {"vapor", "liquid"} or (
            content == "store" and not (state.at_zero and kinds[space] == "appliance")
        )
        if gas and nx.has_path(direct, space, ROOM):
            found.add("open to the room")
        if gas and state.pump_on and nx.has_path(direct, space, "pump"):
            found.add("vacuum pump on gas")
        if content == "air" and running and kinds[space] != "pump":
            for side in ("machine.inside-suction", "machine.inside-discharge"):
                if nx.has_path(direct, space, side):
                    found.add("air into the machine")
        blown = content in {"air", "nitrogen"} and not (space == "pump" and state.pump_on)
        if blown and any(nx.has_path(direct, space, cylinder) for cylinder in cylinders):
            found.add("air into a cylinder")
    if not running and any(nx.has_path(through, "appliance.vapor-side", space) for space in cylinders):
        found.add("way back to the appliance")
    inlet = state.valves["machine.suction"]
    may_be_wet = state.liquid_left and inlet != "closed" and not (state.mode == "liquid" and inlet == "cracked")
    if running and may_be_wet and nx.has_path(direct, "appliance.liquid-side", "machine.inside-suction"):
        found.add("liquid into the machine")
    opened = {
        part.id
        for part in bench.parts.values()
        if part.kind == "cylinder" and any(port.valved and state.valves[port.id] != "closed" for port in part.ports)
    }
    if len(opened) > 1:
        found.add("two cylinders")
    return frozenset(found)
