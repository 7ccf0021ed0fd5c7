"""When it goes wrong: what is seen, and what to do then, once for a packet or for a shop. Common practice, no source."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from packet.figures import show_pressure_limit
from packet.hookup.model import IfWrong
from packet.hookup.request import Request
from packet.hookup.rules import running_stages
from packet.words import N_, t

Phase = Literal["evacuating", "running", "ending"]


@dataclass(frozen=True, slots=True)
class Row:
    """A sign, what to do then, and the jobs on which it can be seen.

    general: the sign where no job is known, as on the shop's card; {pressure} in `sign` is the cylinder's 'stop and cool'.
    """

    phase: Phase
    sign: str
    action: str
    seen_on: Callable[[Request], bool]
    general: str = ""


def _always(_request: Request) -> bool:
    return True


def _vapor(request: Request) -> bool:
    return "vapor" in running_stages(request)


def _cools(request: Request) -> bool:
    return request.cylinders[0].stop_and_cool_psig is not None and _vapor(request)


# in the order of the work
ROWS = (
    Row(
        "evacuating",
        N_("Leak at a joint"),
        N_("Close the nearest valve on the vessel side, then leave. Reopen trapped liquid to the cylinder soon."),
        _always,
    ),
    Row(
        "evacuating",
        N_("1,000 micron is not reached"),
        N_("A joint leaks or a valve is open: close the pump's valve, find it."),
        lambda request: request.vacuum_purge,
    ),
    Row(
        "evacuating",
        N_("Power fails while the pump runs"),
        N_("Close the pump's valve at once."),
        lambda request: request.vacuum_purge,
    ),
    Row(
        "running",
        N_("Low side does not come down"),
        N_("A valve leaks by: stop, recover the whole charge."),
        lambda request: request.into_receiver,
        general=N_("Pumping down: low side does not come down"),
    ),
    Row(
        "evacuating",
        N_("A core will not come out"),
        N_("Leave it in, open the ball slowly: it will go slowly."),
        lambda request: bool(request.core_tool_ports),
    ),
    Row(
        "running",
        N_("Sight glass never fills"),
        N_("No column of liquid: liquid side closed, stop, go to vapor."),
        lambda request: request.push_pull,
        general=N_("Push-pull: sight glass never fills"),
    ),
    Row(
        "running",
        N_("Knocking in push-pull"),
        N_("Liquid at the suction: liquid side closed, machine off, cylinder vapor closed."),
        lambda request: request.push_pull,
    ),
    Row(
        "running",
        N_("Discharge at {pressure}"),
        N_("Inlet closed, let it clear, off; cool the cylinder; is its valve open?"),
        _cools,
        general=N_("Discharge at “Stop and cool” (front)"),
    ),
    Row(
        "running",
        N_("Scale stops climbing too soon"),
        N_("Frozen drier, closed valve, trapped refrigerant: warm the cold spot with water."),
        _always,
    ),
    Row(
        "running",
        N_("It goes slowly"),
        N_("Cool the cylinder with water or shade, warm the system; never a flame."),
        _always,
    ),
    Row(
        "running",
        N_("Frost on hose or drier"),
        N_("Liquid or a blockage: ease the inlet; change the drier only after clearing."),
        _always,
    ),
    Row(
        "running",
        N_("Water stops moving"),
        N_("Inlet closed at once: tubes freeze within minutes."),
        lambda request: request.chiller,
        general=N_("Chiller: water stops moving"),
    ),
    Row(
        "running",
        N_("Vacuum is not reached"),
        N_("Warm the oil; look for a leak, isolate it; leak exception on the Record; never draw air in."),
        _vapor,
    ),
    Row("ending", N_("Machine does not clear"), N_("Its inlet leaks or is open: look, then clear again."), _always),
    Row(
        "ending",
        N_("Cylinder valve bubbles"),
        N_("Snug the stem, cap it; still bubbling: outdoors, call the office."),
        _always,
    ),
    Row(
        "ending",
        N_("Above the table after standing"),
        N_("Non-condensables: mark the tag, tell the office; do not vent."),
        _always,
    ),
)


def wrong(request: Request) -> tuple[IfWrong, ...]:
    """What may go wrong on this job that neither strips nor lines say, in the order of the work; one row each."""
    return tuple(IfWrong(_sign(row, request), t(row.action)) for row in ROWS if row.seen_on(request))


def _sign(row: Row, request: Request) -> str:
    cool = request.cylinders[0].stop_and_cool_psig
    return t(row.sign, pressure=show_pressure_limit(cool, request.units)) if cool is not None else t(row.sign)


def on_any_job(phase: Phase) -> Iterator[IfWrong]:
    """What may go wrong on any job in a phase of the work; what depends on the job is said as 'on the front'."""
    for row in ROWS:
        if row.phase == phase:
            yield IfWrong(t(row.general or row.sign), t(row.action))
