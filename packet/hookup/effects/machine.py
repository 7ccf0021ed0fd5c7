"""The machine: setting it, and what it clears."""

from collections.abc import Iterator

from packet.hookup.effects.on import INLET, On
from packet.hookup.settle import INSIDE_MACHINE, VESSELS, clear_of
from packet.hookup.state import AIR, DISCHARGE_SIDE, SUCTION_SIDE, join_up
from packet.words import t

OUTLET = "machine.discharge"


def mode(on: On) -> Iterator[str]:
    """The machine is set. Most of what must never happen happens here."""
    to = on.effect.to
    if to == on.state.mode:
        yield t("the machine stands so already: the step changes nothing")
    if to != "off":
        missing = sorted(on.rules.before_start - on.state.done)
        if missing:
            yield t("the machine is started before it was done: {duty}", duty=", ".join(missing))
        if on.state.valves[OUTLET] != "open":
            yield t("the machine is started against its closed discharge")
        if on.state.mode == "off" and to != "clear":
            if on.state.valves[INLET] != "closed":
                yield t("the machine is started with its inlet open")
            if not any(f"start:{name}" in on.state.in_force for name in _open_cylinders(on)):
                yield t("the machine is started before the stop weight was said and valves were checked and initialled")
        if on.rules.drier and "drier" not in on.bench.parts:
            yield t("a burnout is drawn without a filter-drier")
        if "drier" not in on.bench.parts and "screen" not in on.state.done:
            yield t("the machine is started and its screen was not looked at")
        if on.rules.drier and "drier.in" not in on.state.mates:
            yield t("the filter-drier is not in line")
    elif on.state.mode == "push-pull" and on.state.valves[on.rules.liquid_valve] != "closed":
        yield t("the machine is stopped and liquid still flows: stopping it does not stop the liquid")
    elif on.state.mode == "push-pull" and "drained" not in on.state.done:
        yield t("the machine is stopped before the liquid hose has drained")
    elif on.state.mode != "push-pull" and on.state.valves[INLET] != "closed":
        yield t("the machine is stopped with its inlet open")
    elif on.state.mode == "clear" and "clearing-done" not in on.state.done:
        yield t("the machine is stopped before it reached its cleared reading")
    # starting ends what was said of closed valves, stopping what was said before the start
    ended = ("start",) if to == "off" else ("full", "cleared", "closed", "stopped")
    on.state.in_force = frozenset(name for name in on.state.in_force if name.partition(":")[0] not in ended)
    on.state.mode = to
    on.state.done = on.state.done - {"clearing-done", "drained"}


def _open_cylinders(on: On) -> set[str]:
    return {
        on.bench.part_of(valve).name
        for valve, position in on.state.valves.items()
        if position != "closed" and on.bench.part_of(valve).kind == "cylinder"
    }


def cleared(on: On) -> Iterator[str]:
    """The machine has reached its maker's cleared reading: it and what its suction is open to are empty."""
    joined = join_up(on.bench, on.state)
    if on.state.mode != "clear":
        yield t("a cleared reading is waited for and the machine is not set to clear")
    behind = joined.with_space(SUCTION_SIDE)
    if any(s != AIR and on.bench.kind_of_space[s] in VESSELS for s in behind):
        yield t("the machine cannot clear while its suction is open to a vessel")
    clear_of(on.bench, on.state, [s for s in behind if s not in INSIDE_MACHINE], "drawn")
    after = joined.with_space(DISCHARGE_SIDE)
    # a dip tube fills hose D again: only into a vapor valve is it emptied
    if not any(space.endswith(".dip-tube") for space in after):
        for space in after:
            if on.state.holds.get(space) == "liquid":
                on.state.holds[space] = "vapor"
    on.state.machine_cleared = True
    on.state.done = on.state.done | {"clearing-done"}
