"""Weights that cannot be: refused, because filing them would make the ledger wrong.

A weight in the other unit, one below the cylinder's own tare, one that no such cylinder or scale can show.
"""

from collections.abc import Iterator
from decimal import Decimal

from packet.ledger import mass
from packet.ledger.state import tolerance_kg
from packet.office.case import Case
from packet.office.readings import Weight
from packet.shop.problems import Problem
from packet.shop.records import Cylinder
from packet.words import t

# The heaviest liquid that a recovery cylinder may come to hold weighs less than this times its water capacity: R-13B1
# at 60 °F about 1.6 (from memory). Anything above it was not in that cylinder.
HEAVIEST_OVER_WATER = Decimal("1.6")
# How near a weight in the other unit must come to what is expected for the slip to be named. Common practice, no source.
NEAR = Decimal("0.02")
WHEN = ("before", "after")


def impossible_weights(case: Case) -> Iterator[Problem]:
    """Every weight of the form that cannot be, each under the key as it stands in the form."""
    other = tuple(_other_unit(case))
    if other:
        yield from other
        return
    for cylinder in _weighed(case):
        tare = mass.kg_from_float_lb(cylinder.tare_lb)
        most = tare + most_held_kg(cylinder)
        scale = _scale_capacity_kg(case)
        for when in WHEN:
            name = f"cylinders.{cylinder.id}.bare_{when}_gross"
            weight = case.readings.weight(name)
            if weight is None:
                continue
            if weight.kg < tare - _tolerance(case):
                yield case.problem(
                    name,
                    t(
                        "Cylinder {cylinder} reads {weight}, below its tare ({tare}): it cannot weigh less than empty.",
                        cylinder=cylinder.id,
                        weight=case.weight(weight.kg),
                        tare=case.weight(tare),
                    ),
                    t(
                        "Another cylinder, or a slip of the pen? If cylinders.yaml is wrong, correct the tare there first."
                    ),
                )
            elif weight.kg > most or (scale is not None and weight.kg > scale):
                yield case.problem(
                    name,
                    t(
                        "Cylinder {cylinder} cannot weigh {weight}: the most that it or the scale can show is {most}.",
                        cylinder=cylinder.id,
                        weight=case.weight(weight.kg),
                        most=case.weight(min(most, scale) if scale is not None else most),
                    ),
                    t("Look at the paper again: a digit too many, or the weight of two things?"),
                )


def most_held_kg(cylinder: Cylinder) -> Decimal:
    """More refrigerant than this was never in that cylinder, whatever it is."""
    return HEAVIEST_OVER_WATER * mass.kg_from_float_lb(cylinder.water_capacity_lb)


def _other_unit(case: Case) -> Iterator[Problem]:
    """All weights before the fill fit the ledger in the other unit, and none fits as typed: one slip, told once."""
    weights: list[tuple[str, Weight, Decimal]] = []
    for cylinder in _weighed(case):
        name, state = f"cylinders.{cylinder.id}.bare_before_gross", case.states.get(cylinder.id)
        weight = case.readings.weight(name)
        if weight is not None and state is not None:
            weights.append((name, weight, mass.kg_from_float_lb(cylinder.tare_lb) + state.ledger_kg))
    if not weights or not all(_fits_in_the_other(weight, expected) for _, weight, expected in weights):
        return
    if any(abs(weight.kg - expected) <= _tolerance(case) for _, weight, expected in weights):
        return
    name, weight, _ = weights[0]
    typed, meant = weight.unit, "kg" if weight.unit == "lb" else "lb"
    yield case.problem(
        name,
        t(
            "The weights look like {meant} typed as {typed}: in {meant} they fit tare and ledger.",
            meant=meant,
            typed=typed,
        ),
        t("Type them under keys that end in _{meant}.", meant=meant),
    )


def _fits_in_the_other(weight: Weight, expected: Decimal) -> bool:
    kg = mass.kg_from(weight.text, "kg" if weight.unit == "lb" else "lb")
    return expected > 0 and abs(kg - expected) <= NEAR * expected


def _weighed(case: Case) -> Iterator[Cylinder]:
    known = {item.id: item for item in case.registers.cylinders}
    for one in case.readings.cylinders:
        if one in known:
            yield known[one]


def _tolerance(case: Case) -> Decimal:
    return tolerance_kg(Decimal(repr(case.promised.scale_step_lb)))


def _scale_capacity_kg(case: Case) -> Decimal | None:
    used = case.promised.plan.inputs.job.scale
    known = next((item for item in case.registers.equipment.scales if item.id == used), None)
    return mass.kg_from_float_lb(known.capacity_lb) if known is not None else None
