"""What must hold for every refrigerant at every temperature."""

import math
import os
import subprocess
import sys
from pathlib import Path

import pytest
from CoolProp import PT_INPUTS, iphase_gas
from CoolProp.CoolProp import AbstractState
from hypothesis import given, settings
from hypothesis import strategies as st

from packet.refrigerant.catalogue import everything, find
from packet.refrigerant.library import library_name
from packet.refrigerant.properties import OutOfRange, Properties, properties
from packet.units import PA_PER_PSI, STANDARD_ATMOSPHERE_PSIA, kelvin_from_fahrenheit

NAMES = [item.name for item in everything() if item.name != "R-13B1"]
KG_M3_PER_LB_FT3 = 16.018463


def _at(values: Properties, share: float) -> float:
    return min(
        values.highest_F, values.lowest_F + share * (values.highest_F - values.lowest_F)
    )  # a share of one may round to a hair above


@pytest.mark.parametrize("name", NAMES)
def test_every_refrigerant_is_covered_from_minus_40_to_140_or_to_just_below_its_critical_point(name: str) -> None:
    values = properties(find(name))
    # R-113 freezes at -36.2 degC (triple point of its equation of state, 236.93 K): no figures below
    assert values.lowest_F == (pytest.approx(-33.07, abs=0.01) if name == "R-113" else -40.0)
    if values.critical_F > 150.0:
        assert values.highest_F == pytest.approx(140.0)
    else:
        # 1.5 % of the absolute critical temperature
        assert 0.0 < values.critical_F - values.highest_F < 9.0
        assert name in {"R-13", "R-23", "R-116", "R-503", "R-508A", "R-508B", "R-744"}


@settings(deadline=None)  # the first example may have to compute
@given(st.sampled_from(NAMES), st.floats(0.0, 0.99), st.floats(0.001, 0.3))
def test_pressures_rise_liquid_thins_and_vapor_thickens_with_temperature(name: str, share: float, step: float) -> None:
    values = properties(find(name))
    cold, hot = _at(values, share), _at(values, min(1.0, share + step))
    assert values.bubble_psia(cold) < values.bubble_psia(hot)
    assert values.dew_psia(cold) < values.dew_psia(hot)
    assert values.liquid_lb_per_ft3(cold) > values.liquid_lb_per_ft3(hot)
    assert values.vapor_lb_per_ft3(cold) < values.vapor_lb_per_ft3(hot)


@settings(deadline=None)  # the first example may have to compute
@given(st.sampled_from(NAMES), st.floats(0.0, 1.0))
def test_dew_is_not_above_bubble_and_vapor_is_lighter_than_liquid(name: str, share: float) -> None:
    """An azeotrope has both the same, to a millionth."""
    values = properties(find(name))
    T_F = _at(values, share)
    assert values.dew_psia(T_F) <= values.bubble_psia(T_F) * (1.0 + 1e-6)
    assert 0.0 < values.vapor_lb_per_ft3(T_F) < values.liquid_lb_per_ft3(T_F)
    if not find(name).is_blend:
        assert values.dew_psia(T_F) == values.bubble_psia(T_F)


@settings(deadline=None)  # the first example may have to compute
@given(st.sampled_from(NAMES), st.floats(0.0, 1.0))
def test_temperatures_come_back_from_pressure_and_density(name: str, share: float) -> None:
    values = properties(find(name))
    T_F = _at(values, share)
    assert values.bubble_F(values.bubble_psia(T_F)) == pytest.approx(T_F, abs=1e-5)
    assert values.liquid_temperature_F(values.liquid_lb_per_ft3(T_F)) == pytest.approx(T_F, abs=1e-5)


@settings(deadline=None)  # the first example may have to compute
@given(st.sampled_from(NAMES), st.floats(0.01, 400.0))
def test_outside_the_range_nothing_is_answered(name: str, beyond: float) -> None:
    values = properties(find(name))
    for T_F in (values.lowest_F - beyond, values.highest_F + beyond):
        for ask in (values.bubble_psia, values.dew_psia, values.liquid_lb_per_ft3, values.vapor_lb_per_ft3):
            with pytest.raises(OutOfRange, match=r"from -(40|33) °F to"):
                ask(T_F)
    with pytest.raises(OutOfRange):
        values.bubble_F(values.bubble_psia(values.highest_F) + beyond)
    with pytest.raises(OutOfRange):
        values.bubble_F(-beyond)
    with pytest.raises(OutOfRange, match="liquid density"):
        values.liquid_temperature_F(values.liquid_lb_per_ft3(values.lowest_F) + beyond)
    with pytest.raises(OutOfRange):
        values.bubble_psia(math.nan)


@settings(deadline=None)  # the first example may have to compute
@given(st.sampled_from(NAMES), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_pump_down_vapor_thins_with_pressure_and_is_heavier_than_an_ideal_gas(
    name: str, share: float, first: float, second: float
) -> None:
    values = properties(find(name))
    T_F = _at(values, share)
    dew = values.dew_psia(T_F)
    low, high = sorted((first, second))
    assert values.vapor_density_at(T_F, low * dew) <= values.vapor_density_at(T_F, high * dew)
    assert values.vapor_density_at(T_F, dew) == pytest.approx(values.vapor_lb_per_ft3(T_F), rel=1e-9)
    # 10.7316 psia ft3/(lbmol R)
    ideal = high * dew * values.molar_mass_lb_per_lbmol / (10.73159 * (T_F + 459.67))
    assert values.vapor_density_at(T_F, high * dew) >= ideal * (1.0 - 1e-6)
    with pytest.raises(OutOfRange, match="not vapor"):
        values.vapor_density_at(T_F, 1.001 * dew)


@pytest.mark.parametrize("name", ["R-22", "R-134a", "R-32", "R-290", "R-123", "R-454B", "R-404A", "R-407C"])
@pytest.mark.parametrize("T_F", [40.0, 77.0, 110.0])
def test_pump_down_vapor_agrees_with_the_equation_of_state(name: str, T_F: float) -> None:
    """At atmosphere and below, where pump-down ends, within 0.5 %; halfway to the dew point within 4 %."""
    item = find(name)
    values = properties(item)
    state = AbstractState("HEOS", "&".join(str(library_name(part)) for part, _ in item.composition))
    if item.is_blend:
        state.set_mass_fractions([share for _, share in item.composition])
        state.specify_phase(iphase_gas)
    dew = values.dew_psia(T_F)
    for psia, tolerance in ((2.0, 0.005), (STANDARD_ATMOSPHERE_PSIA, 0.005), (dew / 2.0, 0.04)):
        if psia >= dew:
            continue
        state.update(PT_INPUTS, psia * PA_PER_PSI, kelvin_from_fahrenheit(T_F))
        assert values.vapor_density_at(T_F, psia) * KG_M3_PER_LB_FT3 == pytest.approx(state.rhomass(), rel=tolerance)


def test_the_catalogues_properties_need_neither_the_library_nor_a_memory(tmp_path: Path) -> None:
    """The first run on a fresh machine: nothing is solved, the library is not imported, nothing is remembered."""
    script = (
        "import sys\n"
        "from packet.refrigerant.catalogue import everything\n"
        "from packet.refrigerant.properties import NoProperties, properties\n"
        "without = []\n"
        "for item in everything():\n"
        "    try:\n"
        "        properties(item).bubble_psia(20.0)\n"
        "    except NoProperties:\n"
        "        without.append(item.name)\n"
        "print(without, 'CoolProp' in sys.modules)\n"
    )
    memory = tmp_path / "memory"
    environment = os.environ | {"PACKET_MEMORY": str(memory)}
    answer = subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "['R-13B1'] False"
    assert not memory.exists()
