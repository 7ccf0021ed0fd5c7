"""What a plan asks of a refrigerant: each figure with its working, on the safe side where it rests on an estimate.

`Gas` wraps the property station for one job and remembers what was asked: a fill table asks for the same temperatures
for every cylinder.
"""

from typing import Protocol

from packet.refrigerant.catalogue import Refrigerant
from packet.statements import Word
from packet.words import N_
from packet.worked import Worked

SOURCE = N_("equations of state of the property library (CoolProp)")
SOURCE_FULL = N_("shape of the coexistence curve near the critical point, from memory")
CRITICAL_EXPONENT = 0.325
FULL_ESTIMATED_TO_F = 180.0


class Fluid(Protocol):
    """The part of `packet.refrigerant.properties.Properties` that planning uses. US units; see there."""

    def __hash__(self) -> int: ...
    @property
    def critical_F(self) -> float: ...  # noqa: D102
    @property
    def density_error_percent(self) -> float | None: ...  # noqa: D102
    @property
    def pressure_error_percent(self) -> float | None: ...  # noqa: D102
    @property
    def estimate_how(self) -> str: ...  # noqa: D102
    @property
    def lowest_F(self) -> float: ...  # noqa: D102
    @property
    def highest_F(self) -> float: ...  # noqa: D102
    @property
    def boiling_F(self) -> float: ...  # noqa: D102
    def bubble_psia(self, T_F: float, /) -> float: ...  # noqa: D102
    def dew_psia(self, T_F: float, /) -> float: ...  # noqa: D102
    def liquid_lb_per_ft3(self, T_F: float, /) -> float: ...  # noqa: D102
    def vapor_lb_per_ft3(self, T_F: float, /) -> float: ...  # noqa: D102
    def liquid_temperature_F(self, lb_per_ft3: float, /) -> float: ...  # noqa: D102
    def vapor_density_at(self, T_F: float, psia: float, /) -> float: ...  # noqa: D102


class Gas:
    """One refrigerant (or the bounds of an unknown one) as a job's plan sees it.

    name: a designation, or where refrigerant is None (unknown or mixed) a marked message. Every method takes and gives
    `Worked`.
    """

    def __init__(self, name: str, fluid: Fluid, refrigerant: Refrigerant | None) -> None:
        self.name = name
        self.fluid = fluid
        self.refrigerant = refrigerant
        # how the figures were come by: the estimate's own words where they are one
        self.source = fluid.estimate_how or SOURCE
        self._known: dict[tuple[str, float], Worked] = {}

    @property
    def called(self) -> str | Word:
        """Its name inside a sentence."""
        return Word(self.name) if self.refrigerant is None else self.name

    def liquid(self, temperature_F: Worked) -> Worked:
        """Saturated-liquid density at the bubble point, lb/ft³, taken low by the estimate's error: it makes limits."""
        return self._at("liquid", temperature_F)

    def liquid_high(self, temperature_F: Worked) -> Worked:
        """The same, taken high by the estimate's error: it makes what is kept free for clearing."""
        return self._at("liquid_high", temperature_F)

    def vapor(self, temperature_F: Worked) -> Worked:
        """Saturated-vapor density at the dew point, lb/ft³, taken low by the estimate's error: a higher level."""
        return self._at("vapor", temperature_F)

    def bubble(self, temperature_F: Worked) -> Worked:
        """Bubble-point pressure, psia, as best known: what a gauge is expected to read."""
        return self._at("bubble", temperature_F)

    def dew(self, temperature_F: Worked) -> Worked:
        """Dew-point pressure, psia, as best known."""
        return self._at("dew", temperature_F)

    def bubble_high(self, temperature_F: Worked) -> Worked:
        """Bubble-point pressure, psia, taken high by the estimate's error: it decides whether a cylinder is fit."""
        return self._at("bubble_high", temperature_F)

    def liquid_full(self, density: Worked) -> tuple[Worked, bool]:
        """The temperature at which liquid of mean `density` (lb/ft³) fills its vessel, and whether it lies beyond.

        The density is taken high by the estimate's error: full at a lower temperature. Above the range that can be
        computed the temperature is estimated up to 180 °F (`_full_above`); beyond that it is 180 °F, or the critical
        temperature where that is lower, with True: the cylinder is not liquid-full up to there.
        """
        fluid, error = self.fluid, self.fluid.density_error_percent
        at = density.value / (1.0 - (error or 0.0) / 100.0)
        source, beyond = self.source, False
        rule = N_("the temperature at which the liquid's density is the mean density in the cylinder")
        if at >= fluid.liquid_lb_per_ft3(fluid.lowest_F):
            value = fluid.lowest_F
            rule = N_("liquid-full at any temperature that can be computed")
        elif at > fluid.liquid_lb_per_ft3(fluid.highest_F):
            value = fluid.liquid_temperature_F(at)
        else:
            end = min(fluid.critical_F, FULL_ESTIMATED_TO_F)
            value, source = min(self._full_above(at), end), SOURCE_FULL
            beyond = value >= end
            rule = (
                N_("not liquid-full up to this temperature")
                if beyond
                else N_("liquid-full temperature estimated, up to 2 °F low, above the range that can be computed")
            )
        return Worked(value, "°F", rule, source, "", (("mean_density", density),), 1, error), beyond

    def _full_above(self, lb_per_ft3: float) -> float:
        """The temperature, °F, at which the liquid is of this density, above the range that can be computed.

        Toward the critical point a liquid's density falls like the distance from it to the power 0.325 (the universal
        exponent of the coexistence curve; from memory). A line in that power through the two ends of the last 40 °F
        comes out up to 2 °F low up to 180 °F for every refrigerant that could be compared: the safe side.
        """
        fluid = self.fluid
        upper = min(fluid.highest_F, fluid.critical_F - 1.0)
        lower = upper - 40.0
        far, near = ((fluid.critical_F - at) ** CRITICAL_EXPONENT for at in (lower, upper))
        at_lower, at_upper = fluid.liquid_lb_per_ft3(lower), fluid.liquid_lb_per_ft3(upper)
        slope = (at_lower - at_upper) / (far - near)
        left = max(0.0, near - (at_upper - lb_per_ft3) / slope)
        return float(fluid.critical_F - left ** (1.0 / CRITICAL_EXPONENT))

    def thin_vapor(self, temperature_F: Worked, pressure_psia: Worked) -> Worked:
        """Density of vapor drawn down to a pressure at the ambient temperature, lb/ft³, best known."""
        return Worked(
            self.fluid.vapor_density_at(temperature_F.value, pressure_psia.value),
            "lb/ft³",
            N_("vapor density at this temperature and pressure"),
            self.source,
            "",
            (("temperature", temperature_F), ("pressure", pressure_psia)),
            places=5,
            estimate_percent=self.fluid.pressure_error_percent,
        )

    def _at(self, what: str, temperature_F: Worked) -> Worked:
        key = (what, temperature_F.value)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = getattr(self, f"_{what}")(temperature_F)
        return found

    def _liquid(self, temperature_F: Worked) -> Worked:
        return _safe(self._best_liquid(temperature_F), self.fluid.density_error_percent, -1)

    def _liquid_high(self, temperature_F: Worked) -> Worked:
        return _safe(self._best_liquid(temperature_F), self.fluid.density_error_percent, +1)

    def _best_liquid(self, temperature_F: Worked) -> Worked:
        return Worked(
            self.fluid.liquid_lb_per_ft3(temperature_F.value),
            "lb/ft³",
            N_("density of saturated liquid at the bubble point"),
            self.source,
            "",
            (("temperature", temperature_F),),
            places=4,
        )

    def _vapor(self, temperature_F: Worked) -> Worked:
        density = Worked(
            self.fluid.vapor_lb_per_ft3(temperature_F.value),
            "lb/ft³",
            N_("density of saturated vapor at the dew point"),
            self.source,
            "",
            (("temperature", temperature_F),),
            places=5,
        )
        return _safe(density, self.fluid.pressure_error_percent, -1)

    def _bubble(self, temperature_F: Worked) -> Worked:
        value = self.fluid.bubble_psia(temperature_F.value)
        return self._pressure(value, N_("pressure at the bubble point"), temperature_F)

    def _dew(self, temperature_F: Worked) -> Worked:
        value = self.fluid.dew_psia(temperature_F.value)
        return self._pressure(value, N_("pressure at the dew point"), temperature_F)

    def _bubble_high(self, temperature_F: Worked) -> Worked:
        return _safe(self.bubble(temperature_F), self.fluid.pressure_error_percent, +1)

    def _pressure(self, value: float, rule: str, temperature_F: Worked) -> Worked:
        return Worked(
            value,
            "psia",
            rule,
            self.source,
            "",
            (("temperature", temperature_F),),
            places=3,
            estimate_percent=self.fluid.pressure_error_percent,
        )


def _safe(best: Worked, error_percent: float | None, sign: int) -> Worked:
    """`best` moved by the stated error to the safe side; `best` itself when it is exact."""
    if not error_percent:
        return best
    return Worked(
        best.value * (1.0 + sign * error_percent / 100.0),
        best.unit,
        N_("the estimate less its error, the safe side")
        if sign < 0
        else N_("the estimate plus its error, the safe side"),
        best.source,
        "{estimate} × (1 − {error} ÷ 100)" if sign < 0 else "{estimate} × (1 + {error} ÷ 100)",
        (
            ("estimate", best),
            ("error", Worked(error_percent, "%", N_("stated error of the estimate"), best.source, places=2)),
        ),
        best.places,
        error_percent,
    )
