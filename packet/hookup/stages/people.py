"""Before anything is connected: people, place and power. Common practice unless a source stands beside."""

from collections.abc import Iterator

from packet.hookup.acts import Act, Effect, Line, act, did, line
from packet.hookup.request import Request
from packet.hookup.rig import Rig
from packet.hookup.rules import has_crankcase_heater
from packet.hookup.stages.say import ask
from packet.words import t


def people_and_place(request: Request) -> Iterator[Line]:
    """What everybody knows and wears, and the air of the place. Alarms and exits come before anything is opened."""
    yield line(
        act(
            t("No data sheet fits an unknown gas: read makers' instructions.")
            if request.unknown
            else t(
                "Read the safety data sheet of {refrigerant} and makers' instructions.",
                refrigerant=request.refrigerant,
            ),
            did("data-sheet"),
        ),
        act(t("Agree on the way out: at strip 1 all leave."), did("exits")),
        kind="check",
    )
    if request.second_needed:
        words = (
            t("Second person: {name}, briefed and signed on the front sheet.", name=request.second)
            if request.second
            else t("Second person: name written and signed on the front sheet, briefed.")
        )
        yield line(act(words, Effect("person", "second"), did("second-signed")), kind="check")
    if request.permit_space:
        yield line(
            act(t("Permit space: permit filled in and posted, attendant outside, way out agreed."), did("permit"))
        )
    yield _protection(request)
    if request.permit_space or request.space == "basement" or request.poisons:
        # 29 CFR 1910.146(b), from memory: below 19.5 % or above 23.5 % is a hazardous atmosphere
        yield line(
            act(
                t("Measure oxygen before going in, monitor stays on: stay only between 19.5 and 23.5 %."),
                did("oxygen"),
                uses=("oxygen-monitor",),
            ),
            cautions=(t("Refrigerant is heavier than air and collects low; it gives no warning before you faint."),)
            if request.indoors
            else (),
        )
    yield _air(request)
    if request.space == "rooftop" or request.roof_edge or request.ladder:
        yield line(
            act(
                t("Tie the ladder off, hoist cylinders on a line, stay back from the roof edge or clip on."),
                did("edge"),
                uses=("roof",),
            )
        )
    if request.burns:
        yield line(
            act(t("Put out every flame and pilot light; no switch, phone or cigarette near."), did("ignition")),
            act(
                t("Bond machine, cylinder, pump and appliance to one ground."),
                did("bond"),
                uses=("bonding",),
            ),
            cautions=(
                t("Nobody knows this gas: treat it as flammable and toxic in every step.")
                if request.unknown
                else t("{refrigerant} burns: where it goes, nothing may ignite it.", refrigerant=request.refrigerant),
            ),
        )


def _protection(request: Request) -> Line:
    if request.low_pressure and not request.unknown:
        words, gloves = t("Face shield and chemical-resistant gloves on."), "chemical-gloves"
    elif request.poisons:
        words, gloves = (
            t("Face shield, chemical-resistant gloves over lined ones, long sleeves on: liquid freezes skin and eyes."),
            "both-gloves",
        )
    elif request.burnout:
        words, gloves = (
            t("Face shield, acid-proof gloves over lined ones, long sleeves on: oil and vapor are acid and toxic."),
            "acid-gloves",
        )
    else:
        words, gloves = (
            t("Face shield, lined gloves, long sleeves on at every hose: liquid freezes skin and eyes."),
            "lined-gloves",
        )
    cautions = []
    if request.poisons:
        cautions.append(t("The risk is breathing it: no warning by smell."))
    respirator = act(t("Respirator at hand."), did("respirator"), uses=("respirator",)) if request.poisons else None
    return line(
        act(words, did("protection"), uses=("face-shield", gloves)),
        respirator,
        cautions=(" ".join(cautions),) if cautions else (),
    )


def _air(request: Request) -> Line:
    # of what burns, a hydrocarbon makes no acid in a flame, and what has fluorine does; nobody knows what an unknown gas does
    air = {
        (True, False): t(
            "Ventilate: doors open, fan on, air out at floor level; no flame: heat turns refrigerant into acid."
        ),
        (True, True): t(
            "Ventilate: doors open, fan on, air out at floor level; no flame, no spark: it may burn or turn into acid."
        ),
        (False, False): t("Stand upwind, away from doors and air intakes; no flame: heat turns refrigerant into acid."),
        (False, True): t(
            "Stand upwind, away from doors and air intakes; no flame, no spark: it may burn or turn into acid."
        ),
    }[request.indoors, request.burns]
    detector = None
    if request.detector:
        detector = act(t("Detector on, low beside the machine: out at the alarm."), did("detector"), uses=("detector",))
    return line(
        act(air, did("ventilate")),
        detector,
    )


def power_and_system(rig: Rig) -> Iterator[Line]:
    """Power, water, and what traps refrigerant."""
    request = rig.request
    yield from _power(request)
    if request.low_pressure:
        yield line(
            act(
                t("Connect the recovery unit's own condenser water and start it."),
                did("unit-water"),
                uses=("water-hoses",),
            )
        )
    seen, untrap = _ports_seen(request), _untrap(request)
    # a line takes two rows of print at most: with a king valve the ports are one of their own
    for acts in (seen, untrap) if len(untrap) > 1 else ((*seen, *untrap),):
        if acts:
            kinds = tuple(
                ask(request, f"ports.{port}_kind", _port_label(port), "text") for port in request.unstated_ports
            )
            has_ports = acts[0] in seen
            yield line(*acts, kind="read" if has_ports else "do", blanks=kinds if has_ports else ())
    if request.reversing_valve or request.kind == "heat-pump":
        yield line(
            act(t("Check valves and reversing valve: both sides are open to a port you use."), did("untrap-check"))
        )
    if request.isolated == "valves":
        yield line(
            act(
                t(
                    "Close the part off from the rest by its own shut-off valves (a compressor: front-seat its service valves)."
                ),
                did("closed-off"),
            )
        )


def _ports_seen(request: Request) -> tuple[Act, ...]:
    if not request.unstated_ports:
        return ()
    return (
        act(
            t("Write what each port is; treat it as a Schrader: no fitting on it is loosened live."), did("ports-seen")
        ),
    )


def _untrap(request: Request) -> list[Act]:
    """What traps refrigerant is opened."""
    if request.pierced:
        return []
    acts = [
        act(t("Hold solenoid and expansion valves open (magnet, stem, service mode)."), did("untrap"), uses=("magnet",))
    ]
    if request.receiver and not request.into_receiver:
        words = (
            t("King valve: mid-position once hose A is on, never back-seated.")
            if request.liquid_port == "king-valve"
            else t("King valve to mid-position, not back-seated: that closes its gauge port.")
        )
        acts.append(act(words, did("untrap-king")))
    return acts


def _port_label(port: str) -> str:
    return t("Liquid port is a") if port == "liquid" else t("Suction port is a")


def _power(request: Request) -> Iterator[Line]:
    lock = (ask(request, "power.lock_number", t("Lock number"), "text"),)
    if request.locks_out_first:
        never = (
            (t("Never run the appliance to push the charge out: the refrigerant burns."),)
            if request.burns and request.compressor_runs
            else ()
        )
        if request.pierced:
            words = t("Unplug the appliance, lock and tag the plug, write the lock's number. Verify zero voltage.")
        else:
            words = t(
                "Switch the appliance off, lock and tag its disconnect, write the lock's number; verify zero voltage."
            )
        heater = (
            (t("Crankcase heater on until now: warm oil holds less refrigerant."),)
            if has_crankcase_heater(request)
            else ()
        )
        yield line(
            act(words, did("power", "lock-out"), uses=("lock", "voltage-tester")), blanks=lock, cautions=never + heater
        )
        return
    if request.chiller:
        if request.into_receiver:
            yield line(
                act(t("Leave the power on: compressor and water pumps are needed. Panels stay closed."), did("power"))
            )
        else:
            yield line(
                act(
                    t(
                        "Lock out the compressor, write the lock's number, verify zero voltage; the water pumps stay on their own breakers."
                    ),
                    did("power", "compressor-locked"),
                    uses=("lock", "voltage-tester"),
                ),
                blanks=lock,
            )
        yield line(
            act(t("Evaporator and condenser water moving, or both bundles drained."), Effect("water", to="on")),
            act(
                t("Oil heater on, oil about 130 °F.")
                if request.units == "US"
                else t("Oil heater on, oil about 55 °C."),
                did("oil-heater"),
            ),
            cautions=(t("Still water freezes while refrigerant is drawn, and bursts the tubes."),),
        )
    else:
        yield line(
            act(t("Leave the power on: its compressor is needed. Panels stay closed."), did("power")),
            cautions=(t("No hand near fan, belt or terminals."),),
        )
