"""Gauges: where each sits and what it shows. A gauge is read only where one is in the hookup.

The manifold's gauges sit on the hoses' side of its valves; the machine's on its inlet and its discharge; micron and
absolute gauge are parts of their own, connected in line. The sight glass is read like a gauge.
"""

from collections.abc import Iterator

from packet.hookup.effects.on import On
from packet.hookup.parts import Bench
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR
from packet.hookup.state import DISCHARGE_SIDE, SUCTION_SIDE, Joined, State, join_up
from packet.words import t

LOW, HIGH = "manifold.low", "manifold.high"
SUCTION, DISCHARGE = "machine.suction", "machine.discharge"
MICRON, ABSOLUTE, GLASS = "micron", "absolute", "glass"
APPLIANCE_SPACES = (APPLIANCE_VAPOR, APPLIANCE_LIQUID)


def space_of(bench: Bench, state: State, gauge: str) -> str:
    """The space whose pressure a gauge shows; '' where it is not in the hookup as it stands."""
    if gauge == SUCTION:
        return SUCTION_SIDE
    if gauge == DISCHARGE:
        return DISCHARGE_SIDE
    if gauge in {LOW, HIGH}:
        end = state.mates.get(gauge)
        if end is None or (bench.ports[end].valved and state.valves[end] == "closed"):
            return ""
        return bench.ports[end].space
    if gauge not in bench.parts:
        return ""
    return gauge if any(port.id in state.mates for port in bench.parts[gauge].ports) else ""


def shows(bench: Bench, state: State, joined: Joined, gauge: str, spaces: tuple[str, ...]) -> bool:
    """Whether a gauge is in the hookup and open to one of these spaces."""
    at = space_of(bench, state, gauge)
    return bool(at) and any(space in joined.direct and joined.open_directly(at, space) for space in spaces)


def read(on: On) -> Iterator[str]:
    """A gauge is read: it is there, and open to what it is read for."""
    gauge, wanted = on.effect.what, on.effect.to
    spaces = APPLIANCE_SPACES if wanted == "appliance" else (wanted,)
    if not space_of(on.bench, on.state, gauge):
        yield t("a gauge is read that is not in the hookup: {gauge}", gauge=gauge)
    elif not shows(on.bench, on.state, join_up(on.bench, on.state), gauge, spaces):
        yield t("{gauge} is read and is not open to what it is read for", gauge=gauge)
    on.state.done = on.state.done | {f"read:{gauge}:{wanted}"}
