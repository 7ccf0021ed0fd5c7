"""What to fetch for a job that the register cannot serve: how many cylinders, which rating, for which refrigerant."""

import math

from packet.assign.fill import Demand, State, rooms
from packet.assign.offers import AlikeCylinders, usual_kind
from packet.figures import show_pressure, show_weight
from packet.findings import Finding
from packet.plan.fit import least_packaging_psig
from packet.plan.gas import Gas
from packet.plan.job import gas_of
from packet.rules import fitness
from packet.rules.fill import HOT_F
from packet.shop.records import Job, Registers
from packet.units import STANDARD_ATMOSPHERE_PSIA, UnitSystem, ceil_to
from packet.words import t, tn
from packet.worked import given


def fetch_sentence(
    job: Job, registers: Registers, demand: Demand, evening: State, groups: tuple[AlikeCylinders, ...]
) -> str:
    """What is missing for one job, in the current language. evening: the cylinders after the day's other jobs; groups:
    what the register has that is fit.

    The count is for the kind of cylinder that the register has most of among those fit for the job.
    """
    units = registers.shop.units
    free = rooms(demand, evening)
    missing_lb = demand.need_lb - sum(room for _, room in free)
    rating = needed_rating(job, units)
    kind = usual_kind(groups)
    if kind is None:
        words = t(
            "Fetch cylinders {that_hold}, service pressure {rating} or more, with room for {missing} in all; the register has none of a kind that is fit.",
            that_hold=_that_hold(job, demand),
            rating=rating,
            missing=show_weight(missing_lb, units),
        )
    else:
        cylinder, room_lb = kind
        count = math.ceil(missing_lb / room_lb - 1e-9)
        words = tn(
            "Fetch {count} more cylinder {that_hold}, service pressure {rating} or more, water capacity {capacity} or more (room for {room}).",
            "Fetch {count} more cylinders {that_hold}, service pressure {rating} or more, water capacity {capacity} or more (room for {room} each).",
            count,
            that_hold=_that_hold(job, demand),
            rating=rating,
            capacity=show_weight(cylinder.water_capacity_lb, units),
            room=show_weight(room_lb, units),
        )
    if not free:
        return words
    return t(
        "{fetch} Free already: {ids} (room for {room}).",
        fetch=words,
        ids=", ".join(offer.cylinder for offer, _ in free),
        room=show_weight(sum(room for _, room in free), units),
    )


def needed_rating(job: Job, units: UnitSystem) -> str:
    """The least service pressure of a cylinder for this job's gas, shown. Source: 49 CFR 173.301a, see `fitness`."""
    gas = gas_of(job)
    if isinstance(gas, Finding):
        return t("not known")
    psig = fitness.needed_service_psig(_gauge(gas, HOT_F), _gauge(gas, 70.0), least_packaging_psig(gas))
    return show_pressure(float(ceil_to(psig, 1)), units)


def _gauge(gas: Gas, temperature_F: float) -> float:
    at = given(temperature_F, "°F", fitness.SOURCE_PRESSURE, places=1)
    return gas.bubble_high(at).value - STANDARD_ATMOSPHERE_PSIA


def _that_hold(job: Job, demand: Demand) -> str:
    gas = gas_of(job)
    if isinstance(gas, Finding) or gas.refrigerant is None:
        return t("kept for mixed gas, rated for flammable gas")
    name = gas.refrigerant.name
    if gas.refrigerant.own:
        words = t("kept for mixed gas")
    elif demand.alone:
        words = t("empty and evacuated, for burnt-out {refrigerant} alone", refrigerant=name)
    else:
        words = t("empty and evacuated or with {refrigerant} in it", refrigerant=name)
    return t("{words}, rated for flammable gas", words=words) if gas.refrigerant.flammable else words
