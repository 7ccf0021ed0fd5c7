"""When it goes wrong: lines that fit a stage, and its interruption card. Common practice, no source."""

from packet.figures import show_pressure
from packet.hookup.acts import Block
from packet.hookup.model import IfWrong
from packet.hookup.rig import Rig
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.stages.say import weight
from packet.words import t


def if_wrong(rig: Rig, block: Block) -> tuple[IfWrong, ...]:
    """What may go wrong in this stage, and what to do then."""
    lines = {
        "before": _wrong_before,
        "join": _wrong_join,
        "liquid": _wrong_liquid,
        "vapor": _wrong_vapor,
        "push-pull": _wrong_push_pull,
        "change-over": _wrong_change,
        "end": _wrong_end,
    }[block.kind](rig)
    return tuple(IfWrong(sign, action) for sign, action in lines)


def _wrong_before(rig: Rig) -> list[tuple[str, str]]:
    lines = [
        (t("Pressure and temperature do not agree"), t("Wrong gas or air in it. Do not join; call the office.")),
        (t("A cylinder fails inspection"), t("Mark it out of service, take another from the list, call the office.")),
        (t("The scale is off its check weight"), t("Level it, try again; still off: another scale.")),
    ]
    if rig.request.isolated:
        lines.append(
            (t("The low side does not come down"), t("A valve leaks by: stop, recover the whole charge instead."))
        )
    return lines


def _wrong_join(rig: Rig) -> list[tuple[str, str]]:
    lines = [
        (t("Bare weight is not what is expected"), t("Stop. Wrong heel or wrong gas: do not fill; call the office.")),
        (t("A fitting hisses once tight"), t("Shut the valve behind it, undo, look at the gasket, join again.")),
        (t("Frost or smell at a joint"), t("Shut the appliance's valves first, then look.")),
    ]
    if rig.request.vacuum_purge:
        lines.append(
            (t("1,000 micron is not reached"), t("A joint leaks or a valve is open: shut the branch, find it."))
        )
    return lines


def _running(rig: Rig) -> list[tuple[str, str]]:
    request = rig.request
    cool = request.cylinders[0].stop_and_cool_psig
    lines = []
    if cool is not None:
        lines.append(
            (
                t("Discharge pressure climbs to {pressure}", pressure=show_pressure(cool, request.units)),
                t("Shut the inlet, let it clear, machine off; cool the cylinder; see that its valve is open."),
            )
        )
    lines += [
        (
            t("The machine trips"),
            t("Inlet shut first. Wait, look why; restart with the inlet shut and the discharge open."),
        ),
        (
            t("The scale stops climbing too soon"),
            t("Frozen drier, shut valve, trapped gas: check both, warm the cold spot with water."),
        ),
        (t("It goes slowly"), t("Cool the cylinder with water or shade, warm the system; never a flame.")),
        (t("Frost on hose or drier"), t("Liquid or a blockage: ease the inlet; change the drier only after clearing.")),
        (t("Smell, haze or alarm"), t("The interruption card, then out.")),
    ]
    return lines


def _wrong_liquid(rig: Rig) -> list[tuple[str, str]]:
    return [(t("The machine knocks"), t("Liquid in the compressor: ease the inlet back at once.")), *_running(rig)]


def _wrong_vapor(rig: Rig) -> list[tuple[str, str]]:
    lines = _running(rig)
    if rig.request.chiller:
        lines.append((t("Water stops moving"), t("Inlet shut at once: tubes freeze within minutes.")))
    lines.append(
        (t("The target is not reached"), t("Warm the system, close to the oil; look for a leak; never draw air in."))
    )
    return lines


def _wrong_push_pull(rig: Rig) -> list[tuple[str, str]]:
    return [
        (t("The glass never fills"), t("No column of liquid: shut the appliance liquid valve, stop, go to vapor.")),
        (t("The scale passes its stop"), t("Appliance liquid valve shut now; machine off does not stop the liquid.")),
        (
            t("The machine knocks"),
            t("Liquid at its suction: appliance liquid valve shut, machine off, cylinder vapor shut."),
        ),
        *_running(rig),
    ]


def _wrong_change(rig: Rig) -> list[tuple[str, str]]:
    stops = t(", ").join(
        t("{cylinder} {weight}", cylinder=item.id, weight=weight(rig.request, item.limit_gross_lb))
        for item in rig.request.cylinders
    )
    return [
        (t("A stream at the loosened hose"), t("Tighten. A valve is open: cylinder, discharge or shut-off.")),
        (
            t("A cylinder is above its limit ({stops})", stops=stops),
            t("Cool it, let the excess into the next one at once."),
        ),
        (t("The next one is not as light as expected"), t("Do not join it; call the office for another.")),
    ]


def _wrong_end(_rig: Rig) -> list[tuple[str, str]]:
    return [
        (t("The machine does not clear"), t("Its inlet leaks or is open: look, then clear again.")),
        (
            t("A cylinder valve bubbles"),
            t("Snug the stem, cap it; still bubbling: stand it outdoors, call the office."),
        ),
        (t("Pressure after standing is too high"), t("Air in it: mark the tag, say so to the office; do not vent.")),
    ]


def interruption(rig: Rig, block: Block) -> tuple[str, ...]:
    """The card: on power loss, trip, alarm or smell, which valve first. Always ends with people and phone."""
    request = rig.request
    cylinder = request.cylinders[-1] if block.kind == "end" else request.cylinders[0]
    on = block.cylinder or cylinder.id
    receive = rig.valve(rig.receive(next(item for item in request.cylinders if item.id == on)))
    if block.kind == "before":
        first = [t("Nothing is joined: leave everything as it stands.")]
    elif block.kind == "push-pull" or (block.kind == "change-over" and request.push_pull):
        liquid, top = (rig.valve(cylinder_port(on, valve)) for valve in ("liquid", "vapor"))
        first = [
            t("First: {valve} shut. Liquid runs on without the machine.", valve=rig.valve("appliance.liquid")),
            t(
                "Then: {valve}, {other}, machine off, {third}.",
                valve=liquid,
                other=top,
                third=rig.valve("appliance.vapor"),
            ),
        ]
    elif block.kind in {"liquid", "vapor"}:
        first = [
            t(
                "First: machine inlet shut. Then the appliance's valves: {valves}.",
                valves=rig.names(rig.appliance_valves),
            ),
            t("Then: machine off, {valve}, machine discharge.", valve=receive),
        ]
    elif block.kind == "change-over":
        first = [t("First: machine inlet shut. Then: machine off, the cylinder on the scale, machine discharge.")]
    elif block.kind == "join":
        first = [t("First: the appliance's valves: {valves}.", valves=rig.names(rig.appliance_valves))]
        if request.vacuum_purge:
            first.append(t("Then: the branch of the tee shut, before the vacuum pump stops."))
    else:
        first = [
            t("First: {valve} shut, then machine discharge, machine off.", valve=receive)
            if block.kind == "end"
            else t("First: the appliance's valves.")
        ]
    lines = [*first]
    if block.kind not in {"before", "join"}:
        lines.append(t("A hose full of liquid stays open at one end: to the cylinder, or to the appliance."))
    if request.chiller and block.kind in {"liquid", "vapor"}:
        lines.append(t("Keep the water moving as long as anyone can."))
    if request.indoors or request.flammable or request.toxic:
        lines.append(
            t("Alarm or smell: do not search. Out, door open, no switch touched; back only with a clear detector.")
            if request.flammable
            else t("Alarm or smell: do not search. Out, door open; back only with a clear detector.")
        )
    if request.emergency_phone:
        lines.append(t("Call {phone}. Someone hurt: emergency services first.", phone=request.emergency_phone))
    lines.append(
        t("To go on: find your last initialled hold, set every valve as the table shows it there, restart from it.")
    )
    return tuple(lines)
