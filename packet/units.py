"""Units: conversion, flooring and formatting, in one place.

Names carry their unit. Physics inside `packet.refrigerant` is SI; everything the rules and the plan hold is US
(`_lb`, `_F`, `_psig`, `_ft3`), and what is printed follows the shop's `units`.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Literal

UnitSystem = Literal["US", "SI"]

# Exact by definition (international yard and pound, 1959).
KG_PER_LB = 0.45359237
M_PER_FT = 0.3048
M3_PER_FT3 = M_PER_FT**3
IN3_PER_FT3 = 1728.0
L_PER_FT3 = M3_PER_FT3 * 1000.0
# Pound-force per square inch: 0.45359237 kg x 9.80665 m/s2 / (0.0254 m)2.
PA_PER_PSI = 0.45359237 * 9.80665 / 0.0254**2
PA_PER_BAR = 1e5
# Conventional inch of mercury at 0 degC (NIST SP 811, appendix B.8: 3.386389 E+03); from memory.
PA_PER_INHG = 3386.389
PSI_PER_INHG = PA_PER_INHG / PA_PER_PSI
STANDARD_ATMOSPHERE_PSIA = 101325.0 / PA_PER_PSI  # 14.696
# 49 CFR 173.304a, note on filling density: 1 lb of water is 27.737 in3 at 60 degF.
IN3_PER_LB_WATER_60F = 27.737


def celsius_from_fahrenheit(temperature_F: float) -> float:
    """Degrees Celsius from degrees Fahrenheit."""
    return (temperature_F - 32.0) / 1.8


def fahrenheit_from_celsius(temperature_C: float) -> float:
    """Degrees Fahrenheit from degrees Celsius."""
    return temperature_C * 1.8 + 32.0


def kelvin_from_fahrenheit(temperature_F: float) -> float:
    """Kelvin from degrees Fahrenheit."""
    return celsius_from_fahrenheit(temperature_F) + 273.15


def fahrenheit_from_kelvin(temperature_K: float) -> float:
    """Degrees Fahrenheit from kelvin."""
    return fahrenheit_from_celsius(temperature_K - 273.15)


def lb_per_ft3_from_kg_per_m3(density_kg_m3: float) -> float:
    """Density in lb/ft3 from kg/m3."""
    return density_kg_m3 / KG_PER_LB * M3_PER_FT3


def floor_to(value: float | Decimal, step: float | Decimal) -> Decimal:
    """`value` floored, in decimal arithmetic, to a whole number of `step`s (both in the same unit).

    A limit is never rounded up: the result is at most `value`.
    """
    return _to_steps(value, step, ROUND_FLOOR)


def ceil_to(value: float | Decimal, step: float | Decimal) -> Decimal:
    """`value` raised, in decimal arithmetic, to a whole number of `step`s (both in the same unit)."""
    return _to_steps(value, step, ROUND_CEILING)


def round_to(value: float | Decimal, step: float | Decimal) -> Decimal:
    """`value` rounded half up, in decimal arithmetic, to a whole number of `step`s (both in the same unit)."""
    return _to_steps(value, step, ROUND_HALF_UP)


def _to_steps(value: float | Decimal, step: float | Decimal, rounding: str) -> Decimal:
    unit = Decimal(str(step))
    if unit <= 0:
        raise ValueError(f"a step must be positive, not {step}")
    steps = (Decimal(str(value)) / unit).to_integral_value(rounding=rounding)
    return (steps * unit).quantize(unit) if unit.as_tuple().exponent else steps * unit


def plain(value: float | Decimal, places: int) -> str:
    """`value` with a fixed number of decimals, rounded half up in decimal, never '-0'."""
    step = Decimal(1).scaleb(-places)
    rounded = Decimal(str(value)).quantize(step, rounding=ROUND_HALF_UP)
    return f"{rounded or abs(rounded):f}"
