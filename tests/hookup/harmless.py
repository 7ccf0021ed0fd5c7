"""The reviewed table: mutants that the walk lets pass, by rule, each with the reason why nothing bad comes of them.

Reviewed rule by rule against the practice that the steps are written from. A rule that no mutant needs any more fails
its test and comes out.
"""

from collections.abc import Callable
from dataclasses import dataclass

from packet.hookup.acts import Act
from packet.hookup.state import State
from tests.hookup.mutants import Good, Mutant, Step

QUIET = frozenset({"did", "weigh-before", "weigh-after", "confirm", "water", "hold", "read", "person", "core"})


@dataclass(frozen=True)
class Harmless:
    """A rule: its name, which mutants it is about, and why they do no harm."""

    name: str
    about: Callable[[Good, Mutant], bool]
    reason: str


def _ops(act: Act) -> set[str]:
    return {effect.op for effect in act.effects}


def _pair(good: Good, mutant: Mutant) -> tuple[Step, Step]:
    return good.steps[mutant.at], good.steps[mutant.at + 1]


def _beside_a_quiet_act(good: Good, mutant: Mutant) -> bool:
    return mutant.kind == "swap" and any(_ops(step.act) <= QUIET for step in _pair(good, mutant))


def _cylinders_closed(state: State) -> bool:
    return all(position == "closed" for valve, position in state.valves.items() if valve.startswith("cylinder:"))


def _cut_off(good: Good, state: State) -> bool:
    """The appliance is closed at its ports, at the manifold, or between the closed inlet and discharge and a shut end."""
    ports = all(state.valves[valve] == "closed" for valve in good.rules.isolators)
    manifold = all(state.valves.get(side, "closed") == "closed" for side in ("manifold.low", "manifold.high"))
    machine = state.valves["machine.suction"] == "closed" and state.valves["machine.discharge"] == "closed"
    return ports or manifold or machine


def _nothing_can_move(good: Good, mutant: Mutant) -> bool:
    """Machine and pump off, cylinders closed, the appliance cut off, before and after."""
    if mutant.kind != "swap":
        return False
    states = good.states[mutant.at : mutant.at + 3]
    return all(not s.running and not s.pump_on and _cylinders_closed(s) and _cut_off(good, s) for s in states)


def _same_way(good: Good, mutant: Mutant) -> bool:
    if mutant.kind != "swap":
        return False
    effects = [effect for step in _pair(good, mutant) for effect in step.act.effects]
    return all(effect.op in {"move", "ensure"} for effect in effects) and (
        len({effect.to == "closed" for effect in effects}) == 1
    )


def _dead_ended(good: Good, mutant: Mutant) -> bool:
    """While hoses are purged with every cylinder closed and the machine off."""
    if mutant.kind != "swap" or good.steps[mutant.at].block.kind != "join":
        return False
    states = good.states[mutant.at : mutant.at + 3]
    ops = set().union(*(_ops(step.act) for step in _pair(good, mutant)))
    quiet = all(_cylinders_closed(state) and not state.running for state in states)
    return quiet and ops <= {"move", "ensure", "purge", "compressor"}


def _pump_behind_its_valve(good: Good, mutant: Mutant) -> bool:
    if mutant.kind != "swap":
        return False
    acts = [step.act for step in _pair(good, mutant)]
    if not any("pump" in _ops(act) for act in acts):
        return False
    states = good.states[mutant.at : mutant.at + 3]
    return all(_cylinders_closed(state) and not state.running for state in states)


def _inlet_is_closed_at_the_start(good: Good, mutant: Mutant) -> bool:
    """The machine's switch, a valve upstream of its inlet or what is waited for, one beside the other."""
    if mutant.kind != "swap":
        return False
    acts = [step.act for step in _pair(good, mutant)]
    effects = [effect for act in acts for effect in act.effects]
    return {effect.op for effect in effects} <= {"mode", "move", "ensure", "compressor", "did", "read", "dry"} and all(
        effect.what.partition(".")[0] in {"appliance", "manifold"} or effect.what in good.rules.isolators
        for effect in effects
        if effect.op in {"move", "ensure"}
    )


def _clearing_begins_beside_it(good: Good, mutant: Mutant) -> bool:
    """Setting the machine to clear, or its reading, beside the valve that is closed then, or the hose that drains."""
    if mutant.kind != "swap":
        return False
    ops = [_ops(step.act) for step in _pair(good, mutant)]
    kinds = [{"mode"}, {"cleared"}]
    return any(one in kinds for one in ops) and all(
        one <= {"mode", "cleared", "move", "fill", "drained"} for one in ops
    )


def _a_shut_off_closed_early(_good: Good, mutant: Mutant) -> bool:
    """Extra closing of a hose's shut-off."""
    return mutant.kind == "closed" and mutant.what in {"A1", "A2", "B1", "B2", "C1", "C2", "P1", "P2"}


def _suction_cut_off(good: Good, mutant: Mutant) -> bool:
    """Extra closing of a valve upstream of the machine's inlet, or of the inlet, that a later act opens again."""
    return (
        mutant.kind == "closed"
        and mutant.what in {"appliance.vapor", "manifold.low", "manifold.high", "machine.suction"}
        and good.states[mutant.at + 1].mode != "push-pull"
    )


def _opened_by_what_follows(good: Good, mutant: Mutant) -> bool:
    """Left out: an inlet opened to full just before a swap closes it, a shut-off closed just before it is opened."""
    if mutant.kind != "drop":
        return False
    touched = {effect.what for effect in good.steps[mutant.at].act.effects if effect.op in {"move", "ensure"}}
    soon = good.steps[mutant.at + 1 : mutant.at + 5]
    return bool(touched) and any(
        effect.what in touched for step in soon for effect in step.act.effects if effect.op in {"move", "ensure"}
    )


def _straight_to_clearing(good: Good, mutant: Mutant) -> bool:
    """The machine is not switched off between recovering and clearing; its inlet is closed."""
    at = good.states[mutant.at]
    return (
        mutant.kind == "drop"
        and _ops(good.steps[mutant.at].act) == {"mode"}
        and at.valves["machine.suction"] == "closed"
    )


def _off_and_bleeding(good: Good, mutant: Mutant) -> bool:
    """Extra opening of the end of a hose that is cleared, or off and led outdoors already."""
    after = good.states[mutant.at + 1]
    return mutant.kind == "open" and mutant.what[0] in "ABCD" and len(mutant.what) == 2 and not after.running


TABLE: tuple[Harmless, ...] = (
    Harmless(
        "beside-a-quiet-act",
        _beside_a_quiet_act,
        "A check, weighing, reading or hold that touches no valve, hose or machine, beside another act: it is still done "
        "before what depends on it (duties are due at the first hose, the start, the end; holds prove what they claim).",
    ),
    Harmless(
        "nothing-can-move",
        _nothing_can_move,
        "Machine and vacuum pump off, cylinders closed, appliance cut off: which joint or valve between them comes first "
        "changes nothing, and the hold that follows looks at all of them.",
    ),
    Harmless(
        "same-way",
        _same_way,
        "Two acts that only open, or only close, valves in one line: gas moves when the last is open and stops when the "
        "first is closed. Orders that matter (discharge before the machine, liquid before the machine stops) are against "
        "the machine's switch and are caught.",
    ),
    Harmless(
        "dead-ended",
        _dead_ended,
        "While hoses are purged with the machine off and every cylinder closed, gas reaches a closed end and stands: a "
        "valve a moment early or late only purges a little longer. So it does while the compressor pumps down.",
    ),
    Harmless(
        "pump-behind-its-valve",
        _pump_behind_its_valve,
        "The pump started or stopped beside the valve it draws by, with nothing but air and vacuum open to it: the walk "
        "still asks for the pump to run while the vacuum is read and for its valve to be closed before it stops.",
    ),
    Harmless(
        "inlet-is-closed-at-the-start",
        _inlet_is_closed_at_the_start,
        "The machine runs with its inlet closed, or opened only then: a valve upstream of it, or what is waited for, "
        "beside its switch draws nothing sooner.",
    ),
    Harmless(
        "clearing-begins-beside-it",
        _clearing_begins_beside_it,
        "The machine clears a moment longer from what it was open to before, into where it discharged before; that its "
        "suction is open to no vessel when it has cleared is caught.",
    ),
    Harmless(
        "a-shut-off-closed-early",
        _a_shut_off_closed_early,
        "Less is drawn, or the pump draws less, until somebody sees the shut-off: vapor or vacuum stands in the hose. "
        "With liquid in it the closing is caught.",
    ),
    Harmless(
        "suction-cut-off",
        _suction_cut_off,
        "Less is drawn until a later act opens the valve again; the discharge and the cylinder stay open. In push-pull, "
        "where it matters, it is caught.",
    ),
    Harmless(
        "opened-by-what-follows",
        _opened_by_what_follows,
        "The next acts set the same valve again, so that it stands right when something depends on it.",
    ),
    Harmless(
        "straight-to-clearing",
        _straight_to_clearing,
        "With its inlet closed the machine goes from recovering straight to clearing: it is off before the hold.",
    ),
    Harmless(
        "off-and-bleeding",
        _off_and_bleeding,
        "The hose is cleared, or off at both ends and led outdoors with one end open as hoses travel: the other end may "
        "be open as well.",
    ),
)


def reason_for(good: Good, mutant: Mutant) -> str:
    """The name of the rule that lets this mutant pass; '' when there is none."""
    return next((rule.name for rule in TABLE if rule.about(good, mutant)), "")
