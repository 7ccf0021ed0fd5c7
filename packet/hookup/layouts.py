"""Layouts: what of the walked stages stands on one hookup sheet and the steps sheet that faces it."""

from collections.abc import Iterator
from itertools import pairwise

from packet.hookup.acts import Block
from packet.hookup.card import card
from packet.hookup.hold_table import hold_table
from packet.hookup.model import IfWrong, Layout, Stage, Strip, Swap, SwapColumn
from packet.hookup.program import Program
from packet.hookup.rig import Rig
from packet.hookup.rules import Rules
from packet.hookup.stages.say import weight
from packet.hookup.walk import Walked
from packet.words import t

RECOVERING = frozenset({"vapor", "liquid", "push-pull"})


def layouts(rig: Rig, program: Program, walked: Walked, rules: Rules, stages: tuple[Stage, ...]) -> tuple[Layout, ...]:
    """The layouts of a job: a second 'join' begins a second one; a swap belongs to none."""
    printed = [stage for stage in stages if stage.kind != "change-over"]
    starts = [place for place, stage in enumerate(printed) if stage.kind == "join"]
    cuts = [0, *starts[1:], len(printed)]
    blocks = {block.number: block for block in program.blocks}
    found = []
    for number, (start, end) in enumerate(pairwise(cuts), 1):
        part = tuple(printed[start:end])
        running = [stage for stage in part if stage.drawing is not None]
        shown = running[0]
        assert shown.drawing is not None  # for the type checker: `running` holds only such
        block = blocks[shown.number]
        found.append(
            Layout(
                number=number,
                title=t(
                    "Hookup {number}: {what}", number=number, what=t(", then ").join(item.title for item in running)
                ),
                drawn=t("Valves are drawn as they stand while running: {stage}.", stage=shown.title),
                drawing=shown.drawing,
                hoses=shown.hoses,
                valves=hold_table(rig, [blocks[stage.number] for stage in part], walked, rules),
                stages=part,
                strips=strips(rig, block),
            )
        )
    return tuple(found)


def strips(rig: Rig, block: Block) -> tuple[Strip, ...]:
    """The two strips of a steps sheet."""
    lines = card(rig, block)
    return (
        Strip(
            t("1. Alarm, smell, fire, somebody down: OUT"),
            (
                t("Leave valves as they are. Cut the power from outside if you can. Door open behind you."),
                t(
                    "Call {phone}. Nobody goes back in before the detector is clear.",
                    phone=rig.request.emergency_phone,
                ),
            ),
        ),
        Strip(t("2. The machine trips or power fails, no refrigerant about"), lines[:2]),
    )


def swap(rig: Rig, program: Program, stages: tuple[Stage, ...]) -> Swap | None:
    """The swap, once; None where one cylinder is enough."""
    changes = [stage for stage in stages if stage.kind == "change-over"]
    if not changes:
        return None
    block = next(block for block in program.blocks if block.kind == "change-over")
    return Swap(changes[0], tuple(_columns(rig, changes)), strips(rig, block))


def _columns(rig: Rig, changes: list[Stage]) -> Iterator[SwapColumn]:
    request = rig.request
    for change, old, new in zip(changes, request.cylinders, request.cylinders[1:], strict=False):
        yield SwapColumn(
            old.id,
            new.id,
            weight(request, old.change_at_gross_lb or old.stop_gross_lb),
            weight(request, new.expected_bare_gross_lb),
            weight(request, new.stop_gross_lb),
            tuple((step.number, blank) for step in change.steps for blank in step.blanks),
        )


def wrong(stages: tuple[Stage, ...]) -> tuple[IfWrong, ...]:
    """What may go wrong in any stage, once."""
    return tuple(dict.fromkeys(item for stage in stages for item in stage.if_wrong))
