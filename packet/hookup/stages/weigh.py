"""What is done to a cylinder and its valves around joining: weighed, confirmed shut, read back."""

from collections.abc import Iterator

from packet.figures import show_pressure
from packet.hookup.acts import Act, Effect, did
from packet.hookup.parts import cylinder_part
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.stages.say import ask, hold, target, weight
from packet.words import t


def weigh_before(rig: Rig, cylinder: CylinderNeed) -> Act:
    """The bare gross weight against tare and ledger: a wrong heel or a wrong gas shows here."""
    request = rig.request
    return Act(
        t(
            "Weigh {cylinder} bare: expect {expected}. Off by more than {tolerance}: stop, wrong heel or wrong gas.",
            cylinder=cylinder.id,
            expected=weight(request, cylinder.expected_bare_gross_lb),
            tolerance=weight(request, 2 * request.scale_step_lb),
        ),
        (Effect("weigh-before", cylinder.id, amount=cylinder.expected_bare_gross_lb),),
        "read",
        blanks=(ask(request, f"cylinders.{cylinder.id}.bare_before_gross", t("Bare, before joining"), "weight"),),
        cautions=(t("Leave it on the scale, upright; do not zero."),),
    )


def weigh_after(rig: Rig, cylinder: CylinderNeed) -> Act:
    """Weight checked after disconnecting: 49 CFR 173.304a(c)."""
    request = rig.request
    return Act(
        t(
            "Weigh {cylinder} bare again: never above {limit}.",
            cylinder=cylinder.id,
            limit=weight(request, cylinder.limit_gross_lb),
        ),
        (Effect("weigh-after", cylinder.id),),
        "read",
        blanks=(ask(request, f"cylinders.{cylinder.id}.bare_after_gross", t("Bare, after disjoining"), "weight"),),
        cautions=(t("Above it: cool the cylinder and move the excess into another one at once; never drive it."),),
    )


def confirm_shut(rig: Rig) -> Act:
    """Every valve of the job is looked at once; some are used by no step and stay as they are."""
    unused = [valve for valve in rig.bench.valves if valve in _unused(rig)]
    words = t("Confirm that every valve is shut: appliance, manifold, machine, cylinders, hose shut-offs.")
    caution = (t("These stay shut to the end: {valves}.", valves=rig.names(tuple(unused))),) if unused else ()
    return Act(
        words,
        (*(Effect("confirm", valve) for valve in rig.bench.valves), *did("confirm-shut")),
        "check",
        cautions=caution,
    )


def _unused(rig: Rig) -> set[str]:
    used_sides = set(rig.sides)
    unused = {side for side in ("manifold.low", "manifold.high") if side not in used_sides}
    if "manifold.vacuum" in rig.bench.ports:
        unused.add("manifold.vacuum")
    unused |= {port for port in rig.bench.ports if port.startswith("receiver.")}
    if not rig.request.push_pull:
        used = {rig.receive(cylinder) for cylinder in rig.request.cylinders}
        unused |= {
            port.id
            for cylinder in rig.request.cylinders
            for port in rig.bench.parts[cylinder_part(cylinder.id)].ports
            if port.id not in used
        }
    return unused


def left_hand(rig: Rig) -> tuple[str, ...]:
    """Cylinders for flammable gas have left-hand threads (CGA V-1, from memory)."""
    if not rig.request.flammable:
        return ()
    return (t("Left-hand thread: it tightens counterclockwise. Never force a right-hand fitting on."),)


def float_switch(cylinder: CylinderNeed) -> Iterator[Act]:
    """The cable from the cylinder's float to the machine."""
    if not cylinder.float_switch:
        return
    yield Act(
        t("Plug in the float-switch cable: {cylinder} to machine.", cylinder=cylinder.id),
        did("float-switch", f"float-switch:{cylinder.id}"),
        cautions=(
            t("A second line of defense, never a replacement for the scale; in push-pull it does not stop the liquid."),
        ),
    )


def read_back(rig: Rig, cylinder: CylinderNeed) -> Act:
    """The hold before the cylinder is opened: stop weight, change weight, target, pressure, read aloud."""
    request = rig.request
    lines = []
    if cylinder.change_at_gross_lb is not None:
        lines.append(t("Change cylinders at {weight}.", weight=weight(request, cylinder.change_at_gross_lb)))
    if not request.raise_to_atmosphere:
        lines.append(t("Draw to {target}.", target=target(request)))
    if cylinder.stop_and_cool_psig is not None:
        lines.append(
            t("Stop and cool at {pressure}.", pressure=show_pressure(cylinder.stop_and_cool_psig, request.units))
        )
    return hold(
        f"target:{cylinder.id}",
        t(
            "Hold. Read back aloud: {cylinder} stops at {stop}.",
            cylinder=cylinder.id,
            stop=weight(request, cylinder.stop_gross_lb),
        ),
        *lines,
    )
