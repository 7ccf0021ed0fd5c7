"""The valve table of a hookup sheet: rows valves, a column a hold, then running and stopped, as the walk left them."""

from collections.abc import Iterator

from packet.hookup.acts import Block
from packet.hookup.model import HoldMark, HoldTable
from packet.hookup.parts import HOSES, Bench
from packet.hookup.rig import Rig
from packet.hookup.rules import Rules
from packet.hookup.state import State
from packet.hookup.strips import after_strip
from packet.hookup.walk import Walked
from packet.words import N_, t

_ON_THE_SCALE = {
    "vapor": N_("vapor valve, cylinder on the scale"),
    "liquid": N_("liquid valve, cylinder on the scale"),
}


def hold_table(
    rig: Rig, blocks: list[Block], holds: dict[tuple[int, int], int], walked: Walked, rules: Rules, *, push_pull: bool
) -> HoldTable:
    """One column for every hold of these blocks at which hoses are on, one for each running stage, one as strip 2
    leaves the valves. holds: the number of each hold by (block, line).
    """
    columns: list[tuple[str, State]] = []
    stopped: State | None = None
    running = {}
    for block in blocks:
        for index, line in enumerate(block.lines):
            state = walked.after[block.number, index]
            if line.running:
                running[block.kind] = (_words(block.kind), state)
                stopped = after_strip(rig, state, rules, push_pull=push_pull)
            elif line.hold and line.hold != "before":
                columns += running.values()
                running = {}
                columns.append((str(holds[block.number, index]), state))
    columns += running.values()
    if stopped is not None:
        columns.append((t("stopped"), stopped))
    rows = tuple(
        (name, valves, tuple(_mark_of_any(rig, state, valves) for _, state in columns))
        for name, valves in _rows(rig)
        if any(_shown(rig.bench, state, valve) for _, state in columns for valve in valves)
    )
    return HoldTable(tuple(head for head, _ in columns), tuple(_both_ends(rig, rows)))


def _both_ends(
    rig: Rig, rows: tuple[tuple[str, tuple[str, ...], tuple[HoldMark, ...]], ...]
) -> Iterator[tuple[str, tuple[HoldMark, ...]]]:
    """The shut-offs of a hose that always stand alike at its two ends are one row; else a hose is read twice."""
    marks_of = {valve: marks for _, valves, marks in rows for valve in valves}
    said = set[str]()
    for name, valves, marks in rows:
        (valve, *others) = valves
        part = rig.bench.part_of(valve)
        ends = tuple(port.id for port in part.ports if port.valved)
        is_pair = part.kind in HOSES and not others and len(ends) == 2
        if not (is_pair and marks_of.get(ends[0]) == marks_of.get(ends[1])):
            yield name, marks
        elif part.id not in said:
            said.add(part.id)
            yield t("shut-off {letter} (both ends)", letter=part.id.rpartition(":")[2]), marks


def _rows(rig: Rig) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each valve by its name; of several cylinders the same valve in one row: the cylinder on the scale is meant."""
    several = len(rig.request.cylinders) > 1
    together: dict[str, list[str]] = {}
    for valve in rig.bench.valves:
        on_cylinder = several and rig.bench.part_of(valve).kind == "cylinder"
        together.setdefault(valve.rpartition(".")[2] if on_cylinder else valve, []).append(valve)
    for valve, same in together.items():
        yield t(_ON_THE_SCALE[valve]) if valve in _ON_THE_SCALE else rig.valve(valve), tuple(same)


def _words(kind: str) -> str:
    return {"liquid": t("liquid"), "vapor": t("vapor"), "push-pull": t("push-pull")}[kind]


def _shown(bench: Bench, state: State, valve: str) -> bool:
    """A valve has a row where it stands open in some column."""
    return state.valves[valve] != "closed" and _there(bench, state, valve)


def _there(bench: Bench, state: State, valve: str) -> bool:
    if f"core-was-out:{valve}" in state.done and f"core-out:{valve}" not in state.done:
        return False  # the core is back, and its tool off
    part = bench.part_of(valve)
    return part.kind in {"appliance", "machine", "receiver"} or any(port.id in state.mates for port in part.ports)


def _mark_of_any(rig: Rig, state: State, valves: tuple[str, ...]) -> HoldMark:
    """How the one of these valves stands that is connected then."""
    there = [valve for valve in valves if _there(rig.bench, state, valve)]
    return _mark(rig, state, (there or valves)[0])


def _mark(rig: Rig, state: State, valve: str) -> HoldMark:
    if not _there(rig.bench, state, valve):
        return "none"
    position = state.valves[valve]
    if position == "cracked":
        return "throttled"
    request = rig.request
    side = "liquid" if valve == "appliance.liquid" else "vapor" if valve == "appliance.vapor" else ""
    stem = side and request.port_kinds["liquid" if side == "liquid" else "vapor"] in {"service-valve", "king-valve"}
    if stem and not (side == "liquid" and request.pumps_down):
        return "mid" if position == "open" else "back"
    return "open" if position == "open" else "closed"
