"""The interruption card: which valve first when power, machine or air fails; proven like the steps.

A machine that stops leaves hoses full of liquid. The card shuts what would let gas move and leaves each hose open to a
vessel at one end. Common practice, no source; the proof executes the card from every state in which the machine runs.
"""

from packet.hookup.acts import Act, Block, Effect
from packet.hookup.checks import CHECKS, Scene
from packet.hookup.effects.table import apply
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.rules import Rules
from packet.hookup.settle import settle
from packet.hookup.stages.say import word_off
from packet.hookup.state import State, join_up
from packet.words import t

INLET, OUTLET = "machine.suction", "machine.discharge"


def cylinder_of(rig: Rig, block: Block) -> CylinderNeed:
    """The cylinder that a stage's card names: the one that is on while most of it lasts."""
    cylinders = rig.request.cylinders
    usual = cylinders[-1] if block.kind == "end" else cylinders[0]
    return next((item for item in cylinders if item.id == block.cylinder), usual)


def is_push_pull(rig: Rig, block: Block) -> bool:
    """Whether liquid runs by itself in this stage."""
    return block.kind == "push-pull" or (block.kind == "change-over" and rig.request.push_pull)


def card_effects(rig: Rig, block: Block, state: State) -> tuple[Effect, ...]:
    """What the card does to the valves, in its order; the cylinder is the one that is open in `state`."""
    if is_push_pull(rig, block):
        tops = [valve for valve, _ in rig.bench.cylinder_valves if valve.endswith(".vapor")]
        return tuple(
            Effect("ensure", valve, "shut") for valve in ("appliance.liquid", "appliance.vapor", *tops, OUTLET)
        )
    shut = (Effect("ensure", INLET, "shut"), Effect("ensure", OUTLET, "shut"))
    if block.kind == "change-over" and state.mode != "clear":
        return (shut[0], Effect("ensure", rig.sides[-1], "open"), shut[1])
    return shut


def prove_card(rig: Rig, block: Block, state: State, rules: Rules) -> list[str]:
    """What the card would leave wrong if the machine died in this state; empty when nothing."""
    after = state.copy()
    after.mode, after.joined = "off", None
    for effect in card_effects(rig, block, state):
        apply(rig.bench, after, effect, rules)
    settle(rig.bench, after, join_up(rig.bench, after))
    scene = Scene(rig.bench, after, join_up(rig.bench, after), Act(""), rules)
    return [t("after the interruption card: {why}", why=why) for check in CHECKS for why in check(scene)]


def card(rig: Rig, block: Block) -> tuple[str, ...]:
    """The card's lines; people and telephone last."""
    request = rig.request
    lines = _first(rig, block)
    if block.kind not in {"before", "join"}:
        lines.append(
            t(
                "Gas escapes: shut the valve nearest to it on its vessel's side, then out. Open that hose to its vessel soon."
            )
        )
    if request.chiller and block.kind in {"liquid", "vapor", "push-pull", "change-over"}:
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


def _first(rig: Rig, block: Block) -> list[str]:
    request = rig.request
    on = cylinder_of(rig, block)
    off = word_off(request)
    if block.kind == "before":
        return [t("Nothing is joined: leave everything as it stands.")]
    if block.kind == "join":
        lines = [t("First: shut the {valves}.", valves=rig.names(rig.appliance_valves))]
        if request.vacuum_purge:
            lines.append(t("Then: the branch of the tee shut, before the vacuum pump stops."))
        return lines
    if is_push_pull(rig, block):
        liquid, top = (rig.valve(cylinder_port(on.id, valve)) for valve in ("liquid", "vapor"))
        return [
            t("First: {valve} shut. Liquid runs on without the machine.", valve=rig.valve("appliance.liquid")),
            t(
                "Then: {vapor}, {top} and machine discharge shut; switch to “{off}”.",
                vapor=rig.valve("appliance.vapor"),
                top=top,
                off=off,
            ),
            t("Leave the {valve} open: hose A still holds liquid.", valve=liquid),
        ]
    receive = rig.valve(rig.receive(on))
    if block.kind == "change-over":
        return [
            t(
                "First: machine inlet shut. Then: {side} open again, for hose C may hold liquid; machine discharge shut; "
                "switch to “{off}”.",
                side=rig.valve(rig.sides[-1]),
                off=off,
            ),
            t("Leave the cylinder that has hose D on it open to it until the machine is cleared."),
        ]
    if block.kind == "end":
        return [
            t("First: machine inlet and machine discharge shut; switch to “{off}”.", off=off),
            t("Leave the {valve} open until the machine has been cleared: hose D holds liquid.", valve=receive),
        ]
    return [
        t("First: machine inlet shut. Then: machine discharge shut, switch to “{off}”.", off=off),
        t("Leave the {valve} and the appliance's valves open: hoses full of liquid need a way out.", valve=receive),
    ]
