"""The reviewed table: mutants that the walk lets pass, by rule, each with the reason why nothing bad comes of them.

Reviewed rule by rule against 7-sequences.md. A rule that no mutant needs any more fails its test and comes out.
"""

from collections.abc import Callable
from dataclasses import dataclass

from packet.hookup.acts import Act
from tests.hookup.mutants import Good, Mutant, Step

QUIET = frozenset({"did", "weigh-before", "weigh-after", "confirm", "water", "hold"})


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


def _both_quiet(good: Good, mutant: Mutant) -> bool:
    return mutant.kind == "swap" and all(_ops(step.act) <= QUIET for step in _pair(good, mutant))


def _nothing_can_move(good: Good, mutant: Mutant) -> bool:
    """Machine and pump off, cylinders shut, the appliance shut or cut off at the manifold, before and after."""
    if mutant.kind != "swap":
        return False
    for state in good.states[mutant.at : mutant.at + 3]:
        shut_off = all(position == "shut" for valve, position in state.valves.items() if valve.startswith("appliance."))
        at_manifold = all(state.valves[side] == "shut" for side in ("manifold.low", "manifold.high"))
        cylinders = all(position == "shut" for valve, position in state.valves.items() if valve.startswith("cylinder:"))
        if state.running or state.pump_on or not cylinders or not (shut_off or at_manifold):
            return False
    return True


def _same_way(good: Good, mutant: Mutant) -> bool:
    if mutant.kind != "swap":
        return False
    effects = [effect for step in _pair(good, mutant) for effect in step.act.effects]
    return all(effect.op in {"move", "ensure"} for effect in effects) and (
        len({effect.to == "shut" for effect in effects}) == 1
    )


def _so_far(good: Good, mutant: Mutant) -> bool:
    return mutant.kind == "swap" and any(
        effect.op == "hold" and effect.what.startswith("so-far:")
        for step in _pair(good, mutant)
        for effect in step.act.effects
    )


def _dead_ended(good: Good, mutant: Mutant) -> bool:
    """While hoses are purged with every cylinder shut and the machine off."""
    if mutant.kind != "swap" or good.steps[mutant.at].block.kind not in {"join", "change-over"}:
        return False
    states = good.states[mutant.at : mutant.at + 3]
    cylinders = all(
        position == "shut" for s in states for valve, position in s.valves.items() if valve.startswith("cylinder:")
    )
    ops = set().union(*(_ops(step.act) for step in _pair(good, mutant)))
    return cylinders and not any(state.running for state in states) and ops <= {"move", "ensure", "purge"}


def _pump_behind_its_branch(good: Good, mutant: Mutant) -> bool:
    if mutant.kind != "swap":
        return False
    effects = [effect for step in _pair(good, mutant) for effect in step.act.effects]
    return all(
        effect.op in {"pump", "evacuated"}
        or (effect.op in {"join", "part"} and effect.what.startswith("P"))
        or (effect.op == "move" and effect.what.endswith(".branch"))
        for effect in effects
    )


def _inlet_is_shut_at_the_start(good: Good, mutant: Mutant) -> bool:
    """The machine's switch, a valve upstream of its inlet or a duty, one beside the other."""
    if mutant.kind != "swap":
        return False
    acts = [step.act for step in _pair(good, mutant)]
    effects = [effect for act in acts for effect in act.effects]
    return {effect.op for effect in effects} <= {"mode", "move", "ensure", "compressor", "did"} and all(
        effect.what.partition(".")[0] in {"appliance", "manifold"}
        for effect in effects
        if effect.op in {"move", "ensure"}
    )


def _hose_c_in_a_change_over(good: Good, mutant: Mutant) -> bool:
    """Emptying hose C while vapor is recovered, and the inlet beside the switch to clearing."""
    step = good.steps[mutant.at]
    if step.block.kind != "change-over" or good.rig.request.push_pull:
        return False
    before = good.states[mutant.at]
    if mutant.kind == "drop":
        return _ops(step.act) == {"emptied"} and before.mode == "vapor"
    if mutant.kind != "swap":
        return False
    ops = [_ops(one.act) for one in _pair(good, mutant)]
    return ops == [{"move"}, {"mode"}] or (ops == [{"ensure"}, {"emptied"}] and before.mode == "vapor")


def _behind_the_manifold(good: Good, mutant: Mutant) -> bool:
    """Extra opening of the appliance's vapor valve while the manifold's low valve is shut, hose and joints clean."""
    return (
        mutant.kind == "open"
        and mutant.what == "appliance.vapor"
        and good.states[mutant.at + 1].valves["manifold.low"] == "shut"
    )


def _suction_cut_off(good: Good, mutant: Mutant) -> bool:
    """Extra shutting of a valve upstream of the machine's inlet, or of the inlet, that a later step opens again."""
    return (
        mutant.kind == "shut"
        and mutant.what in {"appliance.vapor", "appliance.liquid", "manifold.low", "manifold.high", "machine.suction"}
        and good.states[mutant.at + 1].mode != "push-pull"
    )


def _purged_and_shut_again(good: Good, mutant: Mutant) -> bool:
    """Extra shutting of the cylinder's vapor valve, cracked to purge hose C, before the machine runs."""
    after = good.states[mutant.at + 1]
    return (
        mutant.kind == "shut"
        and mutant.what.startswith("cylinder:")
        and not after.running
        and after.valves[mutant.what] == "cracked"
    )


TABLE: tuple[Harmless, ...] = (
    Harmless(
        "both-quiet",
        _both_quiet,
        "Two checks, weighings, readings or holds that touch no valve, hose or machine: each is still done before the "
        "step that depends on it (duties are due at the first joint, the start, the end; holds prove what they claim).",
    ),
    Harmless(
        "nothing-can-move",
        _nothing_can_move,
        "Machine and vacuum pump off, cylinders shut, appliance shut or cut off at the manifold: which joint or valve "
        "between them comes first changes nothing, and the hold that follows looks at all of them.",
    ),
    Harmless(
        "same-way",
        _same_way,
        "Two steps that only open, or only shut, valves in one line: gas moves when the last is open and stops when "
        "the first is shut. Orders that matter (discharge before the machine, liquid before the machine stops) are "
        "against the machine's switch and are caught.",
    ),
    Harmless(
        "hold-in-between",
        _so_far,
        "An in-between hold says only that the steps above are done and claims nothing about valves; moved by one step "
        "its group is still within nine.",
    ),
    Harmless(
        "dead-ended",
        _dead_ended,
        "While purging, gas goes as far as the next shut valve and out at the loosened fitting; cylinders are shut, so "
        "which dead end fills first does not matter.",
    ),
    Harmless(
        "pump-behind-its-branch",
        _pump_behind_its_branch,
        "The vacuum pump is parted from the hoses by the tee's branch: started or stopped a step early it moves room "
        "air in its own hose only, and the wait for 1,000 micron proves the rest.",
    ),
    Harmless(
        "inlet-shut-at-the-start",
        _inlet_is_shut_at_the_start,
        "The switch and a valve upstream of the shut inlet, or the appliance's vapor valve behind the shut manifold: "
        "the machine draws only when its inlet is opened, later and by itself.",
    ),
    Harmless(
        "hose-c-in-a-change-over",
        _hose_c_in_a_change_over,
        "In the vapor stage hose C holds no liquid, so waiting for it to empty is a courtesy there (left out in the "
        "liquid stage it is caught); with the manifold shut, clearing may begin just before the inlet is shut.",
    ),
    Harmless(
        "behind-the-manifold",
        _behind_the_manifold,
        "Hose B stands open to the appliance earlier than it needs to, purged and shut off at the manifold: nothing "
        "flows and nothing is joined or disjoined before it is shut again or used.",
    ),
    Harmless(
        "suction-cut-off",
        _suction_cut_off,
        "Less is drawn until a later step opens the valve again; the discharge and the cylinder stay open. In "
        "push-pull, where it matters, it is caught.",
    ),
    Harmless(
        "purged-and-shut-again",
        _purged_and_shut_again,
        "Hose C is purged and keeps its vapor; the cylinder's vapor valve is opened fully before the hold that puts a "
        "hand on it, and the machine is not started before that hold.",
    ),
)


def reason_for(good: Good, mutant: Mutant) -> str:
    """The name of the rule that lets this mutant pass; '' when there is none."""
    return next((rule.name for rule in TABLE if rule.about(good, mutant)), "")
