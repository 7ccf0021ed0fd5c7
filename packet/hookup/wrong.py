"""When it goes wrong: lines that fit a stage. Common practice, no source."""

from packet.figures import show_pressure
from packet.hookup.acts import Block
from packet.hookup.model import IfWrong
from packet.hookup.rig import Rig
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
