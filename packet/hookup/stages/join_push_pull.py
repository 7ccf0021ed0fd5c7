"""Joining for push-pull, cylinder by cylinder, and re-hosing for vapor afterwards."""

from collections.abc import Iterator

from packet.hookup.acts import Act, Effect, cracks, joins, opens, parts_at, shuts
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.stages.join import drier, join_discharge, pump_on_hose
from packet.hookup.stages.purge import by_vacuum, by_vapor, pump_out
from packet.hookup.stages.say import hold, in_groups, weight
from packet.hookup.stages.weigh import confirm_shut, float_switch, left_hand, read_back, weigh_before
from packet.words import t


def join_for_push_pull(rig: Rig) -> tuple[Act, ...]:
    """Hoses for push-pull onto the first cylinder: C from its vapor valve, B to the appliance, A to its liquid valve."""
    cylinder = rig.request.cylinders[0]
    acts = [
        weigh_before(rig, cylinder),
        confirm_shut(rig),
        *drier(rig),
        *join_push_pull_cylinder(rig, cylinder, first=True),
        _join_b_push_pull(rig),
        *float_switch(cylinder),
        hold("joined", t("Hold. Read every hose back by its letter, both ends, against the drawing.")),
        pump_on_hose(rig),
        Act(t("Open the hose shut-offs: {ends}.", ends=rig.ends("A", "B", "C")), opens(*rig.shut_offs("A", "B", "C"))),
        *(_push_pull_by_vacuum(rig) if rig.request.vacuum_purge else _push_pull_by_vapor(rig)),
    ]
    return in_groups([act for act in acts if act is not None], read_back(rig, cylinder))


def re_hose(rig: Rig) -> tuple[Act, ...]:
    """From push-pull to vapor: one end of A, B and C moves to the manifold, D joins machine and cylinder."""
    cylinder = rig.request.cylinders[-1]
    vacuum = rig.request.vacuum_purge
    moving = rig.shut_offs("A", "B", "C")
    acts: list[Act | None] = [
        Act(
            t("Shut the hose shut-offs: {ends}.", ends=rig.ends("A", "B", "C")),
            shuts(*moving),
            cautions=(
                t(
                    "Fewer cylinders were needed? Then go on with the one on the scale, up to its own stop weight: {stops}.",
                    stops=_all_stops(rig),
                ),
            )
            if len(rig.request.cylinders) > 1
            else (),
        ),
        Act(
            t("Move hose A from the sight glass to the manifold high side. Loosen slowly."),
            (*parts_at(["A2"]), *joins(("A2", "manifold.high"))),
            cautions=(t("A puff is normal; more than a puff: tighten, look for the open valve."),),
        ),
        Act(
            t("Move hose B from the machine discharge to the manifold low side. Loosen slowly."),
            (*parts_at(["B2"]), *joins(("B2", "manifold.low"))),
        ),
        Act(
            t("Move hose C from {cylinder} to the manifold utility port. Loosen slowly.", cylinder=cylinder.id),
            (*parts_at(["C1"]), *joins(("C1", "manifold.utility"))),
        ),
        _strip_cylinder(rig, cylinder),
        join_discharge(rig, cylinder),
        hold("re-hosed", t("Hold. Read every hose back by its letter, both ends, against the second drawing.")),
        *(_pump_re_hosed(rig) if vacuum else _push_re_hosed(rig)),
    ]
    return in_groups([act for act in acts if act is not None], read_back(rig, cylinder))


def _push_re_hosed(rig: Rig) -> Iterator[Act]:
    yield Act(
        t("Open the hose shut-offs: {ends}.", ends=rig.ends("A", "B", "C", "D")),
        opens(*rig.shut_offs("A", "B", "C", "D")),
    )
    yield from by_vapor(rig, again=True)


def _pump_re_hosed(rig: Rig) -> Iterator[Act]:
    """Hoses A and B kept their gas behind their shut-offs and are not pumped."""
    yield Act(t("Open the hose shut-offs: {ends}.", ends=rig.ends("C", "D")), opens(*rig.shut_offs("C", "D")))
    yield from by_vacuum(rig)
    yield Act(t("Open the hose shut-offs: {ends}.", ends=rig.ends("A", "B")), opens(*rig.shut_offs("A", "B")))


def _all_stops(rig: Rig) -> str:
    return t(", ").join(
        t("{cylinder} {weight}", cylinder=item.id, weight=weight(rig.request, item.stop_gross_lb))
        for item in rig.request.cylinders
    )


def _strip_cylinder(rig: Rig, cylinder: CylinderNeed) -> Act:
    """Sight glass and tees come off the cylinder."""
    ports = [_glass_to_cylinder(rig)[-1][0]]
    if "tee-cylinder" in rig.bench.parts:
        ports.insert(0, "glass.out")
    if "tee-top" in rig.bench.parts:
        ports.append("tee-top.in")
    return Act(
        t("Take the sight glass off {cylinder}, with what is screwed to it.", cylinder=cylinder.id), parts_at(ports)
    )


def _glass_to_cylinder(rig: Rig, cylinder: CylinderNeed | None = None) -> tuple[tuple[str, str], ...]:
    """The joints from the sight glass to the cylinder's liquid valve."""
    port = cylinder_port((cylinder or rig.request.cylinders[0]).id, "liquid")
    if "tee-cylinder" in rig.bench.parts:
        return (("glass.out", "tee-cylinder.in"), ("tee-cylinder.out", port))
    return (("glass.out", port),)


def join_push_pull_cylinder(rig: Rig, cylinder: CylinderNeed, *, first: bool) -> Iterator[Act]:
    """Hoses A and C onto this cylinder; with `first` their other ends too."""
    liquid, top = cylinder_port(cylinder.id, "liquid"), cylinder_port(cylinder.id, "vapor")
    glass = _glass_to_cylinder(rig, cylinder)
    on_top = (("tee-top.in", top), ("C1", "tee-top.out")) if "tee-top" in rig.bench.parts else (("C1", top),)
    if first:
        yield Act(
            t("Join hose A: appliance liquid port, sight glass, {valve}.", valve=rig.valve(liquid)),
            joins(("A1", "appliance.liquid"), ("A2", "glass.in"), *glass),
            cautions=left_hand(rig),
        )
        yield Act(
            t("Join hose C: {valve} to machine inlet.", valve=rig.valve(top)), joins(*on_top, ("C2", rig.suction_port))
        )
        return
    yield Act(
        t("Join hose A with its sight glass to {valve}.", valve=rig.valve(liquid)),
        joins(glass[-1]),
        cautions=left_hand(rig),
    )
    yield Act(t("Join hose C to {valve}.", valve=rig.valve(top)), joins(on_top[0]))


def _join_b_push_pull(rig: Rig) -> Act:
    at_appliance = (
        (("B1", "tee-appliance.in"), ("tee-appliance.out", "appliance.vapor"))
        if "tee-appliance" in rig.bench.parts
        else (("B1", "appliance.vapor"),)
    )
    return Act(
        t("Join hose B: machine discharge to appliance vapor port."), joins(("B2", "machine.discharge"), *at_appliance)
    )


def _push_pull_by_vapor(rig: Rig) -> Iterator[Act]:
    """Hose B only; A and C are purged once gas may go to the cylinder, after the stop weight was read back."""
    yield Act(t("Crack the {valve}.", valve=rig.valve("appliance.vapor")), cracks("appliance.vapor"))
    yield Act(
        t("Loosen {where} until gas has pushed the air out (2 s), tighten.", where=t("hose B at the machine")),
        (Effect("purge", "B2"),),
        cautions=(t("Face away, gloves on: what comes out is cold."),),
    )
    yield Act(t("Shut the {valve}.", valve=rig.valve("appliance.vapor")), shuts("appliance.vapor"))


def _push_pull_by_vacuum(rig: Rig) -> Iterator[Act]:
    yield Act(
        t("Open the machine inlet and the machine discharge; the machine stays off."),
        opens("machine.suction", "machine.discharge"),
    )
    yield from pump_out(rig, "appliance", t("hoses B and C and the machine"))
    yield Act(t("Shut the machine inlet and the machine discharge."), shuts("machine.suction", "machine.discharge"))
    yield from pump_out(rig, "cylinder", t("hose A and the sight glass"))
