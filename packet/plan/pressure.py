"""The pressure sheet: what a rested cylinder should read at this elevation, and above what to suspect air."""

from dataclasses import dataclass
from functools import lru_cache

from packet.plan.case import Case
from packet.plan.gas import Fluid, Gas
from packet.plan.gauge import site_gauge
from packet.plan.model import PressureRow
from packet.rules import air
from packet.units import celsius_from_fahrenheit
from packet.words import N_
from packet.worked import Worked, given

FROM_F, TO_F, STEP_F = 20, 130, 5


@dataclass(frozen=True, slots=True)
class PressureWorked:
    """A row with its working, psig at the site."""

    bubble_psig: Worked
    dew_psig: Worked
    suspect_air_psig: Worked


def pressure_margin(case: Case) -> Worked:
    """The shop's margin for air, psi."""
    policy = case.policy
    return given(policy.noncondensable_margin_psi, "psi", policy.where("noncondensable_margin_psi"), places=1)


def pressure_at(case: Case, temperature_F: float, low_pressure: bool, margin_psi: Worked) -> PressureWorked:
    """The pressures at one temperature. low_pressure: 10 psi means nothing there, 6 °F more is used instead.

    What an estimate's error may explain is no sign of air: the bubble point counts at the high end there.
    """
    return _pressures(case.gas, case.barometer_psia, temperature_F, low_pressure, margin_psi)


def _pressures(
    gas: Gas, barometer_psia: Worked, temperature_F: float, low_pressure: bool, margin_psi: Worked
) -> PressureWorked:
    at = _at(temperature_F)
    bubble = site_gauge(gas.bubble(at), barometer_psia)
    if low_pressure:
        warmer = _at(min(temperature_F + air.LOW_PRESSURE_RISE_F, gas.fluid.highest_F))
        suspect = air.suspect_above_low_pressure_psig(site_gauge(gas.bubble_high(warmer), barometer_psia))
    else:
        suspect = air.suspect_above_psig(site_gauge(gas.bubble_high(at), barometer_psia), margin_psi)
    return PressureWorked(bubble, site_gauge(gas.dew(at), barometer_psia), suspect)


def pressure_table(case: Case, low_pressure: bool) -> tuple[PressureRow, ...]:
    """Every 5 °F from 20 to 130 °F; empty for an unknown gas, of which no pressure can be expected."""
    return _rows(case, low_pressure, tuple(float(at) for at in range(FROM_F, TO_F + 1, STEP_F)))


def pressure_strip(case: Case, low_pressure: bool) -> tuple[PressureRow, ...]:
    """The day's pressures around the ambient temperature: every 2 °F or, in an SI shop, every 1 °C; empty as above."""
    ambient_F = case.job.conditions.ambient_F
    if case.registers.shop.units == "US":
        middle = 2 * round(ambient_F / 2)
        steps = tuple(float(at) for at in range(middle - 16, middle + 17, 2))
    else:
        middle = round(celsius_from_fahrenheit(ambient_F))
        steps = tuple(at * 9 / 5 + 32 for at in range(middle - 8, middle + 9))
    return _rows(case, low_pressure, steps)


def _rows(case: Case, low_pressure: bool, temperatures_F: tuple[float, ...]) -> tuple[PressureRow, ...]:
    if case.gas.refrigerant is None:
        return ()
    return _figures(
        case.gas.fluid, case.barometer_psia.value, pressure_margin(case).value, low_pressure, temperatures_F
    )


@lru_cache(maxsize=1_000)
def _figures(
    fluid: Fluid, barometer_psia: float, margin_psi: float, low_pressure: bool, temperatures_F: tuple[float, ...]
) -> tuple[PressureRow, ...]:
    """The figures alone: they are the same for every job of a gas at a site, and a day of three hundred jobs, or a choice
    among machines, asks for them a thousand times.
    """
    gas = Gas("", fluid, None)
    barometer, margin = given(barometer_psia, "psia", ""), given(margin_psi, "psi", "")
    rows = []
    for temperature in temperatures_F:
        if fluid.lowest_F <= temperature <= fluid.highest_F:
            made = _pressures(gas, barometer, temperature, low_pressure, margin)
            rows.append(
                PressureRow(temperature, made.bubble_psig.value, made.dew_psig.value, made.suspect_air_psig.value)
            )
    return tuple(rows)


def _at(temperature_F: float) -> Worked:
    return given(temperature_F, "°F", N_("a row of the table"), places=1)
