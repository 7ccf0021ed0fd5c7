"""What a job's print promised, as the office asks for it: the plan's document that the print record keeps.

These records name the part of the document that the office reads, under the document's own names; whatever else stands
there, of this version or a later one, is left alone.
"""

from dataclasses import dataclass
from datetime import date
from functools import cached_property

from packet.document import Shape, ShapeError
from packet.findings import Severity
from packet.press.printed import PrintRecord


@dataclass(frozen=True, slots=True)
class Cylinder:
    """An assigned cylinder as planned."""

    id: str
    stop_gross_lb: float
    limit_gross_lb: float
    planned_lb: float


@dataclass(frozen=True, slots=True)
class Evacuation:
    """How deep to draw; None where the plan had no such figure."""

    gauge_at_site_inHg_vacuum: float | None
    target_psia: float | None
    absolute_mmHg: float | None
    target_percent_of_charge: float | None
    raise_to_atmosphere: bool
    rise_check_minutes: int
    pressure_class: str | None = None


@dataclass(frozen=True, slots=True)
class PressureRow:
    """A row of the pressure table: above suspect_air_psig the cylinder holds air."""

    temperature_F: float
    suspect_air_psig: float


@dataclass(frozen=True, slots=True)
class Told:
    """A finding of the plan or the hookup."""

    code: str
    severity: Severity
    message: str = ""


@dataclass(frozen=True, slots=True)
class SecondPerson:
    """The second person: what asks for one, empty when nothing does; the name, '' when on_site or nobody."""

    needed_for: tuple[str, ...] = ()
    name: str = ""
    on_site: bool = False


@dataclass(frozen=True, slots=True)
class Duty:
    """What the law asks on this job, by its code."""

    code: str


@dataclass(frozen=True, slots=True)
class Site:
    """Where it was."""

    name: str
    address: str = ""
    contact: str = ""
    phone: str = ""
    access: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Appliance:
    """What was to be emptied."""

    description: str
    kind: str
    charge_lb: float
    serial: str = ""
    owner: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """Why."""

    reason: str
    leaking: bool = False
    owner_of_gas: str = ""
    disposition: str = "open"


@dataclass(frozen=True, slots=True)
class Job:
    """The job as its file said then: it may have been changed or cleared away before the packet comes back."""

    truck: str
    machine: str
    scale: str
    start: str
    site: Site
    appliance: Appliance
    work: Work


@dataclass(frozen=True, slots=True)
class Scale:
    """The job's scale."""

    id: str
    resolution_lb: float


@dataclass(frozen=True, slots=True)
class Equipment:
    """What the job took along."""

    scales: tuple[Scale, ...] = ()


@dataclass(frozen=True, slots=True)
class Technician:
    """Who the job named."""

    id: str
    name: str
    card: str = ""
    certification: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Registers:
    """What the job named in the registers."""

    equipment: Equipment
    technicians: tuple[Technician, ...] = ()


@dataclass(frozen=True, slots=True)
class Inputs:
    """What the plan was made from."""

    job: Job
    registers: Registers


@dataclass(frozen=True, slots=True)
class Document:
    """The part of a plan's document that the office reads."""

    refrigerant: str
    mixed_or_unknown: bool
    technician: str | None
    supervisor: str | None
    to_recover_lb: float | None
    t_co2e: float | None
    evacuation: Evacuation | None
    cylinders: tuple[Cylinder, ...]
    findings: tuple[Told, ...]
    inputs: Inputs
    pressure_table: tuple[PressureRow, ...] = ()
    barometer_psia: float | None = None
    second: SecondPerson | None = None
    duties: tuple[Duty, ...] = ()


@dataclass(frozen=True)
class Promised:
    """One print of a job and its plan."""

    job: str
    revision: str
    date: date
    plan: Document

    @property
    def evacuation(self) -> Evacuation:
        """How deep to draw; nothing asked where the plan had none."""
        return self.plan.evacuation or _NOTHING_ASKED

    @property
    def appliance(self) -> Appliance:
        """What was to be emptied."""
        return self.plan.inputs.job.appliance

    @property
    def leaking(self) -> bool:
        """Whether the job said so."""
        return self.plan.inputs.job.work.leaking or self.plan.inputs.job.work.reason == "leak"

    @cached_property
    def technician(self) -> Technician:
        """Who was to do it; by the id alone where the register did not know them."""
        return self._person(self.plan.technician) or Technician("", "")

    @property
    def supervisor(self) -> str:
        """The name of who stands over an apprentice, '' where nobody does."""
        person = self._person(self.plan.supervisor)
        return person.name if person else ""

    @property
    def apprentice(self) -> bool:
        """Whether somebody else was to be in charge."""
        return bool(self.plan.supervisor) or "apprentice" in self.technician.certification

    @property
    def second_needed(self) -> bool:
        """Whether the job needed a second person."""
        return self.plan.second is not None and bool(self.plan.second.needed_for)

    @property
    def scrap_statement(self) -> bool:
        """Whether a statement goes along with what is scrapped (40 CFR 82.155)."""
        return any(item.code == "scrap-statement" for item in self.plan.duties)

    @property
    def scale_step_lb(self) -> float:
        """What the job's scale can tell apart."""
        return next((item.resolution_lb for item in self.plan.inputs.registers.equipment.scales), 0.1)

    @property
    def stops(self) -> tuple[str, ...]:
        """Codes of what spoke against sending it out."""
        return tuple(item.code for item in self.plan.findings if item.severity == "stop")

    def said(self, severity: Severity) -> tuple[str, ...]:
        """What was said of that severity, in English as the print keeps it; by its code where it kept no more."""
        return tuple(item.message or item.code for item in self.plan.findings if item.severity == severity)

    @property
    def t_co2e_per_lb(self) -> float | None:
        """Warming potential of a pound of it, tonnes of CO2 equivalent."""
        plan = self.plan
        return None if plan.t_co2e is None or not plan.to_recover_lb else plan.t_co2e / plan.to_recover_lb

    @property
    def facts(self) -> dict[str, str]:
        """Who, where and which appliance, for the record: 40 CFR 82.156(a)(3)."""
        job = self.plan.inputs.job
        return {
            "site": job.site.name,
            "address": job.site.address,
            "appliance": job.appliance.description,
            "appliance_kind": job.appliance.kind,
            "serial": job.appliance.serial,
            "owner": job.appliance.owner,
            "work": job.work.reason,
            "truck": job.truck,
            "machine": job.machine,
            "scale": job.scale,
        }

    def cylinder(self, name: str) -> Cylinder | None:
        """The assigned cylinder of that id, None when it was not on the job."""
        return next((item for item in self.plan.cylinders if item.id == name), None)

    def _person(self, wanted: str | None) -> Technician | None:
        return next((item for item in self.plan.inputs.registers.technicians if item.id == wanted), None)


def promised(record: PrintRecord) -> Promised:
    """What a print promised. Raises ShapeError when it carries no plan to check against."""
    return Promised(record.job, record.revision, record.date, _SHAPE.back(dict(record.plan), "plan"))


def promised_or_none(record: PrintRecord) -> Promised | None:
    """As `promised`; None where there is no plan: what a page or a search then cannot show."""
    try:
        return promised(record)
    except ShapeError:
        return None


_SHAPE = Shape(Document)
_NOTHING_ASKED = Evacuation(None, None, None, None, raise_to_atmosphere=False, rise_check_minutes=0)
