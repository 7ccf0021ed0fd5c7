"""In what order the sheets of a packet in large print stand: in as few pages as can be, none of them left empty.

As in usual print a hookup stands on the back of the page before its steps and what is cut begins a leaf. A front in
large type may run on to a second page: then what is read before the hookup stands behind it, in the place of a blank
back. Heights are estimated from the usual ones (`arrange.blocks`); a wrong estimate costs a page and nothing else.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import permutations, product

from packet.sheets.arrange import PAPER_HIGH_MM, blocks
from packet.sheets.model import (
    Content,
    Fill,
    Front,
    HookupSheet,
    Load,
    Log,
    Record,
    Sheet,
    Steps,
    SwapSheet,
    Tags,
    Wrong,
)
from packet.sheets.room import rows

# how much an estimate of the front may be short
FRONT_SLACK_MM = 9.0
# what fits only just may not: every order is measured on pages that are lower by this, too
DOUBT_MM = 9.0
# a leaf that is cut may be filled so far
CUT_SLACK_MM = 6.0
# a table of limits and the day's pressures stand above the plot: a page may end between them
FILL_PARTS = (0.65, 0.35)
# what head and foot take of a page, and of one that has the strips
BESIDE_CODES_MM, BESIDE_STRIPS_MM = 59.0, 73.5
# how much higher than in usual type: what a hand writes in stays as high, what stood three to a row stands two
LARGER: dict[str, float] = {
    "steps": 1.33, "swap": 1.36, "wrong": 1.53, "fill": 1.62, "log": 1.15, "record": 1.41, "load": 1.3,
}  # fmt: skip
TEXT_MM, LARGE_ROW_MM, TICK_LEAST_MM = 186.0, 5.0, 9.0
# the stop weights for one cylinder, and for each of more
ONE_STOP_MM, STOP_MM = 24.0, 20.0
# what stands on every front: head, glance, vacuum, headings, lines for signatures
ALWAYS_MM = 86.0
# the record belongs to the end, the load to the beginning
USUAL_ORDER: tuple[type[Sheet], ...] = (Load, Wrong, Fill, Log, Record)
MAY_COME_FIRST = (Load, Wrong, Fill, Log)


@dataclass(frozen=True, slots=True)
class At:
    """Where the text has come to: the page, how much of it is left, and the steps' strips on it."""

    page: int
    left: float


@dataclass(frozen=True, slots=True)
class Room:
    """What a page has for its text, mm: without the strips at its foot, and with them. high: each sheet's blocks."""

    plain: float
    work: float
    high: Mapping[str, tuple[float, ...]]

    def lower(self, by: float) -> "Room":
        """Pages that hold less."""
        return replace(self, plain=self.plain - by, work=self.work - by)

    def after(self, sheets: Iterable[Sheet], at: At) -> At:
        """Where the text has come to after these sheets, each block whole."""
        page, left = at.page, at.left
        for sheet in sheets:
            high = self.work if isinstance(sheet, Steps | SwapSheet) else self.plain
            for block in self.high[sheet.name]:
                if block > left:
                    page, left = page + 1, high
                left -= block
        return At(page, left)


def arranged_large(content: Content) -> Content:
    """The packet with its sheets in the order that takes the fewest pages."""
    front, *others = content.sheets
    if not isinstance(front, Front):
        return content
    high = PAPER_HIGH_MM[content.paper]
    room = Room(
        high - BESIDE_CODES_MM, high - BESIDE_STRIPS_MM, {sheet.name: tuple(_blocks(sheet)) for sheet in others}
    )
    cut = [sheet for sheet in others if isinstance(sheet, Tags)]
    flowing = sorted(
        (sheet for sheet in others if isinstance(sheet, USUAL_ORDER)), key=lambda sheet: USUAL_ORDER.index(type(sheet))
    )
    fixed = [sheet for sheet in others if sheet not in flowing and sheet not in cut]
    second = next((at for at, sheet in enumerate(fixed) if at and isinstance(sheet, HookupSheet)), len(fixed))
    swaps = [sheet for sheet in fixed if isinstance(sheet, SwapSheet)]
    stages = [[sheet for sheet in part if sheet not in swaps] for part in (fixed[:second], fixed[second:]) if part]
    stages[0] += swaps
    pages, order = min(_ways(front, stages, flowing, room), key=lambda way: way[0])
    log = next((sheet for sheet in flowing if isinstance(sheet, Log)), None)
    if log and cut and _shares_the_leaf(log, cut[0], room):
        # nobody signs a log, and the leaf's back stays blank all the same
        others = [sheet for sheet in flowing if sheet is not log]
        fewer, shorter = min(_ways(front, stages, others, room), key=lambda way: way[0])
        if fewer[0] <= pages[0]:
            return replace(
                content, sheets=(front, *shorter, replace(log, above_tags=True), replace(cut[0], below_load=True))
            )
    return replace(content, sheets=(front, *order, *cut))


def _shares_the_leaf(log: Log, cut: Tags, room: Room) -> bool:
    alone = [len(leaf) for leaf in cut.leaves] == [1]
    return alone and sum(room.high[log.name]) + tags_large_mm(cut) + CUT_SLACK_MM <= room.plain


def _ways(
    front: Front, stages: Sequence[Sequence[Sheet]], flowing: Sequence[Sheet], room: Room
) -> Iterator[tuple[tuple[float, float], tuple[Sheet, ...]]]:
    """Every way to put what flows before, between and behind the hookups; with its pages and how far the last is filled."""
    places = [range(0 if isinstance(sheet, MAY_COME_FIRST) else 1, len(stages) + 1) for sheet in flowing]
    begin = room.after((), _after_front(front, room))
    for chosen in product(*places):
        order: tuple[Sheet, ...] = ()
        at = begin
        for number in range(len(stages) + 1):
            here = [sheet for sheet, place in zip(flowing, chosen, strict=True) if place == number]
            if number:
                stage = stages[number - 1]
                at = room.after(stage[1:], _behind_hookup(at))
                order += tuple(stage)
            at, sheets = _best(here, at, room)
            order += sheets
        sure = _end(begin, order, room.lower(DOUBT_MM))
        yield (_leaf(at) + _leaf(sure), at.page - at.left / room.plain), order


def _end(at: At, order: Sequence[Sheet], room: Room) -> At:
    """Where the text has come to when all is set in this order."""
    for sheet in order:
        at = _behind_hookup(at) if isinstance(sheet, HookupSheet) else room.after((sheet,), at)
    return at


def _behind_hookup(at: At) -> At:
    """A hookup has the next even page to itself."""
    return At(at.page + 2 - at.page % 2, 0.0)


def _leaf(at: At) -> int:
    """The page on which what is cut begins."""
    return at.page + 1 + at.page % 2


def _best(here: Sequence[Sheet], at: At, room: Room) -> tuple[At, tuple[Sheet, ...]]:
    ways = ((room.after(way, at), way) for way in permutations(here))
    return min(ways, key=lambda way: (way[0].page, -way[0].left))


def _blocks(sheet: Sheet) -> Iterator[float]:
    """How high each block of a sheet gets in large type."""
    usuals = blocks(sheet)
    if not usuals:
        return
    parts = FILL_PARTS if isinstance(sheet, Fill) and len(usuals) == 1 else (1.0,)
    for usual in usuals:
        yield from (usual * LARGER[sheet.kind] * part for part in parts)


def _after_front(front: Front, room: Room) -> At:
    high = front_large_mm(front)
    return At(1, 0.0) if high <= room.plain - FRONT_SLACK_MM else At(2, 2 * room.plain - high)


def front_large_mm(front: Front) -> float:
    """How high a front gets in large type."""
    high = ALWAYS_MM + (ONE_STOP_MM if len(front.stops) == 1 else STOP_MM * len(front.stops))
    high += sum(
        max(TICK_LEAST_MM, LARGE_ROW_MM * _rows(f"{tick.text} {tick.detail} {tick.also}", 164.0)) for tick in front.go
    )
    for items in (front.site, front.who, front.emergency):
        high += LARGE_ROW_MM * _rows(" · ".join(f"{item.label} {item.value}" for item in items), TEXT_MM)
    aid = front.card or " ".join(f"{item.label}: {item.value}." for item in front.first_aid)
    said = (*front.stop_words, *front.notes, aid, front.deferral)
    return high + LARGE_ROW_MM * sum(_rows(words, TEXT_MM) for words in said)


def _rows(words: str, wide_mm: float) -> int:
    return rows(words, wide_mm, size=1.19)


def tags_large_mm(sheet: Tags) -> float:
    """How high one tag and the owner's half get in large type, in the lower rows that they have below something else."""
    high = 7.0
    for tag in sheet.leaves[0][:1]:
        wide = [rows(item.value, 27.0 if at < 2 else 66.0, bold=True, size=1.25) for at, item in enumerate(tag.lines)]
        high += 21.0 + 4.9 * sum(rows(line, 180.0, bold=True, size=1.25) for line in tag.shipping)
        high += 4.9 * max(sum(wide[:2]), sum(wide[2:]))
        high += 4.5 * (_rows(tag.warning, TEXT_MM) + (_rows(tag.warning_also, TEXT_MM) if tag.warning_also else 0))
    owner = sheet.owner
    entries = " · ".join(f"{item.label} {item.value}" for item in owner.entries)
    high += 8.0 + 4.6 * rows(f"{owner.opening} {entries}", TEXT_MM, bold=True, size=1.19)
    high += 4.5 * _rows(" ".join(owner.words), TEXT_MM)
    share = {"third": 1, "half": 2, "full": 2}
    return high + 8.5 * sum(-(-sum(share[ask.width] for ask in asks) // 2) for asks in (owner.asks, owner.signatures))
