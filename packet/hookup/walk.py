"""The walk: execute the steps from everything shut, machine off, hoses full of air; prove every rule after every step.

A breach names what is wrong in a sentence. The same walk gives the valve table its cells and the drawing its marks.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from packet.hookup.acts import Act, Block, Effect
from packet.hookup.checks import CHECKS, Scene
from packet.hookup.effects.table import apply
from packet.hookup.parts import Bench
from packet.hookup.program import Course, Leg, Program
from packet.hookup.rules import LONGEST_GROUP, Rules
from packet.hookup.settle import settle
from packet.hookup.state import State, join_up
from packet.words import t


@dataclass(frozen=True, slots=True)
class Breach:
    """stage and step are the printed numbers; why: the sentence."""

    stage: int
    step: str
    why: str


@dataclass(frozen=True, slots=True)
class Walked:
    """after: by (stage, step counted from 0) of the first course, the state after that step."""

    after: dict[tuple[int, int], State]
    breaches: tuple[Breach, ...]


def take(bench: Bench, state: State, act: Act, rules: Rules, *, looked_at: bool = False) -> list[str]:
    """Execute one act on `state` (changed in place); the sentences of what it breaches.

    looked_at: the state before passed every check with no exception named, so that an act which touches nothing need
    not be looked at again.
    """
    breaches: list[str] = []
    state.met_vacuum = False
    for effect in act.effects:
        breaches += apply(bench, state, effect, rules)
        if effect.op in MOVES_GAS:
            settle(bench, state, join_up(bench, state))
    if looked_at and all(effect.op in TOUCHES_NOTHING for effect in act.effects):
        return breaches
    scene = Scene(bench, state, join_up(bench, state), act, rules)
    for check in CHECKS:
        breaches += check(scene)
    return breaches


# after these, gas, air or vacuum may stand somewhere else
TOUCHES_NOTHING = frozenset({"hold", "weigh-before", "weigh-after", "confirm"})
MOVES_GAS = frozenset({"join", "part", "move", "ensure", "mode", "pump", "dry", "drawn", "evacuated", "cleared"})


def walk(bench: Bench, program: Program, rules: Rules) -> Walked:
    """Walk every course of a program; what courses begin with in common is walked once."""
    breaches: list[Breach] = []
    first: dict[tuple[int, int], State] = {}
    after_legs: dict[tuple[int, ...], State] = {(): State(bench)}
    for number, course in enumerate(program.courses):
        done: tuple[int, ...] = ()
        state = after_legs[()].copy()
        for leg in course:
            done = (*done, id(leg.acts), leg.block.number)
            if done in after_legs:
                state = after_legs[done].copy()
                continue
            looked_at = False
            for offset, act in enumerate(leg.acts):
                step = leg.first + offset
                found = take(bench, state, act, rules, looked_at=looked_at)
                breaches += [_breach(leg, step, why) for why in found]
                looked_at = not found and not act.names
                if number == 0:
                    first[leg.block.number, step] = state.copy()
            after_legs[done] = state.copy()
        last = course[-1]
        breaches += [_breach(last, last.first + len(last.acts) - 1, why) for why in at_the_end(bench, state, rules)]
    breaches += [breach for block in program.blocks for breach in groups_too_long(block)]
    last = program.courses[0][-1]
    breaches += [_breach(last, len(last.acts) - 1, why) for why in never_set(bench, program.courses[0])]
    return Walked(first, tuple(dict.fromkeys(breaches)))


def _breach(leg: Leg, step: int, why: str) -> Breach:
    return Breach(leg.block.number, f"{leg.block.number}.{step + 1}", why)


def at_the_end(bench: Bench, state: State, rules: Rules) -> Iterator[str]:
    """A job ends with machine off and cleared, every valve shut, everything disjoined, weights written down."""
    if state.running or not state.machine_cleared:
        yield t("the job ends and the machine is not off and cleared")
    if state.pump_on or state.compressor_on or state.water_on:
        yield t("the job ends and a pump or compressor still runs")
    for valve, position in state.valves.items():
        if position != "shut":
            yield t("the job ends with {valve} open", valve=bench.valve_name(valve))
    fixed = {port for pair in bench.fixed for port in pair}
    for port in state.mates:
        if port not in fixed and bench.part_of(port).kind in {"cylinder", "appliance", "machine", "pump"}:
            yield t("the job ends with {port} still joined", port=bench.port_name(port))
            break
    for cylinder in rules.stop_gross_lb:
        if f"weigh-after:{cylinder}" not in state.done:
            yield t("{cylinder} is not weighed bare after disjoining", cylinder=cylinder)
    for duty in sorted(rules.before_end - state.done):
        yield t("left out before the end: {duty}", duty=duty)
    if not state.drawn and "raised" not in state.done:
        yield t("the job ends and the target was not reached")
    if state.drawn and "rise" not in state.done and not rules.by_percent:
        yield t("the job ends without a rise check")


def groups_too_long(block: Block) -> Iterator[Breach]:
    """At most nine steps from one hold to the next, and a hold at the end of a stage."""
    since = 0
    for index, act in enumerate(block.acts, start=1):
        since += 1
        if act.kind == "hold":
            since = 0
        elif since == LONGEST_GROUP:
            yield Breach(block.number, f"{block.number}.{index}", t("more than nine steps without a hold"))
    if block.acts and block.acts[-1].kind != "hold":
        yield Breach(
            block.number, f"{block.number}.{len(block.acts)}", t("the stage does not end with a hold to initial")
        )


def never_set(bench: Bench, course: Course) -> Iterator[str]:
    """Every valve in the drawing is set, or confirmed shut, by some step."""
    effects: list[Effect] = [effect for leg in course for act in leg.acts for effect in act.effects]
    set_valves = {effect.what for effect in effects if effect.op in {"move", "ensure", "confirm"}}
    for valve in bench.valves:
        if valve not in set_valves:
            yield t("no step sets or confirms {valve}", valve=bench.valve_name(valve))
