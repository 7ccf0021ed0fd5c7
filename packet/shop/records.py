"""The shop's records as everything downstream sees them: immutable, US units, each knowing its file and line.

Whatever key a user typed (`charge_lb` or `charge_kg`), a record holds the US one. Fields are the keys of the files;
their descriptions are what an editor shows. Refrigerants are held by designation ('R-410A'), whatever was typed.
A check that concerns one file alone stands here; one that needs another file is in `packet.shop.checks`.
"""

from typing import Annotated, Any, Literal, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PrivateAttr,
    SecretStr,
    ValidationInfo,
    field_validator,
    model_validator,
)

from packet.shop import checks
from packet.shop.fields import (
    RATE,
    AirF,
    AMonth,
    BoreIn,
    Clock,
    Contents,
    Count,
    Day,
    Designation,
    ElevationFt,
    Ft3,
    Gas,
    HoseFt,
    Id,
    Lb,
    LbPerMin,
    Line,
    MarginPsi,
    Month,
    Name,
    Number,
    Paragraph,
    Percent,
    PositiveLb,
    RatingPsig,
    StepF,
    WaterLb,
    YesNo,
    refuse,
    whole,
)
from packet.units import UnitSystem
from packet.words import N_, t

__all__ = ["Month"]

MethodName = Literal["auto", "vapor", "liquid", "push-pull"]
Reason = Literal["repair", "disposal", "retrofit", "leak"]
Space = Literal["basement", "machinery-room", "indoors", "rooftop", "outdoors"]
ValveName = Literal["liquid", "vapor"]
PressureClass = Literal["low", "medium", "high", "very-high"]
PrintSize = Literal["usual", "large"]
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
# what the appliance is for, as the venting exemptions of 40 CFR 82.154(a)(1) and the subsectors of 84.106 ask it
Use = Literal[
    "comfort-cooling",
    "room-air-conditioner",
    "household-refrigerator",
    "retail-food",
    "vending-machine",
    "ice-machine",
    "water-cooler",
    "very-low-temperature",
    "process",
    "absorption",
    "other",
]
# what becomes of the gas: 40 CFR 82.154(d), 82.156(h); 'open': not agreed yet
Disposition = Literal["open", "same-appliance", "same-owner", "reclaim", "destruction"]
# what may stand on a record page beside the job's number, date, state, revisions and refrigerant
Shown = Literal[
    "site",
    "location",
    "contact",
    "access",
    "technician",
    "truck",
    "appliance",
    "numbers",
    "readings",
    "remarks",
    "reasons",
    "packet",
    "scans",
    "index",
]
ShutOff = Literal["none", "one-end", "both-ends"]
PortKind = Literal["service-valve", "king-valve", "access-valve", "schrader", "piercing", "not-stated"]


Language = Annotated[str, BeforeValidator(checks.language)]
Languages = Annotated[tuple[Language, ...], Field(max_length=2)]

LIQUID_AND_VAPOR: tuple[ValveName, ...] = ("liquid", "vapor")


# Translators: after file, line and key of an input; the key is not there
NOT_GIVEN = N_("not given")
# Translators: as above, and the program's default holds
BY_DEFAULT = N_("not given, the default")


class Record(BaseModel):
    """What every record has: where it was typed, and under which key."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    _file: str = PrivateAttr(default="")
    _lines: dict[str, int] = PrivateAttr(default_factory=dict)
    _typed: dict[str, str] = PrivateAttr(default_factory=dict)

    def where(self, field: str = "") -> str:
        """'file:line field' of a field of this record as the user typed it, or of the record itself.

        The file is named from the shop's folder, so that what is printed is the same wherever the shop lies. An item
        of a list is 'cylinders[1]', counted from 0. A field that nobody typed is said not to be given (`words.said`
        says it in the reader's language); its line is that of the record.
        """
        file = self._where()["_file"]
        place = f"{file}:{self.line(field)} {self.typed_key(field)}".strip() if file else field
        known = type(self).model_fields.get(field)
        if known is None or self.is_given(field):
            return place
        if known.default in (None, "", ()):
            return f"{place}: {NOT_GIVEN}"
        return f"{place}: {BY_DEFAULT}"

    def is_given(self, field: str) -> bool:
        """Whether somebody typed this field, rather than that it has its default."""
        typed = self._where()
        return field in (typed["_lines"] if typed["_file"] else self.model_fields_set)

    def line(self, field: str = "") -> int:
        """The line on which `field` was typed, or the record began; 0 when it was not typed in a file."""
        lines: dict[str, int] = self._where()["_lines"]
        return lines.get(field, lines.get("", 0))

    def typed_key(self, field: str) -> str:
        """The key under which `field` was typed: `charge_kg` for `charge_lb` where the user gave kilograms."""
        typed: dict[str, str] = self._where()["_typed"]
        return typed.get(field, field)

    def _where(self) -> dict[str, Any]:
        # the private attributes by their dict: by their names each costs a search, and a day asks a million times
        return self.__pydantic_private__ or {"_file": "", "_lines": {}, "_typed": {}}

    def model_post_init(self, context: Any, /) -> None:
        """Nothing to add; kept so that subclasses share one signature."""


class Policy(Record):
    """What the shop has decided; every figure has a default a careful shop would choose."""

    fill_ceiling_percent: Annotated[Number, Field(ge=10, le=80)] = Field(
        80.0, description=N_("Liquid by volume a cylinder is filled to, percent; never above 80.")
    )
    hot_level_ceiling_percent: Annotated[Number, Field(ge=10, le=100)] = Field(
        95.0, description=N_("Liquid by volume at 131 °F, percent; the law's ceiling is 100.")
    )
    van_hottest_F: AirF = Field(130.0, description=N_("The hottest a parked van gets."))
    overcharge_allowance_percent: Percent = Field(
        10.0, description=N_("Room kept for a system that holds more than its nameplate says, percent.")
    )
    lift_alone_lb: PositiveLb = Field(50.0, description=N_("Above this, two people or a hand truck."))
    scrap_certification: Literal["none", "type-I"] = Field(
        "none",
        description=N_(
            "Card asked of whoever empties a small appliance for scrap; the law asks for none (40 CFR 82.161)."
        ),
    )
    purge_hoses: Literal["vapor", "vacuum"] = Field(
        "vacuum",
        description=N_(
            "How hoses are purged: by vacuum; or by a short push of vapor, which is never done with some gases."
        ),
    )
    discharge_into: ValveName = Field("vapor", description=N_("The cylinder valve the machine discharges into."))
    reaction_seconds: Annotated[Number, Field(ge=0, le=120)] = Field(
        10.0, description=N_("Time from seeing the stop weight to shutting the valve, for push-pull.")
    )
    noncondensable_margin_psi: MarginPsi = Field(
        10.0, description=N_("Pressure above the refrigerant's own at which air is suspected.")
    )
    stop_and_cool_margin_psi: MarginPsi = Field(
        50.0, description=N_("Pressure above the hottest expected one at which to stop and cool the cylinder.")
    )
    field_card: Literal["packet", "truck"] = Field(
        "packet",
        description=N_(
            "Where “when it goes wrong” stands: in every packet; or on a card in each truck, which 'packet card' prints."
        ),
    )
    travel_minutes: Annotated[Number, Field(ge=0, le=600)] = Field(
        20.0, description=N_("The way from one site to the next, minutes, where 'travel' does not say it.")
    )
    table_from_F: AirF = Field(20.0, description=N_("First row of the fill table."))
    table_to_F: AirF = Field(130.0, description=N_("Last row of the fill table."))
    table_step_F: StepF = Field(10.0, description=N_("Step of the fill table."))

    _range = field_validator("table_to_F")(checks.table_ends_after_it_starts)
    _rows = field_validator("table_step_F")(checks.table_fits_the_page)


class Truck(Record):
    """A truck and its standing load of materials of trade (nitrogen, acetylene, virgin gas, gasoline)."""

    id: Id = Field(description=N_("The truck's id, as jobs name it."))
    standing_load_lb: Lb = Field(0.0, description=N_("Gross weight of the materials of trade that always ride along."))
    standing_load: Line = Field("", description=N_("What that load is."))


class Way(Record):
    """The way between two sites, where it is not the usual one."""

    between: tuple[Name, ...] = Field(
        min_length=2, max_length=2, description=N_("The two sites' names, as in the jobs.")
    )
    minutes: Annotated[Number, Field(ge=0, le=600)] = Field(description=N_("Minutes from one to the other."))


class Shop(Record):
    """shop.yaml."""

    company: Name = Field(description=N_("The company's name, as printed."))
    phone: Annotated[Line, Field(min_length=3, max_length=40)] = Field(description=N_("The office."))
    emergency_phone: Annotated[Line, Field(min_length=3, max_length=40)] = Field(
        description=N_("Who answers day and night.")
    )
    records_url: Annotated[str, BeforeValidator(checks.records_url)] = Field(
        description=N_("Where the record pages are served; the code on each page points there.")
    )
    records_secret: Annotated[SecretStr | None, BeforeValidator(checks.records_secret)] = Field(
        None,
        description=N_(
            "20 letters or more that nobody can guess, so that nobody can guess the address of a record page."
        ),
    )
    records_show: tuple[Shown, ...] | None = Field(
        None,
        description=N_(
            "What stands on the record pages. As nobody chose: numbers and readings; with records_secret also"
            " location, technician and appliance."
        ),
    )
    address: Line = Field("", description=N_("The company's address."))
    paper: Literal["letter", "A4"] = Field("letter", description=N_("Paper size."))
    units: UnitSystem = Field("US", description=N_("Units on paper."))
    language: Language = Field("en", description=N_("Language of the paper: a catalogue's name."))
    languages: Languages = Field(
        (), description=N_("Two languages of every packet: holds, strips and cautions are printed in both.")
    )
    policy: Policy = Field(Policy(), description=N_("What the shop has decided."))
    # trucks and what rides on each of them every day, counted against 49 CFR 173.6
    travel: tuple[Way, ...] = Field((), description=N_("Ways between sites that are longer or shorter than usual."))
    trucks: tuple[Truck, ...] = Field((), description=N_("The trucks and what always rides on each."))

    _both = field_validator("languages")(checks.languages_hold_the_language)

    @model_validator(mode="after")
    def _room_for_the_suffix(self) -> Self:
        checks.address_leaves_room(self.records_url, secret=self.records_secret is not None)
        return self


class Cylinder(Record):
    """One of cylinders.yaml. refrigerant: None when empty and evacuated, 'mixed' for the mixed-gas cylinder."""

    id: Id = Field(description=N_("The number painted or tagged on the cylinder."))
    spec: Annotated[Line, Field(min_length=3, max_length=40)] = Field(
        description=N_("Specification and service pressure as stamped: DOT-4BA400.")
    )
    water_capacity_lb: WaterLb = Field(description=N_("Water capacity as stamped (WC)."))
    tare_lb: PositiveLb = Field(description=N_("Tare as stamped (TW)."))
    tested: AMonth | None = Field(None, description=N_("Month of the last requalification: 2023-04."))
    made: AMonth | None = Field(None, description=N_("Month of manufacture; starts the clock of a new cylinder."))
    refrigerant: Contents = Field(
        None,
        description=N_(
            "What it holds: a designation, 'mixed', a composition {R-22: 62, R-407C: 38}, or 'empty' when empty and"
            " evacuated."
        ),
    )
    analysis: Line = Field("", description=N_("Whose analysis says what it is, with its date."))
    contents_lb: Lb = Field(0.0, description=N_("Net weight in it when the register was opened."))
    valves: tuple[ValveName, ...] = Field(("liquid", "vapor"), min_length=1, description=N_("Its valves."))
    flammable_rated: YesNo = Field(False, description=N_("Rated for flammable gas."))
    float_switch: YesNo = Field(False, description=N_("Has an overfill float switch."))
    max_gross_lb: PositiveLb | None = Field(None, description=N_("Maximum gross weight, where one is stamped."))
    owner: Line = Field("", description=N_("Whose cylinder it is, where not the shop's."))
    out_of_service: Annotated[Line, BeforeValidator(checks.reason_out_of_service)] | None = Field(
        None, description=N_("Why it may not be used; absent when it may.")
    )

    _order = field_validator("made")(checks.made_before_tested)
    _contents = field_validator("contents_lb")(checks.contents_can_be)

    @model_validator(mode="after")
    def _whose_analysis(self) -> Self:
        checks.composition_is_analyzed(self.refrigerant, self.analysis)
        return self

    _gross = field_validator("max_gross_lb")(checks.max_gross_above_tare)


class Rates(Record):
    """A recovery machine's rates as its maker states them, lb/min; vapor at the refrigerant's 70 °F suction."""

    liquid: LbPerMin | None = Field(None, description=N_("Liquid, by weight a minute."))
    vapor: LbPerMin | None = Field(None, description=N_("Vapor, by weight a minute."))
    push_pull: LbPerMin | None = Field(None, description=N_("Push-pull, by weight a minute."))


class Controls(Record):
    """The shop's own words for a machine's switch positions; neutral wording where absent."""

    recover_vapor: Name | None = Field(None, description=N_("Recovering vapor."))
    recover_liquid: Name | None = Field(None, description=N_("Recovering liquid."))
    clear: Name | None = Field(None, description=N_("Clearing (purging) the machine into the cylinder."))
    off: Name | None = Field(None, description=N_("Off."))


class Machine(Record):
    """One recovery machine."""

    id: Id = Field(description=N_("The machine's id, as jobs name it."))
    description: Line = Field("", description=N_("What it is."))
    made: AMonth = Field(description=N_("Month of manufacture; 40 CFR 82.156 asks less of those before 1993-11."))
    flammable_rated: YesNo = Field(False, description=N_("Rated for flammable refrigerant."))
    max_pressure_psig: RatingPsig = Field(550.0, description=N_("High-pressure cut-out."))
    refrigerants: tuple[Designation, ...] = Field((), description=N_("Refrigerants it is certified for."))
    pressure_classes: tuple[PressureClass, ...] = Field((), description=N_("Pressure classes it is certified for."))
    rates_lb_per_min: Annotated[Rates, RATE] = Field(Rates(), description=N_("Rates as its maker states them."))
    controls: Controls = Field(Controls(), description=N_("The words on its switch."))
    hold_up_lb: Annotated[Lb, Field(le=50)] = Field(1.0, description=N_("What clearing still pushes out of it."))
    clear_to: Line = Field("", description=N_("The reading its maker gives for a cleared machine."))
    weight_lb: PositiveLb | None = Field(None, description=N_("Its weight, for lifting."))
    last_refrigerant: Designation | None = Field(None, description=N_("What went through it last."))
    system_dependent: YesNo = Field(
        False,
        description=N_("Passive: it needs the appliance's own compressor or pressure; not for a charge above 15 lb."),
    )


class Scale(Record):
    """One scale. resolution_lb rounds the stop weights down; capacity_lb is a limit. SI scales: resolution_kg."""

    id: Id = Field(description=N_("The scale's id, as jobs name it."))
    capacity_lb: PositiveLb = Field(description=N_("The most it weighs."))
    resolution_lb: Annotated[PositiveLb, Field(le=25)] = Field(description=N_("Its smallest step."))
    check_weight_lb: PositiveLb | None = Field(None, description=N_("The weight it is checked with."))

    _step = field_validator("resolution_lb")(checks.step_below_capacity)


class Hose(Record):
    """A line of hoses of one make-up: how many of them the kit holds."""

    id: Id = Field(description=N_("Id of this make-up."))
    count: Count = Field(1, description=N_("How many there are."))
    length_ft: HoseFt = Field(description=N_("Length."))
    bore_in: BoreIn = Field(description=N_("Inner diameter."))
    rating_psig: RatingPsig = Field(description=N_("Working pressure."))
    shut_off: ShutOff = Field("one-end", description=N_("Low-loss shut-off at none, one or both ends."))
    color: Literal["red", "blue", "yellow", "black"] = Field("yellow", description=N_("Color."))
    flammable_rated: YesNo = Field(True, description=N_("Fit for flammable refrigerant."))


class Manifold(Record):
    """A manifold gauge set."""

    id: Id = Field(description=N_("Id of this make-up."))
    count: Count = Field(1, description=N_("How many there are."))
    valves: Annotated[Literal[2, 4], BeforeValidator(whole)] = Field(2, description=N_("Valves: 2 or 4."))
    rating_psig: RatingPsig = Field(description=N_("Working pressure."))
    micron_gauge: YesNo = Field(False, description=N_("Has a micron gauge."))


class Fitting(Record):
    """A sight glass, filter-drier, tee, piercing valve, core tool, header: rated parts that go in line."""

    id: Id = Field(description=N_("Id of this make-up."))
    count: Count = Field(1, description=N_("How many there are."))
    rating_psig: RatingPsig = Field(description=N_("Working pressure."))
    high_acid: YesNo = Field(False, description=N_("A filter-drier of high acid capacity, for after a burnout."))
    note: Line = Field("", description=N_("What to know about it."))


class Kit(Record):
    """What may be taken along, each with its count."""

    hoses: tuple[Hose, ...] = Field((), description=N_("Hoses."))
    manifolds: tuple[Manifold, ...] = Field((), description=N_("Manifold gauge sets."))
    sight_glasses: tuple[Fitting, ...] = Field((), description=N_("Sight glasses."))
    filter_driers: tuple[Fitting, ...] = Field((), description=N_("Filter-driers."))
    tees: tuple[Fitting, ...] = Field((), description=N_("Tees."))
    piercing_valves: tuple[Fitting, ...] = Field((), description=N_("Piercing valves."))
    core_tools: tuple[Fitting, ...] = Field(
        (),
        description=N_(
            "Core tools: they take a Schrader core out under pressure and close its port with a ball valve."
        ),
    )
    headers: tuple[Fitting, ...] = Field(
        (), description=N_("Two-way headers: the vacuum pump draws on two hookup circuits at once.")
    )
    vacuum_pumps: Count = Field(0, description=N_("Vacuum pumps."))
    flammable_rated_vacuum_pumps: Count = Field(
        0, description=N_("Of the vacuum pumps, those rated for flammable refrigerant.")
    )
    micron_gauges: Count = Field(0, description=N_("Micron gauges that stand by themselves."))
    detectors: Count = Field(0, description=N_("Refrigerant detectors."))
    flammable_rated_detectors: Count = Field(
        0, description=N_("Of the detectors, those rated for flammable refrigerant.")
    )
    identifiers: Count = Field(0, description=N_("Refrigerant identifiers."))
    absolute_gauges: Count = Field(0, description=N_("Absolute pressure gauges."))
    nitrogen: Count = Field(0, description=N_("Nitrogen bottles with regulator."))


class Equipment(Record):
    """machines.yaml."""

    machines: tuple[Machine, ...] = Field((), description=N_("Recovery machines."))
    scales: tuple[Scale, ...] = Field((), description=N_("Scales."))
    kit: Kit = Field(Kit(), description=N_("Hoses, gauges and fittings."))


class Technician(Record):
    """One of technicians.yaml."""

    id: Id = Field(description=N_("The technician's id, as jobs name it."))
    name: Name = Field(description=N_("Name as on the card."))
    certification: tuple[Certification, ...] = Field(
        min_length=1, description=N_("What the card says (40 CFR 82.161).")
    )
    card: Line = Field("", description=N_("Number of the card."))
    phone: Line = Field("", description=N_("Phone."))
    print: PrintSize = Field(
        "usual", description=N_("Size of type on this technician's packets: large is a quarter larger.")
    )

    language: Language | None = Field(
        None, description=N_("Language of this technician's packets, where not the shop's.")
    )
    languages: Languages = Field(
        (), description=N_("Two languages of this technician's packets, where not the shop's.")
    )

    _both = field_validator("languages")(checks.languages_hold_the_language)

    _apprentice = field_validator("certification")(checks.apprentice_or_certified)


class Site(Record):
    """Where the appliance stands."""

    name: Name = Field(description=N_("Name of the place."))
    address: Line = Field("", description=N_("Address."))
    contact: Annotated[Line, Field(max_length=80)] = Field("", description=N_("Whom to ask for."))
    phone: Line = Field("", description=N_("Phone on site."))
    access: Paragraph = Field("", description=N_("How to get to the appliance."))
    elevation_ft: ElevationFt = Field(0.0, description=N_("Height above the sea; moves the gauge's zero."))
    space: Space = Field(description=N_("Where the appliance and the cylinders stand."))
    room_ft3: Ft3 | None = Field(None, description=N_("Volume of the room, for the concentration limit."))
    institutional: YesNo = Field(False, description=N_("Hospital, home or the like: half the limit."))
    ladder: YesNo = Field(False, description=N_("Reached by a ladder."))
    roof_edge: YesNo = Field(False, description=N_("Near an unguarded roof edge."))
    permit_space: YesNo = Field(False, description=N_("A permit-required confined space."))
    notes: Paragraph = Field("", description=N_("What else to know."))


class Ports(Record):
    """The ports of an appliance and of which kind each is: what isolates it depends on that. None: no such port.

    A bare list (`ports: [liquid, vapor]`) names the ports and leaves their kinds unstated; so does leaving all out.
    """

    liquid: PortKind | None = Field(None, description=N_("Port on the liquid side."))
    vapor: PortKind | None = Field(None, description=N_("Port on the suction or vapor side."))

    @model_validator(mode="before")
    @classmethod
    def _from_names(cls, value: Any) -> Any:
        """A list of names, or nothing at all, leaves the kinds unstated."""
        if isinstance(value, (list, tuple)):
            unknown = [name for name in value if name not in {"liquid", "vapor"}]
            if unknown or not value:
                raise refuse(
                    t("The ports are 'liquid' and 'vapor'."), t("Write [liquid, vapor], or {liquid: schrader}.")
                )
            return dict.fromkeys(value, "not-stated")
        if isinstance(value, dict) and not any(value.values()):
            return {"liquid": "not-stated", "vapor": "not-stated"}
        return value

    def __contains__(self, port: object) -> bool:
        """Whether there is a port on this side."""
        return port in {"liquid", "vapor"} and self.kind(str(port)) is not None

    def kind(self, port: str) -> PortKind | None:
        """The kind of the port on this side; None where there is none."""
        return self.liquid if port == "liquid" else self.vapor

    @property
    def names(self) -> tuple[ValveName, ...]:
        """The sides that have a port, liquid first."""
        return tuple(port for port in LIQUID_AND_VAPOR if self.kind(port) is not None)


class Appliance(Record):
    """What the refrigerant is taken out of."""

    description: Annotated[Line, Field(min_length=1)] = Field(description=N_("Make-up, place, number on the plate."))
    kind: ApplianceKind = Field(description=N_("Kind of appliance."))
    use: Use | None = Field(
        None,
        description=N_(
            "What it is for, where the kind does not say it: it decides which law holds (venting, leak repair)."
        ),
    )
    refrigerant: Gas = Field(
        description=N_(
            "Designation on the plate; 'unknown' or 'mixed' where it is not known; percent by mass where it was"
            " analyzed: {R-22: 62, R-407C: 38}, with basis: mole where they are of moles."
        )
    )
    analysis: Line = Field("", description=N_("Whose analysis says what it is, with its date."))
    charge_lb: PositiveLb = Field(description=N_("Charge on the plate."))
    reversing_valve: YesNo = Field(False, description=N_("Has a reversing valve."))
    accumulator_between_ports: YesNo = Field(False, description=N_("An accumulator lies between the ports to be used."))
    liquid_column: YesNo = Field(False, description=N_("A solid column of liquid can form between the ports."))
    receiver: YesNo = Field(False, description=N_("Has a receiver."))
    ports: Ports = Field(Ports(), description=N_("Service ports and what each is; absent: no such port."))
    compressor_runs: YesNo = Field(False, description=N_("Its compressor can be run."))
    low_side_design_psig: RatingPsig | None = Field(
        None, description=N_("Design pressure of its low side, from the nameplate: what push-pull may push against.")
    )
    system_volume_ft3: Ft3 | None = Field(None, description=N_("Inner volume, when known."))
    factory_sealed: YesNo = Field(False, description=N_("Made, charged and sealed in a factory, 5 lb or less."))
    serial: Line = Field("", description=N_("Serial number."))
    owner: Line = Field("", description=N_("Owner of the appliance."))

    @model_validator(mode="after")
    def _whose_analysis(self) -> Self:
        checks.composition_is_analyzed(self.refrigerant, self.analysis)
        return self


class Work(Record):
    """Why and how."""

    reason: Reason = Field(description=N_("Why the refrigerant is taken out."))
    major: YesNo = Field(
        True,
        description=N_(
            "Yes when the compressor, condenser, evaporator or auxiliary heat exchanger coil is removed, or more than"
            " 4 in² of flow area is open for more than 15 minutes (40 CFR 82.152)."
        ),
    )
    isolated_charge_lb: PositiveLb | None = Field(
        None, description=N_("Charge of the isolated part, when only that is drawn down; needs a receiver.")
    )
    isolated_by: Literal["receiver", "valves"] = Field(
        "receiver",
        description=N_(
            "How the part is isolated: the rest is pumped into the receiver, or the part's own shut-off valves close it off."
        ),
    )
    receiver_capacity_lb: PositiveLb | None = Field(
        None, description=N_("What the receiver holds when full, of this refrigerant; 80 % of it must take the rest.")
    )
    burnout: YesNo = Field(False, description=N_("The compressor burned out."))
    leaking: YesNo = Field(False, description=N_("The system leaks."))
    evacuation_to_atmosphere: YesNo = Field(True, description=N_("The system will be evacuated to the air afterwards."))
    oil_change: YesNo = Field(False, description=N_("The system is opened only to change the oil."))
    method: MethodName = Field("auto", description=N_("Method; a forced one is checked, never obeyed blindly."))
    torch: YesNo = Field(False, description=N_("A torch will be used."))
    owner_of_gas: Line = Field("", description=N_("Who owns the gas afterwards."))
    destination: Line = Field("", description=N_("Where the gas goes, in words."))
    disposition: Disposition = Field(
        "open",
        description=N_(
            "What becomes of the gas: back into the same appliance (it is not carried home), another of the same owner's, reclaim or destruction."
        ),
    )


class Conditions(Record):
    """Temperatures while the work is done."""

    ambient_F: AirF = Field(description=N_("Air temperature at the appliance."))
    hottest_F: AirF = Field(description=N_("The hottest the cylinder will be while it is filled."))

    _order = field_validator("hottest_F")(checks.hottest_not_below_ambient)


class Job(Record):
    """One job file."""

    job: Id = Field(description=N_("The job's id; the file has the same name."))
    date: Day = Field(description=N_("The day; the folder has the same name."))
    truck: Id = Field(description=N_("Id of the truck."))
    technician: Id = Field(description=N_("Id of the technician."))
    supervisor: Id | None = Field(None, description=N_("Id of the certified technician over an apprentice."))
    second: Annotated[Name, AfterValidator(checks.second_is_another)] | None = Field(
        None,
        description=N_(
            "The second person, where the job needs one: id of a technician, a name, or 'on-site' for the site's own."
        ),
    )
    print: PrintSize | None = Field(None, description=N_("Size of type on this packet, where not the technician's."))
    language: Language | None = Field(None, description=N_("Language of this packet, where not the technician's."))
    languages: Languages = Field(
        (), description=N_("Two languages of this packet, where crew and reader differ: [en, es].")
    )
    machine: Id = Field(checks.AUTO, description=N_("Id of the recovery machine; blank or 'auto' until assigned."))
    scale: Id = Field(checks.AUTO, description=N_("Id of the scale; blank or 'auto' until assigned."))
    start: Clock = Field(description=N_("Start, on the 24-hour clock."))
    cylinders: Annotated[
        tuple[Annotated[Id, AfterValidator(checks.known("cylinders"))], ...],
        BeforeValidator(checks.none_yet),
        BeforeValidator(checks.no_more_than(20)),
        Field(max_length=20),
    ] = Field((), description=N_("Ids of the cylinders, in the order they are filled; blank or 'auto' until assigned."))
    called_off: Annotated[Line, BeforeValidator(checks.reason_called_off)] | None = Field(
        None, description=N_("Why the job is called off; absent while it stands.")
    )
    site: Site = Field(description=N_("Where the appliance stands."))
    appliance: Appliance = Field(description=N_("What the refrigerant is taken out of."))
    work: Work = Field(description=N_("Why and how."))
    conditions: Conditions = Field(description=N_("Temperatures while the work is done."))

    _both = field_validator("languages")(checks.languages_hold_the_language)

    _job = field_validator("job")(checks.job_is_the_files_name)
    _date = field_validator("date")(checks.date_is_the_folders)
    _truck = field_validator("truck")(checks.known("trucks"))
    _names = field_validator("technician", "supervisor", mode="before")(checks.an_id_not_a_name)
    _technician = field_validator("technician")(checks.known("technicians"))
    _supervisor = field_validator("supervisor")(checks.known("technicians"))
    _other = field_validator("supervisor")(checks.supervisor_is_another)
    _machine = field_validator("machine")(checks.known("machines"))
    _scale = field_validator("scale")(checks.known("scales"))

    @field_validator("work")
    @classmethod
    def _work_fits_the_appliance(cls, value: Work, info: ValidationInfo) -> Work:
        """What is said of the work does not contradict what is said of the appliance."""
        appliance = info.data.get("appliance")
        if appliance is not None:
            checks.isolated_within_charge(value.isolated_charge_lb, appliance.charge_lb)
            checks.burned_out_or_running(burnout=value.burnout, compressor_runs=appliance.compressor_runs)
            checks.oil_change_is_not_major(oil_change=value.oil_change, major=value.major)
            checks.receiver_is_there(value.receiver_capacity_lb, receiver=appliance.receiver)
        return value


class Registers(Record):
    """A shop as loaded: everything but the jobs. Ids are unique within each list."""

    shop: Shop
    cylinders: tuple[Cylinder, ...] = ()
    equipment: Equipment = Equipment()
    technicians: tuple[Technician, ...] = ()
