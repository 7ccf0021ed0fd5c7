"""The table of pure fluids: what each is in chemistry, in law, in transport and in a room.

Sources by column. Safety group: ASHRAE 34, from memory. Room limit: "IMC" is ASHRAE 34 as printed in International
Mechanical Code table 1103.1; the rest from memory. UN number and name: 49 CFR 172.101 (R-12, R-13, R-22 and R-1270 as
its rows read, the others from memory). Warming potential, 100 years: HFCs are the exchange values of 42 U.S.C. 7675(c),
which 40 CFR part 84 and IPCC AR4 share; other halocarbons AR4 as the GHG Protocol lists it; HFOs and most hydrocarbons
Regulation (EU) 517/2014, the rest AR4 or AR5, from memory. Each says which.
"""

from typing import NamedTuple

from packet.words import N_

IMC = N_("ASHRAE 34 as printed in International Mechanical Code table 1103.1")
MEMORY = N_("ASHRAE 34, from memory")

PART_84 = N_("42 U.S.C. 7675(c) and 40 CFR part 84 (IPCC AR4, 100 years)")
AR4 = N_("IPCC AR4, 100 years")
AR4_MEMORY = N_("IPCC AR4, 100 years, from memory")
AR5 = N_("IPCC AR5, 100 years, from memory")
# AR4 of 2007 has no fluorinated olefins, and of the hydrocarbons only some.
EU = N_("Regulation (EU) 517/2014, annexes II and IV, 100 years, from memory")


class Pure(NamedTuple):
    """One pure fluid. library: its name in the property library, None where the library has no equation for it.

    kind: 'CFC', 'HCFC', 'BFC' (ozone-depleting), 'HFC' (40 CFR part 84), 'HFO', 'HC', 'PFC', 'iodide' or 'natural'.
    un_name: proper shipping name without the technical name; n.o.s. names get it added in brackets.
    """

    library: str | None
    chemical_name: str
    kind: str
    safety_group: str
    room_limit: float | None
    room_source: str
    un_number: str | None
    un_name: str | None
    hazard_class: str | None
    gwp: float
    gwp_source: str


# fmt: off
PURE: dict[str, Pure] = {
    "R-11": Pure("R11", "trichlorofluoromethane", "CFC", "A1", 0.39, IMC, None, None, None, 4750, AR4),
    "R-12": Pure("R12", "dichlorodifluoromethane", "CFC", "A1", 5.6, IMC, "UN1028", "Refrigerant gas R 12", "2.2", 10900, AR4),
    "R-13": Pure("R13", "chlorotrifluoromethane", "CFC", "A1", None, IMC, "UN1022", "Refrigerant gas R 13", "2.2", 14400, AR4),
    "R-13B1": Pure(None, "bromotrifluoromethane", "BFC", "A1", None, IMC, "UN1009", "Refrigerant gas R 13B1", "2.2", 7140, AR4),
    "R-13I1": Pure("R13I1", "trifluoroiodomethane", "iodide", "A1", 1.0, MEMORY, "UN3163", "Liquefied gas, n.o.s.", "2.2", 0.4, EU),
    "R-22": Pure("R22", "chlorodifluoromethane", "HCFC", "A1", 13.0, IMC, "UN1018", "Refrigerant gas R 22", "2.2", 1810, AR4),
    "R-23": Pure("R23", "trifluoromethane", "HFC", "A1", 7.3, IMC, "UN1984", "Refrigerant gas R 23", "2.2", 14800, PART_84),
    "R-32": Pure("R32", "difluoromethane", "HFC", "A2L", 4.8, IMC, "UN3252", "Refrigerant gas R 32", "2.1", 675, PART_84),
    "R-113": Pure("R113", "1,1,2-trichloro-1,2,2-trifluoroethane", "CFC", "A1", 1.2, IMC, None, None, None, 6130, AR4),
    "R-114": Pure("R114", "1,2-dichloro-1,1,2,2-tetrafluoroethane", "CFC", "A1", 8.7, IMC, "UN1958", "Refrigerant gas R 114", "2.2", 10000, AR4),
    "R-115": Pure("R115", "chloropentafluoroethane", "CFC", "A1", 47.0, IMC, "UN1020", "Refrigerant gas R 115", "2.2", 7370, AR4),
    "R-116": Pure("R116", "hexafluoroethane", "PFC", "A1", 34.0, IMC, "UN2193", "Refrigerant gas R 116", "2.2", 12200, AR4),
    "R-123": Pure("R123", "2,2-dichloro-1,1,1-trifluoroethane", "HCFC", "B1", 3.5, IMC, None, None, None, 77, AR4),
    "R-124": Pure("R124", "1-chloro-1,2,2,2-tetrafluoroethane", "HCFC", "A1", 3.5, IMC, "UN1021", "Refrigerant gas R 124", "2.2", 609, AR4),
    "R-125": Pure("R125", "pentafluoroethane", "HFC", "A1", 23.0, IMC, "UN3220", "Refrigerant gas R 125", "2.2", 3500, PART_84),
    "R-134a": Pure("R134a", "1,1,1,2-tetrafluoroethane", "HFC", "A1", 13.0, IMC, "UN3159", "Refrigerant gas R 134a", "2.2", 1430, PART_84),
    "R-142b": Pure("R142b", "1-chloro-1,1-difluoroethane", "HCFC", "A2", 5.1, MEMORY, "UN2517", "Refrigerant gas R 142b", "2.1", 2310, AR4),
    "R-143a": Pure("R143a", "1,1,1-trifluoroethane", "HFC", "A2L", 4.5, MEMORY, "UN2035", "Refrigerant gas R 143a", "2.1", 4470, PART_84),
    "R-152a": Pure("R152A", "1,1-difluoroethane", "HFC", "A2", 2.0, MEMORY, "UN1030", "Refrigerant gas R 152a", "2.1", 124, PART_84),
    "R-218": Pure("R218", "octafluoropropane", "PFC", "A1", 43.0, MEMORY, "UN2424", "Refrigerant gas R 218", "2.2", 8830, AR4),
    "R-227ea": Pure("R227EA", "1,1,1,2,3,3,3-heptafluoropropane", "HFC", "A1", 36.0, MEMORY, "UN3296", "Refrigerant gas R 227", "2.2", 3220, PART_84),
    "R-236fa": Pure("R236FA", "1,1,1,3,3,3-hexafluoropropane", "HFC", "A1", 21.0, MEMORY, "UN3163", "Liquefied gas, n.o.s.", "2.2", 9810, PART_84),
    "R-245fa": Pure("R245fa", "1,1,1,3,3-pentafluoropropane", "HFC", "B1", 12.0, MEMORY, "UN3163", "Liquefied gas, n.o.s.", "2.2", 1030, PART_84),
    "R-290": Pure("n-Propane", "propane", "HC", "A3", 0.56, MEMORY, "UN1978", "Propane", "2.1", 3.3, AR4_MEMORY),
    "R-600": Pure("n-Butane", "butane", "HC", "A3", 0.15, MEMORY, "UN1011", "Butane", "2.1", 4, AR4_MEMORY),
    "R-600a": Pure("IsoButane", "isobutane", "HC", "A3", 0.59, MEMORY, "UN1969", "Isobutane", "2.1", 3, EU),
    "R-601": Pure("n-Pentane", "pentane", "HC", "A3", 0.18, MEMORY, None, None, None, 5, EU),
    "R-601a": Pure("Isopentane", "isopentane", "HC", "A3", 0.18, MEMORY, None, None, None, 5, EU),
    "R-717": Pure("Ammonia", "ammonia", "natural", "B2L", 0.014, MEMORY, "UN1005", "Ammonia, anhydrous", "2.2", 0, AR4_MEMORY),
    "R-744": Pure("CarbonDioxide", "carbon dioxide", "natural", "A1", 3.4, MEMORY, "UN1013", "Carbon dioxide", "2.2", 1, AR4_MEMORY),
    "R-1130(E)": Pure("R1130(E)", "trans-1,2-dichloroethene", "HFO", "B2", 0.25, MEMORY, None, None, None, 1, AR5),
    "R-1233zd(E)": Pure("R1233zd(E)", "trans-1-chloro-3,3,3-trifluoropropene", "HFO", "A1", 5.3, MEMORY, "UN3163", "Liquefied gas, n.o.s.", "2.2", 1, AR5),
    "R-1234yf": Pure("R1234yf", "2,3,3,3-tetrafluoropropene", "HFO", "A2L", 4.7, MEMORY, "UN3161", "Liquefied gas, flammable, n.o.s.", "2.1", 4, EU),
    "R-1234ze(E)": Pure("R1234ze(E)", "trans-1,3,3,3-tetrafluoropropene", "HFO", "A2L", 4.7, MEMORY, "UN3163", "Liquefied gas, n.o.s.", "2.2", 7, EU),
    "R-1270": Pure("R1270", "propylene", "HC", "A3", 0.11, MEMORY, "UN1077", "Propylene", "2.1", 1.8, AR4_MEMORY),
    "R-1336mzz(Z)": Pure("R1336mzz(Z)", "cis-1,1,1,4,4,4-hexafluoro-2-butene", "HFO", "A1", 5.4, MEMORY, None, None, None, 2, AR5),
}
# fmt: on
