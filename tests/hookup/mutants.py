"""Mutants of a good program: one act left out, two swapped, one valve closed or opened more; and what becomes of them."""

from collections.abc import Iterator
from dataclasses import dataclass

from packet.hookup.acts import Act, Block, Effect
from packet.hookup.program import Course, Program, program_of
from packet.hookup.request import Request
from packet.hookup.rig import Rig, build_rig
from packet.hookup.rules import Rules, rules_of
from packet.hookup.state import State
from packet.hookup.walk import at_the_end, take


@dataclass(frozen=True)
class Step:
    """An act as it is carried out: of which block, which line and place in it (counted from 0)."""

    block: Block
    line: int
    place: int
    act: Act

    @property
    def number(self) -> str:
        """As printed, and the act's place in its line."""
        return f"{self.block.printed}.{self.line + 1}/{self.place + 1}"


@dataclass(frozen=True)
class Good:
    """A course that walks clean: its acts, the state before each and after the last."""

    rig: Rig
    rules: Rules
    steps: tuple[Step, ...]
    states: tuple[State, ...]


@dataclass(frozen=True)
class Mutant:
    """kind: 'drop', 'swap', 'closed', 'open'. at: the act's place. steps: what is done instead, from place `begins`."""

    kind: str
    at: int
    what: str
    steps: tuple[Step, ...]
    rejoin: int  # the place in the good course where the mutant's own steps are over
    begins: int


def good_courses(request: Request) -> list[Good]:
    """The first and the last course of a request (they differ in where swaps are done)."""
    rig = build_rig(request)
    program: Program = program_of(rig)
    chosen = dict.fromkeys((program.courses[0], program.courses[-1]))
    return [_good(rig, rules_of(request), course) for course in chosen]


def _good(rig: Rig, rules: Rules, course: Course) -> Good:
    steps = tuple(
        Step(leg.block, leg.first + offset, place, act)
        for leg in course
        for offset, line in enumerate(leg.lines)
        for place, act in enumerate(line.acts)
    )
    state = State(rig.bench)
    states = [state.copy()]
    for step in steps:
        assert take(rig.bench, state, step.act, rules) == []
        states.append(state.copy())
    return Good(rig, rules, steps, tuple(states))


def mutants(good: Good) -> Iterator[Mutant]:
    """Every single-act deletion, adjacent swap within a group, and single extra closing or opening."""
    steps = good.steps
    for at, step in enumerate(steps):
        if not step.act.effects:
            continue  # words alone
        yield Mutant("drop", at, step.act.text, (), at + 1, begins=at)
        if at + 1 < len(steps) and steps[at + 1].block is step.block:
            yield Mutant("swap", at, step.act.text, (steps[at + 1], step), at + 2, begins=at)
        after = good.states[at + 1]
        for valve, position in after.valves.items():
            to = "open" if position == "closed" else "closed"
            act = Act(f"{to} {valve}", (Effect("move", valve, to),), names=step.act.names)
            yield Mutant(to, at, valve, (Step(step.block, step.line, step.place, act),), at + 1, begins=at + 1)


def caught(good: Good, mutant: Mutant) -> str:
    """Why the walk catches this mutant; '' when it does not."""
    rig, rules = good.rig, good.rules
    state = good.states[mutant.begins].copy()
    for step in mutant.steps:
        breaches = take(rig.bench, state, step.act, rules)
        if breaches:
            return breaches[0]
    for place in range(mutant.rejoin, len(good.steps)):
        if state.same_as(good.states[place]):
            return ""
        breaches = take(rig.bench, state, good.steps[place].act, rules)
        if breaches:
            return breaches[0]
    return next(at_the_end(rig.bench, state, rules), "")
