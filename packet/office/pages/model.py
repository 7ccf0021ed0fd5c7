"""What a record page knows of a job, and the small file that remembers it.

`out/.state/records/{job}.json` holds what the indexes need, so that they are made without reading every job again. It
says more than a page may, so it lies where nothing is served from. All of it can be made anew from `jobs/printed` and
`jobs/filed`.
"""

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Literal

from packet.document import Shape, ShapeError, data_of, text_of
from packet.findings import Finding
from packet.ledger.records import Standing
from packet.office.promised import promised_or_none
from packet.plan.model import Plan
from packet.press.printed import PrintRecord
from packet.shop.whole import OwnFileError, read_whole
from packet.words import N_

Off = Literal["called-off", "not-done"]
State = Literal["planned", "stopped", "printed", "out", "filed", "corrected", Off]
STATES: tuple[State, ...] = (
    "stopped", "planned", "printed", "out", "filed", "corrected", "called-off", "not-done",
)  # fmt: skip
STATE_WORDS: dict[State, str] = {
    "planned": N_("Planned, not printed yet"),
    "stopped": N_("Do not dispatch"),
    "printed": N_("Printed"),
    "out": N_("Out, not filed yet"),
    "filed": N_("Filed"),
    "corrected": N_("Filed and corrected"),
    "called-off": N_("Called off"),
    "not-done": N_("Not done"),
}
MEMORY = Path(".state", "records")  # below the output folder
MOST_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class Known:
    """One job as the index and the head of its page show it. revision: of the current print, empty before the first.

    stops: why it may not go out, sentences; cautions likewise. prints: how many print records there were.
    """

    job: str
    date: str
    truck: str
    start: str
    technician: str
    site: str
    address: str
    appliance: str
    refrigerant: str
    stops: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    revision: str = ""
    state: State = "planned"
    prints: int = 0
    contact: str = ""
    phone: str = ""
    access: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """A job's page as it was last written. addresses: where it lies; made: a digest of all that is not the job's."""

    known: Known
    addresses: tuple[str, ...]
    made: str


def from_plan(plan: Plan, hookup_findings: tuple[Finding, ...] = ()) -> Known:
    """A job as planned; its state is settled by `settle`."""
    job, findings = plan.job, plan.findings + hookup_findings
    return Known(
        job=job.job,
        date=job.date.isoformat(),
        truck=job.truck,
        start=f"{job.start:%H:%M}",
        technician=plan.technician.name if plan.technician else job.technician,
        site=job.site.name,
        address=job.site.address,
        appliance=job.appliance.description,
        refrigerant=plan.refrigerant.name if plan.refrigerant else job.appliance.refrigerant,
        stops=tuple(item.message for item in findings if item.severity == "stop"),
        cautions=tuple(item.message for item in findings if item.severity == "caution"),
        contact=job.site.contact,
        phone=job.site.phone,
        access=job.site.access,
        notes=job.site.notes,
    )


def from_print(record: PrintRecord) -> Known:
    """A job as its last print remembers it: for days whose job files are not at hand."""
    known = Known(record.job, record.date.isoformat(), "", "", "", "", "", "", "")
    its_print = promised_or_none(record)
    if its_print is None:
        return known
    job = its_print.plan.inputs.job
    return replace(
        known,
        truck=job.truck,
        start=job.start,
        technician=its_print.technician.name,
        site=job.site.name,
        address=job.site.address,
        appliance=job.appliance.description,
        refrigerant=its_print.plan.refrigerant,
        stops=its_print.said("stop"),
        cautions=its_print.said("caution"),
        contact=job.site.contact,
        phone=job.site.phone,
        access=job.site.access,
        notes=job.site.notes,
    )


def settle(
    known: Known, revision: str, prints: int, filed: Standing | None, asof: date, *, off: Off | None = None
) -> Known:
    """`known` with its state, the revision of its current print ('' before the first) and how many there are.

    What was filed counts most; then whether it was called off or not done (`off`), then a stop; a print is 'out' from
    its day on.
    """
    state: State
    if filed is not None:
        state = "corrected" if filed.corrected else "filed"
    elif off is not None:
        state = off
    elif known.stops:
        state = "stopped"
    elif not revision:
        state = "planned"
    else:
        state = "out" if known.date <= asof.isoformat() else "printed"
    return replace(known, state=state, revision=revision, prints=prints)


def remembered(out: Path, job: str) -> Page | None:
    """What the output folder remembers of a page; None when nothing, or it is not one of ours (it is then made anew)."""
    try:
        return _SHAPE.back(data_of(read_whole(memory_file(out, job), MOST_BYTES)))
    except (FileNotFoundError, NotADirectoryError, OwnFileError, ShapeError):
        return None


def memory_file(out: Path, job: str) -> Path:
    """Where a job's page is remembered."""
    return out / MEMORY / f"{job}.json"


def remembered_jobs(out: Path) -> set[str]:
    """The jobs whose pages are remembered."""
    return {path.stem for path in (out / MEMORY).glob("*.json") if not path.name.startswith(".")}


def memory_text(page: Page) -> str:
    """The file's text."""
    return text_of(_SHAPE.out(page))


_SHAPE = Shape(Page)
