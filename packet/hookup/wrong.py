"""When it goes wrong: what is seen, and what to do then, once for the whole packet. Common practice, no source."""

from packet.figures import show_pressure
from packet.hookup.model import IfWrong
from packet.hookup.rig import Rig
from packet.hookup.rules import running_stages
from packet.words import t


def wrong(rig: Rig) -> tuple[IfWrong, ...]:
    """What may go wrong on this job that neither strips nor lines say, in the order of the work; one row each."""
    request = rig.request
    stages = running_stages(request)
    lines: list[tuple[str, str]] = [
        (
            t("Leak at a joint"),
            t("Close the nearest valve on the vessel side, then leave. Reopen trapped liquid to the cylinder soon."),
        ),
    ]
    if request.vacuum_purge:
        lines.append(
            (t("1,000 micron is not reached"), t("A joint leaks or a valve is open: close the pump's valve, find it."))
        )
        lines.append((t("Power fails while the pump runs"), t("Close the pump's valve at once.")))
    if request.into_receiver:
        lines.append((t("Low side does not come down"), t("A valve leaks by: stop, recover the whole charge.")))
    if request.core_tool_ports:
        lines.append((t("A core will not come out"), t("Leave it in, open the ball slowly: it will go slowly.")))
    if request.push_pull:
        lines += [
            (t("Sight glass never fills"), t("No column of liquid: liquid side closed, stop, go to vapor.")),
            (
                t("Knocking in push-pull"),
                t("Liquid at the suction: liquid side closed, machine off, cylinder vapor closed."),
            ),
        ]
    cool = request.cylinders[0].stop_and_cool_psig
    if cool is not None and "vapor" in stages:
        lines.append(
            (
                t("Discharge at {pressure}", pressure=show_pressure(cool, request.units)),
                t("Inlet closed, let it clear, off; cool the cylinder; is its valve open?"),
            )
        )
    lines += [
        (
            t("Scale stops climbing too soon"),
            t("Frozen drier, closed valve, trapped refrigerant: warm the cold spot with water."),
        ),
        (t("It goes slowly"), t("Cool the cylinder with water or shade, warm the system; never a flame.")),
        (t("Frost on hose or drier"), t("Liquid or a blockage: ease the inlet; change the drier only after clearing.")),
    ]
    if request.chiller:
        lines.append((t("Water stops moving"), t("Inlet closed at once: tubes freeze within minutes.")))
    if "vapor" in stages:
        lines.append(
            (
                t("Vacuum is not reached"),
                t("Warm the oil; look for a leak, isolate it; leak exception on the Record; never draw air in."),
            )
        )
    lines += [
        (t("Machine does not clear"), t("Its inlet leaks or is open: look, then clear again.")),
        (t("Cylinder valve bubbles"), t("Snug the stem, cap it; still bubbling: outdoors, call the office.")),
        (t("Above the table after standing"), t("Non-condensables: mark the tag, tell the office; do not vent.")),
    ]
    return tuple(IfWrong(sign, action) for sign, action in lines)
