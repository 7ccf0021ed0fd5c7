"""The shop's records as everything downstream sees them: immutable, US units, each knowing its file and line.

Whatever key a user typed (`charge_lb` or `charge_kg`), a record holds the US one. Fields are the keys of the files.
"""

from datetime import date, time
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, PrivateAttr

from packet.units import UnitSystem

MethodName = Literal["auto", "vapor", "liquid", "push-pull"]
Reason = Literal["repair", "disposal", "retrofit", "leak"]
Space = Literal["basement", "machinery-room", "indoors", "rooftop", "outdoors"]
ValveName = Literal["liquid", "vapor"]
PressureClass = Literal["low", "medium", "high", "very-high"]
Certification = Literal["type-I", "type-II", "type-III", "universal", "apprentice"]
ApplianceKind = Literal[
    "split",
    "heat-pump",
    "packaged",
    "walk-in",
    "rack",
    "chiller",
    "small-appliance",
    "ice-machine",
    "reach-in",
    "other",
]
ShutOff = Literal["none", "one-end", "both-ends"]


class Month(BaseModel):
    """A month as typed: 2023-04."""

    model_config = ConfigDict(frozen=True)
    year: int
    month: int


class Record(BaseModel):
    """What every record has: where it was typed."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    _file: str = PrivateAttr(default="")
    _lines: dict[str, int] = PrivateAttr(default_factory=dict)

    def where(self, field: str = "") -> str:
        """'file:line field' of a field of this record as the user typed it, or of the record itself."""
        line = self._lines.get(field, self._lines.get("", 0))
        return f"{self._file}:{line} {field}".strip() if self._file else field

    def model_post_init(self, context: Any, /) -> None:
        """Nothing to add; kept so that subclasses share one signature."""


class Policy(Record):
    """What the shop has decided; every figure has a default a careful shop would choose."""

    fill_ceiling_percent: float = 80.0
    hot_level_ceiling_percent: float = 95.0
    van_hottest_F: float = 130.0
    overcharge_allowance_percent: float = 10.0
    lift_alone_lb: float = 50.0
    purge_hoses: Literal["vapor", "vacuum"] = "vapor"
    discharge_into: ValveName = "liquid"
    reaction_seconds: float = 10.0
    noncondensable_margin_psi: float = 10.0
    stop_and_cool_margin_psi: float = 50.0
    table_from_F: float = 20.0
    table_to_F: float = 130.0
    table_step_F: float = 10.0


class Shop(Record):
    """shop.yaml."""

    company: str
    phone: str
    emergency_phone: str
    records_url: str
    address: str = ""
    paper: Literal["letter", "A4"] = "letter"
    units: UnitSystem = "US"
    language: str = "en"
    policy: Policy = Policy()
    # trucks and what rides on each of them every day, counted against 49 CFR 173.6
    trucks: tuple["Truck", ...] = ()


class Truck(Record):
    """A truck and its standing load of materials of trade (nitrogen, acetylene, virgin gas, gasoline)."""

    id: str
    standing_load_lb: float = 0.0
    standing_load: str = ""


class Cylinder(Record):
    """One of cylinders.yaml. refrigerant: None when empty and evacuated, 'mixed' for the mixed-gas cylinder."""

    id: str
    spec: str
    water_capacity_lb: float
    tare_lb: float
    tested: Month | None = None
    made: Month | None = None
    refrigerant: str | None = None
    contents_lb: float = 0.0
    valves: tuple[ValveName, ...] = ("liquid", "vapor")
    flammable_rated: bool = False
    float_switch: bool = False
    max_gross_lb: float | None = None
    owner: str = ""
    out_of_service: str | None = None


class Rates(Record):
    """A recovery machine's rates as its maker states them, lb/min; vapor at the refrigerant's 70 °F suction."""

    liquid: float | None = None
    vapor: float | None = None
    push_pull: float | None = None


class Controls(Record):
    """The shop's own words for a machine's switch positions; neutral wording where absent."""

    recover_vapor: str | None = None
    recover_liquid: str | None = None
    clear: str | None = None
    off: str | None = None


class Machine(Record):
    """One recovery machine."""

    id: str
    description: str = ""
    made: Month
    flammable_rated: bool = False
    max_pressure_psig: float = 550.0
    refrigerants: tuple[str, ...] = ()
    pressure_classes: tuple[PressureClass, ...] = ()
    rates_lb_per_min: Rates = Rates()
    controls: Controls = Controls()
    hold_up_lb: float = 1.0
    clear_to: str = ""
    weight_lb: float | None = None
    last_refrigerant: str | None = None


class Scale(Record):
    """One scale. resolution_lb rounds the stop weights down; capacity_lb is a limit. SI scales: resolution_kg."""

    id: str
    capacity_lb: float
    resolution_lb: float
    check_weight_lb: float | None = None


class Hose(Record):
    """A line of hoses of one make-up: how many of them the kit holds."""

    id: str
    count: int = 1
    length_ft: float
    bore_in: float
    rating_psig: float
    shut_off: ShutOff = "one-end"
    color: Literal["red", "blue", "yellow", "black"] = "yellow"
    flammable_rated: bool = True


class Manifold(Record):
    """A manifold gauge set."""

    id: str
    count: int = 1
    valves: Literal[2, 4] = 2
    rating_psig: float
    micron_gauge: bool = False


class Fitting(Record):
    """A sight glass, filter-drier, tee, piercing valve, core tool: rated parts that go in line."""

    id: str
    count: int = 1
    rating_psig: float
    note: str = ""


class Kit(Record):
    """What may be taken along, each with its count."""

    hoses: tuple[Hose, ...] = ()
    manifolds: tuple[Manifold, ...] = ()
    sight_glasses: tuple[Fitting, ...] = ()
    filter_driers: tuple[Fitting, ...] = ()
    tees: tuple[Fitting, ...] = ()
    piercing_valves: tuple[Fitting, ...] = ()
    vacuum_pumps: int = 0
    detectors: int = 0
    absolute_gauges: int = 0
    nitrogen: int = 0


class Equipment(Record):
    """machines.yaml."""

    machines: tuple[Machine, ...] = ()
    scales: tuple[Scale, ...] = ()
    kit: Kit = Kit()


class Technician(Record):
    """One of technicians.yaml."""

    id: str
    name: str
    certification: tuple[Certification, ...]
    card: str = ""
    phone: str = ""


class Site(Record):
    """Where the appliance stands."""

    name: str
    address: str = ""
    contact: str = ""
    phone: str = ""
    access: str = ""
    elevation_ft: float = 0.0
    space: Space
    room_ft3: float | None = None
    institutional: bool = False
    ladder: bool = False
    roof_edge: bool = False
    permit_space: bool = False
    notes: str = ""


class Appliance(Record):
    """What the refrigerant is taken out of."""

    description: str
    kind: ApplianceKind
    refrigerant: str
    charge_lb: float
    reversing_valve: bool = False
    accumulator_between_ports: bool = False
    liquid_column: bool = False
    receiver: bool = False
    ports: tuple[ValveName, ...] = ("liquid", "vapor")
    compressor_runs: bool = False
    system_volume_ft3: float | None = None
    factory_sealed: bool = False
    serial: str = ""
    owner: str = ""


class Work(Record):
    """Why and how."""

    reason: Reason
    major: bool = True
    isolated_charge_lb: float | None = None
    burnout: bool = False
    leaking: bool = False
    evacuation_to_atmosphere: bool = True
    method: MethodName = "auto"
    torch: bool = False
    owner_of_gas: str = ""
    destination: str = ""


class Conditions(Record):
    """Temperatures while the work is done."""

    ambient_F: float
    hottest_F: float


class Job(Record):
    """One job file."""

    job: str
    date: date
    truck: str
    technician: str
    supervisor: str | None = None
    machine: str
    scale: str
    start: time
    cylinders: tuple[str, ...]
    site: Site
    appliance: Appliance
    work: Work
    conditions: Conditions


class Registers(Record):
    """A shop as loaded: everything but the jobs. Ids are unique within each list."""

    shop: Shop
    cylinders: tuple[Cylinder, ...] = ()
    equipment: Equipment = Equipment()
    technicians: tuple[Technician, ...] = ()
