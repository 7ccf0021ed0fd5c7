"""Spreading what comes out over the assigned cylinders, in order, and what to fetch when they do not suffice."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import accumulate
from typing import NamedTuple

from packet.plan.cylinder import Weights
from packet.plan.fit import Spare
from packet.statements import Amount, Statement, statement
from packet.words import N_
from packet.worked import Worked, given

# Compared with this much slack for binary fractions, lb.
HAIR_LB = 1e-9


@dataclass(frozen=True, slots=True)
class Spread:
    """What each cylinder is planned to take, in order, and what is left over of the most that may come, lb."""

    planned_lb: tuple[Worked, ...]
    free_lb: float
    left_over_lb: float

    @property
    def suffices(self) -> bool:
        """Whether the cylinders have room for all that may come."""
        return self.left_over_lb <= HAIR_LB


def expected_max_lb(to_recover_lb: Worked, allowance_percent: Worked) -> Worked:
    """The most that may come out: the charge and the over-charge allowance. Source: the shop's policy."""
    return Worked(
        to_recover_lb.value * (1.0 + allowance_percent.value / 100.0),
        "lb",
        N_("the charge and the allowance for a system that holds more than its nameplate says"),
        N_("the shop's policy; common practice, no source"),
        "{charge} × (1 + {allowance} ÷ 100)",
        (("charge", to_recover_lb), ("allowance", allowance_percent)),
    )


def spread(to_recover_lb: Worked, expected_max: Worked, cylinders: tuple[tuple[Weights, bool], ...]) -> Spread:
    """Fill the cylinders in order, each to its stop weight; a cylinder that is not fit takes nothing.

    to_recover_lb is what is planned; room is checked against expected_max. cylinders: (weights, fit) in order.
    """
    planned: list[Worked] = []
    still: Worked = to_recover_lb
    for own, fit in cylinders:
        if not fit:
            planned.append(given(0.0, "lb", N_("the cylinder is refused: nothing is planned into it"), places=1))
            continue
        share = Worked(
            min(own.free_lb.value, still.value),
            "lb",
            N_("what is planned into this cylinder: its room, or what is still to come"),
            N_("cylinders are filled in the order assigned"),
            "smallest of ({room}, {still_to_come})",
            (("room", own.free_lb), ("still_to_come", still)),
        )
        planned.append(share)
        still = Worked(
            max(0.0, round(still.value - share.value, 9)),
            "lb",
            N_("still to come after the cylinders before"),
            N_("mass balance"),
            "{to_come} − {planned_before}",
            (("to_come", still), ("planned_before", share)),
        )
    free = sum(own.free_lb.value for own, fit in cylinders if fit)
    return Spread(tuple(planned), free, max(0.0, expected_max.value - free))


class _Choice(NamedTuple):
    free_lb: float
    tare_lb: float
    picked: tuple[int, ...]


def fewest_then_lightest(needed_lb: float, offers: tuple[Spare, ...]) -> tuple[Spare, ...] | None:
    """The fewest of `offers` that together have room for `needed_lb`, and of those the lightest; None: not even all.

    Exact: keeps, for each number of cylinders, every choice that no other beats in both room and weight and that the
    roomiest of those still to come could complete.
    """
    roomiest = sorted(offers, key=lambda own: -own.free_lb)
    up_to = [0.0, *accumulate(own.free_lb for own in roomiest)]
    count = next((size for size, room in enumerate(up_to) if room >= needed_lb - HAIR_LB), None)
    if count is None:
        return None
    best: list[list[_Choice]] = [[_Choice(0.0, 0.0, ())]] + [[] for _ in range(count)]
    for number, own in enumerate(roomiest):
        for size in range(min(count, number + 1), 0, -1):
            after = number + 1 + count - size
            if after > len(roomiest):
                continue
            least = needed_lb - HAIR_LB - (up_to[after] - up_to[number + 1])
            longer = [
                _Choice(
                    min(needed_lb, choice.free_lb + own.free_lb),
                    choice.tare_lb + own.cylinder.tare_lb,
                    (*choice.picked, number),
                )
                for choice in best[size - 1]
            ]
            best[size] = _unbeaten([choice for choice in best[size] + longer if choice.free_lb >= least])
    enough = [choice for choice in best[count] if choice.free_lb >= needed_lb - HAIR_LB]
    return tuple(roomiest[number] for number in min(enough, key=lambda choice: choice.tare_lb).picked)


def _unbeaten(choices: list[_Choice]) -> list[_Choice]:
    kept: list[_Choice] = []
    for choice in sorted(choices, key=lambda item: (item.tare_lb, -item.free_lb)):
        if not kept or choice.free_lb > kept[-1].free_lb + HAIR_LB:
            kept.append(choice)
    return kept


def shortage(left_lb: float, offers: tuple[Spare, ...], largest_empty_lb: Callable[[], float]) -> Statement:
    """What to fetch: free cylinders of the register, and how many more where those do not suffice.

    offers: cylinders that are free and fit. largest_empty_lb: the room of the register's largest fit cylinder when
    empty, lb; 0 when it has none of a kind that is fit; asked only where those free do not suffice.
    """
    chosen = fewest_then_lightest(left_lb, offers)
    if chosen is not None:
        room = Amount(sum(own.free_lb for own in chosen), "weight")
        return statement("take-as-well", count=len(chosen), ids=tuple(own.cylinder.id for own in chosen), room=room)
    room_lb = sum(own.free_lb for own in offers)
    missing = left_lb - room_lb
    largest_lb = largest_empty_lb()
    if largest_lb <= 0.0:
        return statement("no-kind-is-fit", missing=Amount(missing, "weight"))
    more, each = math.ceil(missing / largest_lb - 1e-9), Amount(largest_lb, "weight")
    if not offers:
        return statement("none-free", count=more, each=each)
    ids = tuple(own.cylinder.id for own in offers)
    return statement("free-do-not-suffice", count=more, ids=ids, room=Amount(room_lb, "weight"), each=each)
