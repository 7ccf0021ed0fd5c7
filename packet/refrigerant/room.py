"""How much of a refrigerant in a room's air is too much: added up from its parts, for what the standard does not list.

ASHRAE 34 takes the least of three (from memory): the acute-toxicity exposure limit (of a mixture: the reciprocal sum over
moles), 140,000 ppm for want of oxygen, and a quarter of the lower flammability limit. The last is taken here of the part
that burns most easily, as if a leak had left that part alone (worst case of fractionation): the safe side.
"""

from collections.abc import Mapping

OXYGEN_LIMIT_PPM = 140_000.0
# Ideal gas at 25 degC and one atmosphere, m3/kmol, and g/m3 in lb per 1,000 ft3.
MOLAR_VOLUME = 24.465
LB_PER_1000FT3 = 0.062428

# Acute-toxicity exposure limits, ppm by volume., R-134a, R-12: where
# nothing else governs it is the concentration limit of International Mechanical Code table 1103.1; the others ASHRAE 34,
# from memory. R-600: 1,000 is what the standard's limits of its blends come from (R-417A, R-424A, R-426A).
ATEL_PPM: Mapping[str, float] = {
    "R-11": 1100, "R-12": 18000, "R-22": 59000, "R-23": 41000, "R-32": 220000, "R-113": 2600, "R-114": 20000,
    "R-115": 120000, "R-116": 97000, "R-123": 9100, "R-124": 10000, "R-125": 75000, "R-134a": 50000, "R-142b": 25000,
    "R-143a": 170000, "R-152a": 50000, "R-218": 90000, "R-227ea": 84000, "R-236fa": 55000, "R-245fa": 34000,
    "R-290": 50000, "R-600": 1000, "R-600a": 25000, "R-601": 1000, "R-601a": 1000, "R-717": 320, "R-744": 30000,
    "R-1130(E)": 1000, "R-1233zd(E)": 16000, "R-1234yf": 100000, "R-1234ze(E)": 59000, "R-1270": 1000,
    "R-13I1": 2000, "R-1336mzz(Z)": 13000,
}  # fmt: skip
# Lower flammability limits, percent by volume: ASHRAE 34, from memory (R-32: a quarter of 14.4 is the 36,000 ppm of
# International Mechanical Code table 1103.1).
LFL_PERCENT: Mapping[str, float] = {
    "R-32": 14.4, "R-142b": 8.0, "R-143a": 8.2, "R-152a": 4.8, "R-290": 2.1, "R-600": 2.0, "R-600a": 1.6,
    "R-601": 1.2, "R-601a": 1.3, "R-717": 16.7, "R-1130(E)": 6.5, "R-1234yf": 6.2, "R-1234ze(E)": 6.5, "R-1270": 2.7,
}  # fmt: skip


def concentration_limit_ppm(moles: Mapping[str, float], burning: frozenset[str]) -> float | None:
    """The limit of a mixture given by mole fractions of pure fluids, ppm; None when one's toxicity is not known.

    burning: the parts that burn (ASHRAE 34 class 2L, 2, 3).
    """
    if not moles.keys() <= ATEL_PPM.keys() or not burning <= LFL_PERCENT.keys():
        return None
    toxic = 1.0 / sum(share / ATEL_PPM[part] for part, share in moles.items())
    return min(toxic, OXYGEN_LIMIT_PPM, *(0.25 * LFL_PERCENT[part] * 1e4 for part in burning))


def lb_per_1000ft3(ppm: float, kg_per_kmol: float) -> float:
    """A concentration in ppm by volume as pounds for each 1,000 ft3 of room."""
    return ppm * 1e-6 * kg_per_kmol / MOLAR_VOLUME * 1000.0 * LB_PER_1000FT3
