"""The walk: execute the acts from everything closed, machine off, hoses full of air; prove every rule after each of them.

A breach names what is wrong in a sentence. The same walk gives the valve table its cells and the drawing its marks.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from packet.hookup.acts import Act, Block, Effect
from packet.hookup.checks import CHECKS, Scene
from packet.hookup.effects.table import apply
from packet.hookup.parts import HOSES, Bench
from packet.hookup.program import Course, Leg, Program
from packet.hookup.rules import LONGEST_GROUP, Rules
from packet.hookup.settle import settle
from packet.hookup.state import State, join_up
from packet.words import t


@dataclass(frozen=True, slots=True)
class Breach:
    """stage and step are the printed numbers; why: the sentence."""

    stage: str
    step: str
    why: str


@dataclass(frozen=True, slots=True)
class Walked:
    """after: by (block, line counted from 0) of the first course, the state after that line."""

    after: dict[tuple[int, int], State]
    breaches: tuple[Breach, ...]


def take(bench: Bench, state: State, act: Act, rules: Rules, *, looked_at: bool = False) -> list[str]:
    """Execute one act on `state` (changed in place), looking at every rule after each of its effects; what it breaches.

    looked_at: the state before passed every check with no exception named, so that an effect which touches nothing
    need not be looked at again.
    """
    breaches: list[str] = []
    for effect in act.effects:
        state.met_vacuum, state.vented = False, ""
        breaches += apply(bench, state, effect, rules)
        if effect.op in MOVES_GAS:
            settle(bench, state, join_up(bench, state))
        if looked_at and effect.op in TOUCHES_NOTHING:
            continue
        scene = Scene(bench, state, join_up(bench, state), act, rules)
        found = [why for check in CHECKS for why in check(scene)]
        breaches += found
        looked_at = not found and not act.names
    return breaches


TOUCHES_NOTHING = frozenset({"hold", "weigh-before", "weigh-after", "confirm", "read", "person"})
# after these, gas, air or vacuum may stand somewhere else
MOVES_GAS = frozenset(
    {"connect", "disconnect", "move", "ensure", "mode", "pump", "dry", "drawn", "evacuated", "cleared", "nitrogen"}
)


def walk(bench: Bench, program: Program, rules: Rules) -> Walked:
    """Walk every course of a program; what courses begin with in common is walked once."""
    breaches: list[Breach] = []
    first: dict[tuple[int, int], State] = {}
    after_legs: dict[tuple[int, ...], State] = {(): State(bench)}
    for number, course in enumerate(program.courses):
        done: tuple[int, ...] = ()
        state = after_legs[()].copy()
        for leg in course:
            done = (*done, id(leg.lines), leg.block.number)
            if done in after_legs:
                state = after_legs[done].copy()
                continue
            looked_at = False
            for offset, line in enumerate(leg.lines):
                for act in line.acts:
                    found = take(bench, state, act, rules, looked_at=looked_at)
                    breaches += [_breach(leg, leg.first + offset, why) for why in found]
                    looked_at = not found and not act.names
                if number == 0:
                    first.setdefault((leg.block.number, leg.first + offset), state.copy())
            after_legs[done] = state.copy()
        last = course[-1]
        breaches += [_breach(last, last.first + len(last.lines) - 1, why) for why in at_the_end(bench, state, rules)]
    breaches += [breach for block in program.blocks for breach in groups_too_long(block)]
    last = program.courses[0][-1]
    left_out = (*never_set(bench, program.courses[0]), *never_connected(bench, program.courses[0]))
    breaches += [_breach(last, len(last.lines) - 1, why) for why in left_out]
    return Walked(first, tuple(dict.fromkeys(breaches)))


def _breach(leg: Leg, step: int, why: str) -> Breach:
    return Breach(leg.block.printed, f"{leg.block.printed}.{step + 1}", why)


def at_the_end(bench: Bench, state: State, rules: Rules) -> Iterator[str]:
    """A job ends with machine off and cleared, every valve closed, everything disconnected, weights written down.

    Hoses travel with one end open: none is liquid-full and closed, not for a minute of driving.
    """
    if state.running or not state.machine_cleared:
        yield t("the job ends and the machine is not off and cleared")
    if state.pump_on or state.compressor_on or state.water_on:
        yield t("the job ends and a pump or compressor still runs")
    for valve, position in state.valves.items():
        if position != "closed" and bench.part_of(valve).kind not in HOSES:
            yield t("the job ends with {valve} open", valve=bench.valve_name(valve))
    for part in bench.parts.values():
        if part.kind in HOSES and all(port.valved and state.valves[port.id] == "closed" for port in part.ports):
            yield t("{part} travels closed at both ends", part=part.name)
        if part.kind in HOSES and state.holds[part.spaces[0]] == "liquid":
            yield t("{part} is full of liquid at the end", part=part.name)
    fixed = {port for pair in bench.fixed for port in pair}
    for port in state.mates:
        if port not in fixed and bench.part_of(port).kind in {"cylinder", "appliance", "machine", "pump", "nitrogen"}:
            yield t("the job ends with {port} still connected", port=bench.port_name(port))
            break
    for cylinder in rules.stop_gross_lb:
        if f"weigh-after:{cylinder}" not in state.done:
            yield t("{cylinder} is not weighed after disconnecting", cylinder=cylinder)
    for duty in sorted(rules.before_end - state.done):
        yield t("left out before the end: {duty}", duty=duty)
    for valve in rules.core_tools:
        if f"core-out:{valve}" in state.done or f"core-was-out:{valve}" not in state.done:
            yield t("the core of {valve} is not back in its port", valve=bench.valve_name(valve))
    if not state.drawn and "raised" not in state.done:
        yield t("the job ends and the target was not reached")
    if state.drawn and "rise" not in state.done and not rules.by_percent:
        yield t("the job ends without a rise check")
    if rules.breaks_vacuum and not state.at_zero:
        yield t("the job ends and the vacuum was not broken with nitrogen")


def groups_too_long(block: Block) -> Iterator[Breach]:
    """At most nine lines under one title."""
    if len(block.lines) > LONGEST_GROUP:
        yield Breach(
            block.printed, f"{block.printed}.{LONGEST_GROUP + 1}", t("more than nine lines without a new start")
        )


def _effects(course: Course) -> list[Effect]:
    return [effect for leg in course for line in leg.lines for act in line.acts for effect in act.effects]


def never_set(bench: Bench, course: Course) -> Iterator[str]:
    """Every valve in the drawing is set, or confirmed closed, by some step."""
    set_valves = {effect.what for effect in _effects(course) if effect.op in {"move", "ensure", "confirm"}}
    for valve in bench.valves:
        if valve not in set_valves:
            yield t("no step sets or confirms {valve}", valve=bench.valve_name(valve))


def never_connected(bench: Bench, course: Course) -> Iterator[str]:
    """Every part on the floor is connected by some step: tees, gauges, pump and header with the rest."""
    touched = {
        bench.part_of(port).id
        for effect in _effects(course)
        if effect.op == "connect"
        for port in (effect.what, effect.to)
    }
    for part in bench.parts.values():
        if part.id not in touched and part.kind != "receiver":
            yield t("{part} is on the list and never connected", part=part.name)
