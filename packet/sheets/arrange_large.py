"""In what order the sheets of a packet in large print stand: in as few pages as can be, none of them left empty.

As in usual print a hookup stands on the back of the page before its steps and what is cut begins a leaf. A front in
large type may run on to a second page: then what is read before the hookup stands behind it, in the place of a blank
back. Heights are estimated (`sheets/large_high.py`); a wrong estimate costs a page and nothing else.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import permutations, product

from packet.sheets.arrange import PAPER_HIGH_MM, cut_by_itself
from packet.sheets.front_high import foot_mm as front_foot_mm
from packet.sheets.large_high import blocks_large, front_large_mm, tags_large_mm
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
from packet.sheets.strips import AIR_MM, FOOT_ROW_MM, FROM_EDGE_MM, LARGER, foot_mm

# what a front must leave of its page to be sure of it; what is left of it where a line or a paragraph goes to the next
FITS_BY_MM, BROKEN_MM = 3.0, 5.0
# a page that is filled to less than this is nearly empty
THIN = 0.38
# what fits only just may not: every order is measured on pages that are lower by this, too
DOUBT_MM = 3.0
# a leaf that is cut may be filled so far
CUT_SLACK_MM = 4.0
# where a page's text begins, what the foot's code takes of it at least, and what the typesetter may round off
TOP_MM, FOOT_MM, ROUNDED_MM = 27.0, 29.0, 0.5
# what a page holds more where it is set closer still: tried one after the other
CLOSER_LARGE_MM = (6.0, 8.0, 12.0, 16.0)
# the record belongs to the end, the load to the beginning; it stands before the hookup only where that saves a leaf
USUAL_ORDER: tuple[type[Sheet], ...] = (Load, Wrong, Fill, Log, Record)


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


def arranged_large(content: Content, *, more_mm: float = 0.0) -> Content:
    """The packet with its sheets in the order that takes the fewest pages. more_mm: what a page holds more than is usual."""
    front, *others = cut_by_itself(content).sheets
    if not isinstance(front, Front):
        return content
    room = _room(content, more_mm)
    cut = [_on_its_leaves(sheet, room.plain) for sheet in others if isinstance(sheet, Tags)]
    flowing = sorted(
        (sheet for sheet in others if isinstance(sheet, USUAL_ORDER)), key=lambda sheet: USUAL_ORDER.index(type(sheet))
    )
    fixed = [sheet for sheet in others if sheet not in flowing and not isinstance(sheet, Tags)]
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


def cut_page_large(content: Content, *, more_mm: float) -> int:
    """The page on which what is cut is expected to begin, as the sheets stand."""
    front, *others = content.sheets
    if not isinstance(front, Front):
        return 1
    room = _room(content, more_mm)
    order = [sheet for sheet in others if not isinstance(sheet, Tags) and not getattr(sheet, "above_tags", False)]
    return _leaf(_end(room.after((), _after_front(front, room)), order, room))


def _room(content: Content, more_mm: float) -> Room:
    text = PAPER_HIGH_MM[content.paper] - TOP_MM - ROUNDED_MM
    high = {sheet.name: blocks_large(sheet) for sheet in content.sheets}
    return Room(text - FOOT_MM, text - max(FOOT_MM, foot_mm(content)), high).lower(-more_mm)


def _on_its_leaves(cut: Tags, high: float) -> Tags:
    """The owner's half on a leaf of its own where the tags leave it no room on theirs, whose back is to stay blank."""
    return replace(cut, beside_tags=cut.beside_tags and tags_large_mm(cut) + ROUNDED_MM <= high)


def _shares_the_leaf(log: Log, cut: Tags, room: Room) -> bool:
    alone = [len(leaf) for leaf in cut.leaves] == [1]
    return alone and sum(room.high[log.name]) + tags_large_mm(cut) + CUT_SLACK_MM <= room.plain


def _ways(
    front: Front, stages: Sequence[Sequence[Sheet]], flowing: Sequence[Sheet], room: Room
) -> Iterator[tuple[tuple[float, bool, int, float], tuple[Sheet, ...]]]:
    """Every way to put what flows before, between and behind the hookups; with its pages, whether the record comes first,
    how many pages are nearly empty, and how far the last one is filled."""
    places = [range(len(stages) + 1) for _ in flowing]
    begin = room.after((), _after_front(front, room))
    for chosen in product(*places):
        order: tuple[Sheet, ...] = ()
        at, thin = begin, 0
        for number in range(len(stages) + 1):
            here = [sheet for sheet, place in zip(flowing, chosen, strict=True) if place == number]
            if number:
                stage = stages[number - 1]
                at = room.after(stage[1:], _behind_hookup(at))
                order += tuple(stage)
            at, sheets = _best(here, at, room)
            thin += _is_thin(at, room)
            order += sheets
        sure = _end(begin, order, room.lower(DOUBT_MM))
        record_first = any(
            place == 0 and isinstance(sheet, Record) for sheet, place in zip(flowing, chosen, strict=True)
        )
        yield (_leaf(at) + _leaf(sure), record_first, thin, at.page - at.left / room.plain), order


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
    return min(ways, key=lambda way: (way[0].page, _is_thin(way[0], room), -way[0].left))


def _is_thin(at: At, room: Room) -> bool:
    """Whether the page come to is nearly empty: less than a third of it, or what may turn out to be less."""
    return 0.0 < room.plain - at.left < THIN * room.plain


def _after_front(front: Front, room: Room) -> At:
    """Where the text has come to behind the front; its first page is lower by what stands at its foot."""
    foot = FROM_EDGE_MM + FOOT_ROW_MM * LARGER + front_foot_mm(front, LARGER) + AIR_MM
    over = front_large_mm(front) - (room.plain - max(0.0, foot - FOOT_MM))
    return At(1, 0.0) if over <= -FITS_BY_MM else At(2, room.plain - over - BROKEN_MM)
