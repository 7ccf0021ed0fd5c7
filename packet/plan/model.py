"""A job's plan: every decision and number on its paper, as immutable records.

US units throughout (`_lb`, `_F`, `_psig`, ...). `_psig` is relative to the site's barometer, except in fitness
(14.696 psi). A figure that a person may want to check by hand is a `Worked`.
"""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from packet.findings import Finding
from packet.ledger.state import CylinderState
from packet.refrigerant.catalogue import Refrigerant
from packet.rules.carriage import Counts
from packet.rules.crew import SecondFor
from packet.rules.drawdown import is_read_absolute
from packet.rules.lifting import How
from packet.shop.records import Cylinder, Hose, Job, Machine, PressureClass, Registers, Scale, Technician, Truck
from packet.statements import Statement, governing
from packet.worked import Worked

StageName = Literal["vapor", "liquid", "push-pull"]
# A and B to the appliance's liquid and vapor side, C to the machine's suction, D from its discharge to the cylinder, P to
# the vacuum pump
HoseLetter = Literal["A", "B", "C", "D", "P"]


@dataclass(frozen=True, slots=True)
class Rejected:
    """A method that was not chosen, and why."""

    method: StageName
    reasons: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class Method:
    """The method: its stages in order, the reasons for it, and why not the others. forced: the job named it."""

    chosen: StageName
    stages: tuple[StageName, ...]
    reasons: tuple[Statement, ...]
    rejected: tuple[Rejected, ...]
    forced: bool = False


@dataclass(frozen=True, slots=True)
class Evacuation:
    """How deep to draw. target_inHg_vacuum is the law's own figure, gauge_at_site_inHg_vacuum what this site's gauge shows.

    target_psia None for a small appliance that is judged by a percent of the charge, weighed after clearing, or by
    4 inHg; small_criterion 'vacuum' where its scale cannot show the percent. rise_check_minutes 0: none is done.
    """

    pressure_class: PressureClass | None
    saturation_psia_at_104F: Worked | None
    target_inHg_vacuum: Worked | None
    target_psia: Worked | None
    gauge_at_site_inHg_vacuum: Worked | None
    target_percent_of_charge: float | None
    target_lb: float | None
    raise_to_atmosphere: bool  # low pressure, repair that is not major: raised, not drawn
    by_policy: bool  # the target is the shop's policy, not 40 CFR 82.156
    reasons: tuple[Statement, ...]  # which row or exception
    remaining_vapor_lb: Worked | None
    rise_check_minutes: int
    source: str
    absolute_mmHg: float | None = None  # low pressure: what an absolute gauge must show; × 1000 is microns
    small_criterion: Literal["percent-or-vacuum", "vacuum"] | None = None

    @property
    def is_read_absolute(self) -> bool:
        """As `packet.rules.drawdown.is_read_absolute`."""
        return is_read_absolute(self.pressure_class)


@dataclass(frozen=True, slots=True)
class IsolatedPart:
    """Only this part is drawn down. rest_lb: what stays in the system; receiver_takes_lb: 80 % of the receiver, None
    when the part's own shut-off valves close it off.
    """

    charge_lb: float
    rest_lb: float
    by: Literal["receiver", "valves"]
    receiver_takes_lb: float | None


@dataclass(frozen=True, slots=True)
class OccupiedSpace:
    """The room check. charge_lb counts the full charge and what the cylinders in the room hold."""

    limit_lb: Worked
    charge_lb: Worked
    exceeds: bool
    source: str


@dataclass(frozen=True, slots=True)
class PickedHose:
    """A hose of the kit with the letter it has on this job. missing: the kit has none; `hose` is a usual one instead."""

    letter: HoseLetter
    hose: Hose
    missing: bool = False


@dataclass(frozen=True, slots=True)
class Hoses:
    """The job's hoses, picked once, in the order of their letters.

    least_psig: what they and every fitting must stand. flammable: they must be rated for it. by_vacuum: a pump (hose P)
    draws the air out of them.
    """

    picked: tuple[PickedHose, ...]
    least_psig: float
    flammable: bool
    by_vacuum: bool

    def picked_for(self, letter: HoseLetter) -> PickedHose | None:
        """The hose with this letter; None where the job has none."""
        return next((item for item in self.picked if item.letter == letter), None)


@dataclass(frozen=True, slots=True)
class FillRow:
    """A row of the fill table. level_percent: of the planned fill at that temperature; above 100 is liquid-full."""

    ambient_F: float
    net_limit_lb: float
    stop_gross_lb: float
    free_lb: float
    pressure_psig: float
    level_percent: float
    hottest: bool = False  # the job's own hottest temperature


@dataclass(frozen=True, slots=True)
class CylinderPlan:
    """One assigned cylinder, in the order of filling."""

    cylinder: Cylinder
    order: int
    start: CylinderState
    volume_ft3: Worked
    contents_lb: float
    expected_bare_gross_lb: Worked  # tare + what the ledger says is in it
    limit_net_lb: Worked
    limit_gross_lb: Worked  # never above
    clearing_lb: Worked
    stop_gross_lb: Worked
    change_at_gross_lb: Worked | None  # when another cylinder follows
    free_lb: Worked
    governing_limit: str  # the code of the one that holds: by_volume, by_hot_level, ...
    limits: tuple[Worked, ...]  # all that apply, net lb
    quick_rule_gross_lb: Worked
    quick_rule_is_unsafe: bool
    quick_rule: Statement  # how far off it is
    level_percent_at_131F: Worked
    liquid_full_at_F: Worked
    stop_and_cool_psig: Worked
    planned_lb: Worked  # what this job is planned to put in
    planned_gross_lb: float
    requalify_by: date | None
    fit: bool
    fill_table: tuple[FillRow, ...]
    level_curve: tuple[tuple[float, float], ...]  # (F, level percent of the planned fill), for the plot
    liquid_full_is_beyond: bool = False  # not liquid-full up to liquid_full_at_F, where the estimate ends

    @property
    def governing(self) -> Statement:
        """Which limit holds, as the sheet says it, with the shop's own ceiling."""
        return governing(self.governing_limit, dict(self.limit_net_lb.inputs)[self.governing_limit])


@dataclass(frozen=True, slots=True)
class PressureRow:
    """Pressures to expect at a temperature, psig at the site, and the pressure above which to suspect air."""

    temperature_F: float
    bubble_psig: float
    dew_psig: float
    suspect_air_psig: float


@dataclass(frozen=True, slots=True)
class CarryItem:
    """A cylinder on the way home. counts: a material of trade; hazardous but none; or a weight and no more."""

    cylinder: str
    gross_lb: float
    counts: Counts


@dataclass(frozen=True, slots=True)
class CarryLoad:
    """What this job adds to the truck. total_lb: materials of trade at the end of the job, standing load included.

    items: its cylinders, each as it counts (49 CFR 173.6). stays_lb: what goes back into the same appliance.
    """

    per_cylinder_limit_lb: Worked
    truck_limit_lb: Worked
    standing_lb: float
    total_lb: Worked
    un_number: str
    proper_shipping_name: str
    hazard_class: str
    items: tuple[CarryItem, ...] = ()
    stays_lb: float = 0.0


@dataclass(frozen=True, slots=True)
class Lift:
    """Something to lift: a cylinder as heavy as this job makes it, or the machine, lb."""

    what: Literal["cylinder", "machine"]
    id: str
    weight_lb: float
    how: How


@dataclass(frozen=True, slots=True)
class SecondPerson:
    """The second person. needed_for: what asks for one, empty when nothing does. name: '' when on_site or nobody."""

    needed_for: tuple[SecondFor, ...]
    name: str
    on_site: bool

    @property
    def missing(self) -> bool:
        """One is needed and nobody is named."""
        return bool(self.needed_for) and not self.name and not self.on_site


@dataclass(frozen=True, slots=True)
class StageTime:
    """A stage's estimated minutes."""

    stage: StageName | Literal["set-up", "change-over", "clear"]
    minutes: Worked


@dataclass(frozen=True, slots=True)
class LogPoint:
    """What the scale should show so many minutes after its part of the log begins."""

    minute: int
    gross_lb: float


@dataclass(frozen=True, slots=True)
class LogPart:
    """A part of the log: one stage on one cylinder. Between two parts the cylinder is swapped or the hoses are moved."""

    stage: str
    cylinder: str
    points: tuple[LogPoint, ...]


@dataclass(frozen=True, slots=True)
class Estimate:
    """Something that was estimated: what, the error as percent (None: not stated), how."""

    what: Statement
    percent: float | None
    how: Statement


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything decided and computed for one job. Parts are None where the findings say why they could not be.

    barometer_psia: at the site, standard atmosphere. to_recover_lb: the charge drawn, plus the over-charge allowance
    in expected_max_lb. t_co2e: warming potential of to_recover_lb, tonnes of CO2 equivalent.
    """

    job: Job
    registers: Registers
    refrigerant: Refrigerant | None
    mixed_or_unknown: bool
    technician: Technician | None
    supervisor: Technician | None
    machine: Machine | None
    scale: Scale | None
    truck: Truck | None
    method: Method | None
    evacuation: Evacuation | None
    occupied_space: OccupiedSpace | None
    cylinders: tuple[CylinderPlan, ...]
    pressure_table: tuple[PressureRow, ...]
    barometer_psia: Worked
    to_recover_lb: Worked | None
    expected_max_lb: Worked | None
    carrying: CarryLoad | None
    times: tuple[StageTime, ...]
    t_co2e: Worked | None
    duties: tuple[Statement, ...]
    findings: tuple[Finding, ...]
    estimates: tuple[Estimate, ...]
    hoses: Hoses | None = None
    needs: tuple[Statement, ...] = ()  # what else dispatch should fetch
    second: SecondPerson | None = None
    isolated: IsolatedPart | None = None
    lifting: tuple[Lift, ...] = ()
    pressure_strip: tuple[PressureRow, ...] = ()  # the day's pressures in fine steps around the ambient temperature
    log: tuple[LogPart, ...] = ()  # weights to expect while it runs, an estimate

    @property
    def may_go_out(self) -> bool:
        """Whether no finding of the plan stops the job (the hookup's findings come on top)."""
        return all(item.severity != "stop" for item in self.findings)
