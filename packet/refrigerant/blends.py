"""The table of blends: ASHRAE 34 nominal mass percents, safety group, room limit and transport.

Compositions and safety groups: ASHRAE 34, from memory; the compositions are checked in the tests against the property
library's own table of predefined mixtures wherever it has the blend. Room limit in lb per 1,000 ft3: from memory.
UN numbers and names: 49 CFR 172.101; a blend without a row of its own is 'Refrigerant gases, n.o.s.' (UN1078, which that
table marks as needing technical names) or, flammable, 'Liquefied gas, flammable, n.o.s.' (UN3161).
"""

from typing import NamedTuple

from packet.refrigerant.pure import MEMORY
from packet.words import N_


class Blend(NamedTuple):
    """One blend. parts: designation -> mass percent. un: number and name where 49 CFR 172.101 lists the blend.

    room_source: where the room limit is from, when it is not ASHRAE 34 from memory. safety_source: likewise.
    """

    parts: dict[str, float]
    safety_group: str
    room_limit: float | None
    un: tuple[str, str] | None = None
    room_source: str = MEMORY
    safety_source: str = MEMORY


# The figure printed in the standard for R-466A is not remembered with confidence, and is higher than this one.
_ADDED_UP = N_("added up from its parts by the method of ASHRAE 34, from memory: the safe side")
# 49 CFR 172.101: of the two names that each row gives, the one with the number; the percent belongs to it.
_R500 = ("UN2602", "Refrigerant gas R 500 with approximately 74 percent dichlorodifluoromethane")
_R502 = (
    "UN1973",
    "Refrigerant gas R 502 with fixed boiling point, with approximately 49 percent chlorodifluoromethane",
)
_R503 = ("UN2599", "Refrigerant gas R 503 with approximately 60 percent chlorotrifluoromethane")

_OF_PARTS = N_("ASHRAE 34 has not classified this blend: the group of its parts, from memory")

# R-426A: its hydrocarbon is butane in ASHRAE 34 (from memory) and isobutane in the property library's table (and in
# lists that follow it). The standard's own concentration limit decides: 20,000 ppm comes out of 1.3 % butane (acute
# limit 1,000 ppm); isobutane (25,000 ppm) would give 35,000 ppm (tests/refrigerant/test_room.py). Pressures and
# densities hardly differ.
# fmt: off
BLENDS: dict[str, Blend] = {
    "R-401A": Blend({"R-22": 53, "R-152a": 13, "R-124": 34}, "A1", 6.6),
    "R-401B": Blend({"R-22": 61, "R-152a": 11, "R-124": 28}, "A1", 7.2),
    "R-402A": Blend({"R-125": 60, "R-290": 2, "R-22": 38}, "A1", 17.0),
    "R-402B": Blend({"R-125": 38, "R-290": 2, "R-22": 60}, "A1", 15.0),
    "R-404A": Blend({"R-125": 44, "R-143a": 52, "R-134a": 4}, "A1", 31.0, ("UN3337", "Refrigerant gas R 404A")),
    "R-406A": Blend({"R-22": 55, "R-600a": 4, "R-142b": 41}, "A2", 4.7),
    "R-407A": Blend({"R-32": 20, "R-125": 40, "R-134a": 40}, "A1", 19.0, ("UN3338", "Refrigerant gas R 407A")),
    "R-407C": Blend({"R-32": 23, "R-125": 25, "R-134a": 52}, "A1", 18.0, ("UN3340", "Refrigerant gas R 407C")),
    "R-407F": Blend({"R-32": 30, "R-125": 30, "R-134a": 40}, "A1", 20.0),
    "R-407H": Blend({"R-32": 32.5, "R-125": 15, "R-134a": 52.5}, "A1", 19.0),
    "R-408A": Blend({"R-125": 7, "R-143a": 46, "R-22": 47}, "A1", 21.0),
    "R-409A": Blend({"R-22": 60, "R-124": 25, "R-142b": 15}, "A1", 7.1),
    "R-410A": Blend({"R-32": 50, "R-125": 50}, "A1", 26.0),
    "R-414A": Blend({"R-22": 51, "R-124": 28.5, "R-600a": 4, "R-142b": 16.5}, "A1", 6.4),
    "R-414B": Blend({"R-22": 50, "R-124": 39, "R-600a": 1.5, "R-142b": 9.5}, "A1", 6.0),
    "R-416A": Blend({"R-134a": 59, "R-124": 39.5, "R-600": 1.5}, "A1", 3.9),
    "R-417A": Blend({"R-125": 46.6, "R-134a": 50, "R-600": 3.4}, "A1", 3.5),
    "R-420A": Blend({"R-134a": 88, "R-142b": 12}, "A1", 12.0),
    "R-421A": Blend({"R-125": 58, "R-134a": 42}, "A1", 17.0),
    "R-422A": Blend({"R-125": 85.1, "R-134a": 11.5, "R-600a": 3.4}, "A1", 18.0),
    "R-422B": Blend({"R-125": 55, "R-134a": 42, "R-600a": 3}, "A1", 16.0),
    "R-422C": Blend({"R-125": 82, "R-134a": 15, "R-600a": 3}, "A1", 18.0),
    "R-422D": Blend({"R-125": 65.1, "R-134a": 31.5, "R-600a": 3.4}, "A1", 16.0),
    "R-424A": Blend({"R-125": 50.5, "R-134a": 47, "R-600a": 0.9, "R-600": 1, "R-601a": 0.6}, "A1", 6.2),
    "R-426A": Blend({"R-125": 5.1, "R-134a": 93, "R-600": 1.3, "R-601a": 0.6}, "A1", 5.2),
    "R-427A": Blend({"R-32": 15, "R-125": 25, "R-143a": 10, "R-134a": 50}, "A1", 18.0),
    "R-428A": Blend({"R-125": 77.5, "R-143a": 20, "R-290": 0.6, "R-600a": 1.9}, "A1", 23.0),
    "R-434A": Blend({"R-125": 63.2, "R-143a": 18, "R-134a": 16, "R-600a": 2.8}, "A1", 20.0),
    "R-437A": Blend({"R-125": 19.5, "R-134a": 78.5, "R-600": 1.4, "R-601": 0.6}, "A1", 5.0),
    "R-438A": Blend({"R-32": 8.5, "R-125": 45, "R-134a": 44.2, "R-600": 1.7, "R-601a": 0.6}, "A1", 4.9),
    "R-448A": Blend({"R-32": 26, "R-125": 26, "R-1234yf": 20, "R-134a": 21, "R-1234ze(E)": 7}, "A1", 24.0),
    "R-449A": Blend({"R-32": 24.3, "R-125": 24.7, "R-1234yf": 25.3, "R-134a": 25.7}, "A1", 23.0),
    "R-449B": Blend({"R-32": 25.2, "R-125": 24.3, "R-1234yf": 23.2, "R-134a": 27.3}, "A1", 23.0),
    "R-450A": Blend({"R-134a": 42, "R-1234ze(E)": 58}, "A1", 20.0),
    "R-452A": Blend({"R-32": 11, "R-125": 59, "R-1234yf": 30}, "A1", 27.0),
    "R-452B": Blend({"R-32": 67, "R-125": 7, "R-1234yf": 26}, "A2L", 4.8),
    "R-453A": Blend({"R-32": 20, "R-125": 20, "R-134a": 53.8, "R-227ea": 5, "R-600": 0.6, "R-601a": 0.6}, "A1", 7.8),
    "R-454A": Blend({"R-32": 35, "R-1234yf": 65}, "A2L", 3.2),
    "R-454B": Blend({"R-32": 68.9, "R-1234yf": 31.1}, "A2L", 3.1),
    "R-454C": Blend({"R-32": 21.5, "R-1234yf": 78.5}, "A2L", 4.4),
    "R-455A": Blend({"R-744": 3, "R-32": 21.5, "R-1234yf": 75.5}, "A2L", 4.9),
    "R-458A": Blend({"R-32": 20.5, "R-125": 4, "R-134a": 61.4, "R-227ea": 13.5, "R-236fa": 0.6}, "A1", 18.0),
    "R-466A": Blend({"R-32": 49, "R-125": 11.5, "R-13I1": 39.5}, "A1", 2.4, room_source=_ADDED_UP),
    "R-500": Blend({"R-12": 73.8, "R-152a": 26.2}, "A1", 7.6, _R500),
    "R-502": Blend({"R-22": 48.8, "R-115": 51.2}, "A1", 21.0, _R502),
    "R-503": Blend({"R-23": 40.1, "R-13": 59.9}, "A1", None, _R503, safety_source=_OF_PARTS),
    "R-507A": Blend({"R-125": 50, "R-143a": 50}, "A1", 32.0),
    "R-508A": Blend({"R-23": 39, "R-116": 61}, "A1", 14.0),
    "R-508B": Blend({"R-23": 46, "R-116": 54}, "A1", 13.0),
    "R-513A": Blend({"R-1234yf": 56, "R-134a": 44}, "A1", 20.0),
    "R-514A": Blend({"R-1336mzz(Z)": 74.7, "R-1130(E)": 25.3}, "B1", 0.86),
    "R-515B": Blend({"R-1234ze(E)": 91.1, "R-227ea": 8.9}, "A1", 18.0),
}
# fmt: on
NOT_A_GAS = frozenset({"R-514A"})
