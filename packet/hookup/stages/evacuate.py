"""Air out of the hoses, an empty cylinder's vacuum looked at, then one port opened and the refrigerant verified."""

from collections.abc import Iterator

from packet.figures import show_ambient, show_pressure
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
    opens,
    reads,
)
from packet.hookup.effects import gauges
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.rig import Rig
from packet.hookup.rig_parts import cylinder_port
from packet.hookup.stages.say import ask, gauge_words, opening
from packet.words import t

MICRON = "1,000"
# How far the standing pressure may be from the table's, psi; common practice, no source.
WINDOW_PSI = 5.0
WINDOW_LOW_PRESSURE_PSI = 2.0
EQUALIZE_MINUTES = 15
# The low side of a pump-down ends about here, psig; common practice, no source.
PUMPED_DOWN_PSIG = 2.0


def evacuate(rig: Rig) -> Iterator[Line]:
    """Through the manifold: one pull, or a push of vapor where that is allowed and wanted."""
    cylinder = rig.request.cylinders[0]
    between = (*rig.sides, *rig.utility_valves, "machine.suction", "machine.discharge")
    if rig.request.vacuum_purge:
        offs = rig.shut_offs(*rig.letters)
        yield line(
            act(
                t(
                    "Appliance and cylinder stay closed; open everything between: {offs}, {valves}.",
                    offs=rig.every_shut_off,
                    valves=rig.names(between),
                ),
                opens(*offs, *between),
            ),
        )
        yield pull(rig, rig.pump_port, cylinder)
        return
    yield from _by_vapor(rig)


def pull(rig: Rig, *branches: object) -> Line:
    """Pump on, its valve open, to 1,000 micron, an empty cylinder looked at, its valve closed, pump off, hose P off.

    branches: the valves that the pump draws by, and the cylinder last, None where none is looked at.
    """
    *valves, cylinder = branches
    names = tuple(str(valve) for valve in valves)
    empty = isinstance(cylinder, CylinderNeed) and cylinder.empty
    acts: list[Act] = [
        act(t("Pump on."), Effect("pump", to="on")),
        act(_open_branches(names), opens(*names)),
        act(
            t("To {micron} micron.", micron=MICRON),
            Effect("evacuated"),
            reads(gauges.MICRON, "pump"),
        ),
    ]
    if empty and isinstance(cylinder, CylinderNeed):
        acts += look_at_vacuum(rig, (cylinder,))
    acts += [
        act(_close_branches(names), closes(*names)),
        act(t("Pump off, hose P off, cap on."), Effect("pump", to="off"), _pump_off(names)),
    ]
    cautions = []
    if rig.request.burns:
        cautions.append(t("The pump's exhaust goes outdoors, away from any flame."))
    if empty:
        cautions.append(t("If not back to vacuum with the cylinder open: it held air. Keep pumping until it is."))
    return line(*acts, kind="wait", cautions=tuple(cautions))


def _open_branches(names: tuple[str, ...]) -> str:
    if len(names) > 1:
        return t("Open both branches.")
    return t("Open the manifold vacuum port.") if names == ("manifold.vacuum",) else t("Open the tee's branch.")


def _close_branches(names: tuple[str, ...]) -> str:
    if len(names) > 1:
        return t("Close both branches.")
    return t("Close the port.") if names == ("manifold.vacuum",) else t("Close the branch.")


def _pump_off(names: tuple[str, ...]) -> tuple[Effect, ...]:
    if len(names) > 1:
        return (*disconnects("header.one", "header.two"), *disconnects("micron.out"))
    return disconnects("micron.out")


def look_at_vacuum(rig: Rig, cylinders: tuple[CylinderNeed, ...]) -> tuple[Act, ...]:
    """An empty cylinder must read its vacuum before its first fill: a scale cannot see air."""
    acts = []
    for cylinder in cylinders:
        valve = rig.receive(cylinder) if not rig.request.push_pull else cylinder_port(cylinder.id, "vapor")
        space = rig.bench.ports[valve].space
        acts.append(
            act(
                t("{valve} open a moment: back to vacuum? Close it.", valve=rig.valve(valve)),
                opens(valve),
                reads(gauges.MICRON, space),
                did(f"vacuum-seen:{cylinder.id}"),
                closes(valve),
            )
        )
    return tuple(acts)


def _by_vapor(rig: Rig) -> Iterator[Line]:
    """A short push of vapor from the vapor port; never from a liquid port, never at a live core."""
    valve = rig.isolator("vapor")
    offs = rig.shut_offs(*rig.letters)
    first = (*rig.sides, *rig.utility_valves)
    acts = [
        act(
            t("Open {offs}, {valves}.", offs=rig.every_shut_off, valves=rig.names(first)),
            opens(*offs, *first),
        ),
        act(t("Crack the {valve}.", valve=rig.valve(valve)), cracks(valve)),
    ]
    if rig.has_liquid:
        acts.append(
            act(
                t("Loosen hose A at the appliance 2 seconds, tighten."),
                Effect("purge", "A1"),
            )
        )
    yield line(*acts, cautions=(t("Face away: only a moment, what blows off is lost and is breathed."),))
    machine = ("machine.suction", "machine.discharge")
    yield line(
        act(t("Open machine inlet and discharge; the machine stays off."), opens(*machine)),
        act(t("Loosen hose D at the cylinder 2 seconds, tighten."), Effect("purge", "D2")),
    )


def evacuate_push_pull(rig: Rig) -> Iterator[Line]:
    """Push-pull has two circuits: one pull through a two-way header where the kit has one, else two."""
    request = rig.request
    offs, machine = rig.shut_offs("A", "B", "C"), ("machine.suction", "machine.discharge")
    yield line(
        act(
            t(
                "Appliance and cylinder stay closed; open everything between: {offs}, {valves}.",
                offs=rig.every_shut_off,
                valves=rig.names(machine),
            ),
            opens(*offs, *machine),
        ),
    )
    cylinder = request.cylinders[0]
    if rig.kit.header is not None:
        yield pull(rig, "tee-top.branch", "tee-cylinder.branch", cylinder)
    else:
        yield pull(rig, "tee-top.branch", cylinder)
        yield move_pump(rig, "tee-cylinder.branch")
        yield pull(rig, "tee-cylinder.branch", None)


def move_pump(rig: Rig, branch: str) -> Line:
    """Hose P, with its gauge, on another tee."""
    tee = rig.bench.part_of(branch).name
    return line(act(t("Hose P with its gauge on the {tee}.", tee=tee), connects(("micron.out", branch))))


def verify(rig: Rig) -> Iterator[Line]:
    """One port open, standing pressure read with gauges on, what is not known identified; the second hold."""
    request = rig.request
    refrigerant = (ask(request, "refrigerant", t("Refrigerant verified"), "gas"),)
    yield _standing(rig)
    if request.burnout:
        yield line(
            act(
                t(
                    "Acid test on a small vapor sample from the {port}; write the result in the remarks.",
                    port=rig.bench.port_name(f"appliance.{_first(rig)}"),
                ),
                did("acid"),
                uses=("acid-test",),
            ),
            kind="check",
            blanks=(ask(request, "remarks", t("Remarks"), "text"),),
        )
    if request.unknown:
        yield line(
            act(
                t(
                    "Identifier on the {port}: write what it says. The gas stays treated as flammable and toxic.",
                    port=rig.bench.port_name(f"appliance.{_first(rig)}"),
                ),
                did("identified"),
            ),
            kind="check",
            blanks=refrigerant,
        )
    if request.into_receiver:
        yield from _pump_down(rig)
    # the nameplate of an unknown gas is trusted by nobody
    verified = (
        t("Refrigerant verified.") if request.unknown else t("Refrigerant verified: nameplate and pressure agree.")
    )
    yield hold(
        "verified",
        act(
            t(
                "Every hose read back by its letter, both ends, against the drawing. Evacuated. {verified}",
                verified=verified,
            )
            if request.vacuum_purge
            else t(
                "Every hose read back by its letter, both ends, against the drawing. Purged. {verified}",
                verified=verified,
            )
        ),
        blanks=() if request.unknown else refrigerant,
    )


def _first(rig: Rig) -> str:
    return "vapor" if rig.has_vapor else "liquid"


def _gauge(rig: Rig) -> tuple[str, str]:
    """The gauge that shows the standing pressure, and how it is called."""
    if rig.absolute_on:
        return gauges.ABSOLUTE, t("absolute gauge")
    if rig.request.push_pull:
        return gauges.DISCHARGE, t("discharge gauge")
    return (gauges.LOW, t("low gauge")) if rig.has_vapor else (gauges.HIGH, t("high gauge"))


def _standing(rig: Rig) -> Line:
    request, port = rig.request, _first(rig)
    gauge, name = _gauge(rig)
    blanks = (
        ask(request, "start.standing", t("Standing pressure"), "absolute" if rig.absolute_on else "pressure"),
        ask(request, "start.temperature", t("Temperature at the coil"), "temperature"),
    )
    through_machine = request.push_pull and not rig.absolute_on
    if request.push_pull:
        between: tuple[str, ...] = ("machine.suction",) if through_machine else ("machine.suction", "machine.discharge")
    else:
        between = (*rig.sides, "machine.suction", "machine.discharge")
    acts = [
        act(t("Close {valves}.", valves=rig.names(between)), closes(*between)),
        opening(rig, port),
        act(
            t("Write the standing pressure ({gauge}) and coil temperature.", gauge=name),
            reads(gauge, "appliance"),
            did("standing"),
            uses=("thermometer",),
        ),
    ]
    if through_machine:
        acts.append(act(t("Close the discharge."), closes("machine.discharge")))
    return line(*acts, kind="read", blanks=blanks, cautions=_window(request))


def _window(request: Request) -> tuple[str, ...]:
    """What the pressure should be, and what a difference means."""
    wait = t("Circuit off {minutes} minutes?", minutes=EQUALIZE_MINUTES)
    if request.unknown:
        return (t("Trust no nameplate: the gas may stand above the cylinder's pressure."),)
    row = min(request.bubble_rows, key=lambda item: abs(item.temperature_F - request.ambient_F), default=None)
    if row is None:
        return (wait,)
    window = WINDOW_LOW_PRESSURE_PSI if request.low_pressure else WINDOW_PSI
    # an estimate may be off by its stated error before anything is wrong with the refrigerant
    error = request.pressure_error_percent / 100.0
    low = row.dew_psig - window - error * (row.dew_psig + request.barometer_psia)
    high = row.bubble_psig + window + error * (row.bubble_psig + request.barometer_psia)
    expected = t(
        "At {temperature} expect {low} to {high}; at another see Today (Fill).",
        temperature=show_ambient(row.temperature_F, request.units),
        low=gauge_words(request, low),
        high=gauge_words(request, high),
    )
    differs = (
        t("Higher is usual on a low-pressure machine: air. Note it.")
        if request.low_pressure
        else t("Lower: little or no liquid left. Higher: air or the wrong refrigerant. Stop.")
    )
    return (f"{wait} {expected}", differs)


def _pump_down(rig: Rig) -> Iterator[Line]:
    """The compressor pumps into the receiver: the whole charge, or all but what stays in the isolated part."""
    request = rig.request
    if request.isolated == "receiver":
        first = act(t("Close the {valve}.", valve=rig.valve("receiver.king")), closes("receiver.king"))
    else:
        first = act(
            t("Front-seat the {valve}: its gauge port is open to hose A now.", valve=rig.valve(rig.isolator("liquid"))),
            opens(rig.isolator("liquid")),
        )
    yield line(
        first,
        act(t("Start the appliance's compressor."), Effect("compressor", to="on")),
        act(
            t(
                "Until the low gauge reads {pressure} or stops falling.",
                pressure=show_pressure(PUMPED_DOWN_PSIG, request.units),
            ),
            reads(gauges.LOW if rig.has_vapor else gauges.HIGH, "appliance"),
            did("pumped-down"),
        ),
        act(t("Stop it."), Effect("compressor", to="off")),
        kind="wait",
        cautions=(t("It pumps into the receiver: high-side pressure above its relief setting, stop at once."),),
    )
    lock = (ask(request, "power.lock_number", t("Lock number"), "text"),)
    if request.chiller:
        locked = act(
            t("Lock out the compressor, write the lock's number; the water pumps stay on."),
            did("compressor-locked"),
            uses=("lock", "voltage-tester"),
        )
    else:
        locked = act(
            t("Lock, tag the disconnect, write the lock's number. Verify zero voltage."),
            did("lock-out"),
            uses=("lock", "voltage-tester"),
        )
    close = None
    if request.isolated == "receiver":
        close = act(t("Close the {valve}.", valve=rig.valve("receiver.inlet")), closes("receiver.inlet"))
    yield line(close, locked, blanks=lock)
