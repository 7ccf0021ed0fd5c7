"""Connecting: everything closed, hoses on, in the places that the drawing shows."""

from collections.abc import Iterator

from packet.hookup.acts import Act, Effect, Line, act, connects, did, line, opens
from packet.hookup.parts import cylinder_part
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig, listed
from packet.hookup.rig_parts import cylinder_port
from packet.words import t


def connect(rig: Rig) -> Iterator[Line]:
    """Hoses for vapor and liquid recovery onto the first cylinder."""
    cylinder = rig.request.cylinders[0]
    yield confirm_closed(rig)
    yield from core_tools(rig)
    yield line(*_drier(rig), _hose_c(rig))
    yield line(*_appliance_hoses(rig), cautions=_pierce(rig))
    yield line(*hose_d(rig, cylinder), float_switch(cylinder), cautions=left_hand(rig))
    if rig.request.vacuum_purge:
        yield pump_on(rig)


def connect_push_pull(rig: Rig) -> Iterator[Line]:
    """Hoses for push-pull: C from the cylinder's vapor valve to the machine, B to the appliance, A to its liquid valve."""
    cylinder = rig.request.cylinders[0]
    liquid, top = cylinder_port(cylinder.id, "liquid"), cylinder_port(cylinder.id, "vapor")
    yield confirm_closed(rig)
    yield from core_tools(rig)
    yield line(
        *_drier(rig),
        act(
            t("Hose C: {valve}, tee, {machine}.", valve=rig.valve(top), machine=_machine_end(rig)),
            connects(("tee-top.in", top), ("C1", "tee-top.out"), ("C2", rig.suction_port)),
        ),
        cautions=left_hand(rig),
    )
    yield line(
        act(
            t("Hose B: machine discharge to the {port}.", port=rig.bench.port_name("appliance.vapor")),
            connects(("B1", "appliance.vapor"), *rig.far_end("B", "machine.discharge")),
        ),
        _absolute(rig),
    )
    yield line(
        act(
            t(
                "Hose A: {port}, sight glass, tee, {valve}.",
                port=rig.bench.port_name("appliance.liquid"),
                valve=rig.valve(liquid),
            ),
            connects(
                ("A1", "appliance.liquid"),
                ("A2", "glass.in"),
                ("glass.out", "tee-cylinder.in"),
                ("tee-cylinder.out", liquid),
            ),
        ),
        float_switch(cylinder),
    )
    if rig.request.vacuum_purge:
        yield line(
            act(
                t("Hose P: vacuum pump, micron gauge, two-way header, both tees.")
                if rig.kit.header is not None
                else t("Hose P: vacuum pump, micron gauge, tee at the cylinder vapor valve."),
                connects(("P2", "pump.in"), ("P1", "micron.in")),
                opens(*rig.shut_offs("P")),
                _pump_to_tees(rig),
            )
        )


def _pump_to_tees(rig: Rig) -> tuple[Effect, ...]:
    if rig.kit.header is None:
        return connects(("micron.out", "tee-top.branch"))
    return connects(
        ("micron.out", "header.in"), ("header.one", "tee-top.branch"), ("header.two", "tee-cylinder.branch")
    )


def confirm_closed(rig: Rig) -> Line:
    """Every valve of the job is looked at once; some are used by no step and stay as they are."""
    unused = [valve for valve in rig.bench.valves if valve in _unused(rig)]
    isolated = [valve for valve in rig.bench.valves if valve.startswith("receiver.")]
    confirmed = [valve for valve in rig.bench.valves if valve not in isolated]
    return line(
        act(
            t("Confirm closed: appliance, manifold, machine, cylinders, hose shut-offs.")
            if not unused
            else t(
                "Confirm closed: appliance, manifold, machine, cylinders, hose shut-offs. For the whole job: {valves}.",
                valves=_few(rig, unused),
            ),
            tuple(Effect("confirm", valve) for valve in confirmed),
            did("confirm-closed"),
        ),
        kind="check",
    )


def _few(rig: Rig, unused: list[str]) -> str:
    """The valves that no step uses; with many cylinders, what they have in common."""
    others = [valve for valve in unused if not valve.startswith("cylinder:")]
    ours = [valve for valve in unused if valve.startswith("cylinder:")]
    names = [rig.valve(valve) for valve in others]
    if len(ours) > 2:
        kinds = {valve.rpartition(".")[2] for valve in ours}
        names.append(
            t("the cylinders' liquid valves")
            if kinds == {"liquid"}
            else t("the cylinders' vapor valves")
            if kinds == {"vapor"}
            else t("the cylinders' other valves")
        )
    else:
        names += [rig.valve(valve) for valve in ours]
    return listed(names)


def _unused(rig: Rig) -> set[str]:
    unused: set[str] = set()
    if not rig.request.liquid_alone:
        unused |= {"manifold.low", "manifold.high"} - set(rig.sides)
    used_vacuum = rig.request.vacuum_purge or rig.request.breaks_vacuum
    if "manifold.vacuum" in rig.bench.ports and not used_vacuum:
        unused.add("manifold.vacuum")
    if not rig.request.push_pull:
        used = {rig.receive(cylinder) for cylinder in rig.request.cylinders}
        unused |= {
            port.id
            for cylinder in rig.request.cylinders
            for port in rig.bench.parts[cylinder_part(cylinder.id)].ports
            if port.id not in used
        }
    return unused


def core_tools(rig: Rig) -> Iterator[Line]:
    """Core tools on the Schrader ports: their ball valves are what closes the ports from here on."""
    valves = tuple(f"appliance.{port}" for port in rig.request.core_tool_ports)
    if not valves:
        return
    yield line(
        act(
            t("Core tools on: {ports}. Ball closed, pull the core into the tool.", ports=_ports(rig, valves)),
            tuple(Effect("core", valve, "out") for valve in valves),
        ),
        cautions=(t("Keep the ball closed: behind it the system is live."),),
    )


def _ports(rig: Rig, valves: tuple[str, ...]) -> str:
    return t(", ").join(rig.bench.port_name(valve) for valve in valves)


def _drier(rig: Rig) -> tuple[Act, ...]:
    """A filter-drier of the kind the job asks for ahead of the machine; a machine without one has its own screen."""
    if "drier" not in rig.bench.parts:
        return ()
    words = (
        t("New high-acid filter-drier on the machine inlet.")
        if rig.request.burnout
        else t("Clean filter-drier on the machine inlet.")
    )
    return (act(words, connects(("drier.out", "machine.suction"))),)


def _machine_end(rig: Rig) -> str:
    return t("filter-drier") if "drier" in rig.bench.parts else t("machine inlet")


def _hose_c(rig: Rig) -> Act:
    if "tee-manifold" in rig.bench.parts:
        return act(
            t("Hose C: manifold utility port, tee, {machine}.", machine=_machine_end(rig)),
            utility_joints(rig),
            connects(("C2", rig.suction_port)),
        )
    return act(
        t("Hose C: manifold utility port to the {machine}.", machine=_machine_end(rig)),
        utility_joints(rig),
        connects(("C2", rig.suction_port)),
    )


def utility_joints(rig: Rig) -> tuple[Effect, ...]:
    """Hose C's far end on the manifold's middle, through the tee where there is one."""
    if "tee-manifold" in rig.bench.parts:
        return connects(("C1", "tee-manifold.in"), ("tee-manifold.out", "manifold.utility"))
    return connects(("C1", "manifold.utility"))


def _absolute(rig: Rig) -> Act | None:
    """Said beside the hose that the absolute gauge sits on."""
    if not rig.absolute_on:
        return None
    return act(t("The absolute gauge sits at its far end."))


def _appliance_hoses(rig: Rig) -> Iterator[Act]:
    for letter, port, side in (("A", "liquid", "manifold.high"), ("B", "vapor", "manifold.low")):
        if port not in rig.request.ports:
            continue
        words = (
            t("Hose A: {port} to manifold high.", port=rig.bench.port_name("appliance.liquid"))
            if letter == "A"
            else t("Hose B: {port} to manifold low.", port=rig.bench.port_name("appliance.vapor"))
        )
        yield act(words, connects((f"{letter}1", f"appliance.{port}"), *rig.far_end(letter, side)))
        if rig.absolute_on == letter:
            yield act(t("The absolute gauge sits at its far end."))


def _pierce(rig: Rig) -> tuple[str, ...]:
    cautions = []
    if rig.request.pierced:
        cautions.append(t("Clamp each piercing valve square and tight before it pierces; once pierced it stays on."))
    if rig.request.hose_end_ports:
        cautions.append(t("A core opens as the hose goes on: its shut-off at the appliance end is closed first."))
    return tuple(cautions)


def hose_d(rig: Rig, cylinder: CylinderNeed) -> tuple[Act, ...]:
    """Hose D from the machine to this cylinder, through the tee where cylinders are swapped under vacuum."""
    receive = rig.receive(cylinder)
    if "tee-cylinder" in rig.bench.parts and not rig.request.push_pull:
        return (
            act(
                t("Hose D: machine discharge, tee, {valve}.", valve=rig.valve(receive)),
                connects(("D1", "machine.discharge"), ("D2", "tee-cylinder.in"), ("tee-cylinder.out", receive)),
            ),
        )
    return (
        act(
            t("Hose D: machine discharge to {valve}.", valve=rig.valve(receive)),
            connects(("D1", "machine.discharge"), ("D2", receive)),
        ),
    )


def pump_on(rig: Rig) -> Line:
    """Hose P with the micron gauge, from the vacuum pump to the manifold."""
    to = t("manifold vacuum port") if rig.pump_port == "manifold.vacuum" else t("branch of the tee at the manifold")
    return line(
        act(
            t("Hose P: vacuum pump, micron gauge, {port}.", port=to),
            connects(("P2", "pump.in"), ("P1", "micron.in"), ("micron.out", rig.pump_port)),
            opens(*rig.shut_offs("P")),
        )
    )


def left_hand(rig: Rig) -> tuple[str, ...]:
    """Cylinders for flammable gas have left-hand threads (CGA V-1, from memory)."""
    if not rig.request.burns:
        return ()
    return (t("Left-hand thread at the cylinder: it tightens counterclockwise. Never force a fitting on."),)


def float_switch(cylinder: CylinderNeed) -> Act | None:
    """The cable from the cylinder's float to the machine."""
    if not cylinder.float_switch:
        return None
    return act(
        t("Plug its float-switch cable into the machine."),
        did("float-switch", f"float-switch:{cylinder.id}"),
        uses=("float-cable",),
    )
