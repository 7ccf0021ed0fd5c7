"""Recovering through the manifold: the start, liquid, vapor down to the target, the rise check."""

from collections.abc import Iterator

from packet.figures import show_pressure, show_temperature, show_vacuum
from packet.hookup.acts import Effect, Line, act, closes, cracks, did, hold, line, mode, opens, reads
from packet.hookup.effects import gauges
from packet.hookup.request import WATER_FREEZES_F, CylinderNeed, Request
from packet.hookup.rig import Rig
from packet.hookup.stages.say import (
    SMALL_VACUUM_INHG,
    ask,
    clearing,
    gauge_words,
    opening,
    shell_caution,
    stop_and_cool,
    target,
    weight,
    word_liquid,
    word_off,
    word_start,
    word_vapor,
)
from packet.hookup.state import SUCTION_SIDE
from packet.words import N_, t

PAST_THE_TARGET_MINUTES = 2
# How far past a vacuum target to draw, inHg; up to which target that is possible. Common practice, no source.
PAST_THE_TARGET_INHG = (3.0, 5.0)
DEEPEST_PAST_INHG = 22.0


def start(rig: Rig, cylinder: CylinderNeed, to: str) -> Iterator[Line]:
    """Cylinder, discharge, the stop weight aloud, machine on with its inlet closed. to: 'vapor' or 'liquid'."""
    receive = rig.receive(cylinder)
    yield line(
        act(
            t("Clear of its relief device open the {valve} slowly, then fully.", valve=rig.valve(receive)),
            opens(receive),
        ),
        act(t("Open the machine discharge fully."), opens("machine.discharge")),
    )
    yield hold(f"start:{cylinder.id}", act(_start_words(rig, cylinder)))
    yield switch_on(rig, cylinder, to, first=not rig.request.push_pull)


def _start_words(rig: Rig, cylinder: CylinderNeed) -> str:
    return t(
        "Aloud “{cylinder} stops at {stop}”. Hand on each: {valve} open, discharge open, inlet closed.",
        cylinder=cylinder.id,
        stop=weight(rig.request, cylinder.stop_gross_lb),
        valve=rig.valve(rig.receive(cylinder)),
    )


def switch_on(rig: Rig, cylinder: CylinderNeed, to: str, *, first: bool) -> Line:
    """The machine on, its inlet closed."""
    request = rig.request
    words = (
        t("Inlet closed: set the machine to “{word}” and start it. Write the time.", word=word_start(request, to))
        if first
        else t("Inlet closed: set the machine to “{word}” and start it.", word=word_start(request, to))
    )
    return line(
        act(words, mode(to)),
        cautions=stop_and_cool(request, cylinder),
        blanks=(ask(request, "times.start", t("Machine started"), "time"),) if first else (),
    )


def liquid(rig: Rig) -> Iterator[Line]:
    """Liquid recovery from the liquid side, inlet throttled; ends with the liquid gone and the machine running."""
    request = rig.request
    acts = []
    if not (request.pumps_down or not rig.has_vapor):
        acts.append(opening(rig, "liquid"))
    acts += [
        act(t("Open manifold high."), opens("manifold.high")),
        act(
            t("Open the machine inlet slowly; throttle to just below knocking: that is liquid in it."),
            cracks("machine.suction"),
        ),
    ]
    yield line(
        *acts,
        running=True,
        cautions=shell_caution(request),
    )
    yield log(rig, "liquid")
    yield from _swaps(rig, "liquid")
    yield line(
        act(
            t("Liquid is done when the suction gauge falls off its standing pressure and the scale slows."),
            reads(gauges.SUCTION, SUCTION_SIDE),
            Effect("dry"),
        ),
        kind="wait",
    )
    yield _change_to_vapor(rig)


def log(rig: Rig, stage: str) -> Line:
    """The watch on scale and pressure."""
    return line(
        act(
            t(
                "Every 5 minutes write time, weight, pressure in the log. {stop}",
                stop=_never_past(rig, stage),
            ),
            did(f"log:{stage}"),
        ),
        kind="read",
    )


def _swaps(rig: Rig, stage: str) -> Iterator[Line]:
    if len(rig.request.cylinders) < 2:
        return
    yield line(
        act(t("At the swap weight of each cylinder do the Swap sheet, then come back here."), did(f"watch:{stage}")),
        kind="wait",
        calls=True,
    )


def _never_past(rig: Rig, stage: str) -> str:
    """What ends the fill whatever else is going on: in push-pull the liquid side, as the machine does not stop it."""
    request = rig.request
    one = len(request.cylinders) == 1
    if stage == "push-pull":
        valve = rig.valve(rig.isolator("liquid"))
        if one:
            stop = weight(request, request.cylinders[0].stop_gross_lb)
            return t("At {stop} close the {valve} FIRST, finished or not.", stop=stop, valve=valve)
        return t("At a stop weight close the {valve} FIRST, finished or not.", valve=valve)
    if one:
        stop = weight(request, request.cylinders[0].stop_gross_lb)
        return t("At {stop} close the machine inlet, finished or not.", stop=stop)
    return t("At a cylinder's stop weight close the machine inlet, finished or not.")


def _change_to_vapor(rig: Rig) -> Line:
    """The machine runs on liquid and the liquid is gone: vapor side open, inlet to full, no stop between."""
    word = word_vapor(rig.request)
    words = (
        t("Machine stays on “{word}”.", word=word)
        if word == word_liquid(rig.request)
        else t("Still running, machine to “{word}”.", word=word)
    )
    acts = [act(words, mode("vapor"))]
    if rig.request.pumps_down:
        acts.append(
            act(t("{valve} to mid-position.", valve=rig.valve(rig.isolator("liquid")).capitalize()), did("king-opened"))
        )
    if rig.has_vapor:
        acts.append(act(t("Open manifold low."), opens("manifold.low")))
    acts.append(act(t("Machine inlet slowly to full; knocking: ease back."), opens("machine.suction")))
    return line(*acts, running=True)


def vapor(rig: Rig, *, runs_already: bool) -> Iterator[Line]:
    """Vapor recovery down to the target. runs_already: the liquid stage went before."""
    request = rig.request
    if not runs_already:
        yield _draw_vapor(rig)
    yield log(rig, "vapor")
    if not runs_already and rig.has_liquid:
        dry = () if request.push_pull else (Effect("dry"),)
        words = (
            t("When the low gauge falls and hose B shows neither liquid nor frost:")
            if dry
            else t("Now the liquid side too:")
        )
        shown = () if not dry else (reads(gauges.LOW, "appliance"),)
        acts = [act(words, shown, dry)]
        acts.append(opening(rig, "liquid"))
        acts.append(act(t("Open manifold high."), opens("manifold.high")))
        yield line(*acts, kind="wait", running=True)
    if not request.push_pull:
        yield from _swaps(rig, "vapor")
    yield _to_the_target(rig)


def _draw_vapor(rig: Rig) -> Line:
    request = rig.request
    acts = []
    if request.pushes_itself:
        acts.append(
            act(t("Switch the appliance on: its compressor pushes the charge out."), Effect("compressor", to="on"))
        )
    elif request.warms:
        acts.append(
            act(
                t("Warm the compressor shell with a heat blanket, tap it with a mallet: its oil lets go.")
                if not request.burns
                else t("Warm the compressor shell with water, tap it with a rubber mallet: its oil lets go."),
                did("warmed"),
                uses=("mallet",) if request.burns else ("mallet", "heat-blanket"),
            )
        )
    acts.append(act(t("Open manifold low."), opens("manifold.low")))
    acts.append(act(t("Machine inlet slowly to full; knocking: ease back."), opens("machine.suction")))
    labors = (t("Appliance off at once if it labors or its shell gets hot."),) if request.pushes_itself else ()
    return line(*acts, cautions=labors, running=not rig.has_liquid)


def _to_the_target(rig: Rig) -> Line:
    request = rig.request
    cylinder = request.cylinders[-1]
    gauge = gauges.ABSOLUTE if rig.absolute_on else gauges.LOW if rig.has_vapor else gauges.HIGH
    acts = []
    if request.leaking:
        acts.append(
            act(t("Close the leaking part off from the rest, as far as its valves allow."), did("leak-isolated"))
        )
    acts.append(
        act(
            _target_words(request),
            Effect("fill", cylinder.id, amount=cylinder.planned_gross_lb),
            reads(gauge, "appliance"),
            Effect("drawn"),
        )
    )
    quantity = "absolute" if request.low_pressure else "vacuum"
    return line(
        *acts,
        kind="read",
        cautions=tuple(_depth_cautions(request)),
        blanks=(
            ask(request, "final.gauge", t("Final gauge reading"), "absolute" if quantity == "absolute" else "vacuum"),
        ),
    )


def _target_words(request: Request) -> str:
    if request.target_is_percent:
        return t(
            "Draw until the scale stands still or the gauge reads {vacuum}. Write the gauge.",
            vacuum=show_vacuum(SMALL_VACUUM_INHG, request.units),
        )
    asked = _law_beside(request)
    if request.leaking:
        return t("Required for what is sound: {target}. Write the gauge.", target=asked)
    vacuum = request.gauge_at_site_inHg_vacuum or 0.0
    if request.low_pressure or vacuum <= 0.0 or vacuum > DEEPEST_PAST_INHG:
        return t(
            "Required: {target} or deeper; keep pulling {minutes} more minutes. Write the gauge.",
            target=asked,
            minutes=PAST_THE_TARGET_MINUTES,
        )
    low, high = (show_vacuum(vacuum + past, request.units) for past in PAST_THE_TARGET_INHG)
    return t(
        "Required: {target} or deeper; draw on to {low}–{high}. Write the gauge.",
        target=asked,
        low=low.split(" ")[0],
        high=high,
    )


def _law_beside(request: Request) -> str:
    """The target as this gauge shows it, and as the rule states it where that reads otherwise."""
    asked = target(request)
    if request.low_pressure or request.law_vacuum_inHg is None:
        return asked
    law = show_vacuum(request.law_vacuum_inHg, request.units)
    if law == asked:
        return asked
    return t("{target} on this gauge ({law} at sea level)", target=asked, law=law)


def _depth_cautions(request: Request) -> Iterator[str]:
    if request.chiller:
        yield t("Water moving on both bundles? Look now and at every reading.")
        if request.water_freezes_psig is not None:
            yield t(
                "Never below {pressure} while liquid remains: at {temperature} tubes freeze.",
                pressure=gauge_words(request, request.water_freezes_psig),
                temperature=show_temperature(WATER_FREEZES_F, request.units),
            )
    if request.leaking:
        yield t("Don't go below {zero} on a leaking part: air is drawn in.", zero=show_pressure(0.0, request.units))
    if request.burns:
        yield t("No air may get in: never below {zero} without nitrogen ready.", zero=show_pressure(0.0, request.units))


def cut_off(rig: Rig) -> Line:
    """The appliance is cut off from the machine on the manifold, so that the gauges still read it."""
    request = rig.request
    unplug = None
    if request.pushes_itself:
        unplug = act(t("Switch the appliance off, pull its plug."), Effect("compressor", to="off"))
    return line(
        unplug,
        act(t("Close the machine inlet."), closes("machine.suction")),
        act(t("Machine to “{word}”; discharge and cylinder stay open.", word=word_off(request)), mode("off")),
        act(t("Close {valves}: the gauges still read the appliance.", valves=rig.names(rig.sides)), closes(*rig.sides)),
    )


def after_target(rig: Rig) -> Iterator[Line]:
    """The rise check and its hold; a percent of the charge is judged after clearing, without one."""
    request = rig.request
    yield cut_off(rig)
    if request.target_is_percent:
        last = request.cylinders[-1]
        yield line(
            *clearing(rig, last.id),
            kind="wait",
            blanks=(ask(request, "times.end", t("Machine off and cleared"), "time"),),
        )
        yield hold(
            "recovered",
            act(
                t(
                    "Recovered at least {weight} ({percent} %) by the scale, or {vacuum} was read.",
                    weight=weight(request, request.target_lb or 0.0),
                    percent=f"{request.target_percent_of_charge or 0:.0f}",
                    vacuum=show_vacuum(SMALL_VACUUM_INHG, request.units),
                )
            ),
        )
        return
    yield from _rise(rig)


def _rise_allowed(request: Request) -> str:
    """What the last minutes may rise, in the unit that the gauge shows, rounded down (0.267 and 3.386 kPa);
    common practice, no source.
    """
    if request.low_pressure:
        return t("2 mmHg in 10 minutes") if request.units == "US" else t("0.2 kPa in 10 minutes")
    return t("1 inHg in the last 5 minutes") if request.units == "US" else t("3.3 kPa in the last 5 minutes")


def _rise(rig: Rig) -> Iterator[Line]:
    """Reaching the level is not enough: stop, wait, look again (TM 5-3810-307-24 waits five minutes)."""
    request = rig.request
    quantity = "absolute" if request.low_pressure else "vacuum"
    yield line(
        act(
            t(
                "Rise check: {minutes} minutes; write the gauge at each minute of its row.",
                minutes=request.rise_check_minutes,
            ),
            Effect("rise"),
        ),
        kind="wait",
        blanks=(
            ask(request, "rise.waited", t("Minutes waited"), "minutes"),
            ask(request, "rise.gauge", t("Gauge at the end"), "absolute" if quantity == "absolute" else "vacuum"),
        ),
        cautions=(
            t(
                "If it rises and levels: liquid or oil; warm it, draw again. If it climbs on: a leak; isolate it, draw the rest, use the exception."
            ),
        ),
    )
    yield hold(
        "rise",
        act(
            t(
                N_("The vacuum holds at {target} or deeper; it rose no more than {rise}.")
                if request.low_pressure or (request.gauge_at_site_inHg_vacuum or 0.0) > 0.0
                else N_("It stays at {target}; it rose no more than {rise}."),
                target=target(request),
                rise=_rise_allowed(request),
            )
        ),
    )
