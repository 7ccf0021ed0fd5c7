"""Push-pull: the machine draws vapor off the cylinder and pushes it into the appliance, liquid runs to the cylinder.

Stopping the machine does not stop the liquid, nor does a float switch: the appliance's liquid valve is shut first.
"""

from collections.abc import Iterator
from dataclasses import replace

from packet.hookup.acts import Act, Effect, Named, cracks, did, mode, opens, parts_at, shuts
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.stages.join_push_pull import join_push_pull_cylinder
from packet.hookup.stages.purge import pump_out
from packet.hookup.stages.say import ask, hold, stop_and_cool, weight, word_clear, word_off, word_vapor
from packet.hookup.stages.weigh import float_switch, read_back, weigh_after, weigh_before
from packet.words import t

EQUALIZE: frozenset[Named] = frozenset({"equalize"})
PURGING: frozenset[Named] = frozenset({"purging"})
CHARGING: frozenset[Named] = frozenset({"charging"})
INTO_APPLIANCE: frozenset[Named] = frozenset({"into-appliance"})


def push_pull(rig: Rig) -> tuple[Act, ...]:
    """The first cylinder: start, run, stop."""
    cylinder = rig.request.cylinders[0]
    last = len(rig.request.cylinders) == 1
    return (
        *_start(rig, cylinder),
        hold(
            "push-pull-runs",
            t("Hold. One person stays at the scale from here on, one at the appliance's liquid valve."),
            *stop_and_cool(rig.request, cylinder),
        ),
        *_run_and_stop(rig, cylinder, last=last),
    )


def change_push_pull(rig: Rig, index: int) -> tuple[Act, ...]:
    """Cylinder `index` comes off full, the next goes on; then start, run, stop again."""
    request = rig.request
    old, new = request.cylinders[index], request.cylinders[index + 1]
    offs = rig.shut_offs("A", "C")
    ports = (
        "tee-cylinder.out" if request.vacuum_purge else "glass.out",
        "tee-top.in" if request.vacuum_purge else "C1",
    )
    swap: list[Act] = [
        Act(t("Shut the hose shut-offs: {ends}.", ends=rig.ends("A", "C")), shuts(*offs)),
        Act(
            t("Take hoses A and C off {cylinder}; the sight glass stays on hose A. Loosen slowly.", cylinder=old.id),
            parts_at(ports),
        ),
        weigh_after(rig, old),
        leak_check_and_cap(old),
        weigh_before(rig, new),
        *join_push_pull_cylinder(rig, new, first=False),
        *float_switch(new),
        hold(f"swapped:{new.id}", t("Hold. {cylinder} is on the scale, hoses A and C tight.", cylinder=new.id)),
    ]
    if request.vacuum_purge:
        swap += [
            *pump_out(rig, "cylinder", t("the sight glass")),
            hold(f"pumped:{new.id}", t("Hold. Hose P is capped, the branch is shut.")),
            *pump_out(rig, "top", t("the tee")),
        ]
    swap += [
        Act(t("Open the hose shut-offs: {ends}.", ends=rig.ends("A", "C")), opens(*offs), names=CHARGING),
        read_back(rig, new),
        *_start(rig, new),
        hold(f"runs:{new.id}", t("Hold. One person stays at the scale."), *stop_and_cool(request, new)),
        *_run_and_stop(rig, new, last=index + 2 == len(request.cylinders)),
    ]
    return tuple(swap)


def leak_check_and_cap(cylinder: CylinderNeed) -> Act:
    """A cylinder that is full is put away before the next is filled."""
    return Act(
        t("Leak-check the valves of {cylinder}, cap them, tag it, stand it upright and tied.", cylinder=cylinder.id),
        did(f"put-away:{cylinder.id}"),
    )


def _start(rig: Rig, cylinder: CylinderNeed) -> Iterator[Act]:
    liquid, top = cylinder_port(cylinder.id, "liquid"), cylinder_port(cylinder.id, "vapor")
    if rig.request.vacuum_purge:
        yield Act(t("Open the {valve}.", valve=rig.valve(liquid)), opens(liquid))
        yield Act(
            t(
                "Crack the {valve} until the flow slows: the machine needs vapor to draw.",
                valve=rig.valve("appliance.liquid"),
            ),
            cracks("appliance.liquid"),
            names=EQUALIZE,
        )
    else:
        yield Act(t("Crack the {valve}.", valve=rig.valve("appliance.liquid")), cracks("appliance.liquid"))
        yield Act(
            t(
                "Loosen {where} until gas has pushed the air out (2 s), tighten.",
                where=t("hose A's end at the cylinder"),
            ),
            (Effect("purge", "glass.out"),),
            cautions=(t("Liquid may spit: face shield, gloves."),),
        )
        yield Act(
            t(
                "Open the {valve} and wait until the flow slows: the machine needs vapor to draw.",
                valve=rig.valve(liquid),
            ),
            opens(liquid),
            names=EQUALIZE,
        )
        yield Act(t("Crack the {valve}.", valve=rig.valve(top)), cracks(top), names=EQUALIZE | PURGING)
        yield Act(
            t(
                "Loosen {where} until gas has pushed the air out (2 s), tighten.",
                where=t("hose C's end at the machine"),
            ),
            (Effect("purge", "drier.out" if "drier" in rig.bench.parts else "C2"),),
            names=EQUALIZE,
        )
    yield Act(
        t(
            "Open the {valve}, then the {other}.",
            valve=rig.valve("appliance.vapor"),
            other=rig.valve("machine.discharge"),
        ),
        opens("appliance.vapor", "machine.discharge"),
        names=EQUALIZE,
    )
    yield Act(t("Open the {valve} fully.", valve=rig.valve(top)), opens(top), names=EQUALIZE)
    yield replace(
        hold(
            f"start:{cylinder.id}",
            t(
                "Hold. Hand on each: {liquid}, {top}, machine discharge and {appliance} open; machine inlet shut.",
                liquid=rig.valve(liquid),
                top=rig.valve(top),
                appliance=rig.valve("appliance.vapor"),
            ),
        ),
        names=EQUALIZE,
    )
    yield Act(
        t(
            "See that the machine inlet is shut, then set the machine to “{word}” and start it.",
            word=word_vapor(rig.request),
        ),
        mode("push-pull"),
        blanks=(ask(rig.request, "times.start", t("Machine started"), "time"),)
        if cylinder.id == rig.request.cylinders[0].id
        else (),
    )
    yield Act(
        t("Open the machine inlet slowly, to full, then the {valve} fully.", valve=rig.valve("appliance.liquid")),
        opens("machine.suction", "appliance.liquid"),
        running=True,
    )


def _run_and_stop(rig: Rig, cylinder: CylinderNeed, *, last: bool) -> Iterator[Act]:
    request = rig.request
    liquid, top = cylinder_port(cylinder.id, "liquid"), cylinder_port(cylinder.id, "vapor")
    yield Act(
        t("Every 5 minutes write time, weight and pressure on the Log sheet."),
        did(f"log:push-pull:{cylinder.id}"),
        "read",
    )
    if last:
        yield Act(
            t(
                "Watch scale and glass: stop at {stop}, at a clear glass, or when the scale stands still for a minute.",
                stop=weight(request, cylinder.stop_gross_lb),
            ),
            (Effect("fill", cylinder.id, amount=cylinder.planned_gross_lb), Effect("dry")),
            "wait",
            cautions=(t("Stopping the machine does not stop the liquid. Nor does a float switch."),),
        )
    else:
        at = cylinder.change_at_gross_lb or cylinder.stop_gross_lb
        yield Act(
            t("Watch the scale: change cylinders at {change}.", change=weight(request, at)),
            (Effect("fill", cylinder.id, amount=at),),
            "wait",
            cautions=(t("Stopping the machine does not stop the liquid. Nor does a float switch."),),
        )
    yield Act(
        t("Shut the {valve} first.", valve=rig.valve("appliance.liquid")),
        shuts("appliance.liquid"),
        names=INTO_APPLIANCE,
    )
    yield Act(
        t("Let hose A drain into the cylinder: at most 1 minute."), (Effect("drained"),), "wait", names=INTO_APPLIANCE
    )
    yield Act(t("Set the machine to “{word}”.", word=word_off(request)), mode("off"), names=EQUALIZE)
    yield Act(t("Shut the {valve}.", valve=rig.valve(liquid)), shuts(liquid), names=EQUALIZE)
    yield Act(t("Shut the {valve}.", valve=rig.valve(top)), shuts(top))
    yield hold(
        f"stopped:{cylinder.id}",
        t("Hold. {cylinder}: both valves shut. Nothing flows.", cylinder=cylinder.id),
    )
    yield Act(
        t("Set the machine to “{word}”: it empties hose C and itself into the appliance.", word=word_clear(request)),
        mode("clear"),
    )
    yield Act(cleared_words(rig), (Effect("cleared"),), "wait")
    yield Act(t("Shut the machine inlet."), shuts("machine.suction"))
    yield Act(t("Set the machine to “{word}”.", word=word_off(request)), mode("off"))
    yield Act(
        t("Shut the {valve}, then the machine discharge.", valve=rig.valve("appliance.vapor")),
        shuts("appliance.vapor", "machine.discharge"),
    )
    yield hold(
        f"cleared:{cylinder.id}",
        t("Hold. Machine off and cleared, every valve shut.")
        if last
        else t("Hold. Machine off and cleared, every valve shut. Go on to the next cylinder."),
    )


def cleared_words(rig: Rig) -> str:
    """When a machine is cleared: by its maker's reading where the register has it."""
    if rig.request.clear_to:
        return t("Wait until it is cleared: {reading}.", reading=rig.request.clear_to)
    return t("Wait until it is cleared: the reading its maker gives.")
