"""Recovering through the manifold: liquid first, then vapor down to the target, then the rise check."""

from collections.abc import Iterator

from packet.figures import show_pressure
from packet.hookup.acts import Act, Effect, cracks, did, mode, opens, shuts
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig, listed
from packet.hookup.stages.say import (
    ask,
    hold,
    shell_caution,
    stop_and_cool,
    target,
    weight,
    word_liquid,
    word_off,
    word_vapor,
)
from packet.words import t

PAST_THE_TARGET_MINUTES = 2


def start(rig: Rig, cylinder: CylinderNeed, to: str, *, first: bool) -> Iterator[Act]:
    """Cylinder, discharge, machine on with its inlet shut. to: 'vapor' or 'liquid'. first: the job's first start."""
    request = rig.request
    receive = rig.receive(cylinder)
    yield Act(
        t("Open the {valve}, slowly, then fully.", valve=rig.valve(receive)),
        opens(receive),
        cautions=(t("Stay out of the line of its relief device."),),
    )
    yield Act(t("Open the {valve} fully.", valve=rig.valve("machine.discharge")), opens("machine.discharge"))
    yield before_start(rig, cylinder)
    word = word_vapor(request) if to == "vapor" else word_liquid(request)
    yield Act(
        t("See that the machine inlet is shut, then set the machine to “{word}” and start it.", word=word),
        mode(to),
        cautions=(t("Never run it against a shut discharge."),),
        blanks=(ask(request, "times.start", t("Machine started"), "time"),) if first else (),
    )


def before_start(rig: Rig, cylinder: CylinderNeed) -> Act:
    """The hold before the machine runs: it never runs against a shut discharge."""
    return hold(
        f"start:{cylinder.id}",
        t(
            "Hold. Hand on each: {valve} open, machine discharge open, machine inlet shut.",
            valve=rig.valve(rig.receive(cylinder)),
        ),
    )


def liquid(rig: Rig, changes_from: int) -> tuple[Act, ...]:
    """Liquid recovery from the liquid side, inlet cracked; ends with the liquid gone and the machine running."""
    request = rig.request
    cylinder = request.cylinders[0]
    acts = [
        *start(rig, cylinder, "liquid", first=True),
        Act(t("Open the {valve}.", valve=rig.valve("appliance.liquid")), opens("appliance.liquid")),
        Act(t("Open the {valve}.", valve=rig.valve("manifold.high")), opens("manifold.high")),
        Act(
            t("Crack the machine inlet until the machine just does not knock."),
            cracks("machine.suction"),
            cautions=(t("Knocking is liquid in the compressor: ease the inlet back at once."),),
            running=True,
        ),
        hold(
            "liquid-runs",
            t("Hold. The scale climbs, no knocking, no leak at any fitting."),
            *stop_and_cool(request, cylinder),
            *shell_caution(request),
        ),
        *log_and_stop(rig, cylinder, "liquid", changes_from),
        Act(
            t("Wait until the sight glass or hose A runs clear, or the scale climbs half as fast as before."),
            (*_last_fill(rig), Effect("dry")),
            "wait",
        ),
    ]
    if request.raise_to_atmosphere:
        return (*acts, *_stop(rig), hold("liquid-stopped", t("Hold. Liquid is out down to the opening; machine off.")))
    return (
        *acts,
        hold("liquid-out", t("Hold. Liquid is out; the machine runs on. Go straight on to vapor, no stop between.")),
    )


def _last_fill(rig: Rig) -> tuple[Effect, ...]:
    """Where no vapor stage follows, the liquid is all that goes into the last cylinder."""
    last = rig.request.cylinders[-1]
    return (Effect("fill", last.id, amount=last.planned_gross_lb),) if rig.request.raise_to_atmosphere else ()


def log_and_stop(rig: Rig, cylinder: CylinderNeed, stage: str, changes_from: int) -> Iterator[Act]:
    """The watch on scale and pressure. changes_from: the number of the first change-over stage, 0 when none follows."""
    request = rig.request
    yield Act(
        t("Every 5 minutes write time, weight and pressure on the Log sheet."),
        did(f"log:{stage}"),
        "read",
        cautions=(_never_past(rig, cylinder),),
    )
    if not changes_from:
        return
    turns = t("; ").join(
        t(
            "{cylinder} at {change}: stage {stage}",
            cylinder=item.id,
            change=weight(request, at),
            stage=changes_from + index,
        )
        for index, item in enumerate(request.cylinders[:-1])
        if (at := item.change_at_gross_lb or item.stop_gross_lb)
    )
    yield Act(
        t("Watch the scale and change over, then come back here. {turns}.", turns=turns),
        did(f"watch:{stage}"),
        "wait",
        calls=True,
    )


def _never_past(rig: Rig, cylinder: CylinderNeed) -> str:
    request = rig.request
    if len(request.cylinders) == 1 or request.push_pull:
        return t(
            "At {stop} on {cylinder} shut the machine inlet, finished or not.",
            stop=weight(request, cylinder.stop_gross_lb),
            cylinder=cylinder.id,
        )
    stops = listed(
        [
            t("{cylinder} {weight}", cylinder=item.id, weight=weight(request, item.stop_gross_lb))
            for item in request.cylinders
        ]
    )
    return t("At its stop weight shut the machine inlet, finished or not: {stops}.", stops=stops)


def vapor(rig: Rig, changes_from: int, *, runs_already: bool) -> tuple[Act, ...]:
    """Vapor recovery down to the target, then the rise check. runs_already: the liquid stage went before."""
    request = rig.request
    cylinder = request.cylinders[-1] if request.push_pull else request.cylinders[0]
    acts = [*_change_to_vapor(rig)] if runs_already else [*_start_vapor(rig, cylinder)]
    acts += [
        hold(
            "vapor-runs",
            t("Hold. The machine draws on every side used, no leak at any fitting."),
            *stop_and_cool(request, cylinder),
        ),
        *log_and_stop(rig, cylinder, "vapor", changes_from),
        *_to_the_target(rig),
        *_stop(rig),
    ]
    if request.target_is_percent:
        acts.append(hold("target-reached", t("Hold. Target reached, inlet shut, machine off.")))
    else:
        acts += _rise(rig)
    return tuple(acts)


def _start_vapor(rig: Rig, cylinder: CylinderNeed) -> Iterator[Act]:
    request = rig.request
    yield from start(rig, cylinder, "vapor", first=not request.push_pull)
    if request.pierced and request.compressor_runs:
        yield Act(
            t("Switch the appliance on: its compressor pushes the charge out."),
            (Effect("compressor", to="on"),),
            cautions=(t("Off at once if it labors or its shell gets hot."),),
        )
    elif request.pierced:
        yield Act(
            t("Warm the compressor shell with a heat blanket and tap it with a rubber mallet: oil lets go of gas."),
            did("warmed"),
            cautions=(t("No flame, no heat gun."),),
        )
    yield Act(t("Open the {valve}.", valve=rig.valve("appliance.vapor")), opens("appliance.vapor"))
    yield Act(t("Open the {valve}.", valve=rig.valve("manifold.low")), opens("manifold.low"))
    yield Act(
        t("Open the machine inlet slowly, to full. Knocking: ease it back."),
        opens("machine.suction"),
        running=not rig.has_liquid,
    )
    if rig.has_liquid:
        dry = rig.request.push_pull
        if not dry:
            yield Act(
                t("Wait until the gauges fall and hose A and hose B show no liquid or frost."), (Effect("dry"),), "wait"
            )
        yield Act(
            t(
                "Open the {valve}, then the {other}.",
                valve=rig.valve("appliance.liquid"),
                other=rig.valve("manifold.high"),
            ),
            opens("appliance.liquid", "manifold.high"),
            running=True,
        )


def _change_to_vapor(rig: Rig) -> Iterator[Act]:
    """The machine runs on liquid and the liquid is gone: vapor side open, inlet to full, no stop between."""
    word = word_vapor(rig.request)
    words = (
        t("Leave the machine running on “{word}”.", word=word)
        if word == word_liquid(rig.request)
        else t("With the machine running, set it to “{word}”.", word=word)
    )
    yield Act(words, mode("vapor"))
    if rig.has_vapor:
        yield Act(t("Open the {valve}.", valve=rig.valve("appliance.vapor")), opens("appliance.vapor"))
        yield Act(t("Open the {valve}.", valve=rig.valve("manifold.low")), opens("manifold.low"))
    yield Act(
        t("Open the machine inlet slowly, to full. Knocking: ease it back."), opens("machine.suction"), running=True
    )


def _to_the_target(rig: Rig) -> Iterator[Act]:
    request = rig.request
    cylinder = request.cylinders[-1]
    cautions: tuple[str, ...]
    if request.chiller:
        cautions = (t("Water moving on both bundles? Look now and at every reading."),)
    elif request.leaking:
        cautions = (
            t("The leaking part: stop at {zero}, or air is drawn in.", zero=show_pressure(0.0, request.units)),
            *((t("Air and {gas} can explode in the machine.", gas=request.refrigerant),) if request.flammable else ()),
        )
    else:
        cautions = ()
    if request.leaking:
        yield Act(
            t("Shut off the leaking part from the rest, as far as its valves allow."),
            did("leak-isolated"),
        )
    if request.target_is_percent:
        yield Act(
            t("Draw until the scale has gained {target}.", target=target(request)),
            (Effect("fill", cylinder.id, amount=cylinder.planned_gross_lb), Effect("drawn")),
            "read",
            cautions=cautions,
            blanks=(ask(request, "final.gauge", t("Final gauge reading"), "vacuum"),),
        )
        return
    words = (
        t("Draw what is sound until the gauge reads {target}; no deeper.", target=target(request))
        if request.leaking
        else t(
            "Draw until the gauge reads {target}, and {minutes} minutes past it.",
            target=target(request),
            minutes=PAST_THE_TARGET_MINUTES,
        )
    )
    quantity = "absolute" if request.low_pressure else "vacuum"
    yield Act(
        words,
        (Effect("fill", cylinder.id, amount=cylinder.planned_gross_lb), Effect("drawn")),
        "read",
        cautions=cautions,
        blanks=(
            ask(request, "final.gauge", t("Final gauge reading"), "absolute" if quantity == "absolute" else "vacuum"),
        ),
    )


def _stop(rig: Rig) -> Iterator[Act]:
    """The appliance is cut off from the machine on the manifold, so that the gauges still read it."""
    request = rig.request
    if request.pierced and request.compressor_runs:
        yield Act(t("Switch the appliance off and pull its plug."), (Effect("compressor", to="off"),))
    sides = rig.sides if not request.raise_to_atmosphere else ("manifold.high",)
    yield Act(
        t("Shut the {valves}: the gauges still read the appliance.", valves=rig.names(sides)),
        shuts(*sides),
        names=frozenset({"draws-nothing"}),
    )
    yield Act(t("Shut the machine inlet."), shuts("machine.suction"))
    yield Act(
        t("Set the machine to “{word}”.", word=word_off(request)),
        mode("off"),
        cautions=(t("The discharge and the cylinder stay open until the machine is cleared."),),
    )


def _rise(rig: Rig) -> Iterator[Act]:
    """Reaching the level is not enough: stop, wait, look again (TM 5-3810-307-24 waits five minutes)."""
    request = rig.request
    quantity = "absolute" if request.low_pressure else "vacuum"
    yield Act(
        t("Rise check: wait {minutes} minutes and watch the gauge.", minutes=request.rise_minutes),
        (Effect("rise"),),
        "wait",
        blanks=(
            ask(request, "rise.waited", t("Minutes waited"), "minutes"),
            ask(request, "rise.gauge", t("Gauge at the end"), "absolute" if quantity == "absolute" else "vacuum"),
        ),
    )
    yield hold(
        "rise",
        t(
            "Hold. It passes at {target} or lower, with no more than 1 inHg of rise in the last 5 minutes.",
            target=target(request),
        )
        if request.units == "US"
        else t(
            "Hold. It passes at {target} or lower, with no more than 3.4 kPa of rise in the last 5 minutes.",
            target=target(request),
        ),
        t("It rises and levels: liquid or oil gives gas off. Warm it, start again, draw again."),
        t(
            "It climbs without end: a leak. Stop at {zero} at most and use the leak exception on the Record sheet.",
            zero=show_pressure(0.0, request.units),
        ),
    )
