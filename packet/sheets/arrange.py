"""In what order the sheets stand, and which of them share a leaf: so that as few leaves as can be are half empty.

Sheets flow on after one another, but a hookup stands on the back of the page before its steps, and what is cut begins a
leaf. How high each sheet gets is estimated from its words, in mm of the usual type; the press sets what is arranged
here as it comes, so that a wrong estimate costs a page and nothing else.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import permutations, product

from packet.sheets.model import (
    Content,
    Fill,
    HookupSheet,
    Load,
    Log,
    Record,
    Sheet,
    Steps,
    SwapLine,
    SwapSheet,
    Tags,
    Wrong,
)
from packet.sheets.room import TICK_MM, rows

PAPER_HIGH_MM = {"letter": 279.4, "A4": 297.0}
# what the codes at head and foot take of a page that has strips, and of one that has none
BESIDE_STRIPS_MM, BESIDE_CODES_MM = 61.5, 51.5
LARGER_STRIPS_MM = 13.0
HEAD_MM = 7.0
ROW_MM, SMALL_ROW_MM = 4.0, 3.9
TEXT_MM, SMALL = 186.0, 0.95
STRIP_MM = 152.0
# what an estimate may be short of on a page
SLACK_MM = 2.5
# large type is higher and wraps sooner, most where things stand side by side; what a hand writes in stays as high
LARGER: dict[str, float] = {
    "steps": 1.52, "swap": 1.5, "wrong": 1.7, "fill": 1.5, "log": 1.25, "record": 1.7, "load": 1.5,
}  # fmt: skip

# How many pages, and the few lines (mm) that the last of them holds: less of them may be saved by setting them closer.
Pages = tuple[float, float]
FEW_LINES_MM = 75.0


@dataclass(frozen=True, slots=True)
class Page:
    """What a page has for its blocks, and whether its type is large."""

    high_mm: float
    large: bool


def arranged(content: Content) -> Content:
    """The packet with its sheets in the order and on the leaves that take the fewest pages."""
    if not any(isinstance(sheet, Tags) for sheet in content.sheets):
        return content
    large = content.size == "large"
    strips = BESIDE_STRIPS_MM + _second_strips_mm(content) + LARGER_STRIPS_MM * large
    page = Page(PAPER_HIGH_MM[content.paper] - strips - SLACK_MM, large)
    *sheets, loaded, cut = content.sheets
    assert isinstance(loaded, Load)
    assert isinstance(cut, Tags)
    if content.size == "usual" and _share_a_leaf(loaded, cut, PAPER_HIGH_MM[content.paper] - BESIDE_CODES_MM):
        last: tuple[Sheet, ...] = (replace(loaded, above_tags=True), replace(cut, below_load=True))
    else:
        last = (cut,)
        sheets.append(loaded)
    begin = next(at for at, sheet in enumerate(sheets) if isinstance(sheet, Steps)) + 1
    second = next((at for at in range(begin, len(sheets)) if isinstance(sheets[at], HookupSheet)), None)
    if second is not None:
        order: Sequence[Sheet] = _around_the_second(
            sheets[begin - 1], sheets[second : second + 2], sheets[second + 2 :], page
        )
    else:
        order, _ = _fewest(sheets[begin - 1], sheets[begin:], page)
    return replace(content, sheets=(*sheets[:begin], *order, *last))


def _second_strips_mm(content: Content) -> float:
    """What the strips in a second language take of every page that flows."""
    sheets = [sheet for sheet in content.sheets if isinstance(sheet, Steps | SwapSheet)]
    return max(
        (SMALL_ROW_MM * sum(rows(strip.also, STRIP_MM, size=SMALL) for strip in sheet.strips if strip.also) for sheet in sheets),
        default=0.0,
    )  # fmt: skip


def _share_a_leaf(loaded: Load, cut: Tags, high: float) -> bool:
    """Whether the load goes above the cut of the tags' leaf: it is done with before anything is cut off, nobody signs
    it, and the leaf's back stays blank all the same. A head at the top of a page stands beside the code.
    """
    one = [len(leaf) for leaf in cut.leaves] == [1]
    return one and len(loaded.groups) == 1 and sum(_load(loaded)) - HEAD_MM + tags_mm(cut) <= high


def _fewest(steps: Sheet, later: Sequence[Sheet], page: Page) -> tuple[tuple[Sheet, ...], Pages]:
    """What follows these steps in an order that takes the fewest pages, and how many: the first that takes as many.

    A swap stays right behind the steps that call for it.
    """
    fixed = tuple(sheet for sheet in later if isinstance(sheet, SwapSheet))
    orders = ((*fixed, *order) for order in permutations(sheet for sheet in later if sheet not in fixed))
    return min(((order, _pages((steps, *order), page)) for order in orders), key=lambda one: one[1])


def _around_the_second(steps: Sheet, hookup: Sequence[Sheet], later: Sequence[Sheet], page: Page) -> tuple[Sheet, ...]:
    """What goes between the first steps and the second hookup, which stands on the back of a page all the same."""
    best: tuple[Pages, tuple[Sheet, ...]] | None = None
    # the record belongs to the end, where it can stand there
    choices = [(False, True) if isinstance(sheet, Record) else (True, False) for sheet in reversed(later)]
    for chosen in product(*choices):
        early, before = _fewest(steps, [sheet for sheet, now in zip(later, reversed(chosen), strict=True) if now], page)
        late, after = _fewest(hookup[1], [sheet for sheet in later if sheet not in early], page)
        first, more = before
        last, over = after
        pages = first + 1 - first % 2 + 1 + last, (more if first % 2 == 0 else 0.0) + over
        if best is None or pages < best[0]:
            best = pages, (*early, *hookup, *late)
    assert best is not None
    return best[1]


def _pages(sheets: Iterable[Sheet], page: Page) -> Pages:
    """What these take, one after the other, each block whole."""
    pages, left = 1, page.high_mm
    for sheet in sheets:
        for block in _blocks(sheet, page):
            if block > left:
                pages, left = pages + 1, page.high_mm
            left -= block
    over = page.high_mm - left
    return pages, min(over, FEW_LINES_MM) if pages > 1 else FEW_LINES_MM


def _blocks(sheet: Sheet, page: Page) -> tuple[float, ...]:
    usual = blocks(sheet)
    return tuple(block * LARGER[sheet.kind] for block in usual) if page.large else usual


@lru_cache(maxsize=64)
def blocks(sheet: Sheet) -> tuple[float, ...]:
    """How high each block of a sheet gets in the usual type: a page may end between two of them."""
    match sheet:
        case Steps():
            return tuple(_steps(sheet))
        case SwapSheet():
            lines = (max(9.5 if line.hold else 0.0, _swap_line_mm(line)) for line in sheet.lines)
            return (26.0, *lines)
        case Wrong():
            pairs = zip(sheet.signs[::2], (*sheet.signs[1::2], sheet.signs[0]), strict=False)
            return _with_head(
                3.9 * max(rows(f"{item.label}: {item.value}", 90.5, size=SMALL) for item in pair) for pair in pairs
            )
        case Fill():
            return tuple(_fill(sheet))
        case Log():
            side_by_side = (
                sheet.columns[at : at + sheet.abreast] for at in range(0, len(sheet.columns), sheet.abreast)
            )
            return _with_head(
                (6.6 if sheet.abreast == 2 else 10.4)
                + max(sum(5.0 if row.mark else 8.0 for row in column) for column in columns)
                for columns in side_by_side
            )
        case Record():
            return tuple(_record(sheet))
        case Load():
            return tuple(_load(sheet))
        case _:
            return ()


def _with_head(parts: Iterable[float]) -> tuple[float, ...]:
    first, *others = parts
    return (HEAD_MM + first, *others)


def _text_mm(words: Iterable[str]) -> float:
    return SMALL_ROW_MM * rows(" ".join(words), TEXT_MM, size=SMALL)


def _steps(sheet: Steps) -> Iterator[float]:
    for stage in sheet.stages:
        # a heading stays with its line, a caution with the line that follows
        high = 5.6
        for step in stage.steps:
            high += sum(0.4 + SMALL_ROW_MM * rows(words, 167.5, bold=True) for words in step.cautions)
            if step.is_hold:
                high += 2.8 + ROW_MM * max(2, rows(f"{step.number} {step.text} {step.also}", 144.0, bold=True))
            else:
                marks = " ".join(("write", *(f"({number})" for number in step.writes))) if step.writes else ""
                high += 0.65 + ROW_MM * rows(f"{step.text} {marks}", 171.5)
            yield high
            high = 0.0


def _swap_line_mm(line: SwapLine) -> float:
    wide = TEXT_MM - 2.0 - 32.0 * len(line.boxes)
    words = rows(f"{line.number} {line.text} {line.also}", wide, bold=line.hold)
    return 1.5 + ROW_MM * (words + sum(rows(text, wide, bold=True) for text in line.cautions))


def _fill(sheet: Fill) -> Iterator[float]:
    beside = len(sheet.sizes) == 1 and not sheet.sizes[0].groups
    strip = 12.0 + SMALL_ROW_MM * len(sheet.strip.table.rows) if sheet.strip else 0.0
    strip_words = sheet.strip.words if sheet.strip else ()
    for number, size in enumerate(sheet.sizes):
        said = [*size.words, *size.cautions]
        head = 0.0 if number else HEAD_MM
        head += sum(SMALL_ROW_MM * rows(f"{item.label} {item.value}", TEXT_MM, size=SMALL) for item in size.identity)
        table = 14.0 + 4.0 * len(size.table.rows)
        if beside:
            plot = 42.0 + sum(4.0 * rows(words, 57.0, size=SMALL) for words in said)
            yield head + max(table, strip, plot) + _text_mm(strip_words)
        else:
            yield head + table + 14.0
            said += [] if number else strip_words
            yield max(42.0, sum(4.0 * rows(words, 76.0, size=SMALL) for words in said), 0.0 if number else strip)


def _record(sheet: Record) -> Iterator[float]:
    high = HEAD_MM
    for part in sheet.parts:
        high += 0.8 + (4.0 if part.title and not part.heads_row and not part.words else 0.0)
        if part.known:
            high += _text_mm(f"{item.label} {item.value} ·" for item in part.known)
        high += _text_mm(part.words) if part.words else 0.0
        if part.cylinders:
            high += 6.0 + 9.4 * len(part.cylinders.rows)
        room = 1.0 - 1 / 3 * part.heads_row
        low = True
        for ask in part.asks:
            wide = {"third": 1 / 3, "half": 0.5, "full": 1.0}[ask.width]
            if wide > room + 0.01:
                yield high + (6.0 if low else 9.3)
                high, room, low = 0.0, 1.0, True
            room, low = room - wide, low and ask.kind == "check"
        if part.asks:
            yield high + (6.0 if low else 9.3)
            high = 0.0
        high += 11.5 if part.grid else 0.0
    yield high


def _load(sheet: Load) -> Iterator[float]:
    high = HEAD_MM
    for group in sheet.groups:
        high += 6.0 if group.title else 0.0
        for at in range(0, len(group.ticks), 3):
            yield high + 0.6 + 4.15 * max(rows(tick.text, TICK_MM) for tick in group.ticks[at : at + 3])
            high = 0.0
    yield _text_mm((*sheet.carrying, sheet.method.title, *sheet.method.sentences))
    # the truck's sums change with its other jobs and take up to four rows
    yield 4 * SMALL_ROW_MM + 1.0


def tags_mm(sheet: Tags) -> float:
    """How high one tag and the owner's half get, in the lower rows that they have below a load."""
    high = 5.6
    for tag in sheet.leaves[0][:1]:
        # tare and limit stand left of where it is from, which has more room
        wide = [rows(item.value, 36.0 if at < 2 else 86.0, bold=True) for at, item in enumerate(tag.lines)]
        high += 21.0 + sum(4.2 * rows(line, 180.0, bold=True) for line in tag.shipping)
        high += 4.2 * max(sum(wide[:2]), sum(wide[2:])) + _text_mm((tag.warning, tag.warning_also))
    owner = sheet.owner
    entries = " · ".join(f"{item.label} {item.value}" for item in owner.entries)
    high += 7.0 + 3.9 * rows(f"{owner.opening} {entries}", TEXT_MM, bold=True, size=SMALL) + _text_mm(owner.words)
    share = {"third": 2, "half": 3, "full": 6}
    return high + 8.4 * -(-sum(share[ask.width] for ask in (*owner.asks, *owner.signatures)) // 6)
