"""The end: clear, close, nitrogen, disconnect, weigh, tag; and what comes after."""

from collections.abc import Iterator

from packet.figures import show_ambient, show_pressure
from packet.hookup.acts import Act, Effect, Line, act, closes, connects, did, disconnects, hold, line, opens, reads
from packet.hookup.effects import gauges
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.stages.cylinders import above_the_limit, after_blank
from packet.hookup.stages.evacuate import MICRON
from packet.hookup.stages.say import ask, clearing, closing, gauge_words, shell_caution, weight
from packet.hookup.stages.swap import drain
from packet.ledger.fields import Quantity
from packet.words import N_, t


def clear_and_close(rig: Rig) -> Iterator[Line]:
    """From the rise check (inlet closed, machine off, cylinder open) to every valve closed; nitrogen in between."""
    request = rig.request
    cylinder = request.cylinders[-1]
    receive = rig.receive(cylinder)
    if not request.target_is_percent:
        yield line(
            act(t("Inlet closed?")),
            *clearing(rig, cylinder.id),
            kind="wait",
            blanks=(ask(request, "times.end", t("Machine off and cleared"), "time"),),
            cautions=(t("Ended on an earlier cylinder? Do this with the one on the scale, mark the others not used."),)
            if len(request.cylinders) > 1
            else (),
        )
    yield line(
        *drain(receive.endswith(".liquid"), cylinder.id),
        act(
            t("Close the {valve}, then the discharge.", valve=rig.valve(receive)),
            closes(receive, "machine.discharge"),
        ),
    )
    if request.breaks_vacuum:
        yield from _nitrogen(rig)
    sides = () if not request.breaks_vacuum or request.sweeps else rig.sides
    valves = (*sides, *rig.utility_valves)
    offs = rig.shut_offs("D")
    yield line(
        closing(rig, *(port for port in ("vapor", "liquid") if port in request.ports)),
        act(t("Close {valves}, hose D (both ends).", valves=rig.names(valves)), closes(*valves, *offs))
        if valves
        else act(t("Close hose D (both ends)."), closes(*offs)),
    )


def _nitrogen(rig: Rig) -> Iterator[Line]:
    """Dry nitrogen through the connected hoses; what burns, and before a torch, is swept out of doors."""
    request = rig.request
    port = rig.pump_port
    where = t("manifold vacuum port") if port == "manifold.vacuum" else t("tee at the manifold")
    yield line(
        act(
            t("Nitrogen on the {port}; open that, {valves}.", port=where, valves=rig.names(rig.sides)),
            connects(("nitrogen.out", port)),
            opens(port, *rig.sides),
        ),
        act(
            t("Nitrogen slowly to {zero}, then closed.", zero=show_pressure(0.0, request.units)),
            opens("nitrogen.out"),
            Effect("nitrogen"),
            closes("nitrogen.out"),
        ),
        None if request.sweeps else _nitrogen_off(port),
        cautions=(
            t("Oxygen-free nitrogen, by regulator and relief valve; never oxygen, never air."),
            *shell_caution(request),
        ),
    )
    if request.sweeps:
        yield from _sweep(rig, port)


def _nitrogen_off(port: str) -> Act:
    return act(t("Close the port, take nitrogen off."), closes(port), disconnects("nitrogen.out"))


def _sweep(rig: Rig, port: str) -> Iterator[Line]:
    request = rig.request
    both = rig.has_liquid and rig.has_vapor
    side = "manifold.low" if rig.has_vapor else "manifold.high"
    end = rig.takes_off("B") if both else "C2"
    limit = t("until the detector is under 25 % of the LFL") if request.burns else t("for some minutes")
    if both:
        lead = act(t("Close manifold low, lead hose B's manifold end outdoors."), closes(side), disconnects(end))
    else:
        lead = act(
            t("Take hose C off the machine, lead it outdoors."),
            disconnects("drier.in" if "drier" in rig.bench.parts else "C2"),
        )
    sweeping = act(
        t("Nitrogen through, outdoors, {limit}; closed.", limit=limit),
        opens("nitrogen.out"),
        Effect("sweep", end if both else "C2"),
        closes("nitrogen.out"),
    )
    closed = (*(item for item in rig.sides if not (both and item == side)),)
    if not request.burns:
        yield line(
            lead,
            sweeping,
            act(
                t("Close {valves} and its port; take nitrogen off.", valves=rig.names(closed)),
                closes(*closed, port),
                disconnects("nitrogen.out"),
            ),
            cautions=(t("No torch before the sweep: refrigerant in a flame gives acid and toxic gas."),),
        )
        return
    yield line(lead, sweeping)
    back = connects((end, side)) if both else connects(("C2", rig.suction_port))
    reopen = opens(side) if both else ()
    yield line(
        act(
            t("That hose back on, nitrogen off the port, hose P with its gauge on it."),
            back,
            closes(port),
            disconnects("nitrogen.out"),
            connects(("micron.out", port)),
        ),
        act(
            t("Evacuate to {micron} micron, exhaust outdoors.", micron=MICRON),
            Effect("pump", to="on"),
            reopen,
            opens(port),
            Effect("evacuated"),
            reads(gauges.MICRON, "pump"),
            did("evacuated-again"),
        ),
        act(
            t("Close the port, pump off, hose P off."),
            closes(port),
            Effect("pump", to="off"),
            disconnects("micron.out"),
        ),
        kind="wait",
    )
    yield line(
        act(
            t(
                "Nitrogen again to {zero}; sweep as before, outdoors, under 25 %.",
                zero=show_pressure(0.0, request.units),
            ),
            connects(("nitrogen.out", port)),
            opens(port, "nitrogen.out"),
            Effect("nitrogen"),
            closes(side) if both else (),
            disconnects(end) if both else disconnects("drier.in" if "drier" in rig.bench.parts else "C2"),
            Effect("sweep", end if both else "C2"),
        ),
        act(
            t("Close nitrogen, port, {valves}; take nitrogen off.", valves=rig.names(closed)),
            closes("nitrogen.out", port, *closed),
            disconnects("nitrogen.out"),
        ),
        cautions=(t("After this line it may be opened; a torch only then."),),
    )


def end_push_pull_alone(rig: Rig) -> Iterator[Line]:
    """A low-pressure machine that is only opened is raised to the air's pressure with controlled heat, gauge on."""
    request = rig.request
    # 40 CFR 82.156(a)(1)(ii): raised to no more than 0 psig with controlled heat, not with nitrogen
    yield line(
        act(
            t(
                "Raise the shell with warm water or the oil heater to {zero} and no higher. No nitrogen. Write the gauge.",
                zero=show_pressure(0.0, request.units),
            ),
            reads(gauges.ABSOLUTE, "appliance"),
            did("raised"),
        ),
        kind="read",
        blanks=(
            ask(request, "final.gauge", t("Final gauge reading"), "absolute"),
            ask(request, "times.end", t("Machine off and cleared"), "time"),
        ),
        cautions=shell_caution(request),
    )
    yield line(closing(rig, "vapor"))


def disconnect_and_weigh(rig: Rig) -> Iterator[Line]:
    """Hoses off, one end of each open, the cylinder weighed, leak-checked, tagged; the last hold."""
    request = rig.request
    cylinder = request.cylinders[-1]
    yield _hoses_off(rig, cylinder)
    yield _machine_off(rig)
    if request.chiller:
        yield line(
            act(
                t("Water pumps off, or bundles left drained; the recovery unit's water off.")
                if request.low_pressure
                else t("Water pumps off, or bundles left drained."),
                Effect("water", to="off"),
            )
        )
    limit = weight(request, cylinder.limit_gross_lb)
    yield line(
        act(
            t("Weigh {cylinder}, hoses off: never above {limit}. Write it.", cylinder=cylinder.id, limit=limit),
            Effect("weigh-after", cylinder.id),
        ),
        kind="read",
        blanks=(after_blank(request, cylinder),),
        cautions=(above_the_limit(),),
    )
    yield line(
        act(t("Leak-check the cylinder's valves, cap them; cap every port."), did("capped"), uses=("leak-solution",)),
        act(t("Tag {cylinder}; upright, tied, in the shade.", cylinder=cylinder.id), did("tagged"), uses=("tags",)),
        kind="check",
    )
    yield hold(
        "weighed", act(t("Closed, weighed, capped and tagged; every weight, time and reading is on the Record."))
    )


def _hoses_off(rig: Rig, cylinder: CylinderNeed) -> Line:
    request = rig.request
    acts: list[Act] = []
    if request.liquid_alone:
        acts.append(
            act(
                t("Hoses A and C off {cylinder}, slowly.", cylinder=cylinder.id),
                disconnects("tee-cylinder.out", "tee-top.in"),
            )
        )
    else:
        at = "tee-cylinder.out" if "tee-cylinder" in rig.bench.parts and not request.push_pull else "D2"
        acts.append(
            act(
                t("Hose D off {cylinder}, slowly: a puff is normal, a stream is an open valve.", cylinder=cylinder.id),
                disconnects(at),
            )
        )
    ports = [*(["A1"] if rig.has_liquid else []), *(["B1"] if rig.has_vapor else [])]
    words = (
        t("Hoses off the piercing valves; these stay on, closed and capped.")
        if request.pierced
        else t("Hoses off the appliance, ports capped.")
    )
    acts.append(act(words, disconnects(*ports)))
    tools = tuple(f"appliance.{port}" for port in request.core_tool_ports)
    if tools:
        acts.append(
            act(t("Put the cores back, core tools off."), tuple(Effect("core", valve, "in") for valve in tools))
        )
    return line(*acts)


def _machine_off(rig: Rig) -> Line:
    request = rig.request
    machine_side = "drier.out" if "drier" in rig.bench.parts else "C2"
    discharge = rig.takes_off("B") if request.liquid_alone else "D1"
    # torn open already where hose C was led outdoors
    led = request.sweeps and not (rig.has_liquid and rig.has_vapor)
    ports = [machine_side] if machine_side == "drier.out" or not led else []
    acts = [
        act(
            t("Machine: hoses, drier off, capped.") if "drier" in rig.bench.parts else t("Machine: hoses off, capped."),
            disconnects(*ports, discharge),
        )
    ]
    if request.vacuum_purge:
        acts.append(act(t("Hose P off pump."), disconnects("P2")))
    ends = (*(rig.shut_offs("D")[-1:] if not request.liquid_alone else ()), *_first_ends(rig))
    acts.append(
        act(
            t("Outdoors open one end of each hose: they travel so."),
            tuple(Effect("ensure", end, "open") for end in ends),
            names=("bleeds",),
        )
    )
    return line(
        *acts, cautions=(t("After a burnout the drier is acid waste: bag and mark it."),) if request.burnout else ()
    )


def _first_ends(rig: Rig) -> Iterator[str]:
    """One end of every hose that has a shut-off at both ends, the one that moved."""
    for part in rig.bench.parts.values():
        if part.kind in {"hose", "pump-hose"} and part.id != "hose:D" and all(port.valved for port in part.ports):
            yield part.ports[1].id


def after(rig: Rig) -> Iterator[Line]:
    """What follows the last hold: air in the cylinder shows as pressure above what its temperature gives."""
    request = rig.request
    if request.burnout:
        yield line(
            act(
                t("Drier bagged and marked as acid waste; the oil leaves with the compressor. Gloves washed."),
                did("acid-waste"),
            ),
            cautions=(t("Its cylinder is for this refrigerant alone, marked burnout."),),
        )
    pressure: Quantity = "absolute" if request.low_pressure else "pressure"
    blanks = tuple(
        ask(request, f"cylinders.{cylinder.id}.{key}", label, quantity)
        for cylinder in request.cylinders
        for key, label, quantity in (
            ("pressure_after_standing", t("Pressure after standing"), pressure),
            ("wall_after_standing", t("Cylinder surface temperature"), "temperature"),
        )
    )
    row = min(request.bubble_rows, key=lambda item: abs(item.temperature_F - request.ambient_F), default=None)
    several = len(request.cylinders) > 1
    if row is None or request.unknown:
        words = (
            t("After standing, here or in the shop: write each cylinder's pressure and surface temperature.")
            if several
            else t("After standing, here or in the shop: write pressure and surface temperature.")
        )
    else:
        words = t(
            N_(
                "After standing, here or in the shop: write each cylinder's pressure and surface temperature. At {temperature} a pressure higher than {pressure}: non-condensables."
            )
            if several
            else N_(
                "After standing, here or in the shop: write pressure and surface temperature. At {temperature} a pressure higher than {pressure}: non-condensables."
            ),
            temperature=show_ambient(row.temperature_F, request.units),
            pressure=gauge_words(request, row.suspect_air_psig),
        )
    yield line(
        act(words, did("stand"), uses=("thermometer",)),
        kind="read",
        blanks=blanks,
    )
    yield line(
        act(
            t("Before another refrigerant: machine and hoses evacuated, new filter-drier, screen cleaned."),
            did("next-gas"),
        ),
        kind="check",
    )
