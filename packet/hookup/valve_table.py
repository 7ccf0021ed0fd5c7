"""The valve table of a stage: rows valves, columns the steps that move one, cells as the walk left them."""

from packet.hookup.acts import Block
from packet.hookup.model import ValveMark, ValveTable
from packet.hookup.parts import Bench
from packet.hookup.state import State
from packet.words import t

WIDEST = 10  # columns of marks that fit beside the names on a letter page


def valve_tables(bench: Bench, block: Block, before: State, after: list[State]) -> tuple[ValveTable, ...]:
    """The stage's table, split where it has more columns than fit; none where no step moves a valve.

    The first column of each part is how the valves stand when it begins; rows are the valves that move in the stage
    and those that stand open through it.
    """
    moving: list[tuple[int, State, State]] = []
    earlier = before
    for index, state in enumerate(after):
        if state.valves != earlier.valves:
            moving.append((index, earlier, state))
        earlier = state
    if not moving:
        return ()
    valves = [
        valve
        for valve in bench.valves
        if any(state.valves[valve] != "shut" for state in (before, *after))
        or any(old.valves[valve] != new.valves[valve] for _, old, new in moving)
    ]
    tables = []
    # an even split: two halves read better than a full part and a stump
    pieces = -(-len(moving) // WIDEST)
    size = -(-len(moving) // pieces)
    for start in range(0, len(moving), size):
        part = moving[start : start + size]
        at_start = part[0][1]
        rows = [
            (
                bench.valve_name(valve),
                (at_start.valves[valve], *(_mark(old, new, valve) for _, old, new in part)),
            )
            for valve in valves
        ]
        columns = (t("start"), *(f"{block.number}.{index + 1}" for index, _, _ in part))
        tables.append(ValveTable(columns, tuple(rows)))
    return tuple(tables)


def _mark(old: State, new: State, valve: str) -> ValveMark:
    return new.valves[valve] if new.valves[valve] != old.valves[valve] else "unchanged"
