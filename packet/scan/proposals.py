"""What a filed packet's scans propose for its form: ticks, initials and written numbers, each with where it was seen.

A number is proposed when every digit of it is sure. Weights are held against one another and against the print: where
before and net make after, numbers a little less sure are taken, too; where they do not, or where a weight is far from
what was expected or above a limit, nothing is proposed and the reason is said. A person confirms all of it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from packet.press.printed import PrintRecord
from packet.scan.model import BY_HAND, BoxMark, Filed, Written
from packet.units import KG_PER_LB
from packet.words import N_

How = Literal["tick", "initials", "digits"]

# The least sureness of a whole number (its digits' multiplied): alone, and where sums confirm it. Alone at most 1 number of
# 1,000 may be wrong, by writers that the training never saw: at this limit 24 of 40,000 numbers of MNIST's test digits
# were wrong, and 87 of 100 right; of whole records, with sums, 92 of 100 are proposed right (DEVELOPERS.md has the table).
SURE = 0.988
SURE_WITH_SUM = 0.5
# A sum may be off by rounding of each of its weights to the scale's step; one that is off confirms no last digit.
SUM_TOLERANCE = 0.11
EXACT = 0.001
# A weight this far from the expected one is a misread digit or a story to tell, and either is for a person.
FAR_SHARE = 0.25
FAR_LB = 4.0

UNSURE = N_("a digit is not sure")
NO_SUM = N_("before and net do not make after")
NO_TOTAL = N_("the nets do not make the total")
FAR = N_("far from what was expected")
OVER = N_("above the cylinder's limit")
BACKWARDS = N_("the end is before the start")
DIFFER = N_("its scans differ")
NOT_HERE = N_("its page is missing")


@dataclass(frozen=True, slots=True)
class Proposal:
    """What one place of the paper says for the form. key: the form's. value: as it is typed there, empty when nothing is
    proposed, and why. confidence: from 0 to 1. source: the scan's file and page. written: a number's comb."""

    key: str
    label: str
    how: How
    value: str
    confidence: float
    why: str
    page: int
    source: str
    written: Written | None = None


def proposals(filed: Filed, record: PrintRecord) -> dict[str, Proposal]:
    """Everything a sorted packet proposes, by the form's key, in the order of the pages."""
    pages = [page for page in (*filed.pages, *filed.from_older) if not page.set_aside]
    sources = {page.address.page: page.source for page in pages}
    found = {mark.key: _of_mark(mark, sources.get(mark.page, "")) for mark in filed.ticks}
    numbers: dict[str, Proposal] = {}
    for page in pages:
        for written in page.written:
            other = numbers.get(written.key)
            mine = _of_written(written, page.source)
            if other is not None and other.value != mine.value:
                mine = replace(mine, value="", confidence=0.0, why=DIFFER)
            numbers[written.key] = mine
    return found | _checked(numbers, record) | _not_read(numbers, sources, record)


def _not_read(numbers: Mapping[str, Proposal], sources: Mapping[int, str], record: PrintRecord) -> dict[str, Proposal]:
    """The combs that nobody looked into, and why."""
    return {
        box.key: Proposal(
            box.key,
            box.label,
            "digits",
            "",
            0.0,
            BY_HAND if box.page in sources else NOT_HERE,
            box.page,
            sources.get(box.page, ""),
        )
        for box in record.boxes
        if box.form and box.key not in numbers
    }


def _of_mark(mark: BoxMark, source: str) -> Proposal:
    value = {"marked": "yes", "empty": "no", "doubtful": ""}[mark.mark]
    how: How = "tick" if mark.kind == "check" else "initials"
    return Proposal(mark.key, mark.label, how, value, 1.0 if value else 0.0, mark.why, mark.page, source)


def _of_written(written: Written, source: str) -> Proposal:
    return Proposal(
        written.key, written.label, "digits", written.text, written.sureness, written.why, written.page, source, written
    )


def _checked(numbers: dict[str, Proposal], record: PrintRecord) -> dict[str, Proposal]:
    """The numbers that hold: sure, or made sure by a sum; the others without a value and with the reason."""
    checked = dict(numbers)
    confirmed: set[str] = set()
    for cylinder in _cylinders(record.plan):
        confirmed |= _weigh(checked, cylinder)
    _total(checked, confirmed)
    _clock(checked)
    for key, item in checked.items():
        if item.value and item.confidence < (SURE_WITH_SUM if key in confirmed else SURE):
            checked[key] = replace(item, value="", why=UNSURE)
    return checked


def _cylinders(plan: Mapping[str, Any]) -> Sequence[Mapping[str, Any]]:
    given = plan.get("cylinders")
    return [item for item in given if isinstance(item, Mapping)] if isinstance(given, Sequence) else []


def _weigh(checked: dict[str, Proposal], cylinder: Mapping[str, Any]) -> set[str]:
    """One cylinder's weights against one another and the print. The keys that a sum confirms."""
    start = f"cylinders.{cylinder.get('id')}."
    names = {name: _with_unit(checked, start + name) for name in ("bare_before_gross", "put_in", "bare_after_gross")}
    before, net, after = names.values()
    expected = {
        before: cylinder.get("expected_bare_gross_lb"),
        net: cylinder.get("planned_lb"),
        after: cylinder.get("planned_gross_lb"),
    }
    confirmed: set[str] = set()
    values = [_number(checked.get(key)) for key in (before, net, after)]
    if None not in values:
        one, two, three = (value for value in values if value is not None)
        if abs(one + two - three) <= EXACT:
            confirmed = {before, net, after}
        elif abs(one + two - three) > SUM_TOLERANCE:
            _drop(checked, (before, net, after), NO_SUM)
    for key, value in expected.items():
        seen = _in_lb(key, _number(checked.get(key)))
        if seen is None or not isinstance(value, int | float):
            continue
        limit = cylinder.get("limit_gross_lb")
        if key == after and isinstance(limit, int | float) and seen > limit + SUM_TOLERANCE:
            _drop(checked, (key,), OVER)
        elif abs(seen - value) > max(FAR_LB, FAR_SHARE * value):
            _drop(checked, (key,), FAR)
    return {key for key in confirmed if checked[key].value}


def _total(checked: dict[str, Proposal], confirmed: set[str]) -> None:
    total = _with_unit(checked, "recovered")
    nets = [key for key in checked if key.startswith("cylinders.") and ".put_in" in key]
    values = [_number(checked.get(key)) for key in nets]
    said = _number(checked.get(total))
    if said is None or not nets or None in values:
        return
    off = abs(sum(value for value in values if value is not None) - said)
    if off > SUM_TOLERANCE * len(nets):
        _drop(checked, (total,), NO_TOTAL)
    elif off <= EXACT and (set(nets) <= confirmed or all(checked[key].confidence >= SURE for key in nets)):
        confirmed.add(total)


def _clock(checked: dict[str, Proposal]) -> None:
    start, end = checked.get("times.start"), checked.get("times.end")
    if start and end and start.value and end.value and end.value <= start.value:
        _drop(checked, ("times.start", "times.end"), BACKWARDS)


def _with_unit(checked: Mapping[str, Proposal], key: str) -> str:
    return next((key + unit for unit in ("_lb", "_kg") if key + unit in checked), key + "_lb")


def _number(item: Proposal | None) -> float | None:
    return float(item.value) if item is not None and item.value and ":" not in item.value else None


def _in_lb(key: str, value: float | None) -> float | None:
    return value if value is None or key.endswith("_lb") else value / KG_PER_LB


def _drop(checked: dict[str, Proposal], keys: Sequence[str], why: str) -> None:
    for key in keys:
        if key in checked and checked[key].value:
            checked[key] = replace(checked[key], value="", why=why)
