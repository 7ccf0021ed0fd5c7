"""The sheets of the work itself: a hookup a stage, and the steps."""

from itertools import pairwise

from packet.hookup.model import Drawing, Hookup, Stage, Step, ValveMark, ValveTable
from packet.sheets.model import Entry, HookupSheet, PrintedStep, StageSteps, Steps, Table, ValveRows
from packet.words import N_, t

MARKS: dict[ValveMark, str] = {
    "open": N_("OPEN"),
    "shut": N_("shut"),
    "cracked": N_("crack"),
    "unchanged": "·",
}
LINES = {
    "liquid": N_("red, high, solid"),
    "vapor": N_("blue, low, dashed"),
    "utility": N_("yellow, dash-dot"),
    "cable": N_("cable, dotted"),
}
# what fits the width of the page beside the valves' names
COLUMNS = 11


def work(hookup: Hookup) -> tuple[HookupSheet | Steps, ...]:
    """Hookup sheets and steps in the order of the work: a new hosing starts a new set of sheets."""
    sheets: list[HookupSheet | Steps] = []
    parts = _parts(hookup.stages)
    for number, stages in enumerate(parts, 1):
        sheets += _hookups(stages)
        sheets.append(_steps(stages, number if len(parts) > 1 else 0))
    return tuple(sheets)


def _parts(stages: tuple[Stage, ...]) -> list[tuple[Stage, ...]]:
    # 'join' is where hoses are laid; a second one re-hoses, and everything after it belongs to the new hookup
    starts = [number for number, stage in enumerate(stages) if stage.kind == "join"]
    cuts = [0, *starts[1:], len(stages)]
    return [stages[start:end] for start, end in pairwise(cuts) if start < end]


def _hookups(stages: tuple[Stage, ...]) -> list[HookupSheet]:
    return [_hookup(stage, stage.drawing) for stage in stages if stage.drawing is not None]


def _hookup(stage: Stage, drawing: Drawing) -> HookupSheet:
    return HookupSheet(
        name=t("Hookup {stage}", stage=stage.number),
        title=t("Hookup: {stage}", stage=stage.title),
        opening=stage.opening,
        drawing=drawing,
        hoses=_hoses(stage),
        valves=_valves(stage),
        valves_title=t("Valves: how each stands after the step; a dot means as before"),
        deferral=t(
            "The drawing shows the order of things, not your fittings: where they differ, stop and ask. The makers' instructions, the safety data sheet, local codes and the licensed technician's judgment come first."
        ),
    )


def _valves(stage: Stage) -> tuple[ValveRows, ...]:
    tables = (stage.valves, *stage.more_valves) if stage.valves is not None else ()
    return tuple(part for table in tables for part in _rows(table))


def _hoses(stage: Stage) -> Table:
    heads = (t("Hose"), t("From"), t("To"), t("Line"), t("Shut-off"), t("Take"))
    rows = tuple(
        (
            hose.letter,
            hose.from_port,
            hose.to_port,
            t(LINES[hose.carries]),
            hose.shut_off_at,
            hose.hose_id,
        )
        for hose in stage.hoses
    )
    return Table(t("Hoses: the letter stands at both ends of the line in the drawing"), heads, rows)


def _rows(table: ValveTable) -> list[ValveRows]:
    parts = []
    for start in range(0, len(table.columns), COLUMNS):
        window = slice(start, start + COLUMNS)
        shown = [(name, marks[window]) for name, marks in table.rows]
        moved = tuple((name, tuple(_mark(mark) for mark in marks)) for name, marks in shown if _moves(marks))
        still = [(name, marks[0]) for name, marks in shown if not _moves(marks)]
        parts.append(ValveRows(table.columns[window], moved, _same(still)))
    return parts


def _moves(marks: tuple[ValveMark, ...]) -> bool:
    # the first column is how the valve stood before
    return any(mark != "unchanged" for mark in marks[1:])


def _same(still: list[tuple[str, ValveMark]]) -> str:
    """One sentence on the valves that keep still, by how they stand."""
    groups = [
        t("{mark}: {valves}", mark=_mark(mark), valves=", ".join(name for name, how in still if how == mark))
        for mark in MARKS
        if any(how == mark for _, how in still)
    ]
    return t("Not moved here. {groups}.", groups="; ".join(groups)) if groups else ""


def _mark(mark: ValveMark) -> str:
    return MARKS[mark] if mark == "unchanged" else t(MARKS[mark])


def _steps(stages: tuple[Stage, ...], number: int) -> Steps:
    name = t("Steps {number}", number=number) if number else t("Steps")
    return Steps(
        name=name,
        title=name,
        stages=tuple(_stage(stage) for stage in stages),
        deferral=t(
            "One step, one tick; a hold point stops everyone until it is initialled. After an interruption go back to the last hold point. The maker's instructions for this machine, the safety data sheet, local codes and the licensed technician's judgment come before any line here."
        ),
    )


def _stage(stage: Stage) -> StageSteps:
    return StageSteps(
        title=t("{number}. {title}", number=stage.number, title=stage.title),
        opening=stage.opening,
        steps=tuple(_step(step) for step in stage.steps),
        # a stage with a drawing has its valve table there
        valves=_valves(stage) if stage.drawing is None else (),
        if_wrong=tuple(Entry(item.sign, item.action) for item in stage.if_wrong),
        interruption=stage.interruption,
    )


def _step(step: Step) -> PrintedStep:
    initials = step.initials or step.kind == "hold"
    return PrintedStep(
        number=step.number,
        box=f"{'hold' if initials else 'step'}.{step.number}",
        kind="hold" if initials else step.kind,
        text=step.text,
        cautions=step.cautions,
        blanks=step.blanks,
        initials=initials,
    )
