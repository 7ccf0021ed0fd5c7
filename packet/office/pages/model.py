"""What a record page knows of a job, and the small file beside each page that remembers it.

`out/records/{job}/record.json` holds what the index needs, so that the index is made without reading every job again.
All of it can be made anew from `jobs/printed` and `jobs/filed`.
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
MEMORY = "record.json"
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


def remembered(folder: Path) -> Known | None:
    """What the file beside a page says; None when there is none or it is not one of ours (it is then made anew)."""
    try:
        return _SHAPE.back(data_of(read_whole(folder / MEMORY, MOST_BYTES)))
    except (FileNotFoundError, NotADirectoryError, OwnFileError, ShapeError):
        return None


def memory_text(known: Known) -> str:
    """The file's text."""
    return text_of(_SHAPE.out(known))


_SHAPE = Shape(Known)
