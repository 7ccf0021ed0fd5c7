"""The program of a job: its groups of lines as printed, and every course they may take when carried out.

A swap is printed once and done when the scale says so, in the liquid stage or in the vapor stage. Each split of the
swaps between the two is a course of its own, and each is walked.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from packet.hookup.acts import Block, Line
from packet.hookup.model import StageKind
from packet.hookup.rig import Rig
from packet.hookup.rules import LONGEST_GROUP
from packet.hookup.stages.connect import connect, connect_push_pull
from packet.hookup.stages.cylinders import cylinders_and_scale
from packet.hookup.stages.end import after, clear_and_close, disconnect_and_weigh, end_push_pull_alone
from packet.hookup.stages.evacuate import evacuate, evacuate_push_pull, verify
from packet.hookup.stages.people import people_and_place, power_and_system
from packet.hookup.stages.push_pull import (
    evacuate_again,
    reconnect,
    second_start,
    start_push_pull,
    watch_push_pull,
)
from packet.hookup.stages.recover import after_target, liquid, start, switch_on, vapor
from packet.hookup.stages.swap import During, swap, swap_push_pull
from packet.words import t


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of a block as it is carried out: its lines from `first` (counted from 0)."""

    block: Block
    first: int
    lines: tuple[Line, ...]


Course = tuple[Leg, ...]


@dataclass(frozen=True, slots=True)
class Program:
    """blocks: as printed, without the swap. swap: printed once, None where one cylinder is enough. courses: as carried
    out; the first is the one that table and drawing are taken from.
    """

    blocks: tuple[Block, ...]
    courses: tuple[Course, ...]
    swap: Block | None = None


SWAP_LABEL = "S"


class _Numbered:
    """Blocks in the order they are printed, numbered from 1; a group of more than nine lines becomes two."""

    def __init__(self) -> None:
        self.blocks: list[Block] = []
        self.layout = 1

    def add(self, kind: StageKind, title: str, opening: str, lines: Iterable[Line]) -> None:
        """Add one group, split evenly where it is too long; none for no lines."""
        every = tuple(lines)
        pieces = -(-len(every) // LONGEST_GROUP)
        size = -(-len(every) // pieces) if pieces else 0
        for piece in range(pieces):
            said = title if pieces == 1 else t("{title}, part {piece}", title=title, piece=piece + 1)
            part = every[piece * size : (piece + 1) * size]
            number = len(self.blocks) + 1
            self.blocks.append(Block(kind, number, said, opening if not piece else "", part, self.layout))


def program_of(rig: Rig) -> Program:
    """The program of a rig's request."""
    numbered = _Numbered()
    _before(rig, numbered)
    if rig.request.push_pull:
        _push_pull(rig, numbered)
    else:
        _recovery(rig, numbered)
    _end(rig, numbered)
    blocks = tuple(numbered.blocks)
    changes = len(rig.request.cylinders) - 1
    if not changes:
        return Program(blocks, (tuple(whole(block) for block in blocks),))
    callers = [block for block in blocks if any(line.calls for line in block.lines)]
    swaps = [_swap_block(rig, index, blocks, "vapor") for index in range(changes)]
    if rig.request.push_pull:
        return Program(blocks, (_course(blocks, {callers[0].number: swaps}),), swaps[0])
    in_liquid = [_swap_block(rig, index, blocks, "liquid") for index in range(changes)]
    if len(callers) == 1:
        chosen = in_liquid if callers[0].kind == "liquid" else swaps
        return Program(blocks, (_course(blocks, {callers[0].number: chosen}),), chosen[0])
    courses = tuple(
        _course(blocks, {callers[0].number: in_liquid[:split], callers[1].number: swaps[split:]})
        for split in range(changes + 1)
    )
    return Program(blocks, courses, swaps[0])


def whole(block: Block) -> Leg:
    """All of a block."""
    return Leg(block, 0, block.lines)


def _course(blocks: tuple[Block, ...], swaps: dict[int, list[Block]]) -> Course:
    """The blocks in order, with these swaps done at the line that calls for them."""
    legs: list[Leg] = []
    for block in blocks:
        here = swaps.get(block.number)
        if not here:
            legs.append(whole(block))
            continue
        at = next(index + 1 for index, line in enumerate(block.lines) if line.calls)
        legs += [Leg(block, 0, block.lines[:at]), *(whole(item) for item in here), Leg(block, at, block.lines[at:])]
    return tuple(legs)


def _swap_block(rig: Rig, index: int, blocks: tuple[Block, ...], during: During) -> Block:
    lines = swap_push_pull(rig, index) if rig.request.push_pull else swap(rig, index, during)
    return Block(
        "change-over",
        len(blocks) + 1 + index,
        t("Swap cylinders"),
        t("Done at the swap weight, in whichever stage that is; a column for each swap."),
        lines,
        1,
        SWAP_LABEL,
    )


def _before(rig: Rig, numbered: _Numbered) -> None:
    request = rig.request
    place, power = list(people_and_place(request)), list(power_and_system(rig))
    if len(place) + len(power) <= LONGEST_GROUP:
        numbered.add("before", t("People, place, power"), t("Before anything is connected."), [*place, *power])
    else:
        numbered.add("before", t("People and place"), t("Before anything is connected."), place)
        numbered.add("before", t("Power and system"), "", power)
    numbered.add("before", t("Cylinders and scale"), "", cylinders_and_scale(rig))


def _recovery(rig: Rig, numbered: _Numbered) -> None:
    request = rig.request
    cylinder = request.cylinders[0]
    _join(numbered, list(connect(rig)), [*evacuate(rig), *verify(rig)])
    # with a liquid port alone there is nothing to draw vapor from first: it starts on liquid whatever the method says
    liquid_first = "liquid" in request.stages or not rig.has_vapor
    kind: During = "liquid" if liquid_first else "vapor"
    numbered.add(kind, t("Start"), "", start(rig, cylinder, kind))
    if liquid_first:
        numbered.add("liquid", t("Recover liquid"), t("Done when no more liquid comes."), liquid(rig))
    lines = [*vapor(rig, runs_already=liquid_first), *after_target(rig)]
    numbered.add("vapor", t("Recover vapor"), _vapor_opening(rig), lines)


def _vapor_opening(rig: Rig) -> str:
    if rig.request.target_is_percent:
        return t("Done when the charge is recovered by weight, or at 4 inHg.")
    return t("Done when the required vacuum holds.")


def _join(numbered: _Numbered, hoses: list[Line], air_out: list[Line]) -> None:
    if len(hoses) + len(air_out) <= LONGEST_GROUP:
        numbered.add("join", t("Connect, evacuate, verify"), "", [*hoses, *air_out])
        return
    numbered.add("join", t("Connect"), "", hoses)
    numbered.add("join", t("Evacuate and verify"), "", air_out)


def _push_pull(rig: Rig, numbered: _Numbered) -> None:
    request = rig.request
    _join(numbered, list(connect_push_pull(rig)), [*evacuate_push_pull(rig), *verify(rig)])
    numbered.add("push-pull", t("Start push-pull"), "", start_push_pull(rig))
    numbered.add(
        "push-pull",
        t("Push-pull"),
        t("The machine pushes vapor into the appliance, liquid runs to the cylinder. Done at a clear sight glass."),
        watch_push_pull(rig),
    )
    if request.liquid_alone:
        return
    numbered.layout = 2
    _join(numbered, list(reconnect(rig)), [*evacuate_again(rig), *second_start(rig)])
    lines = [switch_on(rig, request.cylinders[-1], "vapor", first=False), *vapor(rig, runs_already=False)]
    numbered.add("vapor", t("Recover vapor"), _vapor_opening(rig), [*lines, *after_target(rig)])


def _end(rig: Rig, numbered: _Numbered) -> None:
    close = list(end_push_pull_alone(rig) if rig.request.liquid_alone else clear_and_close(rig))
    off = list(disconnect_and_weigh(rig))
    if len(close) + len(off) <= LONGEST_GROUP:
        numbered.add("end", t("Clear, close, disconnect, weigh"), "", [*close, *off])
    else:
        numbered.add("end", t("Clear and close"), "", close)
        numbered.add("end", t("Disconnect and weigh"), "", off)
    numbered.add("end", t("Afterwards"), "", after(rig))
