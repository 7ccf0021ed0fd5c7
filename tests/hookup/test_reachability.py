"""What the walk takes to be open to what equals the paths that a general graph library finds."""

import networkx as nx
import pytest

from packet.hookup.state import AIR, join_up
from tests.hookup.mutants import good_courses
from tests.hookup.oracle import flow_graph
from tests.hookup.variants import VARIANTS


@pytest.mark.parametrize("name", VARIANTS)
def test_reachability_equals_graph_paths(name: str) -> None:
    good = good_courses(VARIANTS[name])[0]
    bench = good.rig.bench
    seen = set()
    for state in good.states:
        key = (tuple(state.valves.values()), tuple(sorted(state.mates.items())), state.mode == "off", state.pump_on)
        if key in seen:
            continue
        seen.add(key)
        joined = join_up(bench, state)
        for through in (False, True):
            graph = flow_graph(bench, state, through_vessels=through)
            walked = joined.with_space_through if through else joined.with_space
            for space in (*bench.kind_of_space, AIR):
                assert set(walked(space)) == nx.node_connected_component(graph, space)
    assert len(seen) > 10


def test_a_running_machine_has_its_way_out_by_graph_paths_too() -> None:
    """Reference for the dead-head rule on every running state: a path from the discharge to a cylinder."""
    for name in ("vapor", "push-pull", "liquid-three-cylinders"):
        good = good_courses(VARIANTS[name])[0]
        bench = good.rig.bench
        running = 0
        for step, state in zip(good.steps, good.states[1:], strict=True):
            if state.mode in {"off", "clear"} or step.act.names:
                continue
            running += 1
            graph = flow_graph(bench, state, through_vessels=True)
            cylinders = [space for space, kind in bench.kind_of_space.items() if kind == "cylinder"]
            assert any(nx.has_path(graph, "machine.inside-discharge", space) for space in cylinders)
        assert running > 5
