"""In what order the sheets stand, and which of them share a leaf: so that as few leaves as can be are half empty.

Sheets flow on after one another, but a hookup stands on the back of the page before its steps, and what is cut begins a
leaf. How high each sheet gets is estimated from its words, in mm of the usual type; the press sets what is arranged
here as it comes, so that a wrong estimate costs a page and nothing else.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import permutations, product

from packet.sheets.front_high import foot_mm, front_mm
from packet.sheets.model import (
    Content,
    Fill,
    Front,
    HookupSheet,
    Load,
    Log,
    Record,
    RecordPart,
    Sheet,
    Steps,
    SwapLine,
    SwapSheet,
    Tag,
    Tags,
    Wrong,
)
from packet.sheets.room import TICK_MM, rows, rows_together
from packet.sheets.strips import foot_mm as strips_mm

PAPER_HIGH_MM = {"letter": 279.4, "A4": 297.0}
# where a page's text begins; what the codes at head and foot take of a page that has no strips
PAGE_TOP_MM, WITHOUT_STRIPS_MM = 27.0, 56.0
# the code at the head, and the foot's own line with its air
BESIDE_FRONT_MM = 27.0 + 14.0
# what to do when it goes wrong is set closer there
HELP_ROW_MM = 3.66
HEAD_MM = 7.0
ROW_MM, SMALL_ROW_MM, FILL_ROW_MM = 4.0, 3.9, 3.8
TEXT_MM, SMALL = 186.0, 0.95
# a tag beside another; the owner's half, beside the foot's code
NARROW_TAG_MM, OWNER_MM = 86.0, 163.0
MAY_STAND_ABOVE = (Load, Log)
# what an estimate may be short of on a page
SLACK_MM = 2.5
# what fits only just may not: every order is measured on pages that are lower by this, too
DOUBT_MM = 5.0
FEW_LINES_MM = 75.0
# what the estimate of a leaf that is cut may be short of: nothing of it may run on to its back
CUT_SLACK_MM = 1.0
# what head and foot take of the leaf that is cut, where the owner's half stands beside the foot's code
BESIDE_CUT_MM = 27.0 + 14.0
# what less white between the lines makes good, over a packet
CLOSER_MM = 22.0
CLOSER_A_PAGE_MM = 7.0
# what a page is tried to hold more where sheets are arranged anew, by whether they are set closer: with second languages in holds
# and strips less white makes good up to twice as much
EVENLY_MM = {False: (-DOUBT_MM,), True: (CLOSER_A_PAGE_MM, 2 * CLOSER_A_PAGE_MM)}


@dataclass(frozen=True, slots=True)
class Pages:
    """How many pages an order takes, how many where each holds less than was thought, and what the few lines on the last
    of them count (`_few`)."""

    count: int
    in_doubt: int
    over_mm: float

    @property
    def measure(self) -> tuple[int, int, float]:
        """What is to be the least."""
        return self.count + self.in_doubt, self.count, self.over_mm


@dataclass(frozen=True, slots=True)
class Page:
    """What a page has for its blocks, and how high the blocks of each sheet are, by its name. more_mm: what it has more where no
    strips stand at its foot."""

    high_mm: float
    more_mm: float
    blocks: Mapping[str, tuple[float, ...]]
    closer_mm: float = CLOSER_A_PAGE_MM


def arranged(content: Content, *, may_be_closer: bool = True, more_mm: float = 0.0) -> Content:
    """The packet in usual type with its sheets in the order and on the leaves that take the fewest pages.

    may_be_closer: a few lines too many may be left to a closer setting; else they rather fill a page of their own.
    more_mm: what a page holds more, or less, than is usual.
    """
    if not any(isinstance(sheet, Tags) for sheet in content.sheets):
        return content
    page = _page(content)
    page = replace(page, high_mm=page.high_mm + more_mm, closer_mm=page.closer_mm * may_be_closer)
    cut = next(sheet for sheet in content.sheets if isinstance(sheet, Tags))
    sheets = _helped([sheet for sheet in content.sheets if sheet is not cut], content)
    best: tuple[tuple[Sheet, ...], tuple[Sheet, ...], Pages] | None = None
    for above in _above_the_cut(sheets, cut, PAPER_HIGH_MM[content.paper]):
        order, pages = _in_order([sheet for sheet in sheets if sheet not in above], page)
        if best is None or _saves(pages, best[2]):
            best = order, above, pages
    assert best is not None
    order, above, _ = best
    return replace(content, sheets=(*order, *_on_the_leaf(above, cut)))


def _page(content: Content) -> Page:
    strips = max(WITHOUT_STRIPS_MM, PAGE_TOP_MM + strips_mm(content))
    high = {sheet.name: blocks(sheet) for sheet in content.sheets}
    return Page(PAPER_HIGH_MM[content.paper] - strips - SLACK_MM, strips - WITHOUT_STRIPS_MM, high)


def sides_set_closer(content: Content) -> int | None:
    """On how many sides, at most, the packet is printed with less white between the lines, where that is to be tried before the
    usual setting; None where it is not.

    As far as estimates tell: a side that the usual setting takes even where its pages hold more than was thought, and that
    much less white saves.
    """
    page = _page(content)
    surely, least = _sides(content, page, DOUBT_MM), _sides(content, page, 2 * CLOSER_A_PAGE_MM)
    return least if least < surely else None


def _sides(content: Content, page: Page, more_mm: float) -> int:
    """How many sides are printed of the packet as it stands, each page with so much more room, as far as estimates tell."""
    left, side = page.high_mm + more_mm, 1
    for sheet in content.sheets[1:]:
        if isinstance(sheet, Tags) or (isinstance(sheet, MAY_STAND_ABOVE) and sheet.above_tags):
            # these begin the leaf that is cut
            return side + 1
        if isinstance(sheet, HookupSheet):
            side, left = side + 1, 0.0
        for block in page.blocks[sheet.name]:
            if block > left:
                side, left = side + 1, page.high_mm + more_mm
                left += 0.0 if isinstance(sheet, Steps | SwapSheet) else page.more_mm
            left -= block
    return side


def _saves(one: Pages, other: Pages) -> bool:
    """Whether one way takes a page less than another, or comes as near to it as less white between the lines makes good."""
    before, now = one.measure[:2], other.measure[:2]
    return before < now or (before == now and one.over_mm <= CLOSER_MM < other.over_mm)


def _in_order(sheets: Sequence[Sheet], page: Page) -> tuple[tuple[Sheet, ...], Pages]:
    """From the front to what comes before the leaf that is cut, in the order that takes the fewest pages, and how many."""
    begin = next(at for at, sheet in enumerate(sheets) if isinstance(sheet, Steps)) + 1
    second = next((at for at in range(begin, len(sheets)) if isinstance(sheets[at], HookupSheet)), None)
    if second is None:
        order, pages = _fewest(sheets[begin - 1], sheets[begin:], page)
    else:
        order, pages = _around_the_second(sheets[begin - 1], sheets[second : second + 2], sheets[second + 2 :], page)
    return (*sheets[:begin], *order), pages


def _helped(sheets: list[Sheet], content: Content) -> list[Sheet]:
    """What to do when it goes wrong goes below the front, above phones and first aid, where that has room for it."""
    front, wrong = sheets[0], next((sheet for sheet in sheets if isinstance(sheet, Wrong)), None)
    if wrong is None or not isinstance(front, Front):
        return sheets
    room = PAPER_HIGH_MM[content.paper] - BESIDE_FRONT_MM - foot_mm(front)
    room -= HEAD_MM + HELP_ROW_MM * max(sum(map(wrong.rows_of, column)) for column in wrong.columns)
    for one in (front, replace(front, is_close=True)):
        if front_mm(one) <= room:
            return [one, replace(wrong, below_front=True), *(sheet for sheet in sheets[1:] if sheet is not wrong)]
    return sheets


def _on_the_leaf(above: Sequence[Sheet], cut: Tags) -> tuple[Sheet, ...]:
    """What is cut, and above it what nobody signs: the first of it begins the leaf."""
    if not above:
        return (cut,)
    first, *others = above
    assert isinstance(first, MAY_STAND_ABOVE)
    return (replace(first, above_tags=True), *others, replace(cut, below_load=True))


def cut_by_itself(content: Content) -> Content:
    """The same with nothing above the cut: where that ran on to the back of the leaf."""
    return replace(
        content,
        sheets=tuple(
            replace(sheet, below_load=False)
            if isinstance(sheet, Tags)
            else replace(sheet, above_tags=False)
            if isinstance(sheet, MAY_STAND_ABOVE)
            else sheet
            for sheet in content.sheets
        ),
    )


def evenly_arranged(content: Content, *, front_runs_on: bool, more_mm: float) -> Content:
    """The same arranged anew, so that no page stays nearly empty: where a closer setting did not save its few lines.

    front_runs_on: the front has the page behind it to itself, where what to do when it goes wrong finds its place. more_mm: what
    a page holds more, or less, than is usual: one of `EVENLY_MM`, by whether it is set closer.
    """
    front, *others = cut_by_itself(content).sheets
    rank = [HookupSheet, SwapSheet, Wrong, Fill, Log, Record, Load, Tags]
    ordered = sorted(others, key=lambda sheet: rank.index(HookupSheet if isinstance(sheet, Steps) else type(sheet)))
    if isinstance(front, Front):
        front = replace(front, is_close=False)
    sheets = [replace(sheet, below_front=False) if isinstance(sheet, Wrong) else sheet for sheet in ordered]
    behind = [sheet for sheet in sheets if front_runs_on and isinstance(sheet, Wrong)]
    made = arranged(
        replace(content, sheets=(front, *(sheet for sheet in sheets if sheet not in behind))),
        may_be_closer=False,
        more_mm=more_mm,
    )
    return replace(made, sheets=(made.sheets[0], *behind, *made.sheets[1:]))


def without_help_on_front(content: Content) -> Content:
    """The same with what to do when it goes wrong behind the last steps: where it has no room below the front."""
    front, *others = content.sheets
    wrong = [replace(sheet, below_front=False) for sheet in others if isinstance(sheet, Wrong)]
    rest = [sheet for sheet in others if not isinstance(sheet, Wrong)]
    last = max(at for at, sheet in enumerate(rest) if isinstance(sheet, Steps | SwapSheet)) + 1
    return replace(content, sheets=(front, *rest[:last], *wrong, *rest[last:]))


def _above_the_cut(sheets: Sequence[Sheet], cut: Tags, high: float) -> Iterator[tuple[Sheet, ...]]:
    """What may stand above the cut, the likeliest first: the load, with or without the log, the log alone, nothing.

    They are done with before anything is cut off, nobody signs them, and the leaf's back stays blank all the same. A
    head at the top of a page stands beside the code.
    """
    load = next(sheet for sheet in sheets if isinstance(sheet, Load))
    log = next(sheet for sheet in sheets if isinstance(sheet, Log))
    if len(cut.leaves) == 1 and cut.beside_tags:
        spare = high - BESIDE_CUT_MM - tags_mm(cut) - CUT_SLACK_MM
        loaded = sum(_load(load)) - HEAD_MM
        for above, takes in ((load,), loaded), ((load, log), loaded + sum(blocks(log))), ((log,), sum(blocks(log))):
            if takes <= spare:
                yield above
    yield ()


def _fewest(steps: Sheet, later: Sequence[Sheet], page: Page) -> tuple[tuple[Sheet, ...], Pages]:
    """What follows these steps in an order that takes the fewest pages, and how many: the first that takes as many.

    A swap stays right behind the steps that call for it.
    """
    fixed = tuple(sheet for sheet in later if isinstance(sheet, SwapSheet))
    orders = ((*fixed, *order) for order in permutations(sheet for sheet in later if sheet not in fixed))
    return min(((order, _pages((steps, *order), page)) for order in orders), key=lambda one: one[1].measure)


def _around_the_second(
    steps: Sheet, hookup: Sequence[Sheet], later: Sequence[Sheet], page: Page
) -> tuple[tuple[Sheet, ...], Pages]:
    """What goes between the first steps and the second hookup, which stands on the back of a page all the same."""
    best: tuple[Pages, tuple[Sheet, ...]] | None = None
    # the record belongs to the end, where it can stand there
    choices = [(False, True) if isinstance(sheet, Record) else (True, False) for sheet in reversed(later)]
    for chosen in product(*choices):
        early, before = _fewest(steps, [sheet for sheet, now in zip(later, reversed(chosen), strict=True) if now], page)
        late, after = _fewest(hookup[1], [sheet for sheet in later if sheet not in early], page)
        pages = Pages(
            _with_hookup(before.count) + after.count,
            _with_hookup(before.in_doubt) + after.in_doubt,
            (before.over_mm if before.count % 2 == 0 else 0.0) + after.over_mm,
        )
        if best is None or pages.measure < best[0].measure:
            best = pages, (*early, *hookup, *late)
    assert best is not None
    return best[1], best[0]


def _with_hookup(pages: int) -> int:
    """These and the second hookup, which stands on the back of a leaf."""
    return pages + 2 - pages % 2


def _pages(sheets: Sequence[Sheet], page: Page) -> Pages:
    """What these take, one after the other, each block whole."""
    count, over = _filled(sheets, page, page.high_mm)
    in_doubt, _ = _filled(sheets, page, page.high_mm - DOUBT_MM)
    return Pages(count, in_doubt, over)


def _few(over_mm: float, lacking_mm: float, closer_mm: float) -> float:
    """What the lines on a last page count, and what the page before it lacks for them: few are soon saved; a page that is nearly empty for good is the worst."""
    return lacking_mm if lacking_mm <= closer_mm else max(FEW_LINES_MM, 2 * FEW_LINES_MM - over_mm)


def _filled(sheets: Iterable[Sheet], page: Page, page_mm: float) -> tuple[int, float]:
    pages, left, high, spare = 1, page_mm, page_mm, 0.0
    for sheet in sheets:
        more = 0.0 if isinstance(sheet, Steps | SwapSheet) else page.more_mm
        for block in page.blocks[sheet.name]:
            if block > left:
                pages, spare, left = pages + 1, left, page_mm + more
                high = left
            left -= block
    return pages, _few(high - left, high - left - spare, page.closer_mm * pages) if pages > 1 else FEW_LINES_MM


def blocks(sheet: Sheet) -> tuple[float, ...]:
    """How high each block of a sheet gets in the usual type: a page may end between two of them."""
    match sheet:
        case Steps():
            return tuple(_steps(sheet))
        case SwapSheet():
            lines = (max(9.5 if line.hold else 0.0, _swap_line_mm(line)) for line in sheet.lines)
            return ((12.5 if len(sheet.heads) == 1 else 26.0) + sum(lines),)
        case Wrong():
            pairs = zip(sheet.signs[::2], (*sheet.signs[1::2], sheet.signs[0]), strict=False)
            # in one piece: one of its lines alone would not be found in haste
            high = (3.9 * max(rows(f"{item.label}: {item.value}", 90.5, size=SMALL) for item in pair) for pair in pairs)
            return (HEAD_MM + sum(high),)
        case Fill():
            return tuple(_fill(sheet))
        case Log():
            side_by_side = (
                sheet.columns[at : at + sheet.abreast] for at in range(0, len(sheet.columns), sheet.abreast)
            )
            opening = " ".join((sheet.title, sheet.title, sheet.opening, *sheet.reminder))
            first, *others = (
                (6.6 if sheet.abreast == 2 else 10.4)
                + max(sum(5.0 if row.mark else 8.0 for row in column) for column in columns)
                for columns in side_by_side
            )
            further = (1.6 + band for band in others)
            return (HEAD_MM + SMALL_ROW_MM * (rows(opening, TEXT_MM) - 1) + first, *further)
        case Record():
            return tuple(_record(sheet))
        case Load():
            return tuple(_load(sheet))
        case _:
            return ()


def _with_head(parts: Iterable[float]) -> tuple[float, ...]:
    first, *others = parts
    return (HEAD_MM + first, *others)


def _text_mm(words: Sequence[str]) -> float:
    if not words:
        return 0.0
    return SMALL_ROW_MM * rows(" ".join(words), TEXT_MM, size=SMALL)


def _steps(sheet: Steps) -> Iterator[float]:
    for stage in sheet.stages:
        # a heading stays with its line, a caution with the line that follows, a hold with the line before it
        high, line_mm = 5.6, 0.0
        for step in stage.steps:
            high += sum(0.4 + SMALL_ROW_MM * rows(words, 167.5, bold=True) for words in step.cautions)
            if step.is_hold:
                high += 2.8 + ROW_MM * max(2, rows(f"{step.number} {step.text} {step.also}", 144.0, bold=True))
            else:
                marks = " ".join(("write", *(f"({number})" for number in step.writes))) if step.writes else ""
                high += 0.65 + ROW_MM * rows(f"{step.text} {marks}", 171.5)
            if line_mm and not (step.is_hold and not step.cautions):
                yield line_mm
                line_mm = 0.0
            line_mm, high = line_mm + high, 0.0
        yield line_mm


def _swap_line_mm(line: SwapLine) -> float:
    wide = TEXT_MM - 2.0 - (26.0 if len(line.boxes) == 1 else 32.0 * len(line.boxes))
    words = rows(f"{line.number} {line.text} {line.also}", wide, bold=line.hold)
    return 1.2 + ROW_MM * (words + sum(rows(text, wide, bold=True) for text in line.cautions))


def _fill(sheet: Fill) -> Iterator[float]:
    strip_words = sheet.strip.words if sheet.strip else ()
    if len(sheet.sizes) == 1 and not sheet.sizes[0].groups:
        yield _fill_of_one(sheet, strip_words)
        return
    for number, size in enumerate(sheet.sizes):
        head = 0.0 if number else HEAD_MM
        head += sum(SMALL_ROW_MM * rows(f"{item.label} {item.value}", TEXT_MM, size=SMALL) for item in size.identity)
        table = 14.0 + FILL_ROW_MM * len(size.table.rows) + (4.0 if size.groups else 0.0)
        few = len(size.groups) < 3
        plot = 47.0 if size.groups else 42.0
        said = sum(4.0 * rows(words, 57.0 if few else 121.0, size=SMALL) for words in (*size.words, *size.cautions))
        if few:
            yield head + max(table, plot + said)
        else:
            yield head + table
            yield max(plot, said)
        if sheet.strip and not number:
            beside = sum(4.0 * rows(words, 62.0, size=SMALL) for words in strip_words)
            yield max(12.0 + FILL_ROW_MM * len(sheet.strip.folded.rows), beside)


def _fill_of_one(sheet: Fill, strip_words: Sequence[str]) -> float:
    """A single cylinder's table, the day's pressures and the plot stand side by side."""
    (size,) = sheet.sizes
    said = [*size.words, *size.cautions]
    head = HEAD_MM + sum(
        SMALL_ROW_MM * rows(f"{item.label} {item.value}", TEXT_MM, size=SMALL) for item in size.identity
    )
    table = 14.0 + FILL_ROW_MM * len(size.table.rows)
    table += SMALL_ROW_MM * rows(strip_words[0], 75.0, size=SMALL) if strip_words else 0.0
    strip = 12.0 + FILL_ROW_MM * len(sheet.strip.table.rows) if sheet.strip else 0.0
    has_below = bool(size.cautions) and sheet.strip is not None
    narrow = [*size.words[:1], *size.cautions] if has_below else said
    below = size.words[1:] if has_below else ()
    wide = 57.0 if sheet.strip else 103.0
    plot = 42.0 + sum(4.0 * rows(words, wide, size=SMALL) for words in narrow)
    return head + max(table, strip, plot) + _text_mm(below) + _text_mm(strip_words[1:])


def _record(sheet: Record) -> Iterator[float]:
    high = HEAD_MM
    for part in sheet.parts:
        high += 0.8 + (4.0 if part.title and not part.heads_row and not part.words else 0.0)
        if part.known:
            high += _text_mm([f"{item.label} {item.value} ·" for item in part.known])
        high += _text_mm(part.words) if part.words else 0.0
        if part.cylinders:
            high += 6.0 + sum(6.0 if asks[0].kind == "check" else 9.4 for _, asks in part.cylinders.rows)
        rows_mm = list(_asks(part))
        if part.is_whole:
            yield high + sum(rows_mm) + (11.5 if part.grid else 0.0)
            high = 0.0
        for row_mm in () if part.is_whole else rows_mm:
            yield high + row_mm
            high = 0.0
    yield high


def _asks(part: RecordPart) -> Iterator[float]:
    """The rows of a part's blanks: one of boxes to tick alone is lower."""
    room, low = 1.0 - 1 / 3 * part.heads_row, True
    for ask in part.asks:
        wide = {"third": 1 / 3, "half": 0.5, "full": 1.0}[ask.width]
        if wide > room + 0.01:
            yield 6.0 if low else 9.3
            room, low = 1.0, True
        room, low = room - wide, low and ask.kind == "check"
    if part.asks:
        yield 6.0 if low else 9.3


def _load(sheet: Load) -> Iterator[float]:
    high, kit = HEAD_MM, list[float]()
    for group in sheet.groups:
        high += 6.0 if group.title else 0.0
        for at in range(0, len(group.ticks), 3):
            kit.append(high + 0.6 + 4.15 * max(rows(tick.text, TICK_MM) for tick in group.ticks[at : at + 3]))
            high = 0.0
    # the truck's sums change with its other jobs and take up to four rows
    words = _text_mm((*sheet.carrying, sheet.method.title, *sheet.method.sentences)), 4 * SMALL_ROW_MM + 1.0
    yield from (sum((*kit, *words)),) if sheet.is_whole else (*rows_together(kit), *words)


def tags_mm(sheet: Tags) -> float:
    """How high the tags of one leaf and the owner's half get, in the lower rows that they have below a load."""
    first, *_ = sheet.leaves
    high = 5.6 + (_tag_mm(first[0]) if len(first) == 1 else 0.0)
    if len(first) > 1:
        pairs = (first[at : at + 2] for at in range(0, len(first), 2))
        high += sum(2.0 + max(map(_narrow_tag_mm, pair)) for pair in pairs)
    owner = sheet.owner
    entries = " · ".join(f"{item.label} {item.value}" for item in owner.entries)
    high += 7.0 + 3.9 * rows(f"{owner.opening} {entries}", OWNER_MM, bold=True, size=SMALL)
    high += SMALL_ROW_MM * rows(" ".join(owner.words), OWNER_MM, size=SMALL)
    share = {"third": 2, "half": 3, "full": 6}
    return high + 8.4 * -(-sum(share[ask.width] for ask in (*owner.asks, *owner.signatures)) // 6)


def _tag_mm(tag: Tag) -> float:
    # tare and limit stand left of where it is from, which has more room
    wide = [rows(item.value, 36.0 if at < 2 else 86.0, bold=True) for at, item in enumerate(tag.lines)]
    high = 21.0 + sum(4.2 * rows(line, 180.0, bold=True) for line in tag.shipping)
    return high + 4.2 * max(sum(wide[:2]), sum(wide[2:])) + _text_mm((tag.warning, tag.warning_also))


def _narrow_tag_mm(tag: Tag) -> float:
    """A tag that stands beside another."""
    high = 20.0 + 6.6 * rows(tag.refrigerant, NARROW_TAG_MM * 0.64, bold=True, size=1.7)
    high += sum(4.2 * rows(line, NARROW_TAG_MM, bold=True) for line in tag.shipping)
    high += sum(4.2 * rows(item.value, NARROW_TAG_MM - 23.3, bold=True) for item in tag.lines)
    return high + sum(
        SMALL_ROW_MM * rows(words, NARROW_TAG_MM, size=SMALL) for words in (tag.warning, tag.warning_also) if words
    )
