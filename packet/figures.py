"""Figures as a reader sees them: a value with its unit, in the shop's units, in one place.

Values come in US units (`_lb`, `_F`, `_psig`, ...); the shop's `units` decides what is shown. Limits and stop weights
have been floored in the unit printed before they come here: showing them only cuts off binary dust.
"""

import re
from decimal import Decimal
from fractions import Fraction

from packet.units import (
    KG_PER_LB,
    M3_PER_FT3,
    M_PER_FT,
    PA_PER_BAR,
    PA_PER_INHG,
    PA_PER_PSI,
    PSI_PER_INHG,
    UnitSystem,
    ceil_to,
    celsius_from_fahrenheit,
    floor_to,
    plain,
)
from packet.words import P_, t

MM_PER_IN = 25.4
PA_PER_MMHG = PA_PER_INHG / MM_PER_IN


# what the files say where no designation holds
_UNNAMED = {"mixed": P_("gas", "mixed"), "unknown": P_("gas", "unknown")}


NO_BREAK = "\u00a0"
# a figure and its unit: '61.4 lb' read over two lines is two things; 'm' is meters here, and no line has a lone 'm'
_FIGURE_AND_UNIT = re.compile(
    r"(?<=\d) (?=(?:%|°[CF]|lb|kg|psig|psia|psi|barg|bar|kPa|inHg|mmHg|micron\w*|min|minut\w*|ft³|m³|ft|m)(?!\w))"
)


def unbroken(words: str) -> str:
    """`words` with a space that no line ends at between each figure and its unit."""
    return _FIGURE_AND_UNIT.sub(NO_BREAK, words)


def gas_named(gas: str) -> str:
    """A refrigerant's designation, or the file's word for one that has none, in the current language."""
    return t(_UNNAMED.get(gas, gas)) if gas else ""


def weight_unit(units: UnitSystem) -> str:
    """'lb' or 'kg'."""
    return "lb" if units == "US" else "kg"


def pressure_unit(units: UnitSystem) -> str:
    """'psig' or 'barg'."""
    return "psig" if units == "US" else "barg"


def vacuum_unit(units: UnitSystem) -> str:
    """Unit of a gauge vacuum: 'inHg' or 'kPa', both counted downwards from the site's barometer."""
    return "inHg" if units == "US" else "kPa"


def temperature_unit(units: UnitSystem) -> str:
    """'°F' or '°C'."""
    return "°F" if units == "US" else "°C"


def weight_value(lb: float, units: UnitSystem, places: int | None = None) -> str:
    """A weight without its unit; by default one decimal of a pound, two of a kilogram, and one more of less than one:
    90 % of a small appliance's charge must not read like all of it.
    """
    weight, usual = (lb, 1) if units == "US" else (lb * KG_PER_LB, 2)
    if places is None:
        places = usual + 1 if 0.0 < abs(weight) < 1.0 else usual
    return plain(weight, places)


def most_weight_value(lb: float, units: UnitSystem, places: int) -> str:
    """A limit without its unit, cut off after its decimals, never rounded up; a hair (1e-9) of binary dust is none."""
    weight = lb if units == "US" else lb * KG_PER_LB
    return plain(floor_to(round(weight, 9), 10.0**-places), places)


def show_weight(lb: float, units: UnitSystem, places: int | None = None) -> str:
    """'61.4 lb' or '27.85 kg'."""
    return f"{weight_value(lb, units, places)} {weight_unit(units)}"


def show_sum_weight(lb: float, units: UnitSystem) -> str:
    """What a truck carries, which no scale reads: one decimal in either unit."""
    return show_weight(lb, units, 1)


def show_charge(lb: float, units: UnitSystem, scale_places: int = 0) -> str:
    """A charge in the shop's units, alike wherever it stands; less than 2 lb with two decimals: 0.34 is not 0.3.

    scale_places: on a job's paper, the decimals of its scale, as what is planned in stands there with them.
    """
    return show_weight(lb, units, max(scale_places, 2 if lb < 2.0 or units == "SI" else 1))


def show_rule_weight(lb: float, units: UnitSystem) -> str:
    """A weight of a rule of thumb: whole pounds, or kilograms with one decimal."""
    return show_weight(lb, units, 0 if units == "US" else 1)


def pressure_value(psig: float, units: UnitSystem, places: int | None = None) -> str:
    """A gauge pressure without its unit; by default whole psi, one decimal of a bar."""
    if units == "US":
        return plain(psig, 0 if places is None else places)
    return plain(psig * PA_PER_PSI / PA_PER_BAR, 1 if places is None else places)


def show_pressure(psig: float, units: UnitSystem, places: int | None = None) -> str:
    """'245 psig' or '16.9 barg'; none at all is '0 psig' or '0 barg', as a vacuum of none is."""
    value = "0" if psig == 0.0 else pressure_value(psig, units, places)
    return f"{value} {pressure_unit(units)}"


def show_pressure_limit(psig: float, units: UnitSystem) -> str:
    """A pressure that may not be exceeded, rounded down: 10 psig is '0.6 barg'."""
    in_unit, step = (psig, Decimal(1)) if units == "US" else (psig * PA_PER_PSI / PA_PER_BAR, Decimal("0.1"))
    # 9 decimals first: what was converted from a round figure is that figure, whatever dust is on it
    return f"{floor_to(round(in_unit, 9), step)} {pressure_unit(units)}"


def vacuum_value(inHg: float, units: UnitSystem) -> str:
    """A gauge vacuum without its unit, rounded to the deeper side, one decimal, never below 0."""
    deep = max(inHg, 0.0) if units == "US" else max(inHg, 0.0) * PA_PER_INHG / 1000.0
    # 9 decimals first: a figure that was already rounded must not go one step deeper for its binary dust
    return plain(ceil_to(round(deep, 9), 0.1), 1)


def show_gauge(psig: float, units: UnitSystem) -> str:
    """What a compound gauge shows: a pressure, or below the site's barometer a vacuum, rounded to the nearest."""
    if psig >= 0 or pressure_value(psig, units) in {"0", "0.0"}:
        return show_pressure(max(psig, 0.0), units)
    deep = -psig / PSI_PER_INHG if units == "US" else -psig * PA_PER_PSI / 1000.0
    return t("{value} {unit} vacuum", value=plain(deep, 1), unit=vacuum_unit(units))


def show_vacuum(inHg: float, units: UnitSystem) -> str:
    """'10.4 inHg vacuum' or '35.3 kPa vacuum'; a target of 0 is '0 psig' or '0 barg'."""
    if inHg <= 0:
        return f"0 {pressure_unit(units)}"
    # Translators: a gauge reading below the air's pressure, counted downwards: "10.4 inHg vacuum"
    return t("{value} {unit} vacuum", value=vacuum_value(inHg, units), unit=vacuum_unit(units))


def absolute_value(psia: float, units: UnitSystem) -> str:
    """An absolute pressure without its unit: whole mmHg, or one decimal of a kPa."""
    if units == "US":
        return plain(psia * PA_PER_PSI / PA_PER_MMHG, 0)
    return plain(psia * PA_PER_PSI / 1000.0, 1)


def show_absolute(psia: float, units: UnitSystem) -> str:
    """An absolute pressure, for the absolute gauge of a low-pressure machine: '25 mmHg absolute' or '3.3 kPa absolute'."""
    value = absolute_value(psia, units)
    return t("{value} mmHg absolute", value=value) if units == "US" else t("{value} kPa absolute", value=value)


def temperature_value(temperature_F: float, units: UnitSystem, places: int = 0) -> str:
    """A temperature without its unit."""
    return plain(temperature_F if units == "US" else celsius_from_fahrenheit(temperature_F), places)


def ambient_value(temperature_F: float, units: UnitSystem) -> str:
    """A temperature that limits are printed for, without its unit: whole where it is, else cut off after one decimal."""
    value = round(temperature_F if units == "US" else celsius_from_fahrenheit(temperature_F), 6)
    return (plain(value, 0) if value.is_integer() else plain(floor_to(value, 0.1), 1)).replace("-", "−")


def show_ambient(temperature_F: float, units: UnitSystem) -> str:
    """The same with its unit: '60 °F' or '15.5 °C'."""
    return f"{ambient_value(temperature_F, units)} {temperature_unit(units)}"


def show_temperature(temperature_F: float, units: UnitSystem, places: int = 0) -> str:
    """'131 °F' or '55 °C'."""
    return f"{temperature_value(temperature_F, units, places)} {temperature_unit(units)}"


def show_length(ft: float, units: UnitSystem) -> str:
    """'5 ft' or '1.5 m'; an elevation in whole meters: '195 m'."""
    if units == "US":
        return f"{plain(ft, 0 if float(ft).is_integer() else 1)} ft"
    meters = ft * M_PER_FT
    return f"{plain(meters, 1 if meters < 20.0 else 0)} m"


def show_bore(inches: float, units: UnitSystem) -> str:
    """A hose's inner diameter: '3/8 in' or '9.5 mm'."""
    if units == "SI":
        return f"{plain(inches * MM_PER_IN, 1)} mm"
    fraction = Fraction(round(inches * 16), 16)
    return f"{fraction if abs(float(fraction) - inches) < 0.005 else plain(inches, 2)} in"


def show_rate(lb_per_min: float, units: UnitSystem) -> str:
    """A weight a minute: '14.0 lb/min' or '6.35 kg/min'."""
    return f"{show_weight(lb_per_min, units)}/min"


def show_room(ft3: float, units: UnitSystem) -> str:
    """A room's volume: '1,900 ft³' or '54 m³'."""
    return f"{ft3:,.0f} ft³" if units == "US" else f"{ft3 * M3_PER_FT3:,.0f} m³"
