"""Before anything is joined: people, place, power, gas, cylinders, scale. Common practice unless a source stands beside."""

from collections.abc import Iterator

from packet.figures import show_gauge, show_pressure, show_temperature
from packet.hookup.acts import Act, Effect, did, shuts
from packet.hookup.request import Request
from packet.hookup.rig import Rig
from packet.hookup.rules import has_crankcase_heater
from packet.hookup.stages.say import ask, hold, in_groups, weight
from packet.refrigerant.own import is_mixed
from packet.words import N_, t


def before(rig: Rig) -> tuple[Act, ...]:
    """Every check that is due before the first hose."""
    request = rig.request
    acts = [
        *_people_and_place(request),
        *_power(request),
        *_gas(request),
        *_pump_down(rig),
        *_cylinders_and_machine(request),
    ]
    return in_groups(acts, hold("before", t("Hold. All checks done; nothing is joined yet.")))


def _people_and_place(request: Request) -> Iterator[Act]:
    yield Act(
        t(
            "Read the safety data sheet of {refrigerant} and the makers' instructions for machine and appliance.",
            refrigerant=request.refrigerant,
        ),
        did("data-sheet"),
        "check",
        cautions=(
            t(
                "Makers' instructions, data sheet, local code and the licensed technician's judgment come before this page."
            ),
        ),
    )
    yield Act(
        t("Put on face shield, lined gloves and long sleeves; at every hose move they stay on."),
        did("protection"),
        cautions=(t("Liquid freezes skin and eyes at once."),),
    )
    if request.permit_space:
        yield Act(
            t("Permit space: fill in and post the permit, put an attendant outside, agree on the way out."),
            did("permit"),
        )
    if request.permit_space or request.space == "basement":
        # 29 CFR 1910.146(b), from memory: below 19.5 % or above 23.5 % is a hazardous atmosphere
        yield Act(
            t("Measure oxygen before going in and keep the monitor on: stay only between 19.5 and 23.5 %."),
            did("oxygen"),
            cautions=(t("Refrigerant is heavier than air and collects low; it gives no warning before you faint."),),
        )
    if request.indoors:
        words = t("Ventilate: doors open, fan on, air moving out at floor level.")
    else:
        words = t("Keep the wind at your back and escaping gas away from doors and air intakes.")
    yield Act(
        words,
        did("ventilate"),
        cautions=(t("No flame, no glowing wire nearby: heat turns refrigerant into acid and toxic gas."),),
    )
    if request.space == "basement" or request.flammable or request.toxic or request.room_is_small:
        yield Act(
            t("Switch the refrigerant detector on and lay it low beside the machine. Out at the alarm."),
            did("detector"),
            cautions=(t("Work in pairs: one of you stays where the other can be seen."),) if request.indoors else (),
        )
    if request.space == "rooftop" or request.roof_edge or request.ladder:
        yield Act(
            t("Tie the ladder off, hoist cylinders on a line, stay back from the roof edge or clip on."), did("edge")
        )
    if request.flammable:
        yield Act(
            t("Put out every flame and pilot light, switch off what may spark, keep phones and smokers away."),
            did("ignition"),
            cautions=(
                t("{refrigerant} burns. Where it goes, nothing may ignite it.", refrigerant=request.refrigerant),
            ),
        )
        yield Act(t("Bond machine, cylinder, vacuum pump and appliance to one ground before joining."), did("bond"))
    if request.burnout:
        yield Act(
            t("Burnout: put on acid-proof gloves and test the oil for acid before anything else."),
            did("acid"),
            cautions=(t("Oil and vapor of a burnout are acid and toxic: no skin, no breath."),),
        )


def _power(request: Request) -> Iterator[Act]:
    if request.locks_out:
        yield Act(
            t("Switch the appliance off, lock and tag the disconnect, prove that it is dead."), did("power", "lock-out")
        )
    elif request.chiller:
        words = (
            t("Leave the power on: compressor and water pumps are needed. Keep every panel shut.")
            if request.isolated
            else t("Lock out the compressor; leave the water pumps on their own breakers.")
        )
        yield Act(words, did("power"))
        yield Act(
            t("Start the evaporator and condenser water pumps, or drain both bundles. They run until the end."),
            (Effect("water", to="on"),),
            cautions=(t("Still water freezes while gas is drawn and bursts the tubes."),),
        )
    else:
        yield Act(
            t("Leave the power on: the compressor is needed. Keep every panel shut."),
            did("power"),
            cautions=(t("No hand near fan, belt or terminals while the power is on."),),
        )
    if has_crankcase_heater(request):
        yield Act(
            t("Keep the crankcase heater on if its circuit is not locked out; off before the system is opened."),
            did("heater"),
        )


def _gas(request: Request) -> Iterator[Act]:
    blanks = (
        ask(request, "start.standing", t("Standing pressure"), "pressure"),
        ask(request, "start.temperature", t("Temperature at the coil"), "temperature"),
    )
    if request.unknown:
        yield Act(
            t("Nobody knows this gas: write the standing pressure down, trust no plate, treat it as mixed."),
            did("identify"),
            "read",
            blanks=blanks,
            cautions=(t("It may be flammable, toxic or above the cylinder's pressure."),),
        )
    else:
        expected = min(request.bubble_rows, key=lambda row: abs(row.temperature_F - request.ambient_F), default=None)
        if expected is None:
            words = t(
                N_("Identify the gas: the analysis says {refrigerant}; pressure against temperature agrees.")
                if is_mixed(request.refrigerant)
                else N_("Identify the gas: the plate says {refrigerant}; pressure against temperature agrees."),
                refrigerant=request.refrigerant,
            )
        else:
            dew, bubble = (show_gauge(psig, request.units) for psig in (expected.dew_psig, expected.bubble_psig))
            words = t(
                N_(
                    "Identify the gas: the analysis says {refrigerant}; at {temperature} it stands at about {pressure}."
                    " Far from that: stop."
                )
                if is_mixed(request.refrigerant)
                else N_(
                    "Identify the gas: the plate says {refrigerant}; at {temperature} it stands at {pressure}. Anything"
                    " else: stop."
                ),
                refrigerant=request.refrigerant,
                temperature=show_temperature(expected.temperature_F, request.units),
                pressure=bubble if dew == bubble else t("{dew} to {bubble}", dew=dew, bubble=bubble),
            )
        yield Act(
            words,
            did("identify"),
            "read",
            blanks=blanks,
            cautions=(t("With no liquid left it may stand lower; never higher."),),
        )
    if request.pierced:
        return
    yield Act(
        t("Hold solenoid and expansion valves open (magnet, stem or service mode): nothing may trap gas."),
        did("untrap"),
    )
    if request.receiver and not request.isolated:
        yield Act(t("Open the king valve of the receiver fully."), did("untrap-king"))
    if request.reversing_valve or request.kind == "heat-pump":
        yield Act(
            t("Find the check valves and the reversing valve: both of their sides are open to a port you use."),
            did("untrap-check"),
        )


def _pump_down(rig: Rig) -> Iterator[Act]:
    """The charge goes into the receiver; what is left in the isolated part is recovered."""
    request = rig.request
    if not request.isolated:
        return
    yield Act(t("Shut the {valve}.", valve=rig.valve("receiver.king")), shuts("receiver.king"))
    yield Act(
        t("Run the appliance's compressor."),
        (Effect("compressor", to="on"),),
        cautions=(t("It pumps into the receiver: high-side gauge above its relief setting, stop at once."),),
    )
    yield Act(
        t("Wait until the low side reads {pressure}, or stops falling.", pressure=show_pressure(2.0, request.units)),
        effects=did("pumped-down"),
        kind="wait",
    )
    yield Act(t("Stop the compressor."), (Effect("compressor", to="off"),))
    yield Act(
        t("Shut the {valve}. The receiver now holds the charge.", valve=rig.valve("receiver.inlet")),
        shuts("receiver.inlet"),
    )
    if request.chiller:
        yield Act(t("Lock out the compressor; leave the water pumps on their own breakers."), did("compressor-locked"))
    else:
        yield Act(t("Lock and tag the disconnect, prove that it is dead."), did("lock-out"))


def _cylinders_and_machine(request: Request) -> Iterator[Act]:
    for cylinder in request.cylinders:
        # 49 CFR 173.301(a)(2): looked at before each fill
        yield Act(
            t(
                "Inspect {cylinder}: no dent, rust, bulge; valves, relief device and test date good.",
                cylinder=cylinder.id,
            ),
            did(f"inspect:{cylinder.id}"),
            "check",
            blanks=(ask(request, f"cylinders.{cylinder.id}.inspected", t("Inspected"), "initials"),),
            cautions=(t("In doubt, it does not get filled."),),
        )
    had = request.machine_had
    if had and had != request.refrigerant:
        words = t(
            "Check machine {machine}: cleared and evacuated since {had}, screen clean, new filter-drier.",
            machine=request.machine,
            had=had,
        )
    else:
        words = t("Check machine {machine}: cleared after its last job, screen clean.", machine=request.machine)
    yield Act(words, did("machine-ready"), "check")
    yield Act(
        t("Set scale {scale} level on hard ground, empty, and zero it.", scale=request.scale),
        did("scale-level"),
        cautions=(t("From here on it is never zeroed with a cylinder on it: all weights are gross."),),
    )
    yield Act(
        t(
            "Put the {weight} check weight on the scale: it reads {weight}.",
            weight=weight(request, request.check_weight_lb),
        )
        if request.check_weight_lb is not None
        else t("Put something of known weight on the scale: it reads that weight."),
        did("scale-check"),
        "check",
    )
