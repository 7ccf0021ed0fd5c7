"""How far the recovery is: filled, dry, drained, drawn to the target, watched for a rise."""

from collections.abc import Iterator

from packet.hookup.effects.gauges import APPLIANCE_SPACES, shows
from packet.hookup.effects.on import INLET, On
from packet.hookup.parts import Bench
from packet.hookup.settle import APPLIANCE_LIQUID, APPLIANCE_VAPOR, clear_of
from packet.hookup.state import AIR, DISCHARGE_SIDE, SUCTION_SIDE, State, join_up
from packet.words import t


def fill(on: On) -> Iterator[str]:
    """A cylinder has reached a gross weight: never above its stop."""
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
    if on.state.mode == "push-pull":
        for duty in ("log:push-pull", "places"):
            if duty not in on.state.done:
                yield t("{cylinder} is watched before it was done: {duty}", cylinder=cylinder, duty=duty)
        if on.state.valves[on.rules.liquid_valve] == "cracked":
            yield t("{cylinder} is watched and the liquid side is only cracked", cylinder=cylinder)
    on.state.gross_lb[cylinder] = on.effect.amount
    on.state.done = on.state.done | {f"filled:{cylinder}"}


def _watched(on: On) -> Iterator[str]:
    """Whoever waits for the end of a stage has been told to log, and at which weight to swap cylinders."""
    isolated = ("leak-isolated",) if on.state.mode == "vapor" else ()
    for duty in (f"log:{on.state.mode}", f"watch:{on.state.mode}", *isolated):
        if duty in on.rules.before_end and duty not in on.state.done:
            yield t("the end of the stage is waited for before it was said: {duty}", duty=duty)


def dry(on: On) -> Iterator[str]:
    """No more liquid comes from the appliance."""
    if on.state.mode != "vapor":
        yield from _watched(on)
    if not on.state.running:
        yield t("the liquid cannot run out while the machine is off")
    elif not _draws_liquid_or_gas(on.bench, on.state):
        yield t("the liquid is waited for and the appliance is closed off")
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


def drained(on: On) -> Iterator[str]:
    """A hose full of liquid has run empty into the cylinder it is open to: push-pull's hose A, or D on a dip tube."""
    if on.state.mode == "push-pull" and on.state.valves[on.rules.liquid_valve] != "closed":
        yield t("the liquid hose cannot drain while the appliance's liquid valve is open")
        return
    for cylinder_space in [space for space, kind in on.bench.kind_of_space.items() if kind == "cylinder"]:
        for space in join_up(on.bench, on.state).with_space(cylinder_space):
            if on.state.holds.get(space) == "liquid":
                on.state.holds[space] = "vapor"
    on.state.done = on.state.done | {"drained"}


def drawn(on: On) -> Iterator[str]:
    """The appliance is at its target, by every port that is used."""
    yield from _watched(on)
    if on.rules.compressor_draws and not on.state.compressor_on:
        yield t("the target is waited for and the appliance's compressor does not run")
    joined = join_up(on.bench, on.state)
    if on.state.mode != "vapor" or on.state.valves[INLET] != "open":
        yield t("the target is waited for and the machine does not draw at full")
    if on.state.liquid_left and on.rules.liquid_valve:
        yield t("the target is waited for and liquid is still in the appliance")
    for valve in on.rules.isolators:
        if on.state.valves[valve] == "cracked":
            yield t("the target is waited for and {valve} is only cracked", valve=on.bench.valve_name(valve))
    for port, space in on.rules.ports_used.items():
        if not joined.open_directly(space, SUCTION_SIDE):
            yield t("the target is waited for and {port} is not drawn", port=on.bench.port_name(port))
    on.state.drawn = True
    clear_of(on.bench, on.state, joined.with_space(SUCTION_SIDE), "drawn")


def rise(on: On) -> Iterator[str]:
    """The pressure is watched: machine off, appliance cut off, a gauge on the appliance's side."""
    joined = join_up(on.bench, on.state)
    if not on.state.drawn:
        yield t("a rise is looked for before the target was reached")
    if on.state.running:
        yield t("a rise is looked for and the machine still runs")
    if joined.open_through(APPLIANCE_VAPOR, SUCTION_SIDE):
        yield t("a rise is looked for with the machine's suction open to the appliance")
    if any(on.state.valves[side] != "closed" for side in ("manifold.low", "manifold.high")):
        yield t("a rise is looked for with the manifold open: its leaks would be taken for the appliance's")
    if not any(shows(on.bench, on.state, joined, gauge, APPLIANCE_SPACES) for gauge in on.rules.gauges):
        yield t("a rise is looked for and no gauge reads the appliance")
    on.state.done = on.state.done | {"rise"}
