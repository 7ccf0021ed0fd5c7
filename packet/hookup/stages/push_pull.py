"""Push-pull: the machine draws vapor off the cylinder and pushes it into the appliance, liquid runs to the cylinder.

Stopping the machine does not stop the liquid, nor does a float switch: the appliance's liquid side is closed first.
"""

from collections.abc import Iterator

from packet.hookup.acts import (
    Act,
    Effect,
    Line,
    Named,
    act,
    closes,
    connects,
    cracks,
    did,
    disconnects,
    hold,
    line,
    mode,
    opens,
    reads,
)
from packet.hookup.effects import gauges
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.stages.connect import hose_d, left_hand, utility_joints
from packet.hookup.stages.evacuate import pull
from packet.hookup.stages.recover import log
from packet.hookup.stages.say import (
    appliance_side,
    ask,
    clearing,
    closing,
    opening,
    shell_caution,
    weight,
    word_off,
    word_vapor,
)
from packet.words import t

EQUALIZE: tuple[Named, ...] = ("equalize",)
INTO_APPLIANCE: tuple[Named, ...] = ("into-appliance",)


def start_push_pull(rig: Rig) -> Iterator[Line]:
    """The first cylinder: valves open, the stop weight aloud, equalize, machine on."""
    cylinder = rig.request.cylinders[0]
    yield open_for_push_pull(rig, cylinder, cylinder.id, offs=False)
    yield hold(
        f"start:{cylinder.id}",
        act(
            t(
                "Aloud “{cylinder} stops at {stop}”. Hand on each: cylinder vapor and liquid, {vapor}, discharge open; {liquid}, inlet closed.",
                cylinder=cylinder.id,
                stop=weight(rig.request, cylinder.stop_gross_lb),
                vapor=rig.valve(rig.isolator("vapor")),
                liquid=rig.valve(rig.isolator("liquid")),
            )
        ),
    )
    yield from run_push_pull(rig, first=True)


def open_for_push_pull(rig: Rig, cylinder: CylinderNeed, name: str, *, offs: bool) -> Line:
    """Both valves of the cylinder and the discharge; with `offs` also the shut-offs and port that a swap closed."""
    liquid, top = cylinder_port(cylinder.id, "liquid"), cylinder_port(cylinder.id, "vapor")
    acts: list[Act] = []
    if offs:
        ends = rig.shut_offs("A", "C")
        acts.append(act(t("Open shut-offs A and C."), opens(*ends), names=("charging",)))
    acts.append(
        act(
            t("Open both valves of {name} slowly, out of the line of its relief device.", name=name),
            opens(top, liquid),
            names=("charging",),
        )
    )
    if offs:
        acts.append(opening(rig, "vapor"))
    acts.append(act(t("Open the discharge."), opens("machine.discharge")))
    return line(*acts)


def run_push_pull(rig: Rig, *, first: bool) -> Iterator[Line]:
    """Equalize, machine on, liquid to full."""
    request = rig.request
    valve = rig.isolator("liquid")
    yield line(
        act(
            t("Crack the {valve} until the flow slows.", valve=rig.valve(valve)),
            cracks(valve),
            names=EQUALIZE,
        ),
        kind="wait",
    )
    words = t("Inlet closed: machine to “{word}”, start.", word=word_vapor(request))
    yield line(
        act(words, mode("push-pull")),
        act(t("Inlet slowly to full."), opens("machine.suction")),
        act(t("{valve} to full.", valve=_capital(rig.valve(valve))), opens(valve)),
        blanks=(ask(request, "times.start", t("Machine started"), "time"),) if first else (),
        cautions=(*appliance_side(request), *shell_caution(request)),
        running=True,
    )


def _capital(words: str) -> str:
    """Words that begin a sentence."""
    return words[:1].upper() + words[1:]


def watch_push_pull(rig: Rig) -> Iterator[Line]:
    """People at their places, the log, the swaps, the stop of the last cylinder."""
    request = rig.request
    last = request.cylinders[-1]
    yield _places(rig)
    yield log(rig, "push-pull")
    if len(request.cylinders) > 1:
        yield line(
            act(
                t("At the swap weight of each cylinder do the Swap sheet, then come back here."),
                did("watch:push-pull"),
            ),
            kind="wait",
            calls=True,
        )
    yield line(
        act(
            t(
                "Stop at {stop}, at a clear sight glass, or when the scale stands still for a minute.",
                stop=weight(request, last.stop_gross_lb),
            )
            if len(request.cylinders) == 1
            else t(
                "Stop {cylinder} at {stop}, at a clear sight glass, or when the scale stands still for a minute.",
                cylinder=last.id,
                stop=weight(request, last.stop_gross_lb),
            ),
            Effect("fill", last.id, amount=last.planned_gross_lb),
            reads(gauges.GLASS, rig.bench.ports[cylinder_port(last.id, "liquid")].space),
            Effect("dry"),
        ),
        kind="wait",
        cautions=(t("Stopping the machine does not stop the liquid, nor does a float switch."),),
    )
    yield from _stop(rig, last)


def _places(rig: Rig) -> Line:
    request = rig.request
    valve = rig.valve(rig.isolator("liquid"))
    if request.second_needed:
        words = (
            t(
                "{name} stays at the {valve}, you at the scale, from here on.",
                name=_capital(request.second),
                valve=valve,
            )
            if request.second
            else t("The second person stays at the {valve}, you at the scale, from here on.", valve=valve)
        )
        return line(act(words, Effect("person", "second"), did("places")))
    return line(act(t("Stay where you see the scale and reach the {valve}, from here on.", valve=valve), did("places")))


def _stop(rig: Rig, cylinder: CylinderNeed) -> Iterator[Line]:
    request = rig.request
    yield stop_liquid(rig)
    yield close_and_clear(rig, cylinder, cylinder.id)
    vapor = closing(rig, "vapor") if not request.raise_to_atmosphere else None
    yield line(vapor, act(t("Close the machine discharge."), closes("machine.discharge")))
    yield hold(
        "stopped",
        act(
            t(
                "Push-pull stopped. {cylinder} closed at both valves, machine off and cleared.",
                cylinder=cylinder.id,
            )
        ),
    )


def stop_liquid(rig: Rig, filled: tuple[Effect, ...] = ()) -> Line:
    """What can kill stands alone: the appliance's liquid side first, then the machine."""
    valve = rig.isolator("liquid")
    begin = act(t("At the swap weight:"), filled) if filled else None
    return line(
        begin,
        act(t("Close the {valve} FIRST.", valve=rig.valve(valve)), closes(valve), names=INTO_APPLIANCE),
        act(t("Hose A drains into the cylinder, at most 1 minute."), Effect("drained"), names=INTO_APPLIANCE),
        act(t("Machine “{word}”.", word=word_off(rig.request)), mode("off"), names=EQUALIZE),
    )


def close_and_clear(rig: Rig, cylinder: CylinderNeed, name: str) -> Line:
    """Both valves of the cylinder closed; the machine empties hose C and itself into the appliance."""
    liquid, top = cylinder_port(cylinder.id, "liquid"), cylinder_port(cylinder.id, "vapor")
    clear, reading, off = clearing(rig, t("the appliance"))
    return line(
        act(t("Close liquid, then vapor valve of {name}.", name=name), closes(liquid, top), names=EQUALIZE),
        clear,
        reading,
        act(t("Inlet closed."), closes("machine.suction")),
        off,
        kind="wait",
    )


def reconnect(rig: Rig) -> Iterator[Line]:
    """From push-pull to vapor: one end of A, B and C moves to the manifold, D goes from machine to cylinder."""
    request = rig.request
    cylinder = request.cylinders[-1]
    liquid, top = cylinder_port(cylinder.id, "liquid"), cylinder_port(cylinder.id, "vapor")
    moving = rig.shut_offs("A", "B", "C")
    fewer = (
        (t("Fewer cylinders were needed? Then go on with the one on the scale, up to its own stop weight."),)
        if len(request.cylinders) > 1
        else ()
    )
    yield line(
        act(t("Close the shut-offs of hoses A, B and C at the ends that move."), closes(*moving)), cautions=fewer
    )
    yield line(
        act(
            t("Hose A from the sight glass to manifold high."),
            disconnects("A2"),
            connects(("A2", "manifold.high")),
        ),
        act(
            t("Hose B from the discharge to manifold low."),
            disconnects(rig.takes_off("B")),
            connects((rig.takes_off("B"), "manifold.low")),
        ),
        cautions=(t("Loosen slowly: a puff is normal, more is an open valve. Tighten and look."),),
    )
    tee = t(", tee") if "tee-manifold" in rig.bench.parts else ""
    yield line(
        act(
            t("Hose C from the tee to the manifold utility port{tee}.", tee=tee), disconnects("C1"), utility_joints(rig)
        ),
        act(
            t("Sight glass and tees off {cylinder}.", cylinder=cylinder.id),
            disconnects("glass.out", "tee-cylinder.out", "tee-top.in"),
        ),
    )
    del liquid, top
    yield line(*hose_d(rig, cylinder), cautions=left_hand(rig))
    yield line(
        act(
            t("Hose P with its gauge on the manifold vacuum port.")
            if rig.pump_port == "manifold.vacuum"
            else t("Hose P with its gauge on the branch of the tee at the manifold."),
            connects(("micron.out", rig.pump_port)),
        )
    )


def evacuate_again(rig: Rig) -> Iterator[Line]:
    """Hoses A and B kept their vapor behind their shut-offs and are not pumped."""
    between = (*rig.sides, *rig.utility_valves, "machine.suction", "machine.discharge")
    yield line(
        act(
            t(
                "Hoses A and B, appliance and cylinder stay closed; open everything between: shut-offs C and D, {valves}.",
                valves=rig.names(between),
            ),
            opens(*rig.shut_offs("C", "D"), *between),
        ),
    )
    yield pull(rig, rig.pump_port, None)
    after = (*rig.sides, "machine.suction", "machine.discharge")
    yield line(act(t("Close the {valves}.", valves=rig.names(after)), closes(*after)))
    yield line(
        act(
            t("Open shut-offs {ends}.", ends=rig.ends("A", "B")),
            opens(*rig.shut_offs("A", "B")),
            names=("charging",),
        ),
        opening(rig, "vapor"),
    )


def second_start(rig: Rig) -> Iterator[Line]:
    """The second hookup is read back, the stop weight said, and the machine started on vapor."""
    request = rig.request
    cylinder = request.cylinders[-1]
    receive = rig.receive(cylinder)
    yield line(
        act(t("Open the {valve} slowly, then fully.", valve=rig.valve(receive)), opens(receive)),
        act(t("Open the discharge."), opens("machine.discharge")),
    )
    yield hold(
        f"start:{cylinder.id}",
        act(
            t(
                "Second hookup read back, both ends. Aloud “{cylinder} stops at {stop}”. Hand on each: {valve}, discharge open; inlet closed.",
                cylinder=cylinder.id,
                stop=weight(request, cylinder.stop_gross_lb),
                valve=rig.valve(receive),
            )
        ),
    )
