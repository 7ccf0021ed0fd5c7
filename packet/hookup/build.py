"""From a plan to its hookup: parts, stages, the walk, tables, drawings, cards; nothing that fails the walk is handed on."""

from collections.abc import Iterator

from packet.findings import Finding, finding
from packet.hookup.acts import Block
from packet.hookup.card import card, prove_card
from packet.hookup.drawing.ink import draw
from packet.hookup.hose_list import hose_list
from packet.hookup.layouts import layouts, swap, wrong
from packet.hookup.load import load_list
from packet.hookup.model import Hookup, Stage, Step
from packet.hookup.parts import cylinder_part
from packet.hookup.program import Program, program_of
from packet.hookup.request import Request, request_from
from packet.hookup.rig import Rig, build_rig, listed
from packet.hookup.rules import Rules, rules_of
from packet.hookup.state import State
from packet.hookup.valve_table import valve_tables
from packet.hookup.walk import Breach, Walked, walk
from packet.hookup.wrong import if_wrong
from packet.plan.model import Plan
from packet.words import t

RECOVERING = frozenset({"vapor", "liquid", "push-pull"})


def build_hookup(plan: Plan) -> Hookup:
    """The hookup of a job: stages walked, what to load, findings ('kit-missing', 'walk-failed').

    A plan that could not decide on method, machine, scale or cylinders has no hookup: its own findings say why, and
    the hookup is empty.
    """
    request = request_from(plan)
    return Hookup((), (), ()) if request is None else hookup_of(request)


def hookup_of(request: Request) -> Hookup:
    """The hookup of a request; see build_hookup."""
    lacking = cannot_be_joined(request)
    if lacking:
        return Hookup((), (), lacking)
    rig = build_rig(request)
    program = program_of(rig)
    rules = rules_of(request)
    walked = walk(rig.bench, program, rules)
    breaches = (*walked.breaches, *_cards(rig, program, walked, rules))
    findings = (*rig.kit.missing, *(_failed(breach) for breach in breaches))
    stages = _stages(rig, program, walked)
    if not stages:
        return Hookup((), load_list(rig), findings)
    return Hookup(
        stages,
        load_list(rig),
        findings,
        layouts(rig, program, walked, rules, stages),
        swap(rig, program, stages),
        wrong(stages),
    )


def cannot_be_joined(request: Request) -> tuple[Finding, ...]:
    """What a forced method asks for and appliance or cylinders do not have: there is nothing to draw or walk then."""
    lacking = []
    needed = {"push-pull": ("liquid", "vapor"), "liquid": ("liquid",), "vapor": ()}[request.stages[0]]
    missing_ports = [port for port in needed if port not in request.ports]
    if missing_ports or not request.ports:
        lacking.append(t("a reachable {ports} port on the appliance", ports=listed(missing_ports or ["vapor"])))
    if request.push_pull:
        lacking += [
            t("a liquid and a vapor valve on cylinder {cylinder}: push-pull needs both", cylinder=item.id)
            for item in request.cylinders
            if set(item.valves) != {"liquid", "vapor"}
        ]
    return tuple(
        finding(
            "kit-missing",
            source=t("common practice, no source"),
            where=request.job,
            what=what,
            remedy=t("Use another method or another cylinder."),
        )
        for what in lacking
    )


def _cards(rig: Rig, program: Program, walked: Walked, rules: Rules) -> Iterator[Breach]:
    """Breaches of the interruption cards, from every state of the valves in which the machine runs."""
    for block in program.blocks:
        earlier: State | None = None
        for index in range(len(block.acts)):
            state = walked.after.get((block.number, index))
            if state is None or not state.running:
                continue
            if earlier is None or (earlier.valves, earlier.mode, earlier.holds) != (
                state.valves,
                state.mode,
                state.holds,
            ):
                for why in prove_card(rig, block, state, rules):
                    yield Breach(block.number, f"{block.number}.{index + 1}", why)
            earlier = state


def _stages(rig: Rig, program: Program, walked: Walked) -> tuple[Stage, ...]:
    stages = []
    before = State(rig.bench)
    for block in program.blocks:
        states = [walked.after[block.number, index] for index in range(len(block.acts))]
        stages.append(_stage(rig, block, before, states))
        before = states[-1]
    return tuple(stages)


def _stage(rig: Rig, block: Block, before: State, states: list[State]) -> Stage:
    running = next(
        (states[index] for index, act in enumerate(block.acts) if act.running and block.kind in RECOVERING), None
    )
    tables = valve_tables(rig.bench, block, before, states)
    drawing = None
    if running is not None:
        on = next(item for item in rig.request.cylinders if item.id == _cylinder_on(rig, running))
        drawing = draw(rig, running, block.kind, block.number, on)
    return Stage(
        kind=block.kind,
        number=block.number,
        title=block.title,
        opening=block.opening,
        steps=tuple(
            Step(
                f"{block.number}.{index}", act.kind, act.text, act.cautions, act.blanks, act.initials, int(act.initials)
            )
            for index, act in enumerate(block.acts, start=1)
        ),
        hoses=hose_list(rig, block.kind, running) if running else (),
        valves=tables[0] if tables else None,
        more_valves=tables[1:],
        drawing=drawing,
        if_wrong=if_wrong(rig, block),
        interruption=card(rig, block),
    )


def _cylinder_on(rig: Rig, state: State) -> str:
    """The cylinder that has a hose on it."""
    return next(
        cylinder.id
        for cylinder in rig.request.cylinders
        if any(port.id in state.mates for port in rig.bench.parts[cylinder_part(cylinder.id)].ports)
    )


def _failed(breach: Breach) -> Finding:
    return finding(
        "walk-failed",
        source=t("the walk of the hookup"),
        where=t("step {step}", step=breach.step),
        stage=breach.stage,
        step=breach.step,
        why=breach.why,
    )
