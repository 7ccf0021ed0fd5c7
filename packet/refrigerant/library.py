"""The one door to the property library (CoolProp): loaded only when the memory lacks what is needed.

SI inside: kelvin, pascal, kg/m3.
"""

from functools import cache
from importlib import metadata
from typing import Any

from packet.refrigerant.pure import PURE


@cache
def version() -> str:
    """The installed property library's version, without importing it."""
    return metadata.version("coolprop")


def library_name(designation: str) -> str | None:
    """What the library calls a pure fluid, or None where it has no equation of state for it."""
    return PURE[designation].library


@cache
def _coolprop() -> Any:
    import CoolProp

    return CoolProp


@cache
def _functions() -> Any:
    from CoolProp import CoolProp

    return CoolProp


class PureFluid:
    """A pure fluid's equation of state."""

    def __init__(self, designation: str) -> None:
        self._state = _coolprop().AbstractState("HEOS", library_name(designation))
        self.critical_K: float = self._state.T_critical()
        self.critical_Pa: float = self._state.p_critical()
        self.molar_mass_kg: float = self._state.molar_mass()
        self.acentric: float = self._state.acentric_factor()

    def saturation(self, T_K: float) -> tuple[float, float, float]:
        """(pressure Pa, liquid kg/m3, vapor kg/m3) at saturation. Raises ValueError outside the equation's range."""
        state, inputs = self._state, _coolprop().QT_INPUTS
        state.update(inputs, 0, T_K)
        pressure, liquid = state.p(), state.rhomass()
        state.update(inputs, 1, T_K)
        return pressure, liquid, state.rhomass()


class Phase:
    """One phase of a mixture, liquid or vapor, whose composition may vary: density and fugacities."""

    def __init__(self, designations: tuple[str, ...], liquid: bool) -> None:
        coolprop = _coolprop()
        self._state = coolprop.AbstractState("HEOS", "&".join(str(library_name(item)) for item in designations))
        self._state.specify_phase(coolprop.iphase_liquid if liquid else coolprop.iphase_gas)
        self._count = len(designations)
        self._inputs = coolprop.PT_INPUTS

    def fugacity_coefficients(self, T_K: float, p_Pa: float, mole_fractions: list[float]) -> list[float]:
        """Of each part, at that temperature, pressure and composition. Raises ValueError where there is no solution."""
        self._state.set_mole_fractions(mole_fractions)
        self._state.update(self._inputs, p_Pa, T_K)
        return [self._state.fugacity_coefficient(k) for k in range(self._count)]

    def density(self) -> float:
        """kg/m3 at the state last asked for."""
        return float(self._state.rhomass())


def pair_is_known(first: str, second: str) -> bool:
    """Whether the library has published mixture parameters for this pair of pure fluids."""
    functions = _functions()
    numbers = sorted(functions.get_fluid_param_string(library_name(item), "CAS") for item in (first, second))
    try:
        functions.get_mixture_binary_pair_data(*numbers, "name1")
    except ValueError:
        return False
    return True
