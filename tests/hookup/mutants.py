"""Mutants of a good program: one step left out, two swapped, one valve shut or opened more; and what becomes of them."""

from collections.abc import Iterator
from dataclasses import dataclass

from packet.hookup.acts import Act, Block, Effect
from packet.hookup.program import Course, Program, program_of
from packet.hookup.request import Request
from packet.hookup.rig import Rig, build_rig
from packet.hookup.rules import Rules, rules_of
from packet.hookup.state import State
from packet.hookup.walk import at_the_end, groups_too_long, take


@dataclass(frozen=True)
class Step:
    """A step as it is carried out: of which stage, which one (counted from 0), and the act."""

    block: Block
    index: int
    act: Act

    @property
    def number(self) -> str:
        """As printed."""
        return f"{self.block.number}.{self.index + 1}"


@dataclass(frozen=True)
class Good:
    """A course that walks clean: its steps, the state before each and after the last."""

    rig: Rig
    rules: Rules
    steps: tuple[Step, ...]
    states: tuple[State, ...]


@dataclass(frozen=True)
class Mutant:
    """kind: 'drop', 'swap', 'shut', 'open'. at: the step's place. steps: what is done instead, from place `begins`."""

    kind: str
    at: int
    what: str
    steps: tuple[Step, ...]
    rejoin: int  # the place in the good course where the mutant's own steps are over
    begins: int


def good_courses(request: Request) -> list[Good]:
    """The first and the last course of a request (they differ in where change-overs are done)."""
    rig = build_rig(request)
    program: Program = program_of(rig)
    chosen = dict.fromkeys((program.courses[0], program.courses[-1]))
    return [_good(rig, rules_of(request), course) for course in chosen]


def _good(rig: Rig, rules: Rules, course: Course) -> Good:
    steps = tuple(Step(leg.block, leg.first + offset, act) for leg in course for offset, act in enumerate(leg.acts))
    state = State(rig.bench)
    states = [state.copy()]
    for step in steps:
        assert take(rig.bench, state, step.act, rules) == []
        states.append(state.copy())
    return Good(rig, rules, steps, tuple(states))


def mutants(good: Good) -> Iterator[Mutant]:
    """Every single-step deletion, adjacent swap within a stage, and single extra shut or open."""
    steps = good.steps
    for at, step in enumerate(steps):
        yield Mutant("drop", at, step.act.text, (), at + 1, begins=at)
        if at + 1 < len(steps) and steps[at + 1].block is step.block:
            yield Mutant("swap", at, step.act.text, (steps[at + 1], step), at + 2, begins=at)
        after = good.states[at + 1]
        for valve, position in after.valves.items():
            to = "open" if position == "shut" else "shut"
            act = Act(f"{to} {valve}", (Effect("move", valve, to),), step.act.kind, names=step.act.names)
            yield Mutant(to, at, valve, (Step(step.block, step.index, act),), at + 1, begins=at + 1)


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
            return _groups(good, mutant)
        breaches = take(rig.bench, state, good.steps[place].act, rules)
        if breaches:
            return breaches[0]
    return next(at_the_end(rig.bench, state, rules), "") or _groups(good, mutant)


def _groups(good: Good, mutant: Mutant) -> str:
    """A hold left out or moved leaves a group too long, or a stage without its last hold."""
    if mutant.kind in {"shut", "open"}:
        return ""
    step = good.steps[mutant.at]
    acts = list(step.block.acts)
    if mutant.kind == "drop":
        del acts[step.index]
    else:
        acts[step.index : step.index + 2] = reversed(acts[step.index : step.index + 2])
    block = Block(step.block.kind, step.block.number, step.block.title, step.block.opening, tuple(acts))
    return next((breach.why for breach in groups_too_long(block)), "")
