"""The valve table of a hookup sheet: rows valves, a column a hold, then running and stopped, as the walk left them."""

from packet.hookup.acts import Block
from packet.hookup.card import card_effects
from packet.hookup.effects.table import apply
from packet.hookup.model import HoldMark, HoldTable
from packet.hookup.rig import Rig
from packet.hookup.rules import Rules
from packet.hookup.state import State, ValveState
from packet.hookup.walk import Walked
from packet.words import t

_MARKS: dict[ValveState, HoldMark] = {"open": "open", "shut": "closed", "cracked": "throttled"}


def hold_table(rig: Rig, blocks: list[Block], walked: Walked, rules: Rules) -> HoldTable:
    """One column for every hold of these blocks, one for each running stage, one as strip 2 leaves the valves."""
    columns: list[tuple[str, State]] = []
    stopped: State | None = None
    for block in blocks:
        for index, act in enumerate(block.acts):
            state = walked.after[block.number, index]
            if act.running:
                columns.append((t("running"), state))
                stopped = stopped_by_strip(rig, block, state, rules)
            if act.kind == "hold" and not act.effects[0].what.startswith("so-far"):
                columns.append((f"{block.number}.{index + 1}", state))
    if stopped is not None:
        columns.append((t("stopped"), stopped))
    valves = [valve for valve in rig.bench.valves if any(state.valves[valve] != "shut" for _, state in columns)]
    return HoldTable(
        tuple(head for head, _ in columns),
        tuple((rig.valve(valve), tuple(_MARKS[state.valves[valve]] for _, state in columns)) for valve in valves),
    )


def stopped_by_strip(rig: Rig, block: Block, running: State, rules: Rules) -> State:
    """The state after strip 2 was carried out from a running one."""
    after = running.copy()
    after.mode, after.joined = "off", None
    for effect in card_effects(rig, block, running):
        apply(rig.bench, after, effect, rules)
    return after
