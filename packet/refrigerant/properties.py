"""Pressures and densities of a refrigerant, in US units, from its curves.

The catalogue's curves come with the code; those of a refrigerant given by its composition are computed once and
remembered. Nothing here imports the property library but for the first use of a composition; a figure costs microseconds.
"""

import math
from functools import cache

from packet.refrigerant import memory, packaged
from packet.refrigerant.believe import believable
from packet.refrigerant.catalogue import Refrigerant
from packet.refrigerant.computed import Composition, Computed, NoProperties, from_plain, to_plain
from packet.refrigerant.curve import Curve, inverse
from packet.statements import Amount, Statement, Word, statement
from packet.units import (
    PA_PER_PSI,
    STANDARD_ATMOSPHERE_PSIA,
    fahrenheit_from_kelvin,
    lb_per_ft3_from_kg_per_m3,
    plain,
)
from packet.words import N_

__all__ = ["NoProperties", "OutOfRange", "Properties", "properties"]

# CODATA 2018 (exact since the SI revision of 2019), J/(mol K).
_GAS_CONSTANT = 8.31446261815324
_KG_PER_M3 = 1.0 / lb_per_ft3_from_kg_per_m3(1.0)  # of 1 lb/ft3

_WAYS = {
    # Translators: how figures were come by; printed after the pairs of gases: "R-22/R-152a: mixing rule"
    "estimated": N_("mixing rule"),
    "boiling": N_("mixing rule, brought to the published boiling point"),
    "fitted": N_("fitted to pressures alone"),
    "own": N_("computed for the composition given"),
    "own-estimated": N_("mixing rule, computed for the composition given"),
    "strange": N_("far from ideal mixing"),
}


# How a composition's curves can have come about.
OWN_WAYS = frozenset({"own", "own-estimated"})


class OutOfRange(ValueError):  # noqa: N818 - the trade's words
    """Asked for a state the refrigerant does not have or the curves do not cover. reason: why, for the user."""

    def __init__(self, reason: Statement) -> None:
        self.reason = reason
        super().__init__(reason)

    def __str__(self) -> str:
        return self.reason.sentence("US")


class Properties:
    """One refrigerant's properties. Temperatures in degF, pressures in psia, densities in lb/ft3.

    density_error_percent (of the liquid) and pressure_error_percent (of the pressures and the vapor's density): None
    when the library computes the refrigerant well, otherwise the error of the estimate named in estimate_how: the
    truth lies between the value less and the value plus that many percent of it. lowest_F, highest_F: the range of every saturation figure.
    """

    __slots__ = (
        "_liquid",
        "_ln_bubble",
        "_ln_dew",
        "_ln_vapor",
        "boiling_F",
        "critical_F",
        "density_error_percent",
        "estimate_how",
        "highest_F",
        "lowest_F",
        "molar_mass_lb_per_lbmol",
        "pressure_error_percent",
        "refrigerant",
    )

    def __init__(self, refrigerant: Refrigerant, computed: Computed) -> None:
        span = (computed.lowest_K, computed.highest_K)
        self.refrigerant = refrigerant
        self.critical_F = fahrenheit_from_kelvin(computed.critical_K)
        self.molar_mass_lb_per_lbmol = computed.molar_mass_kg * 1000.0
        self.density_error_percent = computed.density_error_percent
        self.pressure_error_percent = computed.pressure_error_percent
        self.estimate_how = _how(computed)
        self.lowest_F = round(fahrenheit_from_kelvin(computed.lowest_K), 6)
        self.highest_F = round(fahrenheit_from_kelvin(computed.highest_K), 6)
        self._ln_bubble = Curve(*span, computed.ln_bubble)
        self._ln_dew = Curve(*span, computed.ln_dew)
        self._liquid = Curve(*span, computed.liquid)
        self._ln_vapor = Curve(*span, computed.ln_vapor)
        self.boiling_F = self._boiling_F()

    def _kelvin(self, T_F: float) -> float:
        if not self.lowest_F <= T_F <= self.highest_F:
            raise OutOfRange(
                statement(
                    "figures-only-from",
                    refrigerant=self.refrigerant.name,
                    lowest=Amount(self.lowest_F, "temperature"),
                    highest=Amount(self.highest_F, "temperature"),
                    asked=Amount(T_F, "exact-temperature"),
                    critical=Amount(self.critical_F, "temperature"),
                )
            )
        return (T_F - 32.0) / 1.8 + 273.15

    def bubble_psia(self, T_F: float) -> float:
        """Bubble-point pressure. Raises OutOfRange."""
        return math.exp(self._ln_bubble(self._kelvin(T_F))) / PA_PER_PSI

    def dew_psia(self, T_F: float) -> float:
        """Dew-point pressure. Raises OutOfRange."""
        return math.exp(self._ln_dew(self._kelvin(T_F))) / PA_PER_PSI

    def liquid_lb_per_ft3(self, T_F: float) -> float:
        """Saturated liquid at the bubble point. Raises OutOfRange."""
        return self._liquid(self._kelvin(T_F)) / _KG_PER_M3

    def vapor_lb_per_ft3(self, T_F: float) -> float:
        """Saturated vapor at the dew point. Raises OutOfRange."""
        return math.exp(self._ln_vapor(self._kelvin(T_F))) / _KG_PER_M3

    def bubble_F(self, psia: float) -> float:
        """Temperature at which the liquid begins to boil. Raises OutOfRange."""
        return self._temperature_F(self._ln_bubble, self._ln_Pa(psia), N_("bubble pressure"))

    def liquid_temperature_F(self, density_lb_ft3: float) -> float:
        """Temperature at which the saturated liquid has that density. Raises OutOfRange."""
        return self._temperature_F(self._liquid, density_lb_ft3 * _KG_PER_M3, N_("liquid density"))

    def vapor_density_at(self, T_F: float, psia: float) -> float:
        """Vapor at T_F and a pressure at or below the dew pressure there (pump-down).

        The compressibility falls in proportion to the pressure from 1 at none to that of the saturated vapor: the
        virial equation cut after its second term, fitted at the dew point. Raises OutOfRange.
        """
        dew, saturated = self.dew_psia(T_F), self.vapor_lb_per_ft3(T_F)
        if not 0.0 <= psia <= dew * (1.0 + 1e-9):
            raise OutOfRange(
                statement(
                    "not-vapor-at",
                    refrigerant=self.refrigerant.name,
                    temperature=Amount(T_F, "exact-temperature"),
                    pressure=plain(psia, 1),
                )
            )
        # density of an ideal gas for each psia, lb/ft3
        ideal = PA_PER_PSI * self.molar_mass_lb_per_lbmol / 1000.0 / (_GAS_CONSTANT * self._kelvin(T_F)) / _KG_PER_M3
        at_dew = ideal * dew / saturated
        return ideal * psia / (1.0 - (1.0 - at_dew) * psia / dew)

    def _boiling_F(self) -> float:
        try:
            return self.bubble_F(STANDARD_ATMOSPHERE_PSIA)
        except OutOfRange:
            # boils below -40 degF: the vapor-pressure line, straight in 1/T, carried on from the lowest 20 kelvin
            low, high = self._ln_bubble.lowest, self._ln_bubble.lowest + 20.0
            at_low, at_high = self._ln_bubble(low), self._ln_bubble(high)
            slope = (at_high - at_low) / (1.0 / high - 1.0 / low)
            return fahrenheit_from_kelvin(1.0 / (1.0 / low + (math.log(101325.0) - at_low) / slope))

    def _ln_Pa(self, psia: float) -> float:
        return math.log(psia * PA_PER_PSI) if psia > 0.0 else -math.inf

    def _temperature_F(self, curve: Curve, target: float, what: str) -> float:
        try:
            return fahrenheit_from_kelvin(inverse(curve, target, curve.lowest, curve.highest))
        except ValueError as error:
            raise OutOfRange(
                statement(
                    "does-not-have",
                    refrigerant=self.refrigerant.name,
                    what=Word(what),
                    lowest=Amount(self.lowest_F, "temperature"),
                    highest=Amount(self.highest_F, "temperature"),
                )
            ) from error


def _how(computed: Computed) -> str:
    return ": ".join([*filter(None, [", ".join(computed.pairs)]), _WAYS[computed.way]]) if computed.way else ""


@cache
def properties(refrigerant: Refrigerant) -> Properties:
    """The properties of `refrigerant`: from the package, from the memory, or computed with the library and remembered.

    Raises NoProperties with the reason when there is no sound way to compute them, ImportError when the library that
    they must be computed with cannot be loaded.
    """
    ready = packaged.curves(refrigerant.name, refrigerant.composition)
    if ready is not None:
        return Properties(refrigerant, ready)
    kept = _remembered(refrigerant.composition)
    if kept is not None:
        return Properties(refrigerant, kept)
    from packet.refrigerant.build import compute_own

    computed = compute_own(refrigerant.name, refrigerant.composition)
    memory.remember(refrigerant.composition, to_plain(computed))
    return Properties(refrigerant, computed)


def _remembered(composition: Composition) -> Computed | None:
    """What is remembered of a composition, if it can be believed; None: to be computed again."""
    found = memory.recall(composition)
    if found is None:
        return None
    try:
        kept = from_plain(found)
    except TypeError:
        return None
    return kept if kept.way in OWN_WAYS and believable(composition, kept) else None
