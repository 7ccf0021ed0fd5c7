"""Layouts: what of the walked groups stands on one hookup sheet and the steps sheet that faces it; and the swap."""

from collections.abc import Iterator

from packet.hookup.acts import Block, Line
from packet.hookup.drawing.ink import draw
from packet.hookup.hold_table import hold_table
from packet.hookup.hose_list import hose_list, service_hoses
from packet.hookup.model import Layout, Stage, Step, Swap, SwapColumn
from packet.hookup.parts import cylinder_part
from packet.hookup.program import Program
from packet.hookup.rig import Rig
from packet.hookup.rules import Rules
from packet.hookup.stages.cylinders import after_blank, before_blank
from packet.hookup.stages.say import weight
from packet.hookup.state import State
from packet.hookup.strips import strips
from packet.hookup.walk import Walked
from packet.words import t


def layouts(rig: Rig, program: Program, walked: Walked, rules: Rules) -> tuple[Layout, ...]:
    """The layouts of a job: one, or two after push-pull."""
    holds = hold_numbers(program)
    numbers = sorted({block.layout for block in program.blocks})
    return tuple(
        _layout(rig, [block for block in program.blocks if block.layout == number], holds, walked, rules)
        for number in numbers
    )


def _layout(rig: Rig, blocks: list[Block], holds: dict[tuple[int, int], int], walked: Walked, rules: Rules) -> Layout:
    kinds = [block.kind for block in blocks]
    stage = next(kind for kind in ("push-pull", "liquid", "vapor") if kind in kinds)
    shown = _running(blocks, stage, walked)
    cylinder = next(item for item in rig.request.cylinders if item.id == _cylinder_on(rig, shown))
    service = service_hoses(rig, blocks)
    number = blocks[0].layout
    return Layout(
        number=number,
        title=_title(rig, number, stage, then_vapor="vapor" in kinds and stage == "liquid"),
        drawn=_drawn(stage, then_vapor="vapor" in kinds and stage == "liquid"),
        drawing=draw(rig, shown, stage, cylinder, service),
        hoses=(*hose_list(rig, stage, shown), *service),
        valves=hold_table(rig, blocks, holds, walked, rules, push_pull=stage == "push-pull"),
        stages=tuple(stage_of(block, holds) for block in blocks),
        strips=strips(rig, push_pull=stage == "push-pull"),
    )


def _running(blocks: list[Block], stage: str, walked: Walked) -> State:
    """How everything stands while this stage runs: after the last of its lines that says so."""
    return [
        walked.after[block.number, index]
        for block in blocks
        if block.kind == stage
        for index, line in enumerate(block.lines)
        if line.running
    ][-1 if stage != "liquid" else 0]


def _title(rig: Rig, number: int, stage: str, *, then_vapor: bool) -> str:
    if stage == "push-pull":
        return t("Hookup 1: push-pull") if not rig.request.liquid_alone else t("Hookup: push-pull")
    if then_vapor:
        return t("Hookup: liquid, then vapor")
    return t("Hookup 2: vapor") if number == 2 else t("Hookup: vapor")


def _drawn(stage: str, *, then_vapor: bool) -> str:
    if stage == "push-pull":
        return t("Valves are drawn as they stand while push-pull runs.")
    if then_vapor:
        return t("Valves are drawn as they stand while liquid runs; for vapor see the table.")
    return t("Valves are drawn as they stand while vapor runs.")


def hold_numbers(program: Program) -> dict[tuple[int, int], int]:
    """The number of each hold, counted through the job, by (block, line); the swap's have none of their own."""
    places = [
        (block.number, index) for block in program.blocks for index, line in enumerate(block.lines) if line.initials
    ]
    return {place: number for number, place in enumerate(places, 1)}


def stage_of(block: Block, holds: dict[tuple[int, int], int]) -> Stage:
    """A group as printed."""
    return Stage(
        kind=block.kind,
        number=block.number,
        title=block.title,
        opening=block.opening,
        steps=tuple(
            _step(block, index, line, holds.get((block.number, index), 0)) for index, line in enumerate(block.lines)
        ),
    )


def _step(block: Block, index: int, line: Line, hold: int) -> Step:
    return Step(
        number=f"{block.printed}.{index + 1}",
        kind=line.kind,
        text=line.text,
        cautions=line.cautions,
        blanks=line.blanks,
        initials=line.initials,
        hold=hold,
    )


def swap_of(rig: Rig, program: Program) -> Swap | None:
    """The swap, once; None where one cylinder is enough."""
    if program.swap is None:
        return None
    push_pull = rig.request.push_pull
    return Swap(stage_of(program.swap, {}), tuple(_columns(rig, program.swap)), strips(rig, push_pull=push_pull))


def _columns(rig: Rig, block: Block) -> Iterator[SwapColumn]:
    request = rig.request
    off = _line_that(block, "weigh-after")
    on = _line_that(block, "weigh-before")
    for old, new in zip(request.cylinders, request.cylinders[1:], strict=False):
        yield SwapColumn(
            old.id,
            new.id,
            weight(request, old.change_at_gross_lb or old.stop_gross_lb),
            weight(request, new.expected_bare_gross_lb),
            weight(request, new.stop_gross_lb),
            ((off, after_blank(request, old)), (on, before_blank(request, new))),
        )


def _line_that(block: Block, op: str) -> str:
    """The printed number of the line that does this."""
    index = next(
        index
        for index, line in enumerate(block.lines)
        if any(effect.op == op for act in line.acts for effect in act.effects)
    )
    return f"{block.printed}.{index + 1}"


def _cylinder_on(rig: Rig, state: State) -> str:
    """The cylinder that has a hose on it."""
    return next(
        cylinder.id
        for cylinder in rig.request.cylinders
        if any(port.id in state.mates for port in rig.bench.parts[cylinder_part(cylinder.id)].ports)
    )
