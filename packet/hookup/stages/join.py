"""Joining: weigh the cylinder bare, everything shut, hoses on, air out, the stop weight read back."""

from collections.abc import Iterator

from packet.figures import show_pressure
from packet.hookup.acts import Act, Effect, cracks, did, joins, opens, parts_at, shuts
from packet.hookup.parts import cylinder_part
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig, cylinder_port
from packet.hookup.stages.purge import by_vacuum, by_vapor, pump_out
from packet.hookup.stages.say import ask, hold, in_groups, target, weight
from packet.words import t


def join_for_recovery(rig: Rig) -> tuple[Act, ...]:
    """Hoses for vapor and liquid recovery onto the first cylinder."""
    cylinder = rig.request.cylinders[0]
    acts = [
        weigh_before(rig, cylinder),
        confirm_shut(rig),
        *_drier(rig),
        *_appliance_hoses(rig),
        _join_utility(rig),
        join_discharge(rig, cylinder),
        *float_switch(cylinder),
        hold("joined", t("Hold. Read every hose back by its letter, both ends, against the drawing.")),
        _pump_on_hose(rig),
        Act(t("Open the hose shut-offs: {ends}.", ends=rig.ends(*rig.letters)), opens(*rig.shut_offs(*rig.letters))),
        *(by_vacuum(rig) if rig.request.vacuum_purge else by_vapor(rig)),
    ]
    return in_groups([act for act in acts if act is not None], read_back(rig, cylinder))


def join_for_push_pull(rig: Rig) -> tuple[Act, ...]:
    """Hoses for push-pull onto the first cylinder: C from its vapor valve, B to the appliance, A to its liquid valve."""
    cylinder = rig.request.cylinders[0]
    acts = [
        weigh_before(rig, cylinder),
        confirm_shut(rig),
        *_drier(rig),
        *join_push_pull_cylinder(rig, cylinder, first=True),
        _join_b_push_pull(rig),
        *float_switch(cylinder),
        hold("joined", t("Hold. Read every hose back by its letter, both ends, against the drawing.")),
        _pump_on_hose(rig),
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


def weigh_before(rig: Rig, cylinder: CylinderNeed) -> Act:
    """The bare gross weight against tare and ledger: a wrong heel or a wrong gas shows here."""
    request = rig.request
    return Act(
        t(
            "Weigh {cylinder} bare: expect {expected}. Off by more than {tolerance}: stop, wrong heel or wrong gas.",
            cylinder=cylinder.id,
            expected=weight(request, cylinder.bare_gross_lb),
            tolerance=weight(request, 2 * request.scale_step_lb),
        ),
        (Effect("weigh-before", cylinder.id, amount=cylinder.bare_gross_lb),),
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


def _pump_on_hose(rig: Rig) -> Act | None:
    if not rig.request.vacuum_purge:
        return None
    words = (
        t("Join hose P to the vacuum pump and open its shut-offs.")
        if rig.shut_offs("P")
        else t("Join hose P to the vacuum pump.")
    )
    return Act(words, (*joins(("P2", "pump.in")), *opens(*rig.shut_offs("P"))))


def _drier(rig: Rig) -> Iterator[Act]:
    if "drier" not in rig.bench.parts:
        yield Act(t("Check that the machine's own screen is in and clean."), did("screen"), "check")
        return
    words = (
        t("Screw a new high-acid filter-drier on the machine inlet.")
        if rig.request.burnout
        else t("Screw a clean filter-drier on the machine inlet.")
    )
    yield Act(words, joins(("drier.out", "machine.suction")))


def _appliance_hoses(rig: Rig) -> Iterator[Act]:
    pierced = rig.request.pierced
    if rig.has_liquid:
        yield Act(
            t("Clamp a piercing valve on the liquid line and join hose A: valve to manifold high side.")
            if pierced
            else t("Join hose A: appliance liquid port to manifold high side."),
            joins(("A1", "appliance.liquid"), ("A2", "manifold.high")),
        )
    if rig.has_vapor:
        yield Act(
            t("Clamp a piercing valve on the suction line and join hose B: valve to manifold low side.")
            if pierced
            else t("Join hose B: appliance vapor port to manifold low side."),
            joins(("B1", "appliance.vapor"), ("B2", "manifold.low")),
            cautions=(t("Clamp it square and tight before it pierces; once pierced it stays on."),) if pierced else (),
        )


def _join_utility(rig: Rig) -> Act:
    to = t("filter-drier") if "drier" in rig.bench.parts else t("machine inlet")
    return Act(
        t("Join hose C: manifold utility port to the {part}.", part=to),
        joins(("C1", "manifold.utility"), ("C2", rig.suction_port)),
    )


def left_hand(rig: Rig) -> tuple[str, ...]:
    """Cylinders for flammable gas have left-hand threads (CGA V-1, from memory)."""
    if not rig.request.flammable:
        return ()
    return (t("Left-hand thread: it tightens counterclockwise. Never force a right-hand fitting on."),)


def join_discharge(rig: Rig, cylinder: CylinderNeed) -> Act:
    """Hose D from the machine to this cylinder, with the tee for the vacuum pump where there is one."""
    receive = rig.receive(cylinder)
    cautions = left_hand(rig)
    if "tee-cylinder" in rig.bench.parts:
        return Act(
            t("Join hose D: machine discharge, tee, {valve}.", valve=rig.valve(receive)),
            joins(("D1", "machine.discharge"), ("D2", "tee-cylinder.in"), ("tee-cylinder.out", receive)),
            cautions=cautions,
        )
    return Act(
        t("Join hose D: machine discharge to {valve}.", valve=rig.valve(receive)),
        joins(("D1", "machine.discharge"), ("D2", receive)),
        cautions=cautions,
    )


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
