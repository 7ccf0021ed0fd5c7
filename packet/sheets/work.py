"""The sheets of the work itself: for each hookup its drawing and the steps that face it, the swap, and what goes wrong."""

from packet.hookup.model import HoldMark, HoldTable, Hookup, Layout, Stage, Step, Strip, Swap
from packet.sheets.model import (
    Entry,
    HookupSheet,
    PrintedStep,
    Reasons,
    StageSteps,
    Steps,
    SwapLine,
    SwapSheet,
    Table,
    Wrong,
)
from packet.words import N_, t

MARKS: dict[HoldMark, str] = {
    "open": N_("OPEN"),
    "closed": N_("closed"),
    "throttled": N_("throttled"),
    "mid": N_("MID"),
    "back": N_("back-seated"),
    "none": "",
}
# between the names of valves in one cell: some names have a comma of their own
BETWEEN_NAMES = "; "
LINES = {
    "liquid": N_("red, solid"),
    "vapor": N_("blue, dashed"),
    "utility": N_("yellow, dash-dot"),
    "cable": N_("cable, dotted"),
}


def sheets_of(layout: Layout, hookup: Hookup, numbers: dict[str, int], card: str = "") -> tuple[HookupSheet, Steps]:
    """A hookup and its steps. numbers: of the Record's blanks, by key; card: revision of the card the strips refer to."""
    several = len(hookup.layouts) > 1
    return _hookup(layout, several), _steps(layout, numbers, several, card)


def _numbered(name: str, number: int, *, several: bool) -> str:
    return t("{name} {number}", name=name, number=number) if several else name


def _hookup(layout: Layout, several: bool) -> HookupSheet:
    return HookupSheet(
        name=_numbered(t("Hookup"), layout.number, several=several),
        title=layout.title,
        opening=" ".join((layout.drawn, t("Where your fittings differ from it, stop and ask."))),
        drawing=layout.drawing,
        hoses=_hoses(layout),
        valves=_valves(layout.valves),
    )


def _hoses(layout: Layout) -> Table:
    heads = (t("Hose"), t("From"), t("To"), t("Line"), t("Shut-off"), t("Take"))
    rows = tuple(
        (
            hose.letter,
            hose.from_port,
            hose.to_port,
            t(LINES[hose.carries]),
            BETWEEN_NAMES.join(hose.shut_off_at),
            hose.hose_id,
        )
        for hose in layout.hoses
    )
    return Table(t("Hoses: the letter stands at both ends"), heads, rows)


def _valves(table: HoldTable) -> Table:
    """Valves that always stand alike share a row, so that the table fits below its drawing."""
    alike: dict[tuple[HoldMark, ...], list[str]] = {}
    for name, marks in table.rows:
        alike.setdefault(marks, []).append(name)
    rows = tuple(
        (BETWEEN_NAMES.join(names), *(t(MARKS[mark]) if MARKS[mark] else "–" for mark in marks))
        for marks, names in alike.items()
    )
    caption = t("Valves: how each stands at the holds, while running, and stopped by strip 2")
    return Table(
        t("{caption} (–: not connected)", caption=caption) if any("none" in marks for marks in alike) else caption,
        (t("Valve"), *table.columns),
        rows,
    )


def _steps(layout: Layout, numbers: dict[str, int], several: bool, card: str) -> Steps:
    name = _numbered(t("Steps"), layout.number, several=several)
    return Steps(
        name=name,
        title=name,
        how=t("One line, one tick. At a HOLD everybody stops until it is initialed. Interrupted: go back to the last initialed hold."),
        stages=tuple(_stage(stage, numbers) for stage in layout.stages),
        strips=_strips(layout.strips, card),
    )  # fmt: skip


def _strips(strips: tuple[Strip, ...], card: str) -> tuple[Reasons, ...]:
    rest = (t("Anything else: field card {revision}.", revision=card),) if card else ()
    return tuple(Reasons(strip.title, strip.lines + rest if strip is strips[-1] else strip.lines) for strip in strips)


def _stage(stage: Stage, numbers: dict[str, int]) -> StageSteps:
    return StageSteps(
        title=t("{number}. {title}", number=stage.number, title=stage.title),
        opening=stage.opening,
        steps=tuple(_step(step, numbers) for step in stage.steps),
    )


def _step(step: Step, numbers: dict[str, int]) -> PrintedStep:
    holds = step.initials or step.kind == "hold"
    return PrintedStep(
        number=step.number,
        box=f"{'hold' if holds else 'step'}.{step.number}",
        text=step.text,
        cautions=step.cautions,
        writes=tuple(numbers[blank.key] for blank in step.blanks),
        hold=step.hold if holds else 0,
    )


def swap_sheet(swap: Swap, numbers: dict[str, int], card: str = "") -> SwapSheet:
    """The swap, once, a column for each."""
    columns = swap.columns
    heads = tuple(t("{old} to {new}", old=column.old, new=column.new) for column in columns)
    weights = Table(
        t("Gross weights"),
        (t("Swap"), t("Off at"), t("New one weighs BEFORE"), t("New one stops at")),
        tuple(
            (head, t("{cylinder}: {weight}", cylinder=column.old, weight=column.change_at), column.expected_before, column.stop)
            for head, column in zip(heads, columns, strict=True)
        ),
    )  # fmt: skip
    return SwapSheet(
        name=t("Swap"),
        title=t("Swap cylinders"),
        how=swap.stage.opening,
        heads=heads,
        weights=weights,
        lines=tuple(_swap_line(step, swap, numbers) for step in swap.stage.steps),
        strips=_strips(swap.strips, card),
    )


def _swap_line(step: Step, swap: Swap, numbers: dict[str, int]) -> SwapLine:
    holds = step.initials or step.kind == "hold"
    return SwapLine(
        number=step.number,
        text=step.text,
        cautions=step.cautions,
        boxes=tuple(f"{'hold' if holds else 'step'}.{step.number}.{column.new}" for column in swap.columns),
        writes=tuple(
            tuple(numbers[blank.key] for at, blank in column.blanks if at == step.number) for column in swap.columns
        ),
        hold=holds,
    )


def wrong(hookup: Hookup) -> Wrong:
    """What may go wrong and what to do then, once."""
    signs = tuple(Entry(item.sign, item.action) for item in hookup.wrong)
    return Wrong(t("When it goes wrong"), t("When it goes wrong"), signs)
