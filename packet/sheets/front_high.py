"""How high a front gets in the usual type, from its words, in mm: whether something else has room below it."""

from collections.abc import Iterable

from packet.sheets.model import Front, StopWeight
from packet.sheets.room import BOLD, rows, wide_mm

TEXT_MM, SMALL = 186.0, 0.95
# what the foot's words have beside its code, how large they are; the phones are larger
FOOT_WIDE_MM, FOOT_REM, PHONES_REM = 169.0, 0.95, 1.05
FOOT_ROW_MM, RULES_MM = 3.95, 2.6
ROW_MM, SMALL_ROW_MM = 4.3, 3.95
# the facts at its head, set larger than their labels; what they have together, and the air beside each
GLANCE_REM, GLANCE_MM, GLANCE_AIR_MM = 1.25, 185.8, 4.5
# what less white saves, and of each row of its words
CLOSER_MM, CLOSER_ROW_MM = 2.6, 0.33
# the large numbers for one cylinder, for two or three, for more
NUMBER_MM = (0.0, 23.4, 16.3, 16.3, 13.5)


def front_mm(front: Front) -> float:
    """From the top of the page's text to the end of the front's last line; what stands at the page's foot aside."""
    high = _front_mm(front)
    if front.is_close:
        said = " · ".join(f"{item.label} {item.value}" for item in (*front.site, *front.who))
        words = rows(said, TEXT_MM, bold=True) + sum(rows(text, TEXT_MM, size=SMALL) for text in front.stop_words)
        words += rows(" ".join(front.vacuum.law), 102.0, size=SMALL)
        high -= CLOSER_MM + CLOSER_ROW_MM * words
    return high


def _front_mm(front: Front) -> float:
    lines = [
        rows(item.value, wide - 3.0, bold=True, size=GLANCE_REM)
        for item, wide in zip(front.glance, glance_mm(front), strict=True)
    ]
    high = 3.6 + 5.9 + 5.3 * max(lines, default=0)
    high += 5.3 + sum(_stop_mm(item, len(front.stops)) for item in front.stops) + _notes_mm(front.stop_words)
    gauge = 5.3 + 6.6 * rows(front.vacuum.gauge, 82.0, bold=True, size=1.7)
    high += 2.7 + max(gauge, _notes_mm((" ".join(front.vacuum.law),), 102.0))
    high += 6.0 + _go_mm(front) + 10.6 + ROW_MM * rows(f"{front.no_go} {front.no_go_also}", TEXT_MM, bold=True)
    high += 7.4
    said = " · ".join(f"{item.label} {item.value}" for item in (*front.site, *front.who))
    high += 0.5 + ROW_MM * rows(said, TEXT_MM, bold=True)
    return high + _notes_mm(front.notes)


def glance_mm(front: Front, larger: float = 1.0) -> tuple[float, ...]:
    """How wide each of the facts at a front's head gets: what a row of its own takes, where all have that; else all alike."""
    wide = [
        larger * max(wide_mm(item.label), GLANCE_REM * BOLD * wide_mm(item.value)) + GLANCE_AIR_MM
        for item in front.glance
    ]
    spare = GLANCE_MM - sum(wide)
    if not front.glance or spare < 0:
        return (GLANCE_MM / max(1, len(front.glance)),) * len(front.glance)
    return tuple(one + spare / len(wide) for one in wide)


def _stop_mm(stop: StopWeight, of: int) -> float:
    beside = [f"{item.label} {item.value}" for item in (stop.before, *stop.beside)]
    if of == 1:
        said = ROW_MM * sum(rows(words, 64.0, bold=True) for words in beside)
    else:
        pairs = zip(beside[::2], (*beside[1::2], ""), strict=False)
        said = ROW_MM * sum(max(rows(words, 47.0, bold=True) for words in pair) for pair in pairs)
    return 1.5 + max(NUMBER_MM[min(of, 4)], said)


def _go_mm(front: Front) -> float:
    columns = front.go_columns
    return max(sum(front.tick_mm(tick, alone=len(columns) == 1) for tick in column) for column in columns)


def _notes_mm(words: Iterable[str], wide: float = TEXT_MM) -> float:
    return sum(0.2 + SMALL_ROW_MM * rows(text, wide, size=SMALL) for text in words)


def foot_mm(front: Front, larger: float = 1.0) -> float:
    """How high the words at the front's foot get: phones, first aid or the card that has it, and the deferral.

    larger: how much larger than usual the type is.
    """
    wide = FOOT_WIDE_MM / larger
    phones = rows(" · ".join(f"{item.label} {item.value}" for item in front.emergency), wide, size=PHONES_REM)
    aid = front.card or " ".join(f"{item.label}: {item.value}." for item in front.first_aid)
    rest = sum(rows(words, wide, size=FOOT_REM, bold=bool(front.card)) for words in (aid, front.deferral))
    return FOOT_ROW_MM * (1.2 * phones + rest) * larger + RULES_MM
