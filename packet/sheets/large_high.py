"""How high the blocks of each sheet get in large print, from their words, in mm: a page may end between two of them."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest

from packet.sheets.model import (
    Ask,
    CylinderAsks,
    Entry,
    Fill,
    Front,
    Load,
    Log,
    Record,
    RecordPart,
    Sheet,
    Steps,
    StopWeight,
    SwapLine,
    SwapSheet,
    Tags,
    Wrong,
)
from packet.sheets.room import rows, rows_together
from packet.words import t

TEXT_MM = 186.0
# type of 1 rem and of .95 rem in large print, as times the usual one; a row of either
SIZE, SMALL = 1.25, 1.19
ROW_MM, SMALL_ROW_MM = 4.5, 4.52
# a sheet's title in mid-page, a group's, a table's rows, the day's pressures
HEAD_MM, GROUP_MM, TABLE_ROW_MM, STRIP_ROW_MM = 7.53, 6.0, 5.9, 4.85
STEPS_GROUP_MM, HOLD_MM, TICK_MM, TICK_ROW_MM = 6.48, 10.6, 5.21, 4.75
# a row of blanks, of ticks; a row of the table of cylinders; the rise check
ASKS_MM, CHECKS_MM, CYLINDER_MM, GRID_MM = 8.6, 5.9, 10.6, 11.3
LABEL_MM, LABEL_ROW_MM, HALF_MM = 42.0, 4.6, 0.5
PLOT_MM, PLOT_BESIDE_MM = 52.5, 80.0
# what the plot leaves its words beside it, and what stands in two columns
BESIDE_PLOT_MM, COLUMN_MM = 108.5, 90.5
# a heading of the front, a row of its notes
FRONT_HEAD_MM, NOTE_MM = 7.2, 4.42
# the truck's sums change with its other jobs and take up to four rows
TRUCK_ROWS = 4
# the words of a tick of the load have 72.8 mm, of a kind that takes less than an estimate by the letters
TICK_WIDE_MM = 76.5


def blocks_large(sheet: Sheet) -> tuple[float, ...]:
    """How high each block of a sheet gets; () for one that has a page of its own."""
    match sheet:
        case Steps():
            return tuple(_steps(sheet))
        case SwapSheet():
            return (sum(_swap(sheet)),)
        case Wrong():
            return _with_head(_wrong(sheet))
        case Fill():
            return _with_head(_fill(sheet))
        case Log():
            return tuple(_log(sheet))
        case Record():
            return _with_head(_record(sheet))
        case Load():
            return _with_head(_load(sheet))
        case _:
            return ()


def _with_head(parts: Iterable[float]) -> tuple[float, ...]:
    first, *others = parts
    return (HEAD_MM + first, *others)


def small_mm(words: str, wide_mm: float = TEXT_MM, *, bold: bool = False) -> float:
    """How high running text gets."""
    return SMALL_ROW_MM * rows(words, wide_mm, bold=bold, size=SMALL) if words else 0.0


def _entries_mm(entries: Sequence[Entry]) -> float:
    # the half of it is bold
    return small_mm(" · ".join(f"{item.label} {item.value}" for item in entries), TEXT_MM * 0.97)


def _steps(sheet: Steps) -> Iterator[float]:
    for stage in sheet.stages:
        # a heading stays with its line, a caution with the line that follows, a hold with the line before it
        high, line_mm = STEPS_GROUP_MM, 0.0
        for step in stage.steps:
            high += sum(0.4 + ROW_MM * rows(words, 166.0, bold=True, size=SIZE) for words in step.cautions)
            if step.is_hold:
                said = f"{step.number} {step.text} {_marks(step.writes)} {step.also}"
                high += HOLD_MM + ROW_MM * max(0, rows(said, 145.0, bold=True, size=SIZE) - 2)
            else:
                high += 0.8 + ROW_MM * rows(f"{step.number} {step.text} {_marks(step.writes)}", 182.0, size=SIZE)
            if line_mm and not (step.is_hold and not step.cautions):
                yield line_mm
                line_mm = 0.0
            line_mm, high = line_mm + high, 0.0
        yield line_mm


def _marks(numbers: Sequence[int]) -> str:
    return " ".join(("write", *(f"({number})i" for number in numbers))) if numbers else ""


def _swap(sheet: SwapSheet) -> Iterator[float]:
    table = TABLE_ROW_MM * (3 + len(sheet.weights.rows))
    yield 6.0 * rows(f"{sheet.title} {sheet.title} {sheet.how}", TEXT_MM, size=SIZE) + table + 6.0
    for line in sheet.lines:
        yield max(9.5 if line.hold else 0.0, _swap_line_mm(line))


def _swap_line_mm(line: SwapLine) -> float:
    wide = TEXT_MM - 2.0 - 32.0 * len(line.boxes)
    words = rows(f"{line.number} {line.text} {line.also}", wide, bold=line.hold, size=SIZE)
    return 1.2 + 4.9 * (words + sum(rows(text, wide - 3.0, bold=True, size=SIZE) for text in line.cautions))


def _wrong(sheet: Wrong) -> Iterator[float]:
    for pair in zip_longest(sheet.signs[::2], sheet.signs[1::2]):
        yield max(small_mm(f"{item.label}: {item.value}", COLUMN_MM) for item in pair if item) - 0.2


def _fill(sheet: Fill) -> Iterator[float]:
    for number, size in enumerate(sheet.sizes):
        head = sum(small_mm(f"{item.label} {item.value}") for item in size.identity)
        if len(sheet.sizes) == 1 and not size.groups:
            beside = [*(size.words[:1] if size.cautions else size.words), *size.cautions]
            said = sum(small_mm(text, PLOT_BESIDE_MM) for text in beside)
            below = small_mm(" ".join(size.words[1:])) if size.cautions else 0.0
            yield head + max(20.0 + STRIP_ROW_MM * len(size.table.rows), PLOT_MM + 2.0 + said) + below
        else:
            yield head + 22.5 + TABLE_ROW_MM * len(size.table.rows)
            plot = PLOT_MM + (5.5 if size.plot.labels else 0.0)
            yield max(plot, sum(small_mm(text, BESIDE_PLOT_MM) for text in (*size.words, *size.cautions)))
        if sheet.strip and not number:
            words = small_mm(f"{sheet.strip.title} {' '.join(sheet.strip.words)}")
            yield words + 8.5 + STRIP_ROW_MM * len(sheet.strip.across.rows)


def _log(sheet: Log) -> Iterator[float]:
    opening = " ".join((sheet.title, sheet.title, sheet.opening, *sheet.reminder))
    high = HEAD_MM + SMALL_ROW_MM * (rows(opening, TEXT_MM, bold=True, size=SMALL) - 1)
    for at in range(0, len(sheet.columns), sheet.abreast):
        side_by_side = sheet.columns[at : at + sheet.abreast]
        yield (
            high
            + (1.6 if at else 0.0)
            + 11.0
            + max(sum(5.2 if row.mark else 8.0 for row in column) for column in side_by_side)
        )
        high = 0.0


def _record(sheet: Record) -> Iterator[float]:
    high = SMALL_ROW_MM * (rows(f"{sheet.title} {sheet.opening}", TEXT_MM, size=SMALL) - 1)
    for part in sheet.parts:
        high += 0.6 + (GROUP_MM if part.title and not part.heads_row and not part.words else 0.0)
        high += _entries_mm(part.known) + sum(small_mm(words) for words in part.words)
        if part.cylinders:
            high += _cylinders_mm(part.cylinders)
        if part.is_whole:
            yield high + sum(_asks(part)) + (GRID_MM if part.grid else 0.0)
            high = 0.0
            continue
        for row in _asks(part):
            yield high + row
            high = 0.0
    yield high


def _cylinders_mm(asks: CylinderAsks) -> float:
    return 5.2 + sum(max(CYLINDER_MM, LABEL_ROW_MM * rows(label, 27.0, size=SMALL) + 0.7) for label, _ in asks.rows)


def _asks(part: RecordPart) -> Iterator[float]:
    """The rows of a part's blanks, two in each, where none takes all of it."""
    left, high = (HALF_MM, GROUP_MM) if part.heads_row else (1.0, 0.0)
    for ask in part.asks:
        wide = 1.0 if ask.width == "full" or (ask.printed and not ask.comb and ask.width == "half") else HALF_MM
        if wide > left:
            yield high
            left, high = 1.0, 0.0
        left, high = left - wide, max(high, _ask_mm(ask, wide))
    if high:
        yield high


def _ask_mm(ask: Ask, wide: float) -> float:
    if ask.kind == "check":
        return CHECKS_MM
    label = LABEL_MM if wide == HALF_MM else 3 * LABEL_MM
    numbered = f"({ask.number})i {ask.label}" if ask.number else ask.label
    return max(ASKS_MM, LABEL_ROW_MM * rows(numbered, label + 1.0, size=SMALL))


def _load(sheet: Load) -> Iterator[float]:
    high, kit = 0.0, list[float]()
    for group in sheet.groups:
        high += 5.5 if group.title else 0.0
        for at in range(0, len(group.ticks), 2):
            pair = group.ticks[at : at + 2]
            kit.append(
                high + TICK_MM + TICK_ROW_MM * max(rows(tick.text, TICK_WIDE_MM, size=SIZE) - 1 for tick in pair)
            )
            high = 0.0
    yield from rows_together(kit)
    yield small_mm(" ".join((*sheet.carrying, sheet.method.title, *sheet.method.sentences)))
    yield TRUCK_ROWS * SMALL_ROW_MM + 1.0


def front_large_mm(front: Front) -> float:
    """How high a front gets above phones and first aid, which stand at its first page's foot. In the current language."""
    share = TEXT_MM / max(1, len(front.glance)) - 3.0
    high = 1.5 + 6.8 + 5.8 * max((rows(item.value, share, bold=True, size=1.375) for item in front.glance), default=0)
    high += FRONT_HEAD_MM + sum(_stop_mm(item, len(front.stops)) for item in front.stops)
    high += sum(NOTE_MM * rows(words, TEXT_MM, size=1.125) for words in front.stop_words)
    gauge = 6.0 * rows(front.vacuum.label, 73.0, bold=True, size=1.5) + 8.4 * rows(
        front.vacuum.gauge, 73.0, bold=True, size=2.125
    )
    high += 2.5 + max(gauge, NOTE_MM * rows(" ".join(front.vacuum.law), 110.0, size=1.125))
    how = t("Read each line, see to it, and initial it. Nothing is connected before every box is initialed.")
    high += FRONT_HEAD_MM + (6.1 * (rows(f"{t('Go or no-go')} {how}", TEXT_MM, size=1.13) - 1) if front.go else 0.0)
    high += sum(
        max(8.9, 1.2 + 4.8 * rows(f"{tick.text} {tick.detail} {tick.also}", 164.0, size=SIZE)) for tick in front.go
    )
    high += 9.5 + 5.07 * rows(f"{front.no_go} {front.no_go_also}", TEXT_MM, bold=True, size=SIZE)
    return (
        high
        + FRONT_HEAD_MM
        + 4.61
        * rows(
            " · ".join(f"{item.label} {item.value}" for item in (*front.site, *front.who)),
            TEXT_MM,
            bold=True,
            size=SMALL,
        )
        + sum(NOTE_MM * rows(words, TEXT_MM, size=1.125) for words in front.notes)
    )


def _stop_mm(stop: StopWeight, of: int) -> float:
    beside = [f"{item.label} {item.value}" for item in (stop.before, *stop.beside)]
    wide = 48.0 if of == 1 else 52.0
    counts = [rows(words, wide, bold=True, size=1.175) for words in beside]
    # what is to be weighed has its number before it
    counts[0] = rows(f"(14)m {beside[0]}", wide, bold=True, size=1.175)
    pairs = zip_longest(counts[::2], counts[1::2], fillvalue=1)
    return max(17.0 if of > 1 else 21.8, 1.4 + 5.1 * sum(max(pair) for pair in pairs))


def tags_large_mm(sheet: Tags) -> float:
    """How high the last leaf's tags and the owner's half get, below something else or by themselves."""
    high = HEAD_MM + SMALL_ROW_MM * (rows(f"{sheet.title} {sheet.title} {sheet.opening}", TEXT_MM, size=SMALL) - 1)
    for tag in sheet.leaves[-1]:
        wide = [rows(item.value, 44.0 if at < 2 else 97.0, bold=True, size=SIZE) for at, item in enumerate(tag.lines)]
        warnings = small_mm(tag.warning, 87.0)
        high += 12.0 + 4.9 * sum(rows(line, 180.0, bold=True, size=SIZE) for line in tag.shipping)
        high += 4.9 * max(sum(wide[:2]), sum(wide[2:])) + max(9.4, warnings) + small_mm(tag.warning_also)
    owner = sheet.owner
    entries = " · ".join(f"{item.label} {item.value}" for item in owner.entries)
    high += (
        6.0
        + 4.65 * rows(f"{owner.opening} {entries}", TEXT_MM, bold=True, size=SMALL)
        + small_mm(" ".join(owner.words))
    )
    for asks in (owner.asks, owner.signatures):
        high += sum(_asks(RecordPart("", (), asks)))
    return high
