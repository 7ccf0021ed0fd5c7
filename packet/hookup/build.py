"""From a plan to its hookup: parts, lines, the walk, tables, drawings, strips; nothing that fails the walk is handed on."""

from collections.abc import Iterator
from dataclasses import replace

from packet.findings import Finding, finding
from packet.hookup.layouts import layouts, swap_of
from packet.hookup.load import load_list, unlisted
from packet.hookup.model import Hookup
from packet.hookup.program import Program, program_of
from packet.hookup.request import Request, request_from
from packet.hookup.rig import Rig, build_rig
from packet.hookup.rules import Rules, rules_of
from packet.hookup.state import State
from packet.hookup.strips import prove_strip
from packet.hookup.walk import Breach, Walked, walk
from packet.hookup.wrong import wrong
from packet.plan.model import Plan
from packet.statements import Word, listed, statement
from packet.words import N_, speaking, spoken

_PORTS = {"liquid": N_("liquid port"), "vapor": N_("suction port")}


def build_hookup(plan: Plan) -> Hookup:
    """The hookup of a job: groups walked, what to load, findings ('kit-missing', 'walk-failed', 'ports-not-stated').

    A plan that could not decide on method, machine, scale or cylinders has no hookup: its own findings say why, and
    the hookup is empty.
    """
    request = request_from(plan)
    return Hookup((), (), ()) if request is None else replace(hookup_of(request), language=spoken())


def proved_hookup(plan: Plan) -> Hookup:
    """The hookup without what only its packet needs: what it takes and what was found. Walked all the same, never drawn."""
    request = request_from(plan)
    return Hookup((), (), ()) if request is None else replace(hookup_of(request, drawn=False), language=spoken())


def in_words_of(plan: Plan, hookup: Hookup, language: str) -> Hookup:
    """The plan's hookup in this language: the very same where it speaks it, or says nothing; else built again.

    What is drawn, connected and proved knows no language, so only the words differ.
    """
    if hookup.language in ("", language):
        return hookup
    with speaking(language):
        return build_hookup(plan)


def hookup_of(request: Request, *, drawn: bool = True) -> Hookup:
    """The hookup of a request; see build_hookup, and proved_hookup for one that is not drawn."""
    lacking = cannot_be_connected(request)
    if lacking:
        return Hookup((), (), lacking)
    rig = build_rig(request)
    program = program_of(rig)
    rules = rules_of(request)
    walked = walk(rig.bench, program, rules)
    breaches = (*walked.breaches, *_strips(rig, program, walked, rules), *unlisted(rig, program))
    findings = (*rig.kit.missing, *_asked(request), *(_failed(breach) for breach in breaches))
    if breaches or not drawn:
        return Hookup((), load_list(rig, program), findings)
    made = layouts(rig, program, walked, rules)
    swapped = swap_of(rig, program)
    stages = [stage for layout in made for stage in layout.stages]
    return Hookup(tuple(stages), load_list(rig, program), findings, made, swapped, wrong(request))


def cannot_be_connected(request: Request) -> tuple[Finding, ...]:
    """What a forced method asks for and appliance or cylinders do not have: there is nothing to draw or walk then."""
    lacking = []
    needed = {"push-pull": ("liquid", "vapor"), "liquid": ("liquid",), "vapor": ()}[request.stages[0]]
    missing_ports = [port for port in needed if port not in request.ports]
    if missing_ports or not request.ports:
        ports = tuple(Word(_PORTS[port]) for port in missing_ports or ["vapor"])
        lacking.append(statement("no-port", port=listed(ports)))
    if request.push_pull:
        lacking += [
            statement("no-two-valves", cylinder=item.id)
            for item in request.cylinders
            if set(item.valves) != {"liquid", "vapor"}
        ]
    if request.low_pressure and not request.push_pull and request.ports == ("liquid",):
        lacking.append(statement("no-suction-port"))
    return tuple(
        finding(
            "kit-missing",
            source=N_("common practice, no source"),
            where=request.job,
            what=what,
            remedy=statement("use-another"),
        )
        for what in lacking
    )


def _asked(request: Request) -> Iterator[Finding]:
    """Facts that the job leaves out: what to write, and where; the safe reading is printed meanwhile."""
    if request.unstated_ports:
        names = tuple(Word(_PORTS[port]) for port in request.unstated_ports)
        yield finding(
            "port-kind-not-stated",
            source=N_("common practice, no source"),
            where=request.ports_where,
            ports=listed(names),
        )


def _strips(rig: Rig, program: Program, walked: Walked, rules: Rules) -> Iterator[Breach]:
    """Breaches of strip 2, from every state of the valves in which hoses are on and no pump runs."""
    earlier: State | None = None
    for leg in program.courses[0]:
        for offset in range(len(leg.lines)):
            state = walked.after.get((leg.block.number, leg.first + offset))
            if state is None or state.pump_on or "C1" not in state.mates:
                continue
            seen = (state.valves, state.mode, state.holds, state.mates)
            if earlier is None or (earlier.valves, earlier.mode, earlier.holds, earlier.mates) != seen:
                push_pull = rig.request.push_pull and leg.block.layout == 1
                for why in prove_strip(rig, state, rules, push_pull=push_pull):
                    yield Breach(leg.block.printed, f"{leg.block.printed}.{leg.first + offset + 1}", why)
            earlier = state


def _failed(breach: Breach) -> Finding:
    return finding(
        "walk-failed",
        source=N_("the walk of the hookup"),
        where=breach.step,
        stage=breach.stage,
        step=breach.step,
        why=breach.why,
    )
