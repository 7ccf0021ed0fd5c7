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

from packet.ledger.mass import lb_from_kg
from packet.ledger.state import CylinderState, holds
from packet.plan.gas import Fluid, Gas
from packet.refrigerant.catalogue import find
from packet.refrigerant.own import name_of_masses, same_gas
from packet.refrigerant.properties import NoProperties, properties
from packet.shop.records import PressureClass
from packet.words import N_

LIGHTEST = ("R-1270", "R-290")
HIGHEST = ("R-32", "R-410A")
HOW = N_("bounds: lightest liquid and highest pressure of all refrigerants that are recovered")

MIXED_GAS = N_("mixed gas")
HOW_TOGETHER = N_("worst of the gas that comes, of what the ledger says is in the cylinder, and of both together")


@dataclass(frozen=True)
class Bounds:
    """The bounds as a fluid: low liquid density, high pressure, no vapor to make a level look lower.

    Each fluid's own stated error is inside the bounds, so that they have none of their own.
    """

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
        return max(fluid.bubble_psia(T_F) * (1.0 + _error(fluid.pressure_error_percent)) for fluid in self.high)

    def dew_psia(self, T_F: float) -> float:
        """The same bound: an unknown gas has no dew point of its own."""
        return self.bubble_psia(T_F)

    def liquid_lb_per_ft3(self, T_F: float) -> float:
        """No plausible refrigerant's liquid is lighter than this, lb/ft³."""
        return min(fluid.liquid_lb_per_ft3(T_F) * (1.0 - _error(fluid.density_error_percent)) for fluid in self.light)

    def vapor_lb_per_ft3(self, T_F: float) -> float:  # noqa: ARG002 - a fluid's signature
        """None is counted, so that the level comes out high."""
        return 0.0

    def liquid_temperature_F(self, lb_per_ft3: float) -> float:
        """The lowest temperature at which liquid of this density fills its vessel, °F."""
        found = [self.highest_F]
        for fluid in self.light:
            at_least = lb_per_ft3 / (1.0 - _error(fluid.density_error_percent))
            # a heavier one has not filled the vessel at the end of its range: another one decides
            if at_least > fluid.liquid_lb_per_ft3(fluid.highest_F):
                found.append(fluid.liquid_temperature_F(at_least))
        return min(found)

    def vapor_density_at(self, T_F: float, psia: float) -> float:
        """The densest vapor among the bounds, lb/ft³: most is left behind."""
        return max(fluid.vapor_density_at(T_F, psia) for fluid in (*self.light, *self.high))


def unknown_bounds(*also: Fluid) -> Bounds:
    """The bounds of a gas that nobody has identified. also: gases that are known to be in it."""
    light = tuple(properties(find(name)) for name in LIGHTEST)
    high = tuple(properties(find(name)) for name in HIGHEST)
    return Bounds((*light, *also), (*high, *also))


def gas_in(gas: Gas, state: CylinderState, coming_lb: float) -> Gas:
    """What a cylinder's limits and pressures are taken from when a gas given by its composition goes into it.

    The gas itself while the cylinder is empty or holds the same; else the worst of what comes, of what is in it by the
    ledger, and of both together; where what is in it is not known, the bounds of an unknown gas as well.
    """
    if gas.refrigerant is None or not gas.refrigerant.own or state.contents_lb <= 0.0:
        return gas
    if state.refrigerant is not None and same_gas(state.refrigerant, gas.name):
        return gas
    held = holds(state)
    if held is None:
        return Gas(MIXED_GAS, unknown_bounds(gas.fluid), None)
    try:
        there = name_of_masses({part: float(kg) for part, kg in held.items()})
        together = {part: float(lb_from_kg(kg)) for part, kg in held.items()}
        for part, share in gas.refrigerant.composition:
            together[part] = together.get(part, 0.0) + share * coming_lb
        fluids = (gas.fluid, properties(find(there)), properties(find(name_of_masses(together))))
    except (NoProperties, ValueError):
        return Gas(MIXED_GAS, unknown_bounds(gas.fluid), None)
    return Gas(MIXED_GAS, Bounds(fluids, fluids, estimate_how=HOW_TOGETHER), None)


def _error(percent: float | None) -> float:
    return (percent or 0.0) / 100.0


def plausible_classes(chiller: bool) -> tuple[PressureClass, ...]:
    """Pressure classes an unknown gas may be in, deepest target first; low pressure only in a chiller."""
    return ("low", "medium", "high") if chiller else ("medium", "high")
