"""Bounds for a gas that nobody has identified: the worst of what it may be.

A mix holds no lighter liquid than its lightest part and stands no higher than its highest part can (ideal mixing), so
limits are taken from the lightest liquid of all recovered refrigerants (the hydrocarbons, which are found in systems
they were never meant for) and pressures from the highest that still has a liquid at 131 °F. A test compares the
bounds with every refrigerant of the catalogue. Real mixes stray from ideal ones: their liquid by a percent or two,
which the ceilings of 80 and 95 % take; a pair that boils below either part (an azeotrope) can stand higher than the
bound, and there the gauge decides: the sheet's stop-and-cool pressure.
Source: common practice, no source, argued here; the packet prints it as a caution.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from packet.plan.gas import Fluid
from packet.shop.records import PressureClass
from packet.words import N_

LIGHTEST = ("R-1270", "R-290")
HIGHEST = ("R-32", "R-410A")
HOW = N_("bounds: lightest liquid and highest pressure of all refrigerants that are recovered")


@dataclass(frozen=True)
class Bounds:
    """The bounds as a fluid: low liquid density, high pressure, no vapor to make a level look lower."""

    light: Sequence[Fluid]
    high: Sequence[Fluid]
    density_error_percent: float | None = None
    pressure_error_percent: float | None = None
    estimate_how: str = HOW

    @property
    def critical_F(self) -> float:
        """The lowest critical temperature among the bounds, °F."""
        return min(fluid.critical_F for fluid in (*self.light, *self.high))

    @property
    def lowest_F(self) -> float:
        """Where all bounds can be computed, °F."""
        return max(fluid.lowest_F for fluid in (*self.light, *self.high))

    @property
    def highest_F(self) -> float:
        """Where all bounds can be computed, °F."""
        return min(fluid.highest_F for fluid in (*self.light, *self.high))

    @property
    def boiling_F(self) -> float:
        """The lowest boiling point among the bounds, °F."""
        return min(fluid.boiling_F for fluid in (*self.light, *self.high))

    def bubble_psia(self, T_F: float) -> float:
        """No plausible refrigerant stands higher than this, psia."""
        return max(fluid.bubble_psia(T_F) for fluid in self.high)

    def dew_psia(self, T_F: float) -> float:
        """The same bound: an unknown gas has no dew point of its own."""
        return self.bubble_psia(T_F)

    def liquid_lb_per_ft3(self, T_F: float) -> float:
        """No plausible refrigerant's liquid is lighter than this, lb/ft³."""
        return min(fluid.liquid_lb_per_ft3(T_F) for fluid in self.light)

    def vapor_lb_per_ft3(self, T_F: float) -> float:  # noqa: ARG002 - a fluid's signature
        """None is counted, so that the level comes out high."""
        return 0.0

    def liquid_temperature_F(self, lb_per_ft3: float) -> float:
        """The lowest temperature at which liquid of this density fills its vessel, °F."""
        return min(fluid.liquid_temperature_F(lb_per_ft3) for fluid in self.light)

    def vapor_density_at(self, T_F: float, psia: float) -> float:
        """The densest vapor among the bounds, lb/ft³: most is left behind."""
        return max(fluid.vapor_density_at(T_F, psia) for fluid in (*self.light, *self.high))


def plausible_classes(chiller: bool) -> tuple[PressureClass, ...]:
    """Pressure classes an unknown gas may be in, deepest target first; low pressure only in a chiller."""
    return ("low", "medium", "high") if chiller else ("medium", "high")
