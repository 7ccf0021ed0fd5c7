"""The one door to the property library (CoolProp): loaded only when the memory lacks what is needed.

SI inside: kelvin, pascal, kg/m3.
"""

import sys
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from types import MappingProxyType
from typing import Any

from packet.refrigerant.pure import PURE

# Two pure fluids by designation.
Pair = tuple[str, str]


@cache
def version() -> str:
    """The installed property library's version, without importing it."""
    from importlib import metadata

    return metadata.version("coolprop")


def loaded_version() -> str | None:
    """The version of the property library this process has imported, None when it has not."""
    module = sys.modules.get("CoolProp")
    return None if module is None else str(module.__version__)


def library_name(designation: str) -> str | None:
    """What the library calls a pure fluid, or None where it has no equation of state for it."""
    return PURE[designation].library


@cache
def _coolprop() -> Any:
    """The library. Raises ImportError where it is installed by half: the machine's matter, not the job's."""
    try:
        library: Any = import_module("CoolProp")
        _ = library.AbstractState, library.QT_INPUTS
    except Exception as error:  # half an installation raises anything
        raise ImportError(f"CoolProp: {error}") from error
    return library


@cache
def _functions() -> Any:
    _coolprop()
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


# A pair described by its gamma_T alone: everything else as in an ideal combination, no departure function.
_NEUTRAL = {"Fij": 0.0, "betaT": 1.0, "betaV": 1.0, "gammaV": 1.0}


class Phase:
    """One phase of a mixture, liquid or vapor, whose composition may vary: density and fugacities.

    estimated: reducing temperature parameter (gamma_T) of the pairs the library lacks; a pair given here is described
    by it alone, even if the library knows it. moved: gamma_T of known pairs that otherwise stay as they are. Raises ValueError when a pair is neither known nor given.
    """

    def __init__(
        self,
        designations: tuple[str, ...],
        *,
        liquid: bool,
        estimated: Mapping[Pair, float],
        moved: Mapping[Pair, float] = MappingProxyType({}),
    ) -> None:
        coolprop = _coolprop()
        for pair in estimated:
            _make_room(pair)
        self._state = coolprop.AbstractState("HEOS", "&".join(str(library_name(item)) for item in designations))
        for (first, second), gamma in estimated.items():
            here = designations.index(first), designations.index(second)
            for key, value in (*_NEUTRAL.items(), ("gammaT", gamma)):
                self._state.set_binary_interaction_double(*here, key, value)
        for (first, second), gamma in moved.items():
            here = designations.index(first), designations.index(second)
            self._state.set_binary_interaction_double(*here, "gammaT", gamma)
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


# Pairs this process has put into the library's table with neutral parameters, so that a mixture can be made of them.
_made_room_for: set[frozenset[str]] = set()


def _cas_numbers(pair: Pair) -> list[str]:
    return sorted(_functions().get_fluid_param_string(library_name(item), "CAS") for item in pair)


def _make_room(pair: Pair) -> None:
    if frozenset(pair) not in _made_room_for and not pair_is_known(*pair):
        _functions().apply_simple_mixing_rule(*_cas_numbers(pair), "Lorentz-Berthelot")
        _made_room_for.add(frozenset(pair))


def _pair_value(pair: Pair, key: str) -> str | None:
    if frozenset(pair) in _made_room_for:
        return None
    try:
        return str(_functions().get_mixture_binary_pair_data(*_cas_numbers(pair), key))
    except ValueError:
        return None


def pair_is_known(first: str, second: str) -> bool:
    """Whether the library has published mixture parameters for this pair of pure fluids."""
    return _pair_value((first, second), "name1") is not None


def pair_gamma(first: str, second: str) -> float | None:
    """gamma_T of a known pair that is described by its reducing parameters alone; None for every other pair."""
    pair = (first, second)
    if float(_pair_value(pair, "F") or "nan") != 0.0:
        return None
    value = _pair_value(pair, "gammaT")
    return None if value is None else float(value)
