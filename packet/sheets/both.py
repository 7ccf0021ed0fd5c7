"""Two languages on one paper: what stops people stands in both, the rest in the reader's.

The packet is composed in each language; both have the same sheets, lines and boxes, so the second one's words are put
beside the first's, place by place. In both stand the lines to initial before the start, every hold and the two strips.
"""

from collections.abc import Iterable
from dataclasses import replace

from packet.sheets.model import (
    Content,
    Front,
    PrintedStep,
    Reasons,
    Sheet,
    StageSteps,
    Steps,
    SwapLine,
    SwapSheet,
    Tick,
)
from packet.words import spoken, t


def in_both(content: Content, other: Content) -> Content:
    """`content` with the words of `other`, which is in the language spoken here, beside what stops people.

    Raises ValueError where the two differ in more than their words.
    """
    sheets = tuple(_sheet(one, two) for one, two in zip(content.sheets, other.sheets, strict=True))
    return replace(content, also=spoken(), sheets=sheets)


def _sheet(one: Sheet, two: Sheet) -> Sheet:
    match one, two:
        case Front(), Front():
            return replace(one, go=_each(one.go, two.go), no_go_also=two.no_go)
        case Steps(), Steps():
            stages = tuple(_stage(*pair) for pair in zip(one.stages, two.stages, strict=True))
            return replace(one, stages=stages, strips=_strips(one.strips, two.strips))
        case SwapSheet(), SwapSheet():
            lines = tuple(_swap_line(*pair) for pair in zip(one.lines, two.lines, strict=True))
            return replace(one, lines=lines, strips=_strips(one.strips, two.strips))
        case _:
            return one


def _each(ones: Iterable[Tick], twos: Iterable[Tick]) -> tuple[Tick, ...]:
    return tuple(
        replace(one, also=" ".join(part for part in (two.text, two.detail) if part))
        for one, two in zip(ones, twos, strict=True)
    )


def _stage(one: StageSteps, two: StageSteps) -> StageSteps:
    return replace(one, steps=tuple(_step(*pair) for pair in zip(one.steps, two.steps, strict=True)))


def _step(one: PrintedStep, two: PrintedStep) -> PrintedStep:
    return replace(one, also=f"{hold_word(two.hold)} {two.text}") if two.is_hold else one


def _swap_line(one: SwapLine, two: SwapLine) -> SwapLine:
    return replace(one, also=two.text) if two.hold else one


def _strips(ones: tuple[Reasons, ...], twos: tuple[Reasons, ...]) -> tuple[Reasons, ...]:
    return tuple(_with(one, two) for one, two in zip(ones, twos, strict=True))


def _with(one: Reasons, two: Reasons) -> Reasons:
    return replace(one, also=" ".join((two.title, *two.sentences)))


def hold_word(number: int) -> str:
    """What a hold is called: 'HOLD 3', or 'HOLD' where it has no number."""
    return t("HOLD {number}", number=number) if number else t("HOLD")
