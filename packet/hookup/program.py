"""The program of a job: its stages as printed, and every course they may take when carried out.

A change-over is printed once and done when the scale says so, in the liquid stage or in the vapor stage. Each split of
the change-overs between the two is a course of its own, and each is walked.
"""

from dataclasses import dataclass

from packet.hookup.acts import Act, Block
from packet.hookup.rig import Rig
from packet.hookup.stages.before import before
from packet.hookup.stages.change import During, change_over
from packet.hookup.stages.end import end
from packet.hookup.stages.join import join_for_recovery
from packet.hookup.stages.join_push_pull import join_for_push_pull, re_hose
from packet.hookup.stages.push_pull import change_push_pull, push_pull
from packet.hookup.stages.recover import liquid
from packet.hookup.stages.vapor import vapor
from packet.words import t


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of a block as it is carried out: its acts from `first` (counted from 0)."""

    block: Block
    first: int
    acts: tuple[Act, ...]


Course = tuple[Leg, ...]


@dataclass(frozen=True, slots=True)
class Program:
    """blocks: as printed. courses: as carried out; the first is the one that table and drawing are taken from."""

    blocks: tuple[Block, ...]
    courses: tuple[Course, ...]


def program_of(rig: Rig) -> Program:
    """The program of a rig's request."""
    return _push_pull_program(rig) if rig.request.push_pull else _recovery_program(rig)


def whole(block: Block) -> Leg:
    """All of a block."""
    return Leg(block, 0, block.acts)


def _recovery_program(rig: Rig) -> Program:
    request = rig.request
    changes = len(request.cylinders) - 1
    # with a liquid port alone there is nothing to draw vapor from first: it starts on liquid whatever the method says
    liquid_first = "liquid" in request.stages or not rig.has_vapor
    then_vapor = not request.raise_to_atmosphere or not liquid_first
    stages = int(liquid_first) + int(then_vapor)
    changes_from = 3 + stages if changes else 0
    first, joined = _before(rig), _join(rig, 2)
    blocks = [first, joined]
    running: list[Block] = []
    if liquid_first:
        running.append(
            Block(
                "liquid",
                3,
                t("Recover liquid"),
                t("Liquid is drawn from the appliance's liquid side. Over when no more liquid comes."),
                liquid(rig, changes_from),
            )
        )
    if then_vapor:
        running.append(
            Block(
                "vapor",
                2 + stages,
                t("Recover vapor"),
                t("Vapor is drawn down to the target. Over when the rise check is passed."),
                vapor(rig, changes_from, runs_already=liquid_first),
            )
        )
    whens: tuple[During, ...] = tuple("liquid" if block.kind == "liquid" else "vapor" for block in running)
    change: dict[tuple[int, During], Block] = {
        (index, during): _change(rig, index, during, changes_from + index)
        for index in range(changes)
        for during in whens
    }
    last = _end(rig, 3 + stages + changes)
    printed = (*blocks, *running, *(change[index, whens[-1]] for index in range(changes)), last)
    courses = []
    for split in range(changes + 1) if len(running) == 2 else (0,):
        shares = (range(split), range(split, changes)) if len(running) == 2 else (range(changes),)
        legs = [whole(block) for block in blocks]
        for block, during, share in zip(running, whens, shares, strict=True):
            legs += _with_changes(block, [change[index, during] for index in share])
        courses.append((*legs, whole(last)))
    return Program(tuple(printed), tuple(courses))


def _with_changes(block: Block, changes: list[Block]) -> list[Leg]:
    """A running stage with these change-overs done at the step that calls for them."""
    at = next((index + 1 for index, act in enumerate(block.acts) if act.calls), len(block.acts))
    return [Leg(block, 0, block.acts[:at]), *(whole(change) for change in changes), Leg(block, at, block.acts[at:])]


def _push_pull_program(rig: Rig) -> Program:
    cylinders = rig.request.cylinders
    blocks = [_before(rig), _join(rig, 2)]
    blocks.append(
        Block(
            "push-pull",
            3,
            t("Push-pull"),
            t("The machine pushes vapor into the appliance and liquid runs to the cylinder. Over at a clear glass."),
            push_pull(rig),
            cylinders[0].id,
        )
    )
    for index, cylinder in enumerate(cylinders[1:]):
        blocks.append(
            Block(
                "change-over",
                4 + index,
                t("Next cylinder: {old} off, {new} on", old=cylinders[index].id, new=cylinder.id),
                t(
                    "Done when {old} reads its change weight; push-pull goes on with {new}.",
                    old=cylinders[index].id,
                    new=cylinder.id,
                ),
                change_push_pull(rig, index),
                cylinder.id,
            )
        )
    number = 3 + len(cylinders)
    blocks.append(
        Block(
            "join",
            number,
            t("Re-hose for vapor"),
            t("One end of hoses A, B and C moves to the manifold; hose D joins machine and cylinder."),
            re_hose(rig),
        )
    )
    blocks.append(
        Block(
            "vapor",
            number + 1,
            t("Recover vapor"),
            t("What push-pull left is drawn down to the target. Over when the rise check is passed."),
            vapor(rig, 0, runs_already=False),
        )
    )
    blocks.append(_end(rig, number + 2))
    return Program(tuple(blocks), (tuple(whole(block) for block in blocks),))


def _before(rig: Rig) -> Block:
    return Block(
        "before",
        1,
        t("Before anything is joined"),
        t("People, place, power, gas, cylinders and scale. Over when all of it is initialled."),
        before(rig),
    )


def _join(rig: Rig, number: int) -> Block:
    acts = join_for_push_pull(rig) if rig.request.push_pull else join_for_recovery(rig)
    return Block(
        "join", number, t("Join and purge"), t("Hoses on, air out. Over when the stop weight is read back."), acts
    )


def _change(rig: Rig, index: int, during: During, number: int) -> Block:
    old, new = rig.request.cylinders[index].id, rig.request.cylinders[index + 1].id
    return Block(
        "change-over",
        number,
        t("Change over: {old} off, {new} on", old=old, new=new),
        t(
            "Done when {old} reads its change weight, in whichever stage that is. Over when {new} fills.",
            old=old,
            new=new,
        ),
        change_over(rig, index, during),
        new,
    )


def _end(rig: Rig, number: int) -> Block:
    return Block(
        "end",
        number,
        t("Clear, shut, disjoin, weigh"),
        t("The machine is emptied into the cylinder, everything shut, weighed and tagged."),
        end(rig),
    )
