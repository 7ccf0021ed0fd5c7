"""The swap of a full cylinder: one sequence, the same words for each, done when the scale says so, in either stage."""

from collections.abc import Iterator
from typing import Literal

from packet.hookup.acts import (
    Act,
    Effect,
    Line,
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
)
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.stages.connect import left_hand
from packet.hookup.stages.cylinders import above_the_limit
from packet.hookup.stages.evacuate import look_at_vacuum
from packet.hookup.stages.push_pull import close_and_clear, open_for_push_pull, run_push_pull, stop_liquid
from packet.hookup.stages.say import clearing, closing, tolerance, word_liquid, word_vapor
from packet.words import t

During = Literal["liquid", "vapor"]


def swap(rig: Rig, index: int, during: During) -> tuple[Line, ...]:
    """From cylinder `index` to the next. The words depend neither on which nor on `during`; what is set again does."""
    request = rig.request
    old, new = request.cylinders[index], request.cylinders[index + 1]
    at = old.change_at_gross_lb or old.stop_gross_lb
    receive, off = rig.receive(old), rig.shut_offs("D")[-1:]
    at_tee = "tee-cylinder" in rig.bench.parts
    leaves = "tee-cylinder.out" if at_tee else "D2"
    lines = [
        line(
            act(
                t("At the swap weight: close the machine inlet."),
                Effect("fill", old.id, amount=at),
                closes("machine.suction"),
            ),
            *clearing(rig, t("the full cylinder")),
            kind="wait",
        ),
        line(
            *drain(any(rig.receive(item).endswith(".liquid") for item in request.cylinders), t("the full cylinder")),
            act(
                t("Close its valve, the discharge, shut-off D at the cylinder."),
                closes(receive, "machine.discharge", *off),
            ),
            act(t("Hose D off, slowly: a stream is an open valve, tighten."), disconnects(leaves)),
        ),
        weigh_off(old),
        *weigh_on(rig, new, act(t("Hose D to its valve."), connects((leaves, rig.receive(new))))),
    ]
    if request.vacuum_purge:
        lines += pump_the_tees(rig, new, ("tee-cylinder.branch",))
    else:
        lines.append(
            line(
                act(t("Crack shut-off D at the cylinder."), cracks(off[0])),
                act(t("Loosen hose D at the cylinder 1 second, tighten."), Effect("purge", "D2")),
                act(t("Close it."), closes(off[0])),
            )
        )
    lines += [
        line(
            act(t("Open shut-off D at the cylinder."), opens(*off), names=("charging",)),
            act(
                t("Open the next cylinder's valve slowly to full, then the discharge."),
                opens(rig.receive(new), "machine.discharge"),
            ),
        ),
        start_hold(new, t("Its stop weight aloud. Hand on each: its valve, discharge open; inlet closed.")),
        _restart(rig, during),
    ]
    return tuple(lines)


def drain(liquid_valve: bool, into: str) -> tuple[Act, ...]:
    """A dip tube leaves hose D full of liquid: it is drained into its vessel before it is closed at both ends."""
    if not liquid_valve:
        return ()
    return (act(t("Hold hose D up, warm it: it drains into {into}.", into=into), Effect("drained")),)


def start_hold(new: CylinderNeed, words: str) -> Line:
    """The hold of a swap."""
    return hold(f"start:{new.id}", act(words))


def weigh_off(old: CylinderNeed) -> Line:
    """The full one weighed with hoses off, leak-checked and put away before the next is filled."""
    return line(
        act(t("Weigh the full cylinder, hoses off; write it."), Effect("weigh-after", old.id)),
        act(
            t("Leak-check, cap and tag it; upright, tied."),
            did(f"put-away:{old.id}"),
            uses=("leak-solution", "tags"),
        ),
        kind="read",
        cautions=(above_the_limit(),),
    )


def weigh_on(rig: Rig, new: CylinderNeed, connect: Act) -> Iterator[Line]:
    """The next one weighed before its hose is on."""
    floats = any(cylinder.float_switch for cylinder in rig.request.cylinders)
    cable = (
        act(
            t("Its float-switch cable, where it has one."),
            did("float-switch", f"float-switch:{new.id}") if new.float_switch else (),
            uses=("float-cable",),
        )
        if floats
        else None
    )
    yield line(
        act(
            t("Weigh the next cylinder, hoses off; write it."),
            Effect("weigh-before", new.id, amount=new.expected_bare_gross_lb),
        ),
        connect,
        cable,
        kind="read",
        cautions=(
            t(
                "Off its expected weight by more than {tolerance}: do not connect it; call the office.",
                tolerance=tolerance(rig.request),
            ),
            *left_hand(rig),
        ),
    )


def pump_the_tees(rig: Rig, new: CylinderNeed, branches: tuple[str, ...]) -> Iterator[Line]:
    """What was opened at the swap is pumped; an empty cylinder's vacuum is looked at."""
    any_empty = any(cylinder.empty for cylinder in rig.request.cylinders[1:])
    where = (
        t("the header to both tees") if len(branches) > 1 else t("the {tee}", tee=rig.bench.part_of(branches[0]).name)
    )
    on = (
        connects(("micron.out", "header.in"), ("header.one", branches[0]), ("header.two", branches[-1]))
        if len(branches) > 1
        else connects(("micron.out", branches[0]))
    )
    looked = None
    if any_empty:
        effects = tuple(effect for item in look_at_vacuum(rig, (new,)) for effect in item.effects) if new.empty else ()
        looked = act(t("Empty cylinder: its valve open a moment, back to vacuum? Close it."), effects)
    off = (
        (*disconnects("header.one", "header.two"), *disconnects("micron.out"))
        if len(branches) > 1
        else disconnects("micron.out")
    )
    yield line(
        act(t("Hose P on {where}.", where=where), on),
        act(t("Pump on, open, to 1,000 micron."), Effect("pump", to="on"), opens(*branches), Effect("evacuated")),
        looked,
        act(t("Branch closed, pump off, hose P off, cap."), closes(*branches), Effect("pump", to="off"), off),
        kind="wait",
        cautions=(t("The pump's exhaust goes outdoors, away from any flame."),) if rig.request.burns else (),
    )


def _one_tee_after_the_other(rig: Rig, new: CylinderNeed) -> Iterator[Line]:
    """Without a header each tee is pumped by itself."""
    first, second = "tee-top.branch", "tee-cylinder.branch"
    pulled = next(iter(pump_the_tees(rig, new, (first,))))
    yield line(
        *pulled.acts[:-1],
        act(t("Close, pump off."), closes(first), Effect("pump", to="off"), disconnects("micron.out")),
        act(
            t("The same on the tee at the glass; hose P off, cap both."),
            connects(("micron.out", second)),
            Effect("pump", to="on"),
            opens(second),
            Effect("evacuated"),
            closes(second),
            Effect("pump", to="off"),
            disconnects("micron.out"),
        ),
        kind="wait",
        cautions=pulled.cautions,
    )


def _restart(rig: Rig, during: During) -> Line:
    request = rig.request
    liquid, vapor = word_liquid(request), word_vapor(request)
    varies = "liquid" in request.stages or not rig.has_vapor
    words = (
        t("Inlet closed: machine to “{liquid}” or “{vapor}”, start it.", liquid=liquid, vapor=vapor)
        if varies and liquid != vapor
        else t("Inlet closed: set the machine to “{word}” and start it.", word=vapor)
    )
    inlet = (
        t("Inlet throttled for liquid, slowly to full for vapor. Back to the line you came from.")
        if varies
        else t("Open the inlet slowly to full. Back to the line you came from.")
    )
    return line(
        act(words, mode(during)),
        act(inlet, cracks("machine.suction") if during == "liquid" else opens("machine.suction")),
        running=True,
    )


def swap_push_pull(rig: Rig, index: int) -> tuple[Line, ...]:
    """Push-pull's swap: liquid closed first, the machine clears into the appliance, hoses A and C change cylinders."""
    request = rig.request
    old, new = request.cylinders[index], request.cylinders[index + 1]
    at = old.change_at_gross_lb or old.stop_gross_lb
    offs = rig.shut_offs("A", "C")
    liquid, top = cylinder_port(new.id, "liquid"), cylinder_port(new.id, "vapor")
    lines = [
        stop_liquid(rig, (Effect("fill", old.id, amount=at),)),
        close_and_clear(rig, old, t("the full cylinder")),
        line(
            closing(rig, "vapor"),
            act(
                t("Close the discharge, shut-offs A and C at the cylinder."),
                closes("machine.discharge", *offs),
            ),
            act(
                t("Hoses A and C off it, slowly, with glass and tees."),
                disconnects("tee-cylinder.out", "tee-top.in"),
            ),
        ),
        weigh_off(old),
        *weigh_on(
            rig,
            new,
            act(
                t("Hoses A and C, with glass and tees, onto it."),
                connects(("tee-cylinder.out", liquid), ("tee-top.in", top)),
            ),
        ),
    ]
    if rig.kit.header is not None:
        lines += pump_the_tees(rig, new, ("tee-top.branch", "tee-cylinder.branch"))
    else:
        lines += _one_tee_after_the_other(rig, new)
    lines += [
        open_for_push_pull(rig, new, t("the next cylinder"), offs=True),
        start_hold(
            new,
            t(
                "Its stop weight aloud. Hand on each: both its valves, discharge open; appliance liquid side, inlet closed."
            ),
        ),
    ]
    run = list(run_push_pull(rig, first=False))
    merged = line(
        *(item for piece in run for item in piece.acts),
        cautions=tuple(c for piece in run for c in piece.cautions),
        running=True,
    )
    return (*lines, merged)
